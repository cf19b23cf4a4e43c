//! Layers that are not looked at have nothing to find, whatever body they belong to.

use super::super::super::slices::Slices;
use super::super::super::tests::{block, printer, together};
use super::super::{CARRY_MM, carry::patches};
use super::doubtful;
use crate::mesh::Mesh;
use crate::model::Placement;
use proptest::prelude::*;

/// Layers that are looked at, and those of all others that should have been.
fn looked(mesh: &Mesh) -> (usize, Vec<usize>) {
    let printer = printer(45.0);
    let slices = Slices::new(mesh, &printer);
    let planes = slices.planes();
    let reach: Vec<f64> =
        (0..planes.cuts_mm.len()).map(|layer| planes.rise_mm(layer) + CARRY_MM).collect();
    let doubtful = doubtful(&slices, &reach);
    let hangs = |layer: &usize| {
        let (upper, lower) = (slices.outlines(*layer), slices.outlines(layer - 1));
        !patches(*layer, upper, lower, reach[*layer]).is_empty()
    };
    let missed = (1..reach.len()).filter(|layer| !doubtful[*layer]).filter(hangs).collect();
    (doubtful.iter().filter(|d| **d).count(), missed)
}

/// A block whose lower corners are drawn in, on the bed.
fn chamfered(in_mm: f64, high_mm: f64) -> Mesh {
    let mut mesh = block([0.0; 3], [20.0, 20.0, high_mm]);
    for p in mesh.vertices.iter_mut().filter(|p| p[2] == 0.0) {
        (p[0], p[1]) = (10.0 + (p[0] - 10.0) * in_mm, 10.0 + (p[1] - 10.0) * in_mm);
    }
    mesh
}

#[test]
fn gentle_slopes_are_passed_over_and_keels_are_not() {
    assert_eq!(looked(&block([0.0; 3], [10.0, 10.0, 10.0])), (0, vec![]));
    // Sides that lean by 44 deg: its corners lean more, and are keels in each of 50 layers.
    let steep = 10f64 * 44f64.to_radians().tan();
    assert_eq!(looked(&chamfered(1.0 - steep / 10.0, 10.0)).0, 49);
    // Corners that lean by less than 45 deg as well.
    let gentle = 10f64 * 35f64.to_radians().tan();
    assert_eq!(looked(&chamfered(1.0 - gentle / 10.0, 10.0)).0, 0);
}

#[test]
fn a_shelf_and_what_starts_in_the_air_are_looked_at() {
    let post = block([0.0; 3], [4.0, 4.0, 10.0]);
    assert_eq!(looked(&together(&post, &block([4.0, 0.0, 5.0], [9.0, 4.0, 1.0]))), (1, vec![]));
    // On its corner: the keels of its lower half, and where it starts.
    let cube = block([0.0; 3], [6.0; 3])
        .placed(&Placement::turned(0, 0.6))
        .placed(&Placement::turned(1, 0.7))
        .placed(&Placement::shifted([20.0, 0.0, 8.0]));
    let (count, missed) = looked(&together(&post, &cube));
    assert!(count > 3 && missed.is_empty(), "{count} {missed:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Two blocks turned any way, side by side.
    #[test]
    fn nothing_is_missed_under_turned_blocks(
        size in prop::array::uniform3(2.0f64..9.0),
        turn in prop::array::uniform3(0.0f64..6.0),
        other in prop::array::uniform3(0.0f64..6.0),
        up in 0.0f64..3.0,
        aside in 15.0f64..20.0,
    ) {
        let placed = |turn: [f64; 3], x: f64| {
            let turns = (0..3).map(|axis| Placement::turned(axis, turn[axis]));
            let mesh = turns.fold(block([0.0; 3], size), |mesh, turn| mesh.placed(&turn));
            let low = mesh.bounds().low[2];
            mesh.placed(&Placement::shifted([x, 0.0, up - low]))
        };
        let (_, missed) = looked(&together(&placed(turn, 0.0), &placed(other, aside)));
        prop_assert_eq!(missed, Vec::<usize>::new());
    }
}
