//! Numbers with a dimension.
//!
//! In: literals. Out: [`Quantity`], a value in base units (mm, rad, g, MPa)
//! with its [`Dimension`]; printing in the author's units.
//! Kept out: names, places, text of any kind but units.

mod unit;

pub use unit::{UNIT_NAMES, Unit};

/// Exponents of the base dimensions. A ratio or a count has none.
/// Angle is a dimension of its own, so that degrees never pass for millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Dimension {
    /// Power of length.
    pub length: i8,
    /// Power of angle.
    pub angle: i8,
    /// Power of mass.
    pub mass: i8,
    /// Power of stress.
    pub stress: i8,
}

impl Dimension {
    /// A count or a ratio.
    pub const NONE: Dimension = Dimension { length: 0, angle: 0, mass: 0, stress: 0 };
    /// Length, in mm.
    pub const LENGTH: Dimension = Dimension { length: 1, ..Dimension::NONE };
    /// Area, in mm².
    pub const AREA: Dimension = Dimension { length: 2, ..Dimension::NONE };
    /// Volume, in mm³.
    pub const VOLUME: Dimension = Dimension { length: 3, ..Dimension::NONE };
    /// Angle, in rad.
    pub const ANGLE: Dimension = Dimension { angle: 1, ..Dimension::NONE };
    /// Mass, in g.
    pub const MASS: Dimension = Dimension { mass: 1, ..Dimension::NONE };
    /// Density, in g/mm³.
    pub const DENSITY: Dimension = Dimension { mass: 1, length: -3, ..Dimension::NONE };
    /// Stress, in MPa.
    pub const STRESS: Dimension = Dimension { stress: 1, ..Dimension::NONE };

    /// The dimension of a product; `None` when an exponent overflows.
    pub fn times(self, other: Dimension) -> Option<Dimension> {
        Some(Dimension {
            length: self.length.checked_add(other.length)?,
            angle: self.angle.checked_add(other.angle)?,
            mass: self.mass.checked_add(other.mass)?,
            stress: self.stress.checked_add(other.stress)?,
        })
    }

    /// The dimension of a quotient; `None` when an exponent overflows.
    pub fn over(self, other: Dimension) -> Option<Dimension> {
        self.times(Dimension {
            length: other.length.checked_neg()?,
            angle: other.angle.checked_neg()?,
            mass: other.mass.checked_neg()?,
            stress: other.stress.checked_neg()?,
        })
    }

    /// What the author would call it: `a length`, `an angle`, `a plain number`.
    pub fn spoken(self) -> String {
        let known = [
            (Dimension::NONE, "a plain number"),
            (Dimension::LENGTH, "a length"),
            (Dimension::AREA, "an area"),
            (Dimension::VOLUME, "a volume"),
            (Dimension::ANGLE, "an angle"),
            (Dimension::MASS, "a mass"),
            (Dimension::DENSITY, "a density"),
            (Dimension::STRESS, "a stress"),
        ];
        match known.iter().find(|(d, _)| *d == self) {
            Some((_, words)) => (*words).to_string(),
            None => format!("a quantity in {}", self.symbol()),
        }
    }

    /// The base unit of this dimension: `mm`, `mm2`, `g/mm3`, empty for none.
    pub fn symbol(self) -> String {
        let part = |base: &str, power: i8| match power.unsigned_abs() {
            0 => None,
            1 => Some(base.to_string()),
            n => Some(format!("{base}{n}")),
        };
        let bases =
            [("g", self.mass), ("MPa", self.stress), ("mm", self.length), ("rad", self.angle)];
        let join = |keep: fn(i8) -> bool| {
            let parts: Vec<_> =
                bases.iter().filter(|b| keep(b.1)).filter_map(|b| part(b.0, b.1)).collect();
            parts.join(" ")
        };
        let (above, below) = (join(|p| p > 0), join(|p| p < 0));
        match (above.is_empty(), below.is_empty()) {
            (_, true) => above,
            (true, false) => format!("1/{below}"),
            (false, false) => format!("{above}/{below}"),
        }
    }
}

/// A value in base units (mm, rad, g, MPa) with its dimension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// In base units.
    pub value: f64,
    /// What it measures.
    pub dimension: Dimension,
}

impl Quantity {
    /// A quantity in base units.
    pub const fn new(value: f64, dimension: Dimension) -> Self {
        Quantity { value, dimension }
    }

    /// A count or a ratio.
    pub const fn plain(value: f64) -> Self {
        Quantity::new(value, Dimension::NONE)
    }

    /// A length in mm.
    pub const fn mm(value: f64) -> Self {
        Quantity::new(value, Dimension::LENGTH)
    }

    /// An angle in rad.
    pub const fn rad(value: f64) -> Self {
        Quantity::new(value, Dimension::ANGLE)
    }

    /// An angle in degrees.
    pub fn deg(value: f64) -> Self {
        Quantity::rad(value.to_radians())
    }
}

impl std::fmt::Display for Quantity {
    /// Up to three decimals, zeros dropped, in the unit an author would write:
    /// mm, deg, ml, g; plain numbers without a unit.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (factor, symbol) = match self.dimension {
            Dimension::ANGLE => (1f64.to_radians(), "deg".to_string()),
            Dimension::VOLUME => (1000.0, "ml".to_string()),
            Dimension::DENSITY => (1e-3, "g/cm3".to_string()),
            other => (1.0, other.symbol()),
        };
        let number = decimals(self.value / factor, 3);
        if symbol.is_empty() { f.write_str(&number) } else { write!(f, "{number} {symbol}") }
    }
}

/// A number with up to `places` decimals, zeros dropped, never `-0`.
pub fn decimals(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        text
    };
    if text == "-0" { "0".to_string() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_print_as_an_author_writes_them() {
        assert_eq!(Quantity::mm(2.0).to_string(), "2 mm");
        assert_eq!(Quantity::mm(0.1004).to_string(), "0.1 mm");
        assert_eq!(Quantity::deg(45.0).to_string(), "45 deg");
        assert_eq!(Quantity::plain(-0.0001).to_string(), "0");
        assert_eq!(Quantity::new(80_000.0, Dimension::VOLUME).to_string(), "80 ml");
        assert_eq!(Quantity::new(6.0, Dimension::AREA).to_string(), "6 mm2");
    }

    #[test]
    fn products_combine_dimensions() {
        let area = Dimension::LENGTH.times(Dimension::LENGTH);
        assert_eq!(area, Some(Dimension::AREA));
        assert_eq!(Dimension::AREA.over(Dimension::LENGTH), Some(Dimension::LENGTH));
        assert_eq!(Dimension { length: 127, ..Dimension::NONE }.times(Dimension::LENGTH), None);
    }
}
