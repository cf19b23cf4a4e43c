//! What is fitted but not made, and two bodies that must go together without a pocket.

use super::codes;
use super::evaluator::Evaluator;
use super::fits::gap_word;
use super::parts::BuiltPart;
use super::process::{UNPAINTED, tolerance_of};
use super::seats::place;
use super::value::{PartValue, Value};
use crate::diagnostics::Diagnostic;
use crate::model::{Bought, GapName, Place, Pose, Vector};
use crate::quantity::Dimension;
use crate::resolve::{BOUGHT_FIELDS, DeclId, FIT_FIELDS, Signature};
use crate::syntax::{Block, Ident};
use std::sync::Arc;

/// Two bodies that must go together, by their declarations.
pub struct BuiltFit {
    /// What moves.
    pub inner: DeclId,
    /// What it goes with.
    pub outer: DeclId,
    /// Asked gap, mm; none where it is the printer's.
    pub gap_mm: Option<f64>,
    /// What the text calls that gap.
    pub gap_name: Option<GapName>,
    /// The direction in which it comes out; none where nothing is said of it.
    pub along: Option<Vector>,
    /// Where it stands in the text.
    pub place: Place,
}

impl Evaluator<'_> {
    /// `bought NAME {…}`: a body in the assembly that nobody prints.
    pub fn bought(&mut self, id: DeclId, name: &Ident, block: &Block, docs: &[String]) -> Value {
        let signature = Signature::of_table(&BOUGHT_FIELDS);
        let Some(values) = self.values_of(&signature, block, &[]) else { return Value::Poison };
        let Some((form, span)) = values.get("form") else { return Value::Poison };
        let Some(solid) = form.solid().filter(|solid| !solid.is_empty()) else {
            let message = format!("nothing is left of `{}`", name.text);
            return self.fail(
                Diagnostic::at(codes::EMPTY_PART, *span, message)
                    .help("give it a body, as in rod { diameter: 20 mm, height: 2 mm }"),
            );
        };
        let colour = match values.get("colour") {
            Some((Value::Colour(colour), _)) => *colour,
            _ => UNPAINTED,
        };
        let value = Arc::new(PartValue {
            number: self.part_number(id),
            name: name.text.clone(),
            solid: Arc::new((**solid).clone().of_part(&name.text, &Pose::Upright)),
            pose: Pose::Upright,
            slit: false,
            bought: true,
        });
        let tolerance = values.get("tolerance").and_then(|(value, _)| tolerance_of(value));
        let built = BuiltPart {
            value: value.clone(),
            docs: docs.to_vec(),
            material: None,
            copies: 0,
            spares: 0,
            brim_mm: None,
            assembled: true,
            note: values.get("note").map(|(note, _)| note.clone()),
            bought: Some(Bought { tolerance, colour }),
            place: place(name.span, block),
        };
        self.parts.insert(id, built);
        Value::Part(value)
    }

    /// `fit A in B {…}`; nothing when something in it went wrong.
    pub fn fit(&mut self, inner: &Ident, outer: &Ident, block: &Block) -> Option<BuiltFit> {
        let (a, b) = (self.part_called(inner), self.part_called(outer));
        let values = self.values_of(&Signature::of_table(&FIT_FIELDS), block, &[])?;
        let (a, b) = (a?, b?);
        if a == b {
            let message = format!("`{}` cannot fit in itself", inner.text);
            self.fail(
                Diagnostic::at(codes::WRONG_HOST, outer.span, message)
                    .help("name two parts, as in fit drawer in chest { gap: slide }"),
            );
            return None;
        }
        let field = block.fields.iter().find(|field| &*field.name.text == "gap");
        let word = field.map_or(Some("slide"), |field| gap_word(&field.value));
        let along = match values.get("moves") {
            Some((Value::Way(along), _)) => Some(*along),
            _ => None,
        };
        Some(BuiltFit {
            inner: a,
            outer: b,
            gap_mm: values.get("gap").and_then(|(gap, _)| gap.number(Dimension::LENGTH)),
            gap_name: word.map(|word| GapName::Measured(word.to_string())),
            along,
            place: place(inner.span.to(outer.span), block),
        })
    }
}
