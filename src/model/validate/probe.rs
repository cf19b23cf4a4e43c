//! Where a straight line runs through the material of a body: enough geometry to
//! measure walls before any engine runs.
//!
//! Arcs are cut into chords within [`CHORD_MM`]; treated edges of prisms are taken as
//! sharp, because no face of theirs carries an inlay.

use crate::model::vector::{cross, dot, sub};
use crate::model::{Body, Leaf, Operation, Placement, Prism, Sides, Turned, Vector};
use crate::plane::{Curve, Outline, Point};

/// How far a chord may lie from its arc, mm: a tenth of what a printer can place.
pub const CHORD_MM: f64 = 0.005;

/// Lines that run exactly through a corner or along a face count it twice or not at
/// all; every line is moved sideways by this much (mm, in no special direction).
const ASIDE_MM: [f64; 3] = [2.37e-7, -1.91e-7, 3.13e-7];

/// A straight line: `from` + t * `along`, `along` of length 1, t in mm.
#[derive(Clone, Copy, Debug)]
pub struct Line {
    /// Where t is 0.
    pub from: Vector,
    /// Its direction.
    pub along: Vector,
}

impl Line {
    fn at(&self, t: f64) -> Vector {
        [0, 1, 2].map(|c| self.from[c] + t * self.along[c])
    }

    fn placed(&self, placement: &Placement) -> Line {
        Line { from: placement.point(self.from), along: placement.direction(self.along) }
    }
}

/// Stretches of t in which the line is in material, ascending, not touching.
pub type Stretches = Vec<[f64; 2]>;

/// The stretches of a line that lie in the material of `body`. Inlays and reliefs
/// count as nothing: they are not hosts.
pub fn through(body: &Body, line: Line) -> Stretches {
    let aside = Line { from: [0, 1, 2].map(|c| line.from[c] + ASIDE_MM[c]), ..line };
    material(body, aside)
}

fn material(body: &Body, line: Line) -> Stretches {
    match body {
        Body::Empty | Body::Leaf(Leaf::Inlay(_) | Leaf::Relief(_)) => Vec::new(),
        Body::Leaf(Leaf::Turned(turned)) => in_turned(turned, line),
        Body::Leaf(Leaf::Prism(prism)) => in_prism(prism, line),
        Body::Placed { body, placement } => material(body, line.placed(&placement.inverse())),
        Body::Boolean { operation, left, right } => {
            let (left, right) = (material(left, line), material(right, line));
            combine(&left, &right, *operation)
        }
        Body::Many(bodies) => bodies
            .iter()
            .map(|b| material(b, line))
            .fold(Vec::new(), |all, one| combine(&all, &one, Operation::Join)),
    }
}

/// The boolean of two sets of stretches.
fn combine(left: &[[f64; 2]], right: &[[f64; 2]], operation: Operation) -> Stretches {
    let mut ends: Vec<(f64, bool, bool)> = Vec::new();
    for (stretches, is_left) in [(left, true), (right, false)] {
        for [from, to] in stretches {
            ends.push((*from, is_left, true));
            ends.push((*to, is_left, false));
        }
    }
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut in_left, mut in_right, mut since) = (false, false, None);
    let mut out = Vec::new();
    for (t, is_left, opens) in ends {
        if is_left {
            in_left = opens
        } else {
            in_right = opens
        }
        let inside = match operation {
            Operation::Join => in_left || in_right,
            Operation::Less => in_left && !in_right,
            Operation::Meet => in_left && in_right,
        };
        match (since, inside) {
            (None, true) => since = Some(t),
            (Some(from), false) => {
                if t > from {
                    out.push([from, t]);
                }
                since = None;
            }
            _ => {}
        }
    }
    join_touching(out)
}

fn join_touching(stretches: Stretches) -> Stretches {
    let mut out: Stretches = Vec::new();
    for [from, to] in stretches {
        match out.last_mut() {
            Some(last) if from - last[1] < 1e-9 => last[1] = to,
            _ => out.push([from, to]),
        }
    }
    out
}

fn pairs(mut hits: Vec<f64>) -> Stretches {
    hits.sort_by(f64::total_cmp);
    hits.chunks_exact(2).map(|c| [c[0], c[1]]).collect()
}

/// The loops of an outline as corners, arcs cut into chords.
pub fn corners(outline: &Outline) -> Vec<Vec<Point>> {
    let run = |track: &crate::plane::Track| {
        let mut out = Vec::new();
        for (from, segment) in track.iter() {
            out.push(from);
            if let Curve::Arc { centre, anticlockwise } = segment.curve {
                out.extend(arc_points(from, segment.to, centre, anticlockwise));
            }
        }
        out
    };
    outline.loops.iter().map(run).collect()
}

