//! The order of the stages, from text to bytes.
//!
//! In: a [`World`](crate::source::World), the root file's path, [`Options`]. Out: findings, the model, and a
//! [`Bundle`] of files that nobody has written yet. Here also: the list of all codes
//! and their pages. Kept out: writing files, printing, the command line.

mod bundle;
mod codes;
mod contents;
pub mod coupon;
mod exchange;
mod family;
mod measures;
mod page;
pub mod pages;
mod preview;
mod propped;
mod record;
mod stages;

pub use bundle::UNKNOWN_PART;
pub use codes::{
    CANNOT_LISTEN, FORMULA_DEFAULT, GIVEN_TWICE, NO_REVISION, NO_SIZES, NO_SUCH_VALUE,
    NO_WORK_TREE, NOT_A_MANIFEST, NOT_TOLD, TOO_MANY_VARIANTS, WHICH_DESIGN, codes,
};
pub use exchange::{StepFiles, step_files};
pub use family::{Care, Figure, FigureKind, Reading, Variant, read};
pub use preview::{Look, Previewed, preview, still};
pub use stages::{build, check, study};

use crate::diagnostics::Diagnostic;
use crate::fit::Fits;
use crate::model::Model;
use crate::output::manifest::Manifest;
use crate::realise::{Realised, Tolerance};
use crate::resolve::Program;
use crate::source::SourceMap;

/// What the caller chooses.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// `--size NAME`
    pub size: Option<String>,
    /// `--set NAME=VALUE`, in the order given
    pub sets: Vec<(String, String)>,
    /// `--only PART`; empty means all
    pub only: Vec<String>,
    /// `--pictures`: shaded views beside the other files
    pub pictures: bool,
    /// `--with-props`: the STL files of parts hold the columns under them, too.
    pub with_props: bool,
    /// The root file's own text among the other files.
    pub keep_source: bool,
    /// How finely curved faces are cut into facets.
    pub tolerance: Tolerance,
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

/// What a design says and comes to, measured, with no file made of it.
#[derive(Debug)]
pub struct Study {
    /// Every file that was read.
    pub sources: SourceMap,
    /// Sorted by place.
    pub findings: Vec<Diagnostic>,
    /// What was written; none when the file cannot be read.
    pub program: Option<Program>,
    /// What it comes to; none when the text has errors.
    pub made: Option<Made>,
}

/// The finished parts of a design and what was measured of them.
#[derive(Debug)]
pub struct Made {
    /// The design.
    pub model: Model,
    /// Its parts, those that could be made.
    pub realised: Realised,
    /// How they fit.
    pub fits: Fits,
    /// The same in the words of the manifest; it lists no files.
    pub manifest: Manifest,
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

    /// Whether nobody waits for the result any more; asked between stages of a preview.
    fn is_stale(&self) -> bool {
        false
    }
}

/// Nobody is told.
#[derive(Clone, Copy, Debug, Default)]
pub struct Silent;

impl Progress for Silent {
    fn stage(&self, _what: &str, _step: usize, _steps: usize) {}
}
