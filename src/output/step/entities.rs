//! Numbered entities of the exchange structure (ISO 10303-21, clause 9) and how numbers
//! and texts are written in it.

use crate::model::Vector;
use std::collections::HashMap;
use std::fmt::{self, Display, Write};

/// Entities, a line each, numbered as they come: each refers only to earlier ones.
#[derive(Debug, Default)]
pub(super) struct Entities {
    text: String,
    count: usize,
    triples: Vec<(Triple, usize)>,
    /// Nothing is ever read from it in its own order.
    known: HashMap<Triple, usize>,
    infinite: bool,
}

/// What makes two points, or two directions, the same: their numbers to the last bit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
struct Triple {
    is_point: bool,
    bits: [u64; 3],
}

impl Entities {
    /// Adds an entity and gives its number.
    pub(super) fn add(&mut self, entity: fmt::Arguments<'_>) -> usize {
        self.count += 1;
        push_reference(&mut self.text, self.count);
        // Writing to a text cannot fail.
        let _ = writeln!(self.text, "={entity};");
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

    /// Adds all entities of others under new numbers and gives these, by the number that each
    /// has there; number 0 is none. Points and directions that are here already stay so.
    pub(super) fn take(&mut self, others: &Entities) -> Vec<usize> {
        self.infinite |= others.infinite;
        self.text.reserve(others.text.len() + others.text.len() / 8);
        let mut triples = others.triples.iter().peekable();
        let mut numbers = vec![0];
        for (theirs, line) in (1..).zip(others.text.lines()) {
            if let Some((triple, _)) = triples.next_if(|(_, number)| *number == theirs) {
                if let Some(number) = self.known.get(triple) {
                    numbers.push(*number);
                    continue;
                }
                self.remember(*triple, self.count + 1);
            }
            self.count += 1;
            numbers.push(self.count);
            push_renumbered(&mut self.text, line, &numbers);
        }
        numbers
    }

    /// Whether some number had no value.
    pub(super) fn infinite(&self) -> bool {
        self.infinite
    }

    /// One line for each entity.
    pub(super) fn text(&self) -> &str {
        &self.text
    }

    fn triple(&mut self, keyword: &str, is_point: bool, [x, y, z]: Vector) -> usize {
        let triple = Triple { is_point, bits: [x, y, z].map(|c| tidy(c).to_bits()) };
        if let Some(number) = self.known.get(&triple) {
            return *number;
        }
        self.infinite |= ![x, y, z].iter().all(|c| c.is_finite());
        let entity = format_args!("{keyword}('',({},{},{}))", Real(x), Real(y), Real(z));
        let number = self.add(entity);
        self.remember(triple, number);
        number
    }

    fn remember(&mut self, triple: Triple, number: usize) {
        self.triples.push((triple, number));
        self.known.insert(triple, number);
    }
}

/// A reference as text. There are hundreds of thousands in a file, which is why this does
/// without the standard library's formatter.
fn push_reference(text: &mut String, number: usize) {
    let mut digits = [b'0'; 20];
    let mut first = digits.len();
    let mut rest = number;
    while rest > 0 || first == digits.len() {
        first -= 1;
        digits[first] = b'0' + (rest % 10) as u8;
        rest /= 10;
    }
    text.push('#');
    text.extend(digits[first..].iter().map(|digit| char::from(*digit)));
}

/// A line with every reference by its new number. No text in it holds a `#`: see [`Text`].
fn push_renumbered(text: &mut String, line: &str, numbers: &[usize]) {
    let mut pieces = line.split('#');
    text.push_str(pieces.next().unwrap_or_default());
    for piece in pieces {
        let digits = piece.bytes().take_while(u8::is_ascii_digit);
        let (length, number) =
            digits.fold((0, 0), |(length, n), d| (length + 1, 10 * n + usize::from(d - b'0')));
        push_reference(text, numbers[number]);
        text.push_str(&piece[length..]);
    }
    text.push('\n');
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
/// code point (ISO 10303-21, clause 6.4.3), and so is `#`, which leaves it to references.
pub(super) struct Text<'a>(pub(super) &'a str);

impl Display for Text<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_char('\'')?;
        for c in self.0.chars() {
            match c {
                '\'' => f.write_str("''")?,
                '\\' => f.write_str("\\\\")?,
                ' '..='"' | '$'..='~' => f.write_char(c)?,
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
        assert_eq!(Text("#7").to_string(), "'\\X2\\0023\\X0\\7'");
    }

    #[test]
    fn entities_are_taken_over_under_new_numbers() {
        let mut own = Entities::default();
        for number in 1..12 {
            own.add(format_args!("FIRST({number})"));
        }
        own.placement([0.0; 3], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]);
        let mut others = Entities::default();
        // Not the same as a direction; the same as our origin; new; the same as our z.
        others.point([0.0, 0.0, 1.0]);
        others.placement([0.0; 3], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]);
        others.add(format_args!("LAST({},#1,#5)", Text("#1")));
        let before = own.text().len();
        assert_eq!(own.take(&others), [0, 16, 12, 17, 13, 18, 19]);
        assert_eq!(
            &own.text()[before..],
            "#16=CARTESIAN_POINT('',(0.,0.,1.));\n#17=DIRECTION('',(0.,1.,0.));\n\
             #18=AXIS2_PLACEMENT_3D('',#12,#17,#13);\n#19=LAST('\\X2\\0023\\X0\\1',#16,#18);\n"
        );
        // What was taken over is known, too.
        assert_eq!(own.direction([0.0, 1.0, 0.0]), 17);
        assert_eq!(own.add(format_args!("NEXT()")), 20);
    }
}
