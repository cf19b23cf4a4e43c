//! Many variants of one design: its files are read once, each variant is worked out and
//! measured by itself. What no variant changes is shared; nothing is kept between two.

use super::measures::Measured;
use super::stages::{self, Front};
use super::{Built, Options, Progress, bundle, record};
use crate::diagnostics::{Diagnostic, Sink};
use crate::evaluate::{Evaluated, Judged};
use crate::fit::{Fits, GapFit};
use crate::model::{Model, PartId};
use crate::output::manifest::GivenEntry;
use crate::output::number::rounded;
use crate::realise::Realised;
use crate::resolve::{self, Program};
use crate::source::{SourceMap, World};
use crate::{fit, print, realise};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// A design's files, read, with every name resolved.
#[derive(Debug)]
pub struct Reading {
    root: PathBuf,
    sources: SourceMap,
    program: Option<Program>,
    sink: Sink,
}

/// How a variant is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Care {
    /// As a build does it: both engines, compared; looked at as it will be printed.
    Full,
    /// On the meshes alone. Volumes are those of the facets, which keep areas (see
    /// `mesh`); gaps, strains and rules are measured on meshes in a build, too. What the
    /// comparison of both engines and the look at the print would find stays unknown.
    Meshes,
}

/// What a variant came to.
#[derive(Clone, Debug)]
pub struct Variant {
    /// Sorted by place.
    pub findings: Vec<Diagnostic>,
    /// Inputs by name, in the order of the text; none where the text has errors.
    pub givens: Vec<(String, GivenEntry)>,
    /// What was measured; nothing where a part could not be made.
    pub figures: Vec<Figure>,
}

/// One measured value, rounded as in the manifest.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Figure {
    /// Of what: `jar holds`, `belt in jar`, `jar.capacity >= 80 ml`.
    pub name: String,
    /// What kind of value.
    pub kind: FigureKind,
    /// In `unit`.
    pub value: f64,
    /// `mm`, `ml`, `g`, `%`, …; empty for counts.
    pub unit: String,
    /// What it is held against, in `unit`.
    pub limit: Option<f64>,
    /// Whether it keeps to its limit.
    pub holds: bool,
}

/// Kinds of measured values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum FigureKind {
    /// Extent of the assembly.
    Size,
    /// What a part holds to its rim.
    Capacity,
    /// Of all copies of all parts.
    Mass,
    /// Least gap of a seat or lid; the limit is what was asked.
    Gap,
    /// Strain of a ring that is put on; the limit is what its material stands.
    Strain,
    /// The left side of a design rule; the limit is its right side.
    Rule,
}

impl Figure {
    /// How near it comes to its limit: 1 at the limit, less where it keeps to it, more
    /// beyond it; none without a limit.
    pub fn share(&self) -> Option<f64> {
        let limit = self.limit?;
        let [a, b] = [self.value.abs(), limit.abs()].map(|v| v.max(f64::MIN_POSITIVE));
        Some(if self.holds { (a / b).min(b / a) } else { (a / b).max(b / a) })
    }

    fn of(name: String, kind: FigureKind, value: f64, unit: &str) -> Self {
        let unit = unit.to_string();
        Figure { name, kind, value: rounded(value), unit, limit: None, holds: true }
    }

    fn against(mut self, limit: Option<f64>, holds: bool) -> Self {
        (self.limit, self.holds) = (limit.map(rounded), holds);
        self
    }
}

/// Reads a design for its variants.
pub fn read(world: &dyn World, root: &Path) -> Reading {
    let mut sources = SourceMap::default();
    let (program, sink) = resolve::resolve(world, root, &mut sources);
    Reading { root: root.to_path_buf(), sources, program, sink }
}

impl Reading {
    /// The files.
    pub fn sources(&self) -> &SourceMap {
        &self.sources
    }

    /// The digest of all files, as in the manifest.
    pub fn digest(&self) -> String {
        bundle::digest(&self.sources)
    }

    /// Names a variant: the same files, compiler and values have the same key.
    pub fn key(&self, sets: &[(String, String)]) -> String {
        let mut sets: Vec<_> = sets.iter().collect();
        sets.sort();
        let digest = self.digest();
        let told = format!("{}\n{digest}\n{sets:?}", env!("CARGO_PKG_VERSION"));
        blake3::hash(told.as_bytes()).to_hex()[..32].to_string()
    }

    /// The names of the design's sizes.
    pub fn sizes(&self) -> Vec<String> {
        self.program.as_ref().map(Program::sizes).unwrap_or_default()
    }

    /// The names of the design's givens.
    pub fn givens(&self) -> Vec<String> {
        let givens = self.program.as_ref().map(Program::givens).unwrap_or_default();
        givens.into_iter().map(|(name, _)| name).collect()
    }

    /// What is wrong without looking at any value; sorted by place.
    pub fn findings(&self) -> Vec<Diagnostic> {
        self.sink.clone().into_sorted()
    }

    /// As [`super::build`], from what was read.
    pub fn build(&self, options: &Options, progress: &dyn Progress) -> Built {
        let front = self.front(options);
        stages::built(front, self.sources.clone(), &self.root, options, progress)
    }

