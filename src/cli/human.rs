//! One finding for a person: the sentence, the text around it, the way out.

use crate::diagnostics::{Diagnostic, Label, Severity};
use crate::source::{SourceMap, Span};
use clap::builder::styling::{AnsiColor, Style};
use miette::{
    GraphicalReportHandler, GraphicalTheme, LabeledSpan, NamedSource, SourceCode, ThemeCharacters,
    ThemeStyles,
};
use std::fmt;

use super::findings::severity_word;
use super::terminal::Terminal;

/// Longer lines are broken; pinned, so that the same finding looks the same everywhere.
const WIDTH: usize = 100;
/// Lines shown before and after a place.
const CONTEXT: usize = 0;
/// Columns to a tab.
const TAB: usize = 4;

/// Colours and characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Lines drawn with box characters; else with ASCII ones.
    pub drawn: bool,
    /// With colour.
    pub colour: bool,
}

impl Look {
    /// What standard error can show.
    pub fn of(terminal: &Terminal) -> Self {
        Look { drawn: terminal.is_watched(), colour: terminal.has_colour() }
    }

    fn theme(self) -> GraphicalTheme {
        let mut characters =
            if self.drawn { ThemeCharacters::unicode() } else { ThemeCharacters::ascii() };
        // The sentence with its mark is ours; see `finding`.
        characters.error = String::new();
        characters.warning = String::new();
        let styles = if self.colour { ThemeStyles::ansi() } else { ThemeStyles::none() };
        GraphicalTheme { characters, styles }
    }

    fn painted(self, colour: AnsiColor, text: &str) -> String {
        if !self.colour {
            return text.to_string();
        }
        let style = Style::new().bold().fg_color(Some(colour.into()));
        format!("{style}{text}{style:#}")
    }
}

/// `error E0301 unit-mismatch`
pub fn title(finding: &Diagnostic) -> String {
    let Diagnostic { code, severity, .. } = finding;
    format!("{} {} {}", severity_word(*severity), code.id, code.name)
}

/// The whole finding, an empty line after it.
pub fn finding(
    finding: &Diagnostic,
    sources: &SourceMap,
    name: &dyn Fn(Span) -> String,
    look: Look,
) -> String {
    let colour = match finding.severity {
        Severity::Error => AnsiColor::Red,
        Severity::Warning => AnsiColor::Yellow,
    };
    let mut text = format!("{}: {}\n", look.painted(colour, &title(finding)), finding.message);
    for group in by_file(finding) {
        text += &snippet(&group, finding.severity, sources, name, look);
    }
    for call in &finding.trace {
        let position = sources.position(call.span);
        let (file, line, column) = (name(call.span), position.line, position.column);
        text += &format!("   in {} at {file}:{line}:{column}\n", call.text);
    }
    for note in &finding.notes {
        text += &format!("   note: {note}\n");
    }
    for help in &finding.help {
        text += &format!("   {}: {help}\n", look.painted(AnsiColor::Cyan, "help"));
    }
    text + "\n"
}

/// The places of a finding, those of the primary's file first.
fn by_file(finding: &Diagnostic) -> Vec<Vec<(&Label, bool)>> {
    let labels = finding.primary.iter().map(|l| (l, true));
    let labels = labels.chain(finding.secondary.iter().map(|l| (l, false)));
    let mut groups: Vec<Vec<(&Label, bool)>> = Vec::new();
    for label in labels {
        match groups.iter_mut().find(|g| g[0].0.span.file == label.0.span.file) {
            Some(group) => group.push(label),
            None => groups.push(vec![label]),
        }
    }
    groups
}

/// The lines around places of one file.
fn snippet(
    labels: &[(&Label, bool)],
    severity: Severity,
    sources: &SourceMap,
    name: &dyn Fn(Span) -> String,
    look: Look,
) -> String {
    let span = labels[0].0.span;
    let report = Snippet {
        source: NamedSource::new(name(span), sources.text(span.file).to_string()),
        labels: labels.iter().map(|(label, primary)| spot(label, *primary, sources)).collect(),
        severity,
    };
    let handler = GraphicalReportHandler::new_themed(look.theme())
        .with_width(WIDTH)
        .with_context_lines(CONTEXT)
        .with_links(false)
        .tab_width(TAB)
        .without_syntax_highlighting();
    let mut text = String::new();
    if handler.render_report(&mut text, &report).is_err() {
        return String::new();
    }
    // The first line would be the sentence, which is empty here.
    text.split_once('\n').map_or(String::new(), |(_, rest)| rest.to_string())
}

/// A place that can be drawn: on a character, never past the end of the text.
fn spot(label: &Label, primary: bool, sources: &SourceMap) -> LabeledSpan {
    let range = clamped(sources.text(label.span.file), label.span);
    let words = (!label.text.is_empty()).then(|| label.text.clone());
    if primary {
        LabeledSpan::new_primary_with_span(words, range)
    } else {
        LabeledSpan::new_with_span(words, range)
    }
}

/// The range of `span` in `text`; a place at the end of the text moves to its last
/// character that is no line feed.
fn clamped(text: &str, span: Span) -> std::ops::Range<usize> {
    let floor = |at: usize| (0..=at.min(text.len())).rev().find(|i| text.is_char_boundary(*i));
    let start = floor(span.start as usize).unwrap_or(0);
    let end = floor(span.end as usize).unwrap_or(0).max(start);
    let visible = text.trim_end();
    if start < visible.len() {
        return start..end;
    }
    let last = visible.char_indices().next_back().map_or(0, |(i, _)| i);
    last..visible.len()
}

/// What the handler draws.
#[derive(Debug)]
struct Snippet {
    source: NamedSource<String>,
    labels: Vec<LabeledSpan>,
    severity: Severity,
}

impl fmt::Display for Snippet {
    fn fmt(&self, _: &mut fmt::Formatter<'_>) -> fmt::Result {
        Ok(())
    }
}

impl std::error::Error for Snippet {}

impl miette::Diagnostic for Snippet {
    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.severity {
            Severity::Error => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
        })
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&self.source)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(self.labels.iter().cloned()))
    }
}
