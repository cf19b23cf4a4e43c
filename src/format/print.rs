//! Pieces to text.

use super::pieces::{Frame, Gap, Note, Piece, Pieces};
use crate::syntax::TokenKind;

/// Columns of a line into which a block may be written; common practice.
const WIDTH: usize = 100;

/// Blanks of one step inwards.
const STEP: usize = 2;

/// Lays a text out.
pub fn print(pieces: &Pieces) -> String {
    let mut printer = Printer::new(pieces);
    for i in 0..pieces.all.len() {
        printer.piece(i);
    }
    let mut out = printer.out;
    if !out.is_empty() {
        out.push('\n');
    }
    out
}

/// What is known of an open bracket.
struct Level {
    /// Blanks before the lines in it.
    indent: usize,
    /// Blanks before its closing bracket.
    outer: usize,
    frame: Frame,
    /// Whether each element has its own line.
    is_broken: bool,
}

struct Printer<'p, 't> {
    pieces: &'p [Piece<'t>],
    out: String,
    /// Where the line begins in `out`.
    line: usize,
    /// Blanks before the line.
    indent: usize,
    levels: Vec<Level>,
    /// Line breaks before each piece, from the start.
    breaks: Vec<usize>,
    /// Width before each piece if all stood on one line.
    widths: Vec<usize>,
    /// For each opening bracket whether a list in it is written over several lines.
    spread: Vec<bool>,
}

impl<'p, 't> Printer<'p, 't> {
    fn new(pieces: &'p Pieces<'t>) -> Self {
        let pieces = &pieces.all[..];
        let mut breaks = vec![0];
        let mut widths = vec![0];
        let mut spread = vec![false; pieces.len()];
        let mut open: Vec<usize> = Vec::new();
        for (i, piece) in pieces.iter().enumerate() {
            let is_spread = piece.has_break() && piece.gap != Gap::Inner || !piece.notes.is_empty();
            if is_spread && let Some(open) = open.last() {
                spread[*open] = true;
            }
            if piece.closes() {
                open.pop();
            }
            if piece.opens.is_some() {
                open.push(i);
            }
            let before = if i == 0 { "" } else { between(pieces, i) };
            breaks.push(breaks[i] + usize::from(piece.has_break()));
            widths.push(widths[i] + before.len() + piece.text.chars().count());
        }
        Printer {
            pieces,
            out: String::new(),
            line: 0,
            indent: 0,
            levels: Vec::new(),
            breaks,
            widths,
            spread,
        }
    }

    fn piece(&mut self, i: usize) {
        let piece = &self.pieces[i];
        let is_end = i + 1 == self.pieces.len();
        let is_first = i == 0 || self.pieces[i - 1].opens.is_some();
        let is_row = piece.kind == TokenKind::Mark;
        let is_continued = piece.gap == Gap::Inner && !is_row;
        let inner = self.levels.last().map_or(0, |level| level.indent);
        let indent = if is_continued { inner + STEP } else { inner };
        for (k, note) in piece.notes.iter().enumerate() {
            let may_part = !(is_continued || is_first && k == 0);
            self.note(note, indent, may_part);
        }
        if is_end {
            return;
        }
        let closed = if piece.closes() { self.levels.pop() } else { None };
        if i == 0 {
            if !piece.notes.is_empty() {
                self.line(0, piece.breaks > 1);
            }
        } else if self.breaks_before(piece, closed.as_ref()) {
            let blank_line = piece.breaks > 1
                && !(is_continued || is_row)
                && closed.is_none()
                && !(is_first && piece.notes.is_empty());
            self.line(closed.as_ref().map_or(indent, |level| level.outer), blank_line);
        } else {
            self.out += match piece.gap {
                Gap::Ends => ", ",
                _ => between(self.pieces, i),
            };
        }
        self.out += piece.text;
        if let Some(frame) = piece.opens {
            self.open(i, frame);
        }
    }

    /// Whether a line begins with the piece; `closed` is what it closes.
    fn breaks_before(&self, piece: &Piece, closed: Option<&Level>) -> bool {
        if !piece.notes.is_empty() {
            return true;
        }
        let Some(level) = closed.or(self.levels.last()) else { return piece.breaks > 0 };
        match (level.frame, piece.gap) {
            (Frame::Hole, _) => false,
            (_, Gap::Edge) => level.is_broken,
            (Frame::Chart, _) => piece.breaks > 0,
            (Frame::Square, Gap::Element) => piece.breaks > 0,
            (_, Gap::Element | Gap::Ends) => level.is_broken,
            (_, Gap::Inner) => piece.breaks > 0,
        }
    }

    /// Decides about a bracket that was just written.
    fn open(&mut self, i: usize, frame: Frame) {
        let close = self.pieces[i].partner;
        let is_empty = close == i + 1 && self.pieces[close].notes.is_empty();
        let fits = || {
            let flat =
                self.widths.get(close.saturating_add(1)).map_or(0, |w| w - self.widths[i + 1]);
            self.column() + flat <= WIDTH
        };
        let is_one_line =
            || self.breaks.get(close.saturating_add(1)).is_some_and(|b| *b == self.breaks[i + 1]);
        let is_broken = !is_empty
            && match frame {
                Frame::File | Frame::Hole => false,
                Frame::Chart | Frame::Body | Frame::ItemBlock => true,
                Frame::Block | Frame::Path | Frame::Sizes => {
                    !(self.is_in_text() || is_one_line() && fits())
                }
                Frame::Round | Frame::Square => self.spread[i],
            };
        let outer = self.indent;
        let inner = self.levels.last().map_or(0, |level| level.indent);
        let indent = if is_broken { outer + STEP } else { inner };
        self.levels.push(Level { indent, outer, frame, is_broken });
    }

    /// Whether a text is open, in which nothing may break.
    fn is_in_text(&self) -> bool {
        // Brackets nest at most `syntax::MAX_BRACKETS` deep, so this is quick.
        self.levels.iter().any(|level| level.frame == Frame::Hole)
    }

    fn note(&mut self, note: &Note, indent: usize, may_part: bool) {
        if note.breaks > 0 || self.out.is_empty() {
            self.line(indent, may_part && note.breaks > 1);
        } else {
            self.out += "  ";
        }
        self.out += note.text;
    }

    /// Begins a line.
    fn line(&mut self, indent: usize, blank_line: bool) {
        if !self.out.is_empty() {
            self.out += if blank_line { "\n\n" } else { "\n" };
        }
        self.line = self.out.len();
        self.indent = indent;
        self.out.extend(std::iter::repeat_n(' ', indent));
    }

    /// Characters in the line so far.
    fn column(&self) -> usize {
        self.out[self.line..].chars().count()
    }
}

/// What stands between a piece and the one before on the same line.
fn between(pieces: &[Piece], i: usize) -> &'static str {
    let (before, piece) = (&pieces[i - 1], &pieces[i]);
    let is_open = |p: &Piece| p.is("(") || p.is("[");
    let is_hole = |p: &Piece| p.opens == Some(Frame::Hole);
    let tight = before.is(".")
        || piece.is(".")
        || is_open(before)
        || is_hole(before)
        || piece.is(")")
        || piece.is("]")
        || matches!(piece.kind, TokenKind::TextMiddle | TokenKind::TextTail)
        || piece.is(",")
        || piece.is(":")
        || before.is("{") && piece.is("}")
        || piece.is("(") && before.kind == TokenKind::Word && before.ends_value
        || before.is("-") && !before.is_infix;
    match (tight, piece.gap) {
        (true, _) => "",
        (false, Gap::Ends) => ", ",
        (false, _) => " ",
    }
}
