//! From the design to finished bodies: both engines, compared, one chosen.
//!
//! In: a validated [`Model`]. Out: [`Realised`], every part as it leaves the printer, in
//! assembly axes, with what was measured on it alone; findings where a part cannot be
//! made or the engines disagree. The mesh is what is printed; the exact body stands
//! behind the numbers where there is one and it agrees. A third path that uses neither
//! engine's pockets checks the volume that each pocket takes. Kept out: anything
//! measured between parts (`fit`), poses and plates (`print`).

pub mod codes;
mod compare;
mod exactly;
mod finished;
mod pocket;
mod work;

pub use crate::mesh::Tolerance;
pub use exactly::finished as exact_body;
pub use finished::{Engines, Finished, Form, Realised, Told};

use crate::diagnostics::Sink;
use crate::exact;
use crate::mesh::Mesher;
use crate::model::{Body, Model, Places};
use rayon::prelude::*;
use work::Work;

/// Makes all parts. A part that cannot be made is left out with a finding; the others are
/// made all the same. The same model gives the same bodies with any number of threads.
pub fn realise(model: &Model, places: &Places, tolerance: &Tolerance) -> (Realised, Sink) {
    all(model, places, tolerance, true)
}

/// As [`realise`], without exact bodies: for a quick look, not for files that leave the house.
pub fn meshes(model: &Model, places: &Places, tolerance: &Tolerance) -> (Realised, Sink) {
    all(model, places, tolerance, false)
}

fn all(model: &Model, places: &Places, tolerance: &Tolerance, exactly: bool) -> (Realised, Sink) {
    let mesher = Mesher::new(model, tolerance);
    let made: Vec<_> = (0..model.parts.len())
        .into_par_iter()
        .map(|part| Work { model, places, tolerance, mesher: &mesher, part, exactly }.done())
        .collect();
    let mut sink = Sink::default();
    let mut parts = Vec::new();
    for (finished, findings) in made {
        parts.push(finished);
        sink.append(findings);
    }
    (Realised { parts }, sink)
}

/// The volume of a body before any seat, mm3: of the exact body, else of the mesh; none
/// where neither can be made.
pub fn volume_mm3(model: &Model, body: &Body, tolerance: &Tolerance) -> Option<f64> {
    if let Ok(solid) = exact::nominal(body)
        && solid.check().is_ok()
    {
        return Some(solid.volume_mm3());
    }
    let made = Mesher::new(model, tolerance).nominal(body).ok()?;
    Some(made.mesh.volume_mm3())
}
