//! Columns under parts and brims round them: into files, pictures and the manifest.

use super::record;
use crate::mesh::{Bounds, Mesh};
use crate::model::{Model, PartId, Placement, Props, Vector};
use crate::output::manifest::{AirGap, PropsEntry};
use crate::output::pictures::{AidKind, Apart, SceneBody, ShownAid};
use crate::output::threemf::Aid;
use crate::print::{Posed, Printed, Propped};
use crate::quantity::decimals;
use crate::realise::Realised;
use std::borrow::Cow;
use std::collections::BTreeSet;

/// The share of the way to white by which columns are paler than their part in a picture.
const PALER: f64 = 0.55;

/// What an STL file holds of a part: its columns after it, where they are asked for.
pub(super) fn stl_mesh(posed: &Posed, with_props: bool) -> Cow<'_, Mesh> {
    match posed.props.as_ref().filter(|_| with_props) {
        Some(props) => {
            let mut both = posed.mesh.clone();
            both.take(&props.mesh);
            Cow::Owned(both)
        }
        None => Cow::Borrowed(&posed.mesh),
    }
}

/// The columns of a part that has some.
pub(super) fn columns(posed: &Posed) -> Option<&Mesh> {
    posed.props.as_ref().map(|props| &props.mesh).filter(|mesh| !mesh.is_empty())
}

/// What is printed with a part and taken off afterwards.
pub(super) fn aids(posed: &Posed) -> Vec<Aid<'_>> {
    let brim = posed.brim.iter().map(|brim| Aid { name: "brim", mesh: &brim.mesh });
    brim.chain(columns(posed).map(|mesh| Aid { name: "props", mesh })).collect()
}

fn paler(colour: [u8; 3]) -> [u8; 3] {
    colour.map(|c| c + (f64::from(255 - c) * PALER).round() as u8)
}

/// A printed copy as it lies, its columns paler; none for parts without columns.
pub(super) fn scene<'a>(model: &'a Model, posed: &'a Posed) -> Option<[SceneBody<'a>; 2]> {
    let columns = columns(posed)?;
    let part = &model.parts[posed.part.0];
    let colour = part.material.colour;
    let body = |colour, mesh| SceneBody { name: &part.name, colour, mesh, apart: Apart::STAYS };
    Some([body(colour, &posed.mesh), body(paler(colour), columns)])
}

/// The columns and brims of all parts, brought back to where these are in the assembly.
pub(super) fn assembled(model: &Model, realised: &Realised, printed: &Printed) -> Vec<ShownAid> {
    let mut aids = Vec::new();
    for posed in printed.parts.iter().flatten() {
        let Some(Some(made)) = realised.parts.get(posed.part.0) else { continue };
        let columns = posed.props.as_ref().filter(|found| !found.mesh.is_empty());
        aids.extend(columns.and_then(|found| {
            let tall = decimals(found.tallest_mm, 1);
            let columns = if found.count == 1 { "column" } else { "columns" };
            let note = format!(
                "{} {columns} up to {tall} mm tall, broken away after printing",
                found.count
            );
            let told = (AidKind::Props, found.count, note);
            brought_back(model, posed, &made.mesh, &found.mesh, told)
        }));
        aids.extend(posed.brim.as_ref().and_then(|brim| {
            let wide = decimals(brim.width_mm, 2);
            let note = format!("one layer, {wide} mm wide, cut off after printing");
            brought_back(model, posed, &made.mesh, &brim.mesh, (AidKind::Brim, 1, note))
        }));
    }
    aids
}

