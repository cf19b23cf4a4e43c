//! The polygon library: union, clipping and offset of polygons, for free-form patterns
//! of many points. Integers of 64 bits inside, so that results repeat to the bit.

use super::outline::Point;
use i_overlay::core::{fill_rule::FillRule, overlay_rule::OverlayRule};
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};

/// Outer polygons run anticlockwise, holes clockwise.
pub(super) type Polygons = Vec<Vec<Point>>;

/// A corner sharper than this is cut off when its sides move out, rad: a mitre there
/// would be longer than four times the move.
const SHARPEST_MITRE_RAD: f64 = 0.5;

fn raw(polygons: &[Vec<Point>]) -> Vec<Vec<[f64; 2]>> {
    polygons.iter().map(|polygon| polygon.iter().map(|p| [p.x, p.y]).collect()).collect()
}

fn polygons(shapes: Vec<Vec<Vec<[f64; 2]>>>) -> Polygons {
    let points = |polygon: Vec<[f64; 2]>| polygon.iter().map(|p| Point::new(p[0], p[1])).collect();
    shapes.into_iter().flatten().map(points).collect()
}

/// What lies in any of the polygons and within the box; nothing else limits it where
/// a side of the box is infinite.
pub(super) fn clipped(region: &[Vec<Point>], [low, high]: [Point; 2]) -> Polygons {
    let all = || region.iter().flatten();
    let limit = |value: f64, mut others: Box<dyn Iterator<Item = f64> + '_>, up: bool| {
        if value.is_finite() {
            return value;
        }
        let start = if up { f64::NEG_INFINITY } else { f64::INFINITY };
        let beyond = others.by_ref().fold(start, |a, b| if up { a.max(b) } else { a.min(b) });
        if up { beyond + 1.0 } else { beyond - 1.0 }
    };
    if all().next().is_none() {
        return Vec::new();
    }
    let low = Point::new(
        limit(low.x, Box::new(all().map(|p| p.x)), false),
        limit(low.y, Box::new(all().map(|p| p.y)), false),
    );
    let high = Point::new(
        limit(high.x, Box::new(all().map(|p| p.x)), true),
        limit(high.y, Box::new(all().map(|p| p.y)), true),
    );
    let frame = vec![[low.x, low.y], [high.x, low.y], [high.x, high.y], [low.x, high.y]];
    polygons(raw(region).overlay_as::<i64>(&[frame], OverlayRule::Intersect, FillRule::NonZero))
}

/// The region with every side moved outwards by `by_mm`, inwards below 0; corners
/// stay sharp.
pub(super) fn moved(region: &[Vec<Point>], by_mm: f64) -> Polygons {
    let mut style = OutlineStyle::new(by_mm).line_join(LineJoin::Miter(SHARPEST_MITRE_RAD));
    style.miter_min_turn = 0.0;
    polygons(vec![raw(region)].outline_as::<i64>(&style))
}
