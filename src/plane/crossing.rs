//! Where two stretches meet.

use super::outline::{Curve, Point};
use super::stretch::Stretch;

/// Curves nearer than this touch, points nearer than this are one, mm. A thousandth
/// of what any printer resolves, and a million times the rounding of 100 mm.
pub const TOUCH_MM: f64 = 1e-7;

impl Stretch {
    /// Distance of a point from the stretch, mm.
    pub fn distance(&self, point: Point) -> f64 {
        let ends = self.from.distance(point).min(self.to.distance(point));
        let share = self.share(point);
        if !(share > 0.0 && share < 1.0) {
            return ends;
        }
        match self.curve {
            Curve::Line => ((self.to - self.from).unit().cross(point - self.from)).abs().min(ends),
            Curve::Arc { centre, .. } => {
                let radius = self.radius().unwrap_or(0.0);
                (point.distance(centre) - radius).abs().min(ends)
            }
        }
    }

    /// The points in which two stretches meet: crossings, touchings, and both ends of
    /// what they have in common. In a fixed order, no two nearer than [`TOUCH_MM`].
    pub fn meets(&self, other: &Stretch) -> Vec<Point> {
        let mut found: Vec<Point> = Vec::new();
        let mut add = |point: Point| {
            if found.iter().all(|p| p.distance(point) > TOUCH_MM) {
                found.push(point);
            }
        };
        for end in [self.from, self.to] {
            if other.distance(end) <= TOUCH_MM {
                add(end);
            }
        }
        for end in [other.from, other.to] {
            if self.distance(end) <= TOUCH_MM {
                add(end);
            }
        }
        for point in carriers_meet(self, other) {
            if self.distance(point) <= TOUCH_MM && other.distance(point) <= TOUCH_MM {
                add(point);
            }
        }
        found
    }
}

/// Where the whole lines and circles meet on which two stretches lie; nothing where
/// they are the same.
pub(super) fn carriers_meet(a: &Stretch, b: &Stretch) -> Vec<Point> {
    match (a.curve, b.curve) {
        (Curve::Line, Curve::Line) => {
            lines_meet(a.from, a.to - a.from, b.from, b.to - b.from).into_iter().collect()
        }
        (Curve::Line, Curve::Arc { centre, .. }) => {
            line_meets_circle(a, centre, b.radius().unwrap_or(0.0))
        }
        (Curve::Arc { centre, .. }, Curve::Line) => {
            line_meets_circle(b, centre, a.radius().unwrap_or(0.0))
        }
        (Curve::Arc { centre: p, .. }, Curve::Arc { centre: q, .. }) => {
            circles_meet(p, a.radius().unwrap_or(0.0), q, b.radius().unwrap_or(0.0))
        }
    }
}

/// Where the lines through `p` along `u` and through `q` along `v` meet.
pub(super) fn lines_meet(p: Point, u: Point, q: Point, v: Point) -> Option<Point> {
    /// Sine of the angle below which lines count as parallel: over 100 mm they then
    /// part by less than a tenth of [`TOUCH_MM`].
    const PARALLEL: f64 = 1e-10;
    let cross = u.cross(v);
    (cross.abs() > PARALLEL * u.length() * v.length()).then(|| p + u * ((q - p).cross(v) / cross))
}

fn line_meets_circle(line: &Stretch, centre: Point, radius: f64) -> Vec<Point> {
    let along = (line.to - line.from).unit();
    let foot = line.from + along * (centre - line.from).dot(along);
    let away = foot.distance(centre);
    if (away - radius).abs() <= TOUCH_MM {
        return vec![foot];
    }
    if away > radius {
        return Vec::new();
    }
    let half = ((radius - away) * (radius + away)).sqrt();
    vec![foot - along * half, foot + along * half]
}

fn circles_meet(p: Point, p_radius: f64, q: Point, q_radius: f64) -> Vec<Point> {
    let apart = p.distance(q);
    if apart <= TOUCH_MM {
        return Vec::new();
    }
    let along = (q - p).unit();
    let touching = (apart - p_radius - q_radius).abs() <= TOUCH_MM
        || (apart - (p_radius - q_radius).abs()).abs() <= TOUCH_MM;
    if touching {
        let sign = if apart < q_radius - p_radius + TOUCH_MM { -1.0 } else { 1.0 };
        return vec![p + along * (sign * p_radius)];
    }
    if apart > p_radius + q_radius || apart < (p_radius - q_radius).abs() {
        return Vec::new();
    }
    let ahead = (apart * apart + (p_radius - q_radius) * (p_radius + q_radius)) / (2.0 * apart);
    let half = ((p_radius - ahead) * (p_radius + ahead)).max(0.0).sqrt();
    let foot = p + along * ahead;
    vec![foot - along.left() * half, foot + along.left() * half]
}

/// All pairs of stretches whose boxes come within [`TOUCH_MM`] of each other, the
/// lower index first, in ascending order.
pub(super) fn near_pairs(stretches: &[Stretch]) -> Vec<(usize, usize)> {
    let boxes: Vec<[Point; 2]> = stretches.iter().map(Stretch::bounds).collect();
    let mut order: Vec<usize> = (0..boxes.len()).collect();
    order.sort_by(|&i, &j| boxes[i][0].x.total_cmp(&boxes[j][0].x).then(i.cmp(&j)));
    let mut active: Vec<usize> = Vec::new();
    let mut pairs = Vec::new();
    for i in order {
        let [low, high] = boxes[i];
        active.retain(|&j| boxes[j][1].x >= low.x - TOUCH_MM);
        for &j in &active {
            if boxes[j][0].y <= high.y + TOUCH_MM && boxes[j][1].y >= low.y - TOUCH_MM {
                pairs.push((i.min(j), i.max(j)));
            }
        }
        active.push(i);
    }
    pairs.sort_unstable();
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_circles_meet_where_pythagoras_says() {
        // 3-4-5 triangles (elementary, no source)
        let p = Point::new;
        let circle = Stretch::arc(p(5.0, 0.0), p(-5.0, 0.0), p(0.0, 0.0), true);
        let chord = Stretch::line(p(-9.0, 3.0), p(9.0, 3.0));
        assert_eq!(circle.meets(&chord), [p(-4.0, 3.0), p(4.0, 3.0)]);
        let tangent = Stretch::line(p(-9.0, 5.0), p(9.0, 5.0));
        assert_eq!(circle.meets(&tangent), [p(0.0, 5.0)]);
        let other = Stretch::arc(p(13.0, 0.0), p(3.0, 0.0), p(8.0, 0.0), true);
        let met = circle.meets(&other);
        assert_eq!(met.len(), 1);
        assert!(met[0].distance(p(4.0, 3.0)) < 1e-14);
        let below = Stretch::line(p(-9.0, -3.0), p(9.0, -3.0));
        assert!(circle.meets(&below).is_empty());
    }

    #[test]
    fn what_runs_together_meets_in_two_points() {
        let p = Point::new;
        let long = Stretch::line(p(0.0, 0.0), p(9.0, 0.0));
        let short = Stretch::line(p(4.0, 0.0), p(2.0, 0.0));
        assert_eq!(long.meets(&short), [p(4.0, 0.0), p(2.0, 0.0)]);
        let quarter = Stretch::arc(p(5.0, 0.0), p(0.0, 5.0), p(0.0, 0.0), true);
        let half = Stretch::arc(p(3.0, 4.0), p(-3.0, 4.0), p(0.0, 0.0), true);
        assert_eq!(quarter.meets(&half), [p(0.0, 5.0), p(3.0, 4.0)]);
    }
}
