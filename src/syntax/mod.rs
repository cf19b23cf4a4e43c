//! Text to tree.
//!
//! In: a file's text. Out: a [`Tree`] and findings; several mistakes in one run.
//! Kept out: meaning. Hides the parser crate entirely.
//!
//! The grammar, `grammar/pipkin.pest`, is the authority: a file that it takes as a whole is
//! lowered to the tree as it stands. Otherwise the text is cut into items by its tokens
//! (`scan`, `outline`), and each is parsed by itself as often as it takes (`recover`).

pub mod codes;
mod depth;
mod explain;
mod findings;
mod grammar;
mod lower;
mod outline;
mod recover;
mod scan;
mod tree;
mod units;
pub mod words;

pub use depth::{MAX_BRACKETS, MAX_HEIGHT, MAX_NESTED_WORDS};
pub use scan::{MAX_TOKENS, Token, TokenKind};
pub use tree::*;

use crate::diagnostics::{Diagnostic, Severity, Sink};
use crate::source::{FileId, Span};
use pest::Parser;

/// Parses a file. Never fails: what cannot be parsed is reported in the sink and left out of the
/// tree, or stands in it as [`ExprKind::Bad`] where its name is known.
pub fn parse(file: FileId, text: &str) -> (Tree, Sink) {
    let mut scan = scan::scan(file, text);
    if scan.is_cut_short() {
        let mut sink = Sink::default();
        // Of a text that is both, depth is the better reason.
        let deep = depth::check(file, text, &scan.tokens).filter(|f| f.code == codes::TOO_DEEP);
        let long = |finding: &Diagnostic| deep.is_some() && finding.code == codes::TOO_LONG;
        scan.findings.iter().filter(|f| !long(f)).for_each(|f| sink.push(f.clone()));
        deep.into_iter().for_each(|finding| sink.push(finding));
        return (Tree { file, items: Vec::new(), comments: Vec::new() }, sink);
    }
    let outline = outline::outline(file, text, &mut scan);
    let is_comment = |token: &&Token| token.kind == TokenKind::Comment;
    let comments = outline
        .tokens
        .iter()
        .filter(is_comment)
        .map(|t| Span::new(file, t.range.clone()))
        .collect();
    let patched = scan::patched(text, &scan.patches);
    let has_errors = scan.findings.iter().any(|f| f.severity == Severity::Error);
    let mut sink = Sink::default();
    scan.findings.into_iter().for_each(|finding| sink.push(finding));
    let is_shallow = |slice: &outline::Slice| {
        depth::check(file, text, &outline.tokens[slice.tokens.clone()]).is_none()
    };
    let whole = if !has_errors && outline.slices.iter().all(is_shallow) {
        grammar::Grammar::parse(grammar::Rule::file, &patched).ok()
    } else {
        None
    };
    let items = match whole {
        Some(pairs) => lower::file(file, pairs, &mut sink),
        None => {
            let mut recovery = recover::Recovery::new(file, outline, patched, sink);
            let items = recovery.items();
            sink = recovery.sink;
            items
        }
    };
    (Tree { file, items, comments }, sink)
}

/// The tokens of a text, in order and without overlap; what lies between two is blank. Texts with
/// values in them come in pieces.
pub fn tokens(text: &str) -> Vec<Token> {
    scan::scan(FileId(0), text).tokens
}

#[cfg(test)]
mod tests;
