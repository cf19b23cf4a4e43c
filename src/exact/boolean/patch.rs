//! Our surfaces as the boolean crate wants them.
//!
//! Parameters are lengths on both sides (the crate triangulates in them), the second
//! counted from the middle of the face, so that the seam lies opposite. The normal of
//! the parameters points out of the body.

use super::super::body::{Face, Role};
use super::super::geometry::vector::scale;
use super::super::geometry::{Meridian, Surface};
use crate::model::Vector;
use std::f64::consts::{PI, TAU};
use std::ops::Bound;
use truck_base::cgmath64::{EuclideanSpace, InnerSpace, Point3, Vector3};
use truck_geotrait::{
    D2, Invertible, ParameterDivision2D, ParameterRange, ParametricSurface, ParametricSurface3D,
    SPHint2D, SearchNearestParameter, SearchParameter,
};

/// A point farther than this from a surface is not on it, mm: twice what the boolean
/// crate takes for one point.
const ON_PATCH_MM: f64 = 2e-6;

/// The second parameter of a ramp is the angle times this, mm per rad: the size of the
/// containers of the trade, so that triangles come out well shaped.
const RAMP_MM: f64 = 40.0;

/// A surface with parameters for one face.
#[derive(Clone, Copy, Debug)]
pub(super) struct Patch {
    /// What the face lies on.
    pub(super) surface: Surface,
    /// What the face is to a fit.
    pub(super) role: Role,
    /// Angle at which the second parameter is nought, rad.
    middle_rad: f64,
    /// Whether the second parameter runs against angle or y.
    flipped: bool,
}

impl Patch {
    /// For a face round `middle_rad`.
    pub(super) fn new(face: &Face, middle_rad: f64) -> Self {
        let Face { surface, outward, role, .. } = *face;
        // The normal of (meridian, angle) is the opposite of the surface's own.
        let follows = !matches!(surface, Surface::Revolved { .. });
        Patch { surface, role, middle_rad, flipped: outward != follows }
    }

    /// Whether the surface's own normal points where the parameters' does.
    pub(super) fn outward(&self) -> bool {
        self.flipped != !matches!(self.surface, Surface::Revolved { .. })
    }

    /// Change of y or of the angle per unit of the second parameter.
    fn rate(&self) -> f64 {
        let size = match &self.surface {
            Surface::Plane { .. } => 1.0,
            Surface::Revolved { meridian, .. } => 1.0 / meridian.largest_radius().max(1e-3),
            Surface::Ramp { .. } => 1.0 / RAMP_MM,
        };
        if self.flipped { -size } else { size }
    }

    /// The surface's own parameters.
    fn own(&self, u: f64, v: f64) -> (f64, f64) {
        (u, self.middle() + v * self.rate())
    }

    fn middle(&self) -> f64 {
        if matches!(self.surface, Surface::Revolved { .. }) { self.middle_rad } else { 0.0 }
    }

    /// Parameters of the nearest point; angles are taken near the hint.
    fn nearest(&self, point: Point3, hint: SPHint2D) -> (f64, f64) {
        let point = from_point(point);
        let near = match hint {
            SPHint2D::Parameter(_, v) => v,
            _ => 0.0,
        };
        let rate = self.rate();
        let wanted = self.middle() + near * rate;
        let (u, v) = self.surface.parameters(point, wanted);
        (u, (v - self.middle()) / rate)
    }
}

/// A point as the crate has it.
pub(super) fn to_point(p: Vector) -> Point3 {
    Point3::new(p[0], p[1], p[2])
}

/// A direction as the crate has it.
pub(super) fn to_vector(v: Vector) -> Vector3 {
    Vector3::new(v[0], v[1], v[2])
}

/// A point as we have it.
pub(super) fn from_point(p: Point3) -> Vector {
    [p.x, p.y, p.z]
}

impl ParametricSurface for Patch {
    type Point = Point3;
    type Vector = Vector3;

    fn subs(&self, u: f64, v: f64) -> Point3 {
        let (u, v) = self.own(u, v);
        to_point(self.surface.at(u, v))
    }

    fn uder(&self, u: f64, v: f64) -> Vector3 {
        let (u, v) = self.own(u, v);
        to_vector(self.surface.tangents(u, v).0)
    }

    fn vder(&self, u: f64, v: f64) -> Vector3 {
        let (u, v) = self.own(u, v);
        to_vector(scale(self.surface.tangents(u, v).1, self.rate()))
    }

