//! From results to the bytes of every file of one build.

use super::exchange::step_files;
use super::page::{self, Shown};
use super::{Bundle, Options, contents, propped, record};
use crate::diagnostics::{BUG, Code, Diagnostic, Sink};
use crate::evaluate::{Evaluated, Judged};
use crate::fit::{Fits, LidFit};
use crate::model::{Model, PartId};
use crate::output::manifest::{About, Manifest, RequireEntry, Side, Source, VERSION, Value};
use crate::output::pictures::{self, PageKind, Shot, Subject};
use crate::output::stl;
use crate::output::threemf::{self, PrintObject};
use crate::print::{Layout, Printed};
use crate::quantity::Quantity;
use crate::realise::Realised;
use crate::source::SourceMap;
use rayon::prelude::*;
use std::path::Path;

/// `--only` names a part that the design does not have.
pub const UNKNOWN_PART: Code = Code::new("E0920", "unknown-part");

/// Everything that a build came to.
pub(super) struct Results<'a> {
    pub(super) design: &'a Evaluated,
    pub(super) realised: Realised,
    pub(super) fits: Fits,
    pub(super) printed: Printed,
    pub(super) rules: Vec<Judged>,
    pub(super) notes: Vec<(PartId, String)>,
}

/// A finding for each name of `--only` that is no part.
pub(super) fn unknown_parts(model: &Model, only: &[String]) -> Sink {
    let mut sink = Sink::default();
    let names: Vec<&str> = model.parts.iter().map(|p| p.name.as_str()).collect();
    for name in only.iter().filter(|name| !names.contains(&name.as_str())) {
        let finding = Diagnostic::nowhere(
            UNKNOWN_PART,
            format!("`--only {name}` names no part of this design"),
        );
        sink.push(finding.help(format!("its parts are {}", names.join(", "))));
    }
    sink
}

/// The files of a build.
///
/// # Errors
/// A finding when a part cannot be written down in a file format.
pub(super) fn bundle(
    results: &Results<'_>,
    sources: &SourceMap,
    root: &Path,
    options: &Options,
    sink: &Sink,
) -> Result<Bundle, Box<Diagnostic>> {
    let model = &results.design.model;
    let wanted = |name: &str| options.only.is_empty() || options.only.iter().any(|o| o == name);
    let mut files = Vec::new();
    for posed in results.printed.parts.iter().flatten() {
        let name = &model.parts[posed.part.0].name;
        if wanted(name) {
            let mesh = propped::stl_mesh(posed, options.with_props);
            let bytes = stl::encode(&mesh).map_err(|e| unwritten(name, &e))?;
            files.push((format!("{name}.stl"), bytes));
            if let Some(brim) = &posed.brim {
                let bytes = stl::encode(&brim.mesh).map_err(|e| unwritten(name, &e))?;
                files.push((format!("{name}.brim.stl"), bytes));
            }
        }
    }
    let exact = |index: usize| {
        let finished = results.realised.parts.get(index).and_then(Option::as_ref);
        finished.and_then(|finished| finished.exact.as_deref())
    };
    let exact: Vec<_> = (0..model.parts.len()).map(exact).collect();
    let step = step_files(model, &exact, &wanted);
    files.extend(step.files);
    for (index, layout) in results.printed.layouts.iter().enumerate() {
        let objects = objects(results, layout, &wanted);
        if !objects.is_empty() {
            let bytes = threemf::encode(&model.name, &compiler(), &objects)
                .map_err(|refused| Box::new(refused.finding()))?;
            files.push((plate_file(&model.name, layout, index), bytes));
        }
    }
    if options.pictures {
        files.extend(pictures(results, sources, root, sink)?);
    }
    if options.keep_source {
        files.extend(source_file(sources, root));
    }
    let manifest_name = format!("{}.manifest.json", model.name);
    let mut names: Vec<String> = files.iter().map(|(name, _)| name.clone()).collect();
    names.push(manifest_name.clone());
    names.sort();
    let mut manifest = manifest(results, sources, root, options, sink, names);
    for part in &mut manifest.parts {
        part.no_step = step.refused.get(&part.name).cloned();
    }
    let bytes = manifest.to_json().map_err(|e| unwritten("the manifest", &e))?;
    files.push((manifest_name, bytes));
    files.sort();
    Ok(Bundle { name: model.name.clone(), files, manifest })
}

