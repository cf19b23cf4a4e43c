//! Outlines moved, turned, mirrored, stretched.

use super::outline::{Curve, Outline, Point, Segment, Track};

impl Outline {
    /// Every point through `map`, which keeps circles; a mirror image where `flips`.
    fn mapped(&self, map: impl Fn(Point) -> Point, flips: bool) -> Outline {
        let curve = |curve: &Curve| match *curve {
            Curve::Line => Curve::Line,
            Curve::Arc { centre, anticlockwise } => {
                Curve::Arc { centre: map(centre), anticlockwise: anticlockwise != flips }
            }
        };
        let segment =
            |s: &Segment| Segment { to: map(s.to), curve: curve(&s.curve), face: s.face.clone() };
        let track = |t: &Track| {
            let mapped =
                Track { start: map(t.start), segments: t.segments.iter().map(segment).collect() };
            if flips { mapped.reversed() } else { mapped }
        };
        Outline { loops: self.loops.iter().map(track).collect() }
    }

    /// Moved by `by`.
    #[must_use]
    pub fn shifted(&self, by: Point) -> Outline {
        self.mapped(|p| p + by, false)
    }

    /// Turned about the origin by `angle_rad`, anticlockwise.
    #[must_use]
    pub fn spun(&self, angle_rad: f64) -> Outline {
        let (sin, cos) = angle_rad.sin_cos();
        self.mapped(|p| p * cos + p.left() * sin, false)
    }

    /// The mirror image: x becomes -x where `along_x`, else y becomes -y.
    #[must_use]
    pub fn mirrored(&self, along_x: bool) -> Outline {
        let map = |p: Point| if along_x { Point::new(-p.x, p.y) } else { Point::new(p.x, -p.y) };
        self.mapped(map, true)
    }

    /// Stretched by `x` and `y`, both above 0. Arcs stay arcs where the factors are
    /// alike, else they become lines that are within `sagitta_mm` of the ellipse.
    #[must_use]
    pub fn scaled(&self, x: f64, y: f64, sagitta_mm: f64) -> Outline {
        let map = |p: Point| Point::new(p.x * x, p.y * y);
        if x == y {
            return self.mapped(map, false);
        }
        let straight = |track: &Track| {
            let mut segments = Vec::new();
            for (stretch, segment) in track.stretches().zip(&track.segments) {
                let points = stretch.points(sagitta_mm / x.max(y));
                segments.extend(points.into_iter().map(|p| Segment {
                    to: map(p),
                    curve: Curve::Line,
                    face: segment.face.clone(),
                }));
            }
            Track { start: map(track.start), segments }
        };
        Outline { loops: self.loops.iter().map(straight).collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Edge, disc, rect};
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn moving_keeps_area_and_sense() {
        let slab = rect(8.0, 4.0, Edge::Round(1.0)).unwrap();
        let area = slab.area();
        let moved = slab.shifted(Point::new(3.0, -2.0)).spun(0.7).mirrored(true).mirrored(false);
        assert!((moved.area() - area).abs() < 1e-12);
        assert!(moved.loops[0].is_closed());
        let back = slab.mirrored(true).mirrored(true);
        assert_eq!(back, slab);
        assert_eq!(slab.mirrored(true).loops[0].segments.len(), 8);
    }

    #[test]
    fn stretching_a_disc_makes_an_ellipse() {
        // area pi a b (CRC tables)
        let ellipse = disc(2.0).unwrap().scaled(5.0, 3.0, 1e-6);
        assert!((ellipse.area() - 15.0 * PI).abs() < 1e-4);
        assert!(ellipse.loops[0].is_closed());
        assert!((disc(2.0).unwrap().scaled(5.0, 5.0, 1e-6).area() - 25.0 * PI).abs() < 1e-12);
    }
}
