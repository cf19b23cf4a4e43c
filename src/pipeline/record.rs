//! Measured values into the manifest: nothing is computed here but units.

use super::{contents, propped};
use crate::diagnostics::{Diagnostic, Severity};
use crate::fit::{Caught, GapFit, LidFit, PairFit, RingFit, SeatFit, Snap, Turn, WayFit};
use crate::model::{
    Body, Filling, GapName, Given, GivenSource, Leaf, Material, Model, Part, PartId, Pose, Printer,
    Sides, Surface, TakenFrom, Tolerance,
};
use crate::output::manifest::{
    BaseEntry, BoughtEntry, BrimEntry, CaughtEntry, Ceiling, Engines, FaceStep, FindingEntry,
    FirstLayerEntry, Form, Gap, GapsEntry, GivenEntry, Hangs, LidEntry, Limits, NarrowEntry,
    Narrowness, Origin, PairEntry, PartEntry, PieceEntry, PlateEntry, PlateItem, PrintEntry,
    PrinterEntry, RingEntry, SeatEntry, SnapEntry, SurfaceEntry, SurfaceKind, TurnEntry,
    UnsupportedEntry, Value, WayEntry,
};
use crate::print::{Base, Brim, DrawnIn, Kind, Narrow, NarrowKind, Posed, Printed, Unsupported};
use crate::quantity::{Dimension, Quantity};
use crate::realise::{self, Finished, Form as RealisedForm, Realised};
use crate::source::SourceMap;

/// Diameter of the filament for which lengths are told, mm: the common size.
const FILAMENT_MM: f64 = 1.75;

/// A number in the unit of the contract: mm, deg, mm2, ml, g; ratios and counts bare.
pub(super) fn in_units(quantity: Quantity) -> (f64, Option<String>) {
    let Quantity { value, dimension } = quantity;
    match dimension {
        Dimension::NONE => (value, None),
        Dimension::ANGLE => (value.to_degrees(), Some("deg".into())),
        Dimension::VOLUME => (value / 1000.0, Some("ml".into())),
        Dimension::DENSITY => (value * 1000.0, Some("g/cm3".into())),
        other => (value, Some(other.symbol())),
    }
}

pub(super) fn given(given: &Given) -> (String, GivenEntry) {
    let (value, unit) = filling(&given.value);
    let entry = GivenEntry {
        value,
        unit,
        from: match given.source {
            GivenSource::Default => Origin::Default,
            GivenSource::Size => Origin::Size,
            GivenSource::Set => Origin::Set,
        },
        default: filling(&given.default).0,
        docs: text_of(&given.docs),
    };
    (given.name.clone(), entry)
}

fn filling(filling: &Filling) -> (Value, Option<String>) {
    match filling {
        Filling::Quantity(quantity) => {
            let (number, unit) = in_units(*quantity);
            (Value::Number(number), unit)
        }
        Filling::Text(text) => (Value::Text(text.clone()), None),
        Filling::Truth(truth) => (Value::Truth(*truth), None),
    }
}

fn text_of(docs: &[String]) -> Option<String> {
    (!docs.is_empty()).then(|| docs.join("\n"))
}

pub(super) fn printer(printer: &Printer) -> PrinterEntry {
    let grade = match printer.tolerance {
        Some(Tolerance::Grade(grade)) => Some(format!("it{grade}")),
        Some(Tolerance::Zone(_)) | None => None,
    };
    PrinterEntry {
        name: printer.name.clone(),
        line_mm: printer.line_mm,
        layer_mm: printer.layer_mm,
        overhang_deg: printer.overhang_rad.to_degrees(),
        bridge_mm: printer.bridge_mm,
        bed_mm: printer.bed_mm,
        fill_percent: printer.fill * 100.0,
        elephant_mm: printer.elephant_mm,
        tolerance_mm: printer.zone_mm(1.0).ok().filter(|_| grade.is_none()),
        tolerance_grade: grade,
        tolerance_stated: printer.tolerance.is_some(),
        gaps_mm: GapsEntry {
            snap: printer.measured.snap_mm,
            slide: printer.measured.slide_mm,
            press: printer.measured.press_mm,
            free: printer.measured.free_mm,
        },
    }
}

/// Mass in g of `volume_mm3` of a material, and the filament for it in m.
pub(super) fn mass_and_filament(material: &Material, volume_mm3: f64, fill: f64) -> (f64, f64) {
    let filled_mm3 = volume_mm3 * fill;
    let section_mm2 = std::f64::consts::PI * (FILAMENT_MM / 2.0).powi(2);
    (filled_mm3 / 1000.0 * material.density_g_cm3, filled_mm3 / section_mm2 / 1000.0)
}

