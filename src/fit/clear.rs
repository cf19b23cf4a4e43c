//! Whether a bent outline lies round a polygon, moved as suits it best.
//!
//! Corners of the ring look away from the host and touch nothing. What touches are corners
//! of the host on sides of the ring, its tips on sides of the host, and sides that bow.

use super::chain::{Chain, Move, Vertex};
use super::linear::{Row, raised};
use crate::model::Sides;
use crate::plane::Point;

/// Points of a ring's side so near to a corner of the host are left to the corner, mm: the
/// next moves may bring them to its other side.
const LEFT_TO_CORNER_MM: f64 = 1.0;

/// Of the points along a side every so many is looked at: sides bow but little.
const EVERY: usize = 2;

/// First steps of a move, mm.
const FIRST_MM: f64 = 1.0;

/// Steps that gain less are the last, mm.
const GAINS_MM: f64 = 1e-8;

/// Bound on steps.
const STEPS: usize = 60;

/// The outline of a host: flat sides round the origin.
pub struct Host {
    /// Distance of its sides, mm.
    pub apothem: f64,
    /// Outward directions of its sides, anticlockwise.
    normals: Vec<Point>,
    corners: Vec<Point>,
}

/// Where a ring and the host may touch.
#[derive(Clone, Copy, Debug)]
pub struct Touch {
    /// Of the ring, mm.
    pub at: Point,
    /// Direction in which the host presses.
    pub normal: Point,
    /// Distance in that direction, mm; below 0 where they overlap.
    pub gap: f64,
    /// Links between which it is, and how far from the first to the second.
    pub links: [usize; 2],
    /// See `links`.
    pub share: f64,
    /// How many bars are before it.
    pub arc: f64,
}

impl Host {
    /// A host of sides at a distance, as seen from a slit at an angle.
    pub fn new(sides: Sides, apothem: f64, slit_rad: f64) -> Self {
        Host::facing(sides.count(), apothem, sides.middle_rad(slit_rad) - slit_rad)
    }

    /// So many sides at a distance, one of which faces an angle.
    pub fn facing(sides: u32, apothem: f64, first: f64) -> Self {
        let turn = std::f64::consts::TAU / f64::from(sides);
        let at = |side: f64, far: f64| {
            let (sin, cos) = (first + side * turn).sin_cos();
            Point::new(far * cos, far * sin)
        };
        let corner = apothem / (turn / 2.0).cos();
        Host {
            apothem,
            normals: (0..sides).map(|k| at(f64::from(k), 1.0)).collect(),
            corners: (0..sides).map(|k| at(f64::from(k) + 0.5, corner)).collect(),
        }
    }

    /// How many sides it has.
    pub fn sides(&self) -> usize {
        self.normals.len()
    }

    /// The side over which a point lies, and how far it is outside.
    fn over(&self, p: Point) -> (usize, f64) {
        let sides = self.normals.iter().enumerate().map(|(k, n)| (k, n.dot(p)));
        let over = sides.fold((0, f64::NEG_INFINITY), |a, b| if b.1 > a.1 { b } else { a });
        (over.0, over.1 - self.apothem)
    }

    /// How far a point is outside, mm.
    pub fn outside(&self, p: Point) -> f64 {
        self.over(p).1
    }

