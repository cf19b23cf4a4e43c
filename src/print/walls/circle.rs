//! Circles that touch an outline from one side: the medial measure of how thick it is there.

use super::runs::{Bounds, Near, Runs};
use crate::plane::Point;

/// Two faces make one wall when their contacts with the circle between them lie farther
/// apart than this, seen from its middle: the cosine of 150 deg. Wedges blunter than 30 deg
/// are corners, in which small circles fit everywhere.
const FACING_COS: f64 = -0.866;

/// A side faces a way when its normal leaves it by less than this: the cosine of 60 deg.
const ALIKE_COS: f64 = 0.5;

/// Radii are known to this, mm.
const RADIUS_MM: f64 = 1e-6;

/// A circle shrinks no more often than this for one side.
const SHRINKS: usize = 64;

/// The sides of a layer's outlines, and circles between them.
pub struct Sides {
    runs: Runs,
}

/// A circle that touches an outline twice.
#[derive(Clone, Copy, Debug)]
struct Circle {
    middle: Point,
    radius: f64,
}

impl Circle {
    fn bounds(&self) -> Bounds {
        Bounds::around(self.middle, self.radius)
    }
}

/// Where a circle touches an outline, and which way it lies from there.
#[derive(Clone, Copy, Debug)]
pub struct Touch {
    /// On the outline.
    pub at: Point,
    /// Towards the middle of the circle.
    pub normal: Point,
    /// The side that it touches there.
    pub side: Option<usize>,
}

impl Sides {
    /// Makes outlines ready for circles of up to `most_mm` across.
    pub fn new(outlines: &[Vec<Point>], most_mm: f64) -> Sides {
        Sides { runs: Runs::new(outlines, 2.0 * most_mm) }
    }

    /// All sides in runs.
    pub fn runs(&self) -> &Runs {
        &self.runs
    }

    /// The point of any side of some runs that lies nearest to another one, closer than
    /// `within_mm`, and its side.
    fn nearest(&self, runs: &[usize], to: Point, within_mm: f64) -> Option<(Point, usize)> {
        let mut best = (within_mm * within_mm, None);
        let bounds = Bounds::around(to, within_mm);
        for run in runs.iter().filter(|run| bounds.meets(self.runs.bounds(**run))) {
            for (number, side) in self.runs.sides_of(*run) {
                let (point, square) = side.nearest(to);
                if square < best.0 {
                    best = (square, Some((point, number)));
                }
            }
        }
        best.1
    }

    /// The largest circle of up to `most_mm` across that touches the outline, among the sides
    /// of some runs; none where all of that circle is free, or where its far contact does not
    /// lie opposite.
    fn circle(&self, runs: &[usize], touch: Touch, most_mm: f64) -> Option<Circle> {
        let Touch { at, normal, side: own } = touch;
        let through = |radius: f64| Circle { middle: at + normal * radius, radius };
        let mut circle = through(most_mm / 2.0);
        let mut bounds = circle.bounds();
        let mut contact = None;
        // Circles that touch one point from one side lie in each other: what a circle passes
        // by a smaller one passes too, so each side is looked at once.
        for run in runs {
            if !bounds.meets(self.runs.bounds(*run)) {
                continue;
            }
            for (_, side) in self.runs.sides_of(*run).filter(|(k, _)| Some(*k) != own) {
                for _ in 0..SHRINKS {
                    let (near, square) = side.nearest(circle.middle);
                    let within = circle.radius - RADIUS_MM;
                    if square >= within * within {
                        break;
                    }
                    let to = near - at;
                    let ahead = normal.dot(to);
                    if ahead <= 0.0 {
                        return None;
                    }
                    circle = through((to.dot(to) / (2.0 * ahead)).min(circle.radius));
                    bounds = circle.bounds();
                    contact = Some(near);
                }
            }
        }
        let near = contact?;
        let apart = (at - circle.middle).dot(near - circle.middle);
        let facing = apart < FACING_COS * circle.radius * circle.radius;
        facing.then_some(circle)
    }

    /// The width, mm, of what lies ahead of a point of the outline, where it is a wall of less
    /// than `most_mm`; `near` is what lies no farther than that from the point's own run.
    pub fn width(&self, near: &Near, touch: Touch, most_mm: f64) -> Option<f64> {
        self.circle(near.runs, touch, most_mm).map(|circle| 2.0 * circle.radius)
    }

    /// The width towards `normal` from the point of the outline that lies nearest to `at`, no
    /// farther than `within_mm`.
    pub fn width_near(
        &self,
        at: Point,
        normal: Point,
        within_mm: f64,
        most_mm: f64,
    ) -> Option<f64> {
        let runs = self.runs.meeting(&Bounds::around(at, within_mm + most_mm));
        let (at, own) = self.nearest(&runs, at, within_mm)?;
        // A side that runs along `normal` is the end of the wall, not its face.
        if self.runs.side(own).run.unit().left().dot(normal).abs() < ALIKE_COS {
            return None;
        }
        let touch = Touch { at, normal, side: Some(own) };
        self.circle(&runs, touch, most_mm).map(|circle| 2.0 * circle.radius)
    }

    /// The width at a corner that stands into the wall, between the normals of its sides, and
    /// its direction.
    pub fn width_at_corner(
        &self,
        near: &Near,
        at: Point,
        normals: [Point; 2],
        most_mm: f64,
    ) -> Option<(f64, Point)> {
        let bisector = (normals[0] + normals[1]).unit();
        let half = most_mm / 2.0;
        let (facing, _) = self.nearest(near.runs, at + bisector * half, half - RADIUS_MM)?;
        let across = (facing - at).unit();
        // Only what the corner faces, not its own sides.
        if across.dot(bisector) < normals[0].dot(bisector) - RADIUS_MM {
            return None;
        }
        let touch = Touch { at: at + bisector * RADIUS_MM, normal: across, side: None };
        self.width(near, touch, most_mm).map(|width| (width, across))
    }
}
