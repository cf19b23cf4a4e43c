//! Columns under parts: into files, pictures and the manifest.

use super::record;
use crate::mesh::Mesh;
use crate::model::{Model, PartId, Props};
use crate::output::manifest::{AirGap, PropsEntry};
use crate::output::pictures::{Apart, SceneBody};
use crate::output::threemf::Aid;
use crate::print::{Posed, Propped};
use std::borrow::Cow;

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

/// A printed copy as it lies, its columns paler; none for parts without columns.
pub(super) fn scene<'a>(model: &'a Model, posed: &'a Posed) -> Option<[SceneBody<'a>; 2]> {
    let columns = columns(posed)?;
    let part = &model.parts[posed.part.0];
    let colour = part.material.colour;
    let paler = colour.map(|c| c + (f64::from(255 - c) * PALER).round() as u8);
    let body = |colour, mesh| SceneBody { name: &part.name, colour, mesh, apart: Apart::STAYS };
    Some([body(colour, &posed.mesh), body(paler, columns)])
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
