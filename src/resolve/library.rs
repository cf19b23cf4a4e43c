//! The standard library: files written in the language, carried in the program.

use include_dir::{Dir, include_dir};

static FILES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/stdlib");

/// Files that every design may draw on without `use`.
pub const ALWAYS: [&str; 3] = ["vessels", "materials", "printers"];

/// The text of `std.NAME`.
pub fn text(name: &str) -> Option<&'static str> {
    FILES.get_file(format!("{name}.pkn"))?.contents_utf8()
}

/// The names of all library files, in the order of the alphabet.
pub fn names() -> Vec<&'static str> {
    let mut names: Vec<_> =
        FILES.files().filter_map(|f| f.path().file_stem().and_then(|s| s.to_str())).collect();
    names.sort_unstable();
    names
}
