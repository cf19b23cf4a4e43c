//! What can be told of a posed copy by looking at its faces.

use super::codes;
use super::posed::PrintCheck;
use crate::diagnostics::{Diagnostic, Sink};
use crate::mesh::Mesh;
use crate::model::{Model, Places, Vector};
use crate::quantity::decimals;

/// Faces this low lie on the bed, mm: a hundredth of a first layer.
const ON_BED_MM: f64 = 2e-3;

/// Facets of a cone lean a little more than the cone: what they may be steeper, rad.
const FACET_RAD: f64 = 1e-3;

/// Triangles lower than this say nothing of a slope, mm (their corners are rounded).
const NEEDLE_MM: f64 = 1e-5;

/// A part that stands on less than this falls over, mm2.
const SMALL_MM2: f64 = 1.0;

/// Measures a posed copy.
pub fn look(mesh: &Mesh, overhang_rad: f64, cautions: Vec<String>) -> PrintCheck {
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
        steepest_overhang_deg: steepest.to_degrees(),
        steep_area_mm2: steep,
        cautions,
    }
}

/// Area in mm2 and how far the face hangs over, from the vertical, rad; none of needles.
fn area_and_slope([a, b, c]: [Vector; 3]) -> Option<(f64, f64)> {
    let sub = |p: Vector, q: Vector| [p[0] - q[0], p[1] - q[1], p[2] - q[2]];
    let length = |v: Vector| (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt();
    let (u, v) = (sub(b, a), sub(c, a));
    let across = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
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
    if check.bed_contact_mm2 < SMALL_MM2 {
        let message = format!(
            "`{name}` stands on {} mm2 of the bed in this pose",
            decimals(check.bed_contact_mm2, 3)
        );
        sink.push(
            Diagnostic::at(codes::NO_FOOTING, pose, message)
                .help("say another `pose`, or give it a flat foot"),
        );
    }
}
