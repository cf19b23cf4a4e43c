//! `drawing "file.svg"`: what an SVG file paints, as an outline.

use super::codes;
use super::evaluator::{Evaluator, Scope};
use super::ink::{Ink, OutlineValue};
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::drawing::{Fault, Kind, read};
use crate::quantity::Dimension;
use crate::resolve::Drawing;
use crate::source::Span;
use crate::syntax::Expr;

impl Evaluator<'_> {
    /// The outline of a drawing; poison where its file could not be read.
    pub fn drawing(&mut self, scope: &Scope<'_>, arg: &Expr) -> Value {
        let Some(name) = arg.plain_text() else { return Value::Poison };
        let program = self.program;
        let Some(drawing) = program.drawings.get(&(scope.file, name.to_string())) else {
            return Value::Poison;
        };
        let outline = match read(&drawing.text) {
            Ok(outline) => outline,
            Err(fault) => return self.fail(unusable(fault, drawing, arg.span)),
        };
        match OutlineValue::of(Ink::Fixed(outline), Dimension::LENGTH) {
            Ok(value) => Value::Outline(value),
            Err(error) => self.bad_outline(arg.span, &error),
        }
    }
}

/// What is the matter with a drawing, shown where it is used and where it is in the file.
fn unusable(fault: Fault, drawing: &Drawing, used_at: Span) -> Diagnostic {
    let code = match fault.kind {
        Kind::Unusable => codes::UNUSABLE_DRAWING,
        Kind::Malformed => codes::BAD_DRAWING,
        Kind::TooMuch => codes::TOO_MUCH_WORK,
        Kind::Blank => codes::BLANK_DRAWING,
    };
    Diagnostic::at(code, used_at, fault.what)
        .and_at(Span::new(drawing.file, fault.at), "here in the drawing")
        .help(fault.help)
}
