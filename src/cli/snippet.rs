//! The lines that a finding is about, drawn by miette with everything pinned, so that the
//! same finding looks the same everywhere.

use crate::diagnostics::{Diagnostic, Label, Severity};
use crate::source::{SourceMap, Span};
use miette::{
    GraphicalReportHandler, GraphicalTheme, LabeledSpan, NamedSource, SourceCode, ThemeCharacters,
    ThemeStyles,
};
use std::fmt;
use std::ops::Range;

use super::human::Look;

/// Longer lines are broken.
const WIDTH: usize = 100;
/// Lines shown before and after a place: with none, the start of a line is cut off.
const CONTEXT: usize = 1;
/// Columns to a tab.
const TAB: usize = 4;

/// The places of a finding in their lines, those of the primary's file first.
pub fn snippets(
    finding: &Diagnostic,
    sources: &SourceMap,
    name: &dyn Fn(Span) -> String,
    look: Look,
) -> String {
    let groups = by_file(finding);
    groups.iter().map(|group| drawn(group, finding.severity, sources, name, look)).collect()
}

fn by_file(finding: &Diagnostic) -> Vec<Vec<(&Label, bool)>> {
    let labels = finding.primary.iter().map(|label| (label, true));
    let labels = labels.chain(finding.secondary.iter().map(|label| (label, false)));
    let mut groups: Vec<Vec<(&Label, bool)>> = Vec::new();
    for label in labels {
        match groups.iter_mut().find(|group| group[0].0.span.file == label.0.span.file) {
            Some(group) => group.push(label),
            None => groups.push(vec![label]),
        }
    }
    groups
}

fn drawn(
    labels: &[(&Label, bool)],
    severity: Severity,
    sources: &SourceMap,
    name: &dyn Fn(Span) -> String,
    look: Look,
) -> String {
    let span = labels[0].0.span;
    let text = sources.text(span.file);
    let lines = Lines {
        source: NamedSource::new(name(span), harmless(text)),
        labels: labels.iter().map(|(label, primary)| spot(label, *primary, text)).collect(),
        severity,
    };
    let handler = GraphicalReportHandler::new_themed(theme(look))
        .with_width(WIDTH)
        .with_context_lines(CONTEXT)
        .with_links(false)
        .tab_width(TAB)
        .without_syntax_highlighting();
    let mut text = String::new();
    if handler.render_report(&mut text, &lines).is_err() {
        return String::new();
    }
    // The first line would be the sentence; ours stands above, with its code.
    text.split_once('\n').map_or(String::new(), |(_, rest)| rest.to_string())
}

fn theme(look: Look) -> GraphicalTheme {
    let mut characters =
        if look.drawn { ThemeCharacters::unicode() } else { ThemeCharacters::ascii() };
    characters.error = String::new();
    characters.warning = String::new();
    let styles = if look.colour { ThemeStyles::ansi() } else { ThemeStyles::none() };
    GraphicalTheme { characters, styles }
}

/// Text from a file must not steer the terminal: control characters are replaced, byte for
/// byte, so that places stay where they are.
fn harmless(text: &str) -> String {
    let mut clean = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_control() && c != '\n' && c != '\t' {
            clean.extend(std::iter::repeat_n('?', c.len_utf8()));
        } else {
            clean.push(c);
        }
    }
    clean
}

/// A place that can be drawn: on a character, never past the end of the text.
fn spot(label: &Label, primary: bool, text: &str) -> LabeledSpan {
    let range = clamped(text, label.span);
    let words = (!label.text.is_empty()).then(|| harmless(&label.text));
    if primary {
        LabeledSpan::new_primary_with_span(words, range)
    } else {
        LabeledSpan::new_with_span(words, range)
    }
}

/// The range of `span` in `text`; a place at the end of the text moves to its last
/// character that is no line feed.
fn clamped(text: &str, span: Span) -> Range<usize> {
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
struct Lines {
    source: NamedSource<String>,
    labels: Vec<LabeledSpan>,
    severity: Severity,
}

impl fmt::Display for Lines {
    fn fmt(&self, _: &mut fmt::Formatter<'_>) -> fmt::Result {
        Ok(())
    }
}

impl std::error::Error for Lines {}

impl miette::Diagnostic for Lines {
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
