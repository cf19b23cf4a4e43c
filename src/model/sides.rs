//! Flat sides round an axis: what a regular polygon has in place of a circle.
//!
//! Sizes are those of the circle that touches all sides from within: a profile's `x` is
//! the distance of a side from the axis. Positions along the sides are `u`, a full turn of
//! which goes once round: it is the true angle at corners and in the middle of sides, and
//! runs evenly along each side, so that what is straight on a side is straight in `u`.

use super::placement::Placement;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Angles nearer to a corner than this lie on it, rad: rounding only.
const ON_CORNER_RAD: f64 = 1e-12;

/// As many flat sides round the z axis. One of them faces -y, as in the outline `regular`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Sides(u32);

impl Sides {
    /// Fewest that enclose anything.
    pub const FEWEST: u32 = 3;
    /// More are as good as round.
    pub const MOST: u32 = 100;

    /// So many sides; none outside [`Sides::FEWEST`] to [`Sides::MOST`].
    pub fn new(count: u32) -> Option<Sides> {
        (Sides::FEWEST..=Sides::MOST).contains(&count).then_some(Sides(count))
    }

    /// How many.
    pub fn count(self) -> u32 {
        self.0
    }

    /// The turn from one side to the next, rad.
    pub fn turn_rad(self) -> f64 {
        TAU / f64::from(self.0)
    }

    /// Half the width of a side, for a distance of 1 from the axis.
    pub fn half_width(self) -> f64 {
        (PI / f64::from(self.0)).tan()
    }

    /// Distance of the corners from the axis, for sides at a distance of 1.
    pub fn corner(self) -> f64 {
        1.0 / (PI / f64::from(self.0)).cos()
    }

    /// Length once round over that of the circle within.
    pub fn longer(self) -> f64 {
        f64::from(self.0) * self.half_width() / PI
    }

    /// Angle of corner `k`, rad; corner 0 is the left end, seen from outside, of the side
    /// that faces -y.
    pub fn corner_rad(self, k: u32) -> f64 {
        let steps = f64::from(k % self.0) - 0.5;
        steps * self.turn_rad() - FRAC_PI_2
    }

    /// Angles of all corners in ascending order, within a turn from 0 up, rad.
    pub fn corners(self) -> Vec<f64> {
        let home = |k: u32| {
            let angle = self.corner_rad(k).rem_euclid(TAU);
            if TAU - angle < ON_CORNER_RAD { 0.0 } else { angle }
        };
        let mut all: Vec<f64> = (0..self.0).map(home).collect();
        all.sort_by(f64::total_cmp);
        all
    }

    /// Where patterns start: the left end of the side at angle 0, or of the one that begins
    /// there, rad.
    pub fn start_rad(self) -> f64 {
        let from = self.place(0.0).floor();
        self.first_rad() + from * self.turn_rad()
    }

    fn first_rad(self) -> f64 {
        self.corner_rad(0)
    }

    /// An angle in sides from corner 0; whole numbers are corners.
    fn place(self, angle_rad: f64) -> f64 {
        let place = (angle_rad - self.first_rad()) / self.turn_rad();
        let nearest = place.round();
        if (place - nearest).abs() * self.turn_rad() < ON_CORNER_RAD { nearest } else { place }
    }

    /// The middle of the side at an angle, rad.
    pub fn middle_rad(self, angle_rad: f64) -> f64 {
        self.first_rad() + (self.place(angle_rad).floor() + 0.5) * self.turn_rad()
    }

    /// The true angle of a place.
    pub fn angle_rad(self, u: f64) -> f64 {
        let middle = self.middle_rad(u);
        let along = (u - middle) / (self.turn_rad() / 2.0);
        middle + (along * self.half_width()).atan()
    }

    /// The place at a true angle.
    pub fn place_rad(self, angle_rad: f64) -> f64 {
        let middle = self.middle_rad(angle_rad);
        let along = (angle_rad - middle).tan() / self.half_width();
        middle + along * self.turn_rad() / 2.0
    }

    /// x and y of a place on sides at a distance of 1.
    pub fn at(self, u: f64) -> [f64; 2] {
        let place = self.place(u);
        let side = place.floor();
        let middle = self.first_rad() + (side + 0.5) * self.turn_rad();
        let (sin, cos) = middle.sin_cos();
        let along = (2.0 * (place - side) - 1.0) * self.half_width();
        [cos - along * sin, sin + along * cos]
    }

