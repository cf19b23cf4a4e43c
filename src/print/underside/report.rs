//! What to tell the author: one warning for each part and kind.

use super::super::codes;
use super::carry::SPAN_MM;
use super::{Kind, Unsupported};
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::{Model, Places};
use crate::quantity::decimals;

/// Overhangs that reach out no farther are no reason for a warning, whatever their angle,
/// mm: the largest length that Mazlan, Abdul Kadir, Yusof and Wahab found to print, Journal
/// of Advanced Industrial Technology and Application (UTHM), 2020, pages 38 to 47 (0.5 to
/// 1.5 mm, from its abstract).
pub const PRINTS_MM: f64 = 1.5;

/// Whether a region is more than what prints in the air: an island, or one that reaches or
/// spans farther.
pub fn will_not_print(region: &Unsupported, bridge_mm: f64) -> bool {
    match region.kind {
        Kind::Island => true,
        Kind::Overhang => region.reach_mm.is_none_or(|reach| reach > PRINTS_MM),
        Kind::Bridge => region.span_mm.is_none_or(|span| span > bridge_mm + SPAN_MM),
    }
}

/// Warns of what will not print in this pose.
pub fn report(
    model: &Model,
    places: &Places,
    index: usize,
    unsupported: &[Unsupported],
    sink: &mut Sink,
) {
    let Some(place) = places.parts.get(index) else { return };
    let mut warn = |finding: Option<Diagnostic>| {
        if let Some(finding) = finding {
            sink.push(finding);
        }
    };
    let name = &model.parts[index].name;
    let bridge = model.printer.bridge_mm;
    let of = |kind: Kind| -> Vec<_> {
        let wanted = |u: &&Unsupported| u.kind == kind && will_not_print(u, bridge);
        unsupported.iter().filter(wanted).collect()
    };
    let span = place.field("pose");
    // What still hangs beside props has had them already.
    let is_propped = model.props.iter().any(|props| props.under.0 == index);
    let found = |code, found: Option<(String, &str)>| {
        let (message, help) = found?;
        let finding = Diagnostic::at(code, span, message).help(help);
        let props = format!("or carry it with `props under {name} {{}}`, to be broken away");
        Some(if is_propped { finding } else { finding.help(props) })
    };
    warn(found(codes::STARTS_IN_AIR, islands(name, &of(Kind::Island))));
    let limit = model.printer.overhang_rad;
    let line = model.printer.line_mm;
    warn(found(codes::HANGS_OVER, overhangs(name, &of(Kind::Overhang), limit, line)));
    let long = bridges(name, &of(Kind::Bridge), bridge, &model.printer.name);
    warn(found(codes::LONG_BRIDGE, long));
}

fn islands(name: &str, found: &[&Unsupported]) -> Option<(String, &'static str)> {
    let lowest = found.first()?;
    let message = format!(
        "`{name}` starts in the air {}, {} mm above the bed{}",
        places_of(found),
        decimals(lowest.height_mm[0], 2),
        if found.len() > 1 { " and higher" } else { "" }
    );
    Some((message, "say another `pose`, or carry it from below: give it a foot or a slope"))
}

fn overhangs(
    name: &str,
    found: &[&Unsupported],
    limit_rad: f64,
    line_mm: f64,
) -> Option<(String, &'static str)> {
    let angle = |u: &Unsupported| u.angle_rad.unwrap_or(0.0);
    let worst = found.iter().max_by(|a, b| angle(a).total_cmp(&angle(b)))?;
    let deg = |rad: f64| decimals(rad.to_degrees(), 1);
    let message = format!(
        "`{name}` hangs over {}, by up to {} deg from the vertical where the limit is {} deg; at \
         {} mm above the bed {} % of a line of {} mm lies on the layer below",
        places_of(found),
        deg(angle(worst)),
        deg(limit_rad),
        decimals(worst.height_mm[0], 2),
        decimals(worst.overlap.unwrap_or(0.0) * 100.0, 1),
        decimals(line_mm, 2),
    );
    Some((message, "slope the underside, as in `bevel`, or say another `pose`"))
}

fn bridges(
    name: &str,
    found: &[&Unsupported],
    limit_mm: f64,
    printer: &str,
) -> Option<(String, &'static str)> {
    let span = |u: &Unsupported| u.span_mm.unwrap_or(0.0);
    let worst = found.iter().max_by(|a, b| span(a).total_cmp(&span(b)))?;
    let message = format!(
        "`{name}` bridges {} mm {} mm above the bed, `{printer}` bridges {} mm",
        decimals(span(worst), 2),
        decimals(worst.height_mm[0], 2),
        decimals(limit_mm, 2),
    );
    Some((message, "narrow the span, give it a post, or say another `pose`"))
}

fn places_of(found: &[&Unsupported]) -> String {
    match found.iter().map(|u| u.count).sum::<usize>() {
        1 => "at one place".to_string(),
        n => format!("at {n} places"),
    }
}
