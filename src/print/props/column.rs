//! One column: its body between two sheets, and how far it stays off the part.

use super::overhead::Overhead;
use super::sheet::{Key, Section, Sheet};
use crate::fit::{Facet, distance};
use crate::mesh::{Bounds, Mesh, Tag, Tree};
use crate::model::{Props, Vector};
use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::{FRAC_PI_8, TAU};

/// A section has so many sides: round enough, and few facets.
pub const SIDES: usize = 8;

/// How far the corners of a section lie from its middle, mm.
pub type Reach = [f64; SIDES];

/// Sections are turned by this beyond their place's own direction, rad, so that their sides
/// run along no edges that were drawn with round numbers.
const TURN_RAD: f64 = 0.0137;

/// A gap may be less than asked by no more than this, mm: rounding.
const EXACT_MM: f64 = 1e-6;

/// The sides of a column with a wider foot are looked at in so many steps of its height.
const STEPS: usize = 8;

/// How often an end is moved away where a fold of the face comes nearer than it should.
const TRIES: usize = 4;

/// Where a column is to stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// x and y of its middle, mm
    pub at: [f64; 2],
    /// Its direction, rad.
    pub turn_rad: f64,
    /// Lowest and highest place of the underside that it is to meet, mm.
    pub under_mm: [f64; 2],
}

/// A column, measured.
#[derive(Clone, Debug)]
pub struct Column {
    /// Where it stands.
    pub spot: Spot,
    /// Its body.
    pub mesh: Mesh,
    /// The same up to the part itself: what it carries.
    pub raised: Mesh,
    /// Least distance of its top from the part, mm.
    pub above_mm: f64,
    /// The same of its foot; none on the bed.
    pub below_mm: Option<f64>,
    /// Least distance of all of it, mm.
    pub clear_mm: f64,
    /// mm
    pub height_mm: f64,
    /// The least width of its foot, mm.
    pub foot_mm: f64,
    /// Lowest and highest z, mm.
    pub span_mm: [f64; 2],
}

/// What columns stand beside, and how they are to be.
pub struct Bench<'a> {
    /// The posed part from above.
    pub overhead: &'a Overhead<'a>,
    /// Its triangles in boxes.
    pub tree: &'a Tree,
    /// What the text asks for.
    pub props: &'a Props,
    /// Width of a line: how far sides stay off, mm.
    pub line_mm: f64,
    /// The least height of a column: one layer, mm.
    pub layer_mm: f64,
}

/// An end of a column.
struct End {
    sheet: Sheet,
    /// The rim, anticlockwise from the section's first corner, with how far round.
    rim: Vec<(Key, f64)>,
}

