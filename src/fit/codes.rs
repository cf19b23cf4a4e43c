//! The findings of this room.

use crate::diagnostics::Code;

/// Two parts claim the same space.
pub const PARTS_OVERLAP: Code = Code::new("E0601", "parts-overlap");
/// A seat's least gap is less than asked.
pub const GAP_MISSED: Code = Code::new("E0602", "gap-missed");
/// An inlay and its host claim the same space.
pub const SEAT_OVERLAPS: Code = Code::new("E0603", "seat-overlaps");
/// A ceiling is steeper than asked.
pub const CEILING_MISSED: Code = Code::new("E0604", "ceiling-missed");
/// A show face is not flush.
pub const FACE_NOT_FLUSH: Code = Code::new("E0605", "face-not-flush");
/// Nothing of a seat faces each other.
pub const NOTHING_FACES: Code = Code::new("E0606", "nothing-faces");
/// Two bodies could not be compared.
pub const NOT_MEASURED: Code = Code::new("E0607", "not-compared");
/// A lid that nothing guides.
pub const LID_UNGUIDED: Code = Code::new("E0608", "lid-unguided");
/// A lid is tighter than asked.
pub const LID_TIGHT: Code = Code::new("E0609", "lid-tight");
/// A ring is strained more than its material stands.
pub const RING_STRAINED: Code = Code::new("W0601", "ring-strained");
/// A gap that the scatter of sizes may close.
pub const MAY_CLOSE: Code = Code::new("W0610", "may-close");
/// A fit whose grade is finer than what the printer holds.
pub const GRADE_NOT_HELD: Code = Code::new("W0611", "grade-not-held");
/// A size for which the printer's grade is not tabled.
pub const BEYOND_TABLE: Code = Code::new("W0612", "beyond-table");
/// A ring may be put on once, not again and again.
pub const RING_ONCE: Code = Code::new("W0620", "ring-once");
/// A lid does not come off its host.
pub const LID_CAUGHT: Code = Code::new("E0620", "lid-caught");
/// A loose piece does not go into its pocket.
pub const PIECE_CAUGHT: Code = Code::new("W0622", "piece-caught");
/// A lid is strained more than its material stands when it snaps on.
pub const SNAP_STRAINED: Code = Code::new("W0621", "snap-strained");
/// No pull was found that brings a ring over flat sides.
pub const RING_NOT_OPENED: Code = Code::new("W0623", "ring-not-opened");

/// Two bodies of a fit are nearer than asked.
pub const FIT_TIGHT: Code = Code::new("E0630", "fit-tight");
/// What moves in a fit does not come out.
pub const FIT_CAUGHT: Code = Code::new("E0631", "fit-caught");
/// Nothing of two bodies of a fit is near the other.
pub const FIT_APART: Code = Code::new("E0632", "fit-apart");

/// All of them.
pub const CODES: &[Code] = &[
    PARTS_OVERLAP,
    GAP_MISSED,
    SEAT_OVERLAPS,
    CEILING_MISSED,
    FACE_NOT_FLUSH,
    NOTHING_FACES,
    NOT_MEASURED,
    LID_UNGUIDED,
    LID_TIGHT,
    RING_STRAINED,
    MAY_CLOSE,
    GRADE_NOT_HELD,
    BEYOND_TABLE,
    RING_ONCE,
    LID_CAUGHT,
    PIECE_CAUGHT,
    SNAP_STRAINED,
    RING_NOT_OPENED,
    FIT_TIGHT,
    FIT_CAUGHT,
    FIT_APART,
];
