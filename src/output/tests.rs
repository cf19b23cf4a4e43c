//! Bodies for the tests of this room.

use crate::mesh::{Mesh, Tag};

/// A cube with one corner in the origin.
pub fn cube(side: f64) -> Mesh {
    let vertices =
        (0..8).map(|i| [i & 1, i >> 1 & 1, i >> 2 & 1].map(|bit| f64::from(bit) * side)).collect();
    let quads =
        [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles: Vec<[u32; 3]> =
        quads.iter().flat_map(|[a, b, c, d]| [[*a, *b, *c], [*a, *c, *d]]).collect();
    let tags = vec![Tag::PLAIN; triangles.len()];
    Mesh { vertices, triangles, tags }
}
