//! Tokens with what the layout wants to know of each: what stands in the gap before it, which
//! bracket it is in, whether it ends a value.

use crate::syntax::words;
use crate::syntax::{self, Token, TokenKind};

/// A comment or a doc line.
#[derive(Debug)]
pub struct Note<'t> {
    pub text: &'t str,
    /// Line ends between it and what stands before it.
    pub breaks: usize,
    is_doc: bool,
}

/// What is decided about a gap before its line breaks are looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gap {
    /// Within an expression.
    Inner,
    /// Behind an opening bracket or before a closing one.
    Edge,
    /// Behind a comma in `( )` and `[ ]`.
    Element,
    /// Between items, fields, steps, sizes or lines of a body.
    Ends,
}

/// What stands between a bracket and its counterpart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Frame {
    /// The file itself.
    File,
    /// Fields.
    Block,
    /// Fields of an item, each on a line of its own.
    ItemBlock,
    /// Lines of a shape.
    Body,
    /// Steps.
    Path,
    /// Sizes.
    Sizes,
    /// Rows.
    Chart,
    /// `( )`
    Round,
    /// `[ ]`
    Square,
    /// `{ }` in a text.
    Hole,
}

impl Frame {
    /// Whether a newline may end something in it.
    fn has_lines(self) -> bool {
        !matches!(self, Frame::Round | Frame::Square | Frame::Hole | Frame::Chart)
    }

    /// Whether a comma in it does what a newline does.
    fn has_commas_for_lines(self) -> bool {
        matches!(self, Frame::Block | Frame::ItemBlock | Frame::Path)
    }
}

/// A token that is neither comment nor newline, and no comma where a newline does the same.
#[derive(Debug)]
pub struct Piece<'t> {
    pub kind: TokenKind,
    pub text: &'t str,
    /// Comments before it.
    pub notes: Vec<Note<'t>>,
    /// Line ends between it and what stands before it.
    pub breaks: usize,
    pub gap: Gap,
    /// An opening bracket: what it opens.
    pub opens: Option<Frame>,
    /// A bracket: its counterpart.
    pub partner: usize,
    /// Whether a value ends with it.
    pub ends_value: bool,
    /// An operator between two values, or a placing.
    pub is_infix: bool,
}

impl Piece<'_> {
    /// Whether it is this sign or bracket.
    pub fn is(&self, sign: &str) -> bool {
        matches!(self.kind, TokenKind::Symbol | TokenKind::Open | TokenKind::Close)
            && self.text == sign
    }

    pub fn closes(&self) -> bool {
        matches!(self.kind, TokenKind::Close | TokenKind::TextTail | TokenKind::TextMiddle)
    }

    pub fn has_break(&self) -> bool {
        self.breaks > 0 || !self.notes.is_empty()
    }
}

/// A text in pieces; the last is empty and carries the comments at the end.
#[derive(Debug)]
pub struct Pieces<'t> {
    pub all: Vec<Piece<'t>>,
}

impl<'t> Pieces<'t> {
    /// The pieces of a text without mistakes.
    pub fn of(text: &'t str) -> Self {
        let tokens = syntax::tokens(text);
        let mut reader = Reader { all: Vec::new(), frames: Vec::new(), head: 0, comma: false };
        let mut notes = Vec::new();
        let mut breaks = 0;
        for (i, token) in tokens.iter().enumerate() {
            let said = &text[token.range.clone()];
            match token.kind {
                TokenKind::Newline => breaks += 1,
                TokenKind::Comment | TokenKind::Doc => {
                    let is_doc = token.kind == TokenKind::Doc;
                    notes.push(Note { text: said.trim_end(), breaks, is_doc });
                    breaks = 0;
                }
                kind => {
                    let beyond = next_significant(text, &tokens[i + 1..]);
                    // Words have their roles by what follows in their own line.
                    let next = tokens.get(i + 1).map(|t| (t.kind, &text[t.range.clone()]));
                    if reader.is_needless(kind, said, beyond) {
                        reader.comma = reader.frame().has_commas_for_lines();
                        continue;
                    }
                    if said == "," && !notes.iter().any(|note: &Note| note.is_doc) {
                        // A comment before a comma comes to stand behind it.
                        reader.push(kind, said, Vec::new(), 0, next);
                        continue;
                    }
                    let notes = std::mem::take(&mut notes);
                    reader.push(kind, said, notes, std::mem::take(&mut breaks), next);
                }
            }
        }
        reader.push(TokenKind::Newline, "", notes, breaks, None);
        reader.move_breaks();
        Pieces { all: reader.all }
    }

