//! What the tokens say about the coarse build of a file: which bracket closes which, where items
//! begin, which lines stand in a block.
//!
//! Recovery rests on this. It is not the grammar: a file without mistakes is never cut by it.

use super::depth;
use super::findings;
use super::scan::{Patch, Scan, Token, TokenKind};
use super::words;
use crate::source::{FileId, Span};
use std::ops::Range;

/// The text of one item as far as can be told.
#[derive(Debug)]
pub(super) struct Slice {
    /// Its tokens, doc lines before it included.
    pub tokens: Range<usize>,
    /// Braces in it that are never closed.
    pub open_braces: Vec<usize>,
    /// Other brackets in it that are never closed.
    pub open_others: Vec<usize>,
}

/// The coarse build of a file.
pub(super) struct Outline<'t> {
    pub text: &'t str,
    pub tokens: Vec<Token>,
    /// For each bracket its counterpart.
    pub partner: Vec<Option<usize>>,
    pub slices: Vec<Slice>,
}

/// Finds brackets and items; reports what is not closed or opened, and doc lines that
/// document nothing.
pub(super) fn outline<'t>(file: FileId, text: &'t str, scan: &mut Scan) -> Outline<'t> {
    let tokens = std::mem::take(&mut scan.tokens);
    let count = tokens.len();
    let mut outline = Outline { text, tokens, partner: vec![None; count], slices: Vec::new() };
    let mut walk = Walk {
        file,
        scan,
        stack: Vec::new(),
        begin: None,
        before: None,
        docs: Vec::new(),
        lost: Vec::new(),
    };
    let mut fresh = true;
    for i in 0..count {
        match outline.tokens[i].kind {
            TokenKind::Newline => fresh = true,
            TokenKind::Comment => {}
            _ => {
                walk.token(&mut outline, i, fresh);
                fresh = false;
            }
        }
    }
    walk.judge_docs(&outline, None);
    walk.cut(&mut outline, None);
    outline
}

impl Outline<'_> {
    /// The text of a token.
    pub fn word(&self, i: usize) -> &str {
        self.tokens.get(i).map_or("", |t| &self.text[t.range.clone()])
    }

    /// Whether token `i` is this symbol.
    pub fn is_symbol(&self, i: usize, symbol: &str) -> bool {
        self.tokens.get(i).is_some_and(|t| t.kind == TokenKind::Symbol) && self.word(i) == symbol
    }

    /// Whether token `i` is a word.
    pub fn is_word(&self, i: usize) -> bool {
        self.tokens.get(i).is_some_and(|t| t.kind == TokenKind::Word)
    }

    /// The tokens of a slice behind its doc lines, without comments and newlines.
    pub fn significant(&self, range: Range<usize>) -> Vec<usize> {
        range
            .filter(|i| self.tokens[*i].kind.is_significant())
            .filter(|i| self.tokens[*i].kind != TokenKind::Doc)
            .collect()
    }

    /// Whether a newline between these two tokens does not end anything.
    pub fn goes_on(&self, before: usize, after: usize) -> bool {
        let kind = |i: usize| self.tokens[i].kind;
        let wants_more = match kind(before) {
            TokenKind::Symbol => {
                is_operator(self.word(before)) || matches!(self.word(before), "=" | ",")
            }
            TokenKind::Word => words::wants_more(self.word(before)),
            _ => false,
        };
        let leans_back = match kind(after) {
            TokenKind::Symbol => is_operator(self.word(after)),
            TokenKind::Word => {
                words::continues(self.word(after)) && !self.is_symbol(after + 1, ":")
            }
            _ => false,
        };
        wants_more || leans_back
    }

    /// Whether an item surely begins with token `i`: an item word and what such an item wants
    /// behind it, on the same line.
    pub fn begins_item(&self, i: usize) -> bool {
        if !self.is_word(i) || !words::is_item(self.word(i)) {
            return false;
        }
        let Some(next) = self.tokens.get(i + 1) else { return false };
        let next_word = self.word(i + 1);
        match self.word(i) {
            "sizes" | "about" => next_word == "{",
            "use" => matches!(next.kind, TokenKind::Word | TokenKind::Text),
            "require" => match next.kind {
                TokenKind::Word => !words::continues(next_word),
                TokenKind::Symbol => next_word == "-",
                TokenKind::Open => next_word != "{",
                kind => kind.is_significant(),
            },
            _ => next.kind == TokenKind::Word && !words::continues(next_word),
        }
    }

    /// Whether token `i` begins in the first column.
    fn in_first_column(&self, i: usize) -> bool {
        let start = self.tokens[i].range.start;
        start == 0 || self.text.as_bytes()[start - 1] == b'\n'
    }
}

