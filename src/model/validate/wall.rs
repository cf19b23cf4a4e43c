//! How much wall there is behind an inlay, and whether its face is free: measured along
//! lines square to the surface.

use super::probe::{CHORD_MM, Line, Stretches, through};
use crate::model::vector::length;
use crate::model::{Body, Inlay, Leaf, Placement, Relief, Surface, Turned, Vector};
use crate::plane::{Curve, Strips};

/// A face counts as free and whole when material begins within this of it, mm: far
/// above the rounding of the lines, far below anything that can be printed.
const ON_FACE_MM: f64 = 1e-3;

/// Where lines start outside the face, mm.
const OUTSIDE_MM: f64 = 1.0;

/// What is left free behind, or before, a relief beside samples, mm.
const ROOM_MM: f64 = 0.1;

/// Samples up a band, and round it where its host is not the same all round.
const SAMPLES: [usize; 2] = [24, 72];

/// What was found at one place of the face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Behind {
    /// This much material, square to the surface, mm.
    Wall(f64),
    /// There is no material at the face.
    Open,
    /// Something lies on the face.
    Covered,
}

/// A place of the developed plane and what is behind it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// rad on round hosts, mm on flat ones.
    pub u: f64,
    /// mm
    pub z: f64,
    /// What was found.
    pub behind: Behind,
}

/// The place `[u, z]` of the developed plane in the frame of the leaf, and how far what
/// lies 1 mm farther out, square to the surface, is away from it: the outward normal. On flat
/// sides a pattern narrows towards the axis, so that near a corner it lies askew.
pub fn on_surface(surface: &Surface, u: f64, z: f64) -> (Vector, Vector) {
    if let Surface::Flat { origin, right, up, normal, .. } = surface {
        return ([0, 1, 2].map(|c| origin[c] + right[c] * u + up[c] * z), *normal);
    }
    let [r, slope] = surface.radius_at(z).unwrap_or_default();
    let c = 1.0 / (1.0 + slope * slope).sqrt();
    let out = if surface.faces_axis() { -c } else { c };
    let [x, y] = match surface {
        Surface::Round { sides: Some(sides), .. } => sides.at(u),
        _ => [u.cos(), u.sin()],
    };
    ([r * x, r * y, z], [x * out, y * out, -slope * out])
}

/// The thinnest wall, and the first place at which the face is open or covered.
pub fn thinnest(
    host: &Body,
    inlay: &Inlay,
    placement: &Placement,
    strips: &Strips,
) -> (Option<Sample>, Option<Sample>) {
    let mut thin: Option<(f64, Sample)> = None;
    let mut bad = None;
    for sample in samples(host, inlay, placement, strips) {
        match sample.behind {
            Behind::Wall(mm) if thin.is_none_or(|(best, _)| mm < best) => thin = Some((mm, sample)),
            Behind::Open | Behind::Covered if bad.is_none() => bad = Some(sample),
            _ => {}
        }
    }
    (thin.map(|t| t.1), bad)
}

/// Whether a relief on a flat face has its place to itself: material behind it as deep as
/// it is sunk and a little more, or nothing before it where it stands. Measured at samples.
pub fn has_place(host: &Body, relief: &Relief, placement: &Placement, strips: &Strips) -> bool {
    let pattern = &relief.pattern;
    let room = pattern.sink_mm + ROOM_MM;
    let clear = |sample: &Sample| match sample.behind {
        _ if relief.stands => {
            // Here the line comes out of the host.
            let line = square(pattern, placement, sample.u, sample.z);
            let near = nearness_mm(&pattern.surface);
            let before = |s: &[f64; 2]| s[1] > OUTSIDE_MM + near && s[0] < OUTSIDE_MM + room;
            !through(host, line).iter().any(before)
        }
        Behind::Wall(mm) => mm > room,
        Behind::Open | Behind::Covered => false,
    };
    let found = samples(host, pattern, placement, strips);
    !found.is_empty() && found.iter().all(clear)
}

fn samples(host: &Body, inlay: &Inlay, placement: &Placement, strips: &Strips) -> Vec<Sample> {
    let Some([low, high]) = extent(strips) else { return Vec::new() };
    let same_all_round = inlay.surface.is_turned() && is_round(host) && placement.keeps_axis();
    let heights = heights(inlay, low, high);
    let [first, last] =
        [strips.lines.first(), strips.lines.last()].map(|l| l.copied().unwrap_or(0.0));
    let [from, to] = strips.period.map_or([first, last], |turn| [first, first + turn]);
    let columns = if same_all_round { 1 } else { SAMPLES[1] };
    let mut out = Vec::new();
    for k in 0..columns {
        let u = from + (to - from) * (k as f64 + 0.5) / columns as f64;
        for z in &heights {
            if same_all_round || drawn(strips, u, *z) {
                out.push(Sample { u, z: *z, behind: behind(host, inlay, placement, u, *z) });
            }
        }
    }
    out
}

/// The line along which a pattern goes into the surface at a place, from [`OUTSIDE_MM`]
/// before it.
fn square(inlay: &Inlay, placement: &Placement, u: f64, z: f64) -> Line {
    let (point, out) = on_surface(&inlay.surface, u, z);
    let long = length(out);
    let (point, normal) = (placement.point(point), placement.direction(out.map(|c| c / long)));
    Line { from: [0, 1, 2].map(|c| point[c] + OUTSIDE_MM * normal[c]), along: normal.map(|c| -c) }
}

