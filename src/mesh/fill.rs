//! Polygons filled with triangles, every corner kept: corners in the middle of a straight
//! side too, for the neighbouring face has them.

use super::fault::MeshFault;
use crate::plane::Point;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};
use std::collections::BTreeMap;

/// Triangles, anticlockwise, of the region inside an odd number of polygons. Corners are
/// numbered through all polygons.
///
/// # Errors
/// [`MeshFault::Fill`] where sides cross.
pub(super) fn filled(polygons: &[Vec<Point>]) -> Result<Vec<[u32; 3]>, MeshFault> {
    let mut names: BTreeMap<[u64; 2], usize> = BTreeMap::new();
    let (mut points, mut first, mut sides) = (vec![], vec![], vec![]);
    let mut number = 0;
    for polygon in polygons {
        let mut place = |p: &Point| {
            // Adding nought makes -0 and 0 the same.
            let key = [p.x + 0.0, p.y + 0.0].map(f64::to_bits);
            let at = *names.entry(key).or_insert_with(|| {
                points.push(Point2::new(p.x + 0.0, p.y + 0.0));
                first.push(number);
                points.len() - 1
            });
            number += 1;
            at
        };
        let loop_: Vec<usize> = polygon.iter().map(&mut place).collect();
        let next = loop_.iter().cycle().skip(1);
        sides.extend(loop_.iter().zip(next).map(|(a, b)| [*a, *b]));
    }
    let mut crossed = false;
    let mesh: ConstrainedDelaunayTriangulation<Point2<f64>> =
        ConstrainedDelaunayTriangulation::try_bulk_load_cdt(points, sides, |_| crossed = true)
            .map_err(|_| MeshFault::Fill)?;
    if crossed {
        return Err(MeshFault::Fill);
    }
    Ok(inside(&mesh, &first))
}

/// Walks from the outside over all triangles; every side of a polygon leads in or out.
fn inside(mesh: &ConstrainedDelaunayTriangulation<Point2<f64>>, names: &[u32]) -> Vec<[u32; 3]> {
    let mut within: Vec<Option<bool>> = vec![None; mesh.num_all_faces()];
    within[mesh.outer_face().fix().index()] = Some(false);
    let mut waiting = vec![];
    for edge in mesh.convex_hull().map(|edge| edge.rev()) {
        if let Some(face) = edge.face().as_inner() {
            within[face.index()] = Some(edge.is_constraint_edge());
            waiting.push(face);
        }
    }
    while let Some(face) = waiting.pop() {
        for edge in face.adjacent_edges() {
            let Some(next) = edge.rev().face().as_inner() else { continue };
            if within[next.index()].is_none() {
                let here = within[face.index()] == Some(true);
                within[next.index()] = Some(here ^ edge.is_constraint_edge());
                waiting.push(next);
            }
        }
    }
    mesh.inner_faces()
        .filter(|f| within[f.index()] == Some(true))
        .map(|f| f.vertices().map(|v| names[v.index()]))
        .collect()
}
