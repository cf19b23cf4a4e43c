//! Eased edges on a bellied face. Each ceiling is a cone of the asked angle, so that it drops
//! by its own measure on its way from the face to the back; cells want one drop for all. There
//! are heights for which it is one: with the drop as a map T of heights, that is a function h
//! with h(T(y)) = h(y) - K (Abel's equation). It is linear over the first drop from above and
//! follows from there.

use super::Layer;
use crate::model::{Drop, Eased, solved};
use std::f64::consts::FRAC_PI_2;

/// A pattern drops no more often than this between its upper and lower end.
const MOST_DROPS: usize = 1000;

/// The line of a face and of its back. Heights are `y`: z, or where the lower edges are eased
/// -z, so that ceilings hang from greater y.
pub struct Web<'a> {
    /// Radius of the face at y, mm.
    front: &'a dyn Fn(f64) -> f64,
    /// Radius of the back at y, mm.
    back: &'a dyn Fn(f64) -> f64,
    /// 1 where depth runs towards the axis, else -1.
    sense: f64,
    /// Depth of the back, mm.
    deep_mm: f64,
    eased: Option<Easing>,
}

#[derive(Clone, Copy)]
struct Easing {
    tan: f64,
    /// Where the first drop starts and ends, y.
    first: [f64; 2],
    /// The even drop, mm.
    even_mm: f64,
}

impl<'a> Web<'a> {
    /// For a pattern between two heights y. None where a ceiling never meets the back.
    pub fn new(
        [front, back]: [&'a dyn Fn(f64) -> f64; 2],
        sense: f64,
        eased: Option<Eased>,
        deep_mm: f64,
        [low, high]: [f64; 2],
    ) -> Option<Web<'a>> {
        let mut web = Web { front, back, sense, deep_mm, eased: None };
        let Some(angle_rad) = eased.map(|e| e.angle_rad).filter(|a| *a < FRAC_PI_2) else {
            return Some(web);
        };
        let tan = angle_rad.tan();
        web.eased = Some(Easing { tan, first: [high, high], even_mm: 0.0 });
        let first = [high, web.dropped(high)?];
        let (mut y, mut drops) = (first[1], 1.0);
        while y > low && drops < MOST_DROPS as f64 {
            y = web.dropped(y)?;
            drops += 1.0;
        }
        // Even drops are as high as real ones on average.
        web.eased = Some(Easing { tan, first, even_mm: (high - y) / drops });
        Some(web)
    }

    /// The layer in even heights: upper edges sink.
    pub fn layer(&self, from_mm: f64) -> Layer {
        let upper = self.eased.map_or(0.0, |e| e.even_mm / self.deep_mm);
        let drop = Drop { upper, lower: 0.0 };
        Layer { from_mm, kink_mm: 0.0, to_mm: self.deep_mm, origin_mm: 0.0, drop }
    }

    /// What stays the same along a ceiling, at a point of the face.
    fn cone(&self, tan: f64, y: f64, line: &dyn Fn(f64) -> f64) -> f64 {
        y * tan - self.sense * line(y)
    }

    /// Where the ceiling from the face at y meets the back.
    fn dropped(&self, y: f64) -> Option<f64> {
        let Some(Easing { tan, .. }) = self.eased else { return Some(y) };
        let cone = self.cone(tan, y, self.front);
        let foot = solved(y, |v| self.cone(tan, v, self.back) - cone);
        (foot.is_finite() && foot < y).then_some(foot)
    }

    /// Where the ceiling starts that meets the back at y.
    fn raised(&self, y: f64) -> f64 {
        let Some(Easing { tan, .. }) = self.eased else { return y };
        let cone = self.cone(tan, y, self.back);
        solved(y, |v| self.cone(tan, v, self.front) - cone)
    }

    /// The even height of y.
    pub fn even(&self, y: f64) -> f64 {
        let Some(Easing { first: [high, next], even_mm, .. }) = self.eased else { return y };
        let (mut up, mut drops) = (y, 0);
        while up < next && drops < MOST_DROPS {
            up = self.raised(up);
            drops += 1;
        }
        high - even_mm * (drops as f64 + (high - up) / (high - next))
    }

