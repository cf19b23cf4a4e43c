//! Our curves as the boolean crate wants them: run through by length, mm.

use super::super::geometry::vector::distance;
use super::super::geometry::{Curve, Trace};
use super::meeting::meeting;
use super::patch::{Patch, chord_turn, even, from_point, to_point, to_vector};
use std::ops::Bound;
use truck_base::cgmath64::{Point3, Vector3};
use truck_geotrait::{
    BoundedCurve, Cut, D1, Invertible, ParameterDivision1D, ParameterRange, ParametricCurve,
    SPHint1D, SearchNearestParameter, SearchParameter,
};
use truck_meshalgo::prelude::PolylineCurve;
use truck_modeling::IntersectionCurve;

/// A point farther than this from a curve is not on it, mm: what the boolean crate takes
/// for one point.
const ON_STRAND_MM: f64 = 1e-6;

/// A curve run through by length.
#[derive(Clone, Debug)]
pub(super) struct Strand {
    /// What is run through.
    pub(super) curve: Curve,
    length: f64,
}

impl Strand {
    /// The whole curve.
    pub(super) fn new(curve: Curve) -> Self {
        let length = curve.length();
        Strand { curve, length }
    }
}

impl ParametricCurve for Strand {
    type Point = Point3;
    type Vector = Vector3;

    fn subs(&self, t: f64) -> Point3 {
        to_point(self.curve.at(t / self.length))
    }

    fn der(&self, t: f64) -> Vector3 {
        to_vector(self.curve.derivative(t / self.length)) / self.length
    }

    fn der2(&self, t: f64) -> Vector3 {
        to_vector(self.curve.second_derivative(t / self.length)) / (self.length * self.length)
    }

    fn parameter_range(&self) -> ParameterRange {
        (Bound::Included(0.0), Bound::Included(self.length))
    }
}

impl BoundedCurve for Strand {}

impl Cut for Strand {
    fn cut(&mut self, t: f64) -> Self {
        match self.curve.cut(t / self.length) {
            Some((front, back)) => {
                *self = Strand::new(front);
                Strand::new(back)
            }
            // A piece without length: the crate asks for inner points only.
            None => self.clone(),
        }
    }
}

impl Invertible for Strand {
    fn invert(&mut self) {
        self.curve = self.curve.reversed();
    }
}

impl ParameterDivision1D for Strand {
    type Point = Point3;

    fn parameter_division(&self, range: (f64, f64), tolerance: f64) -> (Vec<f64>, Vec<Point3>) {
        let share = (range.1 - range.0) / self.length;
        let count = match &self.curve {
            Curve::Line { .. } => 1.0,
            Curve::Arc { radii_mm, .. } | Curve::Helix { radii_mm, .. } => {
                let radius = radii_mm[0].max(radii_mm[1]);
                self.curve.turn() * share / chord_turn(radius, tolerance)
            }
            Curve::Trace(trace) => trace.leader().len() as f64 * share,
        };
        let shares = even(range.0, range.1, count.abs().ceil().max(1.0) as usize);
        let points = shares.iter().map(|t| self.subs(*t)).collect();
        (shares, points)
    }
}

impl SearchNearestParameter<D1> for Strand {
    type Point = Point3;

    fn search_nearest_parameter<H: Into<SPHint1D>>(
        &self,
        point: Point3,
        _hint: H,
        _trials: usize,
    ) -> Option<f64> {
        Some(self.curve.nearest(from_point(point)) * self.length)
    }
}

impl SearchParameter<D1> for Strand {
    type Point = Point3;

    fn search_parameter<H: Into<SPHint1D>>(
        &self,
        point: Point3,
        _hint: H,
        _trials: usize,
    ) -> Option<f64> {
        let share = self.curve.nearest(from_point(point));
        let off = distance(self.curve.at(share), from_point(point));
        (off < ON_STRAND_MM).then_some(share * self.length)
    }
}

impl From<IntersectionCurve<PolylineCurve<Point3>, Patch>> for Strand {
    fn from(curve: IntersectionCurve<PolylineCurve<Point3>, Patch>) -> Self {
        let surfaces = [curve.surface0().surface, curve.surface1().surface];
        let points: Vec<_> = curve.leader().0.iter().map(|p| from_point(*p)).collect();
        let found = meeting(&surfaces, &points);
        Strand::new(found.unwrap_or_else(|| Curve::Trace(Trace::unsettled(surfaces, points))))
    }
}
