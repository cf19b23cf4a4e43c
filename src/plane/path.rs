//! Paths: lines and arcs one after another, their corners treated.

use super::builders::above_zero;
use super::crossing::{TOUCH_MM, carriers_meet};
use super::error::{PathError, PlaneError};
use super::outline::{Curve, Edge, Point, Segment, Track};
use super::stretch::Stretch;
use std::f64::consts::{FRAC_PI_4, PI};
use std::sync::Arc;

/// How a step of a path runs to its end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PathCurve {
    /// Straight.
    Line,
    /// On the circle through this point.
    Through(Point),
    /// On a circle of this radius (mm), bending to the left or right as it runs; the
    /// longer of the two ways round where `long`.
    Radius { radius: f64, left: bool, long: bool },
}

/// A step of a path.
#[derive(Clone, Debug, PartialEq)]
pub struct PathStep {
    /// Where it ends.
    pub to: Point,
    /// How it runs there.
    pub curve: PathCurve,
    /// Treatment of the corner at its end.
    pub edge: Edge,
    /// The face it sweeps; a treated corner belongs to none.
    pub face: Option<Arc<str>>,
}

/// The straight step back to the start.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Close {
    /// Treatment of the corner at the start.
    pub edge: Edge,
    /// The face it sweeps.
    pub face: Option<Arc<str>>,
}

/// A side of the path under work.
struct Side {
    stretch: Stretch,
    edge: Edge,
    face: Option<Arc<str>>,
    /// What replaces the corner at its end.
    joint: Option<Stretch>,
}

/// A path from `start` over all steps; with `close` back to the start. A last step
/// that ends at the start closes the path by itself, and `close` then treats its
/// corner.
///
/// # Errors
/// The first step that cannot be made, counted from 0; the closing one comes last.
pub fn path(start: Point, steps: &[PathStep], close: Option<&Close>) -> Result<Track, PathError> {
    let mut sides = Vec::with_capacity(steps.len() + 1);
    let mut from = start;
    for (step, next) in steps.iter().enumerate() {
        let closes = close.is_some() && step + 1 == steps.len() && step > 0;
        let to = if closes && next.to.distance(start) <= TOUCH_MM { start } else { next.to };
        let stretch = run(from, to, next.curve).map_err(|reason| PathError { step, reason })?;
        sides.push(Side { stretch, edge: next.edge, face: next.face.clone(), joint: None });
        from = to;
    }
    if let Some(close) = close {
        match sides.last_mut() {
            Some(last) if from == start => {
                if close.edge != Edge::None {
                    last.edge = close.edge;
                }
                last.face = last.face.take().or(close.face.clone());
            }
            _ => sides.push(Side {
                stretch: Stretch::line(from, start),
                edge: close.edge,
                face: close.face.clone(),
                joint: None,
            }),
        }
    }
    if sides.is_empty() || (close.is_some() && sides.len() < 2) {
        let reason = PlaneError::TooFewPoints { points: sides.len() };
        return Err(PathError { step: 0, reason });
    }
    treat_all(&mut sides, close.is_some())?;
    Ok(assemble(sides, close.is_some()))
}

/// The stretch of one step.
fn run(from: Point, to: Point, curve: PathCurve) -> Result<Stretch, PlaneError> {
    if !to.is_finite() {
        return Err(PlaneError::NotPositive { what: "position", value: f64::NAN });
    }
    if from.distance(to) <= TOUCH_MM {
        return Err(PlaneError::NoLength { at: to });
    }
    match curve {
        PathCurve::Line => Ok(Stretch::line(from, to)),
        PathCurve::Through(via) => arc_through(from, via, to),
        PathCurve::Radius { radius, left, long } => {
            let radius = above_zero("radius", radius)?;
            let half = (to - from) * 0.5;
            let least_mm = half.length();
            if radius < least_mm - TOUCH_MM {
                return Err(PlaneError::RadiusTooSmall { radius_mm: radius, least_mm });
            }
            let height = ((radius - least_mm) * (radius + least_mm)).max(0.0).sqrt();
            let side = if left == long { -height } else { height };
            let centre = from + half + half.left().unit() * side;
            Ok(Stretch::arc(from, to, centre, left))
        }
    }
}

