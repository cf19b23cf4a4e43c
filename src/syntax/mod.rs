//! Text to tree.
//!
//! In: a file's text. Out: a [`Tree`] and findings; several mistakes in one run.
//! Kept out: meaning. Hides the parser crate entirely.

mod tree;

pub use tree::*;
