//! Bodies for the tests of pictures.

use crate::mesh::{Mesh, Tag};
use std::f64::consts::TAU;

/// A body of revolution, its profile (radius, z) anticlockwise, in `sides` facets.
pub(super) fn turned(profile: &[[f64; 2]], sides: u32) -> Mesh {
    let mut mesh = Mesh::default();
    let rows = profile.len() as u32;
    for i in 0..sides {
        let (sin, cos) = (TAU * f64::from(i) / f64::from(sides)).sin_cos();
        mesh.vertices.extend(profile.iter().map(|[r, z]| [r * cos, r * sin, *z]));
        for j in 0..rows {
            let at = |i: u32, j: u32| (i % sides) * rows + j % rows;
            let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            mesh.triangles.extend([[a, b, c], [a, c, d]]);
        }
    }
    mesh.tags = vec![Tag::PLAIN; mesh.triangles.len()];
    mesh
}

/// A tube that stands on z = 0.
pub(super) fn tube(outer_mm: f64, inner_mm: f64, height_mm: f64, sides: u32) -> Mesh {
    let profile = [[inner_mm, 0.0], [outer_mm, 0.0], [outer_mm, height_mm], [inner_mm, height_mm]];
    turned(&profile, sides)
}
