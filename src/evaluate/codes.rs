//! The findings of this room: codes, and the constructors that several stages share.

use super::arithmetic::Spans;
use super::value::Value;
use crate::diagnostics::{Code, Diagnostic};
use crate::quantity::{Dimension, Quantity};
use crate::source::Span;

/// Two dimensions that do not go together.
pub const UNIT_MISMATCH: Code = Code::new("E0301", "unit-mismatch");
/// A value of another kind than wanted.
pub const WRONG_KIND: Code = Code::new("E0302", "wrong-kind");
/// A measured value where the shape is still open.
pub const MEASURED_TOO_EARLY: Code = Code::new("E0303", "measured-too-early");
/// A count that is not whole.
pub const NOT_WHOLE: Code = Code::new("E0304", "not-whole");
/// A division by zero.
pub const DIVISION_BY_ZERO: Code = Code::new("E0401", "division-by-zero");
/// A number that is not finite.
pub const NOT_FINITE: Code = Code::new("E0402", "not-finite");
/// A number outside a function's domain.
pub const OUTSIDE_DOMAIN: Code = Code::new("E0403", "outside-domain");
/// More work than any design is worth.
pub const TOO_MUCH_WORK: Code = Code::new("E0404", "too-much-work");
/// A design rule that does not hold.
pub const REQUIRE_FAILS: Code = Code::new("E0405", "require-fails");
/// A given outside what it permits.
pub const GIVEN_OUT_OF_RANGE: Code = Code::new("E0406", "given-out-of-range");
/// A value without the attribute.
pub const UNKNOWN_ATTRIBUTE: Code = Code::new("E0407", "unknown-attribute");
/// A place in a list that is not there.
pub const OUTSIDE_LIST: Code = Code::new("E0408", "outside-list");
/// An outline that cannot be.
pub const BAD_OUTLINE: Code = Code::new("E0409", "bad-outline");
/// A measure of a body that cannot be.
pub const BAD_MEASURE: Code = Code::new("E0410", "bad-measure");
/// A body whose profile is not known.
pub const CANNOT_GROW: Code = Code::new("E0411", "cannot-grow");
/// A range of a given that permits nothing.
pub const BAD_RANGE: Code = Code::new("E0412", "bad-range");
/// A field of a process that its values cannot have.
pub const BAD_PROCESS: Code = Code::new("E0413", "bad-process");
/// A measured value that nothing can tell.
pub const NOT_MEASURED: Code = Code::new("E0414", "not-measured");
/// A gap by name that is wanted before the printer is known.
pub const GAP_TOO_EARLY: Code = Code::new("E0415", "gap-too-early");
/// A fit by name without limits, or without play.
pub const BAD_FIT: Code = Code::new("E0416", "bad-fit");
/// A profile that makes no hollow body.
pub const UNFIT_PROFILE: Code = Code::new("E0430", "unfit-profile");
/// A letter that the alphabet has not.
pub const UNKNOWN_LETTER: Code = Code::new("E0420", "unknown-letter");
/// A height or weight that lettering cannot have.
pub const LETTERING_MEASURE: Code = Code::new("E0421", "lettering-measure");
/// Lettering of a text that shows nothing.
pub const BLANK_TEXT: Code = Code::new("E0422", "blank-text");
/// A drawing with something in it that is no outline.
pub const UNUSABLE_DRAWING: Code = Code::new("E0425", "unusable-in-drawing");
/// A drawing that does not follow the standard.
pub const BAD_DRAWING: Code = Code::new("E0426", "bad-drawing");
/// A drawing that paints nothing.
pub const BLANK_DRAWING: Code = Code::new("E0427", "blank-drawing");
/// A number given without a range.
pub const NO_RANGE: Code = Code::new("W0401", "no-range");
/// A tile stretched more one way than the other.
pub const TILE_STRETCHED: Code = Code::new("W0402", "tile-stretched");
/// A design without parts.
pub const NOTHING_TO_MAKE: Code = Code::new("E0501", "nothing-to-make");
/// A part without a material.
pub const NO_MATERIAL: Code = Code::new("E0502", "no-material");
/// A seat whose inlay is not on a face of the host.
pub const WRONG_HOST: Code = Code::new("E0503", "wrong-host");
/// An inlay that no seat holds.
pub const NO_SEAT: Code = Code::new("E0504", "no-seat");
/// An inlay in two seats.
pub const TWO_SEATS: Code = Code::new("E0505", "two-seats");
/// A face that cannot carry an inlay.
pub const UNFIT_FACE: Code = Code::new("E0506", "unfit-face");
/// Cells of a chart that touch at a corner only.
pub const CELLS_TOUCH: Code = Code::new("E0507", "cells-touch");
/// Fields of an inlay that do not go together.
pub const INLAY_FIELDS: Code = Code::new("E0508", "inlay-fields");
/// Easing for a pose in which it cannot work.
pub const EASE_POSE: Code = Code::new("E0509", "ease-pose");
/// A part of nothing.
pub const EMPTY_PART: Code = Code::new("E0510", "empty-part");
/// A pose on a face that is not flat.
pub const POSE_FACE: Code = Code::new("E0511", "pose-face");
/// A lid for what has no mouth.
pub const NO_MOUTH: Code = Code::new("E0512", "no-mouth");
/// A list of a plate or seat that names something else.
pub const WRONG_LIST: Code = Code::new("E0513", "wrong-list");
/// A seat with a gap and a fit.
pub const GAP_AND_FIT: Code = Code::new("E0514", "gap-and-fit");
/// A band on flat sides that does not begin anew at every corner.
pub const UNEVEN_REPEATS: Code = Code::new("E0515", "uneven-repeats");
/// A relief that goes the wrong way for its operation.
pub const RELIEF_WRONG_WAY: Code = Code::new("E0567", "relief-wrong-way");
/// A relief that cannot be laid out on its face.
pub const RELIEF_UNLAID: Code = Code::new("E0568", "relief-does-not-fit");
/// `--set` of what is no given.
pub const UNKNOWN_GIVEN: Code = Code::new("E0921", "unknown-given");
/// `--set` of a given that the chosen size fixes.
pub const GIVEN_FIXED: Code = Code::new("E0922", "given-fixed-by-size");
/// `--set` with a value that is none of the given's kind, or out of range.
pub const SET_REFUSED: Code = Code::new("E0923", "set-refused");
/// `--size` of a size that is not there.
pub const UNKNOWN_SIZE: Code = Code::new("E0924", "unknown-size");