pub(super) fn part(
    model: &Model,
    part: &Part,
    finished: &Finished,
    files: Vec<String>,
    note: Option<String>,
) -> PartEntry {
    let (mass_g, filament_m) =
        mass_and_filament(&part.material, finished.volume_mm3, model.printer.fill);
    let [red, green, blue] = part.material.colour;
    PartEntry {
        name: part.name.clone(),
        docs: text_of(&part.docs),
        files,
        form: match finished.form {
            RealisedForm::Exact => Form::Exact,
            RealisedForm::Mesh => Form::Mesh,
        },
        material: part.material.name.clone(),
        colour: format!("#{red:02x}{green:02x}{blue:02x}"),
        size_mm: finished.size_mm(),
        volume_mm3: finished.volume_mm3,
        area_mm2: finished.area_mm2,
        mass_g,
        filament_m,
        capacity_ml: finished.capacity_mm3.map(|v| v / 1000.0),
        capacity_fl_oz: finished.capacity_mm3.map(|v| contents::fl_oz(v / 1000.0)),
        pieces: finished.pieces as u64,
        genus: finished.genus,
        triangles: finished.mesh.triangles.len() as u64,
        open_edges: finished.open_edges as u64,
        self_intersections: finished.self_intersections as u64,
        engines: engines(&finished.engines),
        no_step: None,
        note,
    }
}

fn engines(of: &realise::Engines) -> Engines {
    Engines {
        exact_mm3: of.exact.map(|told| told.volume_mm3),
        mesh_mm3: of.mesh.volume_mm3,
        reason: of.reason.clone(),
        exact_mm2: of.exact.map(|told| told.area_mm2),
        mesh_mm2: of.mesh.area_mm2,
        exact_centre_mm: of.exact.map(|told| told.centre_mm),
        mesh_centre_mm: of.mesh.centre_mm,
        chord_mm: of.chord_mm,
    }
}

fn gap(fit: &GapFit, name: Option<&GapName>) -> Gap {
    Gap {
        asked: fit.asked_mm,
        least: fit.least_mm,
        median: fit.median_mm,
        most: fit.most_mm,
        worst_least: fit.worst_mm.map(|worst| worst[0]),
        worst_most: fit.worst_mm.map(|worst| worst[1]),
        called: name.map(|name| match name {
            GapName::Measured(word) => word.clone(),
            GapName::Limits(fit) => fit.text.clone(),
        }),
        limits: fit.limits.map(|limits| Limits {
            basic: limits.basic_mm,
            hole: limits.hole_mm,
            shaft: limits.shaft_mm,
            clearance: limits.clearance_mm(),
        }),
    }
}

fn name(model: &Model, part: PartId) -> String {
    model.parts[part.0].name.clone()
}

pub(super) fn seat(model: &Model, fit: &SeatFit) -> SeatEntry {
    SeatEntry {
        inlay: name(model, fit.inlay),
        host: name(model, fit.host),
        taken_from: match fit.taken_from {
            TakenFrom::Inlay => name(model, fit.inlay),
            TakenFrom::Host => name(model, fit.host),
            TakenFrom::Both => "both".into(),
        },
        surface: surface(&model.parts[fit.inlay.0].body),
        gap_mm: gap(&fit.gap, model.seats[fit.seat.0].gap_name.as_ref()),
        overlap_mm3: fit.overlap_mm3,
        depth_mm: fit.depth_mm,
        face_step_mm: FaceStep { lowest: fit.face_step_mm[0], highest: fit.face_step_mm[1] },
        ceiling_deg: Ceiling {
            asked: fit.ceiling.map(|c| c.asked_deg),
            steepest: fit.ceiling.map(|c| c.steepest_deg),
        },
    }
}

/// The surface in which an inlay lies, in assembly axes.
fn surface(body: &Body) -> SurfaceEntry {
    match body {
        Body::Leaf(Leaf::Inlay(inlay)) => match &inlay.surface {
            Surface::Round { slope, sides, .. } => SurfaceEntry {
                kind: SurfaceKind::Round,
                slope: Some(*slope),
                normal: None,
                facets: sides.map(Sides::count),
            },
            Surface::Belly { .. } => {
                SurfaceEntry { kind: SurfaceKind::Bellied, slope: None, normal: None, facets: None }
            }
            Surface::Flat { normal, .. } => {
                let normal = Some(*normal);
                SurfaceEntry { kind: SurfaceKind::Flat, slope: None, normal, facets: None }
            }
        },
        Body::Placed { body, placement } => {
            let inner = surface(body);
            SurfaceEntry {
                slope: inner.slope.map(|s| s * placement.matrix[2][2]),
                normal: inner.normal.map(|n| placement.direction(n)),
                ..inner
            }
        }
        Body::Empty | Body::Leaf(_) | Body::Boolean { .. } | Body::Many(_) => {
            SurfaceEntry { kind: SurfaceKind::Prism, slope: None, normal: None, facets: None }
        }
    }
}

