//! Placement: `at`, `raised`, `spun`, `mirrored`, `grown`.

use super::arithmetic::Spans;
use super::codes;
use super::coerce::{lengths, pair};
use super::evaluator::{Evaluator, Scope};
use super::ink::Move;
use super::value::{LineValue, Value};
use crate::diagnostics::Diagnostic;
use crate::model::Placement;
use crate::plane::Point;
use crate::quantity::{Dimension, Quantity};
use crate::source::Span;
use crate::syntax::{Axis, Expr, ExprKind, Placing};
use std::sync::Arc;

/// The number of an axis: 0, 1, 2.
pub fn axis_index(axis: Axis) -> usize {
    match axis {
        Axis::X => 0,
        Axis::Y => 1,
        Axis::Z => 2,
    }
}

impl Evaluator<'_> {
    /// Placements one after another, in the order written, without going deeper.
    pub fn placings(&mut self, scope: &Scope<'_>, expr: &Expr) -> Value {
        let mut steps = Vec::new();
        let mut body = expr;
        while let ExprKind::Placed { body: inner, placing } = &body.kind {
            steps.push((&**placing, body.span));
            body = inner;
        }
        let mut value = self.eval(scope, body);
        for (placing, span) in steps.into_iter().rev() {
            value = self.place(scope, value, placing, span);
        }
        value
    }

    fn place(&mut self, scope: &Scope<'_>, value: Value, placing: &Placing, span: Span) -> Value {
        if let (Value::Measured(_), _) = (&value, placing) {
            return self.fail(codes::measured_too_early(span, "what is placed here"));
        }
        match placing {
            Placing::At(to) => {
                let by = self.eval(scope, to);
                self.at(&value, &by, to.span, span)
            }
            Placing::Raised(by) => {
                match self.argument_number(scope, "raised", Dimension::LENGTH, by) {
                    Some(height) => {
                        self.solid_moved(&value, &Placement::shifted([0.0, 0.0, height]), span)
                    }
                    None => Value::Poison,
                }
            }
            Placing::Grown(by) => match self.argument_number(scope, "grown", Dimension::LENGTH, by)
            {
                Some(by_mm) => self.grow(&value, by_mm, span),
                None => Value::Poison,
            },
            Placing::Spun { by, about } => {
                match self.argument_number(scope, "spun", Dimension::ANGLE, by) {
                    Some(angle) => self.spin(&value, angle, *about, span),
                    None => Value::Poison,
                }
            }
            Placing::Mirrored { along } => self.mirror(&value, *along, span),
        }
    }

    /// The number that stands behind a word of placement.
    pub fn argument_number(
        &mut self,
        scope: &Scope<'_>,
        word: &str,
        wants: Dimension,
        expr: &Expr,
    ) -> Option<f64> {
        let kind = crate::resolve::Kind::Number(wants);
        self.argument(scope, word, &kind, expr).number(wants)
    }

    fn at(&mut self, value: &Value, by: &Value, by_span: Span, span: Span) -> Value {
        match (value, by) {
            (Value::Poison, _) | (_, Value::Poison) => Value::Poison,
            (Value::Quantity(length), Value::Quantity(angle))
                if length.dimension == Dimension::LENGTH && angle.dimension == Dimension::ANGLE =>
            {
                Value::LengthAt { length_mm: length.value, angle_rad: angle.value }
            }
            (Value::Outline(outline), Value::Point(_)) => match pair(by) {
                Some(([x, y], d)) if d == outline.dimension || outline.outline_is_empty() => {
                    Value::Outline(outline.moved(Move::Shift(Point::new(x, y))))
                }
                Some((_, d)) => {
                    let spans: Spans = Arc::from([span, span, by_span]);
                    let a = Value::Quantity(Quantity::new(0.0, outline.dimension));
                    let b = Value::Quantity(Quantity::new(0.0, d));
                    self.fail(codes::mixed_units("at", &a, &b, &spans))
                }
                None => self.fail(wrong_place("an outline moves by a point of two", by_span)),
            },
            (Value::Line(line), Value::Point(_)) => match pair(by) {
                Some(([x, y], d)) if d == line.dimension => {
                    moved_line(line, Move::Shift(Point::new(x, y)))
                }
                _ => self.fail(wrong_place("a path moves by a point of its own unit", by_span)),
            },
            (_, Value::Point(_)) => match lengths(by) {
                Some(shift) => self.solid_moved(value, &Placement::shifted(shift), span),
                None => self.fail(codes::wants_dimension(
                    "`at`",
                    Dimension::LENGTH,
                    &Value::Quantity(Quantity::plain(0.0)),
                    by_span,
                )),
            },
            (_, other) => {
                let message = format!("`at` wants a point, this is {}", codes::shown(other));
                self.fail(
                    Diagnostic::at(codes::WRONG_KIND, by_span, message)
                        .label(other.spoken())
                        .help("write at (10 mm, 0 mm, 5 mm)"),
                )
            }
        }
    }

    fn spin(&mut self, value: &Value, angle: f64, about: Axis, span: Span) -> Value {
        match value {
            Value::Outline(outline) if about == Axis::Z => {
                Value::Outline(outline.moved(Move::Spin(angle)))
            }
            Value::Line(line) if about == Axis::Z => moved_line(line, Move::Spin(angle)),
            Value::Outline(_) | Value::Line(_) => {
                self.fail(wrong_place("an outline can be spun about z only", span))
            }
            _ => self.solid_moved(value, &Placement::turned(axis_index(about), angle), span),
        }
    }

    fn mirror(&mut self, value: &Value, along: Axis, span: Span) -> Value {
        let flat = Move::Mirror { along_x: along == Axis::X };
        match value {
            Value::Outline(_) | Value::Line(_) if along == Axis::Z => {
                self.fail(wrong_place("an outline can be mirrored along x or y only", span))
            }
            Value::Outline(outline) => Value::Outline(outline.moved(flat)),
            Value::Line(line) => moved_line(line, flat),
            _ => self.solid_moved(value, &Placement::mirrored(axis_index(along)), span),
        }
    }

    fn solid_moved(&mut self, value: &Value, placement: &Placement, span: Span) -> Value {
        match (value, value.solid()) {
            (Value::Poison, _) => Value::Poison,
            (Value::None, _) => Value::None,
            (_, Some(solid)) => Value::Solid(Arc::new(solid.placed(placement))),
            (other, None) => {
                let message =
                    format!("only a solid can be placed here, this is {}", codes::shown(other));
                self.fail(
                    Diagnostic::at(codes::WRONG_KIND, span, message).help(
                        "outlines take at (x, y), spun and mirrored; solids take all of them",
                    ),
                )
            }
        }
    }
}

fn moved_line(line: &LineValue, by: Move) -> Value {
    Value::Line(Arc::new(LineValue { track: by.track(&line.track), dimension: line.dimension }))
}

/// A placement that an outline does not take.
pub fn wrong_place(message: &str, span: Span) -> Diagnostic {
    Diagnostic::at(codes::WRONG_KIND, span, message)
        .help("outlines lie in the plane of x and y: at (x, y), spun ANGLE, mirrored along x")
}