    fn uuder(&self, u: f64, v: f64) -> Vector3 {
        let (u, v) = self.own(u, v);
        to_vector(self.surface.curvatures(u, v)[0])
    }

    fn uvder(&self, u: f64, v: f64) -> Vector3 {
        let (u, v) = self.own(u, v);
        to_vector(scale(self.surface.curvatures(u, v)[1], self.rate()))
    }

    fn vvder(&self, u: f64, v: f64) -> Vector3 {
        let (u, v) = self.own(u, v);
        to_vector(scale(self.surface.curvatures(u, v)[2], self.rate() * self.rate()))
    }

    fn parameter_range(&self) -> (ParameterRange, ParameterRange) {
        let free = (Bound::Unbounded, Bound::Unbounded);
        let half = PI / self.rate().abs();
        let turn = (Bound::Included(-half), Bound::Excluded(half));
        match &self.surface {
            Surface::Plane { .. } => (free, free),
            Surface::Revolved { meridian, .. } => {
                ((Bound::Included(0.0), Bound::Included(meridian.length())), turn)
            }
            Surface::Ramp { .. } => ((Bound::Included(0.0), Bound::Unbounded), turn),
        }
    }

    fn v_period(&self) -> Option<f64> {
        matches!(self.surface, Surface::Revolved { .. }).then(|| TAU / self.rate().abs())
    }
}

impl ParametricSurface3D for Patch {
    fn normal(&self, u: f64, v: f64) -> Vector3 {
        let (u, v) = self.own(u, v);
        let own = self.surface.normal(u, v);
        to_vector(if self.outward() { own } else { scale(own, -1.0) })
    }
}

impl Invertible for Patch {
    fn invert(&mut self) {
        self.flipped = !self.flipped;
    }
}

impl SearchParameter<D2> for Patch {
    type Point = Point3;

    fn search_parameter<H: Into<SPHint2D>>(
        &self,
        point: Point3,
        hint: H,
        _trials: usize,
    ) -> Option<(f64, f64)> {
        let (u, v) = self.nearest(point, hint.into());
        let off = (self.subs(u, v).to_vec() - point.to_vec()).magnitude();
        (off < ON_PATCH_MM).then_some((u, v))
    }
}

impl SearchNearestParameter<D2> for Patch {
    type Point = Point3;

    fn search_nearest_parameter<H: Into<SPHint2D>>(
        &self,
        point: Point3,
        hint: H,
        _trials: usize,
    ) -> Option<(f64, f64)> {
        Some(self.nearest(point, hint.into()))
    }
}

/// The turn of a chord whose sagitta is `tolerance`, rad.
pub(super) fn chord_turn(radius: f64, tolerance: f64) -> f64 {
    2.0 * (1.0 - (tolerance / radius).min(0.5)).acos()
}

/// Both ends and `count - 1` values between them.
pub(super) fn even(from: f64, to: f64, count: usize) -> Vec<f64> {
    let step = (to - from) / count as f64;
    (0..=count).map(|i| if i == count { to } else { from + step * i as f64 }).collect()
}

impl ParameterDivision2D for Patch {
    fn parameter_division(
        &self,
        ((u0, u1), (v0, v1)): ((f64, f64), (f64, f64)),
        tolerance: f64,
    ) -> (Vec<f64>, Vec<f64>) {
        let radius = match &self.surface {
            Surface::Plane { .. } => return (vec![u0, u1], vec![v0, v1]),
            Surface::Ramp { .. } => u0.abs().max(u1.abs()),
            Surface::Revolved { meridian, .. } => {
                even(u0, u1, 4).iter().map(|u| meridian.at(*u)[0].abs()).fold(0.0, f64::max)
            }
        };
        let turn = chord_turn(radius.max(1e-3), tolerance);
        let round = ((v1 - v0) * self.rate().abs() / turn).ceil().max(1.0);
        let bent = match &self.surface {
            Surface::Revolved { meridian: Meridian::Arc { radius_mm, .. }, .. } => {
                ((u1 - u0) / (chord_turn(*radius_mm, tolerance) * radius_mm)).ceil()
            }
            _ => 1.0,
        };
        // Cells not longer than twice their width, so that triangles stay well shaped.
        let square = ((u1 - u0) / (2.0 * turn * radius.max(1e-3))).ceil();
        (even(u0, u1, bent.max(square).max(1.0) as usize), even(v0, v1, round as usize))
    }
}