    /// The y of an even height.
    pub fn uneven(&self, even: f64) -> f64 {
        let Some(Easing { first: [high, next], even_mm, .. }) = self.eased else { return even };
        let drops = ((high - even) / even_mm).max(0.0);
        let whole = drops.floor().min(MOST_DROPS as f64);
        let mut y = high - (high - next) * (drops - whole);
        if even > high {
            y = high + (even - high) * (high - next) / even_mm;
        }
        for _ in 0..whole as usize {
            y = self.dropped(y).unwrap_or(y);
        }
        y
    }

    /// Radius at y of the line between two points (radius, y): straight along a ceiling, else at
    /// an even share of the way from the face to its back, so that it stays between them.
    pub fn between(&self, [p, q]: [[f64; 2]; 2], y: f64) -> f64 {
        /// Points of one ceiling, mm: rounding.
        const ON_CEILING_MM: f64 = 1e-7;
        let along = (y - p[1]) / (q[1] - p[1]);
        let mix = |a: f64, b: f64| a + (b - a) * along;
        let on_ceiling = self.eased.is_some_and(|Easing { tan, .. }| {
            let cone = |v: [f64; 2]| v[1] * tan - self.sense * v[0];
            (cone(p) - cone(q)).abs() < ON_CEILING_MM
        });
        if on_ceiling {
            return mix(p[0], q[0]);
        }
        let thick = |y: f64| (self.back)(y) - (self.front)(y);
        let share = |v: [f64; 2]| (v[0] - (self.front)(v[1])) / thick(v[1]);
        (self.front)(y) + thick(y) * mix(share(p), share(q))
    }

    /// Whether a depth is that of the face, of its back, or outside the face: there the radius
    /// follows from y alone.
    pub fn is_end(&self, depth_mm: f64) -> bool {
        depth_mm <= 0.0 || depth_mm >= self.deep_mm
    }

    /// Radius of a point of the cells: even height, depth, and its y.
    pub fn radius(&self, even: f64, depth_mm: f64, y: f64) -> f64 {
        if depth_mm <= 0.0 {
            return (self.front)(y) - self.sense * depth_mm;
        }
        if depth_mm >= self.deep_mm {
            return (self.back)(y);
        }
        let share = depth_mm / self.deep_mm;
        match self.eased {
            None => (self.front)(y) + ((self.back)(y) - (self.front)(y)) * share,
            Some(Easing { tan, even_mm, .. }) => {
                let top = self.uneven(even + even_mm * share);
                (self.front)(top) - self.sense * (top - y) * tan
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On a sphere of 50 with its back at 47: even heights drop evenly, go there and back, and a
    /// point of the web lies on its ceiling and on its level.
    #[test]
    fn drops_are_even_in_even_heights() {
        let ball = |radius: f64| move |y: f64| (radius * radius - y * y).sqrt();
        let (front, back) = (ball(50.0), ball(47.0));
        let eased = Some(Eased { angle_rad: 0.7, lower: false });
        let web = Web::new([&front, &back], 1.0, eased, 3.0, [-10.0, 22.0]).unwrap();
        let layer = web.layer(0.0);
        for y in [-3.0, 4.0, 11.5, 17.0, 21.9] {
            let foot = web.dropped(y).unwrap();
            assert!((web.even(y) - web.even(foot) - layer.drop.upper * 3.0).abs() < 1e-9);
            assert!((web.uneven(web.even(y)) - y).abs() < 1e-9);
            // The ceiling leans by its angle from the vertical.
            let lean = (front(y) - back(foot)) / (y - foot);
            assert!((lean - 0.7f64.tan()).abs() < 1e-9);
            let level = (y + foot) / 2.0;
            let share = (web.even(y) - web.even(level)) / (layer.drop.upper * 3.0);
            let found = web.radius(web.even(level), 3.0 * share, level);
            assert!((front(y) - found - (y - level) * 0.7f64.tan()).abs() < 1e-9);
        }
    }
}
