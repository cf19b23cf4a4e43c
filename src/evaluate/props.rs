//! Columns under what hangs over.

use super::codes;
use super::evaluator::{Evaluator, Scope};
use super::seats::place;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::{PartId, Place, Printer, PropPlace, Props};
use crate::quantity::{Dimension, decimals};
use crate::resolve::{DeclId, PROPS_FIELDS, Signature};
use crate::source::Span;
use crate::syntax::{Block, Expr, ExprKind, Ident};
use std::collections::BTreeMap;

/// A column is so many lines wide where the text says nothing: one line would not stand,
/// more do not break. Common practice, no source.
const LINES: f64 = 2.0;

/// `props` of the text; what it does not say is left to the printer.
pub struct BuiltProps {
    under: DeclId,
    lengths: BTreeMap<&'static str, (f64, Span)>,
    at: Option<Vec<PropPlace>>,
    place: Place,
}

impl Evaluator<'_> {
    /// `props under NAME {…}`; nothing when something in it went wrong.
    pub(super) fn props(&mut self, under: &Ident, block: &Block) -> Option<BuiltProps> {
        let id = self.program.find_in(0, &under.text).filter(|id| self.parts.contains_key(id));
        let values = self.values_of(&Signature::of_table(&PROPS_FIELDS), block, &["at"]);
        let at = match block.fields.iter().find(|f| &*f.name.text == "at") {
            Some(field) => Some(self.prop_places(&field.value)?),
            None => None,
        };
        let (id, values) = (id?, values?);
        let mut lengths = BTreeMap::new();
        for param in &PROPS_FIELDS {
            let Some((value, span)) = values.get(param.name) else { continue };
            let length = value.number(Dimension::LENGTH)?;
            if length <= 0.0 {
                let message = format!(
                    "`{}` is more than nothing, this is {} mm",
                    param.name,
                    decimals(length, 3)
                );
                self.bad_measure(
                    *span,
                    message,
                    "one layer is usual for gaps, two lines for width",
                );
                return None;
            }
            lengths.insert(param.name, (length, *span));
        }
        let place = place(under.span, block);
        Some(BuiltProps { under: id, lengths, at, place })
    }

    /// Points of two or three lengths.
    fn prop_places(&mut self, expr: &Expr) -> Option<Vec<PropPlace>> {
        let values: Vec<(Value, Span)> = match &expr.kind {
            ExprKind::List(items) => {
                items.iter().map(|e| (self.eval(&Scope::of_file(0), e), e.span)).collect()
            }
            _ => match self.eval(&Scope::of_file(0), expr) {
                Value::List(list) => list.iter().map(|v| (v.clone(), expr.span)).collect(),
                one => vec![(one, expr.span)],
            },
        };
        let mut places = Vec::new();
        for (value, span) in values {
            match &value {
                Value::Poison => return None,
                Value::Point(p) if p.dimension == Dimension::LENGTH && p.coordinates.len() >= 2 => {
                    let across = [p.coordinates[0], p.coordinates[1]];
                    places.push(PropPlace { across, height: p.coordinates.get(2).copied() });
                }
                other => {
                    let message = format!("`at` lists points, this is {}", codes::shown(other));
                    let finding = Diagnostic::at(codes::WRONG_LIST, span, message);
                    self.fail(
                        finding
                            .label(other.spoken())
                            .help("write points such as [(12 mm, 0 mm), (0 mm, 12 mm)]"),
                    );
                    return None;
                }
            }
        }
        Some(places)
    }

    /// What the text says, the rest by the printer.
    pub(super) fn model_props(
        &mut self,
        all: Vec<BuiltProps>,
        ids: &BTreeMap<DeclId, PartId>,
        printer: &Printer,
    ) -> Vec<(Props, Place)> {
        let mut out = Vec::new();
        for built in all {
            let Some(under) = ids.get(&built.under) else { continue };
            let length = |field: &str| built.lengths.get(field).map(|(length, _)| *length);
            let width_mm = length("width").unwrap_or(LINES * printer.line_mm);
            // Lines are told to a hundredth.
            let least = [
                ("width", printer.line_mm - 0.005, printer.line_mm, "a line of the printer"),
                (
                    "spacing",
                    width_mm + printer.line_mm,
                    width_mm + printer.line_mm,
                    "a column and a line beside it",
                ),
            ];
            let mut sound = true;
            for (field, limit, told, what) in least {
                let Some((length, span)) = built.lengths.get(field) else { continue };
                if *length < limit {
                    let message = format!(
                        "`{field}` is {} mm, less than {what}, {} mm",
                        decimals(*length, 3),
                        decimals(told, 3)
                    );
                    self.bad_measure(*span, message, "say more, or leave it out");
                    sound = false;
                }
            }
            if !sound {
                continue;
            }
            let props = Props {
                under: *under,
                gap_above_mm: length("gap_above").unwrap_or(printer.layer_mm),
                gap_below_mm: length("gap_below").unwrap_or(printer.layer_mm),
                width_mm,
                spacing_mm: length("spacing"),
                at: built.at,
            };
            out.push((props, built.place));
        }
        out
    }
}
