//! What differs between two designs: what they say, what that came to, and the form.
//!
//! In: two sides, each a design worked out and measured, or only its manifest. Out: a
//! [`Report`], and its text for terminals, reviews and scripts. Meaning is taken from the trees
//! and values, so comments and layout do not count; what followed from the measured values;
//! form from the finished bodies. Kept out: files, revisions, colour, and any judgement on
//! whether a change is good.

mod form;
mod html;
mod markdown;
mod meaning;
mod pictures;
mod report;
mod spell;
mod statements;
mod table;
mod values;

pub use form::{Difference, Fate, PartForm, Shift};
pub use meaning::{Change, Renamed};
pub use report::{Compared, Report, Written};
pub use values::{Moved, Scalar, Weight};

use crate::evaluate::Choice;
use crate::pipeline::{Made, Study};
use serde_json::Value;

/// One of the two sides.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    /// What the reader calls it: `HEAD:jar.pkn`.
    pub label: &'a str,
    /// What is known of it.
    pub content: Content<'a>,
}

/// What is known of a side.
#[derive(Clone, Copy, Debug)]
pub enum Content<'a> {
    /// A design, worked out under a choice.
    Study {
        /// What it says and comes to.
        study: &'a Study,
        /// Size and settings.
        choice: &'a Choice,
    },
    /// Only the manifest of an earlier build.
    Manifest(&'a Value),
}

impl<'a> Content<'a> {
    /// Its finished parts.
    fn made(&self) -> Option<&'a Made> {
        match self {
            Content::Study { study, .. } => study.made.as_ref(),
            Content::Manifest(_) => None,
        }
    }

    /// Its manifest; none where the text has errors.
    fn manifest(&self) -> Option<Value> {
        match self {
            Content::Study { study, .. } => {
                let bytes = study.made.as_ref()?.manifest.to_json().ok()?;
                serde_json::from_slice(&bytes).ok()
            }
            Content::Manifest(manifest) => Some((*manifest).clone()),
        }
    }
}

/// A manifest in lines: inputs, then every measured value with its unit.
pub fn manifest_text(manifest: &Value) -> String {
    let mut text = String::new();
    for statement in statements::of_manifest(manifest, &spell::Names::new()) {
        for (field, said) in &statement.fields {
            let field = if field.is_empty() { String::new() } else { format!(", {field}") };
            text += &format!("{} {}{field}: {}\n", statement.kind, statement.name, said.text);
        }
    }
    text + &values::lines(manifest)
}

/// Compares two sides.
pub fn compare(old: &Side<'_>, new: &Side<'_>) -> Compared {
    report::compare(old, new)
}
