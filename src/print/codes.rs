//! The findings of this room.

use crate::diagnostics::Code;

/// A part is larger than the bed.
pub const TOO_BIG: Code = Code::new("E1001", "too-big-for-bed");
/// A plate of the text does not hold all its parts.
pub const PLATE_FULL: Code = Code::new("E1002", "plate-full");
/// Not all parts fit on one bed.
pub const MORE_PLATES: Code = Code::new("W1001", "more-plates");
/// A part stands on nothing.
pub const NO_FOOTING: Code = Code::new("W1002", "no-footing");

/// All of them.
pub const CODES: &[Code] = &[TOO_BIG, PLATE_FULL, MORE_PLATES, NO_FOOTING];
