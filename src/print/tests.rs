//! Posed copies and plates, checked against plain geometry.

use super::cautions::{Fits, fits};
use super::check::{look, section_mm2};
use super::pose::{BETWEEN_MM, posed};
use super::posed::{PosedPiece, PrintCheck};
use super::slices::Slices;
use crate::mesh::{Mesh, Tag};
use crate::model::{GapTable, Pose, Printer, Vector};

/// A block with its lower corner at `at`.
pub fn block(at: Vector, size: Vector) -> Mesh {
    let corner = |k: usize| [0, 1, 2].map(|c| at[c] + if k >> c & 1 == 1 { size[c] } else { 0.0 });
    let quads =
        [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles = quads.iter().flat_map(|[a, b, c, d]| [[*a, *b, *c], [*a, *c, *d]]).collect();
    Mesh { vertices: (0..8).map(corner).collect(), triangles, tags: vec![Tag::PLAIN; 12] }
}

/// A printer with lines of 0.4 mm and layers of 0.2 mm.
pub fn printer(overhang_deg: f64) -> Printer {
    Printer {
        name: "bench".into(),
        line_mm: 0.4,
        layer_mm: 0.2,
        first_layer_mm: 0.2,
        overhang_rad: overhang_deg.to_radians(),
        bridge_mm: 8.0,
        bed_mm: [200.0; 3],
        fill: 1.0,
        elephant_mm: 0.0,
        measured: GapTable { snap_mm: 0.1, slide_mm: 0.2, press_mm: 0.0, free_mm: 0.4 },
        tolerance: None,
    }
}

fn seen(mesh: &Mesh, pieces: &[PosedPiece], overhang_deg: f64) -> PrintCheck {
    let printer = printer(overhang_deg);
    look(&Slices::new(mesh, &printer), pieces, &printer, Vec::new(), Vec::new())
}

pub fn together(a: &Mesh, b: &Mesh) -> Mesh {
    let mut out = a.clone();
    let first = out.vertices.len() as u32;
    out.vertices.extend(&b.vertices);
    out.triangles.extend(b.triangles.iter().map(|t| t.map(|v| v + first)));
    out.tags.extend(&b.tags);
    out
}

#[test]
fn one_piece_keeps_its_place_and_stands_on_the_bed() {
    let mesh = block([3.0, 4.0, 20.0], [10.0, 20.0, 5.0]);
    let (out, pieces) = posed(&mesh, &Pose::Upright, 200.0, BETWEEN_MM);
    assert_eq!(pieces.len(), 1);
    let check = seen(&out, &pieces, 45.0);
    assert_eq!(check.size_mm, [10.0, 20.0, 5.0]);
    assert!((check.footing_mm2 - 200.0).abs() < 1e-9);
    assert_eq!(check.bed_contact_mm2, 200.0);
    assert_eq!(check.steepest_overhang_deg, 0.0);
    assert!(out.vertices.iter().all(|p| p[0] >= 3.0 && p[2] >= 0.0));
    let tipped = Pose::Tipped { angle_rad: std::f64::consts::FRAC_PI_2, axis: 0 };
    let (out, pieces) = posed(&mesh, &tipped, 200.0, BETWEEN_MM);
    assert_eq!(seen(&out, &pieces, 45.0).size_mm, [10.0, 5.0, 20.0]);
    let half = Pose::Tipped { angle_rad: std::f64::consts::FRAC_PI_4, axis: 1 };
    let (out, pieces) = posed(&mesh, &half, 200.0, BETWEEN_MM);
    let check = seen(&out, &pieces, 40.0);
    // Standing on an edge of 45 deg each way: at 0.2 up it is 0.4 wide and 20 long.
    assert!((check.footing_mm2 - 8.0).abs() < 1e-9, "{check:?}");
    assert_eq!(check.bed_contact_mm2, 0.0);
    assert!((check.steepest_overhang_deg - 45.0).abs() < 1e-9);
    assert!((check.steep_area_mm2 - 20.0 * 15.0).abs() < 1e-9);
}

#[test]
fn loose_pieces_are_set_down_one_by_one_and_apart() {
    let mut all = block([30.0, -2.0, 50.0], [4.0, 4.0, 9.0]);
    for place in [[-2.0, 30.0, 40.0], [-34.0, -2.0, 30.0], [-2.0, -34.0, 20.0]] {
        all = together(&all, &block(place, [4.0, 4.0, 9.0]));
    }
    let (out, pieces) = posed(&all, &Pose::Upright, 11.0, BETWEEN_MM);
    assert_eq!(pieces.iter().map(|p| p.triangles).collect::<Vec<_>>(), [12; 4]);
    let look_at = seen(&out, &pieces, 45.0);
    assert!((look_at.footing_mm2 - 16.0).abs() < 1e-9);
    assert!((section_mm2(&out, 0..48, 4.0) - 64.0).abs() < 1e-9);
    // Two rows of two, 2 mm apart.
    assert!((look_at.size_mm[0] - 10.0).abs() < 1e-9 && (look_at.size_mm[1] - 10.0).abs() < 1e-9);
    assert!((look_at.bed_contact_mm2 - 64.0).abs() < 1e-9);
    for (piece, k) in pieces.iter().zip(0..) {
        let first = all.vertices[8 * k];
        let placed = piece.placement.point(first);
        let near = out.vertices.iter().any(|p| (0..3).all(|c| (p[c] - placed[c]).abs() < 1e-12));
        assert!(near, "the placement of piece {k} leads to the file");
    }
}

#[test]
fn a_closed_hollow_stays_in_its_piece() {
    let mut hollow = block([4.0, 4.0, 4.0], [2.0; 3]);
    for triangle in &mut hollow.triangles {
        triangle.swap(1, 2);
    }
    let mesh = together(&block([0.0; 3], [10.0; 3]), &hollow);
    let (out, pieces) = posed(&mesh, &Pose::Upright, 200.0, BETWEEN_MM);
    assert_eq!(pieces.len(), 1);
    let volume = out.volume_of(0..out.triangles.len());
    assert!((volume - 992.0).abs() < 1e-9, "{volume}");
    let two = together(&mesh, &block([20.0, 0.0, 0.0], [5.0; 3]));
    let (_, pieces) = posed(&two, &Pose::Upright, 200.0, BETWEEN_MM);
    assert_eq!(pieces.iter().map(|p| p.triangles).collect::<Vec<_>>(), [24, 12]);
}

/// 16 CFR 1501.4, figure 1: 1.25 in across, 1 to 2.25 in deep.
#[test]
fn the_small_parts_cylinder_is_that_of_the_code() {
    let (across, low, high) = (31.7, 25.4, 57.1);
    let volume = std::f64::consts::PI * f64::powi(across / 2.0, 2) * (low + high) / 2.0;
    assert!((volume - 32_556.1).abs() < 0.1, "{volume}");
    assert_eq!(fits([18.0, 18.0, 18.0], 5832.0), Fits::Yes);
    assert_eq!(fits([25.0, 25.0, 25.0], 15_625.0), Fits::Perhaps);
    assert_eq!(fits([66.0, 3.0, 3.0], 594.0), Fits::No);
    assert_eq!(fits([35.0, 35.0, 35.0], 42_875.0), Fits::No);
}
