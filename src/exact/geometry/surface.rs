//! Surfaces.

use super::vector::{add, along, cross, dot, scale, unit};
use super::{Frame, Meridian, unwrapped};
use crate::model::{Placement, Vector};

/// An unlimited analytic surface. Parameters are (u, v):
/// mm and mm along x and y on a plane; mm along the meridian and rad round the axis on
/// a revolved surface; mm from the axis and rad round it on a ramp.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Surface {
    /// The plane of x and y; its own normal is z.
    Plane {
        /// Its axes.
        frame: Frame,
    },
    /// A meridian swept round z: cylinder, cone, torus, sphere. Its own normal points
    /// to the right of the meridian's travel: away from the axis where it runs upwards.
    Revolved {
        /// Its axes.
        frame: Frame,
        /// What is swept.
        meridian: Meridian,
    },
    /// Height = `start_mm` + `per_rad` * angle + `per_mm` * radius: flanks and ceilings
    /// of wrapped patterns with sloping edges. Its own normal points up.
    Ramp {
        /// Its axes; the angle is counted from x, from -pi to pi.
        frame: Frame,
        /// mm
        start_mm: f64,
        /// mm per rad
        per_rad: f64,
        /// mm per mm
        per_mm: f64,
    },
}

impl Surface {
    /// The level plane at a height whose own normal points up.
    pub fn level(height: f64) -> Self {
        Surface::Plane { frame: Frame::at_height(height) }
    }

    /// The point with parameters (u, v).
    pub fn at(&self, u: f64, v: f64) -> Vector {
        match *self {
            Surface::Plane { frame } => frame.point([u, v, 0.0]),
            Surface::Revolved { frame, meridian } => {
                let [radius, height] = meridian.at(u);
                frame.polar(radius, v, height)
            }
            Surface::Ramp { frame, start_mm, per_rad, per_mm } => {
                frame.polar(u, v, start_mm + per_rad * v + per_mm * u)
            }
        }
    }

    /// Derivatives by u and by v.
    pub fn tangents(&self, u: f64, v: f64) -> (Vector, Vector) {
        match *self {
            Surface::Plane { frame } => (frame.x, frame.y),
            Surface::Revolved { frame, meridian } => {
                let d = meridian.direction(u);
                let by_u = along(scale(frame.radial(v), d[0]), frame.z, d[1]);
                (by_u, scale(frame.tangent(v), meridian.at(u)[0]))
            }
            Surface::Ramp { frame, per_rad, per_mm, .. } => {
                let by_u = along(frame.radial(v), frame.z, per_mm);
                (by_u, along(scale(frame.tangent(v), u), frame.z, per_rad))
            }
        }
    }

    /// Second derivatives by uu, uv and vv.
    pub fn curvatures(&self, u: f64, v: f64) -> [Vector; 3] {
        match *self {
            Surface::Plane { .. } => [[0.0; 3]; 3],
            Surface::Revolved { frame, meridian } => {
                let (d, bend) = (meridian.direction(u), meridian.bend(u));
                let by_uu = along(scale(frame.radial(v), bend[0]), frame.z, bend[1]);
                let by_vv = scale(frame.radial(v), -meridian.at(u)[0]);
                [by_uu, scale(frame.tangent(v), d[0]), by_vv]
            }
            Surface::Ramp { frame, .. } => [[0.0; 3], frame.tangent(v), scale(frame.radial(v), -u)],
        }
    }

    /// Its own unit normal, also at poles.
    pub fn normal(&self, u: f64, v: f64) -> Vector {
        match *self {
            Surface::Plane { frame } => frame.z,
            Surface::Revolved { frame, meridian } => {
                let d = meridian.direction(u);
                add(scale(frame.radial(v), d[1]), scale(frame.z, -d[0]))
            }
            Surface::Ramp { .. } => {
                let (by_u, by_v) = self.tangents(u, v);
                unit(cross(by_u, by_v))
            }
        }
    }

