//! Walls of flat sides: a band goes round all of them, a figure lies on one.

use super::calls::Arguments;
use super::codes;
use super::coerce::lengths;
use super::evaluator::Evaluator;
use super::faces::one_side;
use super::ink::OutlineValue;
use super::inlays::{Position, level};
use super::solids::FaceValue;
use crate::diagnostics::Diagnostic;
use crate::model::{Sides, Surface};
use crate::plane::Point;
use crate::source::Span;

impl Evaluator<'_> {
    /// A figure on the flat sides of a wall lies on one of them: the one at its `bearing`,
    /// else in the middle of the first, where it reads as it is drawn.
    pub fn on_side(
        &mut self,
        arguments: &Arguments,
        face: &FaceValue,
        wall: &Surface,
        sides: Sides,
        zero: f64,
        figure: &OutlineValue,
    ) -> Option<(Surface, Position)> {
        let Surface::Round { radius_mm, slope, span_mm, .. } = wall else { return None };
        let long = (1.0 + slope * slope).sqrt();
        let first = sides.start_rad() + sides.turn_rad() / 2.0;
        let angle = match arguments.get("bearing") {
            Some(_) => self.bearing(arguments, wall)?,
            None => first,
        };
        let [low, high] = drawn_box(arguments, figure).unwrap_or([Point::default(); 2]);
        let level_mm = match arguments.get("at").and_then(lengths) {
            Some([_, v, _]) => (span_mm[0] + span_mm[1]) / 2.0 * long + v,
            None => level(arguments, wall, zero, *span_mm) * long,
        };
        let reach = [low.y, high.y].map(|y| (level_mm + y) / long);
        let side = one_side(wall, &face.leaf, angle, reach);
        if arguments.get("at").is_some() {
            // Its own words and measures are those of any flat face.
            let position = self.figure_position(arguments, &side, zero)?;
            return Some((side, position));
        }
        let aside = (angle - sides.middle_rad(angle)).tan();
        let Surface::Flat { right, .. } = &side else { return None };
        let middle = sides.middle_rad(angle);
        let sense = right[1] * middle.cos() - right[0] * middle.sin();
        let bearing = (radius_mm + slope * level_mm / long) * aside * sense;
        Some((side, Position { level_mm, bearing }))
    }
}

/// A place on a wall, turned on by an angle round the axis.
pub fn turned(sides: Option<Sides>, from: f64, by_rad: f64) -> f64 {
    match sides {
        Some(_) if by_rad == 0.0 => from,
        Some(sides) => sides.place_rad(sides.angle_rad(from) + by_rad),
        None => from + by_rad,
    }
}

/// The box of a figure as it is spun.
fn drawn_box(arguments: &Arguments, figure: &OutlineValue) -> Option<[Point; 2]> {
    let outline = figure.outline.as_ref()?;
    match arguments.number("spun") {
        Some(angle) => outline.spun(angle).bounds(),
        None => outline.bounds(),
    }
}

/// A band that does not begin anew at every corner.
pub fn uneven_repeats(span: Span, repeats: u32, sides: Sides) -> Diagnostic {
    let count = sides.count();
    let (less, more) = (repeats / count * count, repeats.div_ceil(count) * count);
    let offer = match less {
        0 => format!("{more}"),
        less => format!("{less} or {more}"),
    };
    Diagnostic::at(
        codes::UNEVEN_REPEATS,
        span,
        format!("{repeats} repeats do not divide evenly among {count} flat sides"),
    )
    .help(format!("say repeats: {offer}: a repeat begins at every corner"))
    .fact("repeats", f64::from(repeats), "")
    .fact("facets", f64::from(count), "")
}