/// The arc through three points.
fn arc_through(from: Point, via: Point, to: Point) -> Result<Stretch, PlaneError> {
    /// An arc that rises less over its chord is a straight line: as a share of the chord.
    const STRAIGHT: f64 = 1e-9;
    let (a, b) = (via - from, to - from);
    let cross = a.cross(b);
    if cross.abs() <= STRAIGHT * a.length().max(b.length()) * b.length() {
        return Err(PlaneError::StraightArc { through: via });
    }
    // Centre of the circle round a triangle, one corner at the origin.
    let (aa, bb) = (a.dot(a), b.dot(b));
    let centre = Point::new(b.y * aa - a.y * bb, a.x * bb - b.x * aa) * (0.5 / cross);
    Ok(Stretch::arc(from, to, from + centre, cross > 0.0))
}

fn treat_all(sides: &mut [Side], closed: bool) -> Result<(), PathError> {
    let count = sides.len();
    for step in 0..count {
        let edge = sides[step].edge;
        if edge == Edge::None {
            continue;
        }
        let wrap = |reason| PathError { step, reason };
        if !closed && step + 1 == count {
            return Err(wrap(PlaneError::FreeEnd { at: sides[step].stretch.to }));
        }
        let next = (step + 1) % count;
        let joint = treat(&sides[step].stretch, &sides[next].stretch, edge).map_err(wrap)?;
        sides[step].stretch.to = joint.from;
        sides[next].stretch.from = joint.to;
        sides[step].joint = Some(joint);
    }
    Ok(())
}

/// What replaces the corner between `a` and `b`.
fn treat(a: &Stretch, b: &Stretch, edge: Edge) -> Result<Stretch, PlaneError> {
    /// Turns of less than this are smooth, rad.
    const SMOOTH: f64 = 1e-6;
    let (da, db) = (a.direction(1.0), b.direction(0.0));
    let turn = da.cross(db).atan2(da.dot(db));
    if turn.abs() < SMOOTH || turn.abs() > PI - SMOOTH {
        return Err(PlaneError::NoCorner { at: a.to });
    }
    match edge {
        Edge::None => Ok(Stretch::line(a.to, b.from)),
        Edge::Bevel { leg, angle } => {
            let leg = above_zero("leg of a bevel", leg)?;
            let angle = above_zero("angle of a bevel", angle)?;
            let second = second_leg(leg, angle, turn.abs())?;
            let (p, q) = (along(a, leg, true)?, along(b, second, false)?);
            Ok(Stretch::line(p, q))
        }
        Edge::Round(radius) => round(a, b, above_zero("radius", radius)?, turn > 0.0),
    }
}

/// Length of a bevel along the second side. At 45 deg both legs are alike, whatever
/// the corner; else by the law of sines.
fn second_leg(leg: f64, angle: f64, turn: f64) -> Result<f64, PlaneError> {
    const SAME_ANGLE: f64 = 1e-12;
    if (angle - FRAC_PI_4).abs() < SAME_ANGLE {
        return Ok(leg);
    }
    if angle >= turn {
        return Err(PlaneError::BevelTooSteep { angle_rad: angle, limit_rad: turn });
    }
    Ok(leg * angle.sin() / (turn - angle).sin())
}

/// The point `wanted_mm` from the end (or start) of a side.
fn along(side: &Stretch, wanted_mm: f64, from_end: bool) -> Result<Point, PlaneError> {
    let room_mm = side.length();
    if wanted_mm > room_mm + TOUCH_MM {
        return Err(PlaneError::TreatmentTooLong { wanted_mm, room_mm });
    }
    let share = wanted_mm / room_mm;
    Ok(side.at(if from_end { 1.0 - share } else { share }))
}