/// Points between the ends of an arc of at most half a turn.
fn arc_points(from: Point, to: Point, centre: Point, anticlockwise: bool) -> Vec<Point> {
    let radius = (from.x - centre.x).hypot(from.y - centre.y);
    let start = (from.y - centre.y).atan2(from.x - centre.x);
    let end = (to.y - centre.y).atan2(to.x - centre.x);
    let turn = std::f64::consts::TAU;
    let sweep = if anticlockwise {
        (end - start).rem_euclid(turn)
    } else {
        -(start - end).rem_euclid(turn)
    };
    if radius <= CHORD_MM {
        return Vec::new();
    }
    let step = 2.0 * (1.0 - CHORD_MM / radius).acos();
    let count = (sweep.abs() / step).ceil().clamp(1.0, 10_000.0) as usize;
    let at = |k: usize| {
        let angle = start + sweep * k as f64 / count as f64;
        Point::new(centre.x + radius * angle.cos(), centre.y + radius * angle.sin())
    };
    (1..count).map(at).collect()
}

fn edges(loops: &[Vec<Point>]) -> impl Iterator<Item = (Point, Point)> + '_ {
    loops.iter().flat_map(|l| (0..l.len()).map(move |i| (l[i], l[(i + 1) % l.len()])))
}

fn in_turned(turned: &Turned, line: Line) -> Stretches {
    let loops = corners(&turned.outline);
    let mut hits = Vec::new();
    for (a, b) in edges(&loops) {
        match turned.sides {
            Some(sides) => cross_sides(a, b, sides, line, &mut hits),
            None => cross_swept(a, b, line, &mut hits),
        }
    }
    pairs(hits)
}

/// Where a line crosses the cone, cylinder or plane that the edge a-b sweeps.
fn cross_swept(a: Point, b: Point, line: Line, hits: &mut Vec<f64>) {
    let (p, d) = (line.from, line.along);
    if a.y == b.y {
        if d[2] != 0.0 {
            let t = (a.y - p[2]) / d[2];
            let q = line.at(t);
            let radius = q[0].hypot(q[1]);
            if radius >= a.x.min(b.x) && radius < a.x.max(b.x) {
                hits.push(t);
            }
        }
        return;
    }
    // x^2 + y^2 = (r0 + slope z)^2, a quadratic in t.
    let slope = (b.x - a.x) / (b.y - a.y);
    let (r, dr) = (a.x + slope * (p[2] - a.y), slope * d[2]);
    let qa = d[0] * d[0] + d[1] * d[1] - dr * dr;
    let qb = p[0] * d[0] + p[1] * d[1] - r * dr;
    let qc = p[0] * p[0] + p[1] * p[1] - r * r;
    let (low, high) = (a.y.min(b.y), a.y.max(b.y));
    let mut take = |t: f64| {
        let z = p[2] + t * d[2];
        if z >= low && z < high && r + dr * t >= 0.0 {
            hits.push(t);
        }
    };
    if qa.abs() < 1e-14 {
        if qb != 0.0 {
            take(-qc / (2.0 * qb));
        }
        return;
    }
    let root = qb * qb - qa * qc;
    if root > 0.0 {
        let root = root.sqrt();
        take((-qb - root) / qa);
        take((-qb + root) / qa);
    }
}

/// Where a line crosses the flats that the edge a-b sweeps along so many sides.
fn cross_sides(a: Point, b: Point, sides: Sides, line: Line, hits: &mut Vec<f64>) {
    let (p, d) = (line.from, line.along);
    if a.y == b.y {
        if d[2] != 0.0 {
            let t = (a.y - p[2]) / d[2];
            let q = line.at(t);
            let (out, _) = sides.over(q[0], q[1]);
            if out >= a.x.min(b.x) && out < a.x.max(b.x) {
                hits.push(t);
            }
        }
        return;
    }
    let slope = (b.x - a.x) / (b.y - a.y);
    let (low, high) = (a.y.min(b.y), a.y.max(b.y));
    for k in 0..sides.count() {
        let (sin, cos) = (sides.corner_rad(k) + sides.turn_rad() / 2.0).sin_cos();
        // Distance from the axis minus that of the flat, linear in t.
        let off = p[0] * cos + p[1] * sin - a.x - slope * (p[2] - a.y);
        let rate = d[0] * cos + d[1] * sin - slope * d[2];
        if rate == 0.0 {
            continue;
        }
        let t = -off / rate;
        let q = line.at(t);
        let out = q[0] * cos + q[1] * sin;
        let along = q[1] * cos - q[0] * sin;
        let half = out * sides.half_width();
        if out >= 0.0 && q[2] >= low && q[2] < high && along >= -half && along < half {
            hits.push(t);
        }
    }
}

