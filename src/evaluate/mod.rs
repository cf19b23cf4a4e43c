//! Values: what every declaration of a design comes to, and the model that follows.
//!
//! In: a [`Program`](crate::resolve::Program) and a [`Choice`] of size and settings. Out:
//! [`Evaluated`]: the model, the places of its things in the text, the design rules; and
//! findings, several in one run.
//! Kept out: geometry beyond outlines. What only geometry can tell travels as
//! [`measured`] values, which [`Evaluated::judge`] fills in when somebody has measured.

mod arithmetic;
mod attributes;
mod bodies;
mod booleans;
mod bought;
mod calls;
pub mod codes;
mod coerce;
mod copies;
mod drawings;
mod easing;
mod evaluator;
mod expressions;
mod faces;
mod fits;
mod functions;
mod givens;
mod grow;
mod hollow;
mod ink;
mod inlays;
mod lettering;
mod lists;
mod measured;
mod model;
mod motifs;
mod outlines;
mod parts;
mod placing;
mod process;
mod props;
mod reliefs;
mod rules;
mod seats;
mod settings;
mod sided;
mod solids;
mod spoken;
mod text;
mod value;

pub use evaluator::Choice;
pub use measured::{Measures, PartMeasure, SeatMeasure};
pub use model::{Evaluated, evaluate};
pub use rules::Judged;
pub use spoken::spoken_values;
