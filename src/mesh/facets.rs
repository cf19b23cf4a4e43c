//! Facets: how round bodies are cut into flat pieces.
//!
//! All bodies round the z axis of the assembly share one count of facets, and facet line 0
//! lies at angle 0. Between facet lines a point of radius r is put on the chord, so host,
//! tool and inlay have coplanar facets: an inlay neither overlaps its pocket nor steps out
//! of its host's surface by more than rounding.
//!
//! Corners lie at `r * f` with `f = sqrt(w / sin w)`, `w = 2 pi / n`: the polygon then
//! has the area of the circle, so volumes of meshes are those of the exact bodies but for
//! terms of second order. A clearance g between coaxial bodies becomes `g * f` at corners
//! and `g * f * cos(w / 2)` in the middle of facets, that is `g (1 - 1.6 / n^2)` at least,
//! far below what can be measured; circumscribed bores are not needed for that.
//!
//! A body with flat sides has facets of its own, one a side: they are not what is left of a
//! circle but what was asked for, so nothing about them is made larger or smaller.

use crate::model::{Body, Inlay, Leaf, Model, Sides, Surface, Turned};
use std::f64::consts::TAU;

/// How finely curved faces are cut into flat ones.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Greatest distance of a chord from its arc, mm.
    pub chord_mm: f64,
}

impl Default for Tolerance {
    /// A twentieth of the width that a layer-wise process can place, common practice.
    fn default() -> Self {
        Tolerance { chord_mm: 0.005 }
    }
}

/// One division of a full turn.
#[derive(Clone, Debug, PartialEq)]
pub struct Facets {
    /// Cosine and sine of every facet line.
    lines: Vec<[f64; 2]>,
    corner: f64,
    /// Flat sides that are meant, and how far twisted faces on them may lie off, mm.
    sides: Option<(Sides, f64)>,
}

/// Facets to a turn: never fewer, so that small rods stay round.
const FEWEST: usize = 32;

/// An angle from a facet line, in facets, below which a point lies on it.
const ON_LINE: f64 = 1e-9;

impl Facets {
    /// The division for bodies of up to this radius: the sagitta `r (1 - cos(pi / n))`
    /// keeps to the tolerance. The count is a multiple of 8, so that quarter turns and
    /// mirror images map facets onto facets.
    pub fn for_radius(radius_mm: f64, tolerance: &Tolerance) -> Facets {
        let share = (tolerance.chord_mm / radius_mm.max(tolerance.chord_mm)).clamp(1e-9, 1.0);
        let least = (std::f64::consts::PI / (1.0 - share).acos()).ceil() as usize;
        Facets::new(least.max(FEWEST).next_multiple_of(8))
    }

    /// A division into `count` facets, a multiple of 8.
    fn new(count: usize) -> Facets {
        let eighth = count / 8;
        let line = |k: usize| {
            // One octant is computed and the others are its images, to the bit.
            let (turns, rest) = (k / (2 * eighth), k % (2 * eighth));
            let (at, swapped) =
                if rest <= eighth { (rest, false) } else { (2 * eighth - rest, true) };
            let (sin, cos) = (TAU * at as f64 / count as f64).sin_cos();
            let (mut x, mut y) = if swapped { (sin, cos) } else { (cos, sin) };
            for _ in 0..turns % 4 {
                (x, y) = (0.0 - y, x);
            }
            [x, y]
        };
        let width = TAU / count as f64;
        let corner = (width / width.sin()).sqrt();
        Facets { lines: (0..count).map(line).collect(), corner, sides: None }
    }

    /// One facet for each flat side of a body, corner 0 first.
    pub fn of_sides(sides: Sides, tolerance: &Tolerance) -> Facets {
        let corner = |k: u32| {
            let (sin, cos) = sides.corner_rad(k).sin_cos();
            [cos, sin]
        };
        let lines = (0..sides.count()).map(corner).collect();
        Facets { lines, corner: sides.corner(), sides: Some((sides, tolerance.chord_mm)) }
    }

    /// How many facets lie before an angle, from facet line 0 on.
    pub fn place(&self, angle_rad: f64) -> f64 {
        let first = self.sides.map_or(0.0, |(sides, _)| sides.corner_rad(0));
        (angle_rad - first) / (TAU / self.count() as f64)
    }

    /// How many facets make a turn.
    pub fn count(&self) -> usize {
        self.lines.len()
    }

    /// Angle of every facet line, rad.
    pub fn angles(&self) -> Vec<f64> {
        let count = self.count();
        match self.sides {
            Some((sides, _)) => sides.corners(),
            None => (0..count).map(|k| TAU * k as f64 / count as f64).collect(),
        }
    }

    /// What a radius is multiplied with at facet lines: equal areas.
    pub fn corner(&self) -> f64 {
        self.corner
    }

