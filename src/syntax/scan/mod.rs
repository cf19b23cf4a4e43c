//! Text to tokens, without loss and without judging how they go together.
//!
//! In: the text of a file. Out: tokens, findings about single tokens, and patches: what the
//! parser is to read in place of the text that was reported here.
//! Kept out: everything that needs more than one line to be seen. The grammar is the authority
//! on what is well formed; the tokens serve recovery, the depth check, and whoever lays out text.

mod chart;
mod number;
mod quoted;

use super::findings;
use super::words;
use crate::diagnostics::Diagnostic;
use crate::source::{FileId, Span};
use std::ops::Range;

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TokenKind {
    /// A name or a word of the language.
    Word,
    /// `14`, `0.5`
    Number,
    /// The unit behind a number, `%` too.
    Unit,
    /// `#e8e1d3`
    Colour,
    /// A text without `{…}` in it.
    Text,
    /// A text up to its first `{`.
    TextHead,
    /// A text from a `}` to the next `{`.
    TextMiddle,
    /// A text from its last `}` on.
    TextTail,
    /// `+`, `..`, `<=`, `:` …
    Symbol,
    /// `(`, `[`, `{`
    Open,
    /// `)`, `]`, `}`
    Close,
    /// A mark in the row of a chart.
    Mark,
    /// A `##` line.
    Doc,
    /// A `#` comment.
    Comment,
    /// The end of a line, without its carriage return.
    Newline,
    /// Text that was reported; it stands for a value.
    Bad,
}

impl TokenKind {
    /// Neither comment nor newline.
    pub fn is_significant(self) -> bool {
        !matches!(self, TokenKind::Comment | TokenKind::Newline)
    }
}

/// A token: the text between two tokens is blank.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Token {
    /// What it is.
    pub kind: TokenKind,
    /// Its bytes in the text.
    pub range: Range<usize>,
}

/// What the parser reads in place of some bytes; the length stays the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Patch {
    /// The sign for text that was reported.
    Mask,
    /// Blanks.
    Blank,
    /// This, then blanks.
    With(&'static str),
}

/// What the parser's mask is made of: U+001A SUBSTITUTE.
pub(super) const MASK: u8 = 0x1a;

/// Findings in one file after which nobody looks further.
pub(super) const MAX_FINDINGS: usize = 200;

/// Tokens of one file, line ends and comments among them: some 30,000 lines, far above any
/// design, and few enough that parser and tree stay small and quick.
pub const MAX_TOKENS: usize = 200_000;

/// The result of a scan.
pub(super) struct Scan {
    pub tokens: Vec<Token>,
    pub findings: Vec<Diagnostic>,
    pub patches: Vec<(Range<usize>, Patch)>,
}

impl Scan {
    /// Adds a finding, up to the number that anybody looks at.
    pub fn report(&mut self, finding: Diagnostic) {
        if self.findings.len() < MAX_FINDINGS {
            self.findings.push(finding);
        }
    }

    /// Whether the scan ended before the text did.
    pub fn is_cut_short(&self) -> bool {
        self.tokens.len() > MAX_TOKENS || self.findings.len() >= MAX_FINDINGS
    }
}

/// Puts patches over a text.
pub(super) fn patched(text: &str, patches: &[(Range<usize>, Patch)]) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for (range, patch) in patches {
        let (fill, start) = match patch {
            Patch::Mask => (MASK, ""),
            Patch::Blank => (b' ', ""),
            Patch::With(start) => (b' ', *start),
        };
        for (i, byte) in bytes[range.clone()].iter_mut().enumerate() {
            *byte = start.as_bytes().get(i).copied().unwrap_or(fill);
        }
    }
    // Patches cover whole characters, so this never loses anything.
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Scans a whole file.
pub(super) fn scan(file: FileId, text: &str) -> Scan {
    let out = Scan { tokens: Vec::new(), findings: Vec::new(), patches: Vec::new() };
    let mut scanner = Scanner { file, text, pos: 0, end: text.len(), out };
    if text.starts_with('\u{feff}') {
        scanner.pos = '\u{feff}'.len_utf8();
        scanner.out.patches.push((0..scanner.pos, Patch::Blank));
    }
    scanner.run();
    if scanner.out.tokens.len() > MAX_TOKENS {
        let at = scanner.span(scanner.pos..scanner.pos);
        scanner.out.report(findings::file_too_long(at, MAX_TOKENS));
    }
    scanner.out
}

struct Scanner<'t> {
    file: FileId,
    text: &'t str,
    pos: usize,
    end: usize,
    out: Scan,
}

