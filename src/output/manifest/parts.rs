//! What the manifest says of each part.

use super::PropsEntry;
use serde::Serialize;

/// Which of a part's bodies its files hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Form {
    /// There is an exact body; it agrees with the mesh.
    Exact,
    /// There is only a mesh; `engines.reason` says why.
    Mesh,
}

/// A part that gets printed.
#[derive(Clone, Debug, Serialize)]
pub struct PartEntry {
    /// Its name in the text.
    pub name: String,
    /// Its `##` lines.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub docs: Option<String>,
    /// Its files in the same folder; empty when `only` leaves it out.
    pub files: Vec<String>,
    /// What its files hold.
    pub form: Form,
    /// Its material's name.
    pub material: String,
    /// `#rrggbb`
    pub colour: String,
    /// Extents along x, y, z as placed in the assembly.
    pub size_mm: [f64; 3],
    /// Volume of the finished body.
    pub volume_mm3: f64,
    /// Area of its surface.
    pub area_mm2: f64,
    /// Mass of one copy, scaled by the printer's fill.
    pub mass_g: f64,
    /// Filament of 1.75 mm for one copy.
    pub filament_m: f64,
    /// What it holds to the rim; absent for parts that hold nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity_ml: Option<f64>,
    /// The same in US fluid ounces.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity_fl_oz: Option<f64>,
    /// Bodies that do not hang together.
    pub pieces: u64,
    /// Holes through the body, summed over its pieces.
    pub genus: i64,
    /// Triangles of the mesh.
    pub triangles: u64,
    /// Edges that do not have two triangles.
    pub open_edges: u64,
    /// Pairs of triangles that cross.
    pub self_intersections: u64,
    /// The two independent bodies behind it.
    pub engines: Engines,
    /// Why the exact body could not be written as STEP; absent where it was, and where
    /// there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_step: Option<String>,
    /// The author's remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What each engine says of a part.
#[derive(Clone, Debug, Serialize)]
pub struct Engines {
    /// Volume of the exact body, by quadrature over its faces; null where there is none.
    pub exact_mm3: Option<f64>,
    /// Volume of the mesh.
    pub mesh_mm3: f64,
    /// Why there is no exact body.
    pub reason: Option<String>,
    /// Area of the exact body.
    pub exact_mm2: Option<f64>,
    /// Area of the mesh.
    pub mesh_mm2: f64,
    /// Centre of volume of the exact body.
    pub exact_centre_mm: Option<[f64; 3]>,
    /// Centre of volume of the mesh.
    pub mesh_centre_mm: [f64; 3],
    /// How far facets may leave their arc: what explains the difference.
    pub chord_mm: f64,
}

/// Parts that are printed together.
#[derive(Clone, Debug, Serialize)]
pub struct PlateEntry {
    /// Its name in the text; null for the plate of a text that names none.
    pub name: Option<String>,
    /// Every copy on it.
    pub items: Vec<PlateItem>,
}

/// One copy on a plate.
#[derive(Clone, Debug, Serialize)]
pub struct PlateItem {
    /// The part's name.
    pub part: String,
    /// From its place in the STL file to its place on the bed, whose front left corner
    /// is the origin.
    pub shift_mm: [f64; 3],
}

/// How one part is printed.
#[derive(Clone, Debug, Serialize)]
pub struct PrintEntry {
    /// The part's name.
    pub part: String,
    /// How it lies: `upright`, `upside_down`, …
    pub pose: String,
    /// How many are printed.
    pub copies: u64,
    /// How many more, to have in reserve.
    pub spares: u64,
    /// Extents of the printed copy as it lies, as its file has them.
    pub size_mm: [f64; 3],
    /// The same once it has shrunk: what the text says.
    pub nominal_mm: [f64; 3],
    /// By how much its file is larger for it; 0 where nothing is asked.
    pub shrink_percent: f64,
    /// A rough time for one copy, printed alone; `time_assumes` of the manifest says how.
    pub rough_minutes: f64,
    /// Layers of the printer's height.
    pub layers: u64,
    /// Area that lies on the bed.
    pub bed_contact_mm2: f64,
    /// Steepest face that hangs over, from the vertical; 0 where none does.
    pub steepest_overhang_deg: f64,
    /// Area of faces steeper than the printer's limit.
    pub steep_area_mm2: f64,
    /// What the layer below does not carry within the printer's overhang, islands first.
    pub unsupported: Vec<UnsupportedEntry>,
    /// What is too narrow for the printer's line, worst first.
    pub narrow: Vec<NarrowEntry>,
    /// How its worst piece stands on the bed; null where one has no first layer.
    pub base: Option<BaseEntry>,
    /// What was taken off its first layer; null where nothing is asked.
    pub first_layer: Option<FirstLayerEntry>,
    /// The brim round it, a body in a file of its own; null where none is asked.
    pub brim: Option<BrimEntry>,
    /// Its pieces in the order of the STL file.
    pub pieces: Vec<PieceEntry>,
    /// What to know before printing it.
    pub cautions: Vec<String>,
    /// The columns under it; absent where the text asks for none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub props: Option<PropsEntry>,
}

/// What is narrow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Narrowness {
    /// Material of less than a line.
    Lost,
    /// Material of less than two lines.
    Thin,
    /// Free space of less than a line.
    Slot,
}

