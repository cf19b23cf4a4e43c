//! Corners as they are written: rounded, each place once.

use crate::mesh::Mesh;
use crate::model::Vector;
use crate::model::vector::{cross, length, sub};

use super::number;

/// A mesh in whole steps of 1e-6 mm.
pub(super) struct Welded {
    /// Corners, in the order in which triangles first name them.
    pub vertices: Vec<Vector>,
    /// Three corners each.
    pub triangles: Vec<[u32; 3]>,
}

/// Rounds the corners of a mesh, makes those at one place one, and drops triangles that
/// closed. Where that would join surfaces that only touch (an edge with more than two
/// triangles), only corners that a vanished edge connects are made one. `None` when
/// even then the surface is not closed, when fewer than 4 triangles are left, or when a
/// corner is nowhere.
pub(super) fn weld(mesh: &Mesh) -> Option<Welded> {
    if !mesh.vertices.iter().flatten().all(|c| c.is_finite()) {
        return None;
    }
    let places: Vec<Vector> = mesh.vertices.iter().map(|v| v.map(number::rounded)).collect();
    [by_place(&places), by_vanished_edges(mesh, &places)]
        .into_iter()
        .map(|leader| gather(mesh, &places, &leader))
        .find(|welded| welded.triangles.len() >= 4 && is_closed(&welded.triangles))
}

/// For each corner the first one at its place.
fn by_place(places: &[Vector]) -> Vec<u32> {
    let mut order: Vec<u32> = (0..places.len() as u32).collect();
    let key = |i: u32| places[i as usize].map(f64::to_bits);
    order.sort_unstable_by_key(|i| (key(*i), *i));
    let mut leader = vec![0; places.len()];
    let mut first = 0;
    for (n, i) in order.iter().enumerate() {
        if n == 0 || key(order[n - 1]) != key(*i) {
            first = *i;
        }
        leader[*i as usize] = first;
    }
    leader
}

/// For each corner the first one that it is joined to by edges of no length.
fn by_vanished_edges(mesh: &Mesh, places: &[Vector]) -> Vec<u32> {
    let mut leader: Vec<u32> = (0..places.len() as u32).collect();
    for triangle in &mesh.triangles {
        for i in 0..3 {
            let (a, b) = (triangle[i], triangle[(i + 1) % 3]);
            if places[a as usize] == places[b as usize] {
                let (a, b) = (find(&mut leader, a), find(&mut leader, b));
                leader[a.max(b) as usize] = a.min(b);
            }
        }
    }
    (0..leader.len() as u32).map(|i| find(&mut leader, i)).collect()
}

fn find(leader: &mut [u32], mut i: u32) -> u32 {
    while leader[i as usize] != i {
        leader[i as usize] = leader[leader[i as usize] as usize];
        i = leader[i as usize];
    }
    i
}

fn gather(mesh: &Mesh, places: &[Vector], leader: &[u32]) -> Welded {
    const UNUSED: u32 = u32::MAX;
    let mut number_of = vec![UNUSED; places.len()];
    let mut vertices = Vec::new();
    let mut triangles = Vec::with_capacity(mesh.triangles.len());
    for triangle in &mesh.triangles {
        let [a, b, c] = triangle.map(|v| leader[v as usize]);
        if a == b || b == c || c == a {
            continue;
        }
        triangles.push([a, b, c].map(|v| {
            if number_of[v as usize] == UNUSED {
                number_of[v as usize] = vertices.len() as u32;
                vertices.push(places[v as usize]);
            }
            number_of[v as usize]
        }));
    }
    Welded { vertices, triangles }
}

/// Whether every edge has exactly two triangles, which run along it in opposite ways.
fn is_closed(triangles: &[[u32; 3]]) -> bool {
    let mut edges: Vec<(u32, u32)> =
        triangles.iter().flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)]).collect();
    edges.sort_unstable();
    let once = edges.windows(2).all(|w| w[0] != w[1]);
    once && edges.iter().all(|&(a, b)| edges.binary_search(&(b, a)).is_ok())
}

/// The unit normal of a triangle, zero where it has no area.
pub(super) fn triangle_normal([a, b, c]: [Vector; 3]) -> Vector {
    let across = cross(sub(b, a), sub(c, a));
    let double = length(across);
    if double > 0.0 { across.map(|c| c / double) } else { [0.0; 3] }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::output::tests::cube;

    /// Two meshes as one.
    fn both(a: &Mesh, b: &Mesh) -> Mesh {
        let mut sum = a.clone();
        let offset = a.vertices.len() as u32;
        sum.vertices.extend(&b.vertices);
        sum.triangles.extend(b.triangles.iter().map(|t| t.map(|v| v + offset)));
        sum.tags.extend(&b.tags);
        sum
    }

    fn moved(mesh: &Mesh, by: Vector) -> Mesh {
        let mut mesh = mesh.clone();
        for v in &mut mesh.vertices {
            *v = std::array::from_fn(|i| v[i] + by[i]);
        }
        mesh
    }

    #[test]
    fn loose_corners_become_one() {
        let solid = cube(1.0);
        let mut soup = Mesh::default();
        for t in &solid.triangles {
            let first = soup.vertices.len() as u32;
            soup.vertices.extend(t.map(|v| solid.vertices[v as usize]));
            soup.triangles.push([first, first + 1, first + 2]);
        }
        let welded = weld(&soup).unwrap();
        assert_eq!((welded.vertices.len(), welded.triangles.len()), (8, 12));
    }

    #[test]
    fn bodies_that_touch_along_an_edge_stay_two() {
        let pair = both(&cube(1.0), &moved(&cube(1.0), [1.0, 1.0, 0.0]));
        let welded = weld(&pair).unwrap();
        assert_eq!((welded.vertices.len(), welded.triangles.len()), (16, 24));
    }

    #[test]
    fn what_is_too_small_to_write_is_refused() {
        assert!(weld(&cube(1e-8)).is_none());
        assert!(weld(&Mesh::default()).is_none());
        let mut open = cube(1.0);
        open.triangles.pop();
        assert!(weld(&open).is_none());
        let mut nowhere = cube(1.0);
        nowhere.vertices[0][0] = f64::NAN;
        assert!(weld(&nowhere).is_none());
    }
}
