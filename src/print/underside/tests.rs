//! The layer check against plain geometry, worked out by hand.

use super::super::tests::{block, printer, together};
use super::{Kind, Slices, Survey, Unsupported};
use crate::mesh::{Mesh, Tag};
use crate::model::Printer;

fn unsupported(mesh: &Mesh, printer: &Printer) -> Vec<Unsupported> {
    Survey::new(&Slices::new(mesh, printer), None, printer).told()
}

/// A frustum of `n` facets on the bed, with this radius below and above.
fn frustum(below: f64, above: f64, height: f64, n: usize) -> Mesh {
    let at = |r: f64, z: f64, k: usize| {
        let turn = std::f64::consts::TAU * k as f64 / n as f64;
        [r * turn.cos(), r * turn.sin(), z]
    };
    let mut vertices: Vec<_> = (0..n).map(|k| at(below, 0.0, k)).collect();
    vertices.extend((0..n).map(|k| at(above, height, k)));
    vertices.extend([[0.0, 0.0, 0.0], [0.0, 0.0, height]]);
    let mut triangles = Vec::new();
    for k in 0..n as u32 {
        let (a, b, m) = (k, (k + 1) % n as u32, n as u32);
        triangles.extend([
            [a, b, b + m],
            [a, b + m, a + m],
            [2 * m, b, a],
            [2 * m + 1, a + m, b + m],
        ]);
    }
    let tags = vec![Tag::PLAIN; triangles.len()];
    Mesh { vertices, triangles, tags }
}

fn same(height_mm: [f64; 2], wanted: [f64; 2]) -> bool {
    height_mm.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-9)
}

#[test]
fn a_cone_of_just_the_limit_is_carried_and_a_steeper_one_is_not() {
    for (deg, hangs) in [(44.0f64, false), (45.0, false), (46.0, true), (60.0, true)] {
        let above = 4.0 + 5.0 * deg.to_radians().tan();
        let found = unsupported(&frustum(4.0, above, 5.0, 720), &printer(45.0));
        assert_eq!(!found.is_empty(), hangs, "{deg}");
        let Some(one) = found.first() else { continue };
        assert_eq!((found.len(), one.kind, one.count), (1, Kind::Overhang, 1));
        assert!((one.angle_rad.unwrap().to_degrees() - deg).abs() < 0.05, "{one:?}");
        // Line overlap 1 - h tan(a) / w.
        let overlap = 1.0 - 0.2 * deg.to_radians().tan() / 0.4;
        assert!((one.overlap.unwrap() - overlap).abs() < 0.002, "{one:?}");
        assert!(same(one.height_mm, [0.2, 5.0]), "{one:?}");
    }
}

#[test]
fn a_bar_between_posts_is_a_bridge_of_its_span() {
    for (span, turn) in [(5.0f64, 0.0f64), (12.0, 0.0), (8.0, 0.6)] {
        let mut mesh = block([0.0, 0.0, 0.0], [3.0, 4.0, 6.0]);
        mesh = together(&mesh, &block([3.0 + span, 0.0, 0.0], [3.0, 4.0, 6.0]));
        mesh = together(&mesh, &block([0.0, 0.0, 6.0], [6.0 + span, 4.0, 2.0]));
        for p in &mut mesh.vertices {
            *p = [
                p[0] * turn.cos() - p[1] * turn.sin(),
                p[0] * turn.sin() + p[1] * turn.cos(),
                p[2],
            ];
        }
        let found = unsupported(&mesh, &printer(45.0));
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].kind, Kind::Bridge);
        assert!(same(found[0].height_mm, [6.0, 6.2]), "{found:?}");
        assert!((found[0].span_mm.unwrap() - span).abs() < 1e-6, "{found:?}");
        assert!((found[0].area_mm2 - (span - 0.402) * 4.0).abs() < 1e-6, "{found:?}");
    }
}

#[test]
fn a_roof_that_is_carried_all_round_is_a_bridge_and_a_ledge_is_not() {
    let mut room = block([0.0, 0.0, 4.0], [20.0, 10.0, 1.0]);
    for (at, size) in [
        ([0.0, 0.0, 0.0], [20.0, 2.0, 4.0]),
        ([0.0, 8.0, 0.0], [20.0, 2.0, 4.0]),
        ([0.0, 2.0, 0.0], [2.0, 6.0, 4.0]),
        ([18.0, 2.0, 0.0], [2.0, 6.0, 4.0]),
    ] {
        room = together(&room, &block(at, size));
    }
    let found = unsupported(&room, &printer(45.0));
    assert_eq!((found.len(), found[0].kind), (1, Kind::Bridge));
    assert!((found[0].span_mm.unwrap() - 6.0).abs() < 0.02, "{found:?}");
    let ledge = together(
        &block([0.0, 0.0, 0.0], [30.0, 5.0, 8.0]),
        &block([0.0, 5.0, 5.0], [30.0, 2.0, 1.0]),
    );
    let found = unsupported(&ledge, &printer(45.0));
    assert_eq!((found.len(), found[0].kind), (1, Kind::Overhang));
    assert!((found[0].reach_mm.unwrap() - 2.0).abs() < 1e-3, "{found:?}");
    assert_eq!(found[0].overlap, Some(0.0));
}

#[test]
fn islands_that_are_alike_are_told_once() {
    let mut mesh = block([0.0, 0.0, 0.0], [30.0, 30.0, 1.0]);
    for x in [3.0, 12.0, 21.0] {
        mesh = together(&mesh, &block([x, 5.0, 3.0], [4.0, 4.0, 1.0]));
    }
    mesh = together(&mesh, &block([3.0, 20.0, 5.0], [2.0, 2.0, 1.0]));
    let found = unsupported(&mesh, &printer(45.0));
    assert_eq!(found.len(), 2, "{found:?}");
    assert_eq!((found[0].kind, found[0].count), (Kind::Island, 3));
    assert!(same(found[0].height_mm, [3.0, 3.2]), "{found:?}");
    assert!((found[0].area_mm2 - 48.0).abs() < 1e-6);
    assert_eq!(found[1].count, 1);
}