/// Every code of this room.
pub const CODES: &[Code] = &[
    UNIT_MISMATCH,
    WRONG_KIND,
    MEASURED_TOO_EARLY,
    NOT_WHOLE,
    DIVISION_BY_ZERO,
    NOT_FINITE,
    OUTSIDE_DOMAIN,
    TOO_MUCH_WORK,
    REQUIRE_FAILS,
    GIVEN_OUT_OF_RANGE,
    UNKNOWN_ATTRIBUTE,
    OUTSIDE_LIST,
    BAD_OUTLINE,
    BAD_MEASURE,
    CANNOT_GROW,
    BAD_RANGE,
    BAD_PROCESS,
    NOT_MEASURED,
    GAP_TOO_EARLY,
    BAD_FIT,
    UNKNOWN_LETTER,
    LETTERING_MEASURE,
    BLANK_TEXT,
    UNUSABLE_DRAWING,
    BAD_DRAWING,
    BLANK_DRAWING,
    UNFIT_PROFILE,
    NO_RANGE,
    TILE_STRETCHED,
    NOTHING_TO_MAKE,
    NO_MATERIAL,
    WRONG_HOST,
    NO_SEAT,
    TWO_SEATS,
    UNFIT_FACE,
    CELLS_TOUCH,
    INLAY_FIELDS,
    EASE_POSE,
    EMPTY_PART,
    POSE_FACE,
    NO_MOUTH,
    WRONG_LIST,
    GAP_AND_FIT,
    UNEVEN_REPEATS,
    RELIEF_WRONG_WAY,
    RELIEF_UNLAID,
    UNKNOWN_GIVEN,
    GIVEN_FIXED,
    SET_REFUSED,
    UNKNOWN_SIZE,
];

/// Those that are about the command, not the text: the command was used wrongly.
pub const USAGE: &[Code] = &[UNKNOWN_GIVEN, GIVEN_FIXED, SET_REFUSED, UNKNOWN_SIZE];

/// A value with its kind: `a length, 72 mm`.
pub fn shown(value: &Value) -> String {
    match value {
        Value::Quantity(q) => format!("{}, {q}", q.dimension.spoken()),
        other => other.spoken(),
    }
}

/// Two operands of different dimensions.
pub fn mixed_units(sign: &str, a: &Value, b: &Value, spans: &Spans) -> Diagnostic {
    let finding = Diagnostic::at(
        UNIT_MISMATCH,
        spans[0],
        format!(
            "`{sign}` wants two alike: the left side is {}, the right side {}",
            shown(a),
            shown(b)
        ),
    )
    .and_at(spans[1], a.spoken())
    .and_at(spans[2], b.spoken());
    match (a, b) {
        (Value::Quantity(x), Value::Quantity(y)) => finding.help(match_help(*x, *y)),
        _ => finding.help("give both sides the same unit"),
    }
}

fn match_help(a: Quantity, b: Quantity) -> String {
    let plain = |q: Quantity| q.dimension == Dimension::NONE;
    let (plain_one, other) = match (plain(a), plain(b)) {
        (true, false) => (a, b),
        (false, true) => (b, a),
        _ => return "give both sides the same unit".to_string(),
    };
    let with = Quantity::new(plain_one.value, other.dimension).dimension.symbol();
    let unit = if other.dimension == Dimension::ANGLE { "deg".to_string() } else { with };
    format!("write {} {unit}", crate::quantity::decimals(plain_one.value, 6))
}