    /// Where a ring may touch the host.
    pub fn touches(&self, chain: &Chain, inside: &[[Point; 2]]) -> Vec<Touch> {
        let mut touches = Vec::new();
        for corner in &self.corners {
            let all = 0..inside.len();
            let Some(side) = nearest(*corner, inside, all).map(|k| chain.hinges[k].side) else {
                continue;
            };
            // The corner may come to the next side, too: it must stay within both.
            for side in side.saturating_sub(1)..(side + 2).min(chain.sides.len()) {
                let hinge = nearest(*corner, inside, chain.sides[side].clone());
                touches.extend(hinge.map(|k| on_side(*corner, chain, inside, k)));
            }
        }
        let last = inside.len() - 1;
        let far = |p: &Point| self.corners.iter().all(|c| c.distance(*p) > LEFT_TO_CORNER_MM);
        for (k, ends) in inside.iter().enumerate() {
            for (end, at) in ends.iter().enumerate() {
                let tip = [k, end] == [0, 0] || [k, end] == [last, 1];
                if tip || (end == 0 && k % EVERY == 0 && far(at)) {
                    let vertex = &chain.outline[k][end];
                    let (over, gap) = self.over(*at);
                    touches.push(Touch {
                        at: *at,
                        normal: self.normals[over],
                        gap,
                        links: [vertex.link; 2],
                        share: 0.0,
                        arc: vertex.arc,
                    });
                }
            }
        }
        touches
    }

    /// Moves a bent ring until the least of its distances from the host is most, from where
    /// it is: the move, and that least, mm; below 0 where it overlaps the host. Step by step,
    /// each the best for straight lines.
    pub fn settled(&self, chain: &Chain, bent: &[[Point; 2]], start: Move) -> (Move, f64) {
        let looked = |by: &Move| -> (Vec<Touch>, f64) {
            let there: Vec<_> = bent.iter().map(|ends| ends.map(|p| by.point(p))).collect();
            let touches = self.touches(chain, &there);
            let least = touches.iter().map(|t| t.gap).fold(f64::INFINITY, f64::min);
            (touches, least)
        };
        let mut by = start;
        let (mut touches, mut clear) = looked(&start);
        let mut reach = FIRST_MM;
        for _ in 0..STEPS {
            let row = |t: &Touch| Row {
                rise: [t.normal.x, t.normal.y, t.at.cross(t.normal) / self.apothem],
                height: t.gap,
            };
            let rows: Vec<Row> = touches.iter().map(row).collect();
            let Some((step, hoped)) = raised(&rows, reach) else { break };
            if hoped - clear < GAINS_MM {
                break;
            }
            let next = by.then(&Move::new(step[2] / self.apothem, Point::new(step[0], step[1])));
            let found = looked(&next);
            let kept = (found.1 - clear) / (hoped - clear);
            if kept > 0.0 {
                by = next;
                (touches, clear) = found;
            }
            reach *= if kept > 0.7 { 2.0 } else { 0.25 };
        }
        (by, clear)
    }
}

/// Of some stretches of an outline the one whose beginning is nearest to a point.
fn nearest(p: Point, inside: &[[Point; 2]], among: std::ops::Range<usize>) -> Option<usize> {
    let far = |k: usize| {
        let off = p - (inside[k][0] + inside[k][1]) * 0.5;
        off.dot(off)
    };
    let all = among.map(|k| (far(k), k));
    all.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, k)| k)
}

/// A corner of the host and a stretch of a ring's side, which goes on beyond the ring's
/// corners. At the sides next to the slit a corner may be past the tip instead.
fn on_side(corner: Point, chain: &Chain, inside: &[[Point; 2]], k: usize) -> Touch {
    let [a, b] = inside[k];
    let length = a.distance(b);
    let way = (b - a).unit();
    let share = (corner - a).dot(way) / length;
    let touch = |at: Point, normal: Point, share: f64, [from, to]: &[Vertex; 2]| Touch {
        at,
        normal,
        gap: normal.dot(at - corner),
        links: [from.link, to.link],
        share,
        arc: from.arc + share * (to.arc - from.arc),
    };
    let foot = a + way * (share * length);
    let within = touch(foot, -way.left(), share.clamp(0.0, 1.0), &chain.outline[k]);
    let last = inside.len() - 1;
    let side = chain.hinges[k].side;
    let past = if side == 0 {
        touch(inside[0][0], way, 0.0, &chain.outline[0])
    } else if side + 1 == chain.sides.len() {
        touch(inside[last][1], -way, 1.0, &chain.outline[last])
    } else {
        return within;
    };
    if past.gap > within.gap { past } else { within }
}
