//! What a gap takes away from bars, or from the walls between pockets.

use super::band::floor3;
use super::chart::{self, Bar};
use super::site::Site;
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::codes;
use crate::model::{Pattern, Seat, inset_strips, nominal_strips, pocket_strips};
use crate::plane::Strips;
use crate::quantity::Quantity;

/// Bars of which no more than this is left are gone, mm.
const NOTHING_MM: f64 = 1e-4;

fn mm(value: f64) -> Quantity {
    Quantity::mm(value)
}

/// Every bar outlives its gap, and so does every wall between two pockets.
pub fn swallowed(site: &Site, sink: &mut Sink) {
    let Some((_, seat)) = site.seat else { return };
    let [inlay, pocket] = seat.shares_mm();
    match &site.inlay.pattern {
        Pattern::Chart { rows, repeats } => {
            let wraps = site.strips.period.is_some() || *repeats > 1;
            let bars = [chart::lowest(rows, wraps), chart::narrowest(rows, wraps)];
            let holes = [chart::lowest_hole(rows), chart::narrowest_hole(rows, wraps)];
            let cell = cell_mm(site, rows, *repeats);
            report(site, "the bar", bars, cell, inlay, sink);
            report(site, "the wall beside the pocket", holes, cell, pocket, sink);
        }
        _ => free(site, seat, sink),
    }
}

/// Height and width of a cell, mm; the width where it is least.
fn cell_mm(site: &Site, rows: &[Vec<bool>], repeats: u32) -> [f64; 2] {
    let columns = rows.first().map_or(1, Vec::len).max(1) as f64 * f64::from(repeats.max(1));
    let lines = &site.strips.lines;
    let all = site.strips.period.unwrap_or_else(|| match (lines.first(), lines.last()) {
        (Some(a), Some(b)) => b - a,
        _ => 0.0,
    });
    [site.inlay.height_mm / rows.len() as f64, all / columns * site.least_radius_mm()]
}

fn report(
    site: &Site,
    what: &str,
    [low, narrow]: [Option<Bar>; 2],
    cell: [f64; 2],
    gap: f64,
    sink: &mut Sink,
) {
    if gap <= 0.0 {
        return;
    }
    let line = site.model.printer.line_mm;
    let eased = site.inlay.eased.map_or(gap, |e| gap / e.angle_rad.sin());
    let sides = [
        low.map(|bar| (bar, "high", cell[0] * bar.cells as f64, gap + eased)),
        narrow.map(|bar| (bar, "wide", cell[1] * bar.cells as f64, 2.0 * gap)),
    ];
    for (bar, way, size, lost) in sides.into_iter().flatten() {
        let name = format!("{what} in {}", bar.name());
        if size - lost <= NOTHING_MM {
            let most = site.seat.map_or(0.0, |(_, s)| s.gap_mm) * size / lost;
            sink.push(swallows(site, &name, way, [size, lost], most));
            return;
        }
        if size - lost < line {
            sink.push(thin(site, &name, way, size - lost, line));
            return;
        }
    }
}

fn swallows(site: &Site, bar: &str, way: &str, [size, lost]: [f64; 2], most: f64) -> Diagnostic {
    let message = format!(
        "{bar} of `{}` is {} {way}, the gap takes {} of it",
        site.name(),
        mm(size),
        mm(lost)
    );
    Diagnostic::at(codes::GAP_SWALLOWS, site.seat_field("gap"), message)
        .and_at(site.field("motif"), "the motif")
        .help(format!("say a gap well below {} mm, or draw the bar thicker", floor3(most)))
        .fact("bar", size, "mm")
        .fact("lost", lost, "mm")
}

fn thin(site: &Site, bar: &str, way: &str, left: f64, line: f64) -> Diagnostic {
    let message = format!(
        "{bar} of `{}` is {} {way} once the gap is taken, thinner than a printed line, {}",
        site.name(),
        mm(left),
        mm(line)
    );
    Diagnostic::at(codes::THIN_BAR, site.field("motif"), message)
        .and_at(site.seat_field("gap"), "the gap")
        .help("say fewer repeats, more height, or a smaller gap")
        .fact("bar", left, "mm")
        .fact("line", line, "mm")
}

/// Free motifs: the inset outline must hang together as the nominal one does.
fn free(site: &Site, seat: &Seat, sink: &mut Sink) {
    let hangs = |strips: &Strips| {
        let section = strips.section(0.0);
        (section.pieces.len(), section.loops())
    };
    let torn = |moved: Option<Strips>, whole: Option<Strips>| match (moved, whole) {
        (Some(moved), Some(whole)) => hangs(&moved) != hangs(&whole),
        _ => true,
    };
    let [inlay, pocket] = seat.shares_mm();
    let (inset, nominal) = (inset_strips(site.inlay, inlay).ok(), nominal_strips(site.inlay).ok());
    let (what, taken) = if inlay > 0.0 && torn(inset, nominal) {
        ("the thinnest bar", inlay)
    } else if pocket > 0.0
        && torn(pocket_strips(site.inlay, pocket).ok(), Some(site.strips.clone()))
    {
        ("the thinnest wall beside the pocket", pocket)
    } else {
        return;
    };
    let message = format!(
        "a gap of {} takes {what} of `{}` away: it is no more than {} thick",
        mm(seat.gap_mm),
        site.name(),
        mm(2.0 * taken)
    );
    let finding = Diagnostic::at(codes::GAP_SWALLOWS, site.seat_field("gap"), message)
        .and_at(site.field("motif"), "the motif")
        .help("say a smaller gap, or draw the motif with thicker lines")
        .fact("gap", seat.gap_mm, "mm");
    sink.push(finding);
}
