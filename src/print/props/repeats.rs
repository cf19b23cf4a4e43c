//! How a body repeats itself about an upright axis.

use super::Turn;
use crate::model::{Body, Inlay, Leaf, Pattern, Placement};
use crate::print::posed::PosedPiece;
use std::sync::Arc;

/// An axis leans by no more than this from the upright: rounding.
const UPRIGHT: f64 = 1e-9;

/// Axes nearer than this are one, mm.
const SAME_MM: f64 = 1e-7;

/// The turns that bring a posed body, or much of it, back onto itself, the finest first.
/// Loose pieces are set down one by one: they have none.
pub fn turns(body: &Body, pieces: &[PosedPiece]) -> Vec<Turn> {
    let [piece] = pieces else { return Vec::new() };
    let mut turns: Vec<Turn> = Vec::new();
    gather(body, &piece.placement, &mut turns);
    turns.sort_by_key(|turn| std::cmp::Reverse(turn.count));
    let mut out: Vec<Turn> = Vec::new();
    for turn in turns {
        let same = |t: &Turn| {
            let away = [0, 1].map(|c| t.axis[c] - turn.axis[c]);
            t.count == turn.count && away[0].hypot(away[1]) < SAME_MM
        };
        if !out.iter().any(same) {
            out.push(turn);
        }
    }
    out
}

fn gather(body: &Body, here: &Placement, turns: &mut Vec<Turn>) {
    match body {
        Body::Empty => {}
        Body::Leaf(Leaf::Inlay(inlay)) => add(repeats(inlay), here, turns),
        Body::Leaf(Leaf::Relief(relief)) => add(repeats(&relief.pattern), here, turns),
        Body::Leaf(_) => {}
        Body::Placed { body, placement } => gather(body, &placement.then(here), turns),
        Body::Boolean { left, right, .. } => {
            gather(left, here, turns);
            gather(right, here, turns);
        }
        Body::Many(all) => {
            add(alike(all), here, turns);
            for body in all {
                gather(body, here, turns);
            }
        }
    }
}

fn repeats(inlay: &Inlay) -> u32 {
    match &inlay.pattern {
        Pattern::Chart { repeats, .. } | Pattern::Tile { repeats, .. } => *repeats,
        Pattern::Figure { .. } => 1,
    }
}

/// How many copies of one body there are, where all are copies of it.
fn alike(all: &[Arc<Body>]) -> u32 {
    let mut inner = all.iter().map(|body| match &**body {
        Body::Placed { body, .. } => body,
        _ => body,
    });
    let Some(first) = inner.next() else { return 1 };
    if inner.all(|body| Arc::ptr_eq(body, first)) { all.len() as u32 } else { 1 }
}

fn add(count: u32, here: &Placement, turns: &mut Vec<Turn>) {
    let axis = here.direction([0.0, 0.0, 1.0]);
    if count > 1 && axis[0].hypot(axis[1]) <= UPRIGHT * axis[2].abs() {
        let [x, y, _] = here.point([0.0; 3]);
        turns.push(Turn { axis: [x, y], count });
    }
}
