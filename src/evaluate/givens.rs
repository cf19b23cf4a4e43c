//! Givens: default, then size, then command; every size is checked against every range.

use super::codes;
use super::evaluator::{Choice, Evaluator, Scope};
use super::settings::{
    Permitted, fixed_by_size, set_refused, typed, unknown_given, unknown_size, written,
};
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::{Filling, Given, GivenSource, Permits};
use crate::quantity::{Dimension, Quantity};
use crate::resolve::DeclId;
use crate::source::Span;
use crate::syntax::{self, Expr, GivenRange, ItemKind, Size};

impl Evaluator<'_> {
    /// Works out all givens of the root file under a choice of size and settings.
    pub fn all_givens(&mut self, choice: &Choice) {
        let program = self.program;
        let items = &program.root().tree.items;
        self.check_choice(choice);
        let sizes: Vec<&Size> = items
            .iter()
            .filter_map(|item| match &item.kind {
                ItemKind::Sizes(sizes) => Some(sizes),
                _ => None,
            })
            .flatten()
            .collect();
        for (item, declared) in items.iter().enumerate() {
            if let ItemKind::Given(given) = &declared.kind {
                let id = DeclId { file: 0, item };
                self.given(id, given, &declared.docs, &sizes, choice);
            }
        }
    }

    /// Names in the choice that the design does not have.
    fn check_choice(&mut self, choice: &Choice) {
        let givens: Vec<String> = self.program.givens().into_iter().map(|(name, _)| name).collect();
        for (name, _) in &choice.sets {
            if !givens.contains(name) {
                self.fail(unknown_given(name, &givens));
            }
        }
        let sizes = self.program.sizes();
        if let Some(size) = choice.size.as_ref().filter(|size| !sizes.contains(size)) {
            self.fail(unknown_size(size, &sizes));
        }
    }

    fn given(
        &mut self,
        id: DeclId,
        given: &syntax::Given,
        docs: &[String],
        sizes: &[&Size],
        choice: &Choice,
    ) {
        let scope = Scope::of_file(0);
        let name = &*given.name.text;
        let default = self.eval(&scope, &given.default);
        let Some(default_filling) = self.filling(&default, given.default.span) else {
            self.values.insert(id, Value::Poison);
            return;
        };
        let permitted = self.permitted(given, &default);
        self.check_range(name, &default, &permitted, given.default.span);
        let mut value = default.clone();
        let mut source = GivenSource::Default;
        for size in sizes {
            let Some((_, expr)) = size.values.iter().find(|(n, _)| &*n.text == name) else {
                continue;
            };
            let found = self.eval(&scope, expr);
            if !self.fits_default(name, &default, &found, expr) {
                continue;
            }
            self.check_range(name, &found, &permitted, expr.span);
            if choice.size.as_deref() == Some(&*size.name.text) {
                value = found;
                source = GivenSource::Size;
            }
        }
        if let Some(set) = self.set_value(name, &default, &permitted, source, choice) {
            value = set;
            source = GivenSource::Set;
        }
        let filling = filling_of(&value).unwrap_or_else(|| default_filling.clone());
        let docs = docs.to_vec();
        let shown = Given {
            name: name.to_string(),
            docs,
            value: filling,
            default: default_filling,
            source,
            permits: permits(&permitted),
        };
        self.givens.insert(id, shown);
        self.values.insert(id, value);
    }

    /// The value that the command sets; of several, the last.
    fn set_value(
        &mut self,
        name: &str,
        default: &Value,
        permitted: &Permitted,
        source: GivenSource,
        choice: &Choice,
    ) -> Option<Value> {
        let (_, text) = choice.sets.iter().rev().find(|(n, _)| n == name)?;
        if let (GivenSource::Size, Some(size)) = (source, &choice.size) {
            self.fail(fixed_by_size(name, size));
            return None;
        }
        let found = typed(text, default).and_then(|value| match permitted.refusal(&value) {
            None => Ok(value),
            Some(why) => Err(why),
        });
        match found {
            Ok(value) => Some(value),
            Err(why) => {
                self.fail(set_refused(name, &why, permitted));
                None
            }
        }
    }

    fn filling(&mut self, value: &Value, span: Span) -> Option<Filling> {
        let found = filling_of(value);
        if found.is_none() && !value.is_poison() {
            let message =
                format!("a given is a number, a text, yes or no; this is {}", value.spoken());
            self.fail(
                Diagnostic::at(codes::WRONG_KIND, span, message)
                    .label(value.spoken())
                    .help("make it a `let`"),
            );
        }
        found
    }

    fn permitted(&mut self, given: &syntax::Given, default: &Value) -> Permitted {
        let name = &*given.name.text;
        match &given.range {
            None => {
                if let Value::Quantity(_) = default {
                    self.fail(no_range(name, given.name.span, default));
                }
                Permitted::Anything
            }
            Some(GivenRange::Among(values)) => {
                let scope = Scope::of_file(0);
                let mut found = Vec::new();
                for expr in values {
                    let value = self.eval(&scope, expr);
                    if self.fits_default(name, default, &value, expr) {
                        found.push(value);
                    }
                }
                if found.is_empty() { Permitted::Anything } else { Permitted::Among(found) }
            }
            Some(GivenRange::Span { low, high, step }) => {
                self.span_of(name, default, low, high, step.as_deref())
            }
        }
    }

    fn span_of(
        &mut self,
        name: &str,
        default: &Value,
        low: &Expr,
        high: &Expr,
        step: Option<&Expr>,
    ) -> Permitted {
        let scope = Scope::of_file(0);
        let mut bounds = Vec::new();
        for expr in [Some(low), Some(high), step].into_iter().flatten() {
            let value = self.eval(&scope, expr);
            match value {
                Value::Quantity(q) if self.fits_default(name, default, &value, expr) => {
                    bounds.push(q);
                }
                Value::Quantity(_) | Value::Poison => return Permitted::Anything,
                other => {
                    self.fail(codes::wants_number(&other, expr.span));
                    return Permitted::Anything;
                }
            }
        }
        let (low_q, high_q, step_q) = (bounds[0], bounds[1], bounds.get(2).copied());
        if low_q.value > high_q.value || step_q.is_some_and(|s| s.value <= 0.0) {
            self.fail(bad_range(name, low_q, high_q, step_q, low.span.to(high.span)));
            return Permitted::Anything;
        }
        Permitted::Span { low: low_q, high: high_q, step: step_q }
    }

    /// Whether a value of a range or a size is of the default's kind and dimension.
    fn fits_default(&mut self, name: &str, default: &Value, value: &Value, expr: &Expr) -> bool {
        match (default, value) {
            (_, Value::Poison) => false,
            (Value::Quantity(a), Value::Quantity(b)) if a.dimension == b.dimension => true,
            (Value::Quantity(a), Value::Quantity(_)) => {
                let what = format!("`{name}`");
                self.fail(codes::wants_dimension(&what, a.dimension, value, expr.span));
                false
            }
            (Value::Text(_), Value::Text(_)) | (Value::Truth(_), Value::Truth(_)) => true,
            _ => {
                let message =
                    format!("`{name}` is {}, this is {}", default.spoken(), codes::shown(value));
                self.fail(
                    Diagnostic::at(codes::WRONG_KIND, expr.span, message)
                        .label(value.spoken())
                        .help(format!("write it as the default is, {}", written(default))),
                );
                false
            }
        }
    }

    fn check_range(&mut self, name: &str, value: &Value, permitted: &Permitted, span: Span) {
        if let Some(why) = permitted.refusal(value) {
            self.fail(out_of_range(name, &why, permitted, span));
        }
    }
}