    /// How far the middle of a facet lies inside the circle through its ends, mm: what faces
    /// may lie off. On flat sides that are meant, the tolerance.
    pub fn sagitta(&self, radius_mm: f64) -> f64 {
        if let Some((_, chord_mm)) = self.sides {
            return chord_mm;
        }
        radius_mm * (1.0 - (std::f64::consts::PI / self.count() as f64).cos())
    }

    /// Where a point of radius 1 lies: x and y on facet line `k`.
    pub fn on_line(&self, k: usize) -> [f64; 2] {
        self.lines[k % self.count()].map(|c| c * self.corner)
    }

    /// Where a point of radius 1 at an angle lies: x and y, on the chord of its facet. On flat
    /// sides the angle is a place of [`Sides`].
    pub fn at(&self, angle_rad: f64) -> [f64; 2] {
        let width = TAU / self.count() as f64;
        let place = self.place(angle_rad);
        let (whole, nearest) = (place.floor(), place.round());
        if (place - nearest).abs() < ON_LINE {
            return self.on_line(nearest.rem_euclid(self.count() as f64) as usize);
        }
        if let Some((sides, _)) = self.sides {
            return sides.at(angle_rad);
        }
        let from_middle = (place - whole - 0.5) * width;
        let radius = self.corner * (width / 2.0).cos() / from_middle.cos();
        let (sin, cos) = angle_rad.sin_cos();
        [radius * cos, radius * sin]
    }
}

/// The largest radius of any turned body in the model, mm.
pub(super) fn largest_radius(model: &Model) -> f64 {
    let bodies = model.parts.iter().flat_map(|p| [Some(&p.body), p.cavity.as_ref()]);
    bodies.flatten().map(|b| radius_in(b)).fold(0.0, f64::max)
}

fn radius_in(body: &Body) -> f64 {
    match body {
        Body::Empty => 0.0,
        Body::Leaf(Leaf::Turned(turned)) if turned.sides.is_some() => 0.0,
        Body::Leaf(Leaf::Turned(turned)) => radius_of(turned),
        Body::Leaf(Leaf::Prism(_)) => 0.0,
        Body::Leaf(Leaf::Inlay(inlay)) => radius_under(inlay),
        Body::Leaf(Leaf::Relief(relief)) => radius_under(&relief.pattern),
        Body::Placed { body, .. } => radius_in(body),
        Body::Boolean { left, right, .. } => radius_in(left).max(radius_in(right)),
        Body::Many(bodies) => bodies.iter().map(|b| radius_in(b)).fold(0.0, f64::max),
    }
}

fn radius_under(inlay: &Inlay) -> f64 {
    match &inlay.surface {
        Surface::Round { sides: Some(_), .. } => 0.0,
        Surface::Round { host, .. } | Surface::Belly { host, .. } => radius_of(host),
        Surface::Flat { host, .. } => radius_in(host),
    }
}

/// The largest radius of a turned body, mm.
pub(super) fn radius_of(turned: &Turned) -> f64 {
    turned.outline.bounds().map_or(0.0, |[_, high]| high.x)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// CRC Standard Mathematical Tables, circular segment: sagitta r (1 - cos(pi / n)); the
    /// equal-area factor is sqrt((2 pi / n) / sin(2 pi / n)), 1.000201 at n = 128.
    #[test]
    fn counts_and_factors_are_the_closed_forms() {
        let facets = Facets::for_radius(40.0, &Tolerance { chord_mm: 0.01 });
        assert_eq!(facets.count(), 144);
        let sagitta = |n: f64| 40.0 * (1.0 - (std::f64::consts::PI / n).cos());
        assert!(sagitta(144.0) <= 0.01 && sagitta(136.0) > 0.01);
        assert!((Facets::new(128).corner() - 1.000201).abs() < 5e-7);
    }

    /// The shoelace formula on the corners gives the area of the circle.
    #[test]
    fn the_polygon_has_the_area_of_the_circle() {
        for count in [32, 200, 296] {
            let facets = Facets::new(count);
            let twice: f64 = (0..count)
                .map(|k| {
                    let (a, b) = (facets.on_line(k), facets.on_line(k + 1));
                    a[0] * b[1] - a[1] * b[0]
                })
                .sum();
            assert!((twice / 2.0 - std::f64::consts::PI).abs() < 1e-12);
        }
    }

    #[test]
    fn points_between_lines_lie_on_the_chord() {
        let facets = Facets::new(200);
        let (a, b) = (facets.on_line(7), facets.on_line(8));
        for t in [0.0, 1e-11, 0.01, 0.3, 0.5, 0.77, 1.0] {
            let p = facets.at(TAU * (7.0 + t) / 200.0);
            let off = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
            assert!(off.abs() < 1e-17 + 1e-15, "{t} {off}");
        }
        assert_eq!(facets.at(TAU), facets.on_line(0));
        assert_eq!(facets.on_line(50), [0.0, facets.corner()]);
    }
}
