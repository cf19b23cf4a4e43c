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

/// A part hangs over more than the printer carries.
pub const HANGS_OVER: Code = Code::new("W1010", "hangs-over");
/// A part bridges more than the printer does.
pub const LONG_BRIDGE: Code = Code::new("W1011", "long-bridge");
/// Something of a part starts in the air.
pub const STARTS_IN_AIR: Code = Code::new("W1012", "starts-in-air");

/// The air between a prop and its part is no whole number of layers.
pub const PROP_GAP: Code = Code::new("W1060", "prop-gap");
/// A prop is too tall for its width.
pub const SLENDER_PROP: Code = Code::new("W1061", "slender-prop");
/// A prop is needed where none fits.
pub const NO_ROOM_FOR_PROP: Code = Code::new("W1062", "no-room-for-prop");
/// Nothing needs the props of the text.
pub const NO_PROPS_NEEDED: Code = Code::new("W1063", "no-props-needed");

/// A part would need more props than are made.
pub const TOO_MANY_PROPS: Code = Code::new("W1064", "too-many-props");

/// A part is thinner than a line.
pub const WALL_LOST: Code = Code::new("W1040", "wall-lost");
/// A part is thinner than two lines.
pub const WALL_THIN: Code = Code::new("W1041", "wall-thin");
/// A slot of a part is narrower than a line.
pub const SLOT_CLOSES: Code = Code::new("W1042", "slot-closes");
/// A part does not stand by itself.
pub const TOPPLES: Code = Code::new("W1043", "topples");

/// A first layer is too narrow to be drawn in.
pub const FOOT_KEPT: Code = Code::new("W1050", "foot-kept");

/// All of them.
pub const CODES: &[Code] = &[
    TOO_BIG,
    PLATE_FULL,
    MORE_PLATES,
    NO_FOOTING,
    HANGS_OVER,
    LONG_BRIDGE,
    STARTS_IN_AIR,
    WALL_LOST,
    WALL_THIN,
    SLOT_CLOSES,
    TOPPLES,
    FOOT_KEPT,
    PROP_GAP,
    SLENDER_PROP,
    NO_ROOM_FOR_PROP,
    NO_PROPS_NEEDED,
    TOO_MANY_PROPS,
];
