//! Outlines in two dimensions: builders, charts, strokes, booleans, offsets, and the
//! strips into which the developed plane of a host is cut.
//!
//! In: numbers in mm and rad. Out: [`Outline`]s, [`Track`]s, [`Strips`].
//! Kept out: bodies, names of parts, anything three-dimensional.

mod outline;
mod strips;

pub use outline::{Curve, Edge, Outline, Point, Segment, Track};
pub use strips::{EdgeId, Interval, Strips};
