//! Regions of many corners, as layers of a print have them: what one does not cover of
//! another, growing and shrinking. On the polygon library.

use super::outline::Point;
use super::overlay::{Polygons, less, moved, moved_sides};

/// One connected region: its outline first, anticlockwise, then its holes, clockwise.
pub type Region = Vec<Vec<Point>>;

/// The sides of all outlines, each from its corner to the next.
pub fn region_sides(region: &[Vec<Point>]) -> impl Iterator<Item = [Point; 2]> + '_ {
    region.iter().flat_map(|p| (0..p.len()).map(|i| [p[i], p[(i + 1) % p.len()]]))
}

/// The point of a side that lies nearest to another one.
pub fn nearest_on_side(point: Point, [a, b]: [Point; 2]) -> Point {
    let (run, from) = (b - a, point - a);
    let square = run.dot(run);
    let share = if square > 0.0 { (run.dot(from) / square).clamp(0.0, 1.0) } else { 0.0 };
    a + run * share
}

/// The connected regions of what `upper` has outside `lower` grown by `by_mm`. Corners of
/// the grown outline stay sharp.
pub fn beyond(upper: &[Vec<Point>], lower: &[Vec<Point>], by_mm: f64) -> Vec<Region> {
    let grown: Polygons = lower.iter().map(|polygon| moved_sides(polygon, by_mm)).collect();
    less(upper, &grown)
}

/// The connected regions of one that may consist of several.
pub fn regions(region: &[Vec<Point>]) -> Vec<Region> {
    less(region, &[])
}

/// The region with every side moved outwards, inwards below 0; corners stay sharp.
pub fn grown_region(region: &[Vec<Point>], by_mm: f64) -> Polygons {
    moved(region, by_mm)
}

/// Area, holes less, mm2.
pub fn region_area(region: &[Vec<Point>]) -> f64 {
    region_sides(region).map(|[a, b]| a.cross(b)).sum::<f64>() / 2.0
}

/// The corners of the smallest region without hollows that holds all points,
/// anticlockwise (A. M. Andrew's monotone chain, 1979).
pub fn hull(points: impl IntoIterator<Item = Point>) -> Vec<Point> {
    let mut sorted: Vec<Point> = points.into_iter().collect();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup();
    let chain = |points: &mut dyn Iterator<Item = &Point>| {
        let mut out: Vec<Point> = Vec::new();
        for point in points {
            while let [.., a, b] = out[..] {
                if (b - a).cross(*point - b) > 0.0 {
                    break;
                }
                out.pop();
            }
            out.push(*point);
        }
        // The other chain starts with this corner.
        out.pop();
        out
    };
    let mut out = chain(&mut sorted.iter());
    out.extend(chain(&mut sorted.iter().rev()));
    out
}

/// Lowest and highest x and y; none for nothing.
pub fn region_bounds(region: &[Vec<Point>]) -> Option<[Point; 2]> {
    region.iter().flatten().map(|p| [*p, *p]).reduce(|a, b| {
        let low = Point::new(a[0].x.min(b[0].x), a[0].y.min(b[0].y));
        let high = Point::new(a[1].x.max(b[1].x), a[1].y.max(b[1].y));
        [low, high]
    })
}

/// A region that is asked for many points.
pub struct Inside {
    low: f64,
    per_mm: f64,
    /// The sides that cross each band of y.
    bands: Vec<Vec<[Point; 2]>>,
}

impl Inside {
    /// Sorts the sides of a region into bands.
    pub fn new(region: &[Vec<Point>]) -> Self {
        let [low, high] = region_bounds(region).unwrap_or_default().map(|p| p.y);
        let count = region.iter().map(Vec::len).sum::<usize>().max(1);
        let per_mm = if high > low { count as f64 / (high - low) } else { 0.0 };
        let mut inside = Inside { low, per_mm, bands: vec![Vec::new(); count] };
        for side in region_sides(region) {
            let [from, to] = side.map(|p| inside.band(p.y));
            for band in from.min(to)..=from.max(to) {
                inside.bands[band].push(side);
            }
        }
        inside
    }

    fn band(&self, y: f64) -> usize {
        (((y - self.low) * self.per_mm).max(0.0) as usize).min(self.bands.len() - 1)
    }

    /// Whether a point lies inside; either answer on the line itself.
    pub fn holds(&self, point: Point) -> bool {
        let mut inside = false;
        for [a, b] in &self.bands[self.band(point.y)] {
            if (a.y > point.y) != (b.y > point.y) {
                let x = a.x + (b.x - a.x) * (point.y - a.y) / (b.y - a.y);
                inside ^= x > point.x;
            }
        }
        inside
    }
}

#[cfg(test)]
#[path = "regions_tests.rs"]
mod tests;
