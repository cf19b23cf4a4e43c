//! Areas, centroids, bodies of revolution: exact over lines and arcs.
//!
//! An outline is the polygon of its chords plus one circular segment for each arc;
//! both have closed forms.

use super::outline::{Curve, Outline, Point};
use super::stretch::Stretch;
use std::f64::consts::TAU;

/// Integrals over a region.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moments {
    /// mm2
    pub area: f64,
    /// Of x, mm3.
    pub x: f64,
    /// Of y, mm3.
    pub y: f64,
    /// Of x y, mm4.
    pub xy: f64,
}

impl Moments {
    fn add(&mut self, other: Moments) {
        self.area += other.area;
        self.x += other.x;
        self.y += other.y;
        self.xy += other.xy;
    }

    /// Of the triangle from the origin over the chord of a stretch.
    fn chord(stretch: &Stretch) -> Moments {
        let (a, b) = (stretch.from, stretch.to);
        let cross = a.cross(b);
        Moments {
            area: cross / 2.0,
            x: cross * (a.x + b.x) / 6.0,
            y: cross * (a.y + b.y) / 6.0,
            xy: cross * (2.0 * (a.x * a.y + b.x * b.y) + a.x * b.y + b.x * a.y) / 24.0,
        }
    }

    /// Of the circular segment between an arc and its chord; below 0 for clockwise
    /// arcs. Area r2 (2a - sin 2a) / 2, first moment about the centre 2/3 r3 sin3 a,
    /// second moments about the axis of symmetry and square to it, with 2a the angle
    /// of the arc (Roark's Formulas for Stress and Strain, properties of sections,
    /// "circular segment"; from memory, tested against numerical sums).
    fn segment(stretch: &Stretch) -> Moments {
        let (Curve::Arc { centre, .. }, Some(radius)) = (stretch.curve, stretch.radius()) else {
            return Moments::default();
        };
        let sweep = stretch.sweep();
        let half = sweep.abs() / 2.0;
        let (sin, cos) = half.sin_cos();
        let sign = sweep.signum();
        let axis = (stretch.at(0.5) - centre).unit();
        let area = sign * radius.powi(2) * (half - sin * cos);
        let first = sign * radius.powi(3) * sin.powi(3) * (2.0 / 3.0);
        let bulk = half - sin * cos;
        let along = sign * radius.powi(4) / 4.0 * (bulk + 2.0 * sin.powi(3) * cos);
        let across = sign * radius.powi(4) / 12.0 * (3.0 * bulk - 2.0 * sin.powi(3) * cos);
        let (own_x, own_y) = (first * axis.x, first * axis.y);
        Moments {
            area,
            x: own_x + area * centre.x,
            y: own_y + area * centre.y,
            xy: (along - across) * axis.x * axis.y
                + centre.x * own_y
                + centre.y * own_x
                + area * centre.x * centre.y,
        }
    }
}

impl Outline {
    /// Integrals over the region.
    pub fn moments(&self) -> Moments {
        let mut sum = Moments::default();
        for stretch in self.stretches() {
            sum.add(Moments::chord(&stretch));
            sum.add(Moments::segment(&stretch));
        }
        sum
    }

    /// mm2
    pub fn area(&self) -> f64 {
        self.moments().area
    }

    /// Centre of the area; none for the empty outline.
    pub fn centroid(&self) -> Option<Point> {
        let m = self.moments();
        (m.area != 0.0).then(|| Point::new(m.x / m.area, m.y / m.area))
    }

    /// Length of all loops, mm.
    pub fn perimeter(&self) -> f64 {
        self.stretches().map(|s| s.length()).sum()
    }

    /// Lowest and highest x and y; none for the empty outline.
    pub fn bounds(&self) -> Option<[Point; 2]> {
        self.stretches().map(|s| s.bounds()).reduce(|a, b| {
            let low = Point::new(a[0].x.min(b[0].x), a[0].y.min(b[0].y));
            let high = Point::new(a[1].x.max(b[1].x), a[1].y.max(b[1].y));
            [low, high]
        })
    }

