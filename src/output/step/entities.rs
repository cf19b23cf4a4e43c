//! Numbered entities of the exchange structure (ISO 10303-21, clause 9) and how numbers
//! and texts are written in it.

use crate::model::Vector;
use rustc_hash::FxHashMap;
use std::collections::hash_map::Entry;
use std::fmt::{self, Display, Write};

/// The entities of a body, or those that bodies share, by numbers of their own from nought: each
/// refers only to earlier ones. Their text has a `#` wherever a reference will stand, so that
/// it is made once for all files in which they get other numbers.
#[derive(Debug, Default)]
pub(super) struct Entities {
    text: String,
    /// Where the text of each ends.
    ends: Vec<usize>,
    /// Where a reference stands in the text, and to which.
    slots: Vec<(usize, usize)>,
    /// Which are points or directions.
    triples: Vec<(usize, Triple)>,
    known: FxHashMap<Triple, usize>,
    infinite: bool,
}

/// What makes two points, or two directions, the same: their numbers to the last bit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
struct Triple {
    is_point: bool,
    bits: [u64; 3],
}

impl Entities {
    /// Adds an entity with a `#` for each reference, and gives its number.
    pub(super) fn add(&mut self, entity: fmt::Arguments<'_>, references: &[usize]) -> usize {
        let start = self.text.len();
        // Writing to a text cannot fail.
        let _ = self.text.write_fmt(entity);
        // Most entities are points, which refer to nothing.
        if !references.is_empty() {
            let marks = self.text[start..].match_indices('#').map(|(at, _)| start + at);
            self.slots.extend(marks.zip(references.iter().copied()));
        }
        self.ends.push(self.text.len());
        self.ends.len() - 1
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
        let axes = [self.point(origin), self.direction(z), self.direction(x)];
        self.add(format_args!("AXIS2_PLACEMENT_3D('',#,#,#)"), &axes)
    }

    /// Whether some number had no value.
    pub(super) fn infinite(&self) -> bool {
        self.infinite
    }

    fn triple(&mut self, keyword: &str, is_point: bool, [x, y, z]: Vector) -> usize {
        let triple = Triple { is_point, bits: [x, y, z].map(|c| tidy(c).to_bits()) };
        if let Some(number) = self.known.get(&triple) {
            return *number;
        }
        self.infinite |= ![x, y, z].iter().all(|c| c.is_finite());
        let entity = format_args!("{keyword}('',({},{},{}))", Real(x), Real(y), Real(z));
        let number = self.add(entity, &[]);
        self.triples.push((number, triple));
        self.known.insert(triple, number);
        number
    }
}

/// A file up to its data: a line for each entity, numbered as they come.
#[derive(Debug)]
pub(super) struct Section {
    text: Vec<u8>,
    count: usize,
    known: FxHashMap<Triple, usize>,
}

impl Section {
    /// A file of which only the header is there.
    pub(super) fn after(header: &str) -> Self {
        Section { text: header.as_bytes().to_vec(), count: 0, known: FxHashMap::default() }
    }

    /// Adds all entities of a body and gives their numbers in this file, by those of
    /// their own. Points and directions that are here already are not written again.
    pub(super) fn take(&mut self, own: &Entities) -> Vec<usize> {
        self.text.reserve(own.text.len() * 2);
        let mut numbers = Vec::with_capacity(own.ends.len());
        let mut triples = own.triples.iter().peekable();
        let mut slots = own.slots.iter().peekable();
        let text = own.text.as_bytes();
        let mut from = 0;
        for (number, end) in own.ends.iter().enumerate() {
            if let Some((_, triple)) = triples.next_if(|(which, _)| *which == number) {
                match self.known.entry(*triple) {
                    Entry::Occupied(known) => {
                        numbers.push(*known.get());
                        from = *end;
                        continue;
                    }
                    Entry::Vacant(place) => place.insert(self.count + 1),
                };
            }
            numbers.push(self.begin());
            while let Some((at, reference)) = slots.next_if(|(at, _)| at < end) {
                self.text.extend_from_slice(&text[from..*at]);
                push_reference(&mut self.text, numbers[*reference]);
                from = at + 1;
            }
            self.text.extend_from_slice(&text[from..*end]);
            self.text.extend_from_slice(b";\n");
            from = *end;
        }
        numbers
    }