fn permits(permitted: &Permitted) -> Permits {
    match permitted {
        Permitted::Anything => Permits::Anything,
        Permitted::Span { low, high, step } => {
            Permits::Span { low: *low, high: *high, step: *step }
        }
        Permitted::Among(values) => Permits::Among(values.iter().filter_map(filling_of).collect()),
    }
}

fn filling_of(value: &Value) -> Option<Filling> {
    match value {
        Value::Quantity(q) => Some(Filling::Quantity(*q)),
        Value::Text(text) => Some(Filling::Text(text.to_string())),
        Value::Truth(truth) => Some(Filling::Truth(*truth)),
        _ => None,
    }
}

fn no_range(name: &str, span: Span, default: &Value) -> Diagnostic {
    let example = match default {
        Value::Quantity(q) if q.dimension == Dimension::NONE => "from 1 to 10".to_string(),
        Value::Quantity(q) => {
            let low = Quantity::new(q.value.abs() / 2.0, q.dimension);
            let high = Quantity::new(q.value.abs() * 2.0, q.dimension);
            format!("from {low} to {high}")
        }
        _ => "from LOW to HIGH".to_string(),
    };
    Diagnostic::at(codes::NO_RANGE, span, format!("`{name}` permits any number"))
        .help(format!("say what it may be, as in {example}"))
}

fn bad_range(
    name: &str,
    low: Quantity,
    high: Quantity,
    step: Option<Quantity>,
    span: Span,
) -> Diagnostic {
    let by = step.map(|s| format!(" by {s}")).unwrap_or_default();
    Diagnostic::at(
        codes::BAD_RANGE,
        span,
        format!("the range of `{name}`, {low} to {high}{by}, permits nothing"),
    )
    .help("put the lower end first, with a step above 0")
}

fn out_of_range(name: &str, why: &str, permitted: &Permitted, span: Span) -> Diagnostic {
    Diagnostic::at(
        codes::GIVEN_OUT_OF_RANGE,
        span,
        format!("`{name}` permits no such value: {why}"),
    )
    .help(format!("it takes {}", permitted.shown()))
}