    /// Whether two texts differ in layout only.
    pub fn says_the_same_as(&self, other: &Pieces) -> bool {
        let same = |(a, b): (&Piece, &Piece)| {
            let ends = |p: &Piece| p.gap == Gap::Ends;
            a.kind == b.kind && a.text == b.text && ends(a) == ends(b) && a.docs().eq(b.docs())
        };
        let notes = |p: &Pieces| -> Vec<String> {
            let notes = p.all.iter().flat_map(|piece| &piece.notes);
            notes.map(|note| note.text.to_string()).collect()
        };
        self.all.len() == other.all.len()
            && self.all.iter().zip(&other.all).all(same)
            && notes(self) == notes(other)
    }
}

impl Piece<'_> {
    /// The doc lines before it.
    fn docs(&self) -> impl Iterator<Item = &str> {
        self.notes.iter().filter(|note| note.is_doc).map(|note| note.text)
    }
}

/// The first token that is no comment or newline.
fn next_significant<'t>(text: &'t str, rest: &[Token]) -> Option<(TokenKind, &'t str)> {
    let is_word = |t: &&Token| t.kind.is_significant() && t.kind != TokenKind::Doc;
    rest.iter().find(is_word).map(|t| (t.kind, &text[t.range.clone()]))
}

/// Whether a token is an operator that is a sign.
fn is_sign(kind: TokenKind, text: &str) -> bool {
    let signs = ["+", "-", "*", "/", "<", ">", "<=", ">=", "==", "!=", ".."];
    kind == TokenKind::Symbol && signs.contains(&text)
}

struct Reader<'t> {
    all: Vec<Piece<'t>>,
    /// Open brackets.
    frames: Vec<(Frame, usize)>,
    /// Where the item begins.
    head: usize,
    /// Whether a comma was left out before the next piece.
    comma: bool,
}

impl<'t> Reader<'t> {
    fn frame(&self) -> Frame {
        self.frames.last().map_or(Frame::File, |(frame, _)| *frame)
    }

    /// A comma that a newline or a closing bracket makes needless.
    fn is_needless(&self, kind: TokenKind, text: &str, next: Option<(TokenKind, &str)>) -> bool {
        let closes = next.is_some_and(|(kind, text)| kind == TokenKind::Close && text != "}");
        let is_comma = kind == TokenKind::Symbol && text == ",";
        is_comma && (closes || self.frame().has_commas_for_lines())
    }

    fn push(
        &mut self,
        kind: TokenKind,
        text: &'t str,
        notes: Vec<Note<'t>>,
        breaks: usize,
        next: Option<(TokenKind, &str)>,
    ) {
        let mut piece = Piece {
            kind,
            text,
            notes,
            breaks,
            gap: Gap::Inner,
            opens: None,
            partner: usize::MAX,
            ends_value: false,
            is_infix: false,
        };
        let at = self.all.len();
        piece.gap = self.gap(&piece, next);
        self.comma = false;
        if piece.gap == Gap::Ends && self.frames.is_empty() {
            self.head = at;
        }
        if piece.closes()
            && let Some((_, open)) = self.frames.pop()
        {
            piece.partner = open;
            self.all[open].partner = at;
        }
        (piece.ends_value, piece.is_infix) = self.role(&piece, next);
        let opens = matches!(kind, TokenKind::Open | TokenKind::TextHead | TokenKind::TextMiddle);
        if opens {
            let frame = self.opened(&piece);
            piece.opens = Some(frame);
            self.frames.push((frame, at));
        }
        self.all.push(piece);
    }

    fn gap(&self, piece: &Piece, next: Option<(TokenKind, &str)>) -> Gap {
        let Some(before) = self.all.last() else { return Gap::Edge };
        let frame = self.frame();
        if before.opens.is_some() || piece.closes() {
            Gap::Edge
        } else if self.comma {
            Gap::Ends
        } else if frame.has_lines() {
            let is_next_size = frame == Frame::Sizes
                && piece.kind == TokenKind::Word
                && next == Some((TokenKind::Symbol, ":"));
            let ends = piece.has_break()
                && if before.is(",") { is_next_size } else { !self.goes_on(piece, next) };
            let is_end = piece.kind == TokenKind::Newline;
            if ends || is_end { Gap::Ends } else { Gap::Inner }
        } else if before.is(",") {
            Gap::Element
        } else {
            Gap::Inner
        }
    }

    /// Whether a newline before the piece ends nothing.
    fn goes_on(&self, piece: &Piece, next: Option<(TokenKind, &str)>) -> bool {
        let Some(before) = self.all.last() else { return false };
        let wants_more = match before.kind {
            TokenKind::Symbol => true,
            TokenKind::Word => !before.ends_value,
            _ => false,
        };
        let is_label = next == Some((TokenKind::Symbol, ":"));
        let leans_back = match piece.kind {
            TokenKind::Symbol => piece.text == "=" || is_sign(piece.kind, piece.text),
            TokenKind::Word => !is_label && (words::continues(piece.text) || piece.text == "by"),
            _ => false,
        };
        wants_more || leans_back
    }

