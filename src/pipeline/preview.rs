//! The short way from text to the page, for designs that are being edited: no exact bodies
//! and no files, and what can be shown of a design with errors is shown.

use super::measures::Measured;
use super::page::{self, Shown};
use super::stages::front;
use super::{Options, Progress};
use super::{bundle, propped};
use crate::diagnostics::Diagnostic;
use crate::output::pictures::{self, PageDesign, Shot};
use crate::source::{SourceMap, World};
use crate::{fit, print, realise};
use std::path::Path;

/// How many stages a preview has.
const STAGES: usize = 4;

/// How much of a design is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Bodies and fits: what is seen when a slider moves.
    First,
    /// The print besides, which takes longer.
    Whole,
}

/// What a preview came to.
#[derive(Debug)]
pub struct Previewed {
    /// Every file that was read.
    pub sources: SourceMap,
    /// Sorted by place.
    pub findings: Vec<Diagnostic>,
    /// What the page shows.
    pub page: PageDesign,
}

impl Previewed {
    /// A preview that failed for another reason than the text.
    pub fn failed(root: &Path, finding: Diagnostic) -> Self {
        done(SourceMap::default(), vec![finding], root, Shown::default())
    }
}

/// A shaded view as PNG; none where the design has errors.
pub fn still(world: &dyn World, root: &Path, options: &Options) -> Option<Vec<u8>> {
    let front = front(world, root, options, &mut SourceMap::default());
    let design = front.evaluated.filter(|_| !front.sink.has_errors())?;
    let (realised, _) = realise::meshes(&design.model, &design.places, &options.tolerance);
    let bodies = pictures::assembly(&design.model, &realised);
    pictures::view_png(&bodies, Shot::default()).ok()
}

/// Text to page. Gives nothing when `progress` says between two stages that nobody waits any
/// more.
pub fn preview(
    world: &dyn World,
    root: &Path,
    options: &Options,
    look: Look,
    progress: &dyn Progress,
) -> Option<Previewed> {
    let step = |what: &str, step: usize| {
        progress.stage(what, step, STAGES);
        (!progress.is_stale()).then_some(())
    };
    step("reading", 1)?;
    let mut sources = SourceMap::default();
    let front = front(world, root, options, &mut sources);
    let mut sink = front.sink;
    let design = front.evaluated.as_ref();
    let Some(design) = design.filter(|_| !sink.has_errors()) else {
        return Some(done(sources, sink.into_sorted(), root, Shown { design, ..Shown::default() }));
    };
    let (model, places) = (&design.model, &design.places);
    step("making bodies", 2)?;
    let (realised, findings) = realise::meshes(model, places, &options.tolerance);
    sink.append(findings);
    step("measuring fits", 3)?;
    let (fits, findings) = fit::measure(model, &realised, places);
    sink.append(findings);
    step("looking at the print", 4)?;
    let (mut aids, mut cautions) = (Vec::new(), Vec::new());
    if look == Look::Whole {
        let (printed, findings) = print::print(model, &realised, places);
        sink.append(findings);
        aids = propped::assembled(model, &realised, &printed);
        cautions = bundle::cautions(&printed);
    }
    let tolerance = &options.tolerance;
    let measures = Measured { model, realised: &realised, fits: &fits, tolerance };
    let (rules, findings) =
        if sink.has_errors() { Default::default() } else { design.judge(&measures) };
    sink.append(findings);
    let shown = Shown {
        design: Some(design),
        realised: Some(&realised),
        fits: Some(&fits),
        aids: &aids,
        rules: &rules,
        cautions: &cautions,
    };
    Some(done(sources, sink.into_sorted(), root, shown))
}

fn done(sources: SourceMap, findings: Vec<Diagnostic>, root: &Path, shown: Shown<'_>) -> Previewed {
    let name = root.file_stem().unwrap_or_default().to_string_lossy();
    let mut origin = bundle::origin(&sources, root);
    origin.push("a quick look, measured on meshes: `build` makes exact bodies and files".into());
    let page = page::page(&shown, &sources, &findings, &name, origin);
    Previewed { sources, findings, page }
}
