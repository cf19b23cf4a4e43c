//! What the manifest says of parts that go together: all measured on finished bodies.

use super::parts::Engines;
use crate::quantity::decimals;
use serde::Serialize;

/// Distances between facing walls.
#[derive(Clone, Debug, Serialize)]
pub struct Gap {
    /// What the text asks for, on each side.
    pub asked: f64,
    /// The least that was measured.
    pub least: f64,
    /// Half of the facing walls are nearer than this.
    pub median: f64,
    /// The most.
    pub most: f64,
    /// The least at the worst of the printer's tolerance; null where its grade is not
    /// tabled for the size.
    pub worst_least: Option<f64>,
    /// The most at the worst, likewise.
    pub worst_most: Option<f64>,
    /// What the text calls the gap: `snap`, `H11/c11`; absent where it gives a length.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub called: Option<String>,
    /// The limits of a fit by name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limits: Option<Limits>,
}

/// Limits of ISO 286-1 at a basic size, across: twice what stands per side.
#[derive(Clone, Debug, Serialize)]
pub struct Limits {
    /// The size for which they are tabled.
    pub basic: f64,
    /// Least and greatest size of the hole.
    pub hole: [f64; 2],
    /// Least and greatest size of the shaft.
    pub shaft: [f64; 2],
    /// Least and greatest clearance.
    pub clearance: [f64; 2],
}

/// An inlay in its pocket.
#[derive(Clone, Debug, Serialize)]
pub struct SeatEntry {
    /// What is put in.
    pub inlay: String,
    /// What has the pocket.
    pub host: String,
    /// Whose flanks moved: a part's name, or `both`.
    pub taken_from: String,
    /// The host's surface at the inlay.
    pub surface: SurfaceEntry,
    /// Between the finished bodies.
    pub gap_mm: Gap,
    /// Volume that both bodies claim.
    pub overlap_mm3: f64,
    /// Depth of the pocket below the host's surface.
    pub depth_mm: f64,
    /// How far the show face stands out of the host's surface.
    pub face_step_mm: FaceStep,
    /// The pocket's ceilings.
    pub ceiling_deg: Ceiling,
}

/// The surface in which an inlay lies, in assembly axes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SurfaceEntry {
    /// What it is.
    pub kind: SurfaceKind,
    /// Of a round one: change of radius for each mm upwards.
    pub slope: Option<f64>,
    /// Of a flat one: out of the host.
    pub normal: Option<[f64; 3]>,
    /// Of one with flat sides in place of a round: how many.
    pub facets: Option<u32>,
}

/// What a surface is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum SurfaceKind {
    /// A cylinder or a cone.
    Round,
    /// Arcs, and lines that run smoothly into them, turned.
    Bellied,
    /// A plane face.
    Flat,
    /// The sides of a prism that is let into its host.
    Prism,
}

/// How far one face stands out of another; below zero it lies deeper.
#[derive(Clone, Debug, Serialize)]
pub struct FaceStep {
    /// The deepest place.
    pub lowest: f64,
    /// The proudest place.
    pub highest: f64,
}

/// Slopes from the vertical in the host's printing pose.
#[derive(Clone, Debug, Serialize)]
pub struct Ceiling {
    /// What the text asks for; null when edges are not eased.
    pub asked: Option<f64>,
    /// The steepest that was measured; null when there is no ceiling.
    pub steepest: Option<f64>,
}

/// A lid on what it closes.
#[derive(Clone, Debug, Serialize)]
pub struct LidEntry {
    /// The lid.
    pub lid: String,
    /// What it closes.
    pub host: String,
    /// Between the finished bodies, on each side.
    pub gap_mm: Gap,
    /// How far the lid reaches past the mouth.
    pub engagement_mm: f64,
    /// What the host holds up to the lowest place of the closed lid; absent where it tells
    /// no cavity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity_ml: Option<f64>,
    /// The same in US fluid ounces.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity_fl_oz: Option<f64>,
    /// Volume that both bodies claim.
    pub overlap_mm3: f64,
}

/// Two other bodies that go together.
#[derive(Clone, Debug, Serialize)]
pub struct PairEntry {
    /// What moves.
    pub part: String,
    /// What it goes with.
    pub host: String,
    /// The direction in which it comes out, in assembly axes; null where none is said.
    pub moves: Option<[f64; 3]>,
    /// Between the finished bodies: along the way, the faces that slide.
    pub gap_mm: Gap,
    /// How far both reach past each other along the way; null where none is said.
    pub engagement_mm: Option<f64>,
    /// Volume that both bodies claim.
    pub overlap_mm3: f64,
}

