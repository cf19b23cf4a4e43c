//! How far the surface of a changed body is from where it was.

use super::facet::Facet;
use super::tree::Tree;
use crate::mesh::Mesh;
use crate::model::Vector;
use rayon::prelude::*;

/// A point of one surface and its distance from another one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Apart {
    /// mm
    pub distance_mm: f64,
    /// mm, assembly axes
    pub at_mm: Vector,
}

/// The largest distance of a point of one surface from the other, both ways: taken at the
/// corners and the middles of all triangles, so it is never too large. None where a mesh is
/// empty.
pub fn farthest_apart(a: &Mesh, b: &Mesh) -> Option<Apart> {
    let tree = |mesh: &Mesh| Tree::new((0..mesh.triangles.len()).map(|t| Facet::of(mesh, t)));
    let (tree_a, tree_b) = rayon::join(|| tree(a), || tree(b));
    let (there, back) = rayon::join(|| from(a, &tree_b), || from(b, &tree_a));
    match (there?, back?) {
        (there, back) if back.distance_mm > there.distance_mm => Some(back),
        (there, _) => Some(there),
    }
}

/// The triangles of a difference of two bodies whose middles are farther than `least_mm` from one
/// of their surfaces. Faces that both bodies share are rounded apart and leave skins of no
/// thickness, which a picture should not show. The surface that is left is not closed.
pub fn without_skins(difference: &Mesh, bodies: [&Mesh; 2], least_mm: f64) -> Mesh {
    let trees = bodies.map(|m| Tree::new((0..m.triangles.len()).map(|t| Facet::of(m, t))));
    let is_thick = |t: &usize| {
        let at = middle(difference, *t);
        trees.iter().any(|tree| tree.nearest(at, least_mm, |_| true).is_none())
    };
    let kept: Vec<usize> =
        (0..difference.triangles.len()).into_par_iter().filter(is_thick).collect();
    Mesh {
        vertices: difference.vertices.clone(),
        triangles: kept.iter().map(|t| difference.triangles[*t]).collect(),
        tags: kept.iter().map(|t| difference.tags[*t]).collect(),
    }
}

fn middle(mesh: &Mesh, triangle: usize) -> Vector {
    let [a, b, c] = mesh.corners(triangle);
    [0, 1, 2].map(|i| (a[i] + b[i] + c[i]) / 3.0)
}

fn from(mesh: &Mesh, tree: &Tree) -> Option<Apart> {
    let corners = mesh.vertices.par_iter().copied();
    let points = corners.chain((0..mesh.triangles.len()).into_par_iter().map(|t| middle(mesh, t)));
    let all: Vec<Apart> = points
        .filter_map(|at_mm| {
            let (distance_mm, ..) = tree.nearest(at_mm, f64::INFINITY, |_| true)?;
            Some(Apart { distance_mm, at_mm })
        })
        .collect();
    // Of equal ones the first, on any number of threads.
    all.into_iter()
        .reduce(|best, next| if next.distance_mm > best.distance_mm { next } else { best })
}
