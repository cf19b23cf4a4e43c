//! Measured values into the page: nothing is computed here but words and units.

use super::record;
use crate::diagnostics::{Diagnostic, Severity};
use crate::evaluate::{Evaluated, Judged};
use crate::fit::{Fits, GapFit, WayFit};
use crate::model::{Filling, Given, GivenSource, Model, PartId, Permits, Place};
use crate::output::number::rounded;
use crate::output::pictures::{
    self, BodyKind, PageDesign, PageFinding, PageFit, PageGiven, PageRule, PageScene, SceneBody,
    ShownAid,
};
use crate::quantity::{Dimension, Quantity, decimals};
use crate::realise::Realised;
use crate::source::SourceMap;

/// More findings than this are counted, not shown.
const MOST_FINDINGS: usize = 50;

/// What there is of a design to be shown; later stages may be missing.
#[derive(Clone, Copy, Default)]
pub(super) struct Shown<'a> {
    pub design: Option<&'a Evaluated>,
    pub realised: Option<&'a Realised>,
    pub fits: Option<&'a Fits>,
    pub aids: &'a [ShownAid],
    pub rules: &'a [Judged],
    pub cautions: &'a [String],
}

/// The page of a design, with what was found in it. `name` stands for a title where there
/// is none.
pub(super) fn page(
    shown: &Shown<'_>,
    sources: &SourceMap,
    findings: &[Diagnostic],
    name: &str,
    origin: Vec<String>,
) -> PageDesign {
    let model = shown.design.map(|d| &d.model);
    let titled = shown.design.and_then(|d| d.about.iter().find(|(name, _)| name == "title"));
    let fits = match (model, shown.fits) {
        (Some(model), Some(fits)) => all_fits(model, fits),
        _ => Vec::new(),
    };
    let told = findings.iter().take(MOST_FINDINGS);
    PageDesign {
        title: titled.map_or(name, |(_, title)| title).to_string(),
        size: model.and_then(|m| m.size.clone()),
        origin,
        scene: shown.realised.zip(model).and_then(|(r, m)| scene(m, r, shown.aids)),
        givens: model.map_or(Vec::new(), |m| m.givens.iter().map(given).collect()),
        rules: shown.rules.iter().map(rule).collect(),
        cautions: shown.cautions.to_vec(),
        findings: told.map(|f| finding(shown, sources, f, &fits)).collect(),
        more_findings: findings.len().saturating_sub(MOST_FINDINGS),
        fits: fits.into_iter().map(|(_, fit)| fit).collect(),
    }
}

fn scene(model: &Model, realised: &Realised, aids: &[ShownAid]) -> Option<PageScene> {
    let bodies = pictures::assembly(model, realised);
    let told = bodies.iter().map(|body| told(model, realised, body)).collect();
    pictures::page_scene(&bodies, told, aids)
}

/// `79.2 x 79.2 x 87 mm, 100.8 g chalk`
fn told(model: &Model, realised: &Realised, body: &SceneBody<'_>) -> (BodyKind, String) {
    let mut parts = model.parts.iter().zip(&realised.parts);
    let Some((part, Some(finished))) = parts.find(|(part, _)| part.name == body.name) else {
        return (BodyKind::Part, String::new());
    };
    let size = finished.size_mm().map(|c| decimals(c, 2)).join(" x ");
    if part.bought.is_some() {
        return (BodyKind::Bought, format!("{size} mm, bought: shown, never printed"));
    }
    let volume = finished.volume_mm3;
    let (mass_g, _) = record::mass_and_filament(&part.material, volume, model.printer.fill);
    (BodyKind::Part, format!("{size} mm, {} g {}", decimals(mass_g, 1), part.material.name))
}

/// Which of the measured things a fit is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Which {
    Seat(usize),
    Lid(usize),
    Pair(usize),
    Ring,
}

fn all_fits(model: &Model, fits: &Fits) -> Vec<(Which, PageFit)> {
    let name = |part: PartId| model.parts[part.0].name.clone();
    let seats = fits.seats.iter().flatten().map(|fit| {
        let parts = [name(fit.inlay), name(fit.host)];
        let title = format!("{} in {}", parts[0], parts[1]);
        let depth = decimals(fit.depth_mm, 3);
        let text = format!("{}; pocket {depth} mm deep", gap(&fit.gap));
        (Which::Seat(fit.seat.0), measured(title, text, &fit.gap, parts))
    });
    let lids = fits.lids.iter().flatten().map(|fit| {
        let parts = [name(fit.lid), name(fit.host)];
        let title = format!("{} on {}", parts[0], parts[1]);
        let engaged = decimals(fit.engagement_mm, 2);
        let turn = fits.way_of(fit.lid, fit.host).and_then(|way| way.turn.as_ref());
        let turns = turn.map_or(String::new(), |turn| format!("; {}", record::turn(turn).told()));
        let text = format!("{}; engages {engaged} mm{turns}", gap(&fit.gap));
        (Which::Lid(fit.closure), measured(title, text, &fit.gap, parts))
    });
    let pairs = fits.pairs.iter().map(|fit| {
        let parts = [name(fit.inner), name(fit.outer)];
        let title = format!("{} in {}", parts[0], parts[1]);
        let way = fits.way_of(fit.inner, fit.outer);
        let text = format!("{}{}", gap(&fit.gap), way.map_or(String::new(), comes_out));
        (Which::Pair(fit.fit), measured(title, text, &fit.gap, parts))
    });
    let rings = fits.rings.iter().map(|fit| {
        let text = format!(
            "passes {} mm when the slit opens by {} mm; strain {} %",
            decimals(2.0 * fit.over_mm, 2),
            decimals(fit.opening_mm, 2),
            decimals(fit.strain_percent, 2)
        );
        let title = format!("{} sprung open", name(fit.part));
        let parts = vec![name(fit.part)];
        (Which::Ring, PageFit { title, text, label: String::new(), at: None, across: None, parts })
    });
    seats.chain(lids).chain(pairs).chain(rings).collect()
}

