//! Local axes.

use super::vector::{add, along, dot, scale, sub};
use crate::model::{Placement, Vector};

/// Right-handed orthonormal axes at a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Where local coordinates are nought, mm.
    pub origin: Vector,
    /// Direction from which angles are counted.
    pub x: Vector,
    /// Direction of a quarter turn.
    pub y: Vector,
    /// The axis about which angles are counted.
    pub z: Vector,
}

impl Frame {
    /// The axes of the body itself.
    pub const WORLD: Frame =
        Frame { origin: [0.0; 3], x: [1.0, 0.0, 0.0], y: [0.0, 1.0, 0.0], z: [0.0, 0.0, 1.0] };

    /// The axes of the body, shifted up to `height`.
    pub fn at_height(height: f64) -> Self {
        Frame { origin: [0.0, 0.0, height], ..Frame::WORLD }
    }

    /// The point with the given local coordinates.
    pub fn point(&self, local: Vector) -> Vector {
        add(self.origin, self.direction(local))
    }

    /// The direction with the given local components.
    pub fn direction(&self, local: Vector) -> Vector {
        let across = add(scale(self.x, local[0]), scale(self.y, local[1]));
        along(across, self.z, local[2])
    }

    /// Local coordinates of a point.
    pub fn local(&self, point: Vector) -> Vector {
        let d = sub(point, self.origin);
        [dot(d, self.x), dot(d, self.y), dot(d, self.z)]
    }

    /// The direction away from the axis at an angle.
    pub fn radial(&self, angle: f64) -> Vector {
        let (sin, cos) = angle.sin_cos();
        add(scale(self.x, cos), scale(self.y, sin))
    }

    /// The direction of growing angle at an angle.
    pub fn tangent(&self, angle: f64) -> Vector {
        let (sin, cos) = angle.sin_cos();
        sub(scale(self.y, cos), scale(self.x, sin))
    }

    /// The point at radius, angle and height.
    pub fn polar(&self, radius: f64, angle: f64, height: f64) -> Vector {
        along(along(self.origin, self.radial(angle), radius), self.z, height)
    }

    /// Radius, angle (-pi to pi) and height of a point.
    pub fn cylindrical(&self, point: Vector) -> (f64, f64, f64) {
        let [x, y, z] = self.local(point);
        (x.hypot(y), y.atan2(x), z)
    }

    /// The same axes elsewhere. A mirror image would be left-handed: then y is turned
    /// round, angles change their sign, and the second value is true.
    pub fn placed(&self, placement: &Placement) -> (Frame, bool) {
        let flips = placement.flips();
        let y = placement.direction(self.y);
        let frame = Frame {
            origin: placement.point(self.origin),
            x: placement.direction(self.x),
            y: if flips { scale(y, -1.0) } else { y },
            z: placement.direction(self.z),
        };
        (frame, flips)
    }
}
