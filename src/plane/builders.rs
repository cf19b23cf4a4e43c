//! Outlines of the trade: rectangle, disc, slot, polygon.

use super::check::outline_of;
use super::error::PlaneError;
use super::outline::{Curve, Edge, Outline, Point, Segment, Track};
use super::path::{Close, PathCurve, PathStep, path};
use std::f64::consts::{PI, TAU};

/// `value`, when it is a length one can build with.
pub(super) fn above_zero(what: &'static str, value: f64) -> Result<f64, PlaneError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(PlaneError::NotPositive { what, value })
    }
}

/// A rectangle round the origin, its corners treated. Sides are the faces `front`
/// (at -y), `right`, `back`, `left`.
///
/// # Errors
/// A side that is not above 0; corners that do not fit.
pub fn rect(width_mm: f64, height_mm: f64, corner: Edge) -> Result<Outline, PlaneError> {
    let x = above_zero("width", width_mm)? / 2.0;
    let y = above_zero("height", height_mm)? / 2.0;
    let side = |x, y, name: &str| PathStep {
        to: Point::new(x, y),
        curve: PathCurve::Line,
        edge: corner,
        face: Some(name.into()),
    };
    let steps = [side(x, -y, "front"), side(x, y, "right"), side(-x, y, "back")];
    let close = Close { edge: corner, face: Some("left".into()) };
    let track = path(Point::new(-x, -y), &steps, Some(&close)).map_err(|error| error.reason)?;
    outline_of(track)
}

/// A disc round the origin.
///
/// # Errors
/// A diameter that is not above 0.
pub fn disc(diameter_mm: f64) -> Result<Outline, PlaneError> {
    let radius = above_zero("diameter", diameter_mm)? / 2.0;
    let curve = Curve::Arc { centre: Point::default(), anticlockwise: true };
    let half = |x| Segment { to: Point::new(x, 0.0), curve, face: None };
    let track =
        Track { start: Point::new(radius, 0.0), segments: vec![half(-radius), half(radius)] };
    Ok(Outline { loops: vec![track] })
}

/// A slot round the origin: a rectangle whose short sides are half circles.
///
/// # Errors
/// A measure that is not above 0.
pub fn slot(width_mm: f64, height_mm: f64) -> Result<Outline, PlaneError> {
    let (width, height) = (above_zero("width", width_mm)?, above_zero("height", height_mm)?);
    if width == height {
        return disc(width);
    }
    rect(width, height, Edge::Round(width.min(height) / 2.0))
}

/// The polygon with these corners, in either sense.
///
/// # Errors
/// Fewer than three points, doubled ones, a crossing.
pub fn polygon(points: &[Point]) -> Result<Outline, PlaneError> {
    let [start, rest @ ..] = points else {
        return Err(PlaneError::TooFewPoints { points: 0 });
    };
    if points.len() < 3 {
        return Err(PlaneError::TooFewPoints { points: points.len() });
    }
    for (index, pair) in points.windows(2).enumerate() {
        if pair[0] == pair[1] {
            return Err(PlaneError::DoubledPoint { index: index + 1, at: pair[1] });
        }
    }
    if points.last() == Some(start) {
        return Err(PlaneError::DoubledPoint { index: points.len() - 1, at: *start });
    }
    let segment = |to: &Point| Segment { to: *to, curve: Curve::Line, face: None };
    let segments = rest.iter().chain([start]).map(segment).collect();
    outline_of(Track { start: *start, segments })
}

/// A regular polygon round the origin, `across_flats_mm` between opposite sides (twice
/// the inscribed radius where the number is odd), one side at the front.
///
/// # Errors
/// Fewer than three sides; a size that is not above 0.
pub fn regular(sides: u32, across_flats_mm: f64) -> Result<Outline, PlaneError> {
    if sides < 3 {
        return Err(PlaneError::TooFewSides { sides });
    }
    let half_step = PI / f64::from(sides);
    let radius = above_zero("size across flats", across_flats_mm)? / 2.0 / half_step.cos();
    let corner = |i: u32| {
        Point::polar(radius, -PI / 2.0 - half_step + TAU / f64::from(sides) * f64::from(i))
    };
    polygon(&(0..sides).map(corner).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapes_have_their_textbook_areas() {
        // Areas: any handbook, e.g. CRC Standard Mathematical Tables (mensuration).
        let near = |outline: Result<Outline, PlaneError>, area: f64| {
            let found = outline.map(|o| o.area()).unwrap();
            assert!((found - area).abs() < 1e-12 * area, "{found} {area}");
        };
        near(rect(30.0, 20.0, Edge::None), 600.0);
        near(rect(30.0, 20.0, Edge::Round(4.0)), 600.0 - (4.0 - PI) * 16.0);
        near(rect(30.0, 20.0, Edge::Bevel { leg: 3.0, angle: PI / 4.0 }), 600.0 - 18.0);
        near(
            rect(30.0, 20.0, Edge::Bevel { leg: 3.0, angle: 30f64.to_radians() }),
            600.0 - 18.0 * 30f64.to_radians().tan(),
        );
        near(disc(10.0), 25.0 * PI);
        near(slot(30.0, 10.0), 200.0 + 25.0 * PI);
        near(slot(10.0, 30.0), 200.0 + 25.0 * PI);
        near(slot(10.0, 10.0), 25.0 * PI);
        near(regular(6, 10.0), 50.0 * 3f64.sqrt());
        near(regular(4, 10.0), 100.0);
    }

    #[test]
    fn a_rectangle_names_its_sides() {
        let outline = rect(30.0, 20.0, Edge::Round(4.0)).unwrap();
        let track = &outline.loops[0];
        let names: Vec<_> = track.segments.iter().filter_map(|s| s.face.as_deref()).collect();
        assert_eq!(names, ["front", "right", "back", "left"]);
        let front = track.iter().find(|(_, s)| s.face.as_deref() == Some("front")).unwrap();
        assert_eq!((front.0, front.1.to), (Point::new(-11.0, -10.0), Point::new(11.0, -10.0)));
        assert_eq!(track.segments.len(), 8);
        assert_eq!(regular(6, 10.0).unwrap().loops[0].segments.len(), 6);
    }

    #[test]
    fn what_cannot_be_is_refused_with_both_values() {
        assert_eq!(
            rect(30.0, 20.0, Edge::Round(12.0)),
            Err(PlaneError::TreatmentTooLong { wanted_mm: 12.0, room_mm: 8.0 })
        );
        assert!(matches!(rect(0.0, 1.0, Edge::None), Err(PlaneError::NotPositive { .. })));
        assert!(matches!(disc(f64::NAN), Err(PlaneError::NotPositive { .. })));
        assert!(matches!(regular(2, 5.0), Err(PlaneError::TooFewSides { sides: 2 })));
        let p = Point::new;
        let bow = [p(0.0, 0.0), p(2.0, 2.0), p(2.0, 0.0), p(0.0, 2.0)];
        assert_eq!(polygon(&bow), Err(PlaneError::SelfCrossing { at: p(1.0, 1.0) }));
        let flat = [p(0.0, 0.0), p(2.0, 0.0), p(1.0, 0.0)];
        assert!(polygon(&flat).is_err());
        let twice = [p(0.0, 0.0), p(2.0, 0.0), p(2.0, 0.0), p(0.0, 2.0)];
        assert!(matches!(polygon(&twice), Err(PlaneError::DoubledPoint { index: 2, .. })));
    }
}
