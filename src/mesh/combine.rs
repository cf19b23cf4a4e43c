//! Booleans of meshes. The only file that names the boolean crate.
//!
//! The crate answers a bad operand by handing back the other one, without an error: every
//! operand and every answer is asked for its status. Tags travel as the crate's face ids.

use super::fault::MeshFault;
use super::space::Bounds;
use super::triangles::{Mesh, Tag};
use crate::model::Operation;
use manifold_rust::manifold::Manifold;
use manifold_rust::types::{BooleanEngine, Error, MeshGLP, OpType};

/// `left` and `right` combined. Bodies whose boxes are apart never reach the engine.
///
/// # Errors
/// [`MeshFault::Refused`] if the engine does not take an operand or fails.
pub(super) fn combined(operation: Operation, left: Mesh, right: &Mesh) -> Result<Mesh, MeshFault> {
    let apart = !left.bounds().meets(&right.bounds());
    match operation {
        Operation::Join if right.is_empty() => return Ok(left),
        Operation::Join if left.is_empty() => return Ok(right.clone()),
        Operation::Join if apart => {
            let mut both = left;
            both.take(right);
            return Ok(both);
        }
        Operation::Less if apart => return Ok(left),
        Operation::Meet if apart => return Ok(Mesh::default()),
        _ => {}
    }
    let kind = match operation {
        Operation::Join => OpType::Add,
        Operation::Less => OpType::Subtract,
        Operation::Meet => OpType::Intersect,
    };
    let (a, b) = (solid(&left)?, solid(right)?);
    let answer = a.boolean_with_engine(&b, kind, BooleanEngine::Exact);
    checked(&answer)?;
    let mesh = mesh_of(&answer);
    if (0..mesh.triangles.len()).all(|t| mesh.normal(t) != [0.0; 3]) {
        return Ok(mesh);
    }
    // Triangles whose three corners are in a line are turned away by the engine only where a
    // corner is new: not where corners of one operand lie on an edge of the other. Asked
    // without a tolerance of ours, it looks at all of them and moves nothing.
    let flat = answer.simplify(0.0);
    checked(&flat)?;
    Ok(mesh_of(&flat))
}

/// What `left` has and `right` has not.
///
/// # Errors
/// [`MeshFault::Refused`].
pub fn difference(left: &Mesh, right: &Mesh) -> Result<Mesh, MeshFault> {
    combined(Operation::Less, left.clone(), right)
}

/// The union of many bodies: clusters whose boxes meet are joined, pairs of neighbours
/// first, so that no operand grows before it must; all others are put side by side.
///
/// # Errors
/// As [`combined`].
pub(super) fn united(meshes: Vec<Mesh>) -> Result<Mesh, MeshFault> {
    let boxes: Vec<Bounds> = meshes.iter().map(Mesh::bounds).collect();
    let mut groups: Vec<(Bounds, Vec<usize>)> = vec![];
    for (i, bounds) in boxes.iter().enumerate().filter(|(i, _)| !meshes[*i].is_empty()) {
        let mut merged = (*bounds, vec![i]);
        loop {
            let (near, far): (Vec<_>, Vec<_>) =
                groups.into_iter().partition(|(other, _)| other.meets(&merged.0));
            groups = far;
            if near.is_empty() {
                break;
            }
            for (other, members) in near {
                merged.0 = merged.0.with(&other);
                merged.1.extend(members);
            }
        }
        groups.push(merged);
    }
    let mut out = Mesh::default();
    for (_, mut members) in groups {
        members.sort_unstable();
        let mut row: Vec<Mesh> = members.into_iter().map(|i| meshes[i].clone()).collect();
        while row.len() > 1 {
            let mut next = vec![];
            let mut pairs = row.into_iter();
            while let Some(first) = pairs.next() {
                next.push(match pairs.next() {
                    Some(second) => combined(Operation::Join, first, &second)?,
                    None => first,
                });
            }
            row = next;
        }
        row.iter().for_each(|m| out.take(m));
    }
    Ok(out)
}

/// The same body with features finer than `tolerance_mm` merged away.
///
/// # Errors
/// As [`combined`].
pub(super) fn simplified(mesh: &Mesh, tolerance_mm: f64) -> Result<Mesh, MeshFault> {
    if mesh.is_empty() {
        return Ok(mesh.clone());
    }
    let answer = solid(mesh)?.simplify(tolerance_mm);
    checked(&answer)?;
    Ok(mesh_of(&answer))
}

fn checked(body: &Manifold) -> Result<(), MeshFault> {
    match body.status() {
        Error::NoError => Ok(()),
        error => Err(MeshFault::Refused { status: format!("{error:?}") }),
    }
}

fn solid(mesh: &Mesh) -> Result<Manifold, MeshFault> {
    let body = Manifold::from_mesh_glp(&MeshGLP::<f64, u32> {
        num_prop: 3,
        vert_properties: mesh.vertices.iter().flatten().copied().collect(),
        tri_verts: mesh.triangles.iter().flatten().copied().collect(),
        face_id: mesh.tags.iter().map(|t| t.0).collect(),
        ..MeshGLP::default()
    });
    checked(&body)?;
    if body.is_empty() != mesh.is_empty() {
        return Err(MeshFault::Refused { status: "the body came out empty".into() });
    }
    Ok(body)
}

fn mesh_of(body: &Manifold) -> Mesh {
    let given = body.get_mesh_glp::<f64, u32>(-1);
    Mesh {
        vertices: given.vert_properties.chunks_exact(3).map(|p| [p[0], p[1], p[2]]).collect(),
        triangles: given.tri_verts.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect(),
        tags: given.face_id.iter().map(|id| Tag(*id)).collect(),
    }
}
