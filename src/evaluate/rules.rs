//! `require`: design rules of the file, judged when everything in them is known, and
//! rules of shapes, judged at each call.

use super::arithmetic::{Operator, Spans, apply, is_comparison, sign, truth};
use super::calls::Arguments;
use super::codes;
use super::evaluator::{Evaluator, Scope};
use super::measured::{Gauge, Untold};
use super::value::Value;
use crate::diagnostics::{Diagnostic, Sink};
use crate::quantity::Quantity;
use crate::source::Span;
use crate::syntax::{Binary, Expr, ExprKind, Require, Shape};
use std::sync::Arc;

/// A rule that was judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// The comparison as written.
    pub text: String,
    /// Whether it holds.
    pub holds: bool,
    /// The left side; none where it is no number or there is no comparison.
    pub left: Option<Quantity>,
    /// The right side.
    pub right: Option<Quantity>,
}

/// A rule of the file, worked out as far as possible without geometry.
#[derive(Clone, Debug)]
pub struct Rule {
    /// The comparison as written.
    text: String,
    /// Its place.
    span: Span,
    /// The author's words for its failing.
    why: Option<Value>,
    /// What it says.
    claim: Claim,
}

/// What a rule says.
#[derive(Clone, Debug)]
enum Claim {
    /// A comparison.
    Comparison { op: Binary, left: Value, right: Value, spans: Spans },
    /// Anything else that is yes or no.
    Truth(Value),
}

/// The parts of a condition that top-level `and` holds together, each with its place.
pub fn split(condition: &Expr) -> Vec<(&Expr, Span)> {
    let mut found = Vec::new();
    let mut rest = condition;
    while let ExprKind::Binary { op: Binary::And, left, right, .. } = &rest.kind {
        found.push((&**right, right.span));
        rest = left;
    }
    found.push((rest, rest.span));
    found.reverse();
    found
}

impl Evaluator<'_> {
    /// The rules of one `require` of the root file.
    pub fn rules(&mut self, require: &Require) -> Vec<Rule> {
        let scope = Scope::of_file(0);
        let why = require.why.as_ref().map(|why| self.eval(&scope, why));
        let mut rules = Vec::new();
        for (condition, span) in split(&require.condition) {
            let Some(claim) = self.claim(&scope, condition) else { continue };
            let words: Vec<&str> = self.program.snippet(0, condition).split_whitespace().collect();
            rules.push(Rule { text: words.join(" "), span, why: why.clone(), claim });
        }
        rules
    }

    fn claim(&mut self, scope: &Scope<'_>, condition: &Expr) -> Option<Claim> {
        if let ExprKind::Binary { op, left, right, .. } = &condition.kind
            && is_comparison(*op)
        {
            let a = self.eval(scope, left);
            let b = self.eval(scope, right);
            let spans: Spans = Arc::from([condition.span, left.span, right.span]);
            // Sides that do not go together are told at once.
            let found = apply(&Operator::Binary(*op), vec![a.clone(), b.clone()], &spans);
            if self.checked(found).is_poison() {
                return None;
            }
            return Some(Claim::Comparison { op: *op, left: a, right: b, spans });
        }
        let value = self.eval(scope, condition);
        match &value {
            Value::Poison => None,
            Value::Measured(_) => Some(Claim::Truth(value)),
            other => match truth(other, "require", condition.span) {
                Ok(_) => Some(Claim::Truth(value)),
                Err(fault) => {
                    self.fail(*fault);
                    None
                }
            },
        }
    }

    /// A rule of a shape, judged now. Whether the shape may go on.
    pub fn rule_of_shape(
        &mut self,
        scope: &Scope<'_>,
        shape: &Shape,
        condition: &Expr,
        why: Option<&Expr>,
        arguments: &Arguments,
    ) -> bool {
        let Some(claim) = self.claim(scope, condition) else { return false };
        let holds = match claim.truth() {
            Some(holds) => holds,
            None => {
                let finding = codes::measured_too_early(condition.span, "this rule of a shape");
                self.fail(finding);
                return false;
            }
        };
        if holds {
            return true;
        }
        let why = why.map(|why| self.eval(scope, why));
        let words = match why {
            Some(Value::Text(text)) => text.to_string(),
            _ => format!("`{}` cannot be made so", shape.name.text),
        };
        let sides = claim.sides_in_words();
        let finding = Diagnostic::at(
            codes::REQUIRE_FAILS,
            arguments.callee,
            format!("{words}{}", sides.map(|s| format!(": {s}")).unwrap_or_default()),
        )
        .and_at(condition.span, "the rule that does not hold")
        .help("change the values given to this call");
        // The call is the place itself: its trace begins further out.
        let inner = self.trace.pop();
        self.fail(finding);
        self.trace.extend(inner);
        false
    }
}

