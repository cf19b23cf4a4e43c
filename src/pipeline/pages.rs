//! The page of each finding: what it means, a file that fails, the same file repaired.

use include_dir::{Dir, include_dir};

static PAGES: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/src/pipeline/pages");

/// One page.
#[derive(Clone, Copy, Debug)]
pub struct Page {
    /// `E0301`
    pub code: &'static str,
    /// `unit-mismatch`
    pub name: &'static str,
    /// Markdown.
    pub text: &'static str,
}

/// All pages, sorted by code. A page's file is `CODE-NAME.md`.
pub fn all() -> Vec<Page> {
    let mut pages: Vec<Page> = PAGES
        .files()
        .filter_map(|file| {
            let stem = file.path().file_stem()?.to_str()?;
            let (code, name) = stem.split_once('-')?;
            Some(Page { code, name, text: file.contents_utf8()? })
        })
        .collect();
    pages.sort_by_key(|page| page.code);
    pages
}

/// The page of a code or a name.
pub fn find(code_or_name: &str) -> Option<Page> {
    all().into_iter().find(|p| p.code.eq_ignore_ascii_case(code_or_name) || p.name == code_or_name)
}
