//! Columns under bodies of plain geometry, their gaps measured by other means.

use super::super::slices::Slices;
use super::super::tests::{block, printer, together};
use super::super::underside::{Kind, Survey, will_not_print};
use super::column::{Bench, even};
use super::overhead::Overhead;
use super::{Propped, Turn, feet, finished, places};
use crate::mesh::{Mesh, Tag, Tree, checks};
use crate::model::{PartId, Props, Vector};

fn props() -> Props {
    Props {
        under: PartId(0),
        gap_above_mm: 0.2,
        gap_below_mm: 0.4,
        width_mm: 0.8,
        spacing_mm: None,
        at: None,
    }
}

fn propped(mesh: &Mesh, props: &Props, turns: &[Turn]) -> Propped {
    let printer = printer(45.0);
    let slices = Slices::new(mesh, &printer);
    let bare = Survey::new(&slices, None, &printer);
    let (overhead, tree) = (Overhead::new(mesh), Tree::over(mesh));
    let bench = Bench { overhead: &overhead, tree: &tree, props, line_mm: 0.4, layer_mm: 0.2 };
    let mut chosen = places::chosen(&bench, &bare, &printer, turns);
    chosen.columns = feet::widened(&bench, &chosen.columns);
    finished(chosen, &slices, &bare, &printer)
}

/// The least distance of points spread over the faces of one mesh from those of another.
fn sampled(from: &Mesh, to: &Mesh) -> f64 {
    let mut least = f64::INFINITY;
    for t in 0..from.triangles.len() {
        let [a, b, c] = from.corners(t);
        for i in 0..=6 {
            for j in 0..=6 - i {
                let p = [0, 1, 2].map(|k| {
                    a[k] + (b[k] - a[k]) * f64::from(i) / 6.0 + (c[k] - a[k]) * f64::from(j) / 6.0
                });
                for u in 0..to.triangles.len() {
                    let q = crate::fit::nearest_point(p, to.corners(u));
                    let square = (0..3).map(|k| (p[k] - q[k]).powi(2)).sum::<f64>();
                    least = least.min(square.sqrt());
                }
            }
        }
    }
    least
}

fn assert_closed(found: &Propped) {
    assert!(found.count > 0);
    let checked = checks(&found.mesh);
    assert_eq!((checked.open_edges, checked.pieces), (0, found.count), "{checked:?}");
    assert!(found.volume_mm3 > 0.0);
}

fn assert_sound(found: &Propped) {
    assert_closed(found);
    let bad = found.left.iter().filter(|u| will_not_print(u, 8.0)).collect::<Vec<_>>();
    assert!(bad.is_empty(), "{bad:?}");
}

#[test]
fn a_plate_in_the_air_stands_on_columns_from_the_plate_below() {
    let mesh =
        together(&block([0.0; 3], [30.0, 20.0, 1.0]), &block([3.0, 4.0, 4.0], [12.0, 9.0, 1.0]));
    let found = propped(&mesh, &props(), &[]);
    assert_eq!(found.before[0].kind, Kind::Island);
    assert_sound(&found);
    assert_eq!((found.on_part, found.without_room), (found.count, 0));
    for (measured, asked) in [(found.above_mm, 0.2), (found.below_mm, 0.4)] {
        let [low, high] = measured.unwrap();
        assert!((low - asked).abs() < 1e-9 && (high - asked).abs() < 1e-9, "{measured:?}");
    }
    // Level ends: every column is as high as the air less both gaps.
    assert!((found.tallest_mm - 2.4).abs() < 1e-9);
    let octagon = 0.8 * 0.8 * 2.0 * (2f64.sqrt() - 1.0);
    assert!((found.volume_mm3 - found.count as f64 * octagon * 2.4).abs() < 1e-6);
    // No corner of the plate is farther from a column than what prints.
    for corner in [[3.0, 4.0], [15.0, 4.0], [3.0, 13.0], [15.0, 13.0]] {
        let near = |p: &Vector| (p[0] - corner[0]).hypot(p[1] - corner[1]);
        assert!(found.mesh.vertices.iter().map(near).fold(f64::INFINITY, f64::min) < 1.5);
    }
}

/// An arm 60 mm above the bed beside a post.
fn gallows() -> Mesh {
    together(&block([0.0; 3], [10.0, 10.0, 64.0]), &block([10.0, 0.0, 60.0], [8.0, 10.0, 4.0]))
}

