//! Exact bodies: solids bounded by analytic faces, for STEP and as a check of the mesh.
//!
//! In: bodies of the model. Out: [`ExactBody`] with its volume, area, genus and bounds
//! in closed form or by quadrature over faces, or [`Declined`] with the reason. Built
//! directly where the profile is known; `boolean` alone names the truck crates, for
//! cuts and joins that cross. Kept out: triangles, files, gaps between parts.

mod body;
mod boolean;
mod check;
pub mod geometry;
mod layered;
mod measure;
mod nominal;
mod prism;
#[cfg(test)]
mod tests;
mod turned;

pub use body::{Edge, ExactBody, Face, Role, Side};
pub use check::Fault;
pub use nominal::{Pocket, inlay, nominal, pocketed};

/// Why there is no exact body, in the author's words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Declined {
    /// Half a sentence: lower case, no full stop.
    pub reason: String,
}

impl Declined {
    /// With a reason.
    pub(crate) fn new(reason: impl Into<String>) -> Self {
        Declined { reason: reason.into() }
    }
}
