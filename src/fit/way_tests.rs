//! Ways out of hand-made bodies.

use super::way::{Snap, caught, travel};
use crate::mesh::{Mesh, Obstacle, Tag};
use crate::model::{Placement, Vector};
use std::f64::consts::TAU;

const UP: Vector = [0.0, 0.0, 1.0];

/// A profile in (r, z), anticlockwise, turned all round.
fn turned(profile: &[(f64, f64)]) -> Mesh {
    const N: usize = 96;
    let m = profile.len();
    let mut mesh = Mesh::default();
    for k in 0..N {
        let (sin, cos) = (TAU * k as f64 / N as f64).sin_cos();
        mesh.vertices.extend(profile.iter().map(|(r, z)| [r * cos, r * sin, *z]));
    }
    let id = |k: usize, j: usize| ((k % N) * m + j % m) as u32;
    for k in 0..N {
        for j in 0..m {
            mesh.triangles.push([id(k, j), id(k + 1, j), id(k + 1, j + 1)]);
            mesh.triangles.push([id(k, j), id(k + 1, j + 1), id(k, j + 1)]);
        }
    }
    mesh.tags = vec![Tag::PLAIN; mesh.triangles.len()];
    mesh
}

/// A box by its opposite corners.
fn cuboid(low: Vector, high: Vector) -> Mesh {
    let at = |k: usize| [0, 1, 2].map(|c| if (k >> c) & 1 == 1 { high[c] } else { low[c] });
    let quads =
        [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let mut mesh = Mesh { vertices: (0..8).map(at).collect(), ..Mesh::default() };
    for [a, b, c, d] in quads {
        mesh.triangles.extend([[a, b, c], [a, c, d]]);
    }
    mesh.tags = vec![Tag::PLAIN; mesh.triangles.len()];
    mesh
}

/// A sleeve round a neck with a lip: `under` is how far its bead reaches below the lip.
fn neck_and_sleeve(under: f64) -> [Mesh; 2] {
    let neck =
        turned(&[(15.0, 0.0), (18.0, 0.0), (18.0, 20.0), (20.0, 22.0), (20.0, 25.0), (15.0, 25.0)]);
    let inner = 20.2 - under;
    let sleeve = turned(&[
        (inner, 16.0),
        (22.0, 16.0),
        (22.0, 26.0),
        (20.2, 26.0),
        (20.2, 20.0),
        (inner, 19.0),
    ]);
    [neck, sleeve]
}

#[test]
fn a_lid_without_a_bead_comes_off_and_one_with_a_bead_snaps() {
    let [neck, sleeve] = neck_and_sleeve(0.1);
    let way = travel(&sleeve, &neck, UP);
    assert_eq!(way, 9.0);
    let free =
        caught(&Obstacle::of(&sleeve), &Obstacle::of(&neck), UP, way, &Placement::IDENTITY, |c| {
            c.deep_mm
        })
        .unwrap();
    assert_eq!(free, None);
    let [neck, sleeve] = neck_and_sleeve(0.8);
    let found =
        caught(&Obstacle::of(&sleeve), &Obstacle::of(&neck), UP, way, &Placement::IDENTITY, |c| {
            c.deep_mm
        })
        .unwrap();
    let found = found.unwrap();
    // The bead of 0.8 mm less the gap of 0.2 mm; facets take 20 (1 - cos(pi / 96)) of it.
    assert!((found.deep_mm - 0.6).abs() < 0.012, "{found:?}");
    assert!(found.at_mm[2] >= 22.0 - 1.0 && found.at_mm[2] <= 25.0, "{found:?}");
    // Bayer's rule for annular joints: undercut over diameter.
    let snap = Snap::of(&found, 22.0, Some(0.02), Some(2000.0)).unwrap();
    assert!((snap.strain_percent - 100.0 * 1.2 / 39.4).abs() < 0.08, "{snap:?}");
    assert!(snap.spreads_n.unwrap() > 0.0);
}

/// A hook on one side is no bead: the lid is held, and where is told.
#[test]
fn a_hook_on_one_side_is_told_with_its_place() {
    let wall = cuboid([0.0, -5.0, 0.0], [2.0, 5.0, 20.0]);
    let mut hook = cuboid([2.2, -5.0, 0.0], [3.0, 5.0, 25.0]);
    hook.take(&cuboid([-1.0, -5.0, 21.0], [2.1, 5.0, 25.0]));
    let catch = cuboid([1.0, -5.0, 22.0], [2.1, 5.0, 30.0]);
    let axis = Placement::shifted([10.0, 0.0, 0.0]);
    let free =
        caught(&Obstacle::of(&hook), &Obstacle::of(&wall), UP, 20.0, &axis, |c| c.deep_mm).unwrap();
    assert_eq!(free, None);
    let mut host = wall;
    host.take(&catch.placed(&Placement::shifted([0.0, 0.0, 5.0])));
    let found = caught(&Obstacle::of(&hook), &Obstacle::of(&host), UP, 20.0, &axis, |c| c.deep_mm)
        .unwrap()
        .unwrap();
    assert_eq!(found.round_mm, None);
    assert!(found.at_mm[2] >= 27.0 - 1e-9, "{found:?}");
    // Both have the block from x = 1 to 2.1 mm in common, whose corners lie 5 mm aside: of
    // the whole degrees the ray of 29 deg goes through it most aslant.
    assert!((found.deep_mm - 1.1 / 29f64.to_radians().cos()).abs() < 1e-9, "{found:?}");
    assert!(Snap::of(&found, 3.0, Some(0.02), None).is_none());
}

/// A block in a dovetail goes along it, not straight out of it.
#[test]
fn an_undercut_piece_does_not_go_straight_out() {
    let upright = cuboid([-2.0, -4.0, 0.0], [2.0, 4.0, 3.0]);
    let mut pocket = cuboid([-6.0, -6.0, -2.0], [6.0, 6.0, -0.1]);
    pocket.take(&cuboid([2.1, -6.0, 0.0], [6.0, 6.0, 3.0]));
    pocket.take(&cuboid([-6.0, -6.0, 0.0], [-2.1, 6.0, 3.0]));
    let obstacle = Obstacle::of(&pocket);
    let at = Placement::IDENTITY;
    assert_eq!(
        caught(&Obstacle::of(&upright), &obstacle, UP, 4.0, &at, |c| c.thick_mm).unwrap(),
        None
    );
    assert_eq!(
        caught(&Obstacle::of(&upright), &obstacle, [0.0, 1.0, 0.0], 4.0, &at, |c| c.thick_mm)
            .unwrap(),
        None
    );
    let mut lipped = pocket.clone();
    lipped.take(&cuboid([1.0, -6.0, 3.1], [6.0, 6.0, 5.0]));
    let found =
        caught(&Obstacle::of(&upright), &Obstacle::of(&lipped), UP, 4.0, &at, |c| c.thick_mm)
            .unwrap()
            .unwrap();
    // At the end of its way: 1 mm wide, 8 mm long, from 3.1 to 5 mm high.
    let [volume, area] = [1.0 * 8.0 * 1.9, 2.0 * (8.0 + 1.9 + 8.0 * 1.9)];
    assert!((found.thick_mm - 2.0 * volume / area).abs() < 1e-6, "{found:?}");
    let aside =
        caught(&Obstacle::of(&upright), &Obstacle::of(&lipped), [0.0, 1.0, 0.0], 9.0, &at, |c| {
            c.thick_mm
        })
        .unwrap();
    assert_eq!(aside, None);
}
