//! Several mistakes in one run.
//!
//! An item that the grammar refuses is parsed again with the refused part masked, until it is
//! taken or nothing is left to mask: first the field, line or step around the place, then those
//! around that, at last all of the item but its name.

use super::explain;
use super::grammar::{Grammar, Rule};
use super::outline::{Outline, Slice};
use super::scan::{MASK, MAX_FINDINGS, TokenKind};
use super::{depth, findings, lower, units, words};
use crate::diagnostics::{Diagnostic, Severity, Sink};
use crate::source::{FileId, Span};
use crate::syntax::Item;
use pest::Parser;
use std::ops::Range;

/// Bytes that may be parsed in all for recovery. A file of the largest size is parsed twice.
const MAX_WORK: usize = 8 << 20;

/// Recovery over a file.
pub(super) struct Recovery<'t> {
    pub file: FileId,
    pub outline: Outline<'t>,
    /// The text with the patches of the scan, as long as the text.
    pub patched: String,
    pub sink: Sink,
    /// Places of the findings so far.
    reported: Vec<usize>,
    work: usize,
}

impl<'t> Recovery<'t> {
    pub fn new(file: FileId, outline: Outline<'t>, patched: String, sink: Sink) -> Self {
        // A warning explains no mistake: an error beside it is still to be reported.
        let errors = sink.iter().filter(|d| d.severity == Severity::Error);
        let place = |d: &Diagnostic| d.primary.as_ref().map(|l| l.span.start as usize);
        let reported = errors.filter_map(place).collect();
        Recovery { file, outline, patched, sink, reported, work: 0 }
    }

    /// The items of the file, broken ones as far as their names are known.
    pub fn items(&mut self) -> Vec<Item> {
        let slices = std::mem::take(&mut self.outline.slices);
        let mut items = Vec::new();
        let mut lost = false;
        for slice in &slices {
            if self.reported.len() >= MAX_FINDINGS {
                break;
            }
            let first = self.outline.significant(slice.tokens.clone()).first().copied();
            let Some(first) = first else { continue };
            if self.outline.is_word(first) && words::is_item(self.outline.word(first)) {
                lost = false;
                items.extend(self.item(slice));
            } else {
                // A run of lines that are no items is one mistake.
                items.extend(self.no_item(slice, first, lost));
                lost = true;
            }
        }
        items
    }

    /// A slice that begins with no item word.
    fn no_item(&mut self, slice: &Slice, first: usize, lost: bool) -> Option<Item> {
        let span = Span::new(self.file, self.outline.tokens[first].range.clone());
        let word = self.outline.word(first).to_string();
        let meant = if self.outline.is_word(first) {
            words::nearest(&word, words::ITEM_WORDS)
        } else {
            None
        };
        if !lost || meant.is_some() {
            let on_line = self.reported_in(self.line_of(span.start as usize));
            if !on_line {
                self.report(findings::unknown_item(span, &word));
            }
        }
        lower::declaration(&self.outline, slice, self.file, meant?)
    }

    /// One item, parsed as often as it takes.
    fn item(&mut self, slice: &Slice) -> Option<Item> {
        let tokens = &self.outline.tokens;
        let start = tokens[slice.tokens.start].range.start;
        let end = tokens[slice.tokens.end - 1].range.end;
        let mut attempt = Attempt { start, bytes: self.patched.as_bytes()[start..end].to_vec() };
        attempt.bytes.extend(slice.open_braces.iter().map(|_| b'}'));
        if let Some(finding) =
            depth::check(self.file, self.outline.text, &tokens[slice.tokens.clone()])
        {
            self.report(finding);
            return lower::declaration(&self.outline, slice, self.file, "");
        }
        for open in &slice.open_others {
            let at = self.outline.tokens[*open].range.end;
            if !self.mask_around(&mut attempt, slice, at) {
                return lower::declaration(&self.outline, slice, self.file, "");
            }
        }
        while self.work <= MAX_WORK && self.reported.len() < MAX_FINDINGS {
            self.work += attempt.bytes.len();
            let text = String::from_utf8_lossy(&attempt.bytes).into_owned();
            let error = match Grammar::parse(Rule::one_item, &text) {
                Ok(pairs) => return lower::item(self.file, start, pairs, &mut self.sink),
                Err(error) => error,
            };
            let refusal = explain::Refusal { text: &text, start, error: &error };
            let (finding, anchor) = explain::explain(self.file, &self.outline, slice, &refusal);
            let unit = units::around(&self.outline, slice, anchor).into_iter().next();
            let near = unit.map_or_else(|| self.line_of(anchor), |unit| unit.range);
            if !self.reported_in(near) {
                self.report(finding);
            }
            if !self.mask_around(&mut attempt, slice, anchor) {
                break;
            }
        }
        lower::declaration(&self.outline, slice, self.file, "")
    }

    /// Masks the innermost unit around `anchor` that is not masked yet; `false` when there is
    /// none but the item itself.
    fn mask_around(&self, attempt: &mut Attempt, slice: &Slice, anchor: usize) -> bool {
        units::around(&self.outline, slice, anchor)
            .into_iter()
            .any(|unit| attempt.mask(unit.mask) || attempt.mask(unit.range))
    }

    fn report(&mut self, finding: Diagnostic) {
        self.reported.extend(finding.primary.as_ref().map(|l| l.span.start as usize));
        self.sink.push(finding);
    }

    fn reported_in(&self, range: Range<usize>) -> bool {
        self.reported.iter().any(|at| range.contains(at))
    }

    /// The line of a byte, with the line end.
    fn line_of(&self, at: usize) -> Range<usize> {
        let bytes = self.outline.text.as_bytes();
        let at = at.min(bytes.len());
        let start = bytes[..at].iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
        let end = bytes[at..].iter().position(|b| *b == b'\n').map_or(bytes.len(), |i| at + i);
        start..end + 1
    }
}

/// The text of an item as it is to be parsed next.
struct Attempt {
    /// Where it begins in the file.
    start: usize,
    bytes: Vec<u8>,
}

impl Attempt {
    /// Masks a range of the file; `false` when it was masked already or is empty.
    fn mask(&mut self, range: Range<usize>) -> bool {
        let from = range.start.saturating_sub(self.start);
        let to = range.end.saturating_sub(self.start).min(self.bytes.len());
        if from >= to || self.bytes[from..to].iter().all(|b| *b == MASK) {
            return false;
        }
        self.bytes[from..to].fill(MASK);
        true
    }
}

/// The name a broken item declares, with the word of the item.
pub(super) fn declared(outline: &Outline, slice: &Slice) -> Option<(usize, usize)> {
    let significant = outline.significant(slice.tokens.clone());
    let (word, name) = (*significant.first()?, *significant.get(1)?);
    let is_name =
        outline.tokens[name].kind == TokenKind::Word && !words::is_operator(outline.word(name));
    is_name.then_some((word, name))
}
