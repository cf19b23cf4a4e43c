//! The design: parts, seats, closures, process.

use super::body::Body;
use super::limits::{FitName, LimitsError, grade_mm};
use super::placement::Vector;
use super::props::Props;
use crate::quantity::Quantity;
use std::sync::Arc;

/// Index into [`Model::parts`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartId(pub usize);

/// Index into [`Model::seats`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SeatId(pub usize);

/// The whole design, at one size, with all values known that need no geometry.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    /// The file's name without its ending.
    pub name: String,
    /// The chosen size.
    pub size: Option<String>,
    /// Inputs in the order of the text.
    pub givens: Vec<Given>,
    /// The printer.
    pub printer: Printer,
    /// Parts in the order of the text.
    pub parts: Vec<Part>,
    /// Seats in the order of the text.
    pub seats: Vec<Seat>,
    /// Lids and what they close, in the order of the text.
    pub closures: Vec<Closure>,
    /// Other bodies that must go together, in the order of the text.
    pub fits: Vec<Fit>,
    /// Plates in the order of the text; none: all parts on one.
    pub plates: Vec<Plate>,
    /// Columns under parts, in the order of the text; no part has two.
    pub props: Vec<Props>,
}

/// An input and its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Given {
    /// Its name.
    pub name: String,
    /// The text of its `##` lines.
    pub docs: Vec<String>,
    /// Its value.
    pub value: Filling,
    /// Its default.
    pub default: Filling,
    /// Where the value comes from.
    pub source: GivenSource,
    /// What it may be.
    pub permits: Permits,
}

/// What a given may be.
#[derive(Clone, Debug, PartialEq)]
pub enum Permits {
    /// Anything of its default's kind.
    Anything,
    /// From `low` to `high`, in steps from `low` where there is a step.
    Span { low: Quantity, high: Quantity, step: Option<Quantity> },
    /// One of these.
    Among(Vec<Filling>),
}

/// The value of a given.
#[derive(Clone, Debug, PartialEq)]
pub enum Filling {
    /// A number with a dimension.
    Quantity(Quantity),
    /// A text.
    Text(String),
    /// yes or no
    Truth(bool),
}

/// Who said the value of a given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GivenSource {
    /// The text's default.
    Default,
    /// The chosen size.
    Size,
    /// `--set`.
    Set,
}

/// What the process can do. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Printer {
    /// Its name.
    pub name: String,
    /// Width of a line.
    pub line_mm: f64,
    /// Height of a layer.
    pub layer_mm: f64,
    /// Height of the first layer.
    pub first_layer_mm: f64,
    /// Steepest overhang that carries itself, from the vertical, rad.
    pub overhang_rad: f64,
    /// Longest span that needs no support.
    pub bridge_mm: f64,
    /// Width, depth and height that can be printed.
    pub bed_mm: Vector,
    /// Share of the inside that is filled, for estimates; 1 is solid.
    pub fill: f64,
    /// How far the first layer spreads beyond its outline, which the printed copy makes up
    /// for; 0 where nothing is asked.
    pub elephant_mm: f64,
    /// Gaps by name, per flank.
    pub measured: GapTable,
    /// How far sizes scatter; none where nothing is said.
    pub tolerance: Option<Tolerance>,
}

/// How wide the zone is in which the printed sizes of a drawn one lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tolerance {
    /// The same for every size, mm.
    Zone(f64),
    /// A grade of ISO 286-1, 1 to 18: wider for larger sizes.
    Grade(u8),
}

impl Tolerance {
    /// The zone of a size of `basic_mm`, mm.
    ///
    /// # Errors
    /// When the size is outside the table of the grade.
    pub fn zone_mm(self, basic_mm: f64) -> Result<f64, LimitsError> {
        match self {
            Tolerance::Zone(zone) => Ok(zone),
            Tolerance::Grade(grade) => grade_mm(grade, basic_mm),
        }
    }
}

/// The zone of a printer that says none, mm. What is left when a gap was found by printing
/// on the same printer: one print differs from the next by some 0.05 mm either way. Common
/// practice, no source.
const REPEAT_MM: f64 = 0.1;

/// The zone of sizes as such, of a printer that says none, mm: services promise 0.2 mm
/// either way. Common practice, no source.
const USUAL_MM: f64 = 0.4;

impl Printer {
    /// The zone in which a size of `basic_mm` scatters from print to print, mm.
    ///
    /// # Errors
    /// When the size is outside the table of the grade.
    pub fn zone_mm(&self, basic_mm: f64) -> Result<f64, LimitsError> {
        self.tolerance.map_or(Ok(REPEAT_MM), |tolerance| tolerance.zone_mm(basic_mm))
    }

    /// The zone within which a size of `basic_mm` comes out as drawn, mm: that of its
    /// tolerance, else the usual one.
    ///
    /// # Errors
    /// When the size is outside the table of the grade.
    pub fn holds_mm(&self, basic_mm: f64) -> Result<f64, LimitsError> {
        match self.tolerance {
            Some(_) => self.zone_mm(basic_mm),
            None => Ok(USUAL_MM),
        }
    }
}

/// What a gap is called.
#[derive(Clone, Debug, PartialEq)]
pub enum GapName {
    /// From the printer's table: `snap`.
    Measured(String),
    /// A fit of ISO 286-1.
    Limits(FitName),
}