impl Bench<'_> {
    /// The underside that a spot means, and what lies below it: the bed is none.
    pub fn ends(&self, spot: &Spot) -> Option<([f64; 2], [Option<u32>; 2])> {
        let crossings = self.overhead.crossings(spot.at);
        let [low, high] = spot.under_mm;
        let top = crossings.iter().position(|c| c.down && c.z > low && c.z <= high)?;
        let below = top.checked_sub(1).map(|k| crossings[k]);
        if below.is_some_and(|c| c.down) {
            return None;
        }
        let foot = below.map_or(0.0, |c| c.z);
        Some(([foot, crossings[top].z], [below.map(|c| c.triangle), Some(crossings[top].triangle)]))
    }

    /// Whether the sides of a column here, with such a foot, would stay a line off the part.
    pub fn has_room(&self, spot: &Spot, foot: &Reach) -> bool {
        let (reach, own_mm) = (foot, even(self.props.width_mm)[0]);
        let Some(([foot, top], _)) = self.ends(spot) else { return false };
        let gaps =
            [if foot > 0.0 { self.props.gap_below_mm } else { 0.0 }, self.props.gap_above_mm];
        if top - foot < gaps[0] + gaps[1] + self.layer_mm {
            return false;
        }
        let steps = if reach.iter().any(|mm| *mm > own_mm) { STEPS } else { 1 };
        let middle = (foot + top) / 2.0;
        let span = [(foot + self.line_mm).min(middle), (top - self.line_mm).max(middle)];
        (0..steps).all(|step| {
            let share = |step: usize| step as f64 / steps as f64;
            let span = [step, step + 1].map(|k| span[0] + (span[1] - span[0]) * share(k));
            (0..2 * SIDES).all(|k| {
                let turn = spot.turn_rad + TAU * k as f64 / (2 * SIDES) as f64;
                // As wide as at its lower end; between two corners as far as the farther one.
                let widest = reach[k / 2].max(reach[k.div_ceil(2) % SIDES]);
                let out = widest + (own_mm - widest) * share(step) + self.line_mm;
                let beside = [spot.at[0] + out * turn.cos(), spot.at[1] + out * turn.sin()];
                !self.overhead.is_filled(beside, span)
            })
        })
    }

    /// The column of a spot, of one width; none where there is no room for one, or the face
    /// above or below it has a step.
    pub fn column(&self, spot: &Spot) -> Option<Column> {
        self.column_on(spot, &even(self.props.width_mm))
    }

    /// The same on another foot, from which it tapers to its top.
    pub fn column_on(&self, spot: &Spot, foot: &Reach) -> Option<Column> {
        if !self.has_room(spot, foot) {
            return None;
        }
        let [lower, upper] = [*foot, even(self.props.width_mm)].map(|reach| section(spot, &reach));
        let (_, [foot, top]) = self.ends(spot)?;
        let top = end(self.overhead.sheet(top?, &upper)?, &upper)?;
        let foot = match foot {
            Some(t) => Some(end(self.overhead.sheet(t, &lower)?, &lower)?),
            None => None,
        };
        // What ends are moved away beyond the gap, mm.
        let mut more = [0.0; 2];
        for _ in 0..TRIES {
            let column = self.between(spot, &lower, foot.as_ref(), &top, more)?;
            let asked = self.props.gap_above_mm;
            let lacks = [
                column.below_mm.map_or(0.0, |below| self.props.gap_below_mm - below),
                asked - column.above_mm,
            ];
            let least = match column.below_mm {
                Some(_) => asked.min(self.props.gap_below_mm),
                None => asked,
            };
            if lacks.iter().all(|lack| *lack <= EXACT_MM) {
                return (column.clear_mm >= least.min(self.line_mm) - EXACT_MM).then_some(column);
            }
            for (more, lack) in more.iter_mut().zip(lacks) {
                *more += lack.max(0.0) * 1.25;
            }
        }
        None
    }

    fn between(
        &self,
        spot: &Spot,
        section: &Section,
        foot: Option<&End>,
        top: &End,
        more: [f64; 2],
    ) -> Option<Column> {
        let mut body = Body::default();
        let upper = body.end(top, |key, z| z - self.props.gap_above_mm * top.lean(key) - more[1]);
        let on_bed = bed(section);
        let lower = match foot {
            Some(foot) => {
                body.end(foot, |key, z| z + self.props.gap_below_mm * foot.lean(key) + more[0])
            }
            None => body.end(&on_bed, |_, z| z),
        };
        let z = |ids: &BTreeMap<Key, u32>| {
            ids.values().map(|v| body.mesh.vertices[*v as usize][2]).collect::<Vec<_>>()
        };
        let least_top = z(&upper).into_iter().fold(f64::INFINITY, f64::min);
        let most_top = z(&upper).into_iter().fold(f64::NEG_INFINITY, f64::max);
        let most_foot = z(&lower).into_iter().fold(f64::NEG_INFINITY, f64::max);
        let least_foot = z(&lower).into_iter().fold(f64::INFINITY, f64::min);
        if least_top - most_foot < self.layer_mm / 2.0 {
            return None;
        }
        let tops = body.caps(&top.sheet, &upper, false);
        let feet = tops + body.caps(&foot.unwrap_or(&on_bed).sheet, &lower, true);
        body.walls(&foot.unwrap_or(&on_bed).rim, &lower, &top.rim, &upper, section.corners.len());
        if !is_closed(&body.mesh) {
            return None;
        }
        let mut raised = body.mesh.clone();
        for (key, v) in &upper {
            raised.vertices[*v as usize][2] = top.sheet.points[key][2];
        }
        let [above, below, sides] = self.distances(&body.mesh, [tops, feet]);
        Some(Column {
            spot: *spot,
            raised,
            above_mm: above,
            below_mm: foot.map(|_| below),
            clear_mm: above.min(sides).min(if foot.is_some() { below } else { f64::INFINITY }),
            height_mm: most_top - least_foot,
            foot_mm: section.least_width_mm(),
            span_mm: [least_foot, most_top],
            mesh: body.mesh,
        })
    }

    /// Least distance of the part from the first triangles, those up to the second number,
    /// and the rest, mm. What is farther than matters is not told to be farther.
    fn distances(&self, mesh: &Mesh, [tops, feet]: [usize; 2]) -> [f64; 3] {
        let far = 2.0 * self.props.gap_above_mm.max(self.props.gap_below_mm).max(self.line_mm);
        let bounds = Bounds::of(mesh.vertices.iter().copied()).grown(far);
        let mut near = Vec::new();
        self.tree.meeting(&bounds, |t| near.push(Facet::of(self.overhead.mesh, t as usize)));
        let near: Vec<Facet> = near.into_iter().filter(|f| f.area > 0.0).collect();
        let least = |range: std::ops::Range<usize>| {
            let facets = range.map(|t| Facet::of(mesh, t)).filter(|f| f.area > 0.0);
            facets.fold(far, |least, facet| {
                near.iter().fold(least, |least, other| {
                    distance(&facet, other, least).map_or(least, |near| near.distance)
                })
            })
        };
        [least(0..tops), least(tops..feet), least(feet..mesh.triangles.len())]
    }
}

/// A regular section of a width from flat to flat, mm.
pub fn even(width_mm: f64) -> Reach {
    [width_mm / 2.0 / FRAC_PI_8.cos(); SIDES]
}

