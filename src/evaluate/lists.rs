//! Lists, ranges, `each`.

use super::arithmetic::Spans;
use super::codes;
use super::evaluator::{Bound, Evaluator, LONGEST_LIST, Scope};
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::quantity::{Dimension, Quantity, decimals};
use crate::source::Span;
use crate::syntax::{Expr, ExprKind, Ident};
use std::sync::Arc;

impl Evaluator<'_> {
    /// `[a, b]`; a range among the items stands for its numbers.
    pub fn list(&mut self, scope: &Scope<'_>, items: &[Expr], span: Span) -> Value {
        let mut values = Vec::new();
        for item in items {
            let value = self.eval(scope, item);
            match (&item.kind, value) {
                (_, Value::Poison) => return Value::Poison,
                (ExprKind::Range { .. }, Value::List(range)) => {
                    values.extend(range.iter().cloned())
                }
                (_, value) => values.push(value),
            }
            if values.len() > LONGEST_LIST {
                return self.fail(too_long(span));
            }
        }
        Value::List(Arc::new(values))
    }

    /// `[EXPR each k in RANGE]`
    pub fn each(&mut self, scope: &Scope<'_>, body: &Expr, name: &Ident, range: &Expr) -> Value {
        let over = match self.eval(scope, range) {
            Value::Poison => return Value::Poison,
            Value::List(list) => list,
            other => {
                return self.fail(
                    Diagnostic::at(
                        codes::WRONG_KIND,
                        range.span,
                        format!("`each` runs over a range or a list, this is {}", other.spoken()),
                    )
                    .help("write each k in 0 .. 5"),
                );
            }
        };
        let mut values = Vec::with_capacity(over.len());
        for value in over.iter() {
            let bound = Bound { name: &name.text, value: value.clone(), outer: scope.bound };
            let inner = Scope { bound: Some(&bound), ..*scope };
            match self.eval(&inner, body) {
                // One finding for the whole list: the others would say the same.
                Value::Poison => return Value::Poison,
                value => values.push(value),
            }
        }
        Value::List(Arc::new(values))
    }

    /// `a .. b [by c]`, both ends included.
    pub fn range(
        &mut self,
        scope: &Scope<'_>,
        low: &Expr,
        high: &Expr,
        step: Option<&Expr>,
        span: Span,
    ) -> Value {
        let mut ends = Vec::new();
        for expr in [Some(low), Some(high), step].into_iter().flatten() {
            match self.eval(scope, expr) {
                Value::Poison => return Value::Poison,
                Value::Quantity(q) => ends.push((q, expr.span)),
                Value::Measured(_) => {
                    return self.fail(codes::measured_too_early(expr.span, "this range"));
                }
                other => return self.fail(codes::wants_number(&other, expr.span)),
            }
        }
        let (first, first_span) = ends[0];
        for (other, at) in &ends[1..] {
            if other.dimension != first.dimension {
                let spans: Spans = Arc::from([span, first_span, *at]);
                let (a, b) = (Value::Quantity(first), Value::Quantity(*other));
                return self.fail(codes::mixed_units("..", &a, &b, &spans));
            }
        }
        let step = match ends.get(2) {
            Some((step, _)) => step.value,
            None if first.dimension == Dimension::NONE => 1.0,
            None => return self.fail(no_step(first, span)),
        };
        self.steps_of(first, ends[1].0, step, span)
    }

    fn steps_of(&mut self, low: Quantity, high: Quantity, step: f64, span: Span) -> Value {
        if step <= 0.0 || high.value < low.value {
            return self.fail(bad_range(low, high, Quantity::new(step, low.dimension), span));
        }
        // A last step that is whole but for rounding counts.
        let count = ((high.value - low.value) / step + 1e-9).floor();
        if count >= LONGEST_LIST as f64 {
            return self.fail(too_long(span));
        }
        let values = (0..=count as u32).map(|k| {
            Value::Quantity(Quantity::new(low.value + step * f64::from(k), low.dimension))
        });
        Value::List(Arc::new(values.collect()))
    }

    /// `.at(k)`, from 0.
    pub fn list_at(&mut self, list: &[Value], index: &Value, span: Span) -> Value {
        let wanted = match index {
            Value::Poison => return Value::Poison,
            Value::Quantity(q) => super::value::whole(*q),
            _ => None,
        };
        let found = wanted.and_then(|k| usize::try_from(k).ok()).and_then(|k| list.get(k));
        match found {
            Some(value) => value.clone(),
            None => self.fail(
                Diagnostic::at(
                    codes::OUTSIDE_LIST,
                    span,
                    format!("the list has {} items, there is none at {}", list.len(), text(index)),
                )
                .help("places count from 0, in whole numbers"),
            ),
        }
    }
}

fn text(value: &Value) -> String {
    match value {
        Value::Quantity(q) if q.dimension == Dimension::NONE => decimals(q.value, 6),
        other => codes::shown(other),
    }
}

fn too_long(span: Span) -> Diagnostic {
    codes::too_much_work(
        span,
        &format!("a list holds at most {LONGEST_LIST} items, and this one would be longer"),
    )
}

fn no_step(low: Quantity, span: Span) -> Diagnostic {
    Diagnostic::at(
        codes::OUTSIDE_DOMAIN,
        span,
        format!("a range in {} needs a step", low.dimension.spoken().trim_start_matches("a ")),
    )
    .help("write by and a step, as in 0 mm .. 5 mm by 1 mm")
}

fn bad_range(low: Quantity, high: Quantity, step: Quantity, span: Span) -> Diagnostic {
    Diagnostic::at(
        codes::OUTSIDE_DOMAIN,
        span,
        format!("a range runs upwards, this one from {low} to {high} by {step}"),
    )
    .help("put the lower end first, with a step above 0")
}
