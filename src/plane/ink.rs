//! Patterns drawn as outlines: copies side by side, cut, their sides moved.

use super::outline::{Outline, Point};
use super::overlay::{Polygons, clipped, moved};

/// How far the straight sides of a drawn pattern may leave its arcs, mm: half of what
/// the surface itself is given.
pub const INK_SAGITTA_MM: f64 = 0.005;

/// Points nearer to each other are one, mm: moving sides makes many of them, and they
/// would only make thin triangles.
const DOUBLE_MM: f64 = 1e-5;

/// Corners nearer to the line between their neighbours are none, mm.
const STRAIGHT_MM: f64 = 1e-5;

/// How a drawn pattern becomes a region of the developed plane. Lengths in mm of the
/// drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InkFrame {
    /// Distance between copies, as many as reach into the window; none for one.
    pub pitch_mm: Option<f64>,
    /// Lowest and highest x of the window; may be infinite.
    pub window_x: [f64; 2],
    /// What is drawn beyond these y is cut off; may be infinite.
    pub window_y: [f64; 2],
    /// Whether the pattern goes on beyond the window, which then is only looked
    /// through; else it ends there, and the ends move with the other sides.
    pub endless: bool,
    /// Factor by which x is squeezed in the plane in which sides are moved: least
    /// radius over radius of the drawing.
    pub squeeze: f64,
    /// How far sides move out of the material, mm.
    pub by_mm: f64,
}

/// The polygons of a drawn pattern.
pub fn ink_polygons(ink: &Outline, frame: &InkFrame) -> Vec<Vec<Point>> {
    let Some([low, high]) = ink.bounds() else { return Vec::new() };
    let flat = ink.flattened(INK_SAGITTA_MM);
    let [left, right] = frame.window_x;
    // Far enough beyond the window that its ends do not reach back into it.
    let margin = match frame.endless {
        true => 10.0 * frame.by_mm.abs() / frame.squeeze,
        false => 0.0,
    };
    let copies = match frame.pitch_mm {
        None => 0..=0,
        Some(pitch) => {
            let first = ((left - margin - high.x) / pitch).ceil() as i64;
            let last = ((right + margin - low.x) / pitch).floor() as i64;
            first..=last
        }
    };
    let mut region: Polygons = Vec::new();
    for copy in copies {
        let shift = frame.pitch_mm.unwrap_or(0.0) * copy as f64;
        let place = |p: &Point| Point::new((p.x + shift) * frame.squeeze, p.y);
        region.extend(flat.iter().map(|polygon| polygon.iter().map(place).collect()));
    }
    let squeezed = |x: f64, y: f64| Point::new(x * frame.squeeze, y);
    let [bottom, top] = frame.window_y;
    let wide = [squeezed(left - margin, bottom), squeezed(right + margin, top)];
    region = clipped(&region, wide);
    if frame.by_mm != 0.0 {
        region = region.iter().map(|polygon| straightened(polygon)).collect();
        region = moved(&region, frame.by_mm);
    }
    if frame.endless {
        let window = [squeezed(left, f64::NEG_INFINITY), squeezed(right, f64::INFINITY)];
        region = clipped(&region, window);
    }
    let unsqueezed = |p: &Point| Point::new(p.x / frame.squeeze, p.y);
    let polygons = region.iter().map(|polygon| polygon.iter().map(unsqueezed).collect());
    polygons.map(|polygon: Vec<Point>| without_doubles(&polygon)).filter(|p| p.len() > 2).collect()
}

/// Without corners that lie within [`STRAIGHT_MM`] of the line between their neighbours.
/// Copies that overlap leave sides there far shorter than that, which point anywhere: moving
/// them would throw out spikes.
fn straightened(polygon: &[Point]) -> Vec<Point> {
    let mut kept = without_doubles(polygon);
    loop {
        let before = kept.len();
        let mut next: Vec<Point> = Vec::with_capacity(before);
        for (i, point) in kept.iter().enumerate() {
            let from = next.last().copied().unwrap_or(kept[before - 1]);
            // Round the end: to what is left of the start, or both could leave each other out.
            let start = next.first().copied().unwrap_or(kept[0]);
            let to = kept.get(i + 1).copied().unwrap_or(start);
            let off = (to - from).cross(*point - from).abs() / (to - from).length().max(DOUBLE_MM);
            if off > STRAIGHT_MM {
                next.push(*point);
            }
        }
        kept = without_doubles(&next);
        if kept.len() == before || kept.len() < 3 {
            return kept;
        }
    }
}

fn without_doubles(polygon: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(polygon.len());
    for point in polygon {
        if kept.last().is_none_or(|last| last.distance(*point) > DOUBLE_MM) {
            kept.push(*point);
        }
    }
    while kept.len() > 1 && kept[0].distance(kept[kept.len() - 1]) <= DOUBLE_MM {
        kept.pop();
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::{Corners, Curve, Ends, Segment, Side, Track, stroke};
    use std::f64::consts::TAU;

    /// The tip of a bow has two corners nearer to each other than matters; one of them stays,
    /// wherever the polygon starts.
    #[test]
    fn a_blunt_tip_stays() {
        let p = Point::new;
        let bow = [p(0.0, 0.0), p(0.02, 0.3), p(0.02, -0.3002), p(0.0, -0.0001)];
        for start in 0..bow.len() {
            let mut turned = bow;
            turned.rotate_left(start);
            let left = straightened(&turned).iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
            assert!(left < 1e-5, "{start}: {left}");
        }
    }

    /// A wave whose ends lie on the next copies, its corners rounded: the copies' arcs are cut
    /// into chords differently, so their union is full of tiny sides. Moved inwards it must
    /// stay one band; its area falls in proportion to the move (Steiner's formula, from
    /// memory; the curvature of a band's two sides cancels).
    #[test]
    fn overlapping_copies_move_as_one() {
        for corners in [Corners::Round, Corners::Mitre] {
            let at = |i: usize| {
                let t = i as f64 / 48.0;
                Point::new(6.8 * (1.5 * t - 0.25), 4.3 * (TAU * 1.5 * t).sin())
            };
            let to = |i| Segment { to: at(i), curve: Curve::Line, face: None };
            let track = Track { start: at(0), segments: (1..=48).map(to).collect() };
            let ink = stroke(&track, 1.5, Side::Middle, Ends::Flat, corners).unwrap();
            let area = |by_mm: f64| {
                let frame = InkFrame {
                    pitch_mm: Some(6.8),
                    window_x: [0.0, 6.8],
                    window_y: [-8.0, 8.0],
                    endless: true,
                    squeeze: 0.97,
                    by_mm,
                };
                let polygons = ink_polygons(&ink, &frame);
                assert_eq!(polygons.len(), 1, "{corners:?} {by_mm}");
                let p = &polygons[0];
                (0..p.len()).map(|i| p[i].cross(p[(i + 1) % p.len()])).sum::<f64>() / 2.0
            };
            let whole = area(0.0);
            let lost = [0.001, 0.1, 0.2].map(|by| (whole - area(-by)) / by);
            assert!((lost[1] / lost[0] - 1.0).abs() < 0.03, "{corners:?} {lost:?}");
            assert!((lost[2] / lost[0] - 1.0).abs() < 0.03, "{corners:?} {lost:?}");
        }
    }
}
