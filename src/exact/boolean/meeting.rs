//! The curve in which two surfaces meet, by its simplest name.

use super::super::geometry::vector::{along, cross, distance, dot, length, scale, sub, unit};
use super::super::geometry::{Curve, Frame, Meridian, Surface, Trace, unwrapped};
use crate::model::Vector;

/// Directions that differ by less are parallel, and square to each other where their
/// product is less, rad: rounding of placements.
const PARALLEL: f64 = 1e-9;

/// Points nearer than this to an axis or plane lie in it, mm.
const WITHIN_MM: f64 = 1e-8;

/// The curve of both surfaces from the first to the last of the points, past the others.
/// None where the points do not lead along such a curve.
pub(super) fn meeting(surfaces: &[Surface; 2], points: &[Vector]) -> Option<Curve> {
    let (start, end) = (*points.first()?, *points.last()?);
    let named = match (&surfaces[0], &surfaces[1]) {
        (Surface::Plane { .. }, Surface::Plane { .. }) => Some(Curve::Line { start, end }),
        (Surface::Plane { frame: plane }, Surface::Revolved { frame, meridian })
        | (Surface::Revolved { frame, meridian }, Surface::Plane { frame: plane }) => {
            plane_and_revolved(plane, frame, meridian, points)
        }
        (Surface::Revolved { frame: a, .. }, Surface::Revolved { frame: b, .. })
            if parallel(a.z, b.z) && distance_from_axis(a, b.origin) < WITHIN_MM =>
        {
            circle_about(a, points)
        }
        (
            Surface::Revolved { frame: a, meridian: first },
            Surface::Revolved { frame: b, meridian: second },
        ) if parallel(a.z, b.z) && is_cylinder(first) && is_cylinder(second) => {
            Some(Curve::Line { start, end })
        }
        _ => None,
    };
    named.or_else(|| Trace::new(*surfaces, points).map(Curve::Trace))
}

fn parallel(a: Vector, b: Vector) -> bool {
    length(cross(a, b)) < PARALLEL
}

fn is_cylinder(meridian: &Meridian) -> bool {
    matches!(meridian, Meridian::Line { start, end } if start[0] == end[0])
}

/// Distance of a point from the z axis of a frame, mm.
fn distance_from_axis(frame: &Frame, point: Vector) -> f64 {
    let [x, y, _] = frame.local(point);
    x.hypot(y)
}

fn plane_and_revolved(
    plane: &Frame,
    frame: &Frame,
    meridian: &Meridian,
    points: &[Vector],
) -> Option<Curve> {
    let (start, end) = (*points.first()?, *points.last()?);
    if parallel(plane.z, frame.z) {
        return circle_about(frame, points);
    }
    let upright = dot(plane.z, frame.z).abs() < PARALLEL;
    if upright && is_cylinder(meridian) {
        return Some(Curve::Line { start, end });
    }
    if upright && plane.local(frame.origin)[2].abs() < WITHIN_MM {
        return match meridian {
            Meridian::Line { .. } => Some(Curve::Line { start, end }),
            Meridian::Arc { centre, .. } => {
                let side = sub(points[points.len() / 2], frame.origin);
                let out = unit(along(side, frame.z, -dot(side, frame.z)));
                let origin = along(along(frame.origin, out, centre[0]), frame.z, centre[1]);
                arc(origin, out, frame.z, 1.0, points)
            }
        };
    }
    if is_cylinder(meridian) { ellipse(plane, frame, points) } else { None }
}

/// A circle round the axis of a frame.
fn circle_about(frame: &Frame, points: &[Vector]) -> Option<Curve> {
    let height = dot(sub(*points.first()?, frame.origin), frame.z);
    arc(along(frame.origin, frame.z, height), frame.x, frame.y, 1.0, points)
}

/// The ellipse in which an inclined plane cuts a cylinder.
fn ellipse(plane: &Frame, frame: &Frame, points: &[Vector]) -> Option<Curve> {
    let slope = dot(plane.z, frame.z);
    let above = dot(sub(plane.origin, frame.origin), plane.z) / slope;
    let origin = along(frame.origin, frame.z, above);
    // Level in the plane, and square to it: the longer half axis.
    let short = unit(cross(frame.z, plane.z));
    let long = unit(cross(plane.z, short));
    arc(origin, short, long, 1.0 / slope.abs(), points)
}

/// The piece of an ellipse round `origin` that leads along points; its half axis along
/// `y` is `stretch` times that along `x`.
fn arc(origin: Vector, x: Vector, y: Vector, stretch: f64, points: &[Vector]) -> Option<Curve> {
    let frame = Frame { origin, x, y, z: cross(x, y) };
    let flat = |p: &Vector| {
        let [x, y, _] = frame.local(*p);
        [x, y / stretch]
    };
    let [x0, y0] = flat(points.first()?);
    let radius = x0.hypot(y0);
    let from = y0.atan2(x0);
    let mut to = from;
    for p in &points[1..] {
        let [x, y] = flat(p);
        to = unwrapped(y.atan2(x), to);
    }
    if points.len() == 2 && distance(points[0], points[1]) > 0.0 {
        to = unwrapped(to, from);
    }
    let frame = if to < from { upside_down(&frame) } else { frame };
    let angles_rad = if to < from { [-from, -to] } else { [from, to] };
    Some(Curve::Arc { frame, radii_mm: [radius, radius * stretch], angles_rad })
}

/// The same plane with angles the other way.
fn upside_down(frame: &Frame) -> Frame {
    Frame { y: scale(frame.y, -1.0), z: scale(frame.z, -1.0), ..*frame }
}
