//! Gaps by name: from the printer's table, or by a fit of ISO 286-1.

use super::arithmetic::{Fault, Spans};
use super::codes;
use super::evaluator::Evaluator;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::limits::{FitName, LimitsError};
use crate::model::{Body, GapName, GapTable, Leaf, Pattern};
use crate::plane::Outline;
use crate::quantity::{Dimension, Quantity};
use crate::resolve::{DeclId, GAP_WORDS};
use crate::source::Span;
use crate::syntax::{Expr, ExprKind, ItemKind};

impl Evaluator<'_> {
    /// A gap that the text calls by a name, as a length.
    pub fn gap_called(&mut self, word: &str, span: Span) -> Value {
        match self.gap_table() {
            Some(Some(table)) => of_table(&table, word).map_or(Value::Poison, Value::mm),
            Some(None) => Value::Poison,
            None => self.fail(
                Diagnostic::at(
                    codes::GAP_TOO_EARLY,
                    span,
                    format!(
                        "`{word}` is read from the printer's table, and the printer reads this"
                    ),
                )
                .help("give a length here, or give the printer a value that does not read this"),
            ),
        }
    }

    /// The table of the printer of the root file. None while that printer is not worked
    /// out; some of none where it went wrong.
    fn gap_table(&mut self) -> Option<Option<GapTable>> {
        let items = self.program.root().tree.items.iter().enumerate();
        let own = items.filter(|(_, item)| matches!(item.kind, ItemKind::Printer { .. }));
        let Some(item) = own.map(|(item, _)| item).next() else {
            return Some(self.generic().map(|printer| printer.printer.measured));
        };
        let id = DeclId { file: 0, item };
        match self.values.get(&id)? {
            Value::Printer(printer) => Some(Some(printer.printer.measured)),
            _ => Some(None),
        }
    }

    /// The gap of a fit at a basic size; nothing where the fit has none.
    pub fn gap_of_fit(&mut self, text: &str, basic_mm: f64, span: Span) -> Option<(f64, GapName)> {
        let found = FitName::parse(text).and_then(|name| Ok((name.limits(basic_mm)?, name)));
        let (limits, name) = match found {
            Ok(found) => found,
            Err(error) => {
                self.fail(bad_fit(&error, span));
                return None;
            }
        };
        if limits.gap_mm() < 0.0 {
            self.fail(interference(text, &limits.clearance_mm(), span));
            return None;
        }
        Some((limits.gap_mm(), GapName::Limits(name)))
    }
}

/// The gap of this name in a table, mm.
fn of_table(table: &GapTable, word: &str) -> Option<f64> {
    Some(match word {
        "snap" => table.snap_mm,
        "slide" => table.slide_mm,
        "press" => table.press_mm,
        "free" => table.free_mm,
        _ => return None,
    })
}

/// The name of a gap that an expression is.
pub fn gap_word(expr: &Expr) -> Option<&str> {
    match &expr.kind {
        ExprKind::Name(ident) if GAP_WORDS.contains(&&*ident.text) => Some(&ident.text),
        ExprKind::Paren(inner) => gap_word(inner),
        _ => None,
    }
}

/// The size for which the tolerance of a seat is read, mm: the height of a band, the
/// lesser side of the box of a figure or prism.
pub fn basic_mm(body: &Body) -> f64 {
    match body {
        Body::Leaf(Leaf::Inlay(inlay)) => match &inlay.pattern {
            Pattern::Figure { ink } => lesser_side(ink),
            Pattern::Chart { .. } | Pattern::Tile { .. } => inlay.height_mm,
        },
        Body::Leaf(Leaf::Prism(prism)) => lesser_side(&prism.outline),
        Body::Placed { body, .. } => basic_mm(body),
        Body::Empty | Body::Leaf(_) | Body::Boolean { .. } | Body::Many(_) => 0.0,
    }
}

fn lesser_side(outline: &Outline) -> f64 {
    outline.bounds().map_or(0.0, |[low, high]| (high.x - low.x).min(high.y - low.y))
}

/// `clearance("H11/c11", 72 mm)`: the middle of the clearances that a fit leaves, across.
pub fn clearance(values: &[Value], spans: &Spans) -> Result<Value, Fault> {
    let at = |index: usize| spans.get(index + 1).copied().unwrap_or(spans[0]);
    let Some(Value::Text(text)) = values.first() else {
        let message = "`clearance` wants the name of a fit first";
        let finding = Diagnostic::at(codes::WRONG_KIND, at(0), message);
        return Err(Box::new(finding.help("write clearance(\"H11/c11\", 72 mm)")));
    };
    let size = values.get(1).cloned().unwrap_or(Value::None);
    let Some(basic_mm) = size.number(Dimension::LENGTH) else {
        let wants = codes::wants_dimension("the size", Dimension::LENGTH, &size, at(1));
        return Err(Box::new(wants));
    };
    let limits = FitName::parse(text).and_then(|name| name.limits(basic_mm));
    match limits {
        Ok(limits) => Ok(Value::mm(2.0 * limits.gap_mm())),
        Err(error) => Err(Box::new(bad_fit(&error, at(0)))),
    }
}

fn bad_fit(error: &LimitsError, span: Span) -> Diagnostic {
    let help = match error {
        LimitsError::Size(_) => "give a length instead, as in gap: 0.2 mm",
        _ => "write a hole and a shaft with letters to S and s, as in \"H11/c11\"",
    };
    Diagnostic::at(codes::BAD_FIT, span, error.to_string()).help(help)
}

fn interference(text: &str, clearance_mm: &[f64; 2], span: Span) -> Diagnostic {
    let [least, most] = clearance_mm.map(Quantity::mm);
    let message = format!(
        "the fit {text} leaves from {least} to {most} across, in the middle less than none"
    );
    Diagnostic::at(codes::BAD_FIT, span, message)
        .help("name one with play, as in \"H11/c11\"; gaps are drawn, never overlaps")
}

/// A seat that says both a gap and a fit.
pub fn gap_and_fit(gap: Span, fit: Span) -> Diagnostic {
    Diagnostic::at(codes::GAP_AND_FIT, fit, "a seat has a gap or a fit, this one has both")
        .and_at(gap, "the gap")
        .help("leave one of them out")
}
