//! Where two bodies have faces on one surface, and how to avoid it.

use super::super::body::{Edge, ExactBody, Face};
use super::super::geometry::vector::{along, cross, dot, length, scale, sub, unit};
use super::super::geometry::{Curve, Meridian, Surface};
use super::super::measure::{Bounds, box_distance};
use crate::model::{Placement, Vector};

/// Faces nearer than this lie on one surface, mm: what the boolean crate takes for one
/// point.
pub(super) const ONE_SURFACE_MM: f64 = 1e-6;

/// How far a face is moved out of the other body's way, mm: well above the tolerances of
/// the boolean crate, below the walls of the trade.
pub(super) const OVERSHOOT_MM: f64 = 0.5;

/// Two faces on one surface.
#[derive(Clone, Copy, Debug)]
pub(super) struct Contact {
    /// Number of the first body's face.
    pub(super) first: usize,
    /// Number of the second body's face.
    pub(super) second: usize,
    /// Whether both bodies lie on the same side.
    pub(super) same_side: bool,
}

/// All faces of two bodies that lie on one surface and whose boxes meet.
pub(super) fn contacts(a: &ExactBody, b: &ExactBody) -> Vec<Contact> {
    let boxes = |body: &ExactBody| -> Vec<Bounds> {
        body.faces().iter().map(|face| body.face_box(face)).collect()
    };
    let (boxes_a, boxes_b) = (boxes(a), boxes(b));
    let mut found = Vec::new();
    for (first, face) in a.faces().iter().enumerate() {
        for (second, other) in b.faces().iter().enumerate() {
            let near = box_distance(&boxes_a[first], &boxes_b[second]) <= ONE_SURFACE_MM;
            if near
                && face.surface.coincides(&other.surface, ONE_SURFACE_MM)
                && !parted((a, face), (b, other))
            {
                let at = a.points()[a.start(face.loops[0][0])];
                let same_side = dot(out_of(face, at), out_of(other, at)) > 0.0;
                found.push(Contact { first, second, same_side });
            }
        }
    }
    found
}

/// Whether a line in the plane of two faces, along a straight edge of one of them, keeps them
/// apart though their boxes meet.
fn parted(a: (&ExactBody, &Face), b: (&ExactBody, &Face)) -> bool {
    let Surface::Plane { frame } = a.1.surface else { return false };
    let across = |(body, face): (&ExactBody, &Face)| -> Vec<Vector> {
        let curves = face.loops.iter().flatten().map(|side| &body.edges()[side.edge].curve);
        curves
            .filter_map(|curve| match curve {
                Curve::Line { start, end } => Some(unit(cross(frame.z, sub(*end, *start)))),
                _ => None,
            })
            .collect()
    };
    across(a).into_iter().chain(across(b)).any(|direction| {
        let ([low, high], [from, to]) = (reach(a, direction), reach(b, direction));
        from - high > ONE_SURFACE_MM || low - to > ONE_SURFACE_MM
    })
}

/// How far a plane face reaches in a direction, mm: a little less and a little more where it
/// has arcs, all the way where its edges are neither lines nor arcs.
fn reach((body, face): (&ExactBody, &Face), direction: Vector) -> [f64; 2] {
    const PARTS: u32 = 16;
    let mut reach = [f64::INFINITY, f64::NEG_INFINITY];
    for side in face.loops.iter().flatten() {
        let curve = &body.edges()[side.edge].curve;
        let (parts, more) = match curve {
            Curve::Line { .. } => (1, 0.0),
            // Between two points an arc leaves its chord by r a^2 / 8 at most.
            Curve::Arc { radii_mm, .. } => {
                let step = curve.turn() / f64::from(PARTS);
                (PARTS, radii_mm[0].max(radii_mm[1]) * step * step / 8.0)
            }
            Curve::Helix { .. } | Curve::Trace(_) => (1, f64::INFINITY),
        };
        for k in 0..=parts {
            let at = dot(curve.at(f64::from(k) / f64::from(parts)), direction);
            reach = [reach[0].min(at - more), reach[1].max(at + more)];
        }
    }
    reach
}

