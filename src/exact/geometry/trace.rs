//! Curves in which two surfaces meet and that have no simpler name.

use super::Surface;
use super::vector::{along, between, cross, distance, dot, length, scale, solve, sub, unit};
use crate::model::{Placement, Vector};

/// The curve in which two surfaces meet, led by points that lie on it. Between two
/// leading points it is where the surfaces meet in the plane square to their chord.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// The surfaces.
    surfaces: Box<[Surface; 2]>,
    /// At least two points on the curve, no two neighbours alike, mm.
    leader: Vec<Vector>,
    /// Length of the chords up to each leading point, mm.
    runs: Vec<f64>,
}

/// Leading points closer than this add nothing and may even lie in the wrong order, mm:
/// they come from triangles, which are off the curve by more.
const CLOSE_MM: f64 = 0.02;

impl Trace {
    /// The curve between two surfaces that is led by `leader`. None with fewer than two
    /// different points, or where the surfaces do not cross near them.
    pub fn new(surfaces: [Surface; 2], leader: &[Vector]) -> Option<Self> {
        let mut points: Vec<Vector> = Vec::with_capacity(leader.len());
        for (i, point) in leader.iter().enumerate() {
            let next = leader.get(i + 1).or(leader.get(i.wrapping_sub(1)))?;
            let settled = settle(&surfaces, *point, unit(sub(*next, *point)))?;
            // The last point stands; one shortly before it makes way.
            if i + 1 == leader.len() && points.len() > 1 {
                points.pop_if(|last| distance(*last, settled) < CLOSE_MM);
            }
            let least = if i + 1 == leader.len() { 1e-7 } else { CLOSE_MM };
            if points.last().is_none_or(|last| distance(*last, settled) > least) {
                points.push(settled);
            }
        }
        drop_overshoot(&mut points);
        points.reverse();
        drop_overshoot(&mut points);
        points.reverse();
        Trace::through(surfaces, points)
    }

    /// The same from points that may lie off the surfaces; there must be two different
    /// ones, else the curve has no length.
    pub(in crate::exact) fn unsettled(surfaces: [Surface; 2], leader: Vec<Vector>) -> Self {
        let runs = runs(&leader);
        Trace { surfaces: Box::new(surfaces), leader, runs }
    }

    fn through(surfaces: [Surface; 2], leader: Vec<Vector>) -> Option<Self> {
        if leader.len() < 2 {
            return None;
        }
        Some(Trace::unsettled(surfaces, leader))
    }

    /// The surfaces that meet in it.
    pub fn surfaces(&self) -> &[Surface; 2] {
        &self.surfaces
    }

    /// Points on the curve that lead it, its ends among them.
    pub fn leader(&self) -> &[Vector] {
        &self.leader
    }

    /// Length of the chords between the leading points, mm.
    pub fn length(&self) -> f64 {
        self.runs.last().copied().unwrap_or(0.0)
    }

