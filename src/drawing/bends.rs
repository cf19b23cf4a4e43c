//! Points moved by matrices, curves into chords and arcs.

use super::DRAWN_SAGITTA_MM;
use crate::plane::{Curve, Outline, Point, Segment, Track};
use std::f64::consts::{FRAC_PI_2, PI};

/// x' = a x + c y + e, y' = b x + d y + f (SVG 1.1, coordinate systems).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Matrix(pub(super) [f64; 6]);

impl Matrix {
    pub(super) const NONE: Matrix = Matrix([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);

    pub(super) fn scale(x: f64, y: f64) -> Self {
        Matrix([x, 0.0, 0.0, y, 0.0, 0.0])
    }

    pub(super) fn shift(x: f64, y: f64) -> Self {
        Matrix([1.0, 0.0, 0.0, 1.0, x, y])
    }

    /// `inner` first, then `self`.
    pub(super) fn after(self, inner: Matrix) -> Matrix {
        let ([a, b, c, d, e, f], [g, h, i, j, k, l]) = (self.0, inner.0);
        Matrix([
            a * g + c * h,
            b * g + d * h,
            a * i + c * j,
            b * i + d * j,
            a * k + c * l + e,
            b * k + d * l + f,
        ])
    }

    pub(super) fn of(self, p: Point) -> Point {
        let [a, b, c, d, e, f] = self.0;
        Point::new(a * p.x + c * p.y + e, b * p.x + d * p.y + f)
    }

    pub(super) fn determinant(self) -> f64 {
        let [a, b, c, d, ..] = self.0;
        a * d - b * c
    }

    /// The factor of all lengths where circles stay circles.
    pub(super) fn even(self) -> Option<f64> {
        let [a, b, c, d, ..] = self.0;
        let (x, y) = (a.hypot(b), c.hypot(d));
        let skew = (a * c + b * d).abs();
        (x > 0.0 && (x - y).abs() <= 1e-9 * x && skew <= 1e-9 * x * x).then_some(x)
    }
}

/// A piece of a run, from where the one before it ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Bend {
    Line(Point),
    /// Round `centre` from `start` over `sweep` (rad), with both half axes and the turn of
    /// the first.
    Arc {
        centre: Point,
        radii: [f64; 2],
        turn: f64,
        start: f64,
        sweep: f64,
        to: Point,
    },
    Cubic(Point, Point, Point),
}

/// A run of lines and curves in user units.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Run {
    pub(super) start: Point,
    pub(super) bends: Vec<Bend>,
    pub(super) closed: bool,
}

/// The run on the sheet, mm; nothing where it has no length. Arcs of circles stay arcs
/// where the matrix keeps circles.
pub(super) fn track(run: &Run, matrix: Matrix) -> Option<Track> {
    let start = matrix.of(run.start);
    let mut track = Track { start, segments: Vec::new() };
    let mut from = run.start;
    for bend in &run.bends {
        match *bend {
            Bend::Line(to) => push(&mut track, matrix.of(to), Curve::Line),
            Bend::Cubic(b, c, to) => {
                let ends = [from, b, c, to].map(|p| matrix.of(p));
                cubic(&mut track, ends);
            }
            Bend::Arc { .. } => arc(&mut track, *bend, matrix),
        }
        from = match *bend {
            Bend::Line(to) | Bend::Cubic(_, _, to) | Bend::Arc { to, .. } => to,
        };
    }
    if run.closed {
        close(&mut track);
    }
    (!track.segments.is_empty()).then_some(track)
}

/// A straight line back to the start, which then is met to the bit.
pub(super) fn close(track: &mut Track) {
    let start = track.start;
    let Some(last) = track.segments.last_mut() else { return };
    if last.to.distance(start) <= SAME_MM {
        last.to = start;
    } else {
        push(track, start, Curve::Line);
    }
}

/// Points nearer than this are one, mm; what `plane` takes for touching.
const SAME_MM: f64 = crate::plane::TOUCH_MM;

fn push(track: &mut Track, to: Point, curve: Curve) {
    let from = track.segments.last().map_or(track.start, |s| s.to);
    if from.distance(to) > SAME_MM {
        track.segments.push(Segment { to, curve, face: None });
    }
}

