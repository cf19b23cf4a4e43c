//! The order of the stages, from text to bytes.
//!
//! In: a [`World`], the root file's path, [`Options`]. Out: findings, the model, and a
//! [`Bundle`] of files that nobody has written yet. Here also: the list of all codes
//! and their pages. Kept out: writing files, printing, the command line.

mod codes;
pub mod pages;

pub use codes::codes;

use crate::diagnostics::{Diagnostic, Sink};
use crate::model::Model;
use crate::output::manifest::Manifest;
use crate::source::{SourceMap, World};
use std::path::Path;

/// What the caller chooses.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// `--size NAME`
    pub size: Option<String>,
    /// `--set NAME=VALUE`, in the order given
    pub sets: Vec<(String, String)>,
    /// `--only PART`; empty means all
    pub only: Vec<String>,
}

/// What a check found.
#[derive(Debug)]
pub struct Checked {
    /// Every file that was read.
    pub sources: SourceMap,
    /// Sorted by place.
    pub findings: Vec<Diagnostic>,
    /// The design; none when it has errors.
    pub model: Option<Model>,
    /// The names of all sizes, also when there are errors elsewhere.
    pub sizes: Vec<String>,
}

/// What a build made.
#[derive(Debug)]
pub struct Built {
    /// Every file that was read.
    pub sources: SourceMap,
    /// Sorted by place.
    pub findings: Vec<Diagnostic>,
    /// The files; none when there is an error.
    pub bundle: Option<Bundle>,
}

/// Everything that one build leaves behind, not yet written.
#[derive(Debug)]
pub struct Bundle {
    /// The design's name.
    pub name: String,
    /// File names (no folders) and contents, sorted by name, the manifest's included.
    pub files: Vec<(String, Vec<u8>)>,
    /// What the manifest's file says.
    pub manifest: Manifest,
}

/// Who is told how far a build has come.
pub trait Progress: Sync {
    /// A stage begins; `what` is for people, `step` counts from 1 to `steps`.
    fn stage(&self, what: &str, step: usize, steps: usize);
}

/// Nobody is told.
#[derive(Clone, Copy, Debug, Default)]
pub struct Silent;

impl Progress for Silent {
    fn stage(&self, _what: &str, _step: usize, _steps: usize) {}
}

/// Everything up to the model: no geometry.
pub fn check(_world: &dyn World, _root: &Path, _options: &Options) -> Checked {
    let sources = SourceMap::default();
    let sink = Sink::default();
    Checked { sources, findings: sink.into_sorted(), model: None, sizes: Vec::new() }
}

/// The whole way from text to the bytes of every output file.
pub fn build(world: &dyn World, root: &Path, options: &Options, _progress: &dyn Progress) -> Built {
    let checked = check(world, root, options);
    Built { sources: checked.sources, findings: checked.findings, bundle: None }
}
