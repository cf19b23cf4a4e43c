//! Outlines as polygons.
//!
//! The ends of an arc stay where they are and the points between them move outwards a
//! little, so that arc and polygon enclose the same area: what is turned or drawn up from it
//! then has the volume of the exact body but for terms of second order.

use super::facets::Tolerance;
use crate::layers::WELD_MM;
use crate::plane::{Curve, Outline, Point, Stretch, Track};

/// All loops as polygons, the first point not repeated. Loops that are nothing are left out.
pub(super) fn polygons(outline: &Outline, tolerance: &Tolerance) -> Vec<Vec<Point>> {
    outline.loops.iter().map(|t| polygon(t, tolerance)).filter(|p| p.len() > 2).collect()
}

/// One loop; points closer than [`WELD_MM`] are one.
pub(super) fn polygon(track: &Track, tolerance: &Tolerance) -> Vec<Point> {
    let mut points = vec![track.start];
    for stretch in track.stretches() {
        points.extend(points_of(&stretch, tolerance));
    }
    let mut kept: Vec<Point> = vec![];
    for point in points {
        if kept.last().is_none_or(|last| last.distance(point) > WELD_MM) {
            kept.push(point);
        }
    }
    while kept.len() > 1 && kept[0].distance(kept[kept.len() - 1]) <= WELD_MM {
        kept.pop();
    }
    kept
}

/// Points of a segment after its start.
pub(super) fn points_of(stretch: &Stretch, tolerance: &Tolerance) -> Vec<Point> {
    let (Curve::Arc { centre, .. }, Some(radius)) = (stretch.curve, stretch.radius()) else {
        return vec![stretch.to];
    };
    let share = (tolerance.chord_mm / radius).clamp(1e-9, 0.29);
    let sweep = stretch.sweep().abs();
    // A count that is whole but for rounding stays as it is on every machine.
    let count = (sweep / (2.0 * (1.0 - share).acos()) - 1e-6).ceil().max(2.0);
    let out = outwards(sweep / count, count);
    (1..=count as usize)
        .map(|i| {
            if i == count as usize {
                return stretch.to;
            }
            centre + (stretch.at(i as f64 / count) - centre) * out
        })
        .collect()
}

/// Factor x for the radius of the points between the ends of an arc in `count` parts of
/// `angle` each: with two sectors between radius 1 and x and the others between x and x,
/// `sin(angle) ((count - 2) x^2 + 2 x) = count angle`.
fn outwards(angle: f64, count: f64) -> f64 {
    let wanted = count * angle / angle.sin();
    let inner = count - 2.0;
    if inner < 0.5 { wanted / 2.0 } else { ((1.0 + inner * wanted).sqrt() - 1.0) / inner }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::{Edge, disc, rect};

    fn area(points: &[Point]) -> f64 {
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).map(|(a, b)| a.cross(*b)).sum::<f64>() / 2.0
    }

    /// Closed forms: pi r^2, and w h - (4 - pi) r^2 of a rectangle with rounded corners.
    #[test]
    fn polygons_have_the_area_of_the_outline() {
        for chord_mm in [0.5, 0.05, 0.005] {
            let tolerance = Tolerance { chord_mm };
            let round = disc(20.0).unwrap();
            let found = area(&polygons(&round, &tolerance)[0]);
            assert!((found - std::f64::consts::PI * 100.0).abs() < 1e-10);
            let soft = rect(30.0, 20.0, Edge::Round(4.0)).unwrap();
            let found = area(&polygons(&soft, &tolerance)[0]);
            assert!((found - (600.0 - (4.0 - std::f64::consts::PI) * 16.0)).abs() < 1e-10);
        }
    }
}