/// All narrow places of a kind.
#[derive(Clone, Debug, Serialize)]
pub struct NarrowEntry {
    /// What is narrow.
    pub kind: Narrowness,
    /// How many places.
    pub count: u64,
    /// The least width of them all.
    pub width_mm: f64,
    /// Underside of the lowest.
    pub from_mm: f64,
    /// Top of the highest.
    pub to_mm: f64,
    /// Where the narrowest is, in the STL file.
    pub at_mm: [f64; 2],
}

/// How a printed copy stands on the bed.
#[derive(Clone, Debug, Serialize)]
pub struct BaseEntry {
    /// Area within the outermost outline of the first layer, hollows filled.
    pub footprint_mm2: f64,
    /// Least width of that.
    pub narrowest_mm: f64,
    /// Height over it.
    pub slenderness: f64,
    /// The widest circle in the first layer.
    pub widest_mm: f64,
    /// How far the centre of mass stands inside the footprint; below 0 outside.
    pub inside_mm: f64,
    /// Whether it is so tall for its first layer that a brim is advised.
    pub brim_advised: bool,
}

/// A first layer that was drawn in because it spreads.
#[derive(Clone, Debug, Serialize)]
pub struct FirstLayerEntry {
    /// By how much each side moved in.
    pub drawn_in_mm: f64,
    /// What it covers once it has spread.
    pub nominal_mm2: f64,
    /// What it covers in the file.
    pub meshed_mm2: f64,
    /// Pieces that stay as drawn, too narrow for it.
    pub kept_pieces: u64,
}

/// A body of one layer round the first layer.
#[derive(Clone, Debug, Serialize)]
pub struct BrimEntry {
    /// How far it reaches.
    pub width_mm: f64,
    /// What it covers.
    pub area_mm2: f64,
    /// Of one layer.
    pub volume_mm3: f64,
}

/// How something hangs that the layer below does not carry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Hangs {
    /// It starts in the air.
    Island,
    /// It reaches out too far.
    Overhang,
    /// Both ends of lines across it are carried.
    Bridge,
}

/// A connected region that the layers below do not carry, or several that are alike.
#[derive(Clone, Debug, Serialize)]
pub struct UnsupportedEntry {
    /// How it hangs.
    pub kind: Hangs,
    /// How many such regions there are.
    pub count: u64,
    /// Underside of its first layer, above the bed.
    pub from_mm: f64,
    /// Top of its last layer.
    pub to_mm: f64,
    /// Area beyond what is carried, of all of them.
    pub area_mm2: f64,
    /// The longest line across; null but for bridges.
    pub span_mm: Option<f64>,
    /// How far it reaches out over all its layers; null but for overhangs.
    pub reach_mm: Option<f64>,
    /// Steepest from layer to layer, from the vertical; null but for overhangs.
    pub angle_deg: Option<f64>,
    /// Share of a line's width that there lies on the layer below; null but for overhangs.
    pub overlap_percent: Option<f64>,
    /// Middle of the lowest layer of one of them, in the axes of the STL file.
    pub at_mm: [f64; 2],
}

/// One piece of a printed copy: how it came from the assembly to its place in the file.
#[derive(Clone, Debug, Serialize)]
pub struct PieceEntry {
    /// A matrix by rows for row vectors, then the shift in mm.
    pub transform: [f64; 12],
    /// Its triangles; they follow those of the piece before it.
    pub triangles: u64,
}