    /// Measures a variant; no file is made.
    pub fn measure(&self, options: &Options, care: Care) -> Variant {
        let Front { evaluated, mut sink, .. } = self.front(options);
        let mut variant = Variant { findings: Vec::new(), givens: Vec::new(), figures: Vec::new() };
        if let Some(design) = &evaluated {
            variant.givens = design.model.givens.iter().map(record::given).collect();
            if !sink.has_errors() {
                variant.figures = measured(design, options, care, &mut sink);
            }
        }
        variant.findings = sink.into_sorted();
        variant
    }

    fn front(&self, options: &Options) -> Front {
        stages::front_of(self.program.as_ref(), self.sink.clone(), options)
    }
}

/// Bodies, fits and rules. Fits and rules that fail do not stop it: by how much they fail
/// is what is asked.
fn measured(design: &Evaluated, options: &Options, care: Care, sink: &mut Sink) -> Vec<Figure> {
    let (model, places) = (&design.model, &design.places);
    let (realised, findings) = match care {
        Care::Full => realise::realise(model, places, &options.tolerance),
        Care::Meshes => realise::meshes(model, places, &options.tolerance),
    };
    sink.append(findings);
    if realised.parts.iter().any(Option::is_none) {
        return Vec::new();
    }
    let (fits, findings) = fit::measure(model, &realised, places);
    sink.append(findings);
    if care == Care::Full {
        sink.append(print::print(model, &realised, places).1);
    }
    let measures =
        Measured { model, realised: &realised, fits: &fits, tolerance: &options.tolerance };
    let (rules, findings) = design.judge(&measures);
    sink.append(findings);
    figures(model, &realised, &fits, &rules)
}

fn figures(model: &Model, realised: &Realised, fits: &Fits, rules: &[Judged]) -> Vec<Figure> {
    let mut all = extents(model, realised);
    let finished = || model.parts.iter().zip(realised.parts.iter().flatten());
    for (part, finished) in finished() {
        if let Some(capacity_mm3) = finished.capacity_mm3 {
            let name = format!("{} holds", part.name);
            all.push(Figure::of(name, FigureKind::Capacity, capacity_mm3 / 1000.0, "ml"));
        }
    }
    let mass = finished().map(|(part, finished)| {
        let (mass_g, _) =
            record::mass_and_filament(&part.material, finished.volume_mm3, model.printer.fill);
        mass_g * f64::from(part.copies + part.spares)
    });
    all.push(Figure::of("mass".into(), FigureKind::Mass, mass.sum(), "g"));
    let name = |part: PartId| model.parts.get(part.0).map_or("", |p| p.name.as_str());
    for seat in fits.seats.iter().flatten() {
        let title = format!("{} in {}", name(seat.inlay), name(seat.host));
        all.push(gap(title, &seat.gap));
    }
    for lid in fits.lids.iter().flatten() {
        all.push(gap(format!("{} on {}", name(lid.lid), name(lid.host)), &lid.gap));
    }
    for ring in &fits.rings {
        let holds = ring.permitted_percent.is_none_or(|most| ring.strain_percent <= most);
        let title = format!("{} strain", name(ring.part));
        let figure = Figure::of(title, FigureKind::Strain, ring.strain_percent, "%");
        all.push(figure.against(ring.permitted_percent, holds));
    }
    all.extend(rules.iter().filter_map(rule));
    all
}

/// Extents of everything that is put together, mm.
fn extents(model: &Model, realised: &Realised) -> Vec<Figure> {
    let boxes = model.parts.iter().zip(&realised.parts).filter(|(part, _)| part.assembled);
    let boxes: Vec<_> = boxes.filter_map(|(_, f)| Some(f.as_ref()?.box_mm)).collect();
    let extent = |axis: usize| {
        let low = boxes.iter().map(|b| b[0][axis]).fold(f64::INFINITY, f64::min);
        boxes.iter().map(|b| b[1][axis]).fold(f64::NEG_INFINITY, f64::max) - low
    };
    let named = ["width", "length", "height"].into_iter().enumerate();
    let all =
        named.map(|(axis, name)| Figure::of(name.into(), FigureKind::Size, extent(axis), "mm"));
    if boxes.is_empty() { Vec::new() } else { all.collect() }
}

fn gap(name: String, fit: &GapFit) -> Figure {
    let holds = fit.least_mm >= fit.asked_mm - fit::TOLD_MM;
    Figure::of(name, FigureKind::Gap, fit.least_mm, "mm").against(Some(fit.asked_mm), holds)
}

/// Rules that compare numbers, in the units of the manifest.
fn rule(judged: &Judged) -> Option<Figure> {
    let (left, unit) = record::in_units(judged.left?);
    let (right, _) = record::in_units(judged.right?);
    // A ratio is told as the author wrote it.
    let in_percent = unit.is_none() && judged.text.trim_end().ends_with('%');
    let (scale, unit) =
        if in_percent { (100.0, "%".to_string()) } else { (1.0, unit.unwrap_or_default()) };
    let figure = Figure::of(judged.text.clone(), FigureKind::Rule, left * scale, &unit);
    Some(figure.against(Some(right * scale), judged.holds))
}
