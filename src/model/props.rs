//! Columns under what a part's layers do not carry.

use super::design::PartId;

/// The columns that are printed beside a part and broken away afterwards. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Props {
    /// The part under which they stand.
    pub under: PartId,
    /// Least distance of a column's top from the part above it, above 0.
    pub gap_above_mm: f64,
    /// Least distance of a column's foot from the part on which it stands, above 0; on the
    /// bed there is none.
    pub gap_below_mm: f64,
    /// How wide a column is.
    pub width_mm: f64,
    /// Between the middles of neighbours; none: as close as free edges want it.
    pub spacing_mm: Option<f64>,
    /// Where the text puts columns, in the axes of the assembly; none: where the layers want
    /// them. With z where one of several undersides is meant.
    pub at: Option<Vec<PropPlace>>,
}

/// A place for a column, mm: x and y, and the height of the underside that is meant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PropPlace {
    /// x and y
    pub across: [f64; 2],
    /// z; none: the lowest underside.
    pub height: Option<f64>,
}
