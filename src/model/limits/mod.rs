//! Limits and fits by name, ISO 286-1: `H11/c11` at a size gives the limits of hole and
//! shaft. In: a name and a nominal size in mm. Out: limits in mm. Kept out: whether a
//! printer can hold them.

mod table;

use crate::quantity::decimals;
use std::fmt;
use table::{FINE, FINE_STEPS_MM, GRADES, MAIN, STEPS_MM};

/// µm in a mm.
const UM: f64 = 1e-3;

/// The largest nominal size of the table, mm.
const LARGEST_MM: f64 = 500.0;

/// Letters of shafts whose deviations are in the tables.
const LETTERS: [&str; 15] =
    ["a", "b", "c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s"];

/// Why a fit has no limits.
#[derive(Clone, Debug, PartialEq)]
pub enum LimitsError {
    /// Not the name of a fit.
    Name(String),
    /// A letter or grade that the tables do not have.
    Class(String),
    /// A nominal size outside the tables, mm.
    Size(f64),
}

impl fmt::Display for LimitsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LimitsError::Name(text) => {
                write!(f, "`{text}` is not a fit: a hole and a shaft, as in H11/c11")
            }
            LimitsError::Class(text) => {
                write!(f, "the tables of ISO 286-1 kept here have no `{text}`")
            }
            LimitsError::Size(size) => write!(
                f,
                "the tables of ISO 286-1 end at {LARGEST_MM} mm, this is {} mm",
                decimals(*size, 3)
            ),
        }
    }
}

/// A letter and a grade: `c11`, `H7`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Class {
    /// The letter of the shaft, in lower case.
    letter: &'static str,
    /// From 1 to 18.
    grade: u8,
}

/// A hole and the shaft that goes into it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FitName {
    /// As written: `H11/c11`.
    pub text: String,
    hole: Class,
    shaft: Class,
}

/// Limits of a fit at a nominal size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FitLimits {
    /// The nominal size, mm.
    pub basic_mm: f64,
    /// Least and greatest size of the hole, mm.
    pub hole_mm: [f64; 2],
    /// Least and greatest size of the shaft, mm.
    pub shaft_mm: [f64; 2],
}

impl FitLimits {
    /// Least and greatest clearance, across, mm; below 0 it is interference.
    pub fn clearance_mm(&self) -> [f64; 2] {
        [self.hole_mm[0] - self.shaft_mm[1], self.hole_mm[1] - self.shaft_mm[0]]
    }

    /// The gap per side in the middle of the limits, mm: what is drawn.
    pub fn gap_mm(&self) -> f64 {
        let [least, most] = self.clearance_mm();
        (least + most) / 4.0
    }

    /// The narrower of the two tolerances, mm.
    pub fn narrowest_mm(&self) -> f64 {
        (self.hole_mm[1] - self.hole_mm[0]).min(self.shaft_mm[1] - self.shaft_mm[0])
    }
}

/// The standard tolerance of a grade (1 to 18) at a nominal size, mm.
///
/// # Errors
/// When the grade or the size is outside the table.
pub fn grade_mm(grade: u8, size_mm: f64) -> Result<f64, LimitsError> {
    let row = usize::from(grade).checked_sub(1).and_then(|index| GRADES.get(index));
    let Some(row) = row else { return Err(LimitsError::Class(format!("IT{grade}"))) };
    Ok(row[step(&STEPS_MM, size_mm)?] * UM)
}

/// The step in which a nominal size lies.
fn step(ends: &[f64], size_mm: f64) -> Result<usize, LimitsError> {
    let found = ends.iter().position(|end| size_mm <= *end).filter(|_| size_mm > 0.0);
    found.ok_or(LimitsError::Size(size_mm))
}

impl FitName {
    /// A fit by its name: a hole in capitals, a shaft in small letters.
    ///
    /// # Errors
    /// When it is no such name.
    pub fn parse(text: &str) -> Result<Self, LimitsError> {
        let wrong = || LimitsError::Name(text.to_string());
        let (hole, shaft) = text.split_once('/').ok_or_else(wrong)?;
        let capitals = hole.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit());
        let small = shaft.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit());
        if !capitals || !small {
            return Err(wrong());
        }
        let (hole, shaft) = (Class::parse(hole), Class::parse(shaft));
        Ok(FitName { text: text.to_string(), hole: hole?, shaft: shaft? })
    }

    /// Its limits at a nominal size.
    ///
    /// # Errors
    /// When the size is outside the tables, or a letter is not tabled for the grade.
    pub fn limits(&self, basic_mm: f64) -> Result<FitLimits, LimitsError> {
        let sizes = |deviations: [f64; 2]| deviations.map(|d| basic_mm + d * UM);
        Ok(FitLimits {
            basic_mm,
            hole_mm: sizes(self.hole.hole_um(basic_mm)?),
            shaft_mm: sizes(self.shaft.shaft_um(basic_mm)?),
        })
    }
}

