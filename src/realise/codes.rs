//! The findings of this room.

use crate::diagnostics::Code;

/// A part could not be made.
pub const NOT_MADE: Code = Code::new("E0701", "not-made");
/// Nothing is left of a part.
pub const NOTHING_LEFT: Code = Code::new("E0702", "nothing-left");
/// A pocket opens into the inside of its host or cuts it apart.
pub const BREAKS_OUT: Code = Code::new("E0703", "pocket-breaks-out");
/// The two engines disagree.
pub const ENGINES_DISAGREE: Code = Code::new("E0704", "engines-disagree");
/// A pocket has not the volume of its pattern.
pub const POCKET_VOLUME: Code = Code::new("E0705", "pocket-volume");

/// All of them.
pub const CODES: &[Code] = &[NOT_MADE, NOTHING_LEFT, BREAKS_OUT, ENGINES_DISAGREE, POCKET_VOLUME];