/// Columns at places of our own under the arm of the gallows.
fn under_the_arm(places: &[[f64; 2]]) -> Propped {
    let (mesh, printer, props) = (gallows(), printer(45.0), props());
    let slices = Slices::new(&mesh, &printer);
    let bare = Survey::new(&slices, None, &printer);
    let (overhead, tree) = (Overhead::new(&mesh), Tree::over(&mesh));
    let bench =
        Bench { overhead: &overhead, tree: &tree, props: &props, line_mm: 0.4, layer_mm: 0.2 };
    let spot = |at: &[f64; 2]| super::Spot { at: *at, turn_rad: 0.0, under_mm: [59.9, 60.0] };
    let columns: Vec<_> = places.iter().map(|at| bench.column(&spot(at)).unwrap()).collect();
    let columns = feet::widened(&bench, &columns);
    finished(super::Chosen { columns, ..Default::default() }, &slices, &bare, &printer)
}

#[test]
fn tall_columns_stand_on_feet_as_wide_as_they_need() {
    let found = under_the_arm(&[[14.0, 3.0], [15.0, 7.5]]);
    assert_closed(&found);
    let [height, foot] = found.slender_mm.unwrap();
    assert!((height - 59.8).abs() < 1e-9 && (foot - 59.8 / 24.0).abs() < 1e-9, "{foot}");
    assert!(height <= feet::SLENDER * foot);
    // Frustums with regular octagons for their ends, told by their width from flat to flat.
    let area = |width: f64| width * width * 2.0 * (2f64.sqrt() - 1.0);
    let [low, high] = [area(foot), area(0.8)];
    let total = 2.0 * height / 3.0 * (low + high + (low * high).sqrt());
    assert!((found.volume_mm3 - total).abs() < 1e-6 * total, "{} for {total}", found.volume_mm3);
    // Tops are as near as asked.
    let [near, far] = found.above_mm.unwrap();
    assert!((near - 0.2).abs() < 1e-9 && (far - 0.2).abs() < 1e-9);
    assert!(sampled(&found.mesh, &gallows()) > 0.2 - 1e-6);
}

#[test]
fn feet_are_as_wide_as_neighbours_and_walls_leave_room() {
    // Two millimetres apart: cut off half-way, as wide as needed by what is on the other side.
    let found = under_the_arm(&[[14.0, 4.0], [14.0, 6.0]]);
    assert_closed(&found);
    let [height, foot] = found.slender_mm.unwrap();
    assert!(foot >= 59.8 / 24.0 - 1e-9 && height <= feet::SLENDER * foot, "{foot}");
    let pieces = found.mesh.pieces();
    let [one, other] = [0, 1].map(|k| found.mesh.part(&pieces[k]));
    for (column, sign) in [(&one, -1.0), (&other, 1.0)] {
        // Of half a line of air a half on each side of the middle, all the way up.
        assert!(column.vertices.iter().all(|p| (p[1] - 5.0) * sign > 0.1 - 1e-9));
        let most = column.vertices.iter().map(|p| (p[1] - 5.0) * sign).fold(0.0, f64::max);
        assert!(most > foot, "{most}");
    }
    assert!(sampled(&found.mesh, &gallows()) > 0.2 - 1e-6);
    // One between two others has no more than what is between those: it is told.
    let found = under_the_arm(&[[14.0, 3.0], [14.0, 5.0], [14.0, 7.0]]);
    assert_closed(&found);
    let [height, foot] = found.slender_mm.unwrap();
    assert!(foot > 1.7 && foot <= 1.8 + 1e-9 && height > feet::SLENDER * foot, "{foot}");
    // A line of 0.4 mm off the post, whose side is at 10 mm.
    let found = under_the_arm(&[[11.2, 5.0]]);
    let [_, foot] = found.slender_mm.unwrap();
    let corner = foot / 2.0 / std::f64::consts::FRAC_PI_8.cos();
    assert!(foot > 0.8 && corner <= 0.8 + 1e-9, "{foot}");
    assert!(sampled(&found.mesh, &gallows()) > 0.2 - 1e-6);
}

#[test]
fn feet_leave_each_other_half_a_line() {
    let narrow = Props { spacing_mm: Some(1.6), ..props() };
    let found = propped(&gallows(), &narrow, &[]);
    assert_closed(&found);
    let [height, foot] = found.slender_mm.unwrap();
    assert!(height > feet::SLENDER * foot, "{foot}");
    // Corners on the bed, by column: no two columns come nearer than half a line.
    let pieces = found.mesh.pieces();
    let corners = |piece: &Vec<usize>| -> Vec<Vector> {
        let all = piece.iter().flat_map(|t| found.mesh.corners(*t));
        all.filter(|p| p[2] == 0.0).collect()
    };
    let feet: Vec<Vec<Vector>> = pieces.iter().map(corners).collect();
    let mut least = f64::INFINITY;
    for (k, one) in feet.iter().enumerate() {
        for other in &feet[k + 1..] {
            for (p, q) in one.iter().flat_map(|p| other.iter().map(move |q| (p, q))) {
                least = least.min((p[0] - q[0]).hypot(p[1] - q[1]));
            }
        }
    }
    assert!(least > 0.2 - 1e-6, "{least}");
}