/// Gaps that were found to work on one printer, mm per flank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GapTable {
    /// Holds by itself, can be sprung out.
    pub snap_mm: f64,
    /// Slides without play.
    pub slide_mm: f64,
    /// Needs force.
    pub press_mm: f64,
    /// Falls in.
    pub free_mm: f64,
}

/// What a part is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// Its name in the text.
    pub name: String,
    /// Red, green, blue.
    pub colour: [u8; 3],
    /// g/cm3
    pub density_g_cm3: f64,
    /// Young's modulus, MPa; none where the table has no value.
    pub modulus_mpa: Option<f64>,
    /// Strain that a printed part stands once, as a ratio; none where unknown.
    pub permitted: Option<f64>,
    /// How much shorter a print is than its file once it is cold, as a ratio; the printed
    /// copy is made larger for it.
    pub shrink: f64,
}

/// How the printed copy lies.
#[derive(Clone, Debug, PartialEq)]
pub enum Pose {
    /// As placed.
    Upright,
    /// Turned over, half a turn about x.
    UpsideDown,
    /// Tipped by an angle (rad) about the axis 0, 1 or 2.
    Tipped { angle_rad: f64, axis: usize },
    /// With a flat face down: its outward normal in assembly axes.
    On { normal: Vector },
}

/// A body that gets printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its name: also its file's.
    pub name: String,
    /// Its `##` lines.
    pub docs: Vec<String>,
    /// Its body before any seat.
    pub body: Arc<Body>,
    /// What it is made of.
    pub material: Material,
    /// How the printed copy lies.
    pub pose: Pose,
    /// How many are printed.
    pub copies: u32,
    /// How many more, to have in reserve.
    pub spares: u32,
    /// How far a brim of one layer reaches round its first layer, mm; none: no brim.
    pub brim_mm: Option<f64>,
    /// Whether it takes part in the check that no two parts overlap.
    pub assembled: bool,
    /// The author's remark, texts filled in.
    pub note: Option<String>,
    /// Of a thing that is fitted but not made: it is never printed, and has no material.
    pub bought: Option<Bought>,
    /// What it holds, to the rim: the solid whose volume is the capacity.
    pub cavity: Option<Arc<Body>>,
}

/// A thing that is fitted but not made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bought {
    /// How far its sizes scatter; none where nothing is said.
    pub tolerance: Option<Tolerance>,
    /// Red, green, blue, in pictures.
    pub colour: [u8; 3],
}

/// Two bodies that must go together, without a pocket being cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// What moves.
    pub inner: PartId,
    /// What it goes with.
    pub outer: PartId,
    /// Least distance of facing faces, mm.
    pub gap_mm: f64,
    /// What the text calls that gap, where it gives no length.
    pub gap_name: Option<GapName>,
    /// The unit direction in which it comes out; none where nothing is said of it.
    pub along: Option<Vector>,
}

/// From which body a gap is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TakenFrom {
    /// The inlay shrinks.
    Inlay,
    /// The pocket grows.
    Host,
    /// Half each.
    Both,
}

/// The end over which a ring is put on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Enters {
    /// The upper end.
    Top,
    /// The lower end.
    Bottom,
    /// Square to the surface: loose pieces.
    Surface,
}

/// An inlay in its pocket.
#[derive(Clone, Debug, PartialEq)]
pub struct Seat {
    /// What is put in.
    pub inlay: PartId,
    /// What loses a pocket.
    pub host: PartId,
    /// Least distance of facing flanks, mm.
    pub gap_mm: f64,
    /// What the text calls that gap, where it gives no length.
    pub gap_name: Option<GapName>,
    /// The size that the tolerance of its fit is read for, mm: the height of a band, the
    /// lesser side of the box of a figure or prism.
    pub basic_mm: f64,
    /// Whose flanks move.
    pub taken_from: TakenFrom,
    /// Extra depth of the pocket behind the inlay, mm.
    pub gap_behind_mm: f64,
    /// How the inlay gets in.
    pub enters: Enters,
    /// Seats whose pockets this one may meet.
    pub meets: Vec<SeatId>,
}

impl Seat {
    /// How far the flanks of the inlay move in and those of its pocket out, mm.
    pub fn shares_mm(&self) -> [f64; 2] {
        match self.taken_from {
            TakenFrom::Inlay => [self.gap_mm, 0.0],
            TakenFrom::Host => [0.0, self.gap_mm],
            TakenFrom::Both => [self.gap_mm / 2.0; 2],
        }
    }
}

/// A lid and what it closes.
#[derive(Clone, Debug, PartialEq)]
pub struct Closure {
    /// The lid.
    pub lid: PartId,
    /// What it closes.
    pub host: PartId,
    /// Gap per side that the text asks for, mm.
    pub gap_mm: f64,
    /// What the text calls that gap, where it gives no length.
    pub gap_name: Option<GapName>,
    /// Diameters that the host's mouth offers, mm: of its opening, of its rim. A lid's
    /// basic size is the one on which it slides.
    pub across_mm: [Option<f64>; 2],
    /// How many flat sides the host's mouth has; 0 is round.
    pub facets: u32,
    /// z of the host's mouth in the assembly, mm.
    pub mouth_mm: f64,
}

/// Parts that are printed together.
#[derive(Clone, Debug, PartialEq)]
pub struct Plate {
    /// Its name.
    pub name: String,
    /// What lies on it.
    pub parts: Vec<PartId>,
    /// Distance between parts, mm.
    pub spacing_mm: f64,
}