impl Claim {
    /// Whether it holds, when nothing in it is measured.
    fn truth(&self) -> Option<bool> {
        let found = match self {
            Claim::Comparison { op, left, right, spans } => {
                apply(&Operator::Binary(*op), vec![left.clone(), right.clone()], spans).ok()?
            }
            Claim::Truth(value) => value.clone(),
        };
        match found {
            Value::Truth(holds) => Some(holds),
            _ => None,
        }
    }

    /// Both sides of a comparison: `72 mm < 80 mm`.
    fn sides_in_words(&self) -> Option<String> {
        let Claim::Comparison { op, left, right, .. } = self else { return None };
        let side = super::settings::written;
        Some(format!("{} {} {} does not hold", side(left), sign(*op), side(right)))
    }
}

impl Rule {
    /// Judges it without measuring.
    pub fn judge_known(&self, sink: &mut Sink) {
        if self.claim.truth() == Some(false) {
            sink.push(self.fails(self.claim.sides_in_words()));
        }
    }

    /// Judges it with everything measured. Nothing when that cannot be.
    pub fn judge(&self, gauge: &Gauge<'_>, sink: &mut Sink) -> Option<Judged> {
        match self.told(gauge) {
            Ok((claim, holds)) => {
                if !holds {
                    sink.push(self.fails(claim.sides_in_words()));
                }
                let number = |value: &Value| match value {
                    Value::Quantity(q) => Some(*q),
                    _ => None,
                };
                let (left, right) = match &claim {
                    Claim::Comparison { left, right, .. } => (number(left), number(right)),
                    Claim::Truth(_) => (None, None),
                };
                Some(Judged { text: self.text.clone(), holds, left, right })
            }
            Err(Untold::Failed(finding)) => {
                sink.push(*finding);
                None
            }
            Err(Untold::Nothing) => {
                sink.push(not_measured(self.span));
                None
            }
        }
    }

    /// What it says with everything measured in it, and whether that holds.
    fn told(&self, gauge: &Gauge<'_>) -> Result<(Claim, bool), Untold> {
        match &self.claim {
            Claim::Truth(value) => {
                let told = gauge.tell(value)?;
                let holds = matches!(told, Value::Truth(true));
                Ok((Claim::Truth(told), holds))
            }
            Claim::Comparison { op, left, right, spans } => {
                let measured = [left, right].iter().any(|v| matches!(v, Value::Measured(_)));
                let operator =
                    if measured { Operator::Rounded(*op) } else { Operator::Binary(*op) };
                let (left, right) = (gauge.tell(left)?, gauge.tell(right)?);
                let found = apply(&operator, vec![left.clone(), right.clone()], spans)
                    .map_err(Untold::Failed)?;
                let holds = matches!(found, Value::Truth(true));
                let claim = Claim::Comparison { op: *op, left, right, spans: spans.clone() };
                Ok((claim, holds))
            }
        }
    }

    fn fails(&self, sides: Option<String>) -> Diagnostic {
        let words = match &self.why {
            Some(Value::Text(text)) => text.to_string(),
            _ => format!("`{}` is required", self.text),
        };
        let sides = sides.map(|s| format!(": {s}")).unwrap_or_default();
        Diagnostic::at(codes::REQUIRE_FAILS, self.span, format!("{words}{sides}"))
            .help("change the givens, or the rule")
    }
}

fn not_measured(span: Span) -> Diagnostic {
    Diagnostic::at(codes::NOT_MEASURED, span, "this rule asks for something that was not measured")
        .help("check that the part has a seat, a lid or a slit that can be measured")
}
