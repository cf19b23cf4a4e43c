//! What two bodies have in common.

use super::checks::Groups;
use super::combine::combined;
use super::crossings::cross_each_other;
use super::fault::MeshFault;
use super::space::{add, length, scaled};
use super::tree::Tree;
use super::triangles::Mesh;
use crate::model::{Operation, Vector};

/// How far below its surface a body is sampled, mm.
const BELOW_MM: f64 = 1e-3;

/// Volume that two sound meshes have in common, mm3. Bodies that only touch, as an inlay and
/// its pocket do, have none: no face of one passes through a face of the other, and no piece
/// of one lies in the other. Only where that fails is the common body built.
///
/// # Errors
/// [`MeshFault::Refused`].
pub fn overlap_mm3(a: &Mesh, b: &Mesh) -> Result<f64, MeshFault> {
    if !a.bounds().meets(&b.bounds()) {
        return Ok(0.0);
    }
    if !cross_each_other(a, b) && !lies_in(a, b) && !lies_in(b, a) {
        return Ok(0.0);
    }
    Ok(combined(Operation::Meet, a.clone(), b)?.volume_mm3())
}

/// Whether any piece of one mesh lies in another mesh, told by a point just below the middle
/// of the largest face of the piece.
fn lies_in(a: &Mesh, b: &Mesh) -> bool {
    let mut shells = Groups::new(a.vertices.len());
    for [x, y, z] in &a.triangles {
        shells.join(*x, *y);
        shells.join(*y, *z);
    }
    let mut largest: Vec<Option<(f64, usize)>> = vec![None; a.vertices.len()];
    for (t, corners) in a.triangles.iter().enumerate() {
        let best = &mut largest[shells.leader(corners[0]) as usize];
        let size = length(a.normal(t));
        if best.is_none_or(|(known, _)| size > known) {
            *best = Some((size, t));
        }
    }
    let tree = Tree::over(b);
    largest.into_iter().flatten().any(|(size, t)| {
        let [p, q, r] = a.corners(t);
        let middle = scaled(add(p, add(q, r)), 1.0 / 3.0);
        is_inside(add(middle, scaled(a.normal(t), -BELOW_MM / size)), b, &tree)
    })
}

/// Whether a point lies in a mesh: the faces that a ray along x leaves by, less those that it
/// enters by. An edge of a face counts for the ray where one of its ends lies below it and
/// the other does not, so that every edge that faces share is counted alike for both.
fn is_inside(point: Vector, mesh: &Mesh, tree: &Tree) -> bool {
    let mut far = point;
    far[0] = f64::INFINITY;
    let mut winding = 0;
    tree.meeting(&super::Bounds { low: point, high: far }, |t| {
        winding += passes(point, mesh.corners(t as usize));
    });
    winding > 0
}

/// 1 where a ray along x from a point leaves through a triangle, -1 where it enters.
fn passes(point: Vector, corners: [Vector; 3]) -> i32 {
    let flat = corners.map(|c| [c[1] - point[1], c[2] - point[2]]);
    let mut turns = 0;
    for i in 0..3 {
        let (a, b) = (flat[i], flat[(i + 1) % 3]);
        let (up, down) = (a[1] < 0.0 && b[1] >= 0.0, a[1] >= 0.0 && b[1] < 0.0);
        // The lower end first, so that both faces of an edge compute the same number.
        let (low, high) = if up { (a, b) } else { (b, a) };
        let left = low[0] * high[1] - low[1] * high[0] > 0.0;
        turns += i32::from(up && left) - i32::from(down && left);
    }
    if turns == 0 {
        return 0;
    }
    let [a, b, c] = corners;
    let (u, v) = (super::space::sub(b, a), super::space::sub(c, a));
    let n = super::space::cross(u, v);
    let ahead = super::space::dot(n, super::space::sub(a, point)) / n[0] > 0.0;
    if ahead { turns } else { 0 }
}