    /// Shares of the curve at the leading points, from 0 to 1.
    pub fn knots(&self) -> impl Iterator<Item = f64> + '_ {
        let whole = self.length();
        self.runs.iter().map(move |run| run / whole)
    }

    /// The point after a share `t` of the chords.
    pub fn at(&self, t: f64) -> Vector {
        let (index, share) = self.segment(t);
        let (a, b) = (self.leader[index], self.leader[index + 1]);
        if share == 0.0 || share == 1.0 {
            return between(a, b, share);
        }
        let guess = between(a, b, share);
        settle(&self.surfaces, guess, unit(sub(b, a))).unwrap_or(guess)
    }

    /// Derivative by `t`.
    pub fn derivative(&self, t: f64) -> Vector {
        let (index, _) = self.segment(t);
        let chord = unit(sub(self.leader[index + 1], self.leader[index]));
        let point = self.at(t);
        let normals = [self.surfaces[0].normal_near(point), self.surfaces[1].normal_near(point)];
        let tangent = cross(normals[0], normals[1]);
        let forward = dot(tangent, chord);
        if forward == 0.0 {
            return scale(chord, self.length());
        }
        scale(tangent, self.length() / forward)
    }

    /// The share at which the curve is nearest to a point: exact for points on the curve.
    pub fn nearest(&self, point: Vector) -> f64 {
        let mut best = (f64::INFINITY, 0.0);
        for (index, pair) in self.leader.windows(2).enumerate() {
            let chord = sub(pair[1], pair[0]);
            let share = (dot(sub(point, pair[0]), chord) / dot(chord, chord)).clamp(0.0, 1.0);
            let away = distance(point, between(pair[0], pair[1], share));
            if away < best.0 {
                let run = self.runs[index] + share * length(chord);
                best = (away, run / self.length());
            }
        }
        best.1
    }

    /// The pieces before and after `t`; none where a piece would have no length.
    pub fn cut(&self, t: f64) -> Option<(Self, Self)> {
        let (index, _) = self.segment(t);
        let at = self.at(t);
        let far = |p: &&Vector| distance(**p, at) > 1e-7;
        let mut front: Vec<Vector> = self.leader[..=index].iter().filter(far).copied().collect();
        front.push(at);
        let mut back = vec![at];
        back.extend(self.leader[index + 1..].iter().filter(far));
        let surfaces = *self.surfaces;
        Some((Trace::through(surfaces, front)?, Trace::through(surfaces, back)?))
    }

    /// The same curve run through the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let whole = self.length();
        Trace {
            surfaces: self.surfaces.clone(),
            leader: self.leader.iter().rev().copied().collect(),
            runs: self.runs.iter().rev().map(|run| whole - run).collect(),
        }
    }

    /// The same curve elsewhere.
    #[must_use]
    pub fn placed(&self, placement: &Placement) -> Self {
        Trace {
            surfaces: Box::new(self.surfaces.map(|s| s.placed(placement))),
            leader: self.leader.iter().map(|p| placement.point(*p)).collect(),
            runs: self.runs.clone(),
        }
    }

    /// Which chord `t` falls on, and the share of it.
    fn segment(&self, t: f64) -> (usize, f64) {
        let run = t * self.length();
        let after = self.runs.partition_point(|r| *r <= run);
        let index = after.clamp(1, self.leader.len() - 1) - 1;
        let (low, high) = (self.runs[index], self.runs[index + 1]);
        (index, ((run - low) / (high - low)).clamp(0.0, 1.0))
    }
}

/// Drops points after the first from which the curve would have to turn back: the first
/// point is where the curve ends, and triangles may have led past it.
fn drop_overshoot(points: &mut Vec<Vector>) {
    while points.len() > 2 && dot(sub(points[1], points[0]), sub(points[2], points[1])) < 0.0 {
        points.remove(1);
    }
}

/// Lengths of the chords up to each point.
fn runs(points: &[Vector]) -> Vec<f64> {
    let mut runs = vec![0.0];
    let mut run = 0.0;
    for pair in points.windows(2) {
        run += distance(pair[0], pair[1]);
        runs.push(run);
    }
    runs
}

/// The point on both surfaces in the plane through `guess` square to `direction`, by
/// Newton's method on the two distances. None where they do not cross there.
pub(in crate::exact) fn settle(
    surfaces: &[Surface; 2],
    guess: Vector,
    direction: Vector,
) -> Option<Vector> {
    let mut point = guess;
    for _ in 0..40 {
        let away = [surfaces[0].signed_distance(point), surfaces[1].signed_distance(point)];
        if away[0].abs().max(away[1].abs()) < 1e-12 {
            return Some(point);
        }
        let rows = [surfaces[0].normal_near(point), surfaces[1].normal_near(point), direction];
        let back = dot(sub(guess, point), direction);
        point = along(point, solve(rows, [-away[0], -away[1], back])?, 1.0);
    }
    let close = surfaces.iter().all(|s| s.signed_distance(point).abs() < 1e-9);
    close.then_some(point)
}
