//! Patterns drawn as outlines: copies side by side, cut, their sides moved.

use super::outline::{Outline, Point};
use super::overlay::{Polygons, clipped, moved};

/// How far the straight sides of a drawn pattern may leave its arcs, mm: half of what
/// the surface itself is given.
pub const INK_SAGITTA_MM: f64 = 0.005;

/// Points nearer to each other are one, mm: moving sides makes many of them, and they
/// would only make thin triangles.
const DOUBLE_MM: f64 = 1e-5;

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
        true => 10.0 * frame.by_mm.abs() / frame.squeeze + (right - left) / 2.0,
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
