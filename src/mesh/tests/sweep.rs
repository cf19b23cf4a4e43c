//! Many pairs of inlay and host, picked by a fixed sequence.

use super::seats::*;
use super::*;
use crate::layers::tests::Dice;
use crate::model::{Eased, Inlay, Pattern, PatternError, inset_strips};
use crate::plane::{
    Combine, Corners, Curve, Ends, Segment, Side, Track, combine, disc, regular, stroke,
};
use std::f64::consts::TAU;

fn wave(width: f64, height: f64, line: f64, points: usize) -> Outline {
    let swing = (height - line) * 0.3;
    let at = |i: usize| {
        let t = i as f64 / points as f64;
        Point::new(width * (1.5 * t - 0.25), swing * (TAU * 1.5 * t).sin())
    };
    let to = |i| Segment { to: at(i), curve: Curve::Line, face: None };
    let track = Track { start: at(0), segments: (1..=points).map(to).collect() };
    stroke(&track, line, Side::Middle, Ends::Flat, Corners::Round).unwrap()
}

/// A band with round windows, and a bar across each.
fn portholes(width: f64, height: f64) -> Outline {
    let whole = rect(width * 1.2, height, Edge::None).unwrap();
    let hole = disc(width.min(height) * 0.55).unwrap();
    let middle = Point::new(width / 2.0, 0.0);
    let whole = whole.shifted(middle);
    combine(Combine::Less, &whole, &hole.shifted(middle)).unwrap()
}

/// A lattice of diamonds: everything but rhombic windows.
fn lattice(width: f64, height: f64) -> Outline {
    let whole = rect(width * 1.2, height, Edge::None).unwrap();
    let half = [0.36 * width, 0.36 * height];
    let corners = [(half[0], 0.0), (0.0, half[1]), (-half[0], 0.0), (0.0, -half[1])];
    let window = profile(&corners);
    let middle = Point::new(width / 2.0, 0.0);
    combine(Combine::Less, &whole.shifted(middle), &window.shifted(middle)).unwrap()
}

fn pattern(kind: usize, width: f64, height: f64, repeats: u32, dice: &mut Dice) -> Pattern {
    let line = dice.between(0.15, 0.3) * height.min(width);
    let ink = match kind {
        0 => return chart(&RIPPLE, repeats),
        1 => return chart(&["#####.", "#...#.", "#.#.#.", "#.#.##", "#.#...", "..###."], repeats),
        2 => wave(width, height, line, 24),
        3 => portholes(width, height),
        4 => lattice(width, height),
        _ => regular(6, width.min(height) * 0.8).unwrap().shifted(Point::new(width / 2.0, 0.0)),
    };
    Pattern::Tile { ink, width_mm: width, repeats }
}

fn design(dice: &mut Dice, round: usize) -> (Outline, Inlay, f64) {
    let bore = dice.between(40.0, 140.0);
    let repeats = dice.between(6.0, 60.0) as u32;
    let (sink, gap) = (dice.between(0.8, 2.4), dice.between(0.05, 0.4));
    let slope = if round.is_multiple_of(3) { dice.between(-0.15, 0.15) } else { 0.0 };
    let wall = sink / slope.atan().cos() + 1.2;
    let r = |z: f64| bore / 2.0 + wall + slope * (z - 44.0);
    let cup = profile(&[
        (0.0, 0.0),
        (r(0.0), 0.0),
        (r(87.0), 87.0),
        (r(87.0) - wall, 87.0),
        (r(3.0) - wall, 3.0),
        (0.0, 3.0),
    ]);
    let height = dice.between(12.0, 40.0);
    let width = TAU * r(44.0) / f64::from(repeats);
    let ink = pattern(round % 6, width, height, repeats, dice);
    let angle = dice.between(30.0, 65.0);
    let mut inlay = band(&cup, ink, sink, angle);
    inlay.height_mm = height;
    inlay.bearing = dice.between(-4.0, 4.0);
    inlay.eased = match round % 5 {
        0 => None,
        1 => Some(Eased { angle_rad: angle.to_radians(), lower: true }),
        _ => inlay.eased,
    };
    (cup, inlay, gap)
}

/// Everything that the strips promise, of the meshes: what does not hold.
fn try_one(dice: &mut Dice, round: usize) -> Result<Vec<String>, PatternError> {
    let (cup, inlay, gap) = design(dice, round);
    let strips = inset_strips(&inlay, gap)?;
    let here = Placement::IDENTITY;
    if strips.strips.iter().all(Vec::is_empty) {
        return Ok(vec![]);
    }
    let pair = match pair_on(&cup, &inlay, gap, &here, 80.0) {
        Ok(pair) => pair,
        Err(fault) => return Ok(vec![fault]),
    };
    let mut wrong = vec![];
    let mut must = |holds: bool, what: String| {
        if !holds {
            wrong.push(what);
        }
    };
    let (told, made) = (strips.section(0.0), pair.inlay.checks);
    let (pieces, loops) = (told.pieces.len(), told.loops());
    must(made.pieces == pieces, format!("pieces {} {pieces}", made.pieces));
    must(made.genus == loops as i64, format!("genus {} {loops}", made.genus));
    let overlap = overlap_mm3(&pair.host.mesh, &pair.inlay.mesh).unwrap();
    must(overlap < 1e-7, format!("overlap {overlap}"));
    let least = least_gap(&pair.inlay.mesh, &pair.host.mesh);
    must(least >= gap - 0.001, format!("gap {least} {gap}"));
    let fine = pair.host.checks.collapsing + pair.inlay.checks.collapsing;
    must(fine == 0, format!("{fine} collapse"));
    if round.is_multiple_of(4) {
        wrong.extend(differences(&pair, &inlay, &here, 80.0));
    }
    Ok(wrong)
}

#[test]
fn pairs_hold_over_the_whole_range() {
    let mut dice = Dice(20260725);
    let (mut refused, mut wrong) = (0, vec![]);
    for round in 0..60 {
        match try_one(&mut dice, round) {
            Ok(found) => wrong.extend(found.iter().map(|w| format!("round {round}: {w}"))),
            Err(_) => refused += 1,
        }
    }
    assert!(wrong.is_empty() && refused == 0, "{refused} refused\n{}", wrong.join("\n"));
}
