//! A segment together with the point it starts from: lengths, directions, parts.

use super::outline::{Curve, Outline, Point, Track};
use std::f64::consts::{PI, TAU};
use std::ops::{Add, Mul, Neg, Sub};

impl Add for Point {
    type Output = Point;
    fn add(self, other: Point) -> Point {
        Point::new(self.x + other.x, self.y + other.y)
    }
}

impl Sub for Point {
    type Output = Point;
    fn sub(self, other: Point) -> Point {
        Point::new(self.x - other.x, self.y - other.y)
    }
}

impl Mul<f64> for Point {
    type Output = Point;
    fn mul(self, by: f64) -> Point {
        Point::new(self.x * by, self.y * by)
    }
}

impl Neg for Point {
    type Output = Point;
    fn neg(self) -> Point {
        Point::new(-self.x, -self.y)
    }
}

impl Point {
    /// Scalar product.
    pub fn dot(self, other: Point) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// z of the vector product: above 0 where `other` lies to the left.
    pub fn cross(self, other: Point) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// Length of the vector, mm.
    pub fn length(self) -> f64 {
        self.x.hypot(self.y)
    }

    /// Distance, mm.
    pub fn distance(self, other: Point) -> f64 {
        (self - other).length()
    }

    /// The vector a quarter turn anticlockwise.
    pub fn left(self) -> Point {
        Point::new(-self.y, self.x)
    }

    /// The vector of length 1; itself where it has no length.
    pub fn unit(self) -> Point {
        let length = self.length();
        if length > 0.0 { self * (1.0 / length) } else { self }
    }

    /// At `angle` rad and `radius` from the origin.
    pub fn polar(radius: f64, angle: f64) -> Point {
        Point::new(radius * angle.cos(), radius * angle.sin())
    }

    /// Whether both coordinates are finite.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

/// A segment with the point it starts from. Arcs may be longer than half a turn
/// here; outlines and tracks hold shorter ones only.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Its start.
    pub from: Point,
    /// Its end.
    pub to: Point,
    /// How it runs.
    pub curve: Curve,
}

impl Stretch {
    /// A straight one.
    pub fn line(from: Point, to: Point) -> Self {
        Stretch { from, to, curve: Curve::Line }
    }

    /// An arc round `centre`.
    pub fn arc(from: Point, to: Point, centre: Point, anticlockwise: bool) -> Self {
        Stretch { from, to, curve: Curve::Arc { centre, anticlockwise } }
    }

    /// The angle an arc runs through, rad: above 0 anticlockwise; 0 for a line.
    pub fn sweep(&self) -> f64 {
        let Curve::Arc { centre, anticlockwise } = self.curve else { return 0.0 };
        let (a, b) = (self.from - centre, self.to - centre);
        let angle = a.cross(b).atan2(a.dot(b));
        match anticlockwise {
            true if angle < 0.0 => angle + TAU,
            false if angle > 0.0 => angle - TAU,
            _ => angle,
        }
    }

    /// Radius of an arc, mm: the mean of the distances of its ends.
    pub fn radius(&self) -> Option<f64> {
        match self.curve {
            Curve::Line => None,
            Curve::Arc { centre, .. } => {
                Some((self.from.distance(centre) + self.to.distance(centre)) / 2.0)
            }
        }
    }

    /// Length along the curve, mm.
    pub fn length(&self) -> f64 {
        match self.radius() {
            None => self.from.distance(self.to),
            Some(radius) => radius * self.sweep().abs(),
        }
    }

    /// The point at share `t` of the length, from 0 to 1.
    pub fn at(&self, t: f64) -> Point {
        if t <= 0.0 {
            return self.from;
        }
        if t >= 1.0 {
            return self.to;
        }
        match self.curve {
            Curve::Line => self.from + (self.to - self.from) * t,
            Curve::Arc { centre, .. } => {
                let (sin, cos) = (self.sweep() * t).sin_cos();
                let a = self.from - centre;
                centre + a * cos + a.left() * sin
            }
        }
    }

    /// Direction of running at share `t`, length 1.
    pub fn direction(&self, t: f64) -> Point {
        match self.curve {
            Curve::Line => (self.to - self.from).unit(),
            Curve::Arc { centre, anticlockwise } => {
                let out = (self.at(t) - centre).unit();
                if anticlockwise { out.left() } else { -out.left() }
            }
        }
    }

