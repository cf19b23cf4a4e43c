//! How two bodies of one shell lie to each other.

use super::super::body::ExactBody;
use super::super::measure::box_distance;
use super::convert::{Solid, to_solid};
use super::patch::from_point;
use crate::model::Vector;
use truck_meshalgo::prelude::{
    Collision, IncludingPointInDomain, MeshedShape, PolygonMesh, RobustMeshableShape,
};

/// How two bodies lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Relation {
    /// They have nothing in common.
    Apart,
    /// Their faces cross.
    Crossing,
    /// The first lies inside the second.
    Inside,
    /// The first lies round the second.
    Around,
    /// They come so near to each other that triangles cannot tell.
    Unclear,
}

/// Bodies without crossing triangles must keep this distance to count as apart or nested,
/// mm: four times the chord error of the triangles.
const CLEAR_MM: f64 = 0.2;

/// Chord error of the triangles, mm.
const CHORD_MM: f64 = 0.05;

/// How two bodies of one shell lie. None where the crate cannot triangulate them.
pub(super) fn relation(a: &ExactBody, b: &ExactBody) -> Option<Relation> {
    let (box_a, box_b) = (a.bounds()?, b.bounds()?);
    if box_distance(&box_a, &box_b) > 0.0 {
        return Some(Relation::Apart);
    }
    let meshes = [triangles(&to_solid(a)?), triangles(&to_solid(b)?)];
    if !meshes[0].extract_interference(&meshes[1]).is_empty() {
        return Some(Relation::Crossing);
    }
    if near(&meshes[0], b) || near(&meshes[1], a) {
        return Some(Relation::Unclear);
    }
    Some(match (holds(&meshes[1], &meshes[0]), holds(&meshes[0], &meshes[1])) {
        (Some(true), Some(false)) => Relation::Inside,
        (Some(false), Some(true)) => Relation::Around,
        (Some(false), Some(false)) => Relation::Apart,
        _ => Relation::Unclear,
    })
}

/// Whether a mesh holds another one that does not cross it. None where some of its
/// corners say this and some that: a ray has passed through an edge.
fn holds(mesh: &PolygonMesh, other: &PolygonMesh) -> Option<bool> {
    let step = (other.positions().len() / 5).max(1);
    let mut answers = other.positions().iter().step_by(step).map(|p| mesh.inside(*p));
    let first = answers.next()?;
    answers.all(|a| a == first).then_some(first)
}

/// All triangles of a body.
fn triangles(solid: &Solid) -> PolygonMesh {
    let mut mesh = PolygonMesh::default();
    for shell in solid.boundaries() {
        mesh.merge(shell.robust_triangulation(CHORD_MM).to_polygon());
    }
    mesh
}

/// Whether a corner or middle of a triangle comes near a face of a body.
fn near(mesh: &PolygonMesh, body: &ExactBody) -> bool {
    let positions: Vec<Vector> = mesh.positions().iter().map(|p| from_point(*p)).collect();
    let mut samples = positions.clone();
    for face in mesh.face_iter() {
        let corners: Vec<Vector> = face.iter().map(|v| positions[v.pos]).collect();
        let middle = |axis: usize| corners.iter().map(|c| c[axis]).sum::<f64>();
        samples.push([0, 1, 2].map(|axis| middle(axis) / corners.len() as f64));
    }
    body.faces().iter().any(|face| {
        let room = body.face_box(face);
        let in_room = |p: &Vector| {
            (0..3).all(|i| p[i] >= room[0][i] - CLEAR_MM && p[i] <= room[1][i] + CLEAR_MM)
        };
        samples.iter().any(|p| in_room(p) && face.surface.signed_distance(*p).abs() < CLEAR_MM)
    })
}
