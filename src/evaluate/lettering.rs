//! `lettering {…}`: a text as an outline.

use super::calls::Arguments;
use super::codes;
use super::evaluator::Evaluator;
use super::ink::{Ink, OutlineValue};
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::plane::Point;
use crate::plane::letters::{HEAVIEST, LIGHTEST, LetterFault, MOST_LETTERS, Style, USUAL, inked};
use crate::quantity::{Dimension, Quantity, decimals};
use std::sync::Arc;

impl Evaluator<'_> {
    /// A text in strokes, the middle of its capitals at y = 0.
    pub fn lettering(&mut self, arguments: &Arguments) -> Value {
        let (Some(text), Some(height_mm)) = (arguments.word("text"), arguments.number("height"))
        else {
            return Value::Poison;
        };
        let text = text.to_string();
        if height_mm <= 0.0 {
            let message =
                format!("lettering wants a height above 0, this is {}", Quantity::mm(height_mm));
            return self.fail(
                Diagnostic::at(codes::LETTERING_MEASURE, arguments.place("height"), message)
                    .help("give the height of the capitals, as in 8 mm"),
            );
        }
        let weight_mm = match arguments.get("weight") {
            Some(Value::Quantity(q)) if q.dimension == Dimension::LENGTH => q.value,
            Some(Value::Quantity(q)) => q.value * height_mm,
            _ => USUAL * height_mm,
        };
        if !(LIGHTEST * height_mm..=HEAVIEST * height_mm).contains(&weight_mm) {
            return self.fail(unfit_weight(height_mm, weight_mm, arguments));
        }
        let stencil = matches!(arguments.get("stencil"), Some(Value::Truth(true)));
        let (outline, width_mm) = match inked(&text, Style { height_mm, weight_mm, stencil }) {
            Ok(found) => found,
            Err(fault) => return self.unlettered(fault, &text, arguments),
        };
        let start_mm = match arguments.word("align") {
            Some("left") => 0.0,
            Some("right") => -width_mm,
            _ => -width_mm / 2.0,
        };
        let placed = outline.shifted(Point::new(start_mm, -height_mm / 2.0));
        match OutlineValue::of(Ink::Fixed(placed), Dimension::LENGTH) {
            Ok(mut value) => {
                let mut attributes = arguments.attributes();
                attributes.insert("width".into(), Value::Quantity(Quantity::mm(width_mm)));
                value.attributes = Arc::new(attributes);
                Value::Outline(value)
            }
            Err(error) => self.bad_outline(arguments.callee.to(arguments.span), &error),
        }
    }

    fn unlettered(&mut self, fault: LetterFault, text: &str, arguments: &Arguments) -> Value {
        let place = arguments.place("text");
        match fault {
            LetterFault::Missing { letter, place: at } => {
                let message = format!(
                    "the alphabet has no `{}` (U+{:04X}), letter {} of \"{text}\"",
                    letter.escape_debug(),
                    u32::from(letter),
                    at + 1
                );
                self.fail(
                    Diagnostic::at(codes::UNKNOWN_LETTER, place, message)
                        .label(format!("holds `{}`", letter.escape_debug()))
                        .help(
                            "write it with Latin letters, digits and punctuation, or draw it: \
                             drawing \"sign.svg\"",
                        ),
                )
            }
            LetterFault::Blank => self.fail(
                Diagnostic::at(codes::BLANK_TEXT, place, format!("\"{text}\" shows no letter"))
                    .help("write at least one letter, or leave the lettering out with none"),
            ),
            LetterFault::TooMany { letters } => {
                let what = format!(
                    "at most {MOST_LETTERS} letters make one lettering, and here are {letters}"
                );
                self.fail(codes::too_much_work(place, &what))
            }
            LetterFault::Closed { at } => {
                let message = format!(
                    "no bridge opens the counter at ({}, {}) mm",
                    decimals(at.x, 3),
                    decimals(at.y, 3)
                );
                self.fail(
                    Diagnostic::at(codes::LETTERING_MEASURE, arguments.callee, message)
                        .help("give it a lighter weight, as in 10 %"),
                )
            }
            LetterFault::Plane(error) => {
                self.bad_outline(arguments.callee.to(arguments.span), &error)
            }
        }
    }
}

fn unfit_weight(height_mm: f64, weight_mm: f64, arguments: &Arguments) -> Diagnostic {
    let mm = Quantity::mm;
    let message = format!(
        "strokes of {} do not suit letters of {}: from {} to {} do",
        mm(weight_mm),
        mm(height_mm),
        mm(LIGHTEST * height_mm),
        mm(HEAVIEST * height_mm)
    );
    Diagnostic::at(codes::LETTERING_MEASURE, arguments.place("weight"), message).help(format!(
        "write {}, or a ratio of the height: {}",
        mm(USUAL * height_mm),
        format_args!("{} %", decimals(USUAL * 100.0, 0))
    ))
}
