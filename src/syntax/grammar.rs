//! The one place that names the parser crate's derive.

/// The parser made from `grammar/pipkin.pest`; [`Rule`] lists its rules.
#[derive(pest_derive::Parser)]
#[grammar = "grammar/pipkin.pest"]
pub(super) struct Grammar;