/// The direction out of the body near a point of a face.
fn out_of(face: &Face, at: Vector) -> Vector {
    let own = face.surface.normal_near(at);
    if face.outward { own } else { scale(own, -1.0) }
}

/// The body with a plane face moved outwards, its neighbours grown along. None where that
/// is no plane face, or where a neighbour does not run square to it.
pub(super) fn extended(body: &ExactBody, face: usize, by_mm: f64) -> Option<ExactBody> {
    let moved_face = &body.faces()[face];
    let Surface::Plane { .. } = moved_face.surface else { return None };
    let out = out_of(moved_face, [0.0; 3]);
    let shift = Placement::shifted(scale(out, by_mm));
    let mut rim = vec![false; body.edges().len()];
    let mut moves = vec![false; body.points().len()];
    for side in moved_face.loops.iter().flatten() {
        rim[side.edge] = true;
        body.edges()[side.edge].ends.iter().for_each(|end| moves[*end] = true);
    }
    let mut edges = Vec::with_capacity(body.edges().len());
    for (number, edge) in body.edges().iter().enumerate() {
        let curve = match (rim[number], edge.ends.map(|end| moves[end])) {
            (true, _) => edge.curve.placed(&shift),
            (false, [false, false]) => edge.curve.clone(),
            (false, ends) => stretched(&edge.curve, ends, out, by_mm)?,
        };
        edges.push(Edge { curve, ends: edge.ends });
    }
    let mut faces = body.faces().to_vec();
    for (number, neighbour) in body.faces().iter().enumerate() {
        let touches = neighbour.loops.iter().flatten().any(|side| rim[side.edge]);
        if number != face && touches && !runs_along(&neighbour.surface, out) {
            return None;
        }
    }
    faces[face].surface = moved_face.surface.placed(&shift);
    let point = |(p, moves): (&Vector, &bool)| if *moves { shift.point(*p) } else { *p };
    let points = body.points().iter().zip(&moves).map(point).collect();
    Some(ExactBody::new(points, edges, faces))
}

/// A straight edge along `out` with one end moved.
fn stretched(curve: &Curve, ends: [bool; 2], out: Vector, by_mm: f64) -> Option<Curve> {
    let Curve::Line { start, end } = *curve else { return None };
    let d = [end[0] - start[0], end[1] - start[1], end[2] - start[2]];
    if length(cross(d, out)) > 1e-9 * length(d) || ends == [true, true] {
        return None;
    }
    let moved = |p: Vector, moves: bool| if moves { along(p, out, by_mm) } else { p };
    Some(Curve::Line { start: moved(start, ends[0]), end: moved(end, ends[1]) })
}

/// Whether a surface goes on as it is in a direction.
fn runs_along(surface: &Surface, direction: Vector) -> bool {
    match surface {
        Surface::Plane { frame } => dot(frame.z, direction).abs() < 1e-9,
        Surface::Revolved { frame, meridian: Meridian::Line { start, end } } => {
            start[0] == end[0] && length(cross(frame.z, direction)) < 1e-9
        }
        _ => false,
    }
}

/// Whether a body reaches farther in the direction of a plane face of another one than
/// that face, where the other one's box is.
pub(super) fn reaches_past(body: &ExactBody, other: &ExactBody, face: usize) -> bool {
    let plane = &other.faces()[face];
    let Surface::Plane { frame } = plane.surface else { return true };
    let out = out_of(plane, frame.origin);
    let Some(grown) = extended(other, face, OVERSHOOT_MM) else { return true };
    let (Some(room), Some(own)) = (grown.bounds(), body.bounds()) else { return true };
    // The farthest corner of the body's box along the face's normal is enough where the
    // face is level with an axis; else each face's box is looked at.
    let beyond = |b: &Bounds| {
        let far = [0, 1, 2].map(|i| if out[i] > 0.0 { b[1][i] } else { b[0][i] });
        let above = [far[0] - frame.origin[0], far[1] - frame.origin[1], far[2] - frame.origin[2]];
        dot(above, out) > 1e-6
    };
    if !beyond(&own) {
        return false;
    }
    body.faces().iter().any(|f| {
        let b = body.face_box(f);
        beyond(&b) && box_distance(&b, &room) <= 0.0
    })
}
