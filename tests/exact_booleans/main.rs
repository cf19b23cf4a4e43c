//! A corpus of cuts, joins and intersections of exact bodies. Every case is either carried
//! with the volume that an independent integration finds, or declined with a reason; the
//! outcomes are committed in `outcomes.txt`, so that a change of any is seen.
//!
//! The oracle shares nothing with the engine: it sums the lengths of parallel lines inside
//! the bodies, found from the primitives' equations (quadratics, quartics and slabs,
//! elementary algebra; common practice, no source). A second judge, manifold3d, is asked
//! by `tests/outside`, for this corpus and for random pairs.

mod cases;
mod judged;
mod oracle;
mod relations;

use cases::Cases;
use oracle::Primitive::{Ball, Bars, Cone, Ring};
use oracle::{Tree, at, body, less, meet, one, radial, rod, shift, volume};
use pipkin::exact::{ExactBody, nominal};
use rayon::prelude::*;
use std::f64::consts::PI;

fn corpus() -> Cases {
    let mut all = cases::cases();
    all.extend(relations::cases());
    all
}

/// One line of the table, after the checks that every carried body must pass.
fn outcome(name: &str, tree: &Tree) -> String {
    match nominal(&body(tree)) {
        Err(declined) => format!("{name}: declined, {}", declined.reason),
        Ok(made) => {
            let (got, want) = (made.volume_mm3(), volume(tree));
            match made.check() {
                Ok(()) if (got - want).abs() <= 4e-4 * want + 0.1 => {
                    format!("{name}: exact, {}", counts(&made))
                }
                found => format!("{name}: WRONG, {got} by lines {want}, {found:?}"),
            }
        }
    }
}

fn counts(made: &ExactBody) -> String {
    let genus = made.genus().map_or("none".into(), |g| g.to_string());
    format!("pieces {}, genus {genus}, faces {}", made.pieces(), made.faces().len())
}

/// The answers to all cases, in their order.
fn answers<T: Send>(cases: &Cases, of: impl Fn(&str, &Tree) -> T + Sync) -> Vec<T> {
    cases.par_iter().map(|(name, tree)| of(name, tree)).collect()
}

#[test]
fn every_case_is_carried_rightly_or_declined() {
    let table = answers(&corpus(), outcome).join("\n") + "\n";
    assert!(table.lines().count() >= 250);
    if std::env::var_os("PIPKIN_BLESS").is_some() {
        let root = env!("CARGO_MANIFEST_DIR");
        std::fs::write(format!("{root}/tests/exact_booleans/outcomes.txt"), &table).unwrap();
    } else {
        let committed = include_str!("outcomes.txt");
        let known: Vec<&str> = committed.lines().collect();
        let new = table.lines().filter(|line| !known.contains(line));
        let differing: Vec<&str> = new.collect();
        assert!(differing.is_empty(), "outcomes not in the table:\n{}", differing.join("\n"));
        assert_eq!(known.len(), table.lines().count());
    }
    let wrong: Vec<&str> = table.lines().filter(|line| line.contains("WRONG")).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_oracle_knows_closed_forms() {
    // CRC Standard Mathematical Tables: cylinder, frustum, sphere, torus, sector; and the
    // common body of two equal cylinders at right angles, 16 r^3 / 3 (Archimedes).
    let near = |tree: Tree, want: f64| {
        let got = volume(&tree);
        assert!((got - want).abs() < 3e-4 * want, "{got} {want}");
    };
    near(one(rod(40.0, 60.0)), PI * 1600.0 * 60.0);
    near(one(Ball { radius: 20.0 }), 4.0 / 3.0 * PI * 8000.0);
    let frustum = Cone { below: 25.0, above: 35.0, height: 60.0 };
    near(one(frustum), PI * 60.0 * (625.0 + 875.0 + 1225.0) / 3.0);
    let cross = at(rod(20.0, 100.0), shift(0.0, 0.0, -50.0).then(&radial(0.0, 30.0)));
    near(meet(one(rod(20.0, 60.0)), cross), 16.0 * 8000.0 / 3.0);
    near(one(Ring { middle: 30.0, thick: 16.0 }), 2.0 * PI * PI * 30.0 * 64.0);
    let bars = Bars { outer: 40.0, depth: 10.0, height: 30.0, count: 5 };
    near(one(bars), PI * (1600.0 - 900.0) * 30.0 / 2.0);
    let half = less(one(bars), at(rod(35.0, 40.0), shift(0.0, 0.0, -5.0)));
    near(half, PI * (1600.0 - 1225.0) * 30.0 / 2.0);
}

#[test]
fn the_same_bodies_give_the_same_faces_in_the_same_order() {
    // The boolean crate orders by addresses; nothing of that may be left.
    for (name, tree) in corpus().iter().step_by(19) {
        let (once, again) = (nominal(&body(tree)), nominal(&body(tree)));
        let (once, again) = (format!("{once:?}"), format!("{again:?}"));
        let differs = once.chars().zip(again.chars()).position(|(a, b)| a != b);
        let near = |text: &str, at: usize| -> String {
            text.chars().skip(at.saturating_sub(200)).take(400).collect()
        };
        let told = differs.map(|at| (near(&once, at), near(&again, at)));
        assert!(told.is_none() && once.len() == again.len(), "{name}: {told:?}");
    }
}
