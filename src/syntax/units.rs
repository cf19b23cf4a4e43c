//! The parts of an item that can be wrong by themselves: a field, a size, a step, a line in the
//! body of a shape.

use super::outline::{Outline, Slice};
use super::scan::TokenKind;
use super::words;
use std::ops::Range;

/// What the lines of a block are.
#[derive(Clone, Copy, PartialEq, Eq)]
enum BlockKind {
    Fields,
    Steps,
    Sizes,
    Body,
}

/// One such part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Unit {
    /// All of its bytes.
    pub range: Range<usize>,
    /// The bytes of it to be masked: behind the name, where it is known.
    pub mask: Range<usize>,
}

/// The units that hold the byte `anchor`, the innermost first.
pub(super) fn around(outline: &Outline, slice: &Slice, anchor: usize) -> Vec<Unit> {
    let mut found = Vec::new();
    for i in slice.tokens.clone() {
        let token = &outline.tokens[i];
        if token.range.start >= anchor {
            break;
        }
        if token.kind != TokenKind::Open || outline.word(i) != "{" {
            continue;
        }
        let close = match outline.partner[i] {
            Some(close) if outline.tokens[close].range.start >= anchor => close,
            None if slice.open_braces.contains(&i) => slice.tokens.end,
            _ => continue,
        };
        let is_chart = i > 0 && outline.word(i - 1) == "chart";
        if !is_chart && let Some(unit) = in_block(outline, slice, i..close, anchor) {
            found.push(unit);
        }
    }
    found.reverse();
    found
}

/// The unit of one block that holds `anchor`: the last that begins at or before it.
fn in_block(outline: &Outline, slice: &Slice, block: Range<usize>, anchor: usize) -> Option<Unit> {
    let kind = block_kind(outline, slice, block.start);
    let mut current: Vec<usize> = Vec::new();
    let mut fresh = false;
    let mut i = block.start + 1;
    while i < block.end {
        let token = &outline.tokens[i];
        match token.kind {
            TokenKind::Newline => fresh = true,
            TokenKind::Comment => {}
            TokenKind::Doc => {
                if token.range.start <= anchor {
                    current.clear();
                }
            }
            _ => {
                if begins_unit(outline, kind, current.last().copied(), i, fresh) {
                    if token.range.start > anchor && !current.is_empty() {
                        break;
                    }
                    current.clear();
                }
                fresh = false;
                current.push(i);
                if let Some(close) = outline.partner[i].filter(|close| *close > i) {
                    current.push(close);
                    i = close;
                }
            }
        }
        i += 1;
    }
    // A comma behind it is no part of it.
    while current.last().is_some_and(|last| outline.is_symbol(*last, ",")) {
        current.pop();
    }
    let (first, last) = (*current.first()?, *current.last()?);
    let start = outline.tokens[first].range.start;
    let end = outline.tokens[last].range.end;
    let mask_start = mask_start(outline, kind, &current).unwrap_or(start);
    Some(Unit { range: start..end, mask: mask_start.min(end)..end })
}

fn block_kind(outline: &Outline, slice: &Slice, open: usize) -> BlockKind {
    let before = open.checked_sub(1).map_or("", |i| outline.word(i));
    let first = outline.significant(slice.tokens.clone()).first().copied();
    let item = first.map_or("", |i| outline.word(i));
    // The body of a shape is the one brace that stands in no other bracket of its item.
    let outermost = slice
        .tokens
        .clone()
        .take_while(|i| *i < open)
        .all(|i| outline.word(i) != "{" || outline.tokens[i].kind != TokenKind::Open);
    match before {
        "path" => BlockKind::Steps,
        "sizes" => BlockKind::Sizes,
        ")" if item == "shape" && outermost => BlockKind::Body,
        _ => BlockKind::Fields,
    }
}

/// Whether another unit begins with token `i`.
fn begins_unit(
    outline: &Outline,
    kind: BlockKind,
    before: Option<usize>,
    i: usize,
    fresh: bool,
) -> bool {
    let Some(before) = before else { return true };
    let is_label = outline.is_word(i) && outline.is_symbol(i + 1, ":");
    let behind_comma = outline.is_symbol(before, ",");
    if is_label && (fresh || behind_comma) {
        return true;
    }
    let starts_line = match kind {
        BlockKind::Body => words::BODY_WORDS.contains(&outline.word(i)),
        BlockKind::Steps => words::STEP_WORDS.contains(&outline.word(i)),
        BlockKind::Fields | BlockKind::Sizes => false,
    };
    match kind {
        BlockKind::Sizes if behind_comma => false,
        BlockKind::Body if behind_comma => false,
        _ if behind_comma => true,
        _ => fresh && (starts_line || !outline.goes_on(before, i)),
    }
}

/// Where the mask of a unit begins, so that its name stays.
fn mask_start(outline: &Outline, kind: BlockKind, unit: &[usize]) -> Option<usize> {
    let start = |at: usize| unit.get(at).map(|i| outline.tokens[*i].range.start);
    let first = *unit.first()?;
    match kind {
        BlockKind::Steps => None,
        BlockKind::Body => match outline.word(first) {
            "let" | "offer" if unit.get(1).is_some_and(|i| outline.is_word(*i)) => start(2),
            "make" | "require" => start(1),
            _ => None,
        },
        BlockKind::Fields | BlockKind::Sizes if outline.is_word(first) => start(1),
        BlockKind::Fields | BlockKind::Sizes => None,
    }
}
