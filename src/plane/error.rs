//! Why an outline could not be made.

use super::outline::Point;

/// Why an outline could not be made. Lengths in mm, angles in rad.
#[derive(Clone, Debug, PartialEq)]
pub enum PlaneError {
    /// A measure that must be above 0 is not, or is not finite.
    NotPositive { what: &'static str, value: f64 },
    /// A regular polygon wants at least three sides.
    TooFewSides { sides: u32 },
    /// A polygon wants at least three points, a path at least one step.
    TooFewPoints { points: usize },
    /// A slot is longer than it is high, or as long.
    SlotTooShort { width_mm: f64, height_mm: f64 },
    /// Two neighbouring points are the same; `index` is the second of them.
    DoubledPoint { index: usize, at: Point },
    /// A step ends where it starts.
    NoLength { at: Point },
    /// An arc through three points that lie on one straight line.
    StraightArc { through: Point },
    /// The ends of an arc are farther apart than its diameter.
    RadiusTooSmall { radius_mm: f64, least_mm: f64 },
    /// The treatment of a corner needs more of a side than there is.
    TreatmentTooLong { wanted_mm: f64, room_mm: f64 },
    /// No circle of this radius touches both sides of a corner.
    RoundTooLarge { radius_mm: f64, largest_mm: f64 },
    /// A corner cannot be bevelled at that angle: the cut never meets the second side.
    BevelTooSteep { angle_rad: f64, limit_rad: f64 },
    /// There is no corner: the sides run smoothly into each other, or turn back.
    NoCorner { at: Point },
    /// Treatment asked for at the free end of an open path.
    FreeEnd { at: Point },
    /// An open run where a closed one is wanted; the distance between its ends.
    Open { apart_mm: f64 },
    /// It crosses or touches itself.
    SelfCrossing { at: Point },
    /// It encloses nothing.
    NoArea { area_mm2: f64 },
    /// An arc bends more tightly than the width of a one-sided stroke allows.
    BendTooTight { at: Point, radius_mm: f64, width_mm: f64 },
    /// A corner so sharp that its mitre would be longer than ten widths.
    MitreTooLong { at: Point },
    /// Curves so close to each other that inside and outside cannot be told.
    Tangled { at: Point },
}

impl std::fmt::Display for PlaneError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        use crate::quantity::{Quantity, decimals};
        let mm = Quantity::mm;
        let place = |p: &Point| format!("({}, {}) mm", decimals(p.x, 3), decimals(p.y, 3));
        match self {
            Self::NotPositive { what, value } => {
                write!(f, "the {what} must be above 0, it is {}", decimals(*value, 6))
            }
            Self::TooFewSides { sides } => write!(f, "at least 3 sides are wanted, not {sides}"),
            Self::TooFewPoints { points } => {
                write!(f, "{points} points do not enclose anything")
            }
            Self::SlotTooShort { width_mm, height_mm } => write!(
                f,
                "a slot of {} is shorter than it is high, {}",
                mm(*width_mm),
                mm(*height_mm)
            ),
            Self::DoubledPoint { index, at } => {
                write!(f, "point {} repeats the one before it, {}", index + 1, place(at))
            }
            Self::NoLength { at } => write!(f, "this step ends where it starts, at {}", place(at)),
            Self::StraightArc { through } => {
                write!(f, "the arc through {} is a straight line", place(through))
            }
            Self::RadiusTooSmall { radius_mm, least_mm } => write!(
                f,
                "a radius of {} does not reach: the ends of the arc want at least {}",
                mm(*radius_mm),
                mm(*least_mm)
            ),
            Self::TreatmentTooLong { wanted_mm, room_mm } => write!(
                f,
                "the treated corner takes {} of a side that has only {}",
                mm(*wanted_mm),
                mm(*room_mm)
            ),
            Self::RoundTooLarge { radius_mm, largest_mm } => write!(
                f,
                "no circle of radius {} touches both sides of the corner; {} is the largest",
                mm(*radius_mm),
                mm(*largest_mm)
            ),
            Self::BevelTooSteep { angle_rad, limit_rad } => write!(
                f,
                "a bevel of {} misses the second side: it must be below {}",
                Quantity::rad(*angle_rad),
                Quantity::rad(*limit_rad)
            ),
            Self::NoCorner { at } => write!(f, "there is no corner to treat at {}", place(at)),
            Self::FreeEnd { at } => {
                write!(f, "the path ends at {}: there is no corner to treat", place(at))
            }
            Self::Open { apart_mm } => {
                write!(f, "the path is open: its ends are {} apart", mm(*apart_mm))
            }
            Self::SelfCrossing { at } => write!(f, "the outline meets itself at {}", place(at)),
            Self::NoArea { area_mm2 } => {
                write!(f, "the outline encloses only {} mm2", decimals(*area_mm2, 6))
            }
            Self::BendTooTight { at, radius_mm, width_mm } => write!(
                f,
                "the bend at {} has a radius of {}, less than the width of {}",
                place(at),
                mm(*radius_mm),
                mm(*width_mm)
            ),
            Self::MitreTooLong { at } => {
                write!(f, "the corner at {} is too sharp for a mitre", place(at))
            }
            Self::Tangled { at } => write!(
                f,
                "curves run so close to each other at {} that inside and outside cannot be told",
                place(at)
            ),
        }
    }
}

/// Why a path could not be made, and at which step (from 0; the closing step comes
/// last).
#[derive(Clone, Debug, PartialEq)]
pub struct PathError {
    /// The step.
    pub step: usize,
    /// Why.
    pub reason: PlaneError,
}