pub(super) fn lid(model: &Model, fit: &LidFit, under_mm3: Option<f64>) -> LidEntry {
    LidEntry {
        lid: name(model, fit.lid),
        host: name(model, fit.host),
        gap_mm: gap(&fit.gap, model.closures[fit.closure].gap_name.as_ref()),
        engagement_mm: fit.engagement_mm,
        capacity_ml: under_mm3.map(|v| v / 1000.0),
        capacity_fl_oz: under_mm3.map(|v| contents::fl_oz(v / 1000.0)),
        overlap_mm3: fit.overlap_mm3,
    }
}

pub(super) fn pair(model: &Model, fit: &PairFit) -> PairEntry {
    PairEntry {
        part: name(model, fit.inner),
        host: name(model, fit.outer),
        moves: model.fits[fit.fit].along,
        gap_mm: gap(&fit.gap, model.fits[fit.fit].gap_name.as_ref()),
        engagement_mm: fit.engagement_mm,
        overlap_mm3: fit.overlap_mm3,
    }
}

/// The bodies that nobody prints.
pub(super) fn bought(model: &Model, realised: &Realised) -> Vec<BoughtEntry> {
    let all = model.parts.iter().zip(&realised.parts).filter_map(|(part, finished)| {
        let (bought, finished) = (part.bought?, finished.as_ref()?);
        Some(BoughtEntry {
            name: part.name.clone(),
            docs: text_of(&part.docs),
            size_mm: finished.size_mm(),
            volume_mm3: finished.volume_mm3,
            tolerance_mm: match bought.tolerance {
                Some(Tolerance::Zone(zone)) => Some(zone),
                _ => None,
            },
            tolerance_grade: match bought.tolerance {
                Some(Tolerance::Grade(grade)) => Some(format!("it{grade}")),
                _ => None,
            },
            pieces: finished.pieces as u64,
            engines: engines(&finished.engines),
            note: part.note.clone(),
        })
    });
    all.collect()
}

pub(super) fn ring(model: &Model, fit: &RingFit) -> RingEntry {
    RingEntry {
        part: name(model, fit.part),
        slit_mm: fit.slit_mm,
        over_mm: 2.0 * fit.over_mm,
        opening_mm: fit.opening_mm,
        strain_percent: fit.strain_percent,
        strain_at_deg: fit.strain_at_deg,
        uniform_strain_percent: fit.uniform_percent,
        riding_percent: fit.riding_percent,
        riding_opening_mm: fit.riding_opening_mm,
        large_opening_ratio: fit.large_opening,
        permitted_percent: fit.permitted_percent,
        permitted_repeated_percent: fit.repeated_percent(),
        layer_ratio: fit.layer_share,
    }
}

pub(super) fn turn(turn: &Turn) -> TurnEntry {
    TurnEntry { by_deg: turn.by_rad.to_degrees(), rise_mm: turn.rise_mm }
}

pub(super) fn way(model: &Model, fit: &WayFit) -> WayEntry {
    let caught = |c: &Caught| CaughtEntry {
        after_mm: c.after_mm,
        at_mm: c.at_mm,
        deep_mm: c.deep_mm,
        thick_mm: c.thick_mm,
    };
    let snap = |s: &Snap| SnapEntry {
        undercut_mm: s.undercut_mm,
        strain_percent: s.strain_percent,
        permitted_percent: s.permitted_percent,
        spreads_n: s.spreads_n,
    };
    WayEntry {
        part: name(model, fit.part),
        host: name(model, fit.host),
        along: fit.along,
        travel_mm: fit.travel_mm,
        turn: fit.turn.as_ref().map(turn),
        caught: fit.caught.as_ref().map(caught),
        snap: fit.snap.as_ref().map(snap),
    }
}

pub(super) fn plates(model: &Model, printed: &Printed) -> Vec<PlateEntry> {
    let item =
        |i: &crate::print::Item| PlateItem { part: name(model, i.part), shift_mm: i.shift_mm };
    let plate = |l: &crate::print::Layout| PlateEntry {
        name: l.name.clone(),
        items: l.items.iter().map(item).collect(),
    };
    printed.layouts.iter().map(plate).collect()
}