/// How near to a face a line counts as entering there, mm: arcs are followed by chords.
fn nearness_mm(surface: &Surface) -> f64 {
    match surface {
        Surface::Belly { .. } => ON_FACE_MM + CHORD_MM,
        Surface::Round { .. } | Surface::Flat { .. } => ON_FACE_MM,
    }
}

fn behind(host: &Body, inlay: &Inlay, placement: &Placement, u: f64, z: f64) -> Behind {
    let stretches: Stretches = through(host, square(inlay, placement, u, z));
    let near = nearness_mm(&inlay.surface);
    match stretches.iter().find(|s| s[1] > OUTSIDE_MM + near) {
        Some([from, _]) if *from < OUTSIDE_MM - near => Behind::Covered,
        Some([from, to]) if *from < OUTSIDE_MM + near => {
            let askew = length(on_surface(&inlay.surface, u, z).1);
            Behind::Wall((to - OUTSIDE_MM) / askew)
        }
        _ => Behind::Open,
    }
}

/// Heights at which to measure: evenly over the band, and beside every corner of the
/// profile and every centre of its arcs, as seen square to the surface. Between those
/// a turned wall has no minimum.
fn heights(inlay: &Inlay, low: f64, high: f64) -> Vec<f64> {
    // The floor of a pocket in a cone reaches past its opening, seen square to the face.
    let past = inlay.sink_mm * inlay.lean_rad().sin().abs();
    let (low, high) = match &inlay.surface {
        Surface::Round { span_mm, .. } => {
            ((low - past).max(span_mm[0]), (high + past).min(span_mm[1]))
        }
        Surface::Belly { .. } => {
            let span_mm = inlay.surface.span_mm();
            ((low - inlay.sink_mm).max(span_mm[0]), (high + inlay.sink_mm).min(span_mm[1]))
        }
        Surface::Flat { .. } => (low, high),
    };
    // Bands lower than that are measured in their middle.
    let [least, most] = if high - low > 2.0 * ON_FACE_MM {
        [low + ON_FACE_MM, high - ON_FACE_MM]
    } else {
        [(low + high) / 2.0; 2]
    };
    let inside = |z: f64| z.max(least).min(most);
    let n = SAMPLES[0];
    let mut all: Vec<f64> =
        (0..=n).map(|k| inside(low + (high - low) * k as f64 / n as f64)).collect();
    if let Surface::Round { host, radius_mm, slope, .. } = &inlay.surface {
        for z in feet(host, *radius_mm, *slope) {
            if z > low && z < high {
                all.extend([inside(z - 1e-5), inside(z + 1e-5)]);
            }
        }
    }
    all
}

/// Heights at which lines square to a face meet corners of the profile or centres of arcs.
fn feet(host: &Turned, radius: f64, slope: f64) -> Vec<f64> {
    let foot = |x: f64, y: f64| ((x - radius) * slope + y) / (1.0 + slope * slope);
    let mut out = Vec::new();
    for (_, segment) in host.outline.loops.iter().flat_map(|track| track.iter()) {
        out.push(foot(segment.to.x, segment.to.y));
        if let Curve::Arc { centre, .. } = segment.curve {
            out.push(foot(centre.x, centre.y));
        }
    }
    out
}

/// Lowest and highest z of what is drawn.
pub fn extent(strips: &Strips) -> Option<[f64; 2]> {
    let intervals = strips.strips.iter().flatten();
    let ends = intervals.map(|v| [v.bottom[0].min(v.bottom[1]), v.top[0].max(v.top[1])]);
    ends.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])])
}

/// Whether something is drawn at a place.
pub fn drawn(strips: &Strips, u: f64, z: f64) -> bool {
    let (Some(first), n) = (strips.lines.first(), strips.strips.len()) else { return false };
    let u = strips.period.map_or(u, |turn| first + (u - first).rem_euclid(turn));
    let index = strips.lines.partition_point(|line| *line <= u).wrapping_sub(1);
    if index >= n {
        return false;
    }
    let from = strips.lines[index];
    let to = strips
        .lines
        .get(index + 1)
        .copied()
        .unwrap_or_else(|| first + strips.period.unwrap_or(0.0));
    let share = if to > from { (u - from) / (to - from) } else { 0.5 };
    let at = |ends: [f64; 2]| ends[0] + (ends[1] - ends[0]) * share;
    strips.strips[index].iter().any(|v| z >= at(v.bottom) && z <= at(v.top))
}

/// Whether a body is the same all round the z axis.
fn is_round(body: &Body) -> bool {
    match body {
        Body::Empty => true,
        Body::Leaf(Leaf::Turned(turned)) => turned.sides.is_none(),
        Body::Leaf(_) => false,
        Body::Placed { body, placement } => placement.keeps_axis() && is_round(body),
        Body::Boolean { left, right, .. } => is_round(left) && is_round(right),
        Body::Many(bodies) => bodies.iter().all(|b| is_round(b)),
    }
}
