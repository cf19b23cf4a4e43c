//! The findings of this room.

use crate::diagnostics::Code;

/// A measure that must be above 0 is not.
pub const NOT_ABOVE_ZERO: Code = Code::new("E0551", "not-above-zero");
/// An inlay reaches past its face.
pub const OFF_FACE: Code = Code::new("E0552", "off-face");
/// An inlay is higher than its face.
pub const TALLER_THAN_FACE: Code = Code::new("E0553", "taller-than-face");
/// A pocket goes through the wall.
pub const THROUGH_WALL: Code = Code::new("E0554", "through-wall");
/// Behind a pocket too little wall is left.
pub const THIN_WALL: Code = Code::new("E0555", "thin-wall");
/// An eased bar ends before the floor of its pocket.
pub const BAR_VANISHES: Code = Code::new("E0556", "bar-vanishes");
/// A gap takes away a whole bar.
pub const GAP_SWALLOWS: Code = Code::new("E0557", "gap-swallows");
/// Two pockets run into each other.
pub const POCKETS_MEET: Code = Code::new("E0558", "pockets-meet");
/// A slit in something that is no ring.
pub const SLIT_NO_RING: Code = Code::new("E0559", "slit-no-ring");
/// A slit as wide as a repeat.
pub const SLIT_WIDE: Code = Code::new("E0560", "slit-wide");
/// A motif touches itself only in a point.
pub const MOTIF_PINCH: Code = Code::new("E0561", "motif-pinch");
/// More work than can be done.
pub const TOO_MUCH: Code = Code::new("E0562", "too-much");
/// The face leans as far as a ceiling may.
pub const FACE_TOO_STEEP: Code = Code::new("E0563", "face-too-steep");
/// Nothing is drawn.
pub const NOTHING_DRAWN: Code = Code::new("E0564", "nothing-drawn");
/// The face is cut away or covered where an inlay is to sit.
pub const FACE_NOT_FREE: Code = Code::new("E0565", "face-not-free");
/// A slit that cuts pieces off a ring.
pub const SLIT_CUTS: Code = Code::new("E0566", "slit-cuts-pieces");
/// A ceiling that the printer cannot bridge.
pub const WIDE_CEILING: Code = Code::new("W0551", "wide-ceiling");
/// A bar thinner than a printed line.
pub const THIN_BAR: Code = Code::new("W0552", "thin-bar");
/// A ring that cannot be put on because nothing lets it open.
pub const CLOSED_RING: Code = Code::new("W0553", "closed-ring");
/// A ring in an inside wall that cannot close far enough to be put in.
pub const INNER_RING: Code = Code::new("W0554", "inner-ring");

/// All of them.
pub const CODES: &[Code] = &[
    NOT_ABOVE_ZERO,
    OFF_FACE,
    TALLER_THAN_FACE,
    THROUGH_WALL,
    THIN_WALL,
    BAR_VANISHES,
    GAP_SWALLOWS,
    POCKETS_MEET,
    SLIT_NO_RING,
    SLIT_WIDE,
    MOTIF_PINCH,
    TOO_MUCH,
    FACE_TOO_STEEP,
    NOTHING_DRAWN,
    FACE_NOT_FREE,
    SLIT_CUTS,
    WIDE_CEILING,
    THIN_BAR,
    CLOSED_RING,
    INNER_RING,
];
