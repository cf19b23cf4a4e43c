//! Charts: rows of marks. They are judged here, as a row is a line and a mark is a token.

use super::{Scanner, TokenKind};
use crate::syntax::findings;
use std::ops::Range;

/// More marks than any motif has, and few enough to be read at once.
const MAX_MARKS: usize = 100_000;

/// One row: the places of its marks.
type Row = Vec<Range<usize>>;

impl Scanner<'_> {
    /// What follows the word `chart`, when it is `{`.
    pub(super) fn chart(&mut self) {
        let word = self.pos - "chart".len();
        let blanks =
            self.text[self.pos..self.end].bytes().take_while(|b| matches!(b, b' ' | b'\t'));
        let open = self.pos + blanks.count();
        if open >= self.end || self.text.as_bytes()[open] != b'{' {
            return;
        }
        self.pos = open;
        self.push(TokenKind::Open, 1);
        let before = self.out.findings.len();
        let rows = self.rows();
        if self.byte(0) != b'}' {
            return;
        }
        self.push(TokenKind::Close, 1);
        if self.out.findings.len() == before {
            self.judge(word, &rows);
        }
        if self.out.findings.len() > before {
            self.mask(word..self.pos);
        }
    }

    /// Reads rows up to the closing brace, the end, or a line that cannot be a row.
    fn rows(&mut self) -> Vec<Row> {
        let mut rows = Vec::new();
        let mut row = Row::new();
        let mut head_line = true;
        let mut reported = false;
        while self.pos < self.end && !self.out.is_cut_short() {
            match self.byte(0) {
                b' ' | b'\t' | b'\r' => self.pos += 1,
                b'\n' => {
                    self.push(TokenKind::Newline, 1);
                    if !row.is_empty() {
                        rows.push(std::mem::take(&mut row));
                    }
                    head_line = false;
                    reported = false;
                    if self.byte(0).is_ascii_alphabetic() {
                        break;
                    }
                }
                b'}' => {
                    if !row.is_empty() && !reported {
                        let here = self.span(self.pos..self.pos + 1);
                        self.out.report(findings::brace_in_row(here));
                    }
                    break;
                }
                _ => row.push(self.mark(head_line, &mut reported)),
            }
        }
        rows
    }

    /// One run of signs in a row, or beside the brace in the line of its head. A row gives one
    /// finding at the most.
    fn mark(&mut self, head_line: bool, reported: &mut bool) -> Range<usize> {
        let rest = &self.text[self.pos..self.end];
        let len = rest.find([' ', '\t', '\r', '\n', '}']).unwrap_or(rest.len()).max(1);
        let range = self.pos..self.pos + len;
        let here = self.span(range.clone());
        if !*reported && (head_line || !matches!(&rest[..len], "#" | ".")) {
            self.out.report(if head_line {
                findings::row_beside_brace(here)
            } else {
                findings::bad_mark(here, &rest[..len])
            });
            *reported = true;
        }
        self.push(TokenKind::Mark, len);
        range
    }

    /// Rows there must be, of one length.
    fn judge(&mut self, word: usize, rows: &[Row]) {
        let whole = self.span(word..self.pos);
        let Some(first) = rows.first() else {
            self.out.report(findings::empty_chart(whole));
            return;
        };
        let marks: usize = rows.iter().map(Vec::len).sum();
        if marks > MAX_MARKS {
            self.out.report(findings::chart_too_large(whole, marks, MAX_MARKS));
            return;
        }
        // The length that most rows have is the one that was meant; the first row decides a tie.
        let count = |len: usize| rows.iter().filter(|r| r.len() == len).count();
        let mut lengths: Vec<usize> = rows.iter().map(Vec::len).collect();
        lengths.sort_unstable();
        lengths.dedup();
        let meant = lengths
            .into_iter()
            .max_by_key(|len| (count(*len), *len == first.len()))
            .unwrap_or(first.len());
        let Some(model) = rows.iter().find(|r| r.len() == meant) else { return };
        let place = |row: &Row| row.first().zip(row.last()).map(|(a, b)| a.start..b.end);
        let Some(model_place) = place(model) else { return };
        for row in rows.iter().filter(|r| r.len() != meant) {
            let Some(at) = place(row) else { continue };
            let (here, there) = (self.span(at), self.span(model_place.clone()));
            self.out.report(findings::uneven_chart(here, row.len(), there, meant));
        }
    }
}