    /// Parameters of the point of the surface that is nearest (on a ramp: straight above
    /// or below). Angles on revolved surfaces come out within half a turn of `middle_rad`,
    /// those on ramps within half a turn of x.
    pub fn parameters(&self, point: Vector, middle_rad: f64) -> (f64, f64) {
        match *self {
            Surface::Plane { frame } => {
                let [x, y, _] = frame.local(point);
                (x, y)
            }
            Surface::Revolved { frame, meridian } => {
                let (radius, angle, height) = frame.cylindrical(point);
                let angle = if radius < AXIS_MM { middle_rad } else { angle };
                (meridian.nearest(radius, height), unwrapped(angle, middle_rad))
            }
            Surface::Ramp { frame, .. } => {
                let (radius, angle, _) = frame.cylindrical(point);
                (radius, angle)
            }
        }
    }

    /// Distance of a point, above 0 where the surface's own normal points, mm. On a ramp
    /// it is right to first order.
    pub fn signed_distance(&self, point: Vector) -> f64 {
        match *self {
            Surface::Plane { frame } => frame.local(point)[2],
            Surface::Revolved { frame, meridian } => {
                let (radius, _, height) = frame.cylindrical(point);
                meridian.signed_distance(radius, height)
            }
            Surface::Ramp { frame, start_mm, per_rad, per_mm } => {
                let (radius, angle, height) = frame.cylindrical(point);
                let above = height - start_mm - per_rad * angle - per_mm * radius;
                above / (1.0 + per_mm * per_mm + (per_rad / radius).powi(2)).sqrt()
            }
        }
    }

    /// The unit normal at the nearest point: the gradient of [`Self::signed_distance`].
    pub fn normal_near(&self, point: Vector) -> Vector {
        let (u, v) = self.parameters(point, 0.0);
        self.normal(u, v)
    }

    /// The same surface elsewhere; its own normal goes along, mirror images included.
    pub fn placed(&self, placement: &Placement) -> Self {
        match *self {
            Surface::Plane { frame } => Surface::Plane { frame: frame.placed(placement).0 },
            Surface::Revolved { frame, meridian } => {
                Surface::Revolved { frame: frame.placed(placement).0, meridian }
            }
            Surface::Ramp { frame, start_mm, per_rad, per_mm } => {
                let (frame, flips) = frame.placed(placement);
                let per_rad = if flips { -per_rad } else { per_rad };
                Surface::Ramp { frame, start_mm, per_rad, per_mm }
            }
        }
    }

    /// What the trade calls it.
    pub fn name(&self) -> &'static str {
        match *self {
            Surface::Plane { .. } => "plane",
            Surface::Ramp { .. } => "ramp",
            Surface::Revolved { meridian: Meridian::Line { start, end }, .. } => {
                if start[0] == end[0] {
                    "cylinder"
                } else if start[1] == end[1] {
                    "plane"
                } else {
                    "cone"
                }
            }
            Surface::Revolved { meridian: Meridian::Arc { centre, .. }, .. } => {
                if centre[0].abs() < AXIS_MM { "sphere" } else { "torus" }
            }
        }
    }

    /// Whether two surfaces are one and the same set of points, within `within` mm; only
    /// planes and straight meridians are compared, others answer no.
    pub fn coincides(&self, other: &Surface, within: f64) -> bool {
        match (self, other) {
            (Surface::Plane { frame: a }, Surface::Plane { frame: b }) => {
                dot(a.z, b.z).abs() > 1.0 - 1e-12 && a.local(b.origin)[2].abs() <= within
            }
            (
                Surface::Revolved { frame: a, meridian: Meridian::Line { .. } },
                Surface::Revolved { frame: b, meridian: m @ Meridian::Line { .. } },
            ) => {
                let [x, y, _] = a.local(b.origin);
                let coaxial = dot(a.z, b.z).abs() > 1.0 - 1e-12 && x.hypot(y) <= within;
                let near = |run: f64| {
                    let [radius, height] = m.at(run);
                    self.signed_distance(b.polar(radius, 0.0, height)).abs() <= within
                };
                coaxial && near(0.0) && near(m.length())
            }
            _ => false,
        }
    }
}

/// Nearer to the axis than this a point has no angle, mm: far below any size that can
/// be printed, far above rounding.
const AXIS_MM: f64 = 1e-9;
