//! How much a pocket takes from its host, by a path that uses neither engine: areas of
//! sections of the developed plane, integrated over depth.

use crate::model::{Inlay, Surface, pocket_strips};
use crate::plane::Strips;

/// The pocket's volume is known to this share of it: quadrature is exact but for sloped
/// ridges, and facets of equal area leave the rest.
pub const SHARE: f64 = 1e-3;

/// And to this much more, mm3: what a mesh may merge away.
pub const FLOOR_MM3: f64 = 0.02;

/// Steps between two depths at which something vanishes.
const STEPS: usize = 4;

/// Volume of a pocket, mm3, its sides moved out by `grow_mm`. None where this path does
/// not lead: on cones sections are weighed by height, and proud inlays stand out.
pub fn volume_mm3(inlay: &Inlay, grow_mm: f64, gap_behind_mm: f64) -> Option<f64> {
    let (radius, sign) = match &inlay.surface {
        Surface::Round { radius_mm, slope, outward, .. } if *slope == 0.0 => {
            (Some(*radius_mm), if *outward { -1.0 } else { 1.0 })
        }
        Surface::Round { .. } => return None,
        Surface::Belly { .. } => return bellied_mm3(inlay, grow_mm, gap_behind_mm),
        Surface::Flat { .. } => (None, 0.0),
    };
    if inlay.proud_mm != 0.0 {
        return None;
    }
    let strips = pocket_strips(inlay, grow_mm).ok()?;
    let drop = inlay.ceiling_drop()?;
    let closing = drop.upper + drop.lower;
    let deep = inlay.level_depth_mm(inlay.sink_mm + gap_behind_mm);
    // A unit of u is a radian at the depth's own radius, or a millimetre.
    let slice = |depth: f64| {
        let across = radius.map_or(1.0, |r| r + sign * depth);
        strips.area(closing * depth) * across * inlay.stretch()
    };
    let mut edges = vec![0.0, deep];
    if closing > 0.0 {
        edges.extend(events(&strips, closing * deep).into_iter().map(|drop| drop / closing));
    }
    edges.sort_by(f64::total_cmp);
    Some(edges.windows(2).map(|w| integral(&slice, w[0], w[1])).sum())
}

/// Drops at which an interval starts or ends to vanish at one of its lines.
fn events(strips: &Strips, limit: f64) -> Vec<f64> {
    let mut all: Vec<f64> = strips
        .strips
        .iter()
        .flatten()
        .flat_map(|v| [v.top[0] - v.bottom[0], v.top[1] - v.bottom[1]])
        .filter(|h| *h > 0.0 && *h < limit)
        .collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|b, a| *b - *a < 1e-6);
    // Drawings have very many; steps between some of them are as good.
    let every = all.len().div_ceil(MOST_EVENTS).max(1);
    all.into_iter().step_by(every).collect()
}

/// The same on a bellied face: at each height the pocket goes from the face to its back, or to
/// the ceiling, whichever comes first. Sides of drawings lie between those of their ends.
fn bellied_mm3(inlay: &Inlay, grow_mm: f64, gap_behind_mm: f64) -> Option<f64> {
    /// Parts into which a bar is cut: the integrand has one corner, where the ceiling ends.
    const PARTS: usize = 256;
    let Surface::Belly { meridian, outward, .. } = &inlay.surface else { return None };
    let sense = if *outward { 1.0 } else { -1.0 };
    let deep = inlay.sink_mm + gap_behind_mm;
    let strips = pocket_strips(inlay, grow_mm).ok()?;
    let eased = inlay.eased.filter(|e| e.angle_rad < std::f64::consts::FRAC_PI_2);
    let slice = |z: f64, from: f64| {
        let (front, back) = (meridian.radius_mm(z), meridian.parallel_mm(z, -sense * deep, 1.0));
        // In the sense of depth the greater of two is the nearer to the face.
        let ceiling = eased.map_or(sense * back, |e| {
            sense * meridian.radius_mm(from) - (from - z).abs() * e.angle_rad.tan()
        });
        let inner = (sense * back).max(ceiling).min(sense * front);
        (front * front - inner * inner).abs() / 2.0
    };
    let bar = |bottom: f64, top: f64| {
        let from = if eased.is_some_and(|e| e.lower) { bottom } else { top };
        let step = (top - bottom) / PARTS as f64;
        let middle = |k: usize| bottom + step * (k as f64 + 0.5);
        (0..PARTS).map(|k| slice(middle(k), from)).sum::<f64>() * step
    };
    let mut sum = 0.0;
    for (index, bars) in strips.strips.iter().enumerate() {
        for it in bars {
            let ends = [0, 1].map(|end| bar(it.bottom[end], it.top[end]));
            sum += strips.width(index) * (ends[0] + ends[1]) / 2.0;
        }
    }
    Some(sum)
}

/// How much the flat triangles of an inlay or its pocket may miss of its twisted flanks,
/// mm3. A flank under an inclined edge twists: between two facet lines, `turn_rad` apart,
/// it rises by dz over a depth t, and the four corners of that patch span a tetrahedron of
/// t^2 dz turn / 6. The patch halves it; triangles leave one half or the other, always on
/// the side on which the gap grows.
pub fn twist_mm3(inlay: &Inlay, depth_mm: f64, turn_rad: f64) -> f64 {
    if !inlay.surface.is_turned() {
        return 0.0;
    }
    let Ok(strips) = pocket_strips(inlay, 0.0) else { return 0.0 };
    let rises = strips
        .strips
        .iter()
        .flatten()
        .map(|v| (v.top[1] - v.top[0]).abs() + (v.bottom[1] - v.bottom[0]).abs());
    let deep = inlay.level_depth_mm(depth_mm);
    deep * deep * rises.sum::<f64>() * turn_rad / 12.0
}

/// More depths than this are thinned out.
const MOST_EVENTS: usize = 200;

/// Simpson's rule: exact for sections that are quadratic in depth, as they are between
/// events on level edges.
fn integral(slice: &impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    let step = (to - from) / STEPS as f64;
    let part = |k: usize| {
        let (a, b) = (from + step * k as f64, from + step * (k + 1) as f64);
        (slice(a) + 4.0 * slice((a + b) / 2.0) + slice(b)) * (b - a) / 6.0
    };
    (0..STEPS).map(part).sum()
}
