//! Usual cautions. They defer to local codes and certify nothing.

use super::pose::bounds;
use super::posed::PosedPiece;
use crate::mesh::Mesh;
use crate::model::{Model, PartId, Placement};

/// The small-parts cylinder of 16 CFR 1501.4, figure 1 (EN 71-1 and ISO 8124-1 have the
/// same one, from memory): inside diameter, and depth at its deepest, mm.
const CYLINDER_MM: [f64; 2] = [31.7, 57.1];

/// Volume of that cylinder with its slanted floor, 25.4 to 57.1 mm deep, mm3.
const CYLINDER_MM3: f64 = 32_556.1;

/// What to know before printing and using a part.
pub fn cautions(model: &Model, part: PartId, mesh: &Mesh, pieces: &[PosedPiece]) -> Vec<String> {
    let this = &model.parts[part.0];
    let mut out = Vec::new();
    out.extend(small_parts(mesh, pieces));
    if model.seats.iter().any(|s| s.inlay == part) {
        out.push("a thin band that breaks leaves sharp ends".to_string());
    }
    if model.props.iter().any(|props| props.under == part) {
        out.push("stubs of props that were broken away are sharp: trim and sand them".to_string());
    }
    if this.cavity.is_some() {
        out.push(
            "not rated for food contact: printed walls are layered and porous, additives unknown; a liner is advised"
                .to_string(),
        );
    }
    if model.closures.iter().any(|c| c.lid == part) {
        out.push("no lid of this kind is child-resistant or tight".to_string());
    }
    out.push(
        "common filaments soften between 55 and 105 C: keep it from dishwashers, flames and hot cars"
            .to_string(),
    );
    out.push("usual cautions only, nothing is certified: follow local codes".to_string());
    out
}

/// Whether a piece fits into the small-parts cylinder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fits {
    /// It cannot.
    No,
    /// It may.
    Perhaps,
    /// It does.
    Yes,
}

/// Sure to fit: what a ball of the cylinder's diameter holds. Sure not to: what is longer
/// than the cylinder's longest diagonal, or larger than all of it.
pub fn fits(size_mm: [f64; 3], volume_mm3: f64) -> Fits {
    let [x, y, z] = size_mm;
    let diagonal = (x * x + y * y + z * z).sqrt();
    let longest = CYLINDER_MM[0].hypot(CYLINDER_MM[1]);
    if diagonal <= CYLINDER_MM[0] {
        Fits::Yes
    } else if x.max(y).max(z) > longest || volume_mm3 > CYLINDER_MM3 {
        Fits::No
    } else {
        Fits::Perhaps
    }
}

fn small_parts(mesh: &Mesh, pieces: &[PosedPiece]) -> Option<String> {
    let mut first = 0;
    let mut worst = Fits::No;
    for piece in pieces {
        let range = first..first + piece.triangles;
        first = range.end;
        let [low, high] = bounds(mesh, range.clone(), &Placement::IDENTITY);
        let size = [0, 1, 2].map(|c| high[c] - low[c]);
        worst = worst.max(fits(size, mesh.volume_of(range)));
    }
    let words = match worst {
        Fits::No => return None,
        Fits::Perhaps => "may fit",
        Fits::Yes => "fits",
    };
    let one = if pieces.len() > 1 { "a piece of it" } else { "it" };
    Some(format!(
        "{one} {words} into the small-parts cylinder of 16 CFR 1501.4: keep it from children under three"
    ))
}