    /// Adds an entity with a `#` for each reference, here numbers of this file.
    pub(super) fn add(&mut self, entity: fmt::Arguments<'_>, references: &[usize]) -> usize {
        let number = self.begin();
        let text = entity.to_string();
        let mut pieces = text.split('#');
        self.text.extend_from_slice(pieces.next().unwrap_or_default().as_bytes());
        for (piece, reference) in pieces.zip(references) {
            push_reference(&mut self.text, *reference);
            self.text.extend_from_slice(piece.as_bytes());
        }
        self.text.extend_from_slice(b";\n");
        number
    }

    /// The whole file.
    pub(super) fn ended(mut self) -> Vec<u8> {
        self.text.extend_from_slice(b"ENDSEC;\nEND-ISO-10303-21;\n");
        self.text
    }

    fn begin(&mut self) -> usize {
        self.count += 1;
        push_reference(&mut self.text, self.count);
        self.text.push(b'=');
        self.count
    }
}

fn push_reference(text: &mut Vec<u8>, number: usize) {
    text.push(b'#');
    text.extend_from_slice(itoa::Buffer::new().format(number).as_bytes());
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
        let mut buffer = zmij::Buffer::new();
        let text = buffer.format(value);
        f.write_str(text.strip_suffix('0').filter(|all| all.ends_with('.')).unwrap_or(text))
    }
}

/// Room for so many references in a row.
pub(super) struct Slots(pub(super) usize);

impl Display for Slots {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        (0..self.0).try_for_each(|i| f.write_str(if i == 0 { "#" } else { ",#" }))
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
        // Where small and large numbers change their form.
        let turns =
            [(1e-5, "0.00001"), (1.5e-5, "0.000015"), (-123456789012345.5, "-123456789012345.5")];
        for (value, text) in turns {
            assert_eq!(Real(value).to_string(), text);
        }
        assert_eq!(Text("d'\u{e9}\\").to_string(), "'d''\\X2\\00E9\\X0\\\\\\'");
        assert_eq!(Text("#7").to_string(), "'\\X2\\0023\\X0\\7'");
    }

    #[test]
    fn entities_are_taken_into_a_file_under_its_numbers() {
        let mut file = Section::after("");
        for number in 1..12 {
            file.add(format_args!("FIRST({number})"), &[]);
        }
        let mut shared = Entities::default();
        shared.placement([0.0; 3], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]);
        assert_eq!(file.take(&shared), [12, 13, 14, 15]);
        let mut body = Entities::default();
        // Not the same as a direction; the same as the shared origin; new; the same as its z.
        let point = body.point([0.0, 0.0, 1.0]);
        let axes = body.placement([0.0; 3], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]);
        body.add(format_args!("LAST({},#,({}))", Text("#1"), Slots(2)), &[point, axes, axes]);
        let before = file.text.len();
        assert_eq!(file.take(&body), [16, 12, 17, 13, 18, 19]);
        file.add(format_args!("NEXT(#,#)"), &[19, 7]);
        let text = String::from_utf8(file.ended()).expect("a text");
        assert_eq!(
            &text[before..],
            "#16=CARTESIAN_POINT('',(0.,0.,1.));\n#17=DIRECTION('',(0.,1.,0.));\n\
             #18=AXIS2_PLACEMENT_3D('',#12,#17,#13);\n\
             #19=LAST('\\X2\\0023\\X0\\1',#16,(#18,#18));\n#20=NEXT(#19,#7);\n\
             ENDSEC;\nEND-ISO-10303-21;\n"
        );
    }
}
