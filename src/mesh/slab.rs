//! Regions of many corners drawn up: what is one layer high, or cuts one.

use super::fault::MeshFault;
use super::prism::{add_section, close_end, join_sections};
use super::triangles::{Mesh, Tag};
use crate::plane::Point;

/// A region between two heights, mm. Outlines run anticlockwise, holes clockwise.
///
/// # Errors
/// [`MeshFault::Fill`] where sides of the region cross.
pub fn slab(region: &[Vec<Point>], [low, high]: [f64; 2]) -> Result<Mesh, MeshFault> {
    let mut mesh = Mesh::default();
    let mut ends: [Vec<Vec<(u32, Point)>>; 2] = [vec![], vec![]];
    for polygon in region.iter().filter(|polygon| polygon.len() > 2) {
        let sides = [low, high].map(|z| add_section(polygon, z, &mut mesh));
        join_sections(&sides[0], &sides[1], Tag::PLAIN, &mut mesh);
        for (end, names) in ends.iter_mut().zip(sides) {
            end.push(names.into_iter().zip(polygon.iter().copied()).collect());
        }
    }
    for (end, upper) in ends.iter().zip([false, true]) {
        close_end(end, upper, Tag::PLAIN, &mut mesh)?;
    }
    Ok(mesh.compacted())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::checks;

    #[test]
    fn a_frame_is_closed_and_as_large_as_it_should_be() {
        let square = |half: f64| {
            [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]
                .map(|[x, y]| Point::new(x * half, y * half))
                .to_vec()
        };
        let mut hole = square(3.0);
        hole.reverse();
        let frame = slab(&[square(5.0), hole], [0.5, 2.5]).unwrap();
        assert!((frame.volume_mm3() - (100.0 - 36.0) * 2.0).abs() < 1e-9);
        let found = checks(&frame);
        assert_eq!((found.open_edges, found.self_intersections), (0, 0));
    }
}
