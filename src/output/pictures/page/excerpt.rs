//! The lines that a finding is about, with its places marked.

use crate::diagnostics::{Diagnostic, Label};
use crate::source::{FileId, SourceMap};
use serde::Serialize;
use std::collections::BTreeMap;
use std::ops::Range;

/// Lines before and after a place.
const CONTEXT: usize = 1;

/// Lines of one place; longer ones are cut off.
const MOST_LINES: usize = 6;

/// Characters of a line; longer ones are cut off round the place.
const MOST_CHARACTERS: usize = 120;

/// Lines of one file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Excerpt {
    /// The file's name as messages show it.
    pub file: String,
    /// Of the first place, from 1.
    pub line: usize,
    /// In characters, from 1.
    pub column: usize,
    /// In order; numbers need not follow each other.
    pub lines: Vec<ExcerptLine>,
}

/// One line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ExcerptLine {
    /// From 1.
    pub number: usize,
    /// Its text in pieces: 0 unmarked, 1 the place of the finding, 2 another place.
    pub pieces: Vec<(String, u8)>,
    /// What is said at marks that end in this line.
    pub words: Vec<String>,
}

#[derive(Debug, Default)]
struct Marks {
    ranges: Vec<(Range<usize>, u8)>,
    words: Vec<String>,
}

/// The excerpts of a finding, that of its own place first.
pub fn excerpts(sources: &SourceMap, finding: &Diagnostic) -> Vec<Excerpt> {
    let own = finding.primary.iter().map(|label| (label, 1));
    let labels: Vec<(&Label, u8)> =
        own.chain(finding.secondary.iter().map(|label| (label, 2))).collect();
    let mut files: Vec<FileId> = Vec::new();
    for (label, _) in &labels {
        if !files.contains(&label.span.file) {
            files.push(label.span.file);
        }
    }
    files.into_iter().filter_map(|file| excerpt(sources, file, &labels)).collect()
}

fn excerpt(sources: &SourceMap, file: FileId, labels: &[(&Label, u8)]) -> Option<Excerpt> {
    let mut here = labels.iter().filter(|(label, _)| label.span.file == file).peekable();
    let first = sources.position(here.peek()?.0.span);
    let text = sources.text(file);
    let mut marked: BTreeMap<usize, Marks> = BTreeMap::new();
    for (label, mark) in here {
        let from = sources.position(label.span).line;
        let until = label.span.end.max(label.span.start + 1) - 1;
        let last = sources.position(crate::source::Span { start: until, ..label.span }).line;
        let shown = last.min(from + MOST_LINES - 1);
        for number in from.saturating_sub(CONTEXT).max(1)..=shown + CONTEXT {
            let line = marked.entry(number).or_default();
            if (from..=shown).contains(&number) {
                line.ranges.push((label.span.range(), *mark));
            }
            if number == shown && !label.text.is_empty() {
                line.words.push(label.text.clone());
            }
        }
    }
    let mut at = 0;
    let lines = text.split_inclusive('\n').enumerate().filter_map(|(index, line)| {
        let start = at;
        at += line.len();
        let marks = marked.remove(&(index + 1))?;
        let line = line.trim_end_matches(['\n', '\r']);
        Some(ExcerptLine {
            number: index + 1,
            pieces: pieces(line, start, &marks.ranges),
            words: marks.words,
        })
    });
    let lines = lines.collect();
    let file = sources.name(file).to_string();
    Some(Excerpt { file, line: first.line, column: first.column, lines })
}

/// A line in pieces of one mark each; `start` is its place in the file.
fn pieces(line: &str, start: usize, ranges: &[(Range<usize>, u8)]) -> Vec<(String, u8)> {
    let mark_at = |at: usize| {
        let covers = |r: &Range<usize>| {
            // A place at the end of the text, or of no length, marks one character.
            (r.start..r.end.max(r.start + 1)).contains(&at)
        };
        ranges.iter().filter(|(r, _)| covers(r)).map(|(_, mark)| *mark).min().unwrap_or(0)
    };
    let mut characters: Vec<(char, u8)> =
        line.char_indices().map(|(i, c)| (c, mark_at(start + i))).collect();
    let at_end = mark_at(start + line.len());
    if at_end != 0 && characters.iter().all(|(_, mark)| *mark == 0) {
        characters.push((' ', at_end));
    }
    if characters.len() > MOST_CHARACTERS {
        let first = characters.iter().position(|(_, mark)| *mark != 0).unwrap_or(0);
        let from = first.saturating_sub(MOST_CHARACTERS / 4);
        characters = characters.into_iter().skip(from).take(MOST_CHARACTERS).collect();
    }
    let mut out: Vec<(String, u8)> = Vec::new();
    for (c, mark) in characters {
        match out.last_mut() {
            Some((text, last)) if *last == mark => text.push(c),
            _ => out.push((c.to_string(), mark)),
        }
    }
    out
}
