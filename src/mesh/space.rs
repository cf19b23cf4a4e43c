//! Boxes along the axes.

use crate::model::Vector;
use crate::model::vector::{add, length, sub};

/// A box with its sides along the axes; the empty one has `low` above `high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Lowest corner, mm.
    pub low: Vector,
    /// Highest corner, mm.
    pub high: Vector,
}

impl Bounds {
    /// Nothing.
    pub const EMPTY: Bounds = Bounds { low: [f64::INFINITY; 3], high: [f64::NEG_INFINITY; 3] };

    /// The box of some points.
    pub fn of(points: impl IntoIterator<Item = Vector>) -> Bounds {
        let mut out = Bounds::EMPTY;
        points.into_iter().for_each(|p| out.take(p));
        out
    }

    /// Grows to hold a point.
    pub fn take(&mut self, p: Vector) {
        self.low = [0, 1, 2].map(|axis| self.low[axis].min(p[axis]));
        self.high = [0, 1, 2].map(|axis| self.high[axis].max(p[axis]));
    }

    /// The box, moved.
    #[must_use]
    pub fn shifted(&self, by: Vector) -> Bounds {
        Bounds { low: add(self.low, by), high: add(self.high, by) }
    }

    /// The box that holds both.
    #[must_use]
    pub fn with(mut self, other: &Bounds) -> Bounds {
        self.take(other.low);
        self.take(other.high);
        self
    }

    /// Grown on all sides, mm.
    #[must_use]
    pub fn grown(&self, by: f64) -> Bounds {
        Bounds { low: self.low.map(|c| c - by), high: self.high.map(|c| c + by) }
    }

    /// Whether all of another box lies in it.
    pub fn holds(&self, other: &Bounds) -> bool {
        (0..3).all(|a| self.low[a] <= other.low[a] && other.high[a] <= self.high[a])
    }

    /// Volume, mm3.
    pub fn volume(&self) -> f64 {
        (0..3).map(|a| self.high[a] - self.low[a]).product()
    }

    /// Whether the boxes have a point in common.
    #[inline]
    pub fn meets(&self, other: &Bounds) -> bool {
        // All six are compared: to guess which one fails costs more.
        let along = |a: usize| (self.low[a] <= other.high[a]) & (other.low[a] <= self.high[a]);
        along(0) & along(1) & along(2)
    }

    /// How far the boxes lie apart, mm; 0 where they meet.
    pub fn apart(&self, other: &Bounds) -> f64 {
        let along =
            |a: usize| (other.low[a] - self.high[a]).max(self.low[a] - other.high[a]).max(0.0);
        length([along(0), along(1), along(2)])
    }

    /// Extents along x, y and z, mm.
    pub fn size(&self) -> Vector {
        sub(self.high, self.low)
    }
}
