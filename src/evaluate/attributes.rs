//! `a.b`: what a value answers to.

use super::codes;
use super::evaluator::{Evaluator, Scope};
use super::measured::{Measured, PartMeasure, Recipe, SeatMeasure, Sort};
use super::solids::SolidValue;
use super::value::{Attributes, PartValue, Value};
use crate::diagnostics::Diagnostic;
use crate::quantity::{Dimension, Quantity};
use crate::resolve::{Kind, did_you_mean};
use crate::source::Span;
use crate::syntax::{Expr, ExprKind, Ident};
use std::sync::Arc;

/// What can be measured of any part, with the dimension of the result.
const MEASURES: [(&str, PartMeasure, Dimension); 6] = [
    ("volume", PartMeasure::Volume, Dimension::VOLUME),
    ("mass", PartMeasure::Mass, Dimension::MASS),
    ("width", PartMeasure::Width, Dimension::LENGTH),
    ("length", PartMeasure::Length, Dimension::LENGTH),
    ("height", PartMeasure::Height, Dimension::LENGTH),
    ("pieces", PartMeasure::Pieces, Dimension::NONE),
];

impl Evaluator<'_> {
    /// `base.word`. Where a face is wanted, a face of that name comes before a parameter.
    pub fn member(&mut self, scope: &Scope<'_>, base: &Expr, word: &Ident, kind: &Kind) -> Value {
        if let Some(value) = self.qualified(scope, base, word) {
            return value;
        }
        let value = self.eval(scope, base);
        if value.is_poison() {
            return Value::Poison;
        }
        if *kind == Kind::Face
            && let Some(face) = value.solid().and_then(|solid| solid.faces.get(&word.text))
        {
            return Value::Face(Arc::new(face.clone()));
        }
        match attribute(&value, &word.text) {
            Some(found) => found,
            None => {
                let finding = unknown(&value, word, base.span);
                self.fail(finding)
            }
        }
    }

    /// A value of a `use`d file: `feet.height`.
    fn qualified(&self, scope: &Scope<'_>, base: &Expr, word: &Ident) -> Option<Value> {
        let ExprKind::Name(qualifier) = &base.kind else { return None };
        if scope.local(&qualifier.text).is_some()
            || self.program.find(scope.file, &qualifier.text).is_some()
        {
            return None;
        }
        let other = self.program.qualified(scope.file, &qualifier.text)?;
        let id = self.program.find_in(other, &word.text)?;
        Some(self.values.get(&id).cloned().unwrap_or(Value::Poison))
    }
}

fn attribute(value: &Value, word: &str) -> Option<Value> {
    match value {
        Value::Part(part) => of_solid(&part.solid, word).or_else(|| of_part(part, word)),
        Value::Solid(solid) => of_solid(solid, word),
        Value::Record(record) => record.get(word).cloned(),
        Value::Outline(outline) => outline.attributes.get(word).cloned(),
        Value::Material(material) => material.attributes.get(word).cloned(),
        Value::Printer(printer) => printer.attributes.get(word).cloned(),
        Value::Point(point) => {
            let index = ["x", "y", "z"].iter().position(|axis| *axis == word)?;
            let coordinate = point.coordinates.get(index)?;
            Some(Value::Quantity(Quantity::new(*coordinate, point.dimension)))
        }
        Value::List(list) if word == "count" => {
            Some(Value::Quantity(Quantity::plain(list.len() as f64)))
        }
        Value::Fit(part) if word == "least_gap" => {
            Some(measured(Dimension::LENGTH, Recipe::Fit(*part, SeatMeasure::LeastGap)))
        }
        _ => None,
    }
}

fn of_solid(solid: &SolidValue, word: &str) -> Option<Value> {
    if let Some(value) = solid.attributes.get(word) {
        return Some(value.clone());
    }
    solid.faces.get(word).map(|face| Value::Face(Arc::new(face.clone())))
}

/// What is measured of a part on its finished body.
fn of_part(part: &PartValue, word: &str) -> Option<Value> {
    let recipe = |what| Recipe::Part(part.number, what);
    if part.bought && word == "mass" {
        return None;
    }
    if let Some((_, what, dimension)) = MEASURES.iter().find(|(name, ..)| *name == word) {
        return Some(measured(*dimension, recipe(*what)));
    }
    match word {
        "spring_strain" if part.slit => {
            Some(measured(Dimension::NONE, recipe(PartMeasure::SpringStrain)))
        }
        "seat" if part.solid.inlay.is_some() || part.solid.closes.is_some() => {
            Some(Value::Fit(part.number))
        }
        "fit" => Some(Value::Fit(part.number)),
        _ => None,
    }
}

fn measured(dimension: Dimension, recipe: Recipe) -> Value {
    Value::Measured(Arc::new(Measured { sort: Sort::Number(dimension), recipe }))
}

/// The words that a value answers to.
fn words(value: &Value) -> Vec<String> {
    let of = |attributes: &Attributes| attributes.keys().map(|k| k.to_string()).collect::<Vec<_>>();
    match value {
        Value::Part(part) => {
            let mut words = words(&Value::Solid(part.solid.clone()));
            words.extend(MEASURES.iter().map(|(name, ..)| (*name).to_string()));
            if part.slit {
                words.push("spring_strain".to_string());
            }
            if part.solid.inlay.is_some() || part.solid.closes.is_some() {
                words.push("seat".to_string());
            }
            words
        }
        Value::Solid(solid) => {
            let mut words = of(&solid.attributes);
            words.extend(solid.faces.keys().map(|k| k.to_string()));
            words
        }
        Value::Record(record) => of(record),
        Value::Outline(outline) => of(&outline.attributes),
        Value::Material(material) => of(&material.attributes),
        Value::Printer(printer) => of(&printer.attributes),
        Value::Point(_) => ["x", "y", "z"].map(String::from).to_vec(),
        Value::List(_) => vec!["count".to_string()],
        Value::Fit(_) => vec!["least_gap".to_string()],
        _ => Vec::new(),
    }
}

fn unknown(value: &Value, word: &Ident, base: Span) -> Diagnostic {
    let what = match value {
        Value::Part(part) => format!("the part `{}`", part.name),
        other => other.spoken(),
    };
    let finding = Diagnostic::at(
        codes::UNKNOWN_ATTRIBUTE,
        word.span,
        format!("{what} has no `{}`", word.text),
    )
    .and_at(base, value.spoken());
    let known = words(value);
    if matches!((value, &*word.text), (Value::Part(_), "spring_strain")) {
        return finding.help("only an inlay with a `slit` springs");
    }
    if matches!(value, Value::Part(part) if part.bought && &*word.text == "mass") {
        return finding.help("nothing is said of what a bought thing is made of");
    }
    if matches!((value, &*word.text), (Value::Part(_), "seat")) {
        return finding.help("only an inlay has a seat, and a lid a fit");
    }
    match did_you_mean(&word.text, known.iter().map(String::as_str)) {
        Some(help) => finding.help(help),
        None if known.is_empty() => finding.help("it answers to nothing"),
        None => finding.help(format!("it answers to {}", known.join(", "))),
    }
}
