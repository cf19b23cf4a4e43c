//! From the design to finished bodies: both engines, compared, one chosen.
//!
//! In: a validated [`Model`](crate::model::Model). Out: [`Realised`], every part as it
//! leaves the printer, in assembly axes, with what was measured on it alone. Kept
//! out: anything measured between parts (`fit`), poses and plates (`print`).

mod finished;

pub use finished::{Engines, Finished, Form, Realised, Tolerance};