impl Class {
    fn parse(text: &str) -> Result<Self, LimitsError> {
        let wrong = || LimitsError::Class(text.to_string());
        let digits = text.find(|c: char| c.is_ascii_digit()).ok_or_else(wrong)?;
        let (letter, grade) = text.split_at(digits);
        let letter = letter.to_ascii_lowercase();
        let letter = LETTERS.iter().find(|known| **known == letter).ok_or_else(wrong)?;
        let grade: u8 = grade.parse().map_err(|_| wrong())?;
        if !(1..=18).contains(&grade) {
            return Err(wrong());
        }
        Ok(Class { letter, grade })
    }

    fn grade_um(&self, size_mm: f64) -> Result<f64, LimitsError> {
        Ok(grade_mm(self.grade, size_mm)? / UM)
    }

    /// The fundamental deviation of a shaft of this letter, µm.
    fn tabled_um(&self, size_mm: f64) -> Result<f64, LimitsError> {
        if let Some((_, row)) = MAIN.iter().find(|(letter, _)| *letter == self.letter) {
            return Ok(row[step(&STEPS_MM, size_mm)?]);
        }
        let missing = || LimitsError::Class(self.letter.to_string());
        let (_, row) = FINE.iter().find(|(l, _)| *l == self.letter).ok_or_else(missing)?;
        // Letters a and b are for no grade at sizes up to 1 mm.
        if matches!(self.letter, "a" | "b") && size_mm <= 1.0 {
            return Err(missing());
        }
        Ok(row[step(&FINE_STEPS_MM, size_mm)?])
    }

    /// Lower and upper deviation of a shaft, µm.
    fn shaft_um(&self, size_mm: f64) -> Result<[f64; 2], LimitsError> {
        let width = self.grade_um(size_mm)?;
        Ok(match self.letter {
            "js" => [-width / 2.0, width / 2.0],
            "a" | "b" | "c" | "d" | "e" | "f" | "g" | "h" => {
                let upper = self.tabled_um(size_mm)?;
                [upper - width, upper]
            }
            // k is 0 but for grades 4 to 7.
            "k" if !(4..=7).contains(&self.grade) => [0.0, width],
            _ => {
                let lower = self.tabled_um(size_mm)?;
                [lower, lower + width]
            }
        })
    }

    /// Lower and upper deviation of a hole, µm, by the general rule: A to H mirror the
    /// shaft; K to N up to grade 8 and P to S up to grade 7 do so but for the difference
    /// of their grade to the next finer one, at sizes above 3 mm. The rule's exceptions:
    /// N is 0 above grade 8, M6 is 2 µm less from 250 to 315 mm.
    fn hole_um(&self, size_mm: f64) -> Result<[f64; 2], LimitsError> {
        let width = self.grade_um(size_mm)?;
        match self.letter {
            "js" => return Ok([-width / 2.0, width / 2.0]),
            "a" | "b" | "c" | "d" | "e" | "f" | "g" | "h" => {
                let lower = -self.tabled_um(size_mm)?;
                return Ok([lower, lower + width]);
            }
            _ => {}
        }
        let above_three = size_mm > STEPS_MM[0];
        let finest = if matches!(self.letter, "k" | "m" | "n") { 8 } else { 7 };
        let upper = match (self.letter, self.grade) {
            ("n", 9..) if above_three => 0.0,
            ("k", 9..) if above_three => {
                return Err(LimitsError::Class(format!("K{}", self.grade)));
            }
            ("m", 6) if size_mm > 250.0 && size_mm <= 315.0 => -9.0,
            (_, 3..) if above_three && self.grade <= finest => {
                let finer = grade_mm(self.grade - 1, size_mm)? / UM;
                width - finer - self.tabled_um(size_mm)?
            }
            _ => -self.tabled_um(size_mm)?,
        };
        Ok([upper - width, upper])
    }
}
