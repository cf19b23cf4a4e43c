//! How finished parts go together, measured.
//!
//! In: the design and its finished parts. Out: [`Fits`]: gaps, overlaps, flushness,
//! ceilings, engagement, the strain of slit rings; findings where parts collide. Every
//! number is taken from the finished bodies; what was asked stands beside it. Kept
//! out: changing any body; how a single part prints.

mod facet;
mod lid;
mod measured;
mod ring;
mod seat;
mod spread;
mod surface;
#[cfg(test)]
mod tests;
mod tree;
mod vector;

pub use measured::{CeilingFit, Fits, GapFit, LidFit, RingFit, SeatFit};