pub(super) fn print(model: &Model, volume_mm3: f64, posed: &Posed, with_props: bool) -> PrintEntry {
    let part = &model.parts[posed.part.0];
    let height_mm = posed.check.size_mm[2];
    let above_first = (height_mm - model.printer.first_layer_mm).max(0.0);
    let layers = 1 + (above_first / model.printer.layer_mm).round() as u64;
    PrintEntry {
        part: part.name.clone(),
        pose: pose(&part.pose),
        copies: part.copies.into(),
        spares: part.spares.into(),
        size_mm: posed.check.size_mm,
        nominal_mm: posed.nominal_mm,
        shrink_percent: part.material.shrink * 100.0,
        rough_minutes: contents::rough_minutes(volume_mm3, layers, &model.printer),
        layers,
        bed_contact_mm2: posed.check.bed_contact_mm2,
        steepest_overhang_deg: posed.check.steepest_overhang_deg,
        steep_area_mm2: posed.check.steep_area_mm2,
        unsupported: posed.check.unsupported.iter().map(unsupported).collect(),
        narrow: posed.check.narrow.iter().map(narrow).collect(),
        base: posed.check.base.as_ref().map(base),
        first_layer: posed.drawn_in.as_ref().map(first_layer),
        brim: posed.brim.as_ref().map(brim),
        pieces: posed
            .pieces
            .iter()
            .map(|piece| PieceEntry {
                transform: piece.placement.rows(),
                triangles: piece.triangles as u64,
            })
            .collect(),
        cautions: posed.check.cautions.clone(),
        props: propped::entry(model, posed, with_props),
    }
}

fn narrow(all: &Narrow) -> NarrowEntry {
    NarrowEntry {
        kind: match all.kind {
            NarrowKind::Lost => Narrowness::Lost,
            NarrowKind::Thin => Narrowness::Thin,
            NarrowKind::Slot => Narrowness::Slot,
        },
        count: all.count as u64,
        width_mm: all.width_mm,
        from_mm: all.height_mm[0],
        to_mm: all.height_mm[1],
        at_mm: all.at_mm,
    }
}

fn base(base: &Base) -> BaseEntry {
    BaseEntry {
        footprint_mm2: base.footprint_mm2,
        narrowest_mm: base.narrowest_mm,
        slenderness: base.slenderness,
        widest_mm: base.widest_mm,
        inside_mm: base.inside_mm,
        brim_advised: base.wants_brim(),
    }
}

fn first_layer(told: &DrawnIn) -> FirstLayerEntry {
    FirstLayerEntry {
        drawn_in_mm: told.by_mm,
        nominal_mm2: told.nominal_mm2,
        meshed_mm2: told.meshed_mm2,
        kept_pieces: told.kept as u64,
    }
}

fn brim(brim: &Brim) -> BrimEntry {
    BrimEntry {
        width_mm: brim.width_mm,
        area_mm2: brim.area_mm2,
        volume_mm3: brim.mesh.volume_mm3(),
    }
}

pub(super) fn unsupported(region: &Unsupported) -> UnsupportedEntry {
    UnsupportedEntry {
        kind: match region.kind {
            Kind::Island => Hangs::Island,
            Kind::Overhang => Hangs::Overhang,
            Kind::Bridge => Hangs::Bridge,
        },
        count: region.count as u64,
        from_mm: region.height_mm[0],
        to_mm: region.height_mm[1],
        area_mm2: region.area_mm2,
        span_mm: region.span_mm,
        reach_mm: region.reach_mm,
        angle_deg: region.angle_rad.map(f64::to_degrees),
        overlap_percent: region.overlap.map(|share| share * 100.0),
        at_mm: region.at_mm,
    }
}

fn pose(pose: &Pose) -> String {
    match pose {
        Pose::Upright => "upright".into(),
        Pose::UpsideDown => "upside_down".into(),
        Pose::Tipped { angle_rad, axis } => {
            let axis = ["x", "y", "z"][*axis];
            format!("tipped({}, {axis})", Quantity::rad(*angle_rad))
        }
        Pose::On { .. } => "on a face".into(),
    }
}

pub(super) fn finding(sources: &SourceMap, finding: &Diagnostic) -> FindingEntry {
    let place = finding.primary.as_ref().map(|label| label.span);
    let position = place.map(|span| sources.position(span));
    FindingEntry {
        code: finding.code.id.into(),
        name: finding.code.name.into(),
        severity: match finding.severity {
            Severity::Error => "error".into(),
            Severity::Warning => "warning".into(),
        },
        message: finding.message.clone(),
        file: place.map(|span| sources.name(span.file).to_string()),
        line: position.map(|p| p.line),
        column: position.map(|p| p.column),
    }
}