/// The arc of `radius` that runs smoothly into both sides.
fn round(a: &Stretch, b: &Stretch, radius: f64, left: bool) -> Result<Stretch, PlaneError> {
    let Some(arc) = rounding(a, b, radius, left) else {
        // No circle touches both: find the largest that does.
        let (mut low, mut high) = (0.0, radius);
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            let fits = rounding(a, b, middle, left).is_some();
            if fits { low = middle } else { high = middle }
        }
        return Err(PlaneError::RoundTooLarge { radius_mm: radius, largest_mm: low });
    };
    let wants = [(a, 1.0 - a.share(arc.from)), (b, b.share(arc.to))];
    for (side, share) in wants {
        let (wanted_mm, room_mm) = (share * side.length(), side.length());
        if wanted_mm > room_mm + TOUCH_MM {
            return Err(PlaneError::TreatmentTooLong { wanted_mm, room_mm });
        }
    }
    Ok(arc)
}

/// The arc of `radius` nearest to the corner that touches the curves of both sides,
/// perhaps beyond their far ends.
fn rounding(a: &Stretch, b: &Stretch, radius: f64, left: bool) -> Option<Stretch> {
    let corner = a.to;
    let inside = if left { radius } else { -radius };
    let centres = carriers_meet(&a.beside(inside)?, &b.beside(inside)?);
    centres
        .into_iter()
        .map(|centre| Stretch::arc(a.nearest(centre), b.nearest(centre), centre, left))
        .filter(|arc| a.share(arc.from) < 1.0 && b.share(arc.to) > 0.0)
        .min_by(|p, q| p.from.distance(corner).total_cmp(&q.from.distance(corner)))
}

impl Stretch {
    /// The curve `by` to the left of this one, mm; none where an arc has shrunk to
    /// nothing.
    pub(super) fn beside(&self, by: f64) -> Option<Stretch> {
        match self.curve {
            Curve::Line => {
                let shift = (self.to - self.from).unit().left() * by;
                Some(Stretch::line(self.from + shift, self.to + shift))
            }
            Curve::Arc { centre, anticlockwise } => {
                let old = self.radius()?;
                let new = if anticlockwise { old - by } else { old + by };
                let moved = |p: Point| centre + (p - centre) * (new / old);
                (new > TOUCH_MM)
                    .then(|| Stretch::arc(moved(self.from), moved(self.to), centre, anticlockwise))
            }
        }
    }

    /// The point of the whole line or circle that is nearest to `point`.
    fn nearest(&self, point: Point) -> Point {
        match (self.curve, self.radius()) {
            (Curve::Arc { centre, .. }, Some(radius)) => centre + (point - centre).unit() * radius,
            _ => {
                let along = (self.to - self.from).unit();
                self.from + along * (point - self.from).dot(along)
            }
        }
    }
}

/// Sides and joints in order. A side that its corners have used up is left out.
fn assemble(sides: Vec<Side>, closed: bool) -> Track {
    let mut pieces: Vec<(Stretch, Option<Arc<str>>)> = Vec::new();
    for side in sides {
        if side.stretch.from.distance(side.stretch.to) > TOUCH_MM {
            pieces.extend(side.stretch.halves().into_iter().map(|s| (s, side.face.clone())));
        }
        if let Some(joint) = side.joint {
            pieces.extend(joint.halves().into_iter().map(|s| (s, None)));
        }
    }
    let start = pieces.first().map_or(Point::default(), |(s, _)| s.from);
    let mut segments: Vec<Segment> =
        pieces.into_iter().map(|(s, face)| Segment { to: s.to, curve: s.curve, face }).collect();
    if let (true, Some(last)) = (closed, segments.last_mut()) {
        last.to = start;
    }
    Track { start, segments }
}

#[cfg(test)]
#[path = "path_tests.rs"]
mod tests;
