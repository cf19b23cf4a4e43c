//! `join`, `less`, `meet`, `joined`, `volume`: operations on whole solids and outlines.

use super::arithmetic::{Spans, sign};
use super::codes;
use super::evaluator::{DEEPEST_SOLID, Evaluator, MOST_INK, MOST_LEAVES};
use super::ink::OutlineValue;
use super::measured::{Measured, Recipe, Sort};
use super::solids::SolidValue;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::Operation;
use crate::plane::{Combine, PlaneError};
use crate::quantity::{Dimension, Quantity};
use crate::source::Span;
use crate::syntax::Binary;
use std::sync::Arc;

impl Evaluator<'_> {
    /// The union of outlines, joined two by two, so that a list of many stays shallow.
    pub fn joined_outlines(&mut self, mut outlines: Vec<OutlineValue>, span: Span) -> Value {
        while outlines.len() > 1 {
            let mut pairs = Vec::with_capacity(outlines.len().div_ceil(2));
            for pair in outlines.chunks(2) {
                let joined = match pair {
                    [a, b] => self.combine_outlines(Combine::Join, a.clone(), b.clone(), span),
                    [one] => Value::Outline(one.clone()),
                    _ => Value::None,
                };
                match joined {
                    Value::Outline(outline) => pairs.push(outline),
                    _ => return Value::Poison,
                }
            }
            outlines = pairs;
        }
        outlines.pop().map_or(Value::None, Value::Outline)
    }

    /// `a join b`, `a less b`, `a meet b`
    pub fn combine(&mut self, op: Binary, a: &Value, b: &Value, spans: &Spans) -> Value {
        if a.is_poison() || b.is_poison() {
            return Value::Poison;
        }
        let (operation, how) = match op {
            Binary::Join => (Operation::Join, Combine::Join),
            Binary::Less => (Operation::Less, Combine::Less),
            _ => (Operation::Meet, Combine::Meet),
        };
        let as_outline = |value: &Value| match value {
            Value::Outline(outline) => Some(outline.clone()),
            Value::None => Some(OutlineValue::empty()),
            _ => None,
        };
        let as_solid = |value: &Value| match value {
            Value::None => Some(Arc::new(SolidValue::empty())),
            other => other.solid().cloned(),
        };
        match (as_solid(a), as_solid(b), as_outline(a), as_outline(b)) {
            (Some(_), Some(_), Some(_), Some(_)) => Value::None,
            (Some(_), Some(b), _, _) if !self.reliefs_fit(operation, &b.body, spans[2]) => {
                Value::Poison
            }
            (Some(a), Some(b), _, _) => self.sized(a.combined(operation, &b), spans[0]),
            (_, _, Some(a), Some(b)) => self.combine_outlines(how, a, b, spans[0]),
            _ => self.fail(codes::wrong_operands(sign(op), a, b, spans)),
        }
    }

    fn combine_outlines(
        &mut self,
        how: Combine,
        mut a: OutlineValue,
        mut b: OutlineValue,
        span: Span,
    ) -> Value {
        // Nothing has no unit of its own.
        if a.outline_is_empty() {
            a.dimension = b.dimension;
        } else if b.outline_is_empty() {
            b.dimension = a.dimension;
        }
        if a.dimension != b.dimension {
            let of = |d| Value::Quantity(Quantity::new(0.0, d));
            let spans: Spans = Arc::from([span; 3]);
            let (a, b) = (of(a.dimension), of(b.dimension));
            return self.fail(codes::mixed_units("of outlines, this,", &a, &b, &spans));
        }
        let leaves = a.leaves.saturating_add(b.leaves);
        if leaves > MOST_INK {
            return self.too_much_ink(leaves, span);
        }
        if a.depth.max(b.depth) >= DEEPEST_SOLID {
            let what = format!(
                "at most {DEEPEST_SOLID} operations stand inside each other, and here are more"
            );
            let help = "join many outlines with joined([a, b, …])";
            return self.fail(codes::too_much_work(span, &what).help(help));
        }
        match OutlineValue::combined(how, &a, &b) {
            Ok(outline) => Value::Outline(outline),
            Err(error) => self.bad_outline(span, &error),
        }
    }

    /// More pieces than are ever built.
    pub fn too_much_ink(&mut self, leaves: u64, span: Span) -> Value {
        let what =
            format!("an outline has at most {MOST_INK} pieces, and this one would have {leaves}");
        self.fail(codes::too_much_work(span, &what))
    }

    /// The solid, unless it has grown beyond what is ever built.
    pub fn sized(&mut self, solid: SolidValue, span: Span) -> Value {
        if solid.leaves > MOST_LEAVES {
            return self.too_many_leaves(solid.leaves, span);
        }
        if solid.depth > DEEPEST_SOLID {
            let what = format!(
                "at most {DEEPEST_SOLID} operations stand inside each other, and here are more"
            );
            return self.fail(
                codes::too_much_work(span, &what).help("join many bodies with joined([a, b, …])"),
            );
        }
        Value::Solid(Arc::new(solid))
    }

    /// More pieces than are ever built.
    pub fn too_many_leaves(&mut self, leaves: u64, span: Span) -> Value {
        let what =
            format!("a body has at most {MOST_LEAVES} pieces, and this one would have {leaves}");
        self.fail(codes::too_much_work(span, &what))
    }

    /// `joined(list)`
    pub fn joined(&mut self, list: &Value, spans: &Spans) -> Value {
        let Value::List(items) = list else {
            let message = format!("`joined` wants a list, this is {}", codes::shown(list));
            return self.fail(
                Diagnostic::at(codes::WRONG_KIND, spans[1], message)
                    .label(list.spoken())
                    .help("write joined([a, b, c])"),
            );
        };
        if items.iter().any(|i| matches!(i, Value::Outline(_))) {
            return self.joined_list(items, spans[1]);
        }
        let mut solids = Vec::new();
        for item in items.iter() {
            match (item, item.solid()) {
                (Value::None, _) => {}
                (_, Some(solid)) => solids.push((**solid).clone()),
                (other, None) => {
                    let message =
                        format!("`joined` takes solids, this list holds {}", other.spoken());
                    return self.fail(
                        Diagnostic::at(codes::WRONG_KIND, spans[1], message)
                            .help("keep only solids in the list"),
                    );
                }
            }
        }
        self.sized(SolidValue::many(&solids), spans[0])
    }

    /// A list in which there are outlines.
    fn joined_list(&mut self, items: &[Value], span: Span) -> Value {
        let mut outlines = Vec::new();
        for item in items {
            match item {
                Value::None => {}
                Value::Outline(outline) => outlines.push(outline.clone()),
                other => {
                    let words =
                        format!("`joined` takes outlines here, this list holds {}", other.spoken());
                    return self.fail(
                        Diagnostic::at(codes::WRONG_KIND, span, words)
                            .help("keep only outlines in the list"),
                    );
                }
            }
        }
        self.joined_outlines(outlines, span)
    }

    /// `volume(solid)`: measured.
    pub fn volume(&mut self, solid: &Value, spans: &Spans) -> Value {
        match solid.solid() {
            Some(found) => Value::Measured(Arc::new(Measured {
                sort: Sort::Number(Dimension::VOLUME),
                recipe: Recipe::Volume(found.body.clone()),
            })),
            None => {
                let message = format!("`volume` wants a solid, this is {}", codes::shown(solid));
                self.fail(
                    Diagnostic::at(codes::WRONG_KIND, spans[1], message)
                        .label(solid.spoken())
                        .help("write volume(SOLID)"),
                )
            }
        }
    }

    /// An outline that cannot be, with the builder's reason.
    pub fn bad_outline(&mut self, span: Span, error: &PlaneError) -> Value {
        self.fail(
            Diagnostic::at(codes::BAD_OUTLINE, span, error.to_string()).help(
                "change one of the measures so that the outline closes without crossing itself",
            ),
        )
    }
}
