//! Sum, difference, intersection; growing and shrinking.

use super::arrange::{Input, arrange};
use super::error::PlaneError;
use super::outline::Outline;
use super::stroke::{Corners, bands};

/// What to make of two outlines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Combine {
    /// What lies in either.
    Join,
    /// What lies in the first and not in the second.
    Less,
    /// What lies in both.
    Meet,
}

/// Join, less or meet of two outlines. Lines and arcs stay what they are and keep
/// their faces; where both run together, the first one's face counts. The result is
/// in normal form: every loop starts at its leftmost corner, loops sorted by it.
///
/// # Errors
/// Curves that hug each other so closely that inside and outside cannot be told.
pub fn combine(how: Combine, a: &Outline, b: &Outline) -> Result<Outline, PlaneError> {
    let mut inputs = Input::outline(a, 0);
    inputs.extend(Input::outline(b, 1));
    arrange(&inputs, |[a, b]| match how {
        Combine::Join => a > 0 || b > 0,
        Combine::Less => a > 0 && b <= 0,
        Combine::Meet => a > 0 && b > 0,
    })
}

/// The outline with every side moved outwards by `by_mm`, inwards where below 0.
/// Arcs stay arcs; sides keep their faces. What is too narrow vanishes.
///
/// # Errors
/// As [`combine`]; corners too sharp for a mitre.
pub fn grown(outline: &Outline, by_mm: f64, corners: Corners) -> Result<Outline, PlaneError> {
    let mut inputs = Input::outline(outline, 0);
    if by_mm != 0.0 {
        for track in &outline.loops {
            inputs.extend(bands(track, [by_mm.abs(); 2], corners)?);
        }
    }
    arrange(
        &inputs,
        |[own, band]| if by_mm > 0.0 { own > 0 || band > 0 } else { own > 0 && band <= 0 },
    )
}

#[cfg(test)]
#[path = "combine_tests.rs"]
mod tests;
