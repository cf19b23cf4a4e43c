//! The parser's pairs to the tree.
//!
//! In: pairs of a text that the grammar took. Out: items. A few rules that are easier said here
//! than in the grammar (rows of operators, coordinates of a point, order of arguments and of the
//! steps of a path) give findings here.

mod expr;
mod items;
mod path;

use super::grammar::Rule;
use super::outline::{Outline, Slice};
use super::recover::declared;
use super::tree::{Block, Expr, ExprKind, Given, Ident, Item, ItemKind};
use crate::diagnostics::Sink;
use crate::source::{FileId, Span};
use pest::iterators::{Pair, Pairs};

type Node<'i> = Pair<'i, Rule>;

/// The items of a whole file.
pub(super) fn file(file: FileId, pairs: Pairs<Rule>, sink: &mut Sink) -> Vec<Item> {
    let mut lower = Lower { file, start: 0, sink };
    pairs
        .flat_map(Pair::into_inner)
        .filter(|pair| pair.as_rule() == Rule::item)
        .filter_map(|pair| lower.item(pair))
        .collect()
}

/// One item whose text begins at byte `start` of the file.
pub(super) fn item(
    file: FileId,
    start: usize,
    pairs: Pairs<Rule>,
    sink: &mut Sink,
) -> Option<Item> {
    let mut lower = Lower { file, start, sink };
    let mut inner = pairs.flat_map(Pair::into_inner);
    let item = inner.find(|pair| pair.as_rule() == Rule::item)?;
    lower.item(item)
}

/// What stands for an item that could not be parsed: its name, with a value that is poison, so
/// that nobody complains of a name that is not there. `word` stands for a misspelt item word.
pub(super) fn declaration(
    outline: &Outline,
    slice: &Slice,
    file: FileId,
    word: &str,
) -> Option<Item> {
    let (item_word, name) = declared(outline, slice)?;
    let word = if word.is_empty() { outline.word(item_word) } else { word };
    let span = |i: usize| Span::new(file, outline.tokens[i].range.clone());
    let all = span(item_word).to(span(slice.tokens.end - 1));
    let value = Expr { span: all, kind: ExprKind::Bad };
    let name = Ident { text: outline.word(name).into(), span: span(name) };
    let kind = match word {
        "given" => ItemKind::Given(Given { name, default: value, range: None }),
        "part" => ItemKind::Part { name, value },
        "motif" => ItemKind::Motif { name, value },
        "let" | "shape" | "printer" | "material" | "bought" => ItemKind::Let { name, value },
        "seat" => {
            let host = outline.significant(slice.tokens.clone()).get(3).copied()?;
            if !outline.is_word(host) {
                return None;
            }
            let host = Ident { text: outline.word(host).into(), span: span(host) };
            ItemKind::Seat { inlay: name, host, block: Block { fields: Vec::new(), span: all } }
        }
        _ => return None,
    };
    Some(Item { docs: Vec::new(), span: all, kind })
}

/// What all lowering needs.
struct Lower<'s> {
    file: FileId,
    /// Where the parsed text begins in the file.
    start: usize,
    sink: &'s mut Sink,
}

impl Lower<'_> {
    /// The place of a rule that ends in a word or a sign of its own. Other rules run over the
    /// blanks behind them: see [`end`].
    fn span(&self, pair: &Node) -> Span {
        let span = pair.as_span();
        Span::new(self.file, self.start + span.start()..self.start + span.end())
    }

    /// The place of any rule.
    fn trimmed(&self, pair: &Node) -> Span {
        let start = pair.as_span().start();
        Span::new(self.file, self.start + start..self.start + end(pair))
    }

    fn ident(&self, pair: &Node) -> Ident {
        Ident { text: pair.as_str().into(), span: self.span(pair) }
    }
}

/// Where the last word or sign of a rule ends.
fn end(pair: &Node) -> usize {
    let closed = matches!(
        pair.as_rule(),
        Rule::parens
            | Rule::list
            | Rule::args
            | Rule::block
            | Rule::body
            | Rule::path
            | Rule::sizes_item
            | Rule::text
    );
    let last = if closed { None } else { inner(pair.clone()).last() };
    last.map_or(pair.as_span().end(), |last| end(&last))
}

/// What a rule is made of, without comments.
fn inner<'i>(pair: Node<'i>) -> impl Iterator<Item = Node<'i>> {
    pair.into_inner().filter(|inner| inner.as_rule() != Rule::COMMENT)
}

/// The parts of a rule that say something: no comments, no words and signs that only mark a place.
fn parts<'i>(pair: Node<'i>) -> impl Iterator<Item = Node<'i>> {
    inner(pair).filter(|inner| !is_mark(inner.as_rule()))
}

/// Words and signs that only mark a place.
fn is_mark(rule: Rule) -> bool {
    use Rule::*;
    matches!(
        rule,
        equals
            | colon
            | open_brace
            | k_about
            | k_along
            | k_among
            | k_around
            | k_arc
            | k_as
            | k_at
            | k_bought
            | k_by
            | k_each
            | k_else
            | k_fit
            | k_from
            | k_given
            | k_grown
            | k_if
            | k_in
            | k_let
            | k_line
            | k_make
            | k_material
            | k_mirrored
            | k_motif
            | k_not
            | k_of
            | k_offer
            | k_over
            | k_part
            | k_path
            | k_plate
            | k_printer
            | k_props
            | k_radius
            | k_raised
            | k_require
            | k_seat
            | k_shape
            | k_sizes
            | k_spun
            | k_start
            | k_then
            | k_through
            | k_to
            | k_under
            | k_use
            | k_with
    )
}
