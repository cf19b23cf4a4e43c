//! How deep and how long expressions are, seen before the parser runs: parser and all who walk
//! the tree call themselves once a level, and a stack is finite.

use super::findings;
use super::scan::{Token, TokenKind};
use super::words;
use crate::diagnostics::Diagnostic;
use crate::source::{FileId, Span};

/// Brackets that may be open at once.
pub const MAX_BRACKETS: usize = 200;

/// Words that nest (`if`, `of`, `not`, `round` …) that may be waiting for their end at once.
pub const MAX_NESTED_WORDS: usize = 200;

/// Height of the tree of an expression: operations one within the other, brackets too.
pub const MAX_HEIGHT: usize = 1000;

/// What is known of one open bracket.
#[derive(Clone, Copy, Default)]
struct Level {
    /// Operations in the expression that is being read.
    operations: usize,
    /// Height of the highest bracket in it.
    inner: usize,
    /// Height of the highest expression so far.
    highest: usize,
    /// Nesting words in it.
    nested_words: usize,
}

impl Level {
    fn height(&self) -> usize {
        self.operations + self.inner
    }

    /// Another expression begins.
    fn separate(&mut self) {
        self.highest = self.highest.max(self.height());
        self.operations = 0;
        self.inner = 0;
        self.nested_words = 0;
    }
}

/// Looks through the tokens of an item; the finding, if it is too deep or too long.
pub(super) fn check(file: FileId, text: &str, tokens: &[Token]) -> Option<Diagnostic> {
    let mut walk = Walk { levels: vec![Level::default()], nested_words: 0 };
    let mut before: Option<&Token> = None;
    let mut fresh_line = false;
    for token in tokens {
        if !token.kind.is_significant() {
            fresh_line |= token.kind == TokenKind::Newline;
            continue;
        }
        if fresh_line && !goes_on(text, token) && !before.is_some_and(|b| goes_on(text, b)) {
            walk.separate();
        }
        fresh_line = false;
        before = Some(token);
        walk.take(token.kind, &text[token.range.clone()]);
        let span = Span::new(file, token.range.clone());
        if walk.levels.len() > MAX_BRACKETS + 1 {
            return Some(findings::too_deep(span, "brackets", MAX_BRACKETS));
        }
        if walk.nested_words > MAX_NESTED_WORDS {
            return Some(findings::too_deep(span, "`if`, `of` and the like", MAX_NESTED_WORDS));
        }
        if walk.levels.last().is_some_and(|level| level.height() > MAX_HEIGHT) {
            return Some(findings::too_long(span, MAX_HEIGHT));
        }
    }
    None
}

/// The walk over the tokens of an item.
struct Walk {
    levels: Vec<Level>,
    nested_words: usize,
}

impl Walk {
    /// Takes one token in.
    fn take(&mut self, kind: TokenKind, word: &str) {
        let depth = self.levels.len();
        let Some(level) = self.levels.last_mut() else { return };
        match kind {
            TokenKind::Open | TokenKind::TextHead => {
                // An opening bracket behind a value is a call, which is an operation.
                level.operations += 1;
                self.levels.push(Level::default());
            }
            TokenKind::Close | TokenKind::TextTail if depth > 1 => self.close(),
            TokenKind::Symbol if matches!(word, "," | ":" | "=") => self.separate(),
            TokenKind::TextMiddle => self.separate(),
            TokenKind::Symbol => level.operations += 1,
            TokenKind::Word if nests(word) => {
                level.operations += 1;
                level.nested_words += 1;
                self.nested_words += 1;
            }
            TokenKind::Word if words::continues(word) => level.operations += 1,
            _ => {}
        }
    }

    /// Another expression begins.
    fn separate(&mut self) {
        if let Some(level) = self.levels.last_mut() {
            self.nested_words -= level.nested_words;
            level.separate();
        }
    }

    /// A bracket closes.
    fn close(&mut self) {
        self.separate();
        let highest = self.levels.pop().map_or(0, |level| level.highest);
        if let Some(outer) = self.levels.last_mut() {
            outer.inner = outer.inner.max(highest);
        }
    }
}

/// Words whose operand may be another one of them.
fn nests(word: &str) -> bool {
    matches!(word, "if" | "of" | "not" | "round" | "bevel" | "drawing")
}

/// Whether a newline beside this token may leave the expression open.
fn goes_on(text: &str, token: &Token) -> bool {
    match token.kind {
        TokenKind::Symbol => true,
        TokenKind::Word => words::is_operator(&text[token.range.clone()]),
        _ => false,
    }
}
