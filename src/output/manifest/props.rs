//! What the manifest says of the columns under a part.

use super::UnsupportedEntry;
use serde::Serialize;

/// The columns under one part.
#[derive(Clone, Debug, Serialize)]
pub struct PropsEntry {
    /// How many there are.
    pub count: u64,
    /// How many of them stand on the part, not on the bed.
    pub on_part: u64,
    /// Under how many repeats of a motif the same ones stand; 1 without a motif.
    pub repeats: u64,
    /// How wide each is.
    pub width_mm: f64,
    /// How far their tops stay off the part, square to its face.
    pub gap_above_mm: AirGap,
    /// The same of feet that stand on the part.
    pub gap_below_mm: AirGap,
    /// Least distance of any of them from the part; null without any.
    pub clear_mm: Option<f64>,
    /// Height of the tallest.
    pub tallest_mm: f64,
    /// Least width of the widest foot.
    pub foot_mm: f64,
    /// Volume of all of them.
    pub volume_mm3: f64,
    /// Filament of 1.75 mm for all of them.
    pub filament_m: f64,
    /// Places that should be carried and have no room for a column.
    pub without_room: u64,
    /// Whether the part's STL file holds them, after the part's own triangles.
    pub in_stl: bool,
    /// What would hang without them; `unsupported` of the print says what still does.
    pub before: Vec<UnsupportedEntry>,
}

/// A distance between columns and their part, mm.
#[derive(Clone, Debug, Serialize)]
pub struct AirGap {
    /// What the text asks for, or a layer.
    pub asked: f64,
    /// That of the nearest column; null where there is none.
    pub least: Option<f64>,
    /// That of the farthest.
    pub most: Option<f64>,
}

#[cfg(test)]
impl PropsEntry {
    /// One for tests.
    pub fn sample() -> PropsEntry {
        let gap = |least| AirGap { asked: 0.2, least, most: least };
        PropsEntry {
            count: 4,
            on_part: 0,
            repeats: 2,
            width_mm: 0.84,
            gap_above_mm: gap(Some(0.2)),
            gap_below_mm: gap(None),
            clear_mm: Some(0.2),
            tallest_mm: 5.8,
            foot_mm: 0.84,
            volume_mm3: 13.5,
            filament_m: 0.005,
            without_room: 0,
            in_stl: false,
            before: Vec::new(),
        }
    }
}
