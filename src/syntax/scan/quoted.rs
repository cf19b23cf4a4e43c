//! Texts and the values in them.

use super::{Patch, Scanner, TokenKind};
use crate::syntax::findings;
use std::ops::Range;

/// What is wrong in a text.
enum Fault {
    /// No closing quote on the line.
    Unclosed,
    /// A backslash that escapes nothing, a lone `}`, a quote within braces.
    At(Range<usize>, &'static str),
}

/// A text as seen from its opening quote.
struct Seen {
    /// One past its closing quote, or the end of the line.
    end: usize,
    /// What stands between each `{` and its `}`.
    holes: Vec<Range<usize>>,
    fault: Option<Fault>,
}

impl Scanner<'_> {
    /// A text; what stands in its braces is scanned as tokens of its own.
    pub(super) fn quoted(&mut self) {
        let line = self.line_end();
        let seen = look(self.text.as_bytes(), self.pos, line);
        match seen.fault {
            None => self.push_quoted(seen.end, &seen.holes),
            Some(Fault::At(at, what)) => {
                let finding = findings::bad_text(self.span(at), what);
                self.push_bad(seen.end - self.pos, finding);
            }
            Some(Fault::Unclosed) => {
                let end = self.pos + unclosed_len(&self.text[self.pos..line]);
                let finding = findings::unclosed_text(self.span(self.pos..end));
                self.push_bad(end - self.pos, finding);
            }
        }
    }

    fn push_quoted(&mut self, end: usize, holes: &[Range<usize>]) {
        let file_end = self.end;
        let mut kind = TokenKind::TextHead;
        for hole in holes {
            self.push(kind, hole.start - self.pos);
            self.end = hole.end;
            self.run();
            self.pos = hole.end;
            self.end = file_end;
            kind = TokenKind::TextMiddle;
        }
        let last = if holes.is_empty() { TokenKind::Text } else { TokenKind::TextTail };
        self.push(last, end - self.pos);
    }
}

/// Finds the end of the text that begins at `start`, and its holes.
fn look(bytes: &[u8], start: usize, line: usize) -> Seen {
    let mut seen = Seen { end: line, holes: Vec::new(), fault: None };
    let mut hole: Option<(usize, usize)> = None;
    let mut at = start + 1;
    while at < line {
        let next = if at + 1 < line { bytes[at + 1] } else { 0 };
        match (&mut hole, bytes[at]) {
            (None, b'"') => {
                seen.end = at + 1;
                return seen;
            }
            (Some(_), b'"') => {
                let what = "no quotes inside the braces of a text: give it a name with `let`";
                seen.fault = Some(Fault::At(at..at + 1, what));
                return seen;
            }
            (None, b'\\') => {
                if !matches!(next, b'"' | b'\\') && seen.fault.is_none() {
                    let what = "write `\\\"` for a quote and `\\\\` for a backslash";
                    seen.fault = Some(Fault::At(at..at + 1, what));
                }
                at += usize::from(matches!(next, b'"' | b'\\'));
            }
            (None, b'{') if next == b'{' => at += 1,
            (None, b'}') if next == b'}' => at += 1,
            (None, b'{') => hole = Some((at + 1, 0)),
            (None, b'}') if seen.fault.is_none() => {
                let what = "write `}}` for a brace that is to be printed";
                seen.fault = Some(Fault::At(at..at + 1, what));
            }
            (Some((_, depth)), b'{') => *depth += 1,
            (Some((from, 0)), b'}') => {
                seen.holes.push(*from..at);
                hole = None;
            }
            (Some((_, depth)), b'}') => *depth -= 1,
            _ => {}
        }
        at += 1;
    }
    seen.fault = Some(Fault::Unclosed);
    seen
}

/// How much of the rest of a line an unclosed text takes: closing brackets at the end that close
/// nothing within the text are left out of it, for they close something before it.
fn unclosed_len(rest: &str) -> usize {
    let mut taken = rest.trim_end();
    while let Some(close) = taken.chars().next_back() {
        let open = match close {
            ')' => '(',
            ']' => '[',
            '}' => '{',
            _ => break,
        };
        if taken.matches(close).count() <= taken.matches(open).count() {
            break;
        }
        taken = taken[..taken.len() - 1].trim_end();
    }
    taken.len()
}

impl Scanner<'_> {
    /// Masks a range that is no single token.
    pub(super) fn mask(&mut self, range: Range<usize>) {
        self.out.patches.push((range, Patch::Mask));
    }
}