fn gap(gap: &GapFit) -> String {
    let [least, most, asked] = [gap.least_mm, gap.most_mm, gap.asked_mm].map(|g| decimals(g, 3));
    format!("gap {least} to {most} mm, asked {asked}")
}

/// How far what slides reaches in, told by its way out.
fn comes_out(way: &WayFit) -> String {
    match &way.caught {
        None => format!("; comes out over {} mm", decimals(way.travel_mm, 2)),
        Some(caught) => format!("; is caught after {} mm", decimals(caught.after_mm, 2)),
    }
}

fn measured(title: String, text: String, gap: &GapFit, parts: [String; 2]) -> PageFit {
    PageFit {
        title,
        text,
        label: format!("{} mm", decimals(gap.least_mm, 3)),
        at: Some(gap.least_at_mm.map(rounded)),
        across: Some(gap.least_across_mm.map(rounded)),
        parts: parts.to_vec(),
    }
}

fn given(given: &Given) -> PageGiven {
    let (number, unit) = match &given.value {
        Filling::Quantity(quantity) => {
            let (number, unit) = record::in_units(*quantity);
            (Some(rounded(number)), unit.unwrap_or_default())
        }
        Filling::Text(_) | Filling::Truth(_) => (None, String::new()),
    };
    let in_unit = |quantity: Quantity| rounded(record::in_units(quantity).0);
    let among = match (&given.permits, &given.value) {
        (Permits::Among(values), _) => values.iter().map(typed).collect(),
        (Permits::Anything, Filling::Truth(_)) => vec!["yes".into(), "no".into()],
        _ => Vec::new(),
    };
    PageGiven {
        name: given.name.clone(),
        docs: given.docs.join(" "),
        text: typed(&given.value),
        number,
        unit,
        span: match &given.permits {
            Permits::Span { low, high, step } => {
                Some([in_unit(*low), in_unit(*high), step.map_or(0.0, in_unit)])
            }
            Permits::Anything | Permits::Among(_) => None,
        },
        among,
        fixed: given.source == GivenSource::Size,
    }
}

/// A value as it is typed behind `--set NAME=`.
fn typed(filling: &Filling) -> String {
    match filling {
        Filling::Quantity(q) if q.dimension == Dimension::NONE => decimals(q.value, 6),
        Filling::Quantity(quantity) => {
            let (number, unit) = record::in_units(*quantity);
            format!("{} {}", decimals(number, 6), unit.unwrap_or_default())
        }
        Filling::Text(text) => text.clone(),
        Filling::Truth(true) => "yes".into(),
        Filling::Truth(false) => "no".into(),
    }
}

fn rule(judged: &Judged) -> PageRule {
    PageRule { text: judged.text.clone(), holds: judged.holds }
}

fn finding(
    shown: &Shown<'_>,
    sources: &SourceMap,
    finding: &Diagnostic,
    fits: &[(Which, PageFit)],
) -> PageFinding {
    let about = shown.design.and_then(|design| about(design, finding));
    let fit = about.and_then(|(_, which)| fits.iter().position(|(w, _)| Some(*w) == which));
    let part = about.and_then(|(part, _)| Some(shown.design?.model.parts.get(part)?.name.clone()));
    PageFinding {
        code: finding.code.id.into(),
        name: finding.code.name.into(),
        severity: match finding.severity {
            Severity::Error => "error".into(),
            Severity::Warning => "warning".into(),
        },
        message: finding.message.clone(),
        excerpts: pictures::excerpts(sources, finding),
        help: finding.help.clone(),
        notes: finding.notes.clone(),
        fit,
        part,
    }
}

/// Which part, and which fit of it, the text at a finding's place makes.
fn about(design: &Evaluated, finding: &Diagnostic) -> Option<(usize, Option<Which>)> {
    let span = finding.primary.as_ref()?.span;
    let is_of = |place: &Place| place.name == span || place.fields.values().any(|s| *s == span);
    let (model, places) = (&design.model, &design.places);
    if let Some(seat) = places.seats.iter().position(is_of) {
        return Some((model.seats.get(seat)?.inlay.0, Some(Which::Seat(seat))));
    }
    if let Some(fit) = places.fits.iter().position(is_of) {
        return Some((model.fits.get(fit)?.inner.0, Some(Which::Pair(fit))));
    }
    if let Some(props) = places.props.iter().position(is_of) {
        return Some((model.props.get(props)?.under.0, None));
    }
    let part = places.parts.iter().position(is_of)?;
    let lid = model.closures.iter().position(|c| c.lid == PartId(part)).map(Which::Lid);
    // A lid's measures are its own; of its fit only what `fit` says.
    Some((part, lid.filter(|_| finding.code.id.starts_with("E06"))))
}