    /// The same, run the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let curve = match self.curve {
            Curve::Line => Curve::Line,
            Curve::Arc { centre, anticlockwise } => {
                Curve::Arc { centre, anticlockwise: !anticlockwise }
            }
        };
        Stretch { from: self.to, to: self.from, curve }
    }

    /// Share of the length at which a point of the curve lies: below 0 before the
    /// start, above 1 behind the end.
    pub fn share(&self, point: Point) -> f64 {
        match self.curve {
            Curve::Line => {
                let along = self.to - self.from;
                (point - self.from).dot(along) / along.dot(along)
            }
            Curve::Arc { centre, anticlockwise } => {
                let (a, p) = (self.from - centre, point - centre);
                let turn = a.cross(p).atan2(a.dot(p));
                let turn = if anticlockwise { turn } else { -turn };
                let sweep = self.sweep().abs();
                // The half circle opposite the arc's middle counts as behind or before.
                let turn = if turn < (sweep - TAU) / 2.0 { turn + TAU } else { turn };
                turn / sweep
            }
        }
    }

    /// Lowest and highest x and y.
    pub fn bounds(&self) -> [Point; 2] {
        let mut low = Point::new(self.from.x.min(self.to.x), self.from.y.min(self.to.y));
        let mut high = Point::new(self.from.x.max(self.to.x), self.from.y.max(self.to.y));
        let (Curve::Arc { centre, .. }, Some(radius)) = (self.curve, self.radius()) else {
            return [low, high];
        };
        let corners = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
        for (x, y) in corners {
            let tip = centre + Point::new(x, y) * radius;
            let share = self.share(tip);
            if share > 0.0 && share < 1.0 {
                low = Point::new(low.x.min(tip.x), low.y.min(tip.y));
                high = Point::new(high.x.max(tip.x), high.y.max(tip.y));
            }
        }
        [low, high]
    }

    /// In parts of at most half a turn.
    pub fn halves(&self) -> Vec<Stretch> {
        const ROUNDING: f64 = 1e-9;
        if self.sweep().abs() <= PI + ROUNDING {
            return vec![*self];
        }
        let middle = self.at(0.5);
        vec![Stretch { to: middle, ..*self }, Stretch { from: middle, ..*self }]
    }

    /// Points after the start up to the end, so close that no chord is farther from
    /// the curve than `sagitta_mm`; no chord spans more than a quarter turn.
    pub fn points(&self, sagitta_mm: f64) -> Vec<Point> {
        let Some(radius) = self.radius() else { return vec![self.to] };
        // sagitta s = r (1 - cos(a / 2)) of a chord over the angle a
        let widest = 2.0 * (1.0 - (sagitta_mm / radius).clamp(1e-12, 0.29)).acos();
        // A count that is whole but for rounding stays as it is on every machine.
        let count = (self.sweep().abs() / widest - 1e-6).ceil().max(1.0) as usize;
        (1..=count).map(|i| self.at(i as f64 / count as f64)).collect()
    }
}

impl Track {
    /// Every segment with its start.
    pub fn stretches(&self) -> impl Iterator<Item = Stretch> {
        self.iter().map(|(from, s)| Stretch { from, to: s.to, curve: s.curve })
    }

    /// Run the other way; each segment keeps its face.
    #[must_use]
    pub fn reversed(&self) -> Track {
        let mut back: Vec<_> = self
            .iter()
            .map(|(from, segment)| {
                let stretch = Stretch { from, to: segment.to, curve: segment.curve }.reversed();
                super::Segment { to: from, curve: stretch.curve, face: segment.face.clone() }
            })
            .collect();
        back.reverse();
        let start = self.segments.last().map_or(self.start, |s| s.to);
        Track { start, segments: back }
    }
}

impl Outline {
    /// All segments of all loops with their starts.
    pub fn stretches(&self) -> impl Iterator<Item = Stretch> {
        self.loops.iter().flat_map(Track::stretches)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arcs_know_their_length_points_and_box() {
        let arc = Stretch::arc(Point::new(1.0, 0.0), Point::new(0.0, -1.0), Point::default(), true);
        assert!((arc.sweep() - 1.5 * PI).abs() < 1e-15);
        assert!((arc.length() - 1.5 * PI).abs() < 1e-15);
        assert!(arc.at(1.0 / 3.0).distance(Point::new(0.0, 1.0)) < 1e-15);
        let [low, high] = arc.bounds();
        assert_eq!([low.x, low.y, high.x, high.y], [-1.0, -1.0, 1.0, 1.0]);
        assert_eq!(arc.halves().len(), 2);
        assert!(arc.reversed().reversed() == arc);
        assert!((arc.share(Point::polar(1.0, -0.1)) - (-0.1 / (1.5 * PI))).abs() < 1e-15);
    }

    #[test]
    fn chords_hold_the_sagitta() {
        // sagitta s = r (1 - cos(a/2)): r 40 and 0.01 want 141 chords for a full turn
        // (elementary trigonometry, no source)
        let half =
            Stretch::arc(Point::new(40.0, 0.0), Point::new(-40.0, 0.0), Point::default(), true);
        assert_eq!(half.points(0.01).len(), 71);
        assert_eq!(half.points(10.0).len(), 3);
    }
}
