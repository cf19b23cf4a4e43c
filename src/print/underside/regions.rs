//! What hangs over, joined over the layers.

use super::super::slices::Planes;
use super::carry::{Kind, Patch, distance};
use crate::mesh::Groups;
use crate::plane::{Point, Region, region_sides};

/// Patches of two layers belong together where they are no farther apart than this many
/// times what a layer carries: what follows on lies just that far off.
const APART: f64 = 1.5;

/// Regions whose areas differ by less than this share are alike.
const ALIKE: f64 = 0.01;

/// Connected regions that are not carried; several where they are alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Unsupported {
    /// How it hangs.
    pub kind: Kind,
    /// How many of them there are.
    pub count: usize,
    /// From the underside of its first layer to the top of its last, mm above the bed.
    pub height_mm: [f64; 2],
    /// Of all of them, mm2.
    pub area_mm2: f64,
    /// The longest line across a bridge, mm; none for others.
    pub span_mm: Option<f64>,
    /// How far an overhang reaches out over all its layers, mm; none for others.
    pub reach_mm: Option<f64>,
    /// The steepest overhang from layer to layer, from the vertical, rad; none for others.
    pub angle_rad: Option<f64>,
    /// The share of a line's width that there lies on the layer below; none for others.
    pub overlap: Option<f64>,
    /// The middle of the box of the first, mm.
    pub at_mm: [f64; 2],
}

/// One connected region.
#[derive(Clone, Debug)]
pub struct Hanging {
    /// How it hangs.
    pub kind: Kind,
    /// Which patches it has.
    pub patches: Vec<usize>,
}

/// Patches in the order of their layers, joined.
pub fn joined(patches: &[Patch], reach_mm: &[f64]) -> Vec<Hanging> {
    let mut groups = Groups::new(patches.len());
    let mut below = 0;
    for (upper, patch) in patches.iter().enumerate() {
        while patches[below].layer + 1 < patch.layer {
            below += 1;
        }
        let older = patches.iter().enumerate().take(upper).skip(below);
        for (lower, other) in older.take_while(|(_, other)| other.layer != patch.layer) {
            if near(patch, other, APART * reach_mm[patch.layer]) {
                groups.join(lower as u32, upper as u32);
            }
        }
    }
    let mut out: Vec<Hanging> = Vec::new();
    let mut place = vec![usize::MAX; patches.len()];
    for (index, patch) in patches.iter().enumerate() {
        let first = groups.leader(index as u32) as usize;
        if place[first] == usize::MAX {
            place[first] = out.len();
            out.push(Hanging { kind: patch.kind, patches: Vec::new() });
        }
        let region = &mut out[place[first]];
        region.patches.push(index);
        region.kind = worse(region.kind, patch.kind);
    }
    out
}

/// Those that are larger than a dot of one line: in others nothing is laid.
pub fn laid(hanging: Vec<Hanging>, patches: &[Patch], dot_mm2: f64) -> Vec<Hanging> {
    let area = |h: &Hanging| h.patches.iter().map(|p| patches[*p].area_mm2).sum::<f64>();
    hanging.into_iter().filter(|h| area(h) > dot_mm2).collect()
}

/// What starts in the air is an island, whatever it becomes; an overhang that closes to a
/// bridge is still one.
fn worse(a: Kind, b: Kind) -> Kind {
    a.min(b)
}

fn near(a: &Patch, b: &Patch, within_mm: f64) -> bool {
    let [[low, high], [least, most]] = [a.bounds, b.bounds];
    let apart = |low: f64, high: f64, least: f64, most: f64| (least - high).max(low - most);
    if apart(low.x, high.x, least.x, most.x) > within_mm
        || apart(low.y, high.y, least.y, most.y) > within_mm
    {
        return false;
    }
    touches(&a.region, &b.region, within_mm) || touches(&b.region, &a.region, within_mm)
}