/// Operators that are signs.
fn is_operator(symbol: &str) -> bool {
    matches!(symbol, "+" | "-" | "*" | "/" | "<" | ">" | "<=" | ">=" | "==" | "!=" | "..")
}

struct Walk<'s> {
    file: FileId,
    scan: &'s mut Scan,
    /// Brackets that are open.
    stack: Vec<usize>,
    /// Where the slice begins.
    begin: Option<usize>,
    /// The significant token before.
    before: Option<usize>,
    /// Doc lines that wait for what they document.
    docs: Vec<usize>,
    /// Brackets of this slice that were found to be never closed, but not braces.
    lost: Vec<usize>,
}

impl Walk<'_> {
    fn span(&self, outline: &Outline, i: usize) -> Span {
        Span::new(self.file, outline.tokens[i].range.clone())
    }

    fn token(&mut self, outline: &mut Outline, i: usize, fresh: bool) {
        let kind = outline.tokens[i].kind;
        if kind == TokenKind::Doc {
            if fresh {
                self.docs.push(i);
            } else {
                self.stray(outline, i);
            }
            return;
        }
        let forced = fresh && self.forced_cut(outline, i);
        let ended = self.stack.is_empty()
            && fresh
            && !self.before.is_some_and(|before| outline.goes_on(before, i));
        if forced || ended || self.before.is_none() {
            // The doc lines before an item are a part of its slice.
            let begin = self.docs.first().copied().unwrap_or(i);
            if kind == TokenKind::Close {
                self.judge_docs(outline, None);
            }
            self.docs.clear();
            self.cut(outline, Some(begin));
        } else {
            self.judge_docs(outline, Some(i));
        }
        match kind {
            TokenKind::Open | TokenKind::TextHead => self.stack.push(i),
            TokenKind::Close | TokenKind::TextTail => self.close(outline, i),
            _ => {}
        }
        self.before = Some(i);
    }

    /// Whether an item begins here although brackets may be open.
    fn forced_cut(&self, outline: &Outline, i: usize) -> bool {
        if !outline.in_first_column(i) || !outline.begins_item(i) {
            return false;
        }
        let in_body = self.stack.iter().any(|open| outline.word(*open) == "{")
            && self.begin.is_some_and(|b| {
                outline.significant(b..i).first().is_some_and(|f| outline.word(*f) == "shape")
            });
        !(in_body && words::BODY_WORDS.contains(&outline.word(i)))
    }

    /// Ends the slice before `next` and begins another there.
    fn cut(&mut self, outline: &mut Outline, next: Option<usize>) {
        if let (Some(begin), Some(last)) = (self.begin, self.before) {
            let mut open_braces = Vec::new();
            let mut open_others = std::mem::take(&mut self.lost);
            if self.stack.len() > depth::MAX_BRACKETS {
                let at = self.span(outline, self.stack[depth::MAX_BRACKETS]);
                self.scan.report(findings::too_deep(at, "brackets", depth::MAX_BRACKETS));
                self.stack.clear();
                self.begin = next;
                return;
            }
            for open in std::mem::take(&mut self.stack) {
                self.unclosed(outline, open);
                let list =
                    if outline.word(open) == "{" { &mut open_braces } else { &mut open_others };
                list.push(open);
            }
            outline.slices.push(Slice { tokens: begin..last + 1, open_braces, open_others });
        }
        self.begin = next;
    }

    fn unclosed(&mut self, outline: &Outline, open: usize) {
        let word = findings::spoken_bracket(outline.word(open));
        let close = counterpart(word);
        let finding = findings::unclosed_bracket(self.span(outline, open), word, close);
        self.scan.report(finding);
    }

    /// A closing bracket: what it closes, or what is wrong with it.
    fn close(&mut self, outline: &mut Outline, i: usize) {
        let is_tail = outline.tokens[i].kind == TokenKind::TextTail;
        loop {
            let Some(&top) = self.stack.last() else {
                self.unopened(outline, i);
                return;
            };
            let top_is_head = outline.tokens[top].kind == TokenKind::TextHead;
            let fits = if is_tail {
                top_is_head
            } else {
                !top_is_head && outline.word(top) == counterpart(outline.word(i))
            };
            if fits {
                outline.partner[top] = Some(i);
                outline.partner[i] = Some(top);
                self.stack.pop();
                return;
            }
            if self.is_open_below(outline, i) {
                self.unclosed(outline, top);
                self.lost.push(top);
                self.stack.pop();
            } else if !is_tail && !top_is_head && outline.word(top) != "{" && outline.word(i) != "}"
            {
                self.crossed(outline, top, i);
                return;
            } else {
                self.unopened(outline, i);
                return;
            }
        }
    }

    /// Whether what `i` closes is open below the top: up to a brace for other brackets.
    fn is_open_below(&self, outline: &Outline, i: usize) -> bool {
        if outline.tokens[i].kind == TokenKind::TextTail {
            return true;
        }
        let wanted = counterpart(outline.word(i));
        for open in self.stack.iter().rev() {
            if outline.tokens[*open].kind == TokenKind::TextHead {
                return false;
            }
            let word = outline.word(*open);
            if word == wanted {
                return true;
            }
            if word == "{" {
                return false;
            }
        }
        false
    }

    /// `(…]`: reported, and read as if it were right.
    fn crossed(&mut self, outline: &mut Outline, open: usize, i: usize) {
        let open_word = findings::spoken_bracket(outline.word(open));
        let right = counterpart(open_word);
        let (at, there) = (self.span(outline, i), self.span(outline, open));
        let finding = findings::crossed_bracket(at, (there, open_word), outline.word(i), right);
        self.scan.report(finding);
        self.scan.patches.push((outline.tokens[i].range.clone(), Patch::With(right)));
        outline.partner[open] = Some(i);
        outline.partner[i] = Some(open);
        self.stack.pop();
    }

    fn unopened(&mut self, outline: &Outline, i: usize) {
        let finding = findings::unopened_bracket(self.span(outline, i), outline.word(i));
        self.scan.report(finding);
        self.scan.patches.push((outline.tokens[i].range.clone(), Patch::Blank));
    }

    /// Decides about the doc lines that wait, now that `next` is seen.
    fn judge_docs(&mut self, outline: &Outline, next: Option<usize>) {
        for doc in std::mem::take(&mut self.docs) {
            if !next.is_some_and(|next| self.documents(outline, next)) {
                self.stray(outline, doc);
            }
        }
    }

    /// Whether a doc line may stand before token `next`.
    fn documents(&self, outline: &Outline, next: usize) -> bool {
        if matches!(outline.tokens[next].kind, TokenKind::Close | TokenKind::TextTail) {
            return false;
        }
        let Some(before) = self.before else { return true };
        match self.stack.last().map(|open| (*open, outline.word(*open))) {
            Some((open, "(")) => {
                // Parameters of a shape: `shape NAME (`.
                open >= 2
                    && outline.word(open - 2) == "shape"
                    && (outline.is_symbol(before, ",") || before == open)
            }
            None | Some((_, "{")) => {
                outline.is_symbol(before, ",") || !outline.goes_on(before, next)
            }
            _ => false,
        }
    }

    fn stray(&mut self, outline: &Outline, doc: usize) {
        self.scan.report(findings::stray_doc(self.span(outline, doc)));
        self.scan.patches.push((outline.tokens[doc].range.clone(), Patch::Blank));
    }
}

/// The bracket that closes or opens what this one opens or closes.
pub(super) fn counterpart(bracket: &str) -> &'static str {
    match bracket {
        "(" => ")",
        "[" => "]",
        "{" => "}",
        ")" => "(",
        "]" => "[",
        _ => "{",
    }
}