/// Operands that an operator does not know.
pub fn wrong_operands(sign: &str, a: &Value, b: &Value, spans: &Spans) -> Diagnostic {
    let help = match sign {
        "join" | "less" | "meet" => "both sides must be solids, or both outlines",
        "and" | "or" => "both sides must be yes or no, as comparisons are",
        "<" | ">" | "<=" | ">=" => "compare two numbers of one unit",
        "==" | "!=" => "compare two numbers, two texts, or yes and no",
        _ => "both sides must be numbers, or points",
    };
    Diagnostic::at(
        WRONG_KIND,
        spans[0],
        format!("`{sign}` cannot take {} and {}", shown(a), shown(b)),
    )
    .and_at(spans[1], a.spoken())
    .and_at(spans[2], b.spoken())
    .help(help)
}

/// An operand that an operator does not know.
pub fn wrong_operand(sign: &str, a: &Value, span: Span) -> Diagnostic {
    Diagnostic::at(WRONG_KIND, span, format!("`{sign}` cannot take {}", shown(a)))
        .help("it takes a number or a point")
}

/// A condition that is none.
pub fn wants_truth(word: &str, value: &Value, span: Span) -> Diagnostic {
    Diagnostic::at(WRONG_KIND, span, format!("`{word}` wants yes or no, this is {}", shown(value)))
        .label(value.spoken())
        .help("compare it with something, as in `a > 2 mm`")
}

/// An argument that is no number.
pub fn wants_number(value: &Value, span: Span) -> Diagnostic {
    Diagnostic::at(WRONG_KIND, span, format!("a number is wanted here, this is {}", shown(value)))
        .label(value.spoken())
        .help("write a number with its unit, as in 2 mm")
}

/// A value of the wrong dimension for `what`.
pub fn wants_dimension(what: &str, wants: Dimension, value: &Value, span: Span) -> Diagnostic {
    let finding = Diagnostic::at(
        UNIT_MISMATCH,
        span,
        format!("{what} wants {}, this is {}", wants.spoken(), value.spoken()),
    )
    .label(value.spoken());
    let Value::Quantity(q) = value else { return finding.help("give it in the right unit") };
    finding.help(dimension_help(wants, *q))
}

fn dimension_help(wants: Dimension, found: Quantity) -> String {
    let number = match found.dimension {
        Dimension::ANGLE => found.value.to_degrees(),
        _ => found.value,
    };
    let number = crate::quantity::decimals(number, 6);
    match wants {
        Dimension::ANGLE => format!("write {number} deg"),
        Dimension::NONE => format!("write {number} without a unit"),
        Dimension::VOLUME => format!("write {number} ml"),
        Dimension::LENGTH if found.dimension == Dimension::ANGLE => {
            format!(
                "write {number} mm, or say arc_length(radius, {number} deg) if an angle was meant"
            )
        }
        other => format!("write {number} {}", other.symbol()),
    }
}

/// A measured value where the shape is still open.
pub fn measured_too_early(span: Span, what: &str) -> Diagnostic {
    Diagnostic::at(
        MEASURED_TOO_EARLY,
        span,
        format!("{what} depends on what is measured on the finished bodies, and is wanted before"),
    )
    .help(
        "measured values may stand in `require` and `note`; compute the shape from givens and lets",
    )
}

/// A division by zero.
pub fn division_by_zero(spans: &Spans) -> Diagnostic {
    let finding = Diagnostic::at(DIVISION_BY_ZERO, spans[0], "this divides by zero");
    match spans.get(2) {
        Some(span) => finding.and_at(*span, "this is 0"),
        None => finding,
    }
    .help("keep the divisor away from 0, with a `require` or an `if`")
}

/// A number that is not finite.
pub fn not_finite(span: Span) -> Diagnostic {
    Diagnostic::at(NOT_FINITE, span, "this gives a number too large to work with")
        .help("check the values that go in")
}

/// A number outside a function's domain.
pub fn outside_domain(word: &str, value: Quantity, wants: &str, span: Span) -> Diagnostic {
    Diagnostic::at(OUTSIDE_DOMAIN, span, format!("`{word}` wants a value {wants}, this is {value}"))
        .help("check the values that go in")
}

/// A square root whose dimension is none.
pub fn no_root(value: Quantity, span: Span) -> Diagnostic {
    let value = Value::Quantity(value);
    Diagnostic::at(
        UNIT_MISMATCH,
        span,
        format!("the square root of {} has no unit", value.spoken()),
    )
    .label(value.spoken())
    .help("give it an area or a plain number")
}

/// A value that cannot be printed into a text.
pub fn not_in_text(value: &Value, span: Span) -> Diagnostic {
    Diagnostic::at(WRONG_KIND, span, format!("{} cannot stand in a text", value.spoken()))
        .help("a text takes numbers, texts, yes and no")
}

/// More work than any design is worth; `what` says the limit and what was asked.
pub fn too_much_work(span: Span, what: &str) -> Diagnostic {
    Diagnostic::at(TOO_MUCH_WORK, span, what)
        .help("make the design smaller: fewer copies, shorter lists")
}
