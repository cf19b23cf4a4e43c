//! Meridians: what is swept round an axis, as (radius, height).

use super::unwrapped;
use std::f64::consts::PI;

/// A straight or circular meridian, run through by its length in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Meridian {
    /// Straight: sweeps a cylinder, a cone, or a ring of a plane.
    Line {
        /// (radius, height) of its start, mm.
        start: [f64; 2],
        /// (radius, height) of its end, mm.
        end: [f64; 2],
    },
    /// Circular: sweeps a torus, or a sphere where the centre is on the axis.
    Arc {
        /// (radius, height) of its centre, mm.
        centre: [f64; 2],
        /// mm
        radius_mm: f64,
        /// Direction of its start as seen from the centre, rad.
        from_rad: f64,
        /// Direction of its end, rad; less than `from_rad` where it runs clockwise.
        to_rad: f64,
    },
}

impl Meridian {
    /// Its length, mm.
    pub fn length(&self) -> f64 {
        match *self {
            Meridian::Line { start, end } => (end[0] - start[0]).hypot(end[1] - start[1]),
            Meridian::Arc { radius_mm, from_rad, to_rad, .. } => {
                radius_mm * (to_rad - from_rad).abs()
            }
        }
    }

    /// (radius, height) after `run` mm.
    pub fn at(&self, run: f64) -> [f64; 2] {
        match *self {
            Meridian::Line { start, .. } => {
                let d = self.direction(run);
                [start[0] + d[0] * run, start[1] + d[1] * run]
            }
            Meridian::Arc { centre, radius_mm, .. } => {
                let (sin, cos) = self.angle(run).sin_cos();
                [centre[0] + radius_mm * cos, centre[1] + radius_mm * sin]
            }
        }
    }

    /// Unit direction of travel as (radius, height).
    pub fn direction(&self, run: f64) -> [f64; 2] {
        match *self {
            Meridian::Line { start, end } => {
                let length = self.length();
                [(end[0] - start[0]) / length, (end[1] - start[1]) / length]
            }
            Meridian::Arc { from_rad, to_rad, .. } => {
                let sense = (to_rad - from_rad).signum();
                let (sin, cos) = self.angle(run).sin_cos();
                [-sin * sense, cos * sense]
            }
        }
    }

    /// Change of the direction of travel per mm.
    pub fn bend(&self, run: f64) -> [f64; 2] {
        match *self {
            Meridian::Line { .. } => [0.0, 0.0],
            Meridian::Arc { radius_mm, .. } => {
                let (sin, cos) = self.angle(run).sin_cos();
                [-cos / radius_mm, -sin / radius_mm]
            }
        }
    }

    /// The run at which the unlimited meridian is nearest to (radius, height). Closed
    /// form; on an arc the run nearest to its middle is taken.
    pub fn nearest(&self, radius: f64, height: f64) -> f64 {
        match *self {
            Meridian::Line { start, .. } => {
                let d = self.direction(0.0);
                (radius - start[0]) * d[0] + (height - start[1]) * d[1]
            }
            Meridian::Arc { centre, radius_mm, from_rad, to_rad } => {
                let angle = (height - centre[1]).atan2(radius - centre[0]);
                let angle = unwrapped(angle, (from_rad + to_rad) / 2.0);
                (angle - from_rad) * (to_rad - from_rad).signum() * radius_mm
            }
        }
    }

    /// Distance of (radius, height) from the unlimited meridian, above 0 to the right
    /// of its travel, mm.
    pub fn signed_distance(&self, radius: f64, height: f64) -> f64 {
        match *self {
            Meridian::Line { start, .. } => {
                let d = self.direction(0.0);
                (radius - start[0]) * d[1] - (height - start[1]) * d[0]
            }
            Meridian::Arc { centre, radius_mm, from_rad, to_rad } => {
                let away = (radius - centre[0]).hypot(height - centre[1]) - radius_mm;
                away * (to_rad - from_rad).signum()
            }
        }
    }

    /// The largest radius it reaches, mm.
    pub fn largest_radius(&self) -> f64 {
        match *self {
            Meridian::Line { start, end } => start[0].abs().max(end[0].abs()),
            Meridian::Arc { centre, radius_mm, from_rad, to_rad } => {
                let (low, high) = (from_rad.min(to_rad), from_rad.max(to_rad));
                let ends = self.at(0.0)[0].max(self.at(self.length())[0]);
                let outermost = unwrapped(0.0, (low + high) / 2.0);
                if (low..=high).contains(&outermost) { centre[0] + radius_mm } else { ends }
            }
        }
    }

    /// The end at which it meets the axis, as a run in mm, if it does within `within` mm.
    pub fn pole(&self, within: f64) -> Option<f64> {
        [0.0, self.length()].into_iter().find(|run| self.at(*run)[0].abs() <= within)
    }

    /// The angle on the arc after `run` mm; 0 on a line.
    fn angle(&self, run: f64) -> f64 {
        match *self {
            Meridian::Line { .. } => 0.0,
            Meridian::Arc { radius_mm, from_rad, to_rad, .. } => {
                from_rad + run / radius_mm * (to_rad - from_rad).signum()
            }
        }
    }

    /// An arc from `start` to `end` round `centre`, not more than half a turn.
    pub fn arc(start: [f64; 2], end: [f64; 2], centre: [f64; 2], anticlockwise: bool) -> Self {
        let from_rad = (start[1] - centre[1]).atan2(start[0] - centre[0]);
        let to = (end[1] - centre[1]).atan2(end[0] - centre[0]);
        let middle = from_rad + if anticlockwise { PI } else { -PI };
        Meridian::Arc {
            centre,
            radius_mm: (start[0] - centre[0]).hypot(start[1] - centre[1]),
            from_rad,
            to_rad: unwrapped(to, middle),
        }
    }
}
