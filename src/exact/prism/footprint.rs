//! The outline of a prism and how it grows.

use super::super::Declined;
use crate::plane::{Curve, Outline, Point, Stretch};
use std::f64::consts::PI;

/// Below this a side or a radius counts as gone, mm: rounding of intersections.
pub(super) const GONE_MM: f64 = 1e-9;

/// Sides that meet at a smaller angle than this are tangent, rad: rounding of drawn
/// tangent arcs.
const TANGENT_RAD: f64 = 1e-7;

/// A loop of the outline with the direction in which each corner moves.
#[derive(Clone, Debug)]
pub(super) struct Ring {
    /// Sides; side `i` starts at corner `i`. No arc is longer than a third of a turn,
    /// so that no two sides share both their ends.
    pub(super) sides: Vec<Stretch>,
    /// By how much a corner moves for each mm of growth.
    pub(super) mitres: Vec<Point>,
}

/// All loops of the outline.
#[derive(Clone, Debug)]
pub(super) struct Footprint {
    pub(super) rings: Vec<Ring>,
}

impl Footprint {
    /// From an outline; `grows` says whether its corners have to move at all.
    pub(super) fn new(outline: &Outline, grows: bool) -> Result<Self, Declined> {
        let mut rings = Vec::new();
        for track in &outline.loops {
            let sides: Vec<Stretch> = track.stretches().flat_map(shortened).collect();
            let mut mitres = vec![Point::default(); sides.len()];
            for i in 0..sides.len() {
                let before = &sides[(i + sides.len() - 1) % sides.len()];
                if grows {
                    mitres[i] = mitre(before, &sides[i])?;
                }
            }
            rings.push(Ring { sides, mitres });
        }
        Ok(Footprint { rings })
    }

    /// Whether every side is still there, the right way round, after growing.
    pub(super) fn check_growth(&self, growth: f64) -> Result<(), Declined> {
        for ring in &self.rings {
            for i in 0..ring.sides.len() {
                let (from, to) = (ring.corner(i, growth), ring.corner(i + 1, growth));
                let left = match ring.sides[i].curve {
                    Curve::Line => (to - from).dot(ring.sides[i].direction(0.0)),
                    Curve::Arc { .. } => ring.radius(i, growth),
                };
                if left < -GONE_MM {
                    return Err(Declined::new(
                        "a treated edge or a lean eats up a side of a prism",
                    ));
                }
            }
        }
        Ok(())
    }
}

impl Ring {
    /// Where corner `i` is after growing.
    pub(super) fn corner(&self, i: usize, growth: f64) -> Point {
        let i = i % self.sides.len();
        self.sides[i].from + self.mitres[i] * growth
    }

    /// The radius of side `i` after growing, mm; 0 on straight sides.
    pub(super) fn radius(&self, i: usize, growth: f64) -> f64 {
        let side = &self.sides[i];
        match side.curve {
            Curve::Line => 0.0,
            Curve::Arc { anticlockwise, .. } => {
                side.radius().unwrap_or(0.0) + if anticlockwise { growth } else { -growth }
            }
        }
    }
}

/// Arcs in parts of at most a third of a turn.
fn shortened(side: Stretch) -> Vec<Stretch> {
    let parts = (side.sweep().abs() / (2.0 * PI / 3.0) - 1e-9).ceil().max(1.0) as usize;
    let share = |i: usize| side.at(i as f64 / parts as f64);
    (0..parts).map(|i| Stretch { from: share(i), to: share(i + 1), ..side }).collect()
}

/// How a corner moves so that both its sides move outwards (to the right) by 1 mm.
fn mitre(before: &Stretch, after: &Stretch) -> Result<Point, Declined> {
    let (a, b) = (before.direction(1.0), after.direction(0.0));
    let (right_a, right_b) = (-a.left(), -b.left());
    let turn = a.cross(b).atan2(a.dot(b));
    if turn.abs() < TANGENT_RAD {
        return Ok(right_a);
    }
    let straight = before.curve == Curve::Line && after.curve == Curve::Line;
    if !straight {
        return Err(Declined::new(
            "a leaning side or a treated edge runs round a corner where an arc meets another side at an angle",
        ));
    }
    // m with m . right_a = m . right_b = 1
    let sum = right_a + right_b;
    let scale = 1.0 + right_a.dot(right_b);
    if scale < 1e-6 {
        return Err(Declined::new("a corner of a prism is too sharp for its sides to lean"));
    }
    Ok(sum * (1.0 / scale))
}
