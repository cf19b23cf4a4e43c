//! Normals at the corners of triangles: smooth over curved faces, sharp at creases.

use crate::mesh::Mesh;
use crate::model::Vector;
use crate::model::vector::{cross, dot};

/// Faces that meet at a smaller angle than this (cosine; about 35 deg) are one curved
/// face: facets of arcs differ by far less, the edges of parts by more.
const CREASE: f64 = 0.82;

/// For each triangle the normals at its corners, of length 1.
pub(super) fn corners(mesh: &Mesh, points: &[Vector]) -> Vec<[Vector; 3]> {
    // As long as twice the area, so that slivers count for little.
    let faces: Vec<Vector> =
        mesh.triangles.iter().map(|t| area(t.map(|v| points[v as usize]))).collect();
    let units: Vec<Vector> = faces.iter().map(|n| unit(*n)).collect();
    let (starts, around) = faces_of_vertices(mesh);
    let smooth = |face: usize, vertex: u32| {
        let v = vertex as usize;
        let mut sum = [0.0; 3];
        for &other in &around[starts[v]..starts[v + 1]] {
            let other = other as usize;
            if other == face || dot(units[face], units[other]) > CREASE {
                sum = [0, 1, 2].map(|i| sum[i] + faces[other][i]);
            }
        }
        unit(sum)
    };
    let each = mesh.triangles.iter().enumerate();
    each.map(|(face, t)| t.map(|vertex| smooth(face, vertex))).collect()
}

/// The triangles round each vertex: those of vertex `v` lie from `starts[v]` to
/// `starts[v + 1]`.
fn faces_of_vertices(mesh: &Mesh) -> (Vec<usize>, Vec<u32>) {
    let mut starts = vec![0usize; mesh.vertices.len() + 1];
    for v in mesh.triangles.iter().flatten() {
        starts[*v as usize + 1] += 1;
    }
    for v in 1..starts.len() {
        starts[v] += starts[v - 1];
    }
    let mut next = starts.clone();
    let mut around = vec![0u32; mesh.triangles.len() * 3];
    for (face, t) in mesh.triangles.iter().enumerate() {
        for v in t {
            around[next[*v as usize]] = face as u32;
            next[*v as usize] += 1;
        }
    }
    (starts, around)
}

pub(super) fn area([a, b, c]: [Vector; 3]) -> Vector {
    let [u, v] = [b, c].map(|p| [p[0] - a[0], p[1] - a[1], p[2] - a[2]]);
    cross(u, v)
}

fn unit(v: Vector) -> Vector {
    let length = dot(v, v).sqrt();
    if length > 0.0 { v.map(|c| c / length) } else { [0.0, 0.0, 1.0] }
}
