//! Basic shapes (SVG 1.1, chapter 9) and paths as runs.

use super::bends::{Bend, Run};
use super::elements::tag;
use super::numbers::{length, list};
use super::path::runs;
use super::sheet::malformed;
use super::{Fault, Kind};
use crate::plane::Point;
use roxmltree::Node;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// What an element draws; none where it is no shape.
pub(super) fn of(node: Node<'_, '_>) -> Result<Option<Vec<Run>>, Fault> {
    Ok(Some(match node.tag_name().name() {
        "path" => path(node)?,
        "rect" => rect(node)?,
        "circle" => {
            let radius = measure(node, "r")?.unwrap_or(0.0);
            ellipse(node, [radius; 2])?
        }
        "ellipse" => {
            let radii = [measure(node, "rx")?, measure(node, "ry")?].map(|r| r.unwrap_or(0.0));
            ellipse(node, radii)?
        }
        "line" => {
            let [x1, y1, x2, y2] = ["x1", "y1", "x2", "y2"].map(|name| place(node, name));
            let to = Point::new(x2?, y2?);
            vec![Run { start: Point::new(x1?, y1?), bends: vec![Bend::Line(to)], closed: false }]
        }
        "polyline" => points(node, false)?,
        "polygon" => points(node, true)?,
        _ => return Ok(None),
    }))
}

fn path(node: Node<'_, '_>) -> Result<Vec<Run>, Fault> {
    let Some(attribute) = node.attribute_node("d") else { return Ok(Vec::new()) };
    runs(attribute.value()).map_err(|bad| {
        let whole = attribute.range_value();
        // Entities make the value shorter than what stands there.
        let from = (whole.start + bad.at).min(whole.end);
        let at = from..(from + 1).min(whole.end.max(from));
        Fault::new(Kind::Malformed, format!("path data: {}", bad.what), at)
    })
}

/// A coordinate, 0 where it is missing.
fn place(node: Node<'_, '_>, name: &str) -> Result<f64, Fault> {
    let Some(attribute) = node.attribute_node(name) else { return Ok(0.0) };
    length(attribute.value()).ok_or_else(|| malformed(&attribute, "a length, no percentage"))
}

/// A length that is not below 0.
fn measure(node: Node<'_, '_>, name: &str) -> Result<Option<f64>, Fault> {
    let Some(attribute) = node.attribute_node(name).filter(|a| a.value().trim() != "auto") else {
        return Ok(None);
    };
    let value = length(attribute.value()).filter(|v| *v >= 0.0);
    value.map(Some).ok_or_else(|| malformed(&attribute, "a length of 0 or more, no percentage"))
}

/// Nothing where a side is 0: the standard does not draw it.
fn rect(node: Node<'_, '_>) -> Result<Vec<Run>, Fault> {
    let (x, y) = (place(node, "x")?, place(node, "y")?);
    let sides = [measure(node, "width")?, measure(node, "height")?].map(|v| v.unwrap_or(0.0));
    let [w, h] = sides;
    if w == 0.0 || h == 0.0 {
        return Ok(Vec::new());
    }
    let (rx, ry) = (measure(node, "rx")?, measure(node, "ry")?);
    let rx0 = rx.or(ry).unwrap_or(0.0).min(w / 2.0);
    let ry0 = ry.or(rx).unwrap_or(0.0).min(h / 2.0);
    let at = Point::new;
    let mut bends = Vec::new();
    if rx0 == 0.0 || ry0 == 0.0 {
        bends.extend([at(x + w, y), at(x + w, y + h), at(x, y + h)].map(Bend::Line));
        return Ok(vec![Run { start: at(x, y), bends, closed: true }]);
    }
    let corner = |cx: f64, cy: f64, start: f64, to: Point| Bend::Arc {
        centre: at(cx, cy),
        radii: [rx0, ry0],
        turn: 0.0,
        start,
        sweep: FRAC_PI_2,
        to,
    };
    let (left, right, low, high) = (x + rx0, x + w - rx0, y + ry0, y + h - ry0);
    bends.push(Bend::Line(at(right, y)));
    bends.push(corner(right, low, -FRAC_PI_2, at(x + w, low)));
    bends.push(Bend::Line(at(x + w, high)));
    bends.push(corner(right, high, 0.0, at(right, y + h)));
    bends.push(Bend::Line(at(left, y + h)));
    bends.push(corner(left, high, FRAC_PI_2, at(x, high)));
    bends.push(Bend::Line(at(x, low)));
    bends.push(corner(left, low, PI, at(left, y)));
    Ok(vec![Run { start: at(left, y), bends, closed: true }])
}

fn ellipse(node: Node<'_, '_>, radii: [f64; 2]) -> Result<Vec<Run>, Fault> {
    let centre = Point::new(place(node, "cx")?, place(node, "cy")?);
    if radii.contains(&0.0) {
        return Ok(Vec::new());
    }
    let start = centre + Point::new(radii[0], 0.0);
    let round = Bend::Arc { centre, radii, turn: 0.0, start: 0.0, sweep: TAU, to: start };
    Ok(vec![Run { start, bends: vec![round], closed: true }])
}

fn points(node: Node<'_, '_>, closed: bool) -> Result<Vec<Run>, Fault> {
    let Some(attribute) = node.attribute_node("points") else { return Ok(Vec::new()) };
    let Some(numbers) = list(attribute.value()).filter(|n| n.len() % 2 == 0) else {
        return Err(malformed(&attribute, "pairs of numbers"));
    };
    let mut points = numbers.chunks_exact(2).map(|pair| Point::new(pair[0], pair[1]));
    let Some(start) = points.next() else {
        return Err(Fault::new(Kind::Malformed, "`points` holds no point", tag(node)));
    };
    Ok(vec![Run { start, bends: points.map(Bend::Line).collect(), closed }])
}