/// The direction of a corner of a section, rad.
pub fn corner_rad(spot: &Spot, corner: usize) -> f64 {
    spot.turn_rad + TURN_RAD + TAU * corner as f64 / SIDES as f64
}

/// The section of a column.
pub fn section(spot: &Spot, reach: &Reach) -> Section {
    let corner = |k: usize| {
        let turn = corner_rad(spot, k);
        [spot.at[0] + reach[k] * turn.cos(), spot.at[1] + reach[k] * turn.sin()]
    };
    Section { corners: (0..SIDES).map(corner).collect() }
}

/// The bed under a section.
fn bed(section: &Section) -> End {
    let keys: Vec<Key> = (0..section.corners.len()).map(Key::Corner).collect();
    let points = section.corners.iter().map(|[x, y]| [*x, *y, 0.0]);
    let points = keys.iter().copied().zip(points).collect();
    let rim = keys.iter().enumerate().map(|(k, key)| (*key, k as f64)).collect();
    End { sheet: Sheet { polygons: vec![keys], points, lean: BTreeMap::new() }, rim }
}

/// A sheet with its rim; none where the rim is no single loop round the section.
fn end(sheet: Sheet, section: &Section) -> Option<End> {
    let mut steps = BTreeSet::new();
    for polygon in &sheet.polygons {
        for i in 0..polygon.len() {
            let step = (polygon[i], polygon[(i + 1) % polygon.len()]);
            if step.0 == step.1 || !steps.insert(step) {
                return None;
            }
        }
    }
    let open = steps.iter().filter(|(a, b)| !steps.contains(&(*b, *a)));
    let next: BTreeMap<Key, Key> = open.copied().collect();
    let mut rim = Vec::new();
    let (mut at, mut round) = (Key::Corner(0), -1.0);
    loop {
        let here = section.round(at, *sheet.points.get(&at)?)?;
        if here <= round {
            return None;
        }
        round = here;
        rim.push((at, here));
        at = *next.get(&at)?;
        if at == Key::Corner(0) {
            break;
        }
    }
    let corners = rim.iter().filter(|(key, _)| matches!(key, Key::Corner(_))).count();
    (rim.len() == next.len() && corners == section.corners.len()).then_some(End { sheet, rim })
}

impl End {
    fn lean(&self, key: Key) -> f64 {
        self.sheet.lean.get(&key).copied().unwrap_or(1.0)
    }
}

/// A mesh in the making.
#[derive(Default)]
struct Body {
    mesh: Mesh,
}

impl Body {
    /// The corners of an end at the heights that `z` makes of theirs.
    fn end(&mut self, end: &End, z: impl Fn(Key, f64) -> f64) -> BTreeMap<Key, u32> {
        let mut ids = BTreeMap::new();
        for (key, p) in &end.sheet.points {
            ids.insert(*key, self.mesh.vertices.len() as u32);
            let corner: Vector = [p[0], p[1], z(*key, p[2])];
            self.mesh.vertices.push(corner);
        }
        ids
    }

    fn add(&mut self, triangle: [u32; 3]) {
        self.mesh.triangles.push(triangle);
        self.mesh.tags.push(Tag::PLAIN);
    }

    /// The faces of an end; how many there are.
    fn caps(&mut self, sheet: &Sheet, ids: &BTreeMap<Key, u32>, down: bool) -> usize {
        let before = self.mesh.triangles.len();
        for polygon in &sheet.polygons {
            let corners: Vec<u32> = polygon.iter().map(|key| ids[key]).collect();
            for i in 1..corners.len() - 1 {
                let [b, c] = if down { [i + 1, i] } else { [i, i + 1] };
                self.add([corners[0], corners[b], corners[c]]);
            }
        }
        self.mesh.triangles.len() - before
    }

    /// The sides between two rims.
    fn walls(
        &mut self,
        foot: &[(Key, f64)],
        lower: &BTreeMap<Key, u32>,
        top: &[(Key, f64)],
        upper: &BTreeMap<Key, u32>,
        sides: usize,
    ) {
        let at = |rim: &[(Key, f64)], ids: &BTreeMap<Key, u32>, k: usize| {
            let (key, round) = rim[k % rim.len()];
            (ids[&key], if k < rim.len() { round } else { sides as f64 })
        };
        let (mut i, mut j) = (0, 0);
        while i < foot.len() || j < top.len() {
            let (here, there) = (at(foot, lower, i).0, at(top, upper, j).0);
            let (below, next_below) = at(foot, lower, i + 1);
            let (above, next_above) = at(top, upper, j + 1);
            if j == top.len() || (i < foot.len() && next_below <= next_above) {
                self.add([here, below, there]);
                i += 1;
            } else {
                self.add([here, above, there]);
                j += 1;
            }
        }
    }
}

/// Whether every edge is run once in each direction.
fn is_closed(mesh: &Mesh) -> bool {
    let mut steps = BTreeSet::new();
    for t in &mesh.triangles {
        for k in 0..3 {
            if !steps.insert((t[k], t[(k + 1) % 3])) {
                return false;
            }
        }
    }
    steps.iter().all(|(a, b)| steps.contains(&(*b, *a)))
}