/// A body that is fitted but not made.
#[derive(Clone, Debug, Serialize)]
pub struct BoughtEntry {
    /// Its name.
    pub name: String,
    /// Its `##` lines.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub docs: Option<String>,
    /// Extents along x, y, z as placed.
    pub size_mm: [f64; 3],
    /// Of its mesh.
    pub volume_mm3: f64,
    /// How wide the zone is in which its sizes lie; null where nothing is said, or a grade.
    pub tolerance_mm: Option<f64>,
    /// The grade of ISO 286-1 that says so instead.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tolerance_grade: Option<String>,
    /// How many pieces it has.
    pub pieces: u64,
    /// Both bodies.
    pub engines: Engines,
    /// The author's remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A way out that was tried with the finished bodies.
#[derive(Clone, Debug, Serialize)]
pub struct WayEntry {
    /// What moves.
    pub part: String,
    /// Out of what.
    pub host: String,
    /// The direction in assembly axes; null for loose pieces, which each go straight out.
    pub along: Option<[f64; 3]>,
    /// How far until they are apart.
    pub travel_mm: f64,
    /// How it turns on its way; null where it goes straight.
    pub turn: Option<TurnEntry>,
    /// What it runs into; null where the way is free.
    pub caught: Option<CaughtEntry>,
    /// What is caught all round stretches; null where nothing is.
    pub snap: Option<SnapEntry>,
}

/// How a lid turns on its way.
#[derive(Clone, Debug, Serialize)]
pub struct TurnEntry {
    /// How far, anticlockwise from above.
    pub by_deg: f64,
    /// How far it rises meanwhile.
    pub rise_mm: f64,
}

impl TurnEntry {
    /// What has to be done, in words.
    pub fn told(&self) -> String {
        let degrees = decimals(self.by_deg.abs(), 0);
        if self.rise_mm > 0.0 {
            format!("unscrews by {degrees} deg")
        } else {
            format!("is free after {degrees} deg")
        }
    }
}

/// What a body on its way out runs into.
#[derive(Clone, Debug, Serialize)]
pub struct CaughtEntry {
    /// How far it has come then.
    pub after_mm: f64,
    /// Where, in assembly axes.
    pub at_mm: [f64; 3],
    /// How far both reach into each other.
    pub deep_mm: f64,
    /// How thick what both have in common there is on the average.
    pub thick_mm: f64,
}

/// A closed ring that stretches over a bead.
#[derive(Clone, Debug, Serialize)]
pub struct SnapEntry {
    /// By how much the diameters overlap.
    pub undercut_mm: f64,
    /// Hoop strain where one of both gives all of it.
    pub strain_percent: f64,
    /// What the material stands once; null where unknown.
    pub permitted_percent: Option<f64>,
    /// Force across the axis that spreads it, within a half either way; null where unknown.
    pub spreads_n: Option<f64>,
}

/// A slit ring that is sprung open over its host.
#[derive(Clone, Debug, Serialize)]
pub struct RingEntry {
    /// The ring.
    pub part: String,
    /// Width of the slit where it is least.
    pub slit_mm: f64,
    /// The largest diameter that it must pass.
    pub over_mm: f64,
    /// How far the slit opens for it.
    pub opening_mm: f64,
    /// Peak strain while it is held open by hand, from its actual sections.
    pub strain_percent: f64,
    /// Where that is, round the ring from its slit.
    pub strain_at_deg: f64,
    /// The same for a thin ring that has its smallest section all round.
    pub uniform_strain_percent: f64,
    /// Peak strain while it rides on that diameter by itself; null where it was not found.
    pub riding_percent: Option<f64>,
    /// How far the slit opens then; null where that was not found.
    pub riding_opening_mm: Option<f64>,
    /// What of these strains is left when large deflections are allowed for.
    pub large_opening_ratio: f64,
    /// What its material stands once, in the layers as printed; null where the table has no value.
    pub permitted_percent: Option<f64>,
    /// What its material stands again and again.
    pub permitted_repeated_percent: Option<f64>,
    /// What the layers leave of the material's strain: 1 along them, 0.5 across.
    pub layer_ratio: f64,
}
