//! Checks of an inlay against its face and of its pattern as such.

use super::site::Site;
use super::wall::{Behind, Sample, extent, thinnest};
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::codes;
use crate::model::{Pattern, Surface, nominal_strips};
use crate::quantity::{Quantity, decimals};

/// Ends of a pattern this near to the ends of its face reach them, mm.
const SAME_MM: f64 = 1e-6;

fn mm(value: f64) -> Quantity {
    Quantity::mm(value)
}

/// Whether the measures of an inlay make sense; nothing else is checked where not.
pub fn measures(site: &Site, sink: &mut Sink) -> bool {
    let inlay = site.inlay;
    let before = sink.iter().count();
    let mut above = |field: &str, value: f64, least_is_zero: bool| {
        if value.is_finite() && (value > 0.0 || (least_is_zero && value == 0.0)) {
            return;
        }
        let most = if least_is_zero { "0 mm or more" } else { "above 0 mm" };
        let message = format!("`{field}` of `{}` must be {most}, it is {}", site.name(), mm(value));
        let span =
            if field.starts_with("gap") { site.seat_field(field) } else { site.field(field) };
        sink.push(Diagnostic::at(codes::NOT_ABOVE_ZERO, span, message).fact("value", value, "mm"));
    };
    above("height", inlay.height_mm, false);
    above("sink", inlay.sink_mm, inlay.proud_mm > 0.0 && site.seat.is_none());
    above("proud", inlay.proud_mm, true);
    if let Some(slit) = &inlay.slit {
        above("slit", slit.width_mm, false);
    }
    if let Some((_, seat)) = site.seat {
        above("gap", seat.gap_mm, true);
        above("gap_behind", seat.gap_behind_mm, true);
    }
    sink.iter().count() == before
}

/// The inlay lies within its face, with at least the height of a layer left all round.
pub fn on_face(site: &Site, sink: &mut Sink) {
    let (span_mm, width_mm) = match &site.inlay.surface {
        Surface::Flat { span_mm, width_mm, .. } => (*span_mm, Some(*width_mm)),
        turned => (turned.span_mm(), None),
    };
    let Some([low, high]) = extent(&site.strips) else { return };
    let margin = site.model.printer.layer_mm;
    let face = span_mm[1] - span_mm[0];
    if high - low > face - 2.0 * margin {
        sink.push(taller(site, high - low, face, margin));
    } else if low < span_mm[0] + margin - SAME_MM || high > span_mm[1] - margin + SAME_MM {
        sink.push(off_face(site, [low, high], span_mm, margin));
    }
    let Some(width) = width_mm else { return };
    let marked = site.strips.strips.iter().enumerate().filter(|(_, marks)| !marks.is_empty());
    let ends = marked.map(|(strip, _)| site.strips.span(strip));
    let Some([first, last]) = ends.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])]) else { return };
    let room = [width[0] + margin, width[1] - margin];
    if first < room[0] - SAME_MM || last > room[1] + SAME_MM {
        let message = format!(
            "`{}` reaches sideways from {} to {}, its face from {} to {}, and {} must stay beside it",
            site.name(),
            mm(first),
            mm(last),
            mm(width[0]),
            mm(width[1]),
            mm(margin)
        );
        let finding = Diagnostic::at(codes::OFF_FACE, site.field("at"), message)
            .and_at(site.field("on"), "this face")
            .help("move it towards the middle of the face, make it smaller, or leave marks out at the ends");
        sink.push(finding);
    }
}

fn taller(site: &Site, height: f64, face: f64, margin: f64) -> Diagnostic {
    let most = face - 2.0 * margin;
    let message = format!(
        "`{}` is {} high, its face on `{}` only {}, a layer of {} above and below included",
        site.name(),
        mm(height),
        site.host_name(),
        mm(face),
        mm(margin)
    );
    let finding = Diagnostic::at(codes::TALLER_THAN_FACE, site.field("height"), message)
        .and_at(site.field("on"), "this face")
        .fact("height", height, "mm")
        .fact("face", face, "mm");
    if most <= 0.0 {
        return finding.help("choose a larger face");
    }
    let span_mm = site.inlay.surface.span_mm();
    let middle = (span_mm[0] + span_mm[1]) / 2.0;
    finding.help(format!("say height: {} mm or less at level: {}", floor3(most), mm(middle)))
}

