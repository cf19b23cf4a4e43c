//! An orthographic camera that looks down on the front right of the assembly.

use crate::model::Vector;
use crate::model::vector::dot;

/// Looked down by an angle whose sine is 8/17 and turned by one whose sine is 3/5:
/// three-quarter views whose directions are exact fractions.
const RIGHT: Vector = [4.0 / 5.0, 3.0 / 5.0, 0.0];
const UP: Vector = [-24.0 / 85.0, 32.0 / 85.0, 15.0 / 17.0];
const TOWARD: Vector = [45.0 / 85.0, -60.0 / 85.0, 8.0 / 17.0];

/// Share of the picture that stays free at each side.
const MARGIN: f64 = 0.06;

#[derive(Clone, Copy, Debug)]
pub(super) struct Camera {
    /// Samples per mm.
    pub scale: f64,
    /// Added after scaling, samples.
    shift: [f64; 2],
}

impl Camera {
    /// The camera that has all points in a picture of `size` samples.
    pub fn framing<'a>(points: impl Iterator<Item = &'a Vector>, size: [usize; 2]) -> Self {
        let mut low = [f64::INFINITY; 2];
        let mut high = [f64::NEG_INFINITY; 2];
        for p in points {
            for (i, c) in [dot(RIGHT, *p), -dot(UP, *p)].into_iter().enumerate() {
                low[i] = low[i].min(c);
                high[i] = high[i].max(c);
            }
        }
        if low[0] > high[0] {
            (low, high) = ([0.0; 2], [1.0; 2]);
        }
        let size = size.map(|s| s as f64);
        let free = |i: usize| size[i] * (1.0 - 2.0 * MARGIN) / (high[i] - low[i]).max(1e-3);
        let scale = free(0).min(free(1));
        let middle = |i: usize| size[i] / 2.0 - scale * (low[i] + high[i]) / 2.0;
        Camera { scale, shift: [middle(0), middle(1)] }
    }

    /// Where a point appears: samples to the right and downwards, and the distance
    /// behind the picture in samples.
    pub fn project(&self, p: Vector) -> Vector {
        let [x, y] = self.shift;
        let depth = -dot(TOWARD, p) * self.scale;
        [dot(RIGHT, p) * self.scale + x, y - dot(UP, p) * self.scale, depth]
    }

    /// A direction as the camera has it: right, up, towards it.
    pub fn turn(&self, v: Vector) -> Vector {
        [dot(RIGHT, v), dot(UP, v), dot(TOWARD, v)]
    }

    /// x and y of the point at height `z_mm` that appears at a place of the picture.
    pub fn ground(&self, at: [f64; 2], z_mm: f64) -> [f64; 2] {
        let a = (at[0] - self.shift[0]) / self.scale;
        let b = (self.shift[1] - at[1]) / self.scale;
        // p = a RIGHT + b UP + c TOWARD with p.z = z
        let c = (z_mm - b * UP[2]) / TOWARD[2];
        [a * RIGHT[0] + b * UP[0] + c * TOWARD[0], a * RIGHT[1] + b * UP[1] + c * TOWARD[1]]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_axes_are_orthonormal_and_right_handed() {
        for (a, b) in [(RIGHT, UP), (UP, TOWARD), (TOWARD, RIGHT)] {
            assert!(dot(a, b).abs() < 1e-15);
            assert!((dot(a, a) - 1.0).abs() < 1e-15);
        }
        let cross = RIGHT[0] * UP[1] - RIGHT[1] * UP[0];
        assert!((cross - TOWARD[2]).abs() < 1e-15);
    }

    #[test]
    fn the_ground_lies_under_its_picture() {
        let points = [[0.0, 0.0, 0.0], [40.0, 30.0, 80.0]];
        let camera = Camera::framing(points.iter(), [900, 600]);
        let seen = camera.project([12.0, -7.0, 3.0]);
        let [x, y] = camera.ground([seen[0], seen[1]], 3.0);
        assert!((x - 12.0).abs() < 1e-9 && (y + 7.0).abs() < 1e-9);
    }
}
