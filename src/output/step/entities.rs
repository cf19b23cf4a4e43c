//! Numbered entities of the exchange structure (ISO 10303-21, clause 9) and how numbers
//! and texts are written in it.

use crate::model::Vector;
use std::collections::BTreeMap;
use std::fmt::{self, Display, Write};

/// The entities of one file, numbered as they come: each refers only to earlier ones.
#[derive(Debug, Default)]
pub(super) struct Entities {
    text: String,
    count: usize,
    triples: BTreeMap<(bool, [u64; 3]), usize>,
    infinite: bool,
}

impl Entities {
    /// Adds an entity and gives its number.
    pub(super) fn add(&mut self, entity: fmt::Arguments<'_>) -> usize {
        self.count += 1;
        // Writing to a text cannot fail.
        let _ = writeln!(self.text, "#{}={entity};", self.count);
        self.count
    }

    /// A point, mm; the same one again where it was written before.
    pub(super) fn point(&mut self, at: Vector) -> usize {
        self.triple("CARTESIAN_POINT", true, at)
    }

    /// A unit direction; the same one again where it was written before.
    pub(super) fn direction(&mut self, along: Vector) -> usize {
        self.triple("DIRECTION", false, along)
    }

    /// Axes: where, z and x.
    pub(super) fn placement(&mut self, origin: Vector, z: Vector, x: Vector) -> usize {
        let (origin, z, x) = (self.point(origin), self.direction(z), self.direction(x));
        self.add(format_args!("AXIS2_PLACEMENT_3D('',#{origin},#{z},#{x})"))
    }

    /// Whether some number had no value.
    pub(super) fn infinite(&self) -> bool {
        self.infinite
    }

    /// One line for each entity.
    pub(super) fn into_text(self) -> String {
        self.text
    }

    fn triple(&mut self, keyword: &str, is_point: bool, [x, y, z]: Vector) -> usize {
        self.infinite |= ![x, y, z].iter().all(|c| c.is_finite());
        let key = (is_point, [x, y, z].map(|c| tidy(c).to_bits()));
        if let Some(number) = self.triples.get(&key) {
            return *number;
        }
        let entity = format_args!("{keyword}('',({},{},{}))", Real(x), Real(y), Real(z));
        let number = self.add(entity);
        self.triples.insert(key, number);
        number
    }
}

/// Below this a coordinate is the rounding of a nought, mm or of a unit vector.
const NOUGHT: f64 = 1e-15;

fn tidy(value: f64) -> f64 {
    if value.abs() < NOUGHT { 0.0 } else { value }
}

/// A number as the standard wants it: always with a point, the exponent as `E`; the
/// shortest text that reads back as the same double.
pub(super) struct Real(pub(super) f64);

impl Display for Real {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let value = tidy(self.0);
        let size = value.abs();
        if size != 0.0 && !(1e-5..1e15).contains(&size) {
            let text = format!("{value:e}");
            let (digits, exponent) = text.split_once('e').unwrap_or((&text, "0"));
            let dot = if digits.contains('.') { "" } else { "." };
            return write!(f, "{digits}{dot}E{exponent}");
        }
        if value.fract() == 0.0 { write!(f, "{value}.") } else { write!(f, "{value}") }
    }
}

/// Numbers of entities as a list of references.
pub(super) struct References<'a>(pub(super) &'a [usize]);

impl Display for References<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, number) in self.0.iter().enumerate() {
            write!(f, "{}#{number}", if i == 0 { "" } else { "," })?;
        }
        Ok(())
    }
}

/// A text between apostrophes: those inside doubled, what is not printable ASCII by its
/// code point (ISO 10303-21, clause 6.4.3).
pub(super) struct Text<'a>(pub(super) &'a str);

impl Display for Text<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_char('\'')?;
        for c in self.0.chars() {
            match c {
                '\'' => f.write_str("''")?,
                '\\' => f.write_str("\\\\")?,
                ' '..='~' => f.write_char(c)?,
                '\0'..='\u{ffff}' => write!(f, "\\X2\\{:04X}\\X0\\", u32::from(c))?,
                _ => write!(f, "\\X4\\{:08X}\\X0\\", u32::from(c))?,
            }
        }
        f.write_char('\'')
    }
}

/// `.T.` or `.F.`
pub(super) fn logical(value: bool) -> &'static str {
    if value { ".T." } else { ".F." }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reals_have_a_point_and_texts_are_ascii() {
        // Forms after ISO 10303-21, clauses 6.4.2 and 6.4.3.
        let cases =
            [(40.0, "40."), (1e-6, "1.E-6"), (-0.0, "0."), (-2.5e-7, "-2.5E-7"), (0.1, "0.1")];
        for (value, text) in cases {
            assert_eq!(Real(value).to_string(), text);
        }
        assert_eq!(Text("d'\u{e9}\\").to_string(), "'d''\\X2\\00E9\\X0\\\\\\'");
    }
}