fn off_face(site: &Site, reach: [f64; 2], face: [f64; 2], margin: f64) -> Diagnostic {
    let half = (reach[1] - reach[0]) / 2.0;
    let shift = site.inlay.level_mm - (reach[0] + reach[1]) / 2.0;
    let below = reach[0] < face[0] + margin;
    let (side, level) = match below {
        true => ("below", format!("{} mm or more", ceil3(face[0] + margin + half + shift))),
        false => ("above", format!("{} mm or less", floor3(face[1] - margin - half + shift))),
    };
    let message = format!(
        "`{}` reaches from {} to {}, but its face on `{}` is straight only from {} to {} and a layer of {} must stay {side}",
        site.name(),
        mm(reach[0]),
        mm(reach[1]),
        site.host_name(),
        mm(face[0]),
        mm(face[1]),
        mm(margin),
    );
    Diagnostic::at(codes::OFF_FACE, site.field("level"), message)
        .and_at(site.field("height"), format!("{} high", mm(site.inlay.height_mm)))
        .and_at(site.host_field(if below { "foot" } else { "rim" }), "where the face ends")
        .help(format!("say level: {level}"))
        .fact("lowest", reach[0], "mm")
        .fact("highest", reach[1], "mm")
}

/// No two pieces of a pattern touch only at a point.
pub fn pattern(site: &Site, sink: &mut Sink) {
    // Charts are looked at where they are written, cell by cell.
    if matches!(site.inlay.pattern, Pattern::Chart { .. }) {
        return;
    }
    let Some([u, z]) = site.strips.pinch() else { return };
    let place = match site.strips.period {
        Some(_) => format!("at {}, {} up", Quantity::rad(u), mm(z)),
        None => format!("at ({}, {}) mm", decimals(u, 3), decimals(z, 3)),
    };
    let message = format!("the motif of `{}` touches itself only in a point, {place}", site.name());
    let finding = Diagnostic::at(codes::MOTIF_PINCH, site.field("motif"), message);
    sink.push(finding.help("let the pieces overlap, or move them apart"));
}

/// A slit needs a ring, and leaves most of it.
pub fn slit(site: &Site, sink: &mut Sink) {
    let pieces = site.strips.section(0.0).pieces;
    if site.seat.is_some()
        && pieces.iter().any(|piece| piece.is_ring)
        && site.inlay.surface.faces_axis()
    {
        inner_ring(site, sink);
    }
    let Some(slit) = &site.inlay.slit else {
        if !site.inlay.surface.faces_axis()
            && site.seat.is_some()
            && pieces.iter().any(|piece| piece.is_ring)
        {
            sink.push(closed(site));
        }
        return;
    };
    if !pieces.iter().any(|piece| piece.is_ring) {
        let pieces = match pieces.len() {
            1 => "it is one piece that does not go all the way round".to_string(),
            n => format!("it is {n} pieces, none of which goes all the way round"),
        };
        let message = format!("`{}` has a slit but is no ring: {pieces}", site.name());
        let finding = Diagnostic::at(codes::SLIT_NO_RING, site.field("slit"), message)
            .and_at(site.field("motif"), "this motif does not close")
            .help(
                "leave out `slit`, or draw a motif that connects from its left side to its right",
            );
        sink.push(finding);
        return;
    }
    let repeats = match &site.inlay.pattern {
        Pattern::Chart { repeats, .. } | Pattern::Tile { repeats, .. } => *repeats,
        Pattern::Figure { .. } => 1,
    };
    let repeat = std::f64::consts::TAU * site.least_radius_mm() / f64::from(repeats.max(2));
    if slit.width_mm >= repeat {
        let message = format!(
            "the slit of `{}` is {} wide, as wide as a whole repeat, {}",
            site.name(),
            mm(slit.width_mm),
            mm(repeat)
        );
        let finding = Diagnostic::at(codes::SLIT_WIDE, site.field("slit"), message)
            .and_at(site.field("repeats"), format!("{repeats} repeats"))
            .help(format!("say slit: {} mm or less", floor3(repeat / 2.0)))
            .fact("slit", slit.width_mm, "mm")
            .fact("repeat", repeat, "mm");
        sink.push(finding);
        return;
    }
    let Ok(cut) = nominal_strips(site.inlay) else { return };
    let parted = cut.section(0.0).pieces.len();
    if parted > pieces.len() {
        let message = format!(
            "the slit of `{}` cuts pieces off: {} with it, {} without",
            site.name(),
            parted,
            pieces.len()
        );
        let finding = Diagnostic::at(codes::SLIT_CUTS, site.field("slit"), message)
            .and_at(site.field("motif"), "this motif")
            .help("move it to where a single bar crosses: slit: 0.5 mm at 10 deg")
            .fact("pieces", parted as f64, "");
        sink.push(finding);
    }
}

