//! A motif's single repeat as an outline of the language, at true size.

use crate::model::{Body, Inlay, Leaf, Pattern, Surface};
use crate::plane::{Outline, Point};
use crate::quantity::decimals;

/// Arcs are told as chords that leave them by no more than this, mm.
const CHORD_MM: f64 = 0.01;

/// One repeat: its width and how it is written.
pub struct Figure {
    pub width_mm: f64,
    pub text: String,
}

/// The figure of an inlay, its middle on (0, 0); none where nothing is drawn.
pub fn of(inlay: &Inlay) -> Option<Figure> {
    match &inlay.pattern {
        Pattern::Chart { rows, repeats } => {
            let width_mm = length_mm(inlay) / f64::from((*repeats).max(1));
            Some(Figure { width_mm, text: chart(rows, width_mm, inlay.height_mm)? })
        }
        Pattern::Tile { ink, width_mm, .. } => {
            let ink = outline(ink)?;
            let [width, height] = [*width_mm, inlay.height_mm].map(number);
            // What runs out at one side comes in at the other; above and below it is cut.
            let text = format!(
                "(joined([\n  {ink} at (x, 0 mm)\n  each x in [-{width} mm, 0 mm, {width} mm]\n]) \
                 at (-{half} mm, 0 mm)) meet rect {{ size: ({width} mm, {height} mm) }}",
                half = number(width_mm / 2.0)
            );
            Some(Figure { width_mm: *width_mm, text })
        }
        Pattern::Figure { ink } => {
            let [low, high] = ink.bounds()?;
            Some(Figure { width_mm: high.x - low.x, text: outline(ink)? })
        }
    }
}

/// Length of the face that the pattern fills, mm.
fn length_mm(inlay: &Inlay) -> f64 {
    match &inlay.surface {
        Surface::Flat { width_mm, .. } => width_mm[1] - width_mm[0],
        _ => std::f64::consts::TAU * inlay.reference_radius_mm().unwrap_or(0.0),
    }
}

/// Every run of marks as a rectangle.
fn chart(rows: &[Vec<bool>], width_mm: f64, height_mm: f64) -> Option<String> {
    let columns = rows.first()?.len().max(1) as f64;
    let (wide, high) = (width_mm / columns, height_mm / rows.len() as f64);
    let mut runs = Vec::new();
    for (line, row) in rows.iter().enumerate() {
        let y = height_mm / 2.0 - (line as f64 + 0.5) * high;
        let mut from = None;
        for (column, mark) in row.iter().copied().chain([false]).enumerate() {
            match (mark, from) {
                (true, None) => from = Some(column),
                (false, Some(first)) => {
                    let middle = (first + column) as f64 / 2.0 * wide - width_mm / 2.0;
                    let run = (column - first) as f64 * wide;
                    runs.push(format!(
                        "  rect {{ size: ({} mm, {} mm) }} at ({} mm, {} mm)",
                        number(run),
                        number(high),
                        number(middle),
                        number(y)
                    ));
                    from = None;
                }
                _ => {}
            }
        }
    }
    (!runs.is_empty()).then(|| format!("joined([\n{}\n])", runs.join(",\n")))
}

/// Loops as polygons, those that run clockwise taken away.
fn outline(ink: &Outline) -> Option<String> {
    let (mut filled, mut holes) = (Vec::new(), Vec::new());
    for points in ink.flattened(CHORD_MM) {
        let text = polygon(&points);
        if area(&points) > 0.0 { filled.push(text) } else { holes.push(text) }
    }
    if filled.is_empty() {
        return None;
    }
    let filled = format!("joined([{}])", filled.join(", "));
    Some(match holes.is_empty() {
        true => filled,
        false => format!("({filled} less joined([{}]))", holes.join(", ")),
    })
}

fn polygon(points: &[Point]) -> String {
    let points: Vec<String> =
        points.iter().map(|p| format!("({} mm, {} mm)", number(p.x), number(p.y))).collect();
    format!("polygon {{ points: [{}] }}", points.join(", "))
}

/// Twice the area of a polygon, above 0 where it runs anticlockwise.
fn area(points: &[Point]) -> f64 {
    let next = points.iter().cycle().skip(1);
    points.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum()
}

fn number(value: f64) -> String {
    decimals(value, 5)
}

/// The radius of the face `skirt` of a lid, mm: told by its name in the lid's profile.
pub fn skirt_radius_mm(body: &Body) -> Option<f64> {
    match body {
        Body::Leaf(Leaf::Turned(turned)) => {
            let segments = turned.outline.loops.iter().flat_map(|track| &track.segments);
            let mut skirt = segments.filter(|s| s.face.as_deref() == Some("skirt"));
            skirt.next().map(|segment| segment.to.x)
        }
        Body::Placed { body, .. } => skirt_radius_mm(body),
        Body::Boolean { left, right, .. } => {
            skirt_radius_mm(left).or_else(|| skirt_radius_mm(right))
        }
        Body::Many(all) => all.iter().find_map(|body| skirt_radius_mm(body)),
        Body::Empty | Body::Leaf(_) => None,
    }
}
