//! Findings for people and for machines.

use crate::diagnostics::{Diagnostic, Label, Severity};
use crate::source::{SourceMap, Span};
use serde::Serialize;
use std::path::{Path, PathBuf};

use super::args::Format;
use super::human;
use super::terminal::Terminal;

/// More than this tires the reader; the rest is counted.
pub const MOST_SHOWN: usize = 50;

/// Shows findings in one format.
#[derive(Debug)]
pub struct Reporter {
    format: Format,
    /// Before the names of files that are not the standard library's.
    folder: PathBuf,
    /// What was shown, so that two sizes do not say the same twice.
    shown: Vec<Diagnostic>,
}

impl Reporter {
    /// For findings about the file at `root`.
    pub fn new(format: Format, root: &Path) -> Self {
        let folder = root.parent().map(Path::to_path_buf).unwrap_or_default();
        Reporter { format, folder, shown: Vec::new() }
    }

    /// Shows what was not shown before.
    pub fn show(&mut self, terminal: &mut Terminal, sources: &SourceMap, findings: &[Diagnostic]) {
        let fresh: Vec<&Diagnostic> = findings.iter().filter(|f| !self.shown.contains(f)).collect();
        let most = if self.format == Format::Json { fresh.len() } else { MOST_SHOWN };
        for finding in fresh.iter().take(most) {
            let text = match self.format {
                Format::Human => {
                    let name = |span: Span| self.file(sources, span);
                    human::finding(finding, sources, &name, human::Look::of(terminal))
                }
                Format::Short => self.short(sources, finding),
                Format::Json => self.json(sources, finding),
            };
            terminal.tell(&text);
        }
        if fresh.len() > most {
            terminal.tell(&format!("and {} more findings\n", fresh.len() - most));
        }
        let fresh: Vec<Diagnostic> = fresh.into_iter().cloned().collect();
        self.shown.extend(fresh);
    }

    /// The last words for people: how many findings, and where to read on.
    pub fn close(&self, terminal: &mut Terminal, deny_warnings: bool) {
        if self.format == Format::Human && !self.shown.is_empty() {
            let has_errors = self.shown.iter().any(|f| f.severity == Severity::Error);
            let denied = if deny_warnings && !has_errors { ", denied" } else { "" };
            terminal.tell(&format!("{}\n", summary(&self.shown, denied)));
        }
    }

    fn file(&self, sources: &SourceMap, span: Span) -> String {
        let name = sources.name(span.file);
        if name.starts_with("std.") {
            return name.to_string();
        }
        self.folder.join(name).to_string_lossy().into_owned()
    }

    fn short(&self, sources: &SourceMap, finding: &Diagnostic) -> String {
        let place = match &finding.primary {
            Some(label) => {
                let position = sources.position(label.span);
                let file = self.file(sources, label.span);
                format!("{file}:{}:{}: ", position.line, position.column)
            }
            None => String::new(),
        };
        format!("{place}{}: {}\n", human::title(finding), finding.message)
    }

    fn json(&self, sources: &SourceMap, finding: &Diagnostic) -> String {
        let places = |labels: &[Label]| labels.iter().map(|l| self.place(sources, l)).collect();
        let line = JsonFinding {
            code: finding.code.id,
            name: finding.code.name,
            severity: severity_word(finding.severity),
            message: &finding.message,
            place: finding.primary.as_ref().map(|l| self.place(sources, l)).unwrap_or_default(),
            also: places(&finding.secondary),
            trace: places(&finding.trace),
            help: &finding.help,
            notes: &finding.notes,
            facts: finding.facts.iter().map(JsonFact::from).collect(),
        };
        // These structures hold nothing that JSON lacks.
        serde_json::to_string(&line).map_or_else(|e| e.to_string(), |json| json + "\n")
    }

    fn place(&self, sources: &SourceMap, label: &Label) -> JsonPlace {
        let start = sources.position(label.span);
        let end = sources.position(Span { start: label.span.end, ..label.span });
        JsonPlace {
            file: Some(self.file(sources, label.span)),
            line: Some(start.line),
            column: Some(start.column),
            end: Some(JsonEnd { line: end.line, column: end.column }),
            label: label.text.clone(),
        }
    }
}

/// `error` or `warning`.
pub fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    }
}

/// `2 errors, 1 warning; pipkin explain E0301 tells more`
fn summary(findings: &[Diagnostic], denied: &str) -> String {
    let count = |severity, word: &str| {
        let n = findings.iter().filter(|f| f.severity == severity).count();
        let plural = if n == 1 { "" } else { "s" };
        (n > 0).then(|| format!("{n} {word}{plural}"))
    };
    let counts: Vec<String> =
        [count(Severity::Error, "error"), count(Severity::Warning, "warning")]
            .into_iter()
            .flatten()
            .collect();
    let worst = findings.iter().find(|f| f.severity == Severity::Error).or(findings.first());
    let code = worst.map_or("CODE", |f| f.code.id);
    format!("{}{denied}; `pipkin explain {code}` tells more", counts.join(", "))
}

/// One finding on one line. A contract with editors: keys keep their names.
#[derive(Serialize)]
struct JsonFinding<'a> {
    code: &'a str,
    name: &'a str,
    severity: &'a str,
    message: &'a str,
    #[serde(flatten)]
    place: JsonPlace,
    also: Vec<JsonPlace>,
    trace: Vec<JsonPlace>,
    help: &'a [String],
    notes: &'a [String],
    facts: Vec<JsonFact>,
}

/// All null for findings without a place.
#[derive(Default, Serialize)]
struct JsonPlace {
    file: Option<String>,
    line: Option<usize>,
    column: Option<usize>,
    /// One past the last character.
    end: Option<JsonEnd>,
    label: String,
}

#[derive(Serialize)]
struct JsonEnd {
    line: usize,
    column: usize,
}

#[derive(Serialize)]
struct JsonFact {
    name: &'static str,
    value: f64,
    unit: &'static str,
}

impl From<&crate::diagnostics::Fact> for JsonFact {
    fn from(fact: &crate::diagnostics::Fact) -> Self {
        let value = crate::output::number::rounded(fact.value);
        JsonFact { name: fact.name, value, unit: fact.unit }
    }
}