/// Whether a corner of one lies within a distance of a side of the other.
fn touches(corners: &Region, sides: &Region, within_mm: f64) -> bool {
    corners
        .iter()
        .flatten()
        .any(|corner| region_sides(sides).any(|side| distance(*corner, side) <= within_mm))
}

/// Regions measured, those that are alike told once.
pub fn told(
    hanging: &[Hanging],
    patches: &[Patch],
    planes: &Planes,
    line_mm: f64,
) -> Vec<Unsupported> {
    let mut all: Vec<Unsupported> =
        hanging.iter().map(|h| measured(h, patches, planes, line_mm)).collect();
    all.sort_by(|a, b| {
        let key = |u: &Unsupported| (u.kind, u.height_mm.map(|z| (z * 1e6).round() as i64));
        key(a).cmp(&key(b)).then(a.area_mm2.total_cmp(&b.area_mm2))
    });
    let mut out: Vec<Unsupported> = Vec::new();
    for one in all {
        match out.last_mut() {
            Some(last) if alike(last, &one) => {
                last.count += 1;
                last.area_mm2 += one.area_mm2;
                last.span_mm = most(last.span_mm, one.span_mm);
                last.reach_mm = most(last.reach_mm, one.reach_mm);
                last.angle_rad = most(last.angle_rad, one.angle_rad);
                last.overlap = last.overlap.zip(one.overlap).map(|(a, b)| a.min(b));
            }
            _ => out.push(one),
        }
    }
    out
}

fn most(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    a.zip(b).map(|(a, b)| a.max(b))
}

fn alike(group: &Unsupported, one: &Unsupported) -> bool {
    let mean = group.area_mm2 / group.count as f64;
    group.kind == one.kind
        && group.height_mm == one.height_mm
        && (one.area_mm2 - mean).abs() <= ALIKE * mean
}

/// One region, measured.
pub fn measured(
    hanging: &Hanging,
    patches: &[Patch],
    planes: &Planes,
    line_mm: f64,
) -> Unsupported {
    let own = || hanging.patches.iter().map(|p| &patches[*p]);
    let first = own().map(|p| p.layer).min().unwrap_or(0);
    let last = own().map(|p| p.layer).max().unwrap_or(first);
    let most = |value: fn(&Patch) -> f64| own().map(value).fold(0.0, f64::max);
    let mut steepest = 0f64;
    let (mut reach, mut widest) = (0.0, 0f64);
    for layer in first..=last {
        let steps = own().filter(|p| p.layer == layer).map(|p| p.step_mm);
        let step = steps.fold(0.0, f64::max);
        reach += step;
        widest = widest.max(step);
        steepest = steepest.max(step.atan2(planes.rise_mm(layer)));
    }
    let corners = || own().filter(|p| p.layer == first).flat_map(|p| p.bounds);
    let middle = |c: fn(Point) -> f64| {
        let [low, high] = [f64::min as fn(f64, f64) -> f64, f64::max]
            .map(|pick| corners().map(c).reduce(pick).unwrap_or(0.0));
        (low + high) / 2.0
    };
    let overhang = hanging.kind == Kind::Overhang;
    Unsupported {
        kind: hanging.kind,
        count: 1,
        height_mm: [planes.sides_mm(first)[0], planes.sides_mm(last)[1]],
        area_mm2: own().map(|p| p.area_mm2).sum(),
        span_mm: (hanging.kind == Kind::Bridge).then(|| most(|p| p.span_mm)),
        reach_mm: overhang.then_some(reach),
        angle_rad: overhang.then_some(steepest),
        overlap: overlap_of(widest, line_mm).filter(|_| overhang),
        at_mm: [middle(|p| p.x), middle(|p| p.y)],
    }
}

/// The share of a line's width that lies on the layer below where each layer steps out by
/// so much: 1 - h tan(a) / w.
fn overlap_of(step_mm: f64, line_mm: f64) -> Option<f64> {
    (line_mm > 0.0).then(|| (1.0 - step_mm / line_mm).max(0.0))
}