fn in_prism(prism: &Prism, line: Line) -> Stretches {
    let lower = corners(&prism.outline);
    let upper = if prism.taper_rad == 0.0 {
        lower.clone()
    } else {
        lower.iter().map(|l| leaned(l, prism.height_mm * prism.taper_rad.tan())).collect()
    };
    let mut hits = Vec::new();
    for (low, high) in lower.iter().zip(&upper) {
        for i in 0..low.len() {
            let j = (i + 1) % low.len();
            let up = |p: Point, z: f64| [p.x, p.y, z];
            let (a, b) = (up(low[i], 0.0), up(low[j], 0.0));
            let (c, e) = (up(high[j], prism.height_mm), up(high[i], prism.height_mm));
            hits.extend(cross_triangle(line, [a, b, c]));
            hits.extend(cross_triangle(line, [a, c, e]));
        }
    }
    if line.along[2] != 0.0 {
        for (z, loops) in [(0.0, &lower), (prism.height_mm, &upper)] {
            let t = (z - line.from[2]) / line.along[2];
            let q = line.at(t);
            if holds(loops, Point::new(q[0], q[1])) {
                hits.push(t);
            }
        }
    }
    pairs(hits)
}

/// A loop whose sides are all moved outwards by `by`: how a tapered prism grows.
fn leaned(corners: &[Point], by: f64) -> Vec<Point> {
    let n = corners.len();
    let normal = |i: usize| {
        let (a, b) = (corners[i % n], corners[(i + 1) % n]);
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let length = dx.hypot(dy).max(f64::MIN_POSITIVE);
        (dy / length, -dx / length)
    };
    let moved = |i: usize| {
        let (before, after) = (normal(i + n - 1), normal(i));
        let scale = by / (1.0 + before.0 * after.0 + before.1 * after.1).max(1e-6);
        Point::new(
            corners[i].x + scale * (before.0 + after.0),
            corners[i].y + scale * (before.1 + after.1),
        )
    };
    (0..n).map(moved).collect()
}

/// Where a line crosses a triangle (Moeller and Trumbore, J. Graphics Tools 2(1), 1997).
fn cross_triangle(line: Line, [a, b, c]: [Vector; 3]) -> Option<f64> {
    let (u, v) = (sub(b, a), sub(c, a));
    let h = cross(line.along, v);
    let det = dot(u, h);
    if det == 0.0 {
        return None;
    }
    let s = sub(line.from, a);
    let x = dot(s, h) / det;
    let q = cross(s, u);
    let y = dot(line.along, q) / det;
    (x >= 0.0 && y >= 0.0 && x + y < 1.0).then(|| dot(v, q) / det)
}

/// Whether loops hold a point, by the even-odd rule.
pub fn holds(loops: &[Vec<Point>], p: Point) -> bool {
    let crosses = |(a, b): (Point, Point)| {
        (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
    };
    edges(loops).filter(|e| crosses(*e)).count() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::{Edge, Segment, Track};
    use std::sync::Arc;

    pub fn polygon(points: &[(f64, f64)]) -> Outline {
        let to =
            |p: &(f64, f64)| Segment { to: Point::new(p.0, p.1), curve: Curve::Line, face: None };
        let start = Point::new(points[0].0, points[0].1);
        let segments = points[1..].iter().chain(&points[..1]).map(to).collect();
        Outline { loops: vec![Track { start, segments }] }
    }

    fn near(stretches: &Stretches, expected: &[[f64; 2]]) {
        assert_eq!(stretches.len(), expected.len(), "{stretches:?}");
        for (a, b) in stretches.iter().zip(expected) {
            assert!((a[0] - b[0]).abs() < 1e-5 && (a[1] - b[1]).abs() < 1e-5, "{a:?} {b:?}");
        }
    }

    #[test]
    fn a_line_across_a_cup_meets_its_wall_twice() {
        let cup = polygon(&[
            (0.0, 0.0),
            (40.0, 0.0),
            (40.0, 50.0),
            (38.0, 50.0),
            (38.0, 3.0),
            (0.0, 3.0),
        ]);
        let body = Body::Leaf(Leaf::Turned(Arc::new(Turned { outline: cup, sides: None })));
        let across = Line { from: [-50.0, 0.0, 20.0], along: [1.0, 0.0, 0.0] };
        near(&through(&body, across), &[[10.0, 12.0], [88.0, 90.0]]);
        let down = Line { from: [5.0, 0.0, 60.0], along: [0.0, 0.0, -1.0] };
        near(&through(&body, down), &[[57.0, 60.0]]);
    }

    #[test]
    fn a_wall_left_by_a_smaller_prism_is_seen() {
        let square =
            |half: f64| polygon(&[(-half, -half), (half, -half), (half, half), (-half, half)]);
        let prism = |half, height_mm| {
            Body::Leaf(Leaf::Prism(Arc::new(Prism {
                outline: square(half),
                height_mm,
                taper_rad: 0.0,
                top: Edge::None,
                bottom: Edge::None,
            })))
        };
        let hole = Body::Placed {
            body: Arc::new(prism(17.0, 40.0)),
            placement: Placement::shifted([0.0, 0.0, 2.0]),
        };
        let body = Body::Boolean {
            operation: Operation::Less,
            left: Arc::new(prism(20.0, 30.0)),
            right: Arc::new(hole),
        };
        let inward = Line { from: [0.0, -21.0, 10.0], along: [0.0, 1.0, 0.0] };
        near(&through(&body, inward), &[[1.0, 4.0], [38.0, 41.0]]);
    }
}