/// A drawing, shaded views of the assembly, put together and taken apart, and the page.
fn pictures(
    results: &Results<'_>,
    sources: &SourceMap,
    root: &Path,
    sink: &Sink,
) -> Result<Vec<(String, Vec<u8>)>, Box<Diagnostic>> {
    let model = &results.design.model;
    let bodies = pictures::assembly(model, &results.realised);
    let refused = |file: &str, why: pictures::PictureError| {
        unwritten(file, &std::io::Error::other(why.reason))
    };
    let view = |file: String, bodies: &[pictures::SceneBody<'_>], apart: f64| {
        let shot = Shot { apart, ..Shot::default() };
        let bytes = pictures::view_png(bodies, shot).map_err(|why| refused(&file, why))?;
        Ok::<_, Box<Diagnostic>>((file, bytes))
    };
    let aids = propped::assembled(model, &results.realised, &results.printed);
    let mut files = sheets(results, sources, &aids)?;
    let closed = view(format!("{}.png", model.name), &bodies, 0.0)?;
    let shown = Shown {
        design: Some(results.design),
        realised: Some(&results.realised),
        fits: Some(&results.fits),
        aids: &aids,
        rules: &results.rules,
        cautions: &cautions(&results.printed),
    };
    let findings = sink.clone().into_sorted();
    let design = page::page(&shown, sources, &findings, &model.name, origin(sources, root));
    let page_file = format!("{}.html", model.name);
    let json = pictures::page_json(&design).map_err(|e| unwritten(&page_file, &e))?;
    let kind = PageKind::File { design: &json, still: &closed.1 };
    let page = pictures::page_html(&design.title, kind);
    files.push((page_file, page.into_bytes()));
    files.push(closed);
    files.push(view(format!("{}-apart.png", model.name), &bodies, 1.0)?);
    // Names of parts hold no dot, so that none of these can be one of those above.
    for body in &bodies {
        files.push(view(format!("{}.view.png", body.name), &[*body], 0.0)?);
    }
    for posed in results.printed.parts.iter().flatten() {
        if let Some(scene) = propped::scene(model, posed) {
            files.push(view(format!("{}.print.png", scene[0].name), &scene, 0.0)?);
        }
    }
    Ok(files)
}

/// The drawing of the assembly, and one of each part.
fn sheets(
    results: &Results<'_>,
    sources: &SourceMap,
    aids: &[pictures::ShownAid],
) -> Result<Vec<(String, Vec<u8>)>, Box<Diagnostic>> {
    let model = &results.design.model;
    let title = results.design.about.iter().find(|(name, _)| name == "title");
    let made = results.printed.parts.iter().flatten();
    let made: Vec<PartId> = made.map(|posed| posed.part).collect();
    let digest = digest(sources);
    let assembly = Subject {
        model,
        realised: &results.realised,
        fits: &results.fits,
        aids,
        digest: &digest,
        title: title.map(|(_, title)| title.as_str()),
        part: None,
        sheet: [1, made.len() + 1],
    };
    let own = made.iter().zip(2..).map(|(part, number)| {
        let names = ["sheet.svg", "sheet.png"].map(|e| format!("{}.{e}", model.parts[part.0].name));
        (names, Subject { part: Some(*part), sheet: [number, made.len() + 1], ..assembly })
    });
    let names = [format!("{}.svg", model.name), format!("{}.drawing.png", model.name)];
    let all: Vec<_> = std::iter::once((names, assembly)).chain(own).collect();
    let drawn = all.into_par_iter().map(|(names, subject)| {
        let bytes = pictures::drawing(&subject)
            .map_err(|why| unwritten(&names[0], &std::io::Error::other(why.reason)))?;
        Ok(names.into_iter().zip(bytes).collect::<Vec<_>>())
    });
    let drawn: Result<Vec<_>, Box<Diagnostic>> = drawn.collect();
    Ok(drawn?.concat())
}

/// The root file by its own name.
fn source_file(sources: &SourceMap, root: &Path) -> Option<(String, Vec<u8>)> {
    let name = root.file_name()?.to_string_lossy().to_string();
    let id = sources.ids().find(|id| sources.name(*id) == name)?;
    Some((name, sources.text(id).as_bytes().to_vec()))
}

/// What a page says of where it comes from.
pub(super) fn origin(sources: &SourceMap, root: &Path) -> Vec<String> {
    let file = root.file_name().unwrap_or_default().to_string_lossy();
    vec![compiler(), file.into_owned(), format!("source {}", &digest(sources)[..16])]
}

pub(super) fn compiler() -> String {
    format!("pipkin {}", env!("CARGO_PKG_VERSION"))
}

/// Memory that cannot be written to does not happen, but is no reason to stop hard.
fn unwritten(what: &str, error: &std::io::Error) -> Box<Diagnostic> {
    Box::new(Diagnostic::nowhere(BUG, format!("`{what}` cannot be written: {error}")))
}

/// `NAME.3mf` for the first plate that has no name; others carry their name or number.
fn plate_file(design: &str, layout: &Layout, index: usize) -> String {
    match &layout.name {
        Some(name) => format!("{design}-{name}.3mf"),
        None if index == 0 => format!("{design}.3mf"),
        None => format!("{design}-{}.3mf", index + 1),
    }
}

