//! One layout for all files.
//!
//! In: a text. Out: the same text in the canonical layout, comments and meaning kept; the text
//! is printed from its tokens, read again and compared before anybody gets it.
//! Kept out: options, files, and any change to what the text says.

mod pieces;
mod print;

use crate::diagnostics::{BUG, Diagnostic};
use crate::source::FileId;
use crate::syntax;

/// Why a text was not formatted.
#[derive(Clone, Debug, PartialEq)]
pub enum FormatRefused {
    /// It has mistakes; they are in file 0.
    Mistakes(Vec<Diagnostic>),
    /// The new layout would not say the same as the old; our fault.
    Differs(Box<Diagnostic>),
}

/// The text in the canonical layout. Takes time in proportion to the text; formatting twice
/// changes nothing more.
///
/// # Errors
/// [`FormatRefused`] when the text has syntax errors, or when the result would differ from it in
/// anything but layout.
pub fn format(text: &str) -> Result<String, FormatRefused> {
    // Parsing is what takes time, so both texts are parsed at once.
    let old = || syntax::parse(FileId(0), text);
    let new = || {
        let pieces = pieces::Pieces::of(text);
        let printed = print::print(&pieces);
        let parsed = syntax::parse(FileId(0), &printed);
        (pieces, printed, parsed)
    };
    let ((tree, mistakes), (pieces, printed, (again, sink))) = rayon::join(old, new);
    if mistakes.has_errors() {
        return Err(FormatRefused::Mistakes(mistakes.into_sorted()));
    }
    let is_same = !sink.has_errors()
        && again.items.len() == tree.items.len()
        && pieces.says_the_same_as(&pieces::Pieces::of(&printed));
    if is_same { Ok(printed) } else { Err(differs()) }
}

fn differs() -> FormatRefused {
    let message = "the new layout would not say the same as the old one";
    let help = "nothing was changed; please report this with the file that it is about";
    FormatRefused::Differs(Box::new(Diagnostic::nowhere(BUG, message).help(help)))
}
