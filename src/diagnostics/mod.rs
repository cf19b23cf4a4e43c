//! Findings: what went wrong or looks wrong, where, and the way out.
//!
//! In: constructors of the stages. Out: [`Diagnostic`]s in a [`Sink`].
//! Kept out: rendering (the command line does that) and texts of files; a
//! finding knows places only.
//!
//! A message is one sentence, lower case, no full stop, makes sense alone, in the
//! author's words, with both sides of a conflict and their units.

use crate::source::Span;

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Nothing is written.
    Error,
    /// The build goes on.
    Warning,
}

/// A stable code with its stable name. `E0301 unit-mismatch`. Blocks by room:
/// 01 syntax, 02 names, 03 kinds and units, 04 evaluation, 05 model, 06 fit,
/// 07 geometry, 08 mesh, 09 files and output, 10 print; `W` for warnings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Code {
    /// `E0301`
    pub id: &'static str,
    /// `unit-mismatch`
    pub name: &'static str,
}

impl Code {
    /// A code; every room lists its own in a table `CODES`.
    pub const fn new(id: &'static str, name: &'static str) -> Self {
        Code { id, name }
    }

    /// `W…` warns, everything else is an error.
    pub fn severity(&self) -> Severity {
        if self.id.starts_with('W') { Severity::Warning } else { Severity::Error }
    }
}

/// We are wrong, not the author. The command line then exits with 3.
pub const BUG: Code = Code::new("B9999", "bug");

/// A place with a few words about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Where.
    pub span: Span,
    /// What is there, in a few words; may be empty.
    pub text: String,
}

/// A number behind a finding, for machines and the manifest.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// What it is, `asked` or `wall`.
    pub name: &'static str,
    /// Its value in `unit`.
    pub value: f64,
    /// `mm`, `deg`, …; empty for counts.
    pub unit: &'static str,
}

/// One finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnostic {
    /// Code and name.
    pub code: Code,
    /// Error or warning; from the code.
    pub severity: Severity,
    /// The sentence.
    pub message: String,
    /// The place it is about; `None` for findings about files or the command.
    pub primary: Option<Label>,
    /// Other places that matter.
    pub secondary: Vec<Label>,
    /// Ways out: what to type.
    pub help: Vec<String>,
    /// Background.
    pub notes: Vec<String>,
    /// The calls that led here, innermost first: the call's place and its name.
    pub trace: Vec<Label>,
    /// Numbers, for machines.
    pub facts: Vec<Fact>,
}

impl Diagnostic {
    /// A finding about a place.
    pub fn at(code: Code, span: Span, message: impl Into<String>) -> Self {
        let mut d = Diagnostic::nowhere(code, message);
        d.primary = Some(Label { span, text: String::new() });
        d
    }

    /// A finding that has no place in a text.
    pub fn nowhere(code: Code, message: impl Into<String>) -> Self {
        Diagnostic {
            code,
            severity: code.severity(),
            message: message.into(),
            primary: None,
            secondary: Vec::new(),
            help: Vec::new(),
            notes: Vec::new(),
            trace: Vec::new(),
            facts: Vec::new(),
        }
    }

    /// Words at the primary place.
    #[must_use]
    pub fn label(mut self, text: impl Into<String>) -> Self {
        if let Some(primary) = &mut self.primary {
            primary.text = text.into();
        }
        self
    }

    /// Another place.
    #[must_use]
    pub fn and_at(mut self, span: Span, text: impl Into<String>) -> Self {
        self.secondary.push(Label { span, text: text.into() });
        self
    }

    /// A way out.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Self {
        self.help.push(text.into());
        self
    }

    /// Background.
    #[must_use]
    pub fn note(mut self, text: impl Into<String>) -> Self {
        self.notes.push(text.into());
        self
    }

    /// A number for machines.
    #[must_use]
    pub fn fact(mut self, name: &'static str, value: f64, unit: &'static str) -> Self {
        self.facts.push(Fact { name, value, unit });
        self
    }
}

/// Where stages put their findings. No stage stops at the first one.
#[derive(Clone, Debug, Default)]
pub struct Sink {
    findings: Vec<Diagnostic>,
}

impl Sink {
    /// Adds a finding.
    pub fn push(&mut self, finding: Diagnostic) {
        self.findings.push(finding);
    }

    /// Adds all findings of another sink.
    pub fn append(&mut self, other: Sink) {
        self.findings.extend(other.findings);
    }

    /// Whether there is any error.
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|d| d.severity == Severity::Error)
    }

    /// The findings as they came.
    pub fn iter(&self) -> impl Iterator<Item = &Diagnostic> {
        self.findings.iter()
    }

    /// The findings sorted by file and offset, doubles dropped.
    pub fn into_sorted(self) -> Vec<Diagnostic> {
        let mut all = self.findings;
        all.sort_by(|a, b| {
            let place = |d: &Diagnostic| d.primary.as_ref().map(|l| l.span);
            // Findings without a place come last.
            (place(a).is_none(), place(a), a.code, &a.message).cmp(&(
                place(b).is_none(),
                place(b),
                b.code,
                &b.message,
            ))
        });
        all.dedup_by(|a, b| {
            a.code == b.code
                && a.message == b.message
                && a.primary.as_ref().map(|l| l.span) == b.primary.as_ref().map(|l| l.span)
        });
        all
    }
}
