//! The stages in order. None stops at the first error of another part; what an error
//! makes meaningless is left out.

use super::bundle::{self, Results};
use super::measures::Measured;
use super::{Built, Checked, Made, Options, Progress, Study};
use crate::diagnostics::Sink;
use crate::evaluate::{self, Choice, Evaluated};
use crate::resolve::{self, Program};
use crate::source::{SourceMap, World};
use crate::{fit, model, print, realise};
use std::path::Path;

/// How many stages a build has, for whoever shows progress.
const STAGES: usize = 5;

/// Everything up to the model: no geometry.
pub fn check(world: &dyn World, root: &Path, options: &Options) -> Checked {
    let mut sources = SourceMap::default();
    let front = front(world, root, options, &mut sources);
    let model = front.evaluated.filter(|_| !front.sink.has_errors()).map(|e| e.model);
    Checked { sources, findings: front.sink.into_sorted(), model, sizes: front.sizes }
}

/// The whole way from text to the bytes of every output file.
pub fn build(world: &dyn World, root: &Path, options: &Options, progress: &dyn Progress) -> Built {
    progress.stage("reading", 1, STAGES);
    let mut sources = SourceMap::default();
    let front = front(world, root, options, &mut sources);
    built(front, sources, root, options, progress)
}

/// The rest of the way, from values to bytes.
pub(super) fn built(
    front: Front,
    sources: SourceMap,
    root: &Path,
    options: &Options,
    progress: &dyn Progress,
) -> Built {
    let mut sink = front.sink;
    let bundle = front
        .evaluated
        .filter(|_| !sink.has_errors())
        .and_then(|design| make(&design, &sources, root, options, progress, &mut sink));
    Built { sources, findings: sink.into_sorted(), bundle }
}

/// All that a build measures, without a file made of it. Fits and rules that fail do not stop
/// it: who asks wants to see by how much.
pub fn study(world: &dyn World, root: &Path, options: &Options, progress: &dyn Progress) -> Study {
    progress.stage("reading", 1, STAGES);
    let mut sources = SourceMap::default();
    let (program, sink) = resolve::resolve(world, root, &mut sources);
    let front = front_of(program.as_ref(), sink, options);
    let mut sink = front.sink;
    let design = front.evaluated.filter(|_| !sink.has_errors());
    let made = design.map(|design| {
        let results = results(&design, options, progress, &mut sink);
        let manifest = bundle::manifest(&results, &sources, root, options, &sink, Vec::new());
        let Results { realised, fits, .. } = results;
        Made { model: design.model, realised, fits, manifest }
    });
    Study { sources, findings: sink.into_sorted(), program, made }
}

/// What the text alone tells.
pub(super) struct Front {
    pub(super) evaluated: Option<Evaluated>,
    sizes: Vec<String>,
    pub(super) sink: Sink,
}

pub(super) fn front(
    world: &dyn World,
    root: &Path,
    options: &Options,
    sources: &mut SourceMap,
) -> Front {
    let (program, sink) = resolve::resolve(world, root, sources);
    front_of(program.as_ref(), sink, options)
}

/// The values that `options` choose, in a text that was read.
pub(super) fn front_of(program: Option<&Program>, mut sink: Sink, options: &Options) -> Front {
    let Some(program) = program else {
        return Front { evaluated: None, sizes: Vec::new(), sink };
    };
    let choice = Choice { size: options.size.clone(), sets: options.sets.clone() };
    let (evaluated, findings) = evaluate::evaluate(program, &choice);
    sink.append(findings);
    if let Some(design) = &evaluated {
        sink.append(model::validate(&design.model, &design.places));
        sink.append(bundle::unknown_parts(&design.model, &options.only));
    }
    Front { evaluated, sizes: program.sizes(), sink }
}

fn make(
    design: &Evaluated,
    sources: &SourceMap,
    root: &Path,
    options: &Options,
    progress: &dyn Progress,
    sink: &mut Sink,
) -> Option<super::Bundle> {
    let results = results(design, options, progress, sink);
    if sink.has_errors() {
        return None;
    }
    progress.stage("writing files", 5, STAGES);
    match bundle::bundle(&results, sources, root, options, sink) {
        Ok(bundle) => Some(bundle),
        Err(finding) => {
            sink.push(*finding);
            None
        }
    }
}

/// Bodies, fits, copies and rules. Rules wait until everything else is as it should be: a
/// measured value of a part that could not be made would only repeat why.
fn results<'a>(
    design: &'a Evaluated,
    options: &Options,
    progress: &dyn Progress,
    sink: &mut Sink,
) -> Results<'a> {
    let (model, places) = (&design.model, &design.places);
    progress.stage("making bodies", 2, STAGES);
    let (realised, findings) = realise::realise(model, places, &options.tolerance);
    sink.append(findings);
    progress.stage("measuring fits", 3, STAGES);
    let (fits, findings) = fit::measure(model, &realised, places);
    sink.append(findings);
    progress.stage("setting out the plate", 4, STAGES);
    let (printed, findings) = print::print(model, &realised, places);
    sink.append(findings);
    let (mut rules, mut notes) = (Vec::new(), Vec::new());
    if !sink.has_errors() {
        let measures =
            Measured { model, realised: &realised, fits: &fits, tolerance: &options.tolerance };
        let (judged, findings) = design.judge(&measures);
        sink.append(findings);
        notes = design.notes(&measures);
        rules = judged;
    }
    Results { design, realised, fits, printed, rules, notes }
}
