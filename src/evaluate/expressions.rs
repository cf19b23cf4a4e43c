//! Expressions to values.

use super::arithmetic::{Operator, Spans, apply, truth};
use super::codes;
use super::evaluator::{Evaluator, Scope};
use super::functions::FunctionBody;
use super::placing::axis_index;
use super::value::{EdgeValue, PointValue, Value, is_coordinate};
use crate::diagnostics::Diagnostic;
use crate::quantity::{Dimension, Quantity};
use crate::resolve::{Kind, Target};
use crate::source::Span;
use crate::syntax::{Binary, Expr, ExprKind, Ident, TextPiece};
use std::sync::Arc;

impl Evaluator<'_> {
    /// What an expression gives.
    pub fn eval(&mut self, scope: &Scope<'_>, expr: &Expr) -> Value {
        self.eval_as(scope, expr, &Kind::Any)
    }

    /// What an expression gives where bare words of `kind` are words. The value is not
    /// yet checked against the kind.
    pub fn eval_as(&mut self, scope: &Scope<'_>, expr: &Expr, kind: &Kind) -> Value {
        if !self.enter(expr.span) {
            return Value::Poison;
        }
        let value = self.dispatch(scope, expr, kind);
        self.leave();
        value
    }

    fn dispatch(&mut self, scope: &Scope<'_>, expr: &Expr, kind: &Kind) -> Value {
        match &expr.kind {
            ExprKind::Number { value, unit } => {
                let (factor, dimension) =
                    unit.map_or((1.0, Dimension::NONE), |(unit, _)| (unit.factor, unit.dimension));
                let found = super::arithmetic::finite(value * factor, dimension, expr.span);
                self.checked(found)
            }
            ExprKind::Colour(colour) => Value::Colour(*colour),
            ExprKind::Truth(truth) => Value::Truth(*truth),
            ExprKind::None => Value::None,
            ExprKind::Bad => Value::Poison,
            ExprKind::Paren(inner) => self.eval_as(scope, inner, kind),
            ExprKind::Name(ident) => self.name(scope, ident, kind),
            ExprKind::Text(pieces) => self.text(scope, pieces, expr.span),
            ExprKind::List(items) => self.list(scope, items, expr.span),
            ExprKind::Each { body, name, range } => self.each(scope, body, name, range),
            ExprKind::Range { low, high, step } => {
                self.range(scope, low, high, step.as_deref(), expr.span)
            }
            ExprKind::Point(items) => self.point(scope, items, expr.span),
            ExprKind::Chart(chart) => self.chart(chart, expr.span),
            ExprKind::Path(steps) => self.path(scope, steps, expr.span),
            ExprKind::Member { base, word } => self.member(scope, base, word, kind),
            ExprKind::Call { callee, args, braces } => {
                self.call(scope, callee, args, *braces, expr.span, false)
            }
            ExprKind::Prefix { word, arg } => self.prefix(scope, word, arg, expr.span),
            ExprKind::Negate(inner) => self.unary(scope, Operator::Negate, inner, expr.span),
            ExprKind::Not(inner) => self.unary(scope, Operator::Not, inner, expr.span),
            ExprKind::Binary { .. } => self.chain(scope, expr),
            ExprKind::If { condition, then, otherwise } => {
                self.branch(scope, condition, then, otherwise, kind, expr.span)
            }
            ExprKind::Copies { count, body, spread } => {
                self.copies(scope, count, body, spread, expr.span)
            }
            ExprKind::Placed { .. } => self.placings(scope, expr),
            ExprKind::Way { axis, back } => {
                let mut along = [0.0; 3];
                along[axis_index(*axis)] = if *back { -1.0 } else { 1.0 };
                Value::Way(along)
            }
        }
    }

    fn name(&mut self, scope: &Scope<'_>, ident: &Ident, kind: &Kind) -> Value {
        if kind.has_word(&ident.text) {
            return match (kind, &*ident.text) {
                (Kind::Pose, "upright") => Value::Pose(crate::model::Pose::Upright),
                (Kind::Pose, _) => Value::Pose(crate::model::Pose::UpsideDown),
                _ => Value::Text(ident.text.clone()),
            };
        }
        if let Some(value) = scope.local(&ident.text) {
            return value.clone();
        }
        match self.program.find(scope.file, &ident.text) {
            Some(Target::Declared(id)) => self.values.get(&id).cloned().unwrap_or(Value::Poison),
            Some(Target::Pi) => Value::Quantity(Quantity::plain(std::f64::consts::PI)),
            _ => Value::Poison,
        }
    }

    fn text(&mut self, scope: &Scope<'_>, pieces: &[TextPiece], span: Span) -> Value {
        if let [TextPiece::Plain(plain)] = pieces {
            return Value::Text(plain.as_str().into());
        }
        let mut values = Vec::with_capacity(pieces.len());
        let mut spans = vec![span];
        for piece in pieces {
            match piece {
                TextPiece::Plain(plain) => {
                    values.push(Value::Text(plain.as_str().into()));
                    spans.push(span);
                }
                TextPiece::Hole(hole) => {
                    values.push(self.eval(scope, hole));
                    spans.push(hole.span);
                }
            }
        }
        let found = apply(&Operator::Text, values, &spans.into());
        self.checked(found)
    }

    fn point(&mut self, scope: &Scope<'_>, items: &[Expr], span: Span) -> Value {
        let mut coordinates = Vec::new();
        let mut first: Option<(Quantity, Span)> = None;
        for item in items {
            let value = self.eval(scope, item);
            let q = match &value {
                Value::Poison => return Value::Poison,
                Value::Quantity(q) if is_coordinate(q.dimension) => *q,
                Value::Measured(_) => {
                    return self.fail(codes::measured_too_early(item.span, "this coordinate"));
                }
                other => {
                    return self.fail(codes::wants_dimension(
                        "a coordinate",
                        Dimension::LENGTH,
                        other,
                        item.span,
                    ));
                }
            };
            match first {
                None => first = Some((q, item.span)),
                Some((other, at)) if other.dimension != q.dimension => {
                    let spans: Spans = Arc::from([span, at, item.span]);
                    return self.fail(codes::mixed_units(
                        ",",
                        &Value::Quantity(other),
                        &value,
                        &spans,
                    ));
                }
                Some(_) => {}
            }
            coordinates.push(q.value);
        }
        let dimension = first.map_or(Dimension::LENGTH, |(q, _)| q.dimension);
        Value::Point(PointValue { coordinates, dimension })
    }

    /// `round 2 mm`, `bevel 1 mm`
    fn prefix(&mut self, scope: &Scope<'_>, word: &Ident, arg: &Expr, span: Span) -> Value {
        if &*word.text == "drawing" {
            return self.drawing(scope, arg);
        }
        let value = self.eval(scope, arg);
        let Some(body) = FunctionBody::find(&word.text) else { return Value::Poison };
        let spans: Spans = Arc::from([span, arg.span]);
        let found = apply(&Operator::Function(body), vec![value], &spans);
        self.checked(found)
    }

    fn unary(&mut self, scope: &Scope<'_>, op: Operator, inner: &Expr, span: Span) -> Value {
        let value = self.eval(scope, inner);
        let found = apply(&op, vec![value], &Arc::from([span, inner.span]));
        self.checked(found)
    }

    /// Operators that follow each other, from left to right without going deeper: such
    /// chains may be long.
    fn chain(&mut self, scope: &Scope<'_>, expr: &Expr) -> Value {
        let mut links = Vec::new();
        let mut first = expr;
        while let ExprKind::Binary { op, left, right, .. } = &first.kind {
            links.push((*op, first.span, &**right));
            first = left;
        }
        let mut value = self.eval(scope, first);
        let mut span = first.span;
        for (op, whole, right) in links.into_iter().rev() {
            value = self.link(scope, op, (value, span), right, whole);
            span = whole;
        }
        value
    }

    fn link(
        &mut self,
        scope: &Scope<'_>,
        op: Binary,
        (left, left_span): (Value, Span),
        right: &Expr,
        whole: Span,
    ) -> Value {
        if matches!(op, Binary::And | Binary::Or) {
            match truth_known(&left, op, left_span) {
                // The right side does not matter any more.
                Ok(Some(decided)) => return Value::Truth(decided),
                Ok(None) => {}
                Err(fault) => return self.fail(*fault),
            }
        }
        let right_value = self.eval(scope, right);
        let spans: Spans = Arc::from([whole, left_span, right.span]);
        match op {
            Binary::Join | Binary::Less | Binary::Meet => {
                self.combine(op, &left, &right_value, &spans)
            }
            _ => {
                let found = apply(&Operator::Binary(op), vec![left, right_value], &spans);
                self.checked(found)
            }
        }
    }

    fn branch(
        &mut self,
        scope: &Scope<'_>,
        condition: &Expr,
        then: &Expr,
        otherwise: &Expr,
        kind: &Kind,
        span: Span,
    ) -> Value {
        let value = self.eval(scope, condition);
        if let Value::Measured(_) = value {
            let values =
                vec![value, self.eval_as(scope, then, kind), self.eval_as(scope, otherwise, kind)];
            let spans: Spans = Arc::from([span, condition.span, then.span, otherwise.span]);
            let found = apply(&Operator::If, values, &spans);
            return self.checked(found);
        }
        if value.is_poison() {
            return Value::Poison;
        }
        match truth(&value, "if", condition.span) {
            Ok(true) => self.eval_as(scope, then, kind),
            Ok(false) => self.eval_as(scope, otherwise, kind),
            Err(fault) => self.fail(*fault),
        }
    }

    /// The edge that a value is: `none` is the sharp one.
    pub fn edge_of(&mut self, value: &Value, what: &str, span: Span) -> Option<EdgeValue> {
        match value {
            Value::Edge(edge) => Some(*edge),
            Value::None => {
                Some(EdgeValue { edge: crate::plane::Edge::None, dimension: Dimension::LENGTH })
            }
            Value::Poison => None,
            other => {
                let message =
                    format!("{what} wants a treatment of an edge, this is {}", other.spoken());
                self.fail(
                    Diagnostic::at(codes::WRONG_KIND, span, message)
                        .label(other.spoken())
                        .help("write bevel 1 mm, round 1 mm or none"),
                );
                None
            }
        }
    }
}

/// What `and` and `or` come to by their left side alone.
fn truth_known(
    left: &Value,
    op: Binary,
    span: Span,
) -> Result<Option<bool>, super::arithmetic::Fault> {
    if matches!(left, Value::Poison | Value::Measured(_)) {
        return Ok(None);
    }
    let left = truth(left, super::arithmetic::sign(op), span)?;
    Ok((left == (op == Binary::Or)).then_some(left))
}