/// An aid of one part; `made` is the part's finished mesh.
fn brought_back(
    model: &Model,
    posed: &Posed,
    made: &Mesh,
    printed: &Mesh,
    (kind, count, note): (AidKind, usize, String),
) -> Option<ShownAid> {
    let part = &model.parts[posed.part.0];
    let pieces = pieces(posed, made);
    let mut mesh = printed.clone();
    let mut goes_with = vec![0; mesh.vertices.len()];
    for own in printed.pieces() {
        let corners = own.iter().flat_map(|t| printed.triangles[*t]);
        let corners: BTreeSet<usize> = corners.map(|v| v as usize).collect();
        let box_mm = Bounds::of(corners.iter().map(|v| printed.vertices[*v]));
        let under = pieces.iter().min_by(|a, b| a.off(&box_mm).total_cmp(&b.off(&box_mm)))?;
        for v in corners {
            mesh.vertices[v] = under.back(mesh.vertices[v]);
            goes_with[v] = under.vertex;
        }
    }
    Some(ShownAid {
        kind,
        of: part.name.clone(),
        count,
        note,
        colour: paler(part.material.colour),
        mesh,
        goes_with,
    })
}

/// One piece of a printed copy.
struct Piece {
    /// Where it lies as printed.
    bounds: Bounds,
    /// From the assembly to there.
    placement: Placement,
    /// One of its vertices in the finished mesh.
    vertex: u32,
}

fn pieces(posed: &Posed, made: &Mesh) -> Vec<Piece> {
    let own = made.pieces();
    let mut from = 0;
    let each = posed.pieces.iter().enumerate().map(|(k, piece)| {
        let triangles = from..from + piece.triangles;
        from = triangles.end;
        let printed = posed.mesh.triangles.get(triangles).unwrap_or_default();
        let corners = printed.iter().flatten().map(|v| posed.mesh.vertices[*v as usize]);
        let first = own.get(k).and_then(|triangles| triangles.first());
        Piece {
            bounds: Bounds::of(corners),
            placement: piece.placement,
            vertex: first.map_or(0, |t| made.triangles[*t][0]),
        }
    });
    each.collect()
}

impl Piece {
    /// How far the middle of a box lies beside the piece, mm.
    fn off(&self, other: &Bounds) -> f64 {
        let beside = |c: usize| {
            let middle = (other.low[c] + other.high[c]) / 2.0;
            (self.bounds.low[c] - middle).max(middle - self.bounds.high[c]).max(0.0)
        };
        beside(0).hypot(beside(1))
    }

    /// Where a point of the printed copy is in the assembly.
    fn back(&self, p: Vector) -> Vector {
        // What shrinks is printed larger: then the rows are as long as that.
        let scale: f64 = self.placement.matrix[0].iter().map(|c| c * c).sum();
        self.placement.inverse().point(p).map(|c| c / scale)
    }
}

/// What the manifest says.
pub(super) fn entry(model: &Model, posed: &Posed, in_stl: bool) -> Option<PropsEntry> {
    let found = posed.props.as_ref()?;
    let asked = asked(model, posed.part)?;
    let material = &model.parts[posed.part.0].material;
    // Columns are printed full, whatever the part's fill.
    let (_, filament_m) = record::mass_and_filament(material, found.volume_mm3, 1.0);
    let gap = |asked: f64, measured: Option<[f64; 2]>| AirGap {
        asked,
        least: measured.map(|m| m[0]),
        most: measured.map(|m| m[1]),
    };
    let Propped { above_mm, below_mm, .. } = *found;
    Some(PropsEntry {
        count: found.count as u64,
        on_part: found.on_part as u64,
        repeats: found.repeats as u64,
        width_mm: asked.width_mm,
        gap_above_mm: gap(asked.gap_above_mm, above_mm),
        gap_below_mm: gap(asked.gap_below_mm, below_mm),
        clear_mm: found.clear_mm,
        tallest_mm: found.tallest_mm,
        foot_mm: found.foot_mm,
        volume_mm3: found.volume_mm3,
        filament_m,
        without_room: found.without_room as u64,
        in_stl: in_stl && found.count > 0,
        before: found.before.iter().map(record::unsupported).collect(),
    })
}

fn asked(model: &Model, part: PartId) -> Option<&Props> {
    model.props.iter().find(|props| props.under == part)
}