    /// Distance from the axis to the side over which a point lies, and the side's outward
    /// direction.
    pub fn over(self, x: f64, y: f64) -> (f64, [f64; 2]) {
        let (sin, cos) = self.middle_rad(y.atan2(x)).sin_cos();
        (x * cos + y * sin, [cos, sin])
    }

    /// How far a true angle may turn on so that a point on sides at a distance of `inner_mm`
    /// keeps `apart_mm` from the radial plane left behind: on the way it counts where the
    /// side is nearest to the axis. None where there is no such angle.
    pub fn turned_by(self, from_rad: f64, inner_mm: f64, apart_mm: f64) -> Option<f64> {
        let out = |angle: f64| inner_mm / (angle - self.middle_rad(angle)).cos();
        let mut by = 0.0;
        // The second round meets what the first one has moved by; more change nothing that
        // can be measured.
        for _ in 0..4 {
            let near = out(from_rad).min(out(from_rad + by));
            let sine = apart_mm / near;
            if sine.abs() >= 1.0 {
                return None;
            }
            by = sine.asin();
        }
        Some(by)
    }

    /// Whether a motion along the z axis, turning or turning over, maps the sides onto
    /// themselves.
    pub fn keep(self, placement: &Placement) -> bool {
        let corner = self.corner_rad(0);
        let moved = placement.direction([corner.cos(), corner.sin(), 0.0]);
        let place = (moved[1].atan2(moved[0]) - corner) / self.turn_rad();
        (place - place.round()).abs() * self.turn_rad() < 1e-9
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::regular;

    #[test]
    fn corners_are_those_of_the_regular_outline() {
        for count in [3, 4, 5, 6, 8, 12] {
            let sides = Sides::new(count).unwrap();
            let outline = regular(count, 20.0).unwrap();
            let track = &outline.loops[0];
            for (k, (from, _)) in track.iter().enumerate() {
                let [x, y] = sides.at(sides.corner_rad(k as u32));
                assert!((from.x - 10.0 * x).hypot(from.y - 10.0 * y) < 1e-12, "{count} {k}");
            }
            // Perimeter of the regular polygon: 2 n r tan(pi / n).
            assert!((sides.longer() * TAU * 10.0 - outline.perimeter()).abs() < 1e-11);
        }
    }

    #[test]
    fn places_run_evenly_along_a_side_and_back() {
        let sides = Sides::new(6).unwrap();
        let start = sides.start_rad();
        assert!(start.abs() < 1e-12, "{start}");
        assert!((Sides::new(8).unwrap().start_rad() + PI / 8.0).abs() < 1e-12);
        for step in 0..24 {
            let u = start + TAU * f64::from(step) / 24.0 + 0.01;
            let angle = sides.angle_rad(u);
            assert!((sides.place_rad(angle) - u).abs() < 1e-12);
            let [x, y] = sides.at(u);
            assert!((y.atan2(x) - angle).sin().abs() < 1e-12);
            let (out, _) = sides.over(x, y);
            assert!((out - 1.0).abs() < 1e-12);
        }
        let quarter = |t: f64| sides.at(start + t * sides.turn_rad());
        let ([ax, ay], [bx, by], [cx, cy]) = (quarter(0.0), quarter(0.25), quarter(1.0));
        let whole = (cx - ax).hypot(cy - ay);
        assert!(((bx - ax).hypot(by - ay) - whole / 4.0).abs() < 1e-12);
    }

    /// The distance of a point from a plane through the axis, by its own formula.
    #[test]
    fn a_flank_keeps_its_distance_wherever_it_stands() {
        let sides = Sides::new(6).unwrap();
        for from in [0.0, 0.2, 0.5, 0.9, -0.1] {
            for apart in [0.2, -0.2] {
                let by = sides.turned_by(from, 30.0, apart).unwrap();
                let off = |at: f64, plane: f64| {
                    let [x, y] = sides.at(sides.place_rad(at)).map(|c| c * 30.0);
                    (y * plane.cos() - x * plane.sin()).abs()
                };
                let least = off(from, from + by).min(off(from + by, from));
                assert!((least - 0.2).abs() < 1e-9, "{from} {apart} {least}");
            }
        }
        assert_eq!(sides.turned_by(0.0, 0.1, 0.2), None);
    }
}
