//! What can be told of a posed copy by looking at its faces.

use super::codes;
use super::posed::{PosedPiece, PrintCheck};
use super::slices::Slices;
use super::underside::Unsupported;
use crate::diagnostics::{Diagnostic, Sink};
use crate::mesh::Mesh;
use crate::model::vector::{cross, length, sub};
use crate::model::{Model, Places, Printer, Vector};
use crate::quantity::decimals;
use std::ops::Range;

/// Faces this low lie on the bed, mm: a hundredth of a first layer.
const ON_BED_MM: f64 = 2e-3;

/// Facets of a cone lean a little more than the cone: what they may be steeper, rad.
const FACET_RAD: f64 = 1e-3;

/// Triangles lower than this say nothing of a slope, mm (their corners are rounded).
const NEEDLE_MM: f64 = 1e-5;

/// A first layer of less than this does not hold a piece on the bed, mm2: a few
/// millimetres of a printed line. Common practice, no source.
const FOOTING_MM2: f64 = 5.0;

/// Measures a posed copy.
pub fn look(
    slices: &Slices,
    pieces: &[PosedPiece],
    printer: &Printer,
    unsupported: Vec<Unsupported>,
    cautions: Vec<String>,
) -> PrintCheck {
    let (mesh, overhang_rad) = (slices.mesh(), printer.overhang_rad);
    let (mut contact, mut steepest, mut steep) = (0.0, 0f64, 0.0);
    let mut low = [f64::INFINITY; 3];
    let mut high = [f64::NEG_INFINITY; 3];
    for triangle in &mesh.triangles {
        let corners = triangle.map(|v| mesh.vertices[v as usize]);
        for p in corners {
            for c in 0..3 {
                low[c] = low[c].min(p[c]);
                high[c] = high[c].max(p[c]);
            }
        }
        let Some((area, slope)) = area_and_slope(corners) else { continue };
        if corners.iter().all(|p| p[2] < ON_BED_MM) {
            contact += if slope > 0.0 { area } else { 0.0 };
            continue;
        }
        steepest = steepest.max(slope);
        if slope > overhang_rad + FACET_RAD {
            steep += area;
        }
    }
    let size = [0, 1, 2].map(|c| if high[c] > low[c] { high[c] - low[c] } else { 0.0 });
    PrintCheck {
        size_mm: size,
        bed_contact_mm2: contact,
        footing_mm2: least_footing(mesh, pieces, printer.first_layer_mm),
        base: super::base::base(mesh, pieces, printer),
        steepest_overhang_deg: steepest.to_degrees(),
        steep_area_mm2: steep,
        unsupported,
        narrow: super::walls::narrow(slices, printer),
        cautions,
    }
}

/// The least area that the first layer of any piece covers, mm2.
fn least_footing(mesh: &Mesh, pieces: &[PosedPiece], z: f64) -> f64 {
    let mut first = 0;
    let areas = pieces.iter().map(|piece| {
        let range = first..first + piece.triangles;
        first = range.end;
        section_mm2(mesh, range, z)
    });
    areas.reduce(f64::min).unwrap_or(0.0)
}

/// The area that a layer covers, mm2: the section of some triangles at a height, by Green's
/// theorem.
pub fn section_mm2(mesh: &Mesh, triangles: Range<usize>, z: f64) -> f64 {
    let mut twice = 0.0;
    for triangle in &mesh.triangles[triangles] {
        let corners = triangle.map(|v| mesh.vertices[v as usize]);
        let mut ends = Vec::with_capacity(2);
        for k in 0..3 {
            let (p, q) = (corners[k], corners[(k + 1) % 3]);
            if (p[2] > z) != (q[2] > z) {
                let share = (z - p[2]) / (q[2] - p[2]);
                // From above to below enters the section's outline, material to the left.
                let at = [p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share];
                ends.push((p[2] > z, at));
            }
        }
        if let [a, b] = ends[..] {
            let (from, to) = if a.0 { (a.1, b.1) } else { (b.1, a.1) };
            twice += from[0] * to[1] - to[0] * from[1];
        }
    }
    twice / 2.0
}

/// Area in mm2 and how far the face hangs over, from the vertical, rad; none of needles.
fn area_and_slope([a, b, c]: [Vector; 3]) -> Option<(f64, f64)> {
    let (u, v) = (sub(b, a), sub(c, a));
    let across = cross(u, v);
    let double = length(across);
    let longest = length(u).max(length(v)).max(length(sub(c, b)));
    if double <= NEEDLE_MM * longest {
        return None;
    }
    Some((double / 2.0, (-across[2] / double).clamp(0.0, 1.0).asin()))
}

/// Warns of what will not print well.
pub fn report(model: &Model, places: &Places, index: usize, check: &PrintCheck, sink: &mut Sink) {
    let Some(place) = places.parts.get(index) else { return };
    let name = &model.parts[index].name;
    let pose = place.field("pose");
    if check.footing_mm2 < FOOTING_MM2 {
        let message = format!(
            "the first layer of `{name}` covers only {} mm2 of the bed in this pose, too little to hold",
            decimals(check.footing_mm2, 2)
        );
        sink.push(
            Diagnostic::at(codes::NO_FOOTING, pose, message)
                .help("say another `pose`, or give it a flat foot"),
        );
    }
    if let Some(out) = check.base.map(|base| -base.inside_mm).filter(|out| *out > 0.0) {
        let message = format!(
            "the centre of mass of `{name}` lies {} mm outside its first layer in this pose: it topples",
            decimals(out, 2)
        );
        sink.push(
            Diagnostic::at(codes::TOPPLES, pose, message)
                .help("say another `pose`, or widen its foot to that side"),
        );
    }
}
