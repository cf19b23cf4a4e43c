//! How the form of each part changed: old and new body, each less the other.

use super::spell::{Names, renamed};
use crate::fit::farthest_apart;
use crate::mesh::{Mesh, difference};
use crate::model::{Model, Part, Seat, Vector};
use crate::pipeline::Made;
use crate::realise::Finished;
use serde::Serialize;
use std::sync::Arc;

/// What became of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Fate {
    /// The same form.
    Kept,
    /// Another form.
    Changed,
    /// Only the new side has it.
    Added,
    /// Only the old side has it.
    Removed,
}

/// The form of one part on both sides.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PartForm {
    /// Its name, as the new side has it where it has it.
    pub name: String,
    /// What became of it.
    pub fate: Fate,
    /// Volume that only the new body has, mm3.
    pub added_mm3: f64,
    /// Volume that only the old body has, mm3.
    pub removed_mm3: f64,
    /// The larger of both volumes, mm3.
    pub of_mm3: f64,
    /// How far a point of one surface is from the other at most.
    pub moved: Option<Shift>,
    /// Bodies that do not hang together, old and new; none where there is no such side.
    pub pieces: [Option<usize>; 2],
    /// Holes through the body, likewise.
    pub genus: [Option<i64>; 2],
    /// Why the bodies could not be compared.
    pub refused: Option<String>,
}

/// The largest distance between two surfaces.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Shift {
    /// mm
    pub distance_mm: f64,
    /// Where, mm, assembly axes.
    pub at_mm: Vector,
}

/// The bodies that only one side has, of one part.
#[derive(Clone, Debug, Default)]
pub struct Difference {
    /// Its name.
    pub name: String,
    /// Only in the new body.
    pub added: Arc<Mesh>,
    /// Only in the old body.
    pub removed: Arc<Mesh>,
}

/// A difference below both is rounding of bodies that are the same: as a share of the volume,
/// and as a distance in mm.
const SAME_SHARE: f64 = 1e-7;
const SAME_MM: f64 = 1e-5;

/// All parts of both sides, in the order of the new one, then those that are gone; and what
/// was added and removed. `names` are new names of old parts.
pub(super) fn between(old: &Made, new: &Made, names: &Names) -> (Vec<PartForm>, Vec<Difference>) {
    let mut forms = Vec::new();
    let mut differences = Vec::new();
    let mut take = |(form, difference): (PartForm, Difference)| {
        forms.push(form);
        differences.push(difference);
    };
    for (index, part) in new.model.parts.iter().enumerate() {
        let Some(after) = new.realised.parts.get(index).and_then(Option::as_ref) else { continue };
        let was = old.model.parts.iter().position(|p| renamed(names, &p.name) == part.name);
        let before = was.and_then(|i| Some((i, old.realised.parts.get(i)?.as_ref()?)));
        take(match before {
            Some((was, before)) if is_same(&old.model, was, &new.model, index) => {
                kept(&part.name, before, after)
            }
            Some((_, before)) => changed(&part.name, before, after),
            None => of_one_side(&part.name, after, Fate::Added),
        });
    }
    for (index, part) in old.model.parts.iter().enumerate() {
        let name = renamed(names, &part.name);
        let Some(before) = old.realised.parts.get(index).and_then(Option::as_ref) else { continue };
        if !new.model.parts.iter().any(|p| p.name == name) {
            take(of_one_side(name, before, Fate::Removed));
        }
    }
    (forms, differences)
}

/// Whether the designs say the same of a part: its body, the seats it takes part in and what
/// sits in it. Then it has the same form, though other parts may lay its facets elsewhere.
fn is_same(old: &Model, was: usize, new: &Model, index: usize) -> bool {
    let seats = |model: &Model, part: usize| -> Vec<(Seat, Arc<crate::model::Body>, bool)> {
        let own = model.seats.iter().filter(|s| s.inlay.0 == part || s.host.0 == part);
        own.map(|s| (s.clone(), model.parts[s.inlay.0].body.clone(), s.inlay.0 == part)).collect()
    };
    let (Some(a), Some(b)): (Option<&Part>, _) = (old.parts.get(was), new.parts.get(index)) else {
        return false;
    };
    let (before, after) = (seats(old, was), seats(new, index));
    let alike = |(s, body, is_inlay): &(Seat, Arc<crate::model::Body>, bool),
                 (t, other, also): &(Seat, Arc<crate::model::Body>, bool)| {
        let says = |s: &Seat| (s.gap_mm, s.taken_from, s.gap_behind_mm, s.enters);
        says(s) == says(t) && body == other && is_inlay == also
    };
    a.body == b.body
        && before.len() == after.len()
        && before.iter().zip(&after).all(|(s, t)| alike(s, t))
}

fn blank(name: &str, fate: Fate, old: Option<&Finished>, new: Option<&Finished>) -> PartForm {
    let volumes = [old, new].map(|f| f.map_or(0.0, |f| f.mesh.volume_mm3()));
    PartForm {
        name: name.to_string(),
        fate,
        added_mm3: 0.0,
        removed_mm3: 0.0,
        of_mm3: volumes[0].max(volumes[1]),
        moved: None,
        pieces: [old, new].map(|f| f.map(|f| f.pieces)),
        genus: [old, new].map(|f| f.map(|f| f.genus)),
        refused: None,
    }
}

fn nothing(name: &str) -> Difference {
    Difference { name: name.to_string(), ..Difference::default() }
}

fn kept(name: &str, old: &Finished, new: &Finished) -> (PartForm, Difference) {
    (blank(name, Fate::Kept, Some(old), Some(new)), nothing(name))
}

fn of_one_side(name: &str, body: &Finished, fate: Fate) -> (PartForm, Difference) {
    let volume = body.mesh.volume_mm3();
    let mut difference = nothing(name);
    let form = match fate {
        Fate::Added => {
            difference.added = body.mesh.clone();
            PartForm { added_mm3: volume, ..blank(name, fate, None, Some(body)) }
        }
        _ => {
            difference.removed = body.mesh.clone();
            PartForm { removed_mm3: volume, ..blank(name, fate, Some(body), None) }
        }
    };
    (form, difference)
}

fn changed(name: &str, old: &Finished, new: &Finished) -> (PartForm, Difference) {
    let mut form = blank(name, Fate::Changed, Some(old), Some(new));
    if old.mesh.vertices == new.mesh.vertices && old.mesh.triangles == new.mesh.triangles {
        return kept(name, old, new);
    }
    let ((added, removed), moved) = rayon::join(
        || rayon::join(|| difference(&new.mesh, &old.mesh), || difference(&old.mesh, &new.mesh)),
        || farthest_apart(&old.mesh, &new.mesh),
    );
    form.moved = moved.map(|m| Shift { distance_mm: m.distance_mm, at_mm: m.at_mm });
    match (added, removed) {
        (Ok(added), Ok(removed)) => {
            form.added_mm3 = added.volume_mm3().max(0.0);
            form.removed_mm3 = removed.volume_mm3().max(0.0);
            let most = form.added_mm3.max(form.removed_mm3);
            let near = moved.is_none_or(|m| m.distance_mm < SAME_MM);
            if near && most < SAME_SHARE * form.of_mm3 {
                return kept(name, old, new);
            }
            let name = name.to_string();
            (form, Difference { name, added: Arc::new(added), removed: Arc::new(removed) })
        }
        (Err(fault), _) | (_, Err(fault)) => {
            form.refused = Some(fault.to_string());
            (form, nothing(name))
        }
    }
}
