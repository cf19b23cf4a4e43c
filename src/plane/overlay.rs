//! The polygon library: union, clipping and offset of polygons, for free-form patterns
//! of many points. Integers of 64 bits inside, so that results repeat to the bit.

use super::crossing::lines_meet;
use super::outline::Point;
use i_overlay::core::{fill_rule::FillRule, overlay_rule::OverlayRule};
use i_overlay::float::single::SingleFloatOverlay;
use std::f64::consts::PI;

/// Outer polygons run anticlockwise, holes clockwise.
pub(super) type Polygons = Vec<Vec<Point>>;

/// A corner that turns by more is cut off square to its middle, at the distance by
/// which sides move, rad: a mitre there would be longer than four times the move.
const SHARPEST_TURN_RAD: f64 = PI - 0.5;

fn raw(polygons: &[Vec<Point>]) -> Vec<Vec<[f64; 2]>> {
    polygons.iter().map(|polygon| polygon.iter().map(|p| [p.x, p.y]).collect()).collect()
}

fn polygons(shapes: Vec<Vec<Vec<[f64; 2]>>>) -> Polygons {
    let points = |polygon: Vec<[f64; 2]>| polygon.iter().map(|p| Point::new(p[0], p[1])).collect();
    shapes.into_iter().flatten().map(points).collect()
}

/// What lies in any of the polygons and within the box; a side of the box that is
/// infinite limits nothing.
pub(super) fn clipped(region: &[Vec<Point>], [low, high]: [Point; 2]) -> Polygons {
    let Some([least, most]) = bounds(region) else { return Vec::new() };
    let low = Point::new(low.x.max(least.x - 1.0), low.y.max(least.y - 1.0));
    let high = Point::new(high.x.min(most.x + 1.0), high.y.min(most.y + 1.0));
    if low.x >= high.x || low.y >= high.y {
        return Vec::new();
    }
    let frame = vec![[low.x, low.y], [high.x, low.y], [high.x, high.y], [low.x, high.y]];
    polygons(raw(region).overlay_as::<i64>(&[frame], OverlayRule::Intersect, FillRule::NonZero))
}

fn bounds(region: &[Vec<Point>]) -> Option<[Point; 2]> {
    region.iter().flatten().map(|p| [*p, *p]).reduce(|a, b| {
        let low = Point::new(a[0].x.min(b[0].x), a[0].y.min(b[0].y));
        let high = Point::new(a[1].x.max(b[1].x), a[1].y.max(b[1].y));
        [low, high]
    })
}

/// The region with every side moved outwards by `by_mm`, inwards below 0; corners
/// stay sharp. What turns inside out on the way is left out: it winds the wrong way.
pub(super) fn moved(region: &[Vec<Point>], by_mm: f64) -> Polygons {
    let sides: Polygons = region.iter().map(|polygon| moved_sides(polygon, by_mm)).collect();
    let nothing: Vec<Vec<[f64; 2]>> = Vec::new();
    polygons(raw(&sides).overlay_as::<i64>(&nothing, OverlayRule::Subject, FillRule::Positive))
}

/// The connected regions of what is in `upper` and not in `lower`, which may cross itself:
/// what winds the wrong way is none of it. Outlines first, then their holes.
pub(super) fn less(upper: &[Vec<Point>], lower: &[Vec<Point>]) -> Vec<Polygons> {
    let shapes =
        raw(upper).overlay_as::<i64>(&raw(lower), OverlayRule::Difference, FillRule::Positive);
    shapes.into_iter().map(|shape| polygons(vec![shape])).collect()
}

/// A polygon with every side moved to its right by `by_mm`, which may cross itself.
pub(super) fn moved_sides(polygon: &[Point], by_mm: f64) -> Vec<Point> {
    let count = polygon.len();
    let next = |i: usize| polygon[(i + 1) % count];
    let sides: Vec<Point> = (0..count).map(|i| next(i) - polygon[i]).collect();
    let mut points = Vec::with_capacity(count + count / 8);
    for i in 0..count {
        let before = (i + count - 1) % count;
        corner(&mut points, polygon[i], [sides[before], sides[i]], by_mm);
    }
    points
}

/// What becomes of the corner between two sides.
fn corner(points: &mut Vec<Point>, at: Point, [before, after]: [Point; 2], by_mm: f64) {
    /// Sides are no more than this share used up by both of their corners.
    const HALF: f64 = 0.5;
    let (along, on) = (before.unit(), after.unit());
    let turn = along.cross(on).atan2(along.dot(on));
    let out = [along, on].map(|direction| at - direction.left() * by_mm);
    let opens = (turn > 0.0) == (by_mm > 0.0);
    // How far both sides are lengthened or shortened to meet again.
    let reach = (by_mm * (turn / 2.0).tan()).abs();
    let room = before.length().min(after.length()) * HALF;
    let mitre = match opens {
        true => turn.abs() <= SHARPEST_TURN_RAD,
        false => reach <= room,
    };
    let tip = lines_meet(out[0], along, out[1], on);
    match tip {
        Some(tip) if mitre => points.push(tip),
        None if turn.abs() < HALF => points.push(out[0]),
        _ if opens => {
            let far = by_mm.abs() * (turn.abs() / 4.0).tan();
            points.extend([out[0] + along * far, out[1] - on * far]);
        }
        // By way of the corner itself, so that what is inside out winds backwards.
        _ => points.extend([out[0], at, out[1]]),
    }
}

#[cfg(test)]
#[path = "overlay_tests.rs"]
mod tests;
