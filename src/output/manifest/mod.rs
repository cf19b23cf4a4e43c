//! The manifest: what was made and how it fits, measured. A contract with scripts:
//! keys keep their order and meaning, new ones are added; `grammar/manifest.schema.json`
//! says the same for other programs.
//!
//! In: values of the stages, full precision. Out: JSON with every number rounded in one
//! place (see [`super::number`]). Units are in the keys: mm, mm2, mm3, deg, g, m, ml,
//! percent.

mod json;
mod parts;
mod props;
mod relations;
#[cfg(test)]
mod sample;
#[cfg(test)]
mod tests;

pub use parts::{
    BaseEntry, BrimEntry, Engines, FirstLayerEntry, Form, Hangs, NarrowEntry, Narrowness,
    PartEntry, PieceEntry, PlateEntry, PlateItem, PrintEntry, UnsupportedEntry,
};
pub use props::{AirGap, PropsEntry};
pub use relations::{
    BoughtEntry, CaughtEntry, Ceiling, FaceStep, Gap, LidEntry, Limits, PairEntry, RingEntry,
    SeatEntry, SnapEntry, SurfaceEntry, SurfaceKind, TurnEntry, WayEntry,
};

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

/// The version of the contract. It rises only when a key changes its meaning.
pub const VERSION: u32 = 1;

/// The whole manifest.
#[derive(Clone, Debug, Serialize)]
pub struct Manifest {
    /// [`VERSION`]
    pub manifest: u32,
    /// `pipkin 0.1.0`
    pub compiler: String,
    /// What the author says about the design.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub about: Option<About>,
    /// What was compiled.
    pub source: Source,
    /// The chosen size.
    pub size: Option<String>,
    /// Inputs by name, in the order of the text.
    #[serde(serialize_with = "as_object")]
    pub given: Vec<(String, GivenEntry)>,
    /// The printer that was planned for.
    pub printer: PrinterEntry,
    /// The parts whose files were asked for; absent: all.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub only: Vec<String>,
    /// Names of all files of this build, sorted, this one's included. A later build
    /// replaces these and nothing else.
    pub files: Vec<String>,
    /// Parts in the order of the text.
    pub parts: Vec<PartEntry>,
    /// Inlays in their pockets.
    pub seats: Vec<SeatEntry>,
    /// Lids on what they close.
    pub lids: Vec<LidEntry>,
    /// Other bodies that go together.
    pub fits: Vec<PairEntry>,
    /// What is fitted but not made.
    pub bought: Vec<BoughtEntry>,
    /// Rings that are sprung open.
    pub rings: Vec<RingEntry>,
    /// Ways out that were tried.
    pub ways: Vec<WayEntry>,
    /// How parts are set out.
    pub plates: Vec<PlateEntry>,
    /// What the printer will make of each part.
    pub print: Vec<PrintEntry>,
    /// What the rough times are worked out from.
    pub time_assumes: String,
    /// Design rules and whether they hold.
    pub requires: Vec<RequireEntry>,
    /// What a user of the parts must know.
    pub cautions: Vec<String>,
    /// Warnings.
    pub findings: Vec<FindingEntry>,
}

impl Manifest {
    /// The bytes of the file: UTF-8, indented, one line feed at the end.
    ///
    /// # Errors
    /// Only when memory cannot be written to.
    pub fn to_json(&self) -> std::io::Result<Vec<u8>> {
        json::encode(self)
    }
}

/// The author's words about a design.
#[derive(Clone, Debug, Default, Serialize)]
pub struct About {
    /// Its title.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// Who made it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// On what terms it may be used.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub licence: Option<String>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What was compiled.
#[derive(Clone, Debug, Serialize)]
pub struct Source {
    /// The root file's own name, without folders.
    pub file: String,
    /// BLAKE3 of all source files read, in order of name.
    pub digest: String,
}

/// An input.
#[derive(Clone, Debug, Serialize)]
pub struct GivenEntry {
    /// Its value in `unit`.
    pub value: Value,
    /// `mm`, `deg`, …; null for counts, ratios without a unit, text and yes_no.
    pub unit: Option<String>,
    /// Who said the value.
    pub from: Origin,
    /// What it is when nobody says.
    pub default: Value,
    /// Its `##` lines.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub docs: Option<String>,
}

/// A number, a text, or yes and no.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A number in the unit that stands beside it.
    Number(f64),
    /// A text.
    Text(String),
    /// yes is true.
    Truth(bool),
}

/// Who said the value of a given.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Origin {
    /// The text's default.
    Default,
    /// The chosen size.
    Size,
    /// `--set`.
    Set,
}

/// What the process can do.
#[derive(Clone, Debug, Serialize)]
pub struct PrinterEntry {
    /// Its name in the text.
    pub name: String,
    /// Width of a line.
    pub line_mm: f64,
    /// Height of a layer.
    pub layer_mm: f64,
    /// Steepest overhang that carries itself, from the vertical.
    pub overhang_deg: f64,
    /// Longest span that needs no support.
    pub bridge_mm: f64,
    /// Width, depth and height that can be printed.
    pub bed_mm: [f64; 3],
    /// Share of the inside that is filled; mass and filament of the parts are scaled
    /// by it.
    pub fill_percent: f64,
    /// How far its first layer spreads, made up for in the printed copies; 0 where nothing
    /// is asked.
    pub elephant_mm: f64,
    /// How wide the zone is in which printed sizes lie; null where it is a grade.
    pub tolerance_mm: Option<f64>,
    /// The grade of ISO 286-1 that says so instead: `it13`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tolerance_grade: Option<String>,
    /// Whether the tolerance is the printer's own: false where practice stands in.
    pub tolerance_stated: bool,
    /// Gaps by name, on each side.
    pub gaps_mm: GapsEntry,
}

/// The printer's gaps by name.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct GapsEntry {
    /// Holds by itself, can be sprung out.
    pub snap: f64,
    /// Slides without play.
    pub slide: f64,
    /// Needs force.
    pub press: f64,
    /// Falls in.
    pub free: f64,
}

/// A design rule. A rule joined by `and` is one entry for each side of it.
#[derive(Clone, Debug, Serialize)]
pub struct RequireEntry {
    /// As written.
    pub text: String,
    /// Whether it holds.
    pub holds: bool,
    /// The left side; null where the rule is no comparison.
    pub left: Option<Side>,
    /// The right side, likewise.
    pub right: Option<Side>,
}

/// One side of a comparison.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Side {
    /// Its value in `unit`.
    pub value: Value,
    /// Its unit; null for counts, text and yes_no.
    pub unit: Option<String>,
}

/// A warning, as on the terminal.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FindingEntry {
    /// `W0301`
    pub code: String,
    /// Its name.
    pub name: String,
    /// `warning`
    pub severity: String,
    /// The sentence.
    pub message: String,
    /// The file it is in; null for findings without a place.
    pub file: Option<String>,
    /// From 1.
    pub line: Option<usize>,
    /// In characters, from 1.
    pub column: Option<usize>,
}

/// Pairs as a JSON object that keeps their order.
fn as_object<S: Serializer>(
    pairs: &[(String, GivenEntry)],
    serializer: S,
) -> Result<S::Ok, S::Error> {
    let mut map = serializer.serialize_map(Some(pairs.len()))?;
    for (name, entry) in pairs {
        map.serialize_entry(name, entry)?;
    }
    map.end()
}
