//! What is measured between parts. All places in assembly axes.

use super::way::WayFit;
use crate::model::limits::FitLimits;
use crate::model::{PartId, SeatId, TakenFrom, Vector};

/// The distance of facing faces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GapFit {
    /// As the text says, mm.
    pub asked_mm: f64,
    /// The least distance of any two facing triangles, mm: exact, not sampled.
    pub least_mm: f64,
    /// Half of the facing area is nearer than this, mm; sampled evenly over the area.
    pub median_mm: f64,
    /// The largest sampled distance, mm.
    pub most_mm: f64,
    /// Where the least distance is, mm: the middle of it.
    pub least_at_mm: Vector,
    /// From one face to the other there, in no promised sense, mm.
    pub least_across_mm: Vector,
    /// Least and most at the worst of the printer's tolerance, mm; none where its grade
    /// is not tabled for the size.
    pub worst_mm: Option<[f64; 2]>,
    /// The limits of a fit by name.
    pub limits: Option<FitLimits>,
}

/// The slope of a pocket's ceilings in the pose in which its host is printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CeilingFit {
    /// From the vertical, deg.
    pub asked_deg: f64,
    /// From the vertical, deg; 0 where the pocket has no ceiling.
    pub steepest_deg: f64,
}

/// An inlay in its pocket.
#[derive(Clone, Debug, PartialEq)]
pub struct SeatFit {
    /// Which seat.
    pub seat: SeatId,
    /// What is put in.
    pub inlay: PartId,
    /// What has the pocket.
    pub host: PartId,
    /// Whose flanks moved.
    pub taken_from: TakenFrom,
    /// Between facing flanks; backs touch floors by design and do not count.
    pub gap: GapFit,
    /// Common volume of the finished bodies, mm3.
    pub overlap_mm3: f64,
    /// Depth of the pocket, square to the surface, mm.
    pub depth_mm: f64,
    /// How far the show face stands out of the host's surface, lowest and highest, mm.
    pub face_step_mm: [f64; 2],
    /// None where no easing was asked for.
    pub ceiling: Option<CeilingFit>,
}

/// A lid on what it closes.
#[derive(Clone, Debug, PartialEq)]
pub struct LidFit {
    /// Index into `Model::closures`.
    pub closure: usize,
    /// The lid.
    pub lid: PartId,
    /// What it closes.
    pub host: PartId,
    /// Per side, between the faces that slide in each other.
    pub gap: GapFit,
    /// How far lid and host reach past each other along the axis, mm.
    pub engagement_mm: f64,
    /// Common volume of the finished bodies, mm3.
    pub overlap_mm3: f64,
}

/// Two other bodies that go together.
#[derive(Clone, Debug, PartialEq)]
pub struct PairFit {
    /// Index into `Model::fits`.
    pub fit: usize,
    /// What moves.
    pub inner: PartId,
    /// What it goes with.
    pub outer: PartId,
    /// Between the faces that slide in each other; where no way is said, between all that
    /// look at each other.
    pub gap: GapFit,
    /// How far both reach past each other along the way, mm; none where no way is said.
    pub engagement_mm: Option<f64>,
    /// Common volume of the finished bodies, mm3.
    pub overlap_mm3: f64,
}

/// A slit ring, opened by hand to be put on.
#[derive(Clone, Debug, PartialEq)]
pub struct RingFit {
    /// The ring.
    pub part: PartId,
    /// Distance of the slit's walls where they are nearest, mm.
    pub slit_mm: f64,
    /// Radius of the largest circle that the ring must pass over, mm.
    pub over_mm: f64,
    /// How far the slit grows until the bore clears that circle, mm.
    pub opening_mm: f64,
    /// Peak strain while it is held open, from its actual sections, percent.
    pub strain_percent: f64,
    /// Where that is, round the ring from its slit, deg.
    pub strain_at_deg: f64,
    /// The same for a thin ring that has its smallest section all round, percent.
    pub uniform_percent: f64,
    /// Peak strain while the ring rides on that circle by itself, percent; none where over
    /// flat sides its shape was not found.
    pub riding_percent: Option<f64>,
    /// How far the slit has grown then, mm; none where its pressures were not found: round
    /// the axis the strain is that of a thin ring of one section.
    pub riding_opening_mm: Option<f64>,
    /// What of these strains is left when large deflections are allowed for, as a ratio.
    pub large_opening: f64,
    /// What the material stands once in these layers, percent; none where not known.
    pub permitted_percent: Option<f64>,
    /// What the layers leave of the material's strain, as a ratio.
    pub layer_share: f64,
}

impl RingFit {
    /// What the material stands again and again, percent.
    pub fn repeated_percent(&self) -> Option<f64> {
        self.permitted_percent.map(|once| once * super::ring::REPEATED)
    }
}

/// Everything that was measured between parts.
#[derive(Clone, Debug, Default)]
pub struct Fits {
    /// As `Model::seats`; none where one of the two parts could not be made.
    pub seats: Vec<Option<SeatFit>>,
    /// As `Model::closures`; none where one of the two parts could not be made.
    pub lids: Vec<Option<LidFit>>,
    /// Slit rings, in the order of the model's parts.
    pub rings: Vec<RingFit>,
    /// Other bodies that go together, in the order of the model.
    pub pairs: Vec<PairFit>,
    /// How lids, loose pieces and what moves in a fit come out, in this order.
    pub ways: Vec<WayFit>,
}

impl Fits {
    /// How a part comes out of its host, where that was looked at.
    pub fn way_of(&self, part: PartId, host: PartId) -> Option<&WayFit> {
        self.ways.iter().find(|way| [way.part, way.host] == [part, host])
    }
}