/// The objects of one plate, in the order of the parts; copies are items of one object.
fn objects<'a>(
    results: &'a Results<'_>,
    layout: &Layout,
    wanted: &dyn Fn(&str) -> bool,
) -> Vec<PrintObject<'a>> {
    let model = &results.design.model;
    let mut objects = Vec::new();
    for posed in results.printed.parts.iter().flatten() {
        let part = &model.parts[posed.part.0];
        let items: Vec<_> = layout
            .items
            .iter()
            .filter(|item| item.part == posed.part && wanted(&part.name))
            .map(|item| threemf::shifted(item.shift_mm))
            .collect();
        if !items.is_empty() {
            objects.push(PrintObject {
                name: &part.name,
                material: &part.material.name,
                colour: part.material.colour,
                mesh: &posed.mesh,
                aids: propped::aids(posed),
                items,
            });
        }
    }
    objects
}

pub(super) fn manifest(
    results: &Results<'_>,
    sources: &SourceMap,
    root: &Path,
    options: &Options,
    sink: &Sink,
    files: Vec<String>,
) -> Manifest {
    let model = &results.design.model;
    let note = |part: usize| {
        let told = results.notes.iter().find(|(id, _)| id.0 == part);
        told.map(|(_, text)| text.clone()).or_else(|| model.parts[part].note.clone())
    };
    let parts = model.parts.iter().enumerate().filter_map(|(index, part)| {
        let finished = results.realised.parts.get(index)?.as_ref()?;
        if part.bought.is_some() {
            return None;
        }
        let file = |ending: &str| format!("{}.{ending}", part.name);
        let own = [file("step"), file("stl"), file("brim.stl")];
        let own = files.iter().filter(|name| own.contains(name)).cloned().collect();
        Some(record::part(model, part, finished, own, note(index)))
    });
    let parts = parts.collect();
    let realised = &results.realised;
    let under = |fit: &LidFit| contents::under_lid_mm3(model, realised, fit, &options.tolerance);
    let finished = |part: PartId| realised.parts.get(part.0).and_then(Option::as_ref);
    let volume_mm3 = |part: PartId| finished(part).map_or(0.0, |f| f.volume_mm3);
    let printed = results.printed.parts.iter().flatten();
    Manifest {
        manifest: VERSION,
        compiler: compiler(),
        about: about(&results.design.about),
        source: Source {
            file: root.file_name().unwrap_or_default().to_string_lossy().to_string(),
            digest: digest(sources),
        },
        size: model.size.clone(),
        given: model.givens.iter().map(record::given).collect(),
        printer: record::printer(&model.printer),
        only: options.only.clone(),
        parts,
        seats: results.fits.seats.iter().flatten().map(|s| record::seat(model, s)).collect(),
        lids: results.fits.lids.iter().flatten().map(|l| record::lid(model, l, under(l))).collect(),
        fits: results.fits.pairs.iter().map(|pair| record::pair(model, pair)).collect(),
        bought: record::bought(model, realised),
        rings: results.fits.rings.iter().map(|r| record::ring(model, r)).collect(),
        ways: results.fits.ways.iter().map(|w| record::way(model, w)).collect(),
        plates: record::plates(model, &results.printed),
        print: printed
            .map(|p| record::print(model, volume_mm3(p.part), p, options.with_props))
            .collect(),
        time_assumes: contents::time_assumes(&model.printer),
        requires: results.rules.iter().map(require).collect(),
        cautions: cautions(&results.printed),
        findings: sink.clone().into_sorted().iter().map(|d| record::finding(sources, d)).collect(),
        files,
    }
}

/// BLAKE3 over names and texts of all files that were read, in order of name.
pub(super) fn digest(sources: &SourceMap) -> String {
    let mut ids: Vec<_> = sources.ids().collect();
    ids.sort_by_key(|id| sources.name(*id));
    let mut hasher = blake3::Hasher::new();
    for id in ids {
        for part in [sources.name(id), sources.text(id)] {
            // The length first, so that no two sets of files run together alike.
            hasher.update(&(part.len() as u64).to_le_bytes());
            hasher.update(part.as_bytes());
        }
    }
    hasher.finalize().to_hex().to_string()
}

fn about(fields: &[(String, String)]) -> Option<About> {
    let field = |name: &str| fields.iter().find(|(n, _)| n == name).map(|(_, text)| text.clone());
    (!fields.is_empty()).then(|| About {
        title: field("title"),
        by: field("by"),
        licence: field("licence"),
        note: field("note"),
    })
}

fn require(judged: &Judged) -> RequireEntry {
    RequireEntry {
        text: judged.text.clone(),
        holds: judged.holds,
        left: judged.left.map(side),
        right: judged.right.map(side),
    }
}

fn side(quantity: Quantity) -> Side {
    let (value, unit) = record::in_units(quantity);
    Side { value: Value::Number(value), unit }
}

/// The cautions of all parts, each once.
pub(super) fn cautions(printed: &Printed) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for caution in printed.parts.iter().flatten().flat_map(|p| &p.check.cautions) {
        if !all.contains(caution) {
            all.push(caution.clone());
        }
    }
    all
}
