//! Drawn patterns on flat sides: how steep ceilings over slanting edges must be, and how far
//! they move, where the pattern stands askew.
//!
//! A band on flat sides narrows towards the axis, as its flanks are radial. Near a corner a
//! flank stands askew to its side by half of the turn there; T is the tangent of that. Along
//! the side, away from the axis, and up, with s the change of the wall's radius with height:
//! an edge that rises by m runs along (1 + m s T, m s, m), and a ceiling that drops by k per
//! mm of depth goes in along (T (1 + s k), 1 + s k, k). Both lie in the ceiling, so that their
//! cross product (-m, m T - k, 1 + s k) is square to it; and moved by v up the wall it moves
//! by v over the length of that product. With k = 0 the same holds for flanks and undersides,
//! which the drawing, narrowed as at the corners, moves just right. Own derivation; charts
//! have no slanting edges and need none of it.

use super::body::{Inlay, Pattern};
use super::pattern::Ceilings;
use crate::plane::Curve;

/// Rises of edges that are looked at, to either side: from level to almost upright, where
/// flanks are all that counts.
const STEEPEST: f64 = 8.0;

/// Steps between them.
const STEPS: i32 = 400;

/// The ceilings of a pattern, where `level` are those over level edges and `change` is s
/// towards the ceiling. Over edges that slant on flat sides they are nowhere flatter, and
/// keep their distance; none where no ceiling is so steep.
///
/// A ceiling leans from the vertical by the tangent (1 + s k) / sqrt(m^2 + (m T - k)^2), at
/// its most (1 + s k) sqrt(1 + T^2) / k, which is to be that of a level one.
pub fn ceilings(inlay: &Inlay, level: Ceilings, change: f64) -> Option<Ceilings> {
    let Some(sides) = inlay.sides().filter(|_| slants(&inlay.pattern)) else { return Some(level) };
    let (t, corner) = (sides.half_width(), sides.corner());
    let least = level.drop_per_depth;
    let closing = 1.0 - change * least * (corner - 1.0);
    if closing <= 0.0 {
        return None;
    }
    let k = corner * least / closing;
    let more = |m: f64| {
        let size = m.hypot(m * t - k).hypot(1.0 + change * k);
        size - (1.0 + m * m * (1.0 + t * t)).sqrt()
    };
    let rises = (-STEPS..=STEPS).map(|n| f64::from(n) * STEEPEST / f64::from(STEPS));
    let per_gap = 1.0 + rises.map(more).fold(0.0, f64::max);
    Some(Ceilings { drop_per_depth: k, per_gap, lower: level.lower })
}

/// An edge that is off its level or upright line by less is straight, mm: rounding.
const STRAIGHT_MM: f64 = 1e-9;

/// Whether a pattern has edges that are neither level nor upright.
fn slants(pattern: &Pattern) -> bool {
    let (Pattern::Tile { ink, .. } | Pattern::Figure { ink }) = pattern else { return false };
    ink.loops.iter().flat_map(|track| track.iter()).any(|(from, segment)| {
        let along = segment.to - from;
        segment.curve != Curve::Line || along.x.abs().min(along.y.abs()) > STRAIGHT_MM
    })
}
