//! A value for a parameter: checked against its kind, with the field's name in the
//! finding.

use super::codes;
use super::evaluator::{Evaluator, Scope};
use super::ink::OutlineValue;
use super::solids::SolidValue;
use super::value::{EdgeValue, Value, is_coordinate, whole};
use crate::diagnostics::Diagnostic;
use crate::plane::Edge;
use crate::quantity::{Dimension, Quantity, decimals};
use crate::resolve::Kind;
use crate::source::Span;
use crate::syntax::Expr;
use std::sync::Arc;

impl Evaluator<'_> {
    /// The value of an argument, as its parameter wants it.
    pub fn argument(&mut self, scope: &Scope<'_>, name: &str, kind: &Kind, expr: &Expr) -> Value {
        let value = self.eval_as(scope, expr, kind);
        self.coerced(name, kind, value, expr.span)
    }

    /// The value as a parameter of this kind wants it.
    pub fn coerced(&mut self, name: &str, kind: &Kind, value: Value, span: Span) -> Value {
        let what = format!("`{name}`");
        if value.is_poison() {
            return Value::Poison;
        }
        if let Value::Measured(_) = &value {
            return self.fail(codes::measured_too_early(span, &what));
        }
        if let (Kind::Gap, Value::Text(word)) = (kind, &value)
            && kind.has_word(word)
        {
            return self.gap_called(word, span);
        }
        if value.is_of(kind) {
            return self.adapted(kind, value);
        }
        let finding = misfit(&what, kind, &value, span);
        self.fail(finding)
    }

    /// `none` as the thing that it stands for, a part as its body.
    fn adapted(&self, kind: &Kind, value: Value) -> Value {
        match (kind, value) {
            (Kind::Solid, Value::Part(part)) => Value::Solid(part.solid.clone()),
            (Kind::Solid, Value::None) => Value::Solid(Arc::new(SolidValue::empty())),
            (Kind::Outline | Kind::Ink, Value::None) => Value::Outline(OutlineValue::empty()),
            (Kind::Corner, Value::Quantity(q)) => {
                let edge = if q.value == 0.0 { Edge::None } else { Edge::Round(q.value) };
                Value::Edge(EdgeValue { edge, dimension: q.dimension })
            }
            (Kind::Edge | Kind::Corner, Value::None) => {
                Value::Edge(EdgeValue { edge: Edge::None, dimension: Dimension::LENGTH })
            }
            (Kind::Count, Value::Quantity(q)) => {
                let exact = whole(q).map_or(q.value, |n| n as f64);
                Value::Quantity(Quantity::plain(exact))
            }
            (_, value) => value,
        }
    }
}

fn misfit(what: &str, kind: &Kind, value: &Value, span: Span) -> Diagnostic {
    match (kind, value) {
        (Kind::Number(wants), Value::Quantity(_)) => {
            codes::wants_dimension(what, *wants, value, span)
        }
        (
            Kind::Coordinate
            | Kind::Slit
            | Kind::Corner
            | Kind::Weight
            | Kind::Gap
            | Kind::Tolerance,
            Value::Quantity(_),
        ) => codes::wants_dimension(what, Dimension::LENGTH, value, span),
        (Kind::Ease | Kind::Bearing, Value::Quantity(_)) => {
            codes::wants_dimension(what, Dimension::ANGLE, value, span)
        }
        (Kind::Count, Value::Quantity(q)) if q.dimension == Dimension::NONE => {
            not_whole(what, q.value, span)
        }
        (Kind::Count, Value::Quantity(_)) => {
            codes::wants_dimension(what, Dimension::NONE, value, span)
        }
        (Kind::Outline, Value::Outline(_)) | (Kind::Path, Value::Line(_)) => Diagnostic::at(
            codes::UNIT_MISMATCH,
            span,
            format!("{what} wants {} in lengths, this one is in plain numbers", kind.spoken()),
        )
        .label(format!("{} in tile units", kind.spoken()))
        .help("give its points units, as in (5 mm, 1 mm)"),
        _ => wrong_kind(what, kind, value, span),
    }
}

fn wrong_kind(what: &str, kind: &Kind, value: &Value, span: Span) -> Diagnostic {
    let found = match value {
        Value::Text(text) => format!("the text \"{text}\""),
        other => codes::shown(other),
    };
    let finding = Diagnostic::at(
        codes::WRONG_KIND,
        span,
        format!("{what} wants {}, this is {found}", kind.spoken()),
    )
    .label(value.spoken());
    let words = kind.words();
    match kind.example() {
        Some(example) => finding.help(format!("write {example}")),
        None if words.is_empty() => finding.help(format!("give it {}", kind.spoken())),
        None => finding.help(format!("write one of {}", words.join(", "))),
    }
}

/// A count that is not whole.
pub fn not_whole(what: &str, value: f64, span: Span) -> Diagnostic {
    Diagnostic::at(
        codes::NOT_WHOLE,
        span,
        format!("{what} wants a whole number, this is {}", decimals(value, 6)),
    )
    .help(format!("write {}, or round(x, 1)", decimals(value.round(), 0)))
}

/// Two coordinates of a point, with their dimension.
pub fn pair(value: &Value) -> Option<([f64; 2], Dimension)> {
    match value {
        Value::Point(p) => match p.coordinates.as_slice() {
            [x, y] if is_coordinate(p.dimension) => Some(([*x, *y], p.dimension)),
            _ => None,
        },
        _ => None,
    }
}

/// Two or three lengths of a point; the third is 0 where there is none.
pub fn lengths(value: &Value) -> Option<[f64; 3]> {
    match value {
        Value::Point(p) if p.dimension == Dimension::LENGTH => match p.coordinates.as_slice() {
            [x, y] => Some([*x, *y, 0.0]),
            [x, y, z] => Some([*x, *y, *z]),
            _ => None,
        },
        _ => None,
    }
}
