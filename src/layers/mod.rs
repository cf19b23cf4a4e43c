//! Wrapped layers: what becomes of a pattern's section from depth to depth.
//!
//! In: [`Strips`](crate::plane::Strips) of the developed plane and a [`Layer`]. Out:
//! [`Cells`], a complex of faces without T-junctions that bounds the eased body, in
//! (line, z, depth). This is the one core on which both engines stand: `mesh` puts its
//! vertices on facets, `exact` on cylinders and cones.
//!
//! The body is the union of the cells `bottom + rise <= z <= top - drop` of all strips,
//! where drop and rise grow in proportion to depth. Erosion of the outline along the axis
//! is thus exact, without any lofting: only the two strips beside a line meet there, and
//! all that happens at a line happens where a top meets a bottom.
//!
//! Kept out: radii, facets, points in space, gaps (the strips come inset or grown).

mod build;
mod cells;
mod layer;
mod line;
mod reshape;
mod web;

#[cfg(test)]
pub(crate) mod tests;

pub use build::{cells, finer_cells, finer_pocket, pocket};
pub use cells::{CellFace, CellVertex, Cells, FaceSide};
pub use layer::Layer;
pub use reshape::{Motion, cut_at, moved, settled};
pub use web::Web;

/// Two levels, depths or lines closer than this (mm) are one. It lies above twice the
/// spacing of 32-bit numbers at 128 mm (2 x 7.6e-6 mm, IEEE 754 binary32), so that
/// corners that are apart stay apart in a binary STL, and below all that can be measured.
pub const WELD_MM: f64 = 2e-5;

/// As [`WELD_MM`] where corners need not be written in 32 bits: a fifth of what an edge of
/// an exact body may be off its surfaces, so that the errors of a face's three corners stay
/// below that together.
pub const FINE_WELD_MM: f64 = 2e-8;

/// Bars no higher than this (mm), and differences between a bar's height and the whole
/// drop, are taken for nought: no process can make them, and they make needles.
pub const THIN_MM: f64 = 1e-4;
