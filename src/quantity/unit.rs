//! The units of the language.

use super::Dimension;

/// A unit: its symbol, its dimension, its size in base units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// As written.
    pub symbol: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// One of it in base units (mm, rad, g, MPa).
    pub factor: f64,
}

/// Every unit. `%` is one hundredth of a plain number. The inch is exactly
/// 25.4 mm (international yard and pound agreement, 1959).
const UNITS: [Unit; 19] = [
    unit("mm", Dimension::LENGTH, 1.0),
    unit("cm", Dimension::LENGTH, 10.0),
    unit("m", Dimension::LENGTH, 1000.0),
    unit("in", Dimension::LENGTH, 25.4),
    unit("mm2", Dimension::AREA, 1.0),
    unit("cm2", Dimension::AREA, 100.0),
    unit("mm3", Dimension::VOLUME, 1.0),
    unit("cm3", Dimension::VOLUME, 1000.0),
    unit("ml", Dimension::VOLUME, 1000.0),
    unit("l", Dimension::VOLUME, 1e6),
    unit("deg", Dimension::ANGLE, std::f64::consts::PI / 180.0),
    unit("rad", Dimension::ANGLE, 1.0),
    unit("turn", Dimension::ANGLE, std::f64::consts::TAU),
    unit("g", Dimension::MASS, 1.0),
    unit("kg", Dimension::MASS, 1000.0),
    unit("g/cm3", Dimension::DENSITY, 1e-3),
    unit("MPa", Dimension::STRESS, 1.0),
    unit("GPa", Dimension::STRESS, 1000.0),
    unit("%", Dimension::NONE, 0.01),
];

/// The symbols of all units, for did-you-mean and completion.
pub const UNIT_NAMES: [&str; 19] = [
    "mm", "cm", "m", "in", "mm2", "cm2", "mm3", "cm3", "ml", "l", "deg", "rad", "turn", "g", "kg",
    "g/cm3", "MPa", "GPa", "%",
];

const fn unit(symbol: &'static str, dimension: Dimension, factor: f64) -> Unit {
    Unit { symbol, dimension, factor }
}

impl Unit {
    /// The unit of this symbol.
    pub fn find(symbol: &str) -> Option<Unit> {
        UNITS.iter().copied().find(|u| u.symbol == symbol)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_of_names_is_the_table() {
        assert!(UNITS.iter().map(|u| u.symbol).eq(UNIT_NAMES));
    }
}
