//! The design as plain data: what is made of what, where it sits, what must fit.
//!
//! In: evaluation. Out: [`Model`], read by both engines, by `fit`, `print` and
//! `output`. After [`validate`] without errors, writers may fail but never panic.
//! Kept out: computation of bodies; how any engine realises them. The booleans of the
//! language are defined here, by the data, not by an engine.

mod askew;
mod belly;
mod body;
pub mod codes;
mod depth;
mod design;
pub mod limits;
mod pattern;
mod place;
mod placement;
mod pose;
mod props;
mod sides;
mod validate;
pub mod vector;

pub use belly::{Meridian, Seen, solved};
pub use body::{
    Body, Eased, Inlay, Leaf, Operation, Pattern, Prism, Relief, Slit, Surface, Turned,
};
pub use depth::Drop;
pub use design::{
    Bought, Closure, Enters, Filling, Fit, GapName, GapTable, Given, GivenSource, Material, Model,
    Part, PartId, Permits, Plate, Pose, Printer, Seat, SeatId, TakenFrom, Tolerance,
};
pub use pattern::{
    Ceilings, FACET_ALLOWANCE_MM, PatternError, inset_strips, nominal_strips, pocket_strips,
};
pub use place::{Place, Places};
pub use placement::{Placement, Vector};
pub use props::{PropPlace, Props};
pub use sides::Sides;
pub use validate::{has_place, validate};