    /// Whether a value ends with the piece, and whether it stands between two.
    fn role(&self, piece: &Piece, next: Option<(TokenKind, &str)>) -> (bool, bool) {
        let before = self.all.last();
        let behind_value = before.is_some_and(|b| b.ends_value) && piece.gap != Gap::Ends;
        match piece.kind {
            TokenKind::Symbol => (false, is_sign(piece.kind, piece.text) && behind_value),
            TokenKind::Word => self.word_role(piece, next, behind_value),
            TokenKind::Open | TokenKind::TextHead | TokenKind::TextMiddle => (false, false),
            TokenKind::Mark => (false, false),
            _ => (true, false),
        }
    }

    fn word_role(
        &self,
        piece: &Piece,
        next: Option<(TokenKind, &str)>,
        behind_value: bool,
    ) -> (bool, bool) {
        let word = piece.text;
        let before = self.all.last();
        let is_label = next == Some((TokenKind::Symbol, ":"));
        if before.is_some_and(|b| b.is(".")) || is_label {
            return (true, false);
        }
        if words::is_operator(word) {
            return (!words::wants_more(word), words::continues(word));
        }
        let begins = piece.gap != Gap::Inner || before.is_none();
        let is_head = begins
            && match self.frame() {
                Frame::File => words::is_item(word),
                Frame::Body => words::BODY_WORDS.contains(&word),
                Frame::Path => words::STEP_WORDS.contains(&word),
                _ => false,
            };
        let is_direction = matches!(word, "to" | "by" | "under")
            && before.is_some_and(|b| !b.ends_value && matches!(b.text, "line" | "arc" | "props"));
        let is_prefix = matches!(word, "round" | "bevel" | "drawing")
            && next.is_some_and(|(kind, text)| match kind {
                TokenKind::Word => !words::is_operator(text),
                TokenKind::Number | TokenKind::Text | TokenKind::TextHead => true,
                _ => false,
            });
        if is_head {
            return (word == "close", false);
        }
        if is_direction || is_prefix || behind_value {
            let closes = behind_value && matches!(word, "left" | "right" | "long");
            return (closes, behind_value && word == "by" && self.frame() != Frame::Path);
        }
        (true, false)
    }

    /// What an opening bracket opens.
    fn opened(&self, piece: &Piece) -> Frame {
        let before = self.all.last();
        let word = before.filter(|b| b.kind == TokenKind::Word).map_or("", |b| b.text);
        let is_member = self.all.len() >= 2 && self.all[self.all.len() - 2].is(".");
        match piece.text {
            "(" => Frame::Round,
            "[" => Frame::Square,
            "{" if word == "chart" && !is_member => Frame::Chart,
            "{" if word == "path" && !is_member => Frame::Path,
            "{" if self.frames.is_empty() => self.opened_by_item(),
            "{" => Frame::Block,
            _ => Frame::Hole,
        }
    }

    fn opened_by_item(&self) -> Frame {
        let head = self.all.get(self.head).map_or("", |p| p.text);
        let is_body = self.all.last().is_some_and(|b| b.is(")") && b.partner == self.head + 2);
        match head {
            "sizes" => Frame::Sizes,
            "shape" if is_body => Frame::Body,
            "seat" | "printer" | "plate" | "props" | "fit" | "bought" | "about" => Frame::ItemBlock,
            "part" => {
                // `part NAME = CALLEE {`, where the callee is a name with or without points.
                let callee = self.all.get(self.head + 3..).unwrap_or_default();
                let is_name = |p: &Piece| p.kind == TokenKind::Word && p.ends_value || p.is(".");
                if callee.iter().all(is_name) { Frame::ItemBlock } else { Frame::Block }
            }
            _ => Frame::Block,
        }
    }

    /// Puts breaks behind an operator before it, so that lines begin with operators, and drops
    /// those that stand at neither side of one.
    fn move_breaks(&mut self) {
        for i in (1..self.all.len()).rev() {
            let piece = &self.all[i];
            if piece.gap != Gap::Inner || piece.breaks == 0 || !piece.notes.is_empty() {
                continue;
            }
            let before = &self.all[i - 1];
            if before.is_infix && before.gap == Gap::Inner {
                self.all[i].breaks = 0;
                self.all[i - 1].breaks = self.all[i - 1].breaks.max(1);
            } else if !piece.is_infix && !before.is(",") && piece.kind != TokenKind::Mark {
                self.all[i].breaks = 0;
            }
        }
    }
}
