//! Dimensions (ISO 129-1 as published practice): thin lines, filled arrowheads, the
//! value above the line, read from below or from the right.

use super::svg::{Anchor, Svg, lettering};
use crate::plane::Point;
use crate::quantity::decimals;

/// Height of figures, mm.
pub(super) const TEXT_MM: f64 = 2.5;

/// Length and half width of an arrowhead, mm.
const ARROW_MM: [f64; 2] = [2.5, 0.42];

/// Free space between a contour and its extension line, and how far that goes beyond
/// the dimension line, mm.
const GAP_MM: f64 = 0.7;
const BEYOND_MM: f64 = 1.4;

/// A length as a drawing writes it: mm, up to three decimals, no unit.
pub(super) fn figure(mm: f64) -> String {
    decimals(mm, 3)
}

/// A measure read off the mesh, for information only (ISO 129-1: in parentheses); facets
/// keep to the form within a hundredth, so tenths are what it can tell.
pub(super) fn auxiliary(mm: f64) -> String {
    format!("({})", decimals(mm, 1))
}

/// An arrowhead at `tip` that points along `to` (length 1).
pub(super) fn arrow(svg: &mut Svg, tip: Point, to: Point) {
    let [long, half] = ARROW_MM;
    let tail = tip - to * long;
    let corners = vec![tip, tail + to.left() * half, tail - to.left() * half];
    svg.polygons(&[corners], true, "class=\"solid\"");
}

/// A dimension between two points, its line through `line` in the direction `along`
/// (length 1, to the right or upwards).
pub(super) fn linear(svg: &mut Svg, [a, b]: [Point; 2], line: Point, along: Point, text: &str) {
    let foot = |p: Point| line + along * (p - line).dot(along);
    let (mut a, mut b) = (a, b);
    if (b - a).dot(along) < 0.0 {
        (a, b) = (b, a);
    }
    let (from, to) = (foot(a), foot(b));
    svg.open("thin");
    for (p, end) in [(a, from), (b, to)] {
        let out = end - p;
        if out.length() > GAP_MM {
            let way = out.unit();
            svg.stroke(p + way * GAP_MM, end + way * BEYOND_MM, "");
        }
    }
    let length = from.distance(to);
    let width = lettering(text, TEXT_MM).width_mm;
    let fits = length > width + 1.0 && length > 3.0 * ARROW_MM[0];
    if fits {
        svg.stroke(from, to, "");
        arrow(svg, from, -along);
        arrow(svg, to, along);
    } else {
        // Arrows from outside, the figure beyond the second one.
        let out = 2.0 * ARROW_MM[0];
        svg.stroke(from - along * out, to + along * (out + width), "");
        arrow(svg, from, along);
        arrow(svg, to, -along);
    }
    svg.close();
    let upright = along.y.abs() > along.x.abs();
    let middle = match fits {
        true => from + (to - from) * 0.5,
        false => to + along * (1.5 * ARROW_MM[0] + width / 2.0),
    };
    svg.text(text, middle + along.left() * 0.9, TEXT_MM, (Anchor::Middle, upright));
}

/// Half of a width that is only seen on the right of the axis: one arrow, the line ends
/// beyond the axis.
pub(super) fn half_linear(svg: &mut Svg, right: Point, line: Point, axis_x: f64, text: &str) {
    let end = Point::new(right.x, line.y);
    let start = Point::new(axis_x - 5.0, line.y);
    let way = (end - right).unit();
    svg.open("thin");
    svg.stroke(right + way * GAP_MM, end + way * BEYOND_MM, "");
    svg.stroke(start, end, "");
    arrow(svg, end, Point::new(1.0, 0.0));
    svg.close();
    let at = Point::new((axis_x + end.x) / 2.0, line.y + 0.9);
    svg.text(text, at, TEXT_MM, (Anchor::Middle, false));
}

/// A gap too small for arrows between its sides: they point at it from outside; the
/// figure stands where the line ends.
pub(super) fn gap(svg: &mut Svg, [a, b]: [Point; 2], text: &str) {
    let along = (b - a).unit();
    let tail = 3.2 * ARROW_MM[0];
    svg.open("thin");
    svg.stroke(a - along * tail, a, "");
    svg.stroke(b, b + along * tail, "");
    svg.stroke(a, b, "");
    arrow(svg, a, along);
    arrow(svg, b, -along);
    svg.close();
    let width = lettering(text, TEXT_MM).width_mm;
    let end = b + along * tail;
    let at = if along.x.abs() > along.y.abs() {
        Point::new(end.x - if along.x > 0.0 { 0.0 } else { width }, end.y + 0.9)
    } else {
        Point::new(end.x + 1.0, end.y - if along.y > 0.0 { TEXT_MM } else { 0.0 })
    };
    svg.text_on_hatch(text, at, TEXT_MM);
}
