//! Walls and slots of bodies whose measures are known by hand.

use super::super::tests::{block, printer, together};
use super::*;
use crate::mesh::{Mesh, Tag};
use proptest::collection::vec;
use proptest::prelude::*;
use std::f64::consts::TAU;

/// Walls of so many mm, 20 mm long and 6 mm high, 4 mm apart, on a plate of 1 mm.
fn plates(thick: &[f64]) -> Mesh {
    let mut out = block([-5.0, -5.0, 0.0], [thick.len() as f64 * 6.0 + 10.0, 30.0, 1.0]);
    let mut x = 0.0;
    for wall in thick {
        out = together(&out, &block([x, 0.0, 1.0], [*wall, 20.0, 6.0]));
        x += wall + 4.0;
    }
    out
}

fn narrow_of(mesh: &Mesh) -> Vec<Narrow> {
    let printer = printer(45.0);
    narrow(&Slices::new(mesh, &printer), &printer)
}

fn found(mesh: &Mesh) -> Vec<(NarrowKind, usize, f64)> {
    let told = narrow_of(mesh);
    told.iter().map(|n| (n.kind, n.count, (n.width_mm * 1e4).round() / 1e4)).collect()
}

/// A line of 0.4 mm in layers of 0.2 mm: two lines are 0.8 - 0.2 (1 - pi / 4) = 0.7571 mm.
#[test]
fn walls_are_told_apart_by_the_lines_they_hold() {
    assert!((two_lines_mm(&printer(45.0)) - 0.757_08).abs() < 1e-5);
    assert_eq!(found(&plates(&[0.8, 0.76])), []);
    assert_eq!(found(&plates(&[0.75, 0.5])), [(NarrowKind::Thin, 2, 0.5)]);
    let lost = found(&plates(&[0.39, 0.2, 0.6]));
    assert_eq!(lost, [(NarrowKind::Lost, 2, 0.2), (NarrowKind::Thin, 1, 0.6)]);
    let told = narrow_of(&plates(&[0.3]));
    let height = told[0].height_mm;
    assert!((height[0] - 1.0).abs() < 1e-9 && (height[1] - 7.0).abs() < 1e-9, "{told:?}");
}

#[test]
fn a_slot_of_less_than_a_line_closes() {
    let pair = |apart: f64| {
        together(&block([0.0; 3], [5.0, 5.0, 3.0]), &block([5.0 + apart, 0.0, 0.0], [5.0; 3]))
    };
    assert_eq!(found(&pair(0.3)), [(NarrowKind::Slot, 1, 0.3)]);
    assert_eq!(found(&pair(0.41)), []);
}

/// Two blocks that nearly meet at their corners, as cells of a motif do: only there is it
/// narrow. The bridge between them is a square of 0.3 mm on the diagonal.
#[test]
fn a_neck_between_two_corners_is_found() {
    let profile = |points: &[[f64; 2]]| upright(points, 4.0);
    let d = 0.3;
    let neck = profile(&[
        [0.0, 0.0],
        [5.0, 0.0],
        [5.0, 5.0 - d],
        [10.0, 5.0 - d],
        [10.0, 10.0],
        [5.0 - d, 10.0],
        [5.0 - d, 5.0],
        [0.0, 5.0],
    ]);
    let narrow = found(&neck);
    assert_eq!(narrow.len(), 1, "{narrow:?}");
    let (kind, count, width) = narrow[0];
    assert!(kind == NarrowKind::Thin && count == 1, "{narrow:?}");
    assert!((width - d * 2f64.sqrt()).abs() < 1e-3, "{width}");
}

/// Slopes end in an edge, and corners in a point: neither is a wall.
#[test]
fn ends_of_slopes_and_corners_are_no_walls() {
    let roof = Mesh {
        vertices: vec![
            [0.0, 0.0, 0.0],
            [6.0, 0.0, 0.0],
            [6.0, 20.0, 0.0],
            [0.0, 20.0, 0.0],
            [3.0, 0.0, 3.0],
            [3.0, 20.0, 3.0],
        ],
        triangles: vec![
            [0, 3, 2],
            [0, 2, 1],
            [0, 1, 4],
            [2, 3, 5],
            [1, 2, 5],
            [1, 5, 4],
            [3, 0, 4],
            [3, 4, 5],
        ],
        tags: vec![Tag::PLAIN; 8],
    };
    assert_eq!(found(&roof), []);
    // 40 deg at its sharpest.
    assert_eq!(found(&upright(&[[0.0, 0.0], [10.0, 0.0], [5.0, 13.737]], 5.0)), []);
}

/// A prism of an anticlockwise outline that one point sees all of: a fan from the first.
fn upright(points: &[[f64; 2]], height: f64) -> Mesh {
    let n = points.len() as u32;
    let level = |z: f64| points.iter().map(move |[x, y]| [*x, *y, z]);
    let mut triangles = Vec::new();
    for i in 0..n {
        let next = (i + 1) % n;
        triangles.push([i, next, n + next]);
        triangles.push([i, n + next, n + i]);
    }
    // The sides alone say how thick a layer is; caps of hollow outlines would need more.
    for i in 1..n - 1 {
        triangles.push([0, i + 1, i]);
        triangles.push([n, n + i, n + i + 1]);
    }
    let count = triangles.len();
    Mesh {
        vertices: level(0.0).chain(level(height)).collect(),
        triangles,
        tags: vec![Tag::PLAIN; count],
    }
}

/// A loop round the origin: how far all of it lies outside the one before, mm, and for each of
/// its corners how far that stands out besides.
type Loop = (f64, Vec<f64>);

/// Rings of material round one another, with thin walls, spikes and slots. They do not cross:
/// outlines of a layer never do, and whoever looks at one from its wrong side is misled.
fn ragged(inmost_mm: f64, loops: &[Loop]) -> Vec<Vec<Point>> {
    let mut reach = inmost_mm;
    let mut out = Vec::new();
    for (k, (apart, corners)) in loops.iter().enumerate() {
        let turn = TAU / corners.len() as f64;
        let radius = (reach + apart) / (turn / 2.0).cos();
        reach = radius + corners.iter().copied().fold(0.0, f64::max);
        let at = |(i, out): (usize, &f64)| {
            let (sin, cos) = (i as f64 * turn).sin_cos();
            Point::new((radius + out) * cos, (radius + out) * sin)
        };
        let mut outline: Vec<Point> = corners.iter().enumerate().map(at).collect();
        // Material lies between the first and the second one, and so on.
        if k % 2 == 0 {
            outline.reverse();
        }
        out.push(outline);
    }
    out
}

fn loops() -> impl Strategy<Value = Vec<Loop>> {
    let rough = prop_oneof![Just(0.0), Just(0.02), Just(0.6)];
    let corners = rough.prop_flat_map(|most| vec(0.0..=most, 5..120));
    vec((0.05..0.9, corners), 2..5)
}

proptest! {
    /// What is looked at is chosen by boxes and by the ways in which sides face; all sides
    /// held against each point find the same.
    #[test]
    fn what_is_left_out_is_never_narrow(inmost_mm in 2.0..8.0, loops in loops()) {
        let printer = printer(45.0);
        let sides = Sides::new(&ragged(inmost_mm, &loops), two_lines_mm(&printer));
        let mut all = Vec::new();
        sides.runs().each(|near| run_samples(0, &sides, near, &printer, &mut all));
        let told = |samples: &[Sample]| -> Vec<_> {
            samples.iter().map(|s| (s.at, s.slot, s.width_mm)).collect()
        };
        prop_assert_eq!(told(&layer_samples(0, &sides, &printer)), told(&all));
    }
}