    /// Whether a point lies inside; either answer on the line itself.
    pub fn contains(&self, point: Point) -> bool {
        self.stretches().map(|s| passes_right(&s, point)).sum::<i32>() != 0
    }

    /// Volume of the region turned round the y axis, mm3; x must not be below 0.
    /// Pappus: 2 pi times the first moment.
    pub fn turned_volume(&self) -> f64 {
        TAU * self.moments().x
    }

    /// Height of the centre of the turned body, mm; none where it has no volume.
    pub fn turned_centroid(&self) -> Option<f64> {
        let m = self.moments();
        (m.x != 0.0).then(|| m.xy / m.x)
    }

    /// Surface of the turned body, mm2, by Pappus: 2 pi times the first moment of the
    /// line. What lies on the axis sweeps nothing.
    pub fn turned_area(&self) -> f64 {
        self.stretches().map(|s| s.turned_area()).sum()
    }

    /// All loops as polygons whose sides are nowhere farther than `sagitta_mm` from
    /// the line. The last point is not the first again.
    pub fn flattened(&self, sagitta_mm: f64) -> Vec<Vec<Point>> {
        let flat = |track: &super::Track| {
            track.stretches().flat_map(|s| s.points(sagitta_mm)).collect::<Vec<_>>()
        };
        self.loops
            .iter()
            .map(|track| {
                let mut points = flat(track);
                points.rotate_right(1);
                points
            })
            .collect()
    }
}

impl Stretch {
    /// Area that the stretch sweeps when turned round the y axis, mm2.
    pub fn turned_area(&self) -> f64 {
        let mean_x = match (self.curve, self.radius()) {
            (Curve::Arc { centre, .. }, Some(radius)) => {
                // The centroid of an arc lies r sin(a) / a from its centre, 2a its angle.
                let half = self.sweep().abs() / 2.0;
                let axis = (self.at(0.5) - centre).unit();
                centre.x + axis.x * radius * half.sin() / half
            }
            _ => (self.from.x + self.to.x) / 2.0,
        };
        TAU * mean_x * self.length()
    }
}

/// How often a stretch passes the ray from a point to the right: 1 upwards, -1
/// downwards. A stretch owns its lower end and not its upper one.
pub(super) fn passes_right(stretch: &Stretch, point: Point) -> i32 {
    let passes = |from: Point, to: Point, x: f64| match (from.y <= point.y, to.y <= point.y) {
        (true, false) if x > point.x => 1,
        (false, true) if x > point.x => -1,
        _ => 0,
    };
    let (Curve::Arc { centre, .. }, Some(radius)) = (stretch.curve, stretch.radius()) else {
        let (a, b) = (stretch.from, stretch.to);
        return passes(a, b, a.x + (b.x - a.x) * ((point.y - a.y) / (b.y - a.y)));
    };
    let reach = (radius * radius - (point.y - centre.y).powi(2)).max(0.0).sqrt();
    let mut tips: Vec<(f64, Point)> = [radius, -radius]
        .map(|r| centre + Point::new(0.0, r))
        .into_iter()
        .map(|tip| (stretch.share(tip), tip))
        .filter(|(share, _)| *share > 0.0 && *share < 1.0)
        .collect();
    tips.sort_by(|a, b| a.0.total_cmp(&b.0));
    tips.push((1.0, stretch.to));
    let (mut from, mut start, mut sum) = (stretch.from, 0.0, 0);
    for (share, to) in tips {
        let right = stretch.at((start + share) / 2.0).x > centre.x;
        sum += passes(from, to, if right { centre.x + reach } else { centre.x - reach });
        (from, start) = (to, share);
    }
    sum
}

#[cfg(test)]
#[path = "measure_tests.rs"]
mod tests;
