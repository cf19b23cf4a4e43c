//! What easing takes away from bars, and ceilings that are not eased.

use super::band::{ceil3, floor3};
use super::chart;
use super::site::Site;
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::codes;
use crate::model::{Pattern, Surface};
use crate::quantity::Quantity;

/// A bar as high as the whole drop, within this, ends in an edge on the floor, mm.
const SAME_MM: f64 = 1e-4;

fn mm(value: f64) -> Quantity {
    Quantity::mm(value)
}

/// Every bar of an eased inlay reaches the floor of its pocket.
pub fn vanishing(site: &Site, sink: &mut Sink) {
    let Some(drop) = site.inlay.ceiling_drop() else { return };
    let lost = (drop.upper + drop.lower) * site.depth_mm();
    if lost <= SAME_MM {
        return;
    }
    let (bar, height) = match &site.inlay.pattern {
        Pattern::Chart { rows, .. } => {
            let row = site.inlay.height_mm / rows.len() as f64;
            let Some(bar) = chart::upright_bars(rows).into_iter().min_by_key(|b| b.cells) else {
                return;
            };
            (format!("the bar in {}", bar.name()), row * bar.cells as f64)
        }
        _ => match site.strips.breaks_at(lost - SAME_MM) {
            Some(height) => ("the lowest bar".to_string(), height),
            None => return,
        },
    };
    if height >= lost - SAME_MM {
        return;
    }
    sink.push(vanishes(site, &bar, height, lost));
}

fn vanishes(site: &Site, bar: &str, height: f64, lost: f64) -> Diagnostic {
    let angle = site.inlay.eased.map_or(0.0, |e| e.angle_rad);
    let message = format!(
        "{bar} of `{}` is {} high, but eased to {} it loses {} on its way to the floor of its pocket",
        site.name(),
        mm(height),
        Quantity::rad(angle),
        mm(lost)
    );
    let share = height / lost;
    let sink = site.inlay.sink_mm * share - site.inlay.proud_mm * (1.0 - share);
    let higher = site.inlay.height_mm / share.max(1e-9);
    let mut finding = Diagnostic::at(codes::BAR_VANISHES, site.field("sink"), message)
        .and_at(site.field("height"), format!("the inlay is {} high", mm(site.inlay.height_mm)))
        .and_at(site.field("ease"), "the slope of its ceilings")
        .fact("bar", height, "mm")
        .fact("drop", lost, "mm");
    if sink > 0.0 && share > 1e-9 {
        let help = format!(
            "say sink: {} mm or less, or height: {} mm or more",
            floor3(sink),
            ceil3(higher)
        );
        finding = finding.help(help);
    }
    finding
        .note("a bar must be higher than the depth of its pocket divided by the tangent of `ease`")
}

/// Ceilings that are not eased are no wider than the printer's bridge.
pub fn ceilings(site: &Site, sink: &mut Sink) {
    if site.inlay.eased.is_some() || site.seat.is_none() {
        return;
    }
    if let Surface::Flat { up, .. } = &site.inlay.surface
        && up[2].abs() < SAME_MM
    {
        return;
    }
    let bridge = site.model.printer.bridge_mm;
    let widest = widest_ceiling(site);
    if widest <= bridge {
        return;
    }
    let message = format!(
        "the pocket of `{}` has a flat ceiling {} wide, more than the printer bridges, {}",
        site.name(),
        mm(widest),
        mm(bridge)
    );
    let finding = Diagnostic::at(codes::WIDE_CEILING, site.field("motif"), message)
        .help(format!("say ease: {}", Quantity::rad(site.model.printer.overhang_rad)))
        .fact("ceiling", widest, "mm")
        .fact("bridge", bridge, "mm");
    sink.push(finding);
}

/// The longest run of strips side by side whose ceilings follow each other and are
/// steeper than the printer's overhang, mm along the surface.
fn widest_ceiling(site: &Site) -> f64 {
    let over = site.host_is_turned_over();
    let limit = site.model.printer.overhang_rad;
    let strips = &site.strips;
    let n = strips.strips.len();
    let width = |i: usize| {
        let from = strips.lines[i];
        let to = strips.lines.get(i + 1).copied();
        to.unwrap_or_else(|| strips.lines[0] + strips.period.unwrap_or(0.0)) - from
    };
    // Per ceiling that goes on: its height at the right line, the width so far.
    let mut open: Vec<(f64, f64)> = Vec::new();
    let mut widest: f64 = 0.0;
    // Twice round, so that a run over the seam is seen whole.
    let rounds = if strips.period.is_some() { 2 * n } else { n };
    for k in 0..rounds {
        let i = k % n;
        let mut next = Vec::new();
        for interval in &strips.strips[i] {
            let edge = if over { interval.bottom } else { interval.top };
            let across = width(i) * site.radius_mm((edge[0] + edge[1]) / 2.0);
            let rise = (edge[1] - edge[0]).abs();
            if across.atan2(rise) <= limit {
                continue;
            }
            let before = open.iter().find(|(z, _)| (z - edge[0]).abs() < SAME_MM);
            let so_far = before.map_or(0.0, |(_, w)| *w) + across;
            widest = widest.max(so_far);
            next.push((edge[1], so_far));
        }
        open = next;
    }
    match strips.period {
        Some(turn) => widest.min(turn * site.radius_mm(site.inlay.level_mm)),
        None => widest,
    }
}