/// A ring in an inside wall must be pressed together until its back passes the bore. A
/// thin ring that is `c` smaller in radius has closed its slit by 3 pi c (Castigliano's
/// theorem, as for a ring that is opened; Shigley, Mechanical Engineering Design, 9th ed.,
/// section 4-8).
fn inner_ring(site: &Site, sink: &mut Sink) {
    let deep = site.inlay.level_depth_mm(site.inlay.sink_mm);
    let closes = 3.0 * std::f64::consts::PI * deep;
    let (has, field) = match &site.inlay.slit {
        Some(slit) if slit.width_mm >= closes => return,
        Some(slit) => (format!("its slit is {} wide", mm(slit.width_mm)), "slit"),
        None => ("it has no slit".to_string(), "motif"),
    };
    let message = format!(
        "`{}` goes round the inside of `{}` and must close by {} to be put in: {has}",
        site.name(),
        site.host_name(),
        mm(closes)
    );
    let finding = Diagnostic::at(codes::INNER_RING, site.field(field), message)
        .and_at(site.field("sink"), format!("{} deep", mm(site.inlay.sink_mm)))
        .help(format!(
            "say slit: {} mm, a smaller `sink`, or draw a motif of loose pieces",
            ceil3(closes)
        ))
        .fact("closes", closes, "mm");
    sink.push(finding);
}

fn closed(site: &Site) -> Diagnostic {
    let message = format!(
        "`{}` goes all the way round and has no slit: it cannot be put over `{}` in one piece",
        site.name(),
        site.host_name()
    );
    Diagnostic::at(codes::CLOSED_RING, site.field("motif"), message).help("say slit: 0.5 mm")
}

/// The wall behind the pocket.
pub fn walls(site: &Site, sink: &mut Sink) {
    let Some(host) = site.host() else { return };
    let (thin, bad) = thinnest(&host.body, site.inlay, &site.placement, &site.strips);
    if let Some(sample) = bad {
        sink.push(not_free(site, sample));
        return;
    }
    let Some(Sample { behind: Behind::Wall(measured), .. }) = thin else { return };
    // The axis is as far as a pocket can go, whatever is behind it.
    let axis = site.least_radius_mm() + site.inlay.level_depth_mm(site.inlay.sink_mm);
    let wall = if site.strips.period.is_some() { measured.min(axis) } else { measured };
    let behind = site.seat.map_or(0.0, |(_, seat)| seat.gap_behind_mm);
    let depth = site.inlay.sink_mm + behind;
    let least = 2.0 * site.model.printer.line_mm;
    let left = wall - depth;
    if left >= least - SAME_MM {
        return;
    }
    let (code, message) = if left <= SAME_MM {
        let message = format!(
            "the pocket of `{}` is {} deep, the wall of `{}` behind its face only {}",
            site.name(),
            mm(depth),
            site.host_name(),
            mm(wall)
        );
        (codes::THROUGH_WALL, message)
    } else {
        let message = format!(
            "behind the pocket of `{}`, {} deep, only {} of the wall of `{}` are left, less than two printed lines, {}",
            site.name(),
            mm(depth),
            mm(left),
            site.host_name(),
            mm(least)
        );
        (codes::THIN_WALL, message)
    };
    let most = wall - least - behind;
    let way_out = match most > 0.0 {
        true => format!("say sink: {} mm or less, or make the wall thicker", floor3(most)),
        false => "make the wall thicker".to_string(),
    };
    let finding = Diagnostic::at(code, site.field("sink"), message)
        .and_at(site.host_field("wall"), format!("{} thick there", mm(wall)))
        .help(way_out)
        .fact("depth", depth, "mm")
        .fact("wall", wall, "mm")
        .fact("least", least, "mm");
    sink.push(finding);
}

fn not_free(site: &Site, sample: Sample) -> Diagnostic {
    let place = match site.strips.period {
        Some(_) => format!("at {}, {} up", Quantity::rad(sample.u), mm(sample.z)),
        None => format!("at ({}, {}) mm of the face", decimals(sample.u, 2), decimals(sample.z, 2)),
    };
    let what = if sample.behind == Behind::Open { "cut away" } else { "covered" };
    let message = format!(
        "`{}` sits where the face of `{}` is {what}, {place}",
        site.name(),
        site.host_name()
    );
    Diagnostic::at(codes::FACE_NOT_FREE, site.field("level"), message)
        .and_at(site.field("on"), "this face")
        .help("move the inlay, or what meets it there")
}

/// Three decimals, rounded down: a value that a message offers must be allowed.
pub fn floor3(value: f64) -> String {
    decimals((value * 1000.0 + 1e-6).floor() / 1000.0, 3)
}

/// Three decimals, rounded up.
pub fn ceil3(value: f64) -> String {
    decimals((value * 1000.0 - 1e-6).ceil() / 1000.0, 3)
}