/// Chords of a cubic. A chord over 1/n of the parameter leaves the curve by no more than
/// |second derivative| / (8 n2), and that of a cubic is at most six times the larger second
/// difference of its points (de Boor, A Practical Guide to Splines; from memory).
fn cubic(track: &mut Track, [a, b, c, d]: [Point; 4]) {
    let bend = (a - b * 2.0 + c).length().max((b - c * 2.0 + d).length());
    let chords = (6.0 * bend / (8.0 * DRAWN_SAGITTA_MM)).sqrt().ceil().clamp(1.0, 1e4) as usize;
    for i in 1..=chords {
        let t = i as f64 / chords as f64;
        let s = 1.0 - t;
        let at = a * (s * s * s) + b * (3.0 * s * s * t) + c * (3.0 * s * t * t) + d * (t * t * t);
        push(track, if i == chords { d } else { at }, Curve::Line);
    }
}

fn arc(track: &mut Track, bend: Bend, matrix: Matrix) {
    let Bend::Arc { centre, radii: [rx, ry], turn, start, sweep, to } = bend else { return };
    let (sin, cos) = turn.sin_cos();
    let at = |angle: f64| {
        let (x, y) = (rx * angle.cos(), ry * angle.sin());
        matrix.of(centre + Point::new(x * cos - y * sin, x * sin + y * cos))
    };
    let round = matrix.even().filter(|_| (rx - ry).abs() <= 1e-9 * rx);
    let parts = match round {
        Some(_) => (sweep.abs() / FRAC_PI_2).ceil().max(1.0) as usize,
        None => {
            // The sagitta of a chord over the angle t is r (1 - cos(t / 2)).
            let [a, b, c, d, ..] = matrix.0;
            let reach = a.hypot(b).hypot(c.hypot(d)) * rx.max(ry);
            let step = 2.0 * (1.0 - DRAWN_SAGITTA_MM / reach.max(DRAWN_SAGITTA_MM)).acos();
            (sweep.abs() / step.max(1e-3)).ceil().clamp(4.0, 1e4) as usize
        }
    };
    let curve = match round {
        Some(_) => Curve::Arc {
            centre: matrix.of(centre),
            anticlockwise: (sweep > 0.0) == (matrix.determinant() > 0.0),
        },
        None => Curve::Line,
    };
    for i in 1..=parts {
        let end =
            if i == parts { matrix.of(to) } else { at(start + sweep * i as f64 / parts as f64) };
        push(track, end, curve);
    }
}

/// The arc of path data: from both ends to the centre (SVG 1.1, appendix F.6.5 and F.6.6).
/// A straight line where a radius is 0.
pub(super) fn elliptic(
    from: Point,
    [rx, ry]: [f64; 2],
    turn: f64,
    [large, sweep]: [bool; 2],
    to: Point,
) -> Bend {
    let (mut rx, mut ry) = (rx.abs(), ry.abs());
    if rx == 0.0 || ry == 0.0 || from == to {
        return Bend::Line(to);
    }
    let (sin, cos) = turn.sin_cos();
    let half = (from - to) * 0.5;
    let p = Point::new(cos * half.x + sin * half.y, -sin * half.x + cos * half.y);
    let short = (p.x / rx).powi(2) + (p.y / ry).powi(2);
    if short > 1.0 {
        rx *= short.sqrt();
        ry *= short.sqrt();
    }
    let (rx2, ry2) = (rx * rx, ry * ry);
    let under = rx2 * p.y * p.y + ry2 * p.x * p.x;
    let root = ((rx2 * ry2 - under) / under).max(0.0).sqrt();
    let sign = if large == sweep { -1.0 } else { 1.0 };
    let c = Point::new(rx * p.y / ry, -ry * p.x / rx) * (sign * root);
    let centre = Point::new(cos * c.x - sin * c.y, sin * c.x + cos * c.y) + (from + to) * 0.5;
    let angle = |q: Point| (q.y / ry).atan2(q.x / rx);
    let (start, end) = (angle(p - c), angle(-p - c));
    let mut turned = (end - start).rem_euclid(2.0 * PI);
    if !sweep {
        turned -= 2.0 * PI;
    }
    Bend::Arc { centre, radii: [rx, ry], turn, start, sweep: turned, to }
}

/// An outline through a matrix that does not keep circles.
pub(super) fn skewed(outline: &Outline, matrix: Matrix) -> Vec<Track> {
    let polygons = outline.flattened(DRAWN_SAGITTA_MM / 2.0);
    let mut tracks = Vec::new();
    for polygon in polygons {
        let mut points = polygon.iter().map(|p| matrix.of(*p));
        let Some(start) = points.next() else { continue };
        let mut track = Track { start, segments: Vec::new() };
        points.for_each(|p| push(&mut track, p, Curve::Line));
        close(&mut track);
        if track.segments.len() > 2 {
            tracks.push(track);
        }
    }
    tracks
}