/// A block whose underside leans by `deg` from the level along x, and bends at its middle.
fn leaning(deg: [f64; 2], low: f64) -> Mesh {
    let tan = deg.map(|d| d.to_radians().tan());
    let z = [low, low + 5.0 * tan[0], low + 5.0 * (tan[0] + tan[1])];
    let mut vertices = Vec::new();
    for (x, z) in [0.0, 5.0, 10.0].into_iter().zip(z) {
        for y in [0.0, 6.0] {
            vertices.extend([[x, y, z], [x, y, 30.0]]);
        }
    }
    // Corners of a station: front below and above, back below and above.
    let mut triangles = vec![[0, 1, 3], [0, 3, 2], [8, 10, 11], [8, 11, 9]];
    for s in [0u32, 4] {
        for [a, b, c, d] in [
            [s, s + 2, s + 6, s + 4],
            [s + 1, s + 5, s + 7, s + 3],
            [s, s + 4, s + 5, s + 1],
            [s + 2, s + 3, s + 7, s + 6],
        ] {
            triangles.extend([[a, b, c], [a, c, d]]);
        }
    }
    let tags = vec![Tag::PLAIN; triangles.len()];
    Mesh { vertices, triangles, tags }
}

#[test]
fn tops_follow_a_leaning_face_at_the_gap_square_to_it() {
    let post = block([-4.0, 0.0, 0.0], [4.0, 6.0, 30.0]);
    for deg in [[20.0, 20.0], [30.0, 10.0], [0.0, 25.0], [10.0, 30.0]] {
        let mesh = together(&post, &leaning(deg, 6.0));
        let found = propped(&mesh, &props(), &[]);
        // A leaning face still reaches out farther from layer to layer than they carry it
        // between two columns, and is told as what is left.
        assert_closed(&found);
        assert_eq!((found.on_part, found.below_mm), (0, None));
        let [low, high] = found.above_mm.unwrap();
        assert!(low >= 0.2 - 1e-6 && high < 0.21, "{deg:?} {low} {high}");
        let measured = sampled(&found.mesh, &mesh);
        assert!(measured > 0.2 - 1e-6 && measured < 0.21, "{deg:?} {measured}");
    }
}

#[test]
fn columns_keep_a_line_off_walls() {
    // A roof between two walls 2 mm apart and 12 mm long: only its middle has room.
    let mut mesh = block([0.0, 0.0, 0.0], [20.0, 3.0, 8.0]);
    for (at, size) in [([0.0, 5.0, 0.0], [20.0, 3.0, 8.0]), ([0.0, 3.0, 6.0], [20.0, 2.0, 2.0])] {
        mesh = together(&mesh, &block(at, size));
    }
    let asked = Props { at: Some(Vec::new()), ..props() };
    let (overhead, tree) = (Overhead::new(&mesh), Tree::over(&mesh));
    let bench =
        Bench { overhead: &overhead, tree: &tree, props: &asked, line_mm: 0.4, layer_mm: 0.2 };
    let spot = |y: f64| super::Spot { at: [10.0, y], turn_rad: 0.0, under_mm: [5.9, 6.0] };
    assert!(bench.has_room(&spot(4.0), &even(0.8)));
    assert!(!bench.has_room(&spot(3.6), &even(0.8)) && !bench.has_room(&spot(4.4), &even(0.8)));
    let column = bench.column(&spot(4.0)).unwrap();
    assert!((column.height_mm - 5.8).abs() < 1e-9);
    assert!((column.above_mm - 0.2).abs() < 1e-9 && column.clear_mm == column.above_mm);
}

#[test]
fn what_stands_under_one_arm_stands_under_all() {
    // Four arms round a square post: a turn that brings all of it onto itself.
    let mut mesh = block([-4.0, -4.0, 0.0], [8.0, 8.0, 12.0]);
    let arm = block([3.0, -2.0, 8.0], [9.0, 4.0, 3.0]);
    let turn = Turn { axis: [0.0; 2], count: 4 };
    for k in 0..4 {
        let mut copy = arm.clone();
        for p in &mut copy.vertices {
            let [x, y] = turn.point([p[0], p[1]], k);
            *p = [x, y, p[2]];
        }
        mesh = together(&mesh, &copy);
    }
    let found = propped(&mesh, &props(), &[turn]);
    assert_sound(&found);
    assert_eq!(found.count % 4, 0);
    // Every corner of the columns turned by a quarter is a corner again.
    for p in &found.mesh.vertices {
        let [x, y] = turn.point([p[0], p[1]], 1);
        let near =
            found.mesh.vertices.iter().map(|q| (q[0] - x).hypot(q[1] - y).hypot(q[2] - p[2]));
        assert!(near.fold(f64::INFINITY, f64::min) < 1e-9);
    }
}