impl Scanner<'_> {
    /// Scans up to `self.end`.
    fn run(&mut self) {
        while self.pos < self.end && !self.out.is_cut_short() {
            let byte = self.byte(0);
            match byte {
                b' ' | b'\t' => self.pos += 1,
                b'\r' => self.carriage_return(),
                b'\n' => self.push(TokenKind::Newline, 1),
                b'#' => self.hash(),
                b'"' => self.quoted(),
                b'0'..=b'9' => self.number(),
                b'.' if self.byte(1).is_ascii_digit() && !self.after_value() => self.number(),
                b'(' | b'[' | b'{' => self.push(TokenKind::Open, 1),
                b')' | b']' | b'}' => self.push(TokenKind::Close, 1),
                b if b.is_ascii_alphabetic() => self.word(),
                b if b.is_ascii_graphic() => self.symbol(),
                _ => self.odd(),
            }
        }
    }

    /// The byte `ahead` of the place reached; 0 behind the end.
    fn byte(&self, ahead: usize) -> u8 {
        let at = self.pos + ahead;
        if at < self.end { self.text.as_bytes()[at] } else { 0 }
    }

    fn push(&mut self, kind: TokenKind, len: usize) {
        self.out.tokens.push(Token { kind, range: self.pos..self.pos + len });
        self.pos += len;
    }

    fn span(&self, range: Range<usize>) -> Span {
        Span::new(self.file, range)
    }

    /// Reports a token that stands for a value from now on.
    fn push_bad(&mut self, len: usize, finding: Diagnostic) {
        self.out.report(finding);
        self.out.patches.push((self.pos..self.pos + len, Patch::Mask));
        self.push(TokenKind::Bad, len);
    }

    fn last(&self) -> Option<&Token> {
        self.out.tokens.last()
    }

    /// The text of a token.
    fn text_of(&self, token: &Token) -> &str {
        &self.text[token.range.clone()]
    }

    /// Whether the last token ends a value, as far as one token can tell.
    fn after_value(&self) -> bool {
        let Some(last) = self.last() else { return false };
        match last.kind {
            TokenKind::Word => !words::wants_more(self.text_of(last)),
            TokenKind::Symbol | TokenKind::Open => false,
            TokenKind::TextHead | TokenKind::TextMiddle => false,
            kind => kind.is_significant(),
        }
    }

    /// Whether a value may begin here: behind an operator, `=`, `:`, a comma or a bracket.
    fn value_may_begin(&self) -> bool {
        self.last().is_some_and(|last| last.kind.is_significant()) && !self.after_value()
    }

    /// Where the line ends, without its carriage return.
    fn line_end(&self) -> usize {
        let rest = &self.text[self.pos..self.end];
        let line = rest.split('\n').next().unwrap_or(rest);
        self.pos + line.strip_suffix('\r').unwrap_or(line).len()
    }

    fn carriage_return(&mut self) {
        if self.byte(1) != b'\n' {
            let at = self.pos..self.pos + 1;
            self.out.report(findings::lone_carriage_return(self.span(at)));
        }
        self.pos += 1;
    }

    fn word(&mut self) {
        let rest = &self.text[self.pos..self.end];
        let len = rest.find(|c: char| c != '_' && !c.is_alphanumeric()).unwrap_or(rest.len());
        if !rest[..len].is_ascii() {
            let finding = findings::foreign_letters(self.span(self.pos..self.pos + len));
            self.push_bad(len, finding);
            return;
        }
        let is_chart = &rest[..len] == "chart";
        self.push(TokenKind::Word, len);
        if is_chart {
            self.chart();
        }
    }

    fn symbol(&mut self) {
        let two = [self.byte(0), self.byte(1)];
        let len = match &two {
            b".." | b"<=" | b">=" | b"==" | b"!=" | b"&&" | b"||" | b"**" | b"//" => 2,
            _ => 1,
        };
        self.push(TokenKind::Symbol, len);
    }

    /// A comment, a doc line or a colour.
    fn hash(&mut self) {
        let line = self.line_end();
        let next = self.byte(1);
        if next == b'#' {
            self.push(TokenKind::Doc, line - self.pos);
        } else if !next.is_ascii_alphanumeric() {
            self.push(TokenKind::Comment, line - self.pos);
        } else {
            self.colour(line);
        }
    }

    fn colour(&mut self, line: usize) {
        let rest = &self.text[self.pos + 1..line];
        let digits = rest.find(|c: char| c != '_' && !c.is_alphanumeric()).unwrap_or(rest.len());
        let word = &rest[..digits];
        let here = self.span(self.pos..self.pos + 1 + digits);
        if !self.value_may_begin() {
            self.out.report(findings::colour_for_comment(here, word));
            self.out.patches.push((self.pos..line, Patch::Blank));
            self.push(TokenKind::Comment, line - self.pos);
        } else if word.len() == 6 && word.bytes().all(|b| b.is_ascii_hexdigit()) {
            self.push(TokenKind::Colour, 7);
        } else {
            let finding = findings::bad_colour(here, word);
            self.push_bad(1 + digits, finding);
        }
    }

    /// A run of characters the language does not use.
    fn odd(&mut self) {
        let rest = &self.text[self.pos..self.end];
        let Some(first) = rest.chars().next() else { return };
        if let Some(sign) = findings::plain_sign(first) {
            let len = first.len_utf8();
            let at = self.pos..self.pos + len;
            self.out.report(findings::odd_character(self.span(at.clone()), first));
            if matches!(sign, "\"" | "'") {
                self.curly_quotes(first);
            } else {
                self.out.patches.push((at, Patch::With(sign)));
                self.push(TokenKind::Symbol, len);
            }
            return;
        }
        let is_odd = |c: char| !c.is_ascii_graphic() && !matches!(c, ' ' | '\t' | '\r' | '\n');
        let len = rest.find(|c: char| !is_odd(c)).unwrap_or(rest.len());
        let at = self.pos..self.pos + len;
        self.out.report(findings::odd_character(self.span(at.clone()), first));
        self.out.patches.push((at, Patch::Blank));
        self.push(TokenKind::Comment, len);
    }

    /// A text between typographic quotes: taken as one bad value.
    fn curly_quotes(&mut self, first: char) {
        let line = self.line_end();
        let inner = &self.text[self.pos + first.len_utf8()..line];
        let quote = |c: char| matches!(findings::plain_sign(c), Some("\"" | "'")) || c == '"';
        let len = match inner.char_indices().find(|(_, c)| quote(*c)) {
            Some((at, c)) => first.len_utf8() + at + c.len_utf8(),
            None => first.len_utf8() + inner.len(),
        };
        self.out.patches.push((self.pos..self.pos + len, Patch::Mask));
        self.push(TokenKind::Bad, len);
    }
}
