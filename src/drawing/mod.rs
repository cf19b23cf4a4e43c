//! Drawings: SVG files (W3C, Scalable Vector Graphics 1.1) as outlines.
//!
//! In: the text of the file. Out: one [`Outline`] in mm, all that is painted, the middle
//! of the sheet at the origin, y upwards. Kept out: reading files, findings, colours. What
//! cannot be an outline (texts, pictures, filters, …) is a fault with its place; nothing is
//! left out in silence but what the standard does not paint.

mod bends;
mod elements;
mod numbers;
mod path;
mod shapes;
mod sheet;
mod style;

use crate::plane::{Combine, Outline, combine};
use elements::Walk;
use std::ops::Range;

/// How far the chords of curves that are no arcs may leave them, mm: well below what a
/// printer shows.
pub const DRAWN_SAGITTA_MM: f64 = 0.005;

/// The most elements of one file.
const MOST_ELEMENTS: u32 = 20_000;

/// The deepest nesting of groups.
const DEEPEST: usize = 64;

/// The most lines and arcs that one drawing gives.
const MOST_STRETCHES: usize = 20_000;

/// Farther from the middle than this nothing is drawn, mm: a thousand times any bed.
const FARTHEST_MM: f64 = 1e6;

/// What is the matter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// An element or a property that cannot be an outline.
    Unusable,
    /// It does not follow the standard.
    Malformed,
    /// More than any drawing needs.
    TooMuch,
    /// It paints nothing.
    Blank,
}

/// Why a drawing cannot be used.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Of which kind.
    pub kind: Kind,
    /// In words, for a message.
    pub what: String,
    /// Its bytes in the file.
    pub at: Range<usize>,
    /// What to do, in words.
    pub help: &'static str,
}

impl Fault {
    fn new(kind: Kind, what: impl Into<String>, at: Range<usize>) -> Self {
        let help = match kind {
            Kind::Unusable => "draw it as a path, or take it out of the file",
            Kind::Malformed => "save the file anew as plain SVG",
            Kind::TooMuch => "simplify the drawing",
            Kind::Blank => "give it something with a fill or a stroke",
        };
        Fault { kind, what: what.into(), at, help }
    }
}

/// The outline of everything that an SVG file paints.
///
/// # Errors
/// The first [`Fault`] in the order of the file.
pub fn read(text: &str) -> Result<Outline, Fault> {
    let options = roxmltree::ParsingOptions {
        // Entities could blow up, and no drawing needs them.
        allow_dtd: false,
        nodes_limit: MOST_ELEMENTS * 4,
        ..Default::default()
    };
    let document = roxmltree::Document::parse_with_options(text, options)
        .map_err(|error| unreadable(text, &error))?;
    let root = document.root_element();
    let sheet = sheet::of(root)?;
    let mut walk = Walk::default();
    walk.root(root, sheet.matrix)?;
    let mut whole = Outline::default();
    for (outline, at) in gathered(walk.painted) {
        whole = combine(Combine::Join, &whole, &outline).map_err(|e| elements::tangled(&e, at))?;
    }
    let Some([low, high]) = whole.bounds() else {
        let what = "the drawing paints nothing";
        return Err(Fault::new(Kind::Blank, what, elements::tag(root)));
    };
    let middle = sheet.middle_mm.unwrap_or((low + high) * 0.5);
    Ok(whole.shifted(-middle))
}

/// Pairs joined to pairs, so that a drawing of many elements is not walked through for
/// each of them.
fn gathered(mut painted: Vec<(Outline, Range<usize>)>) -> Vec<(Outline, Range<usize>)> {
    while painted.len() > 1 {
        let mut next = Vec::with_capacity(painted.len().div_ceil(2));
        let mut pairs = painted.chunks_exact(2);
        for pair in &mut pairs {
            let [(a, at), (b, _)] = pair else { continue };
            match combine(Combine::Join, a, b) {
                Ok(both) => next.push((both, at.clone())),
                // Told where they are put together in the end.
                Err(_) => return painted,
            }
        }
        next.extend(pairs.remainder().iter().cloned());
        painted = next;
    }
    painted
}

fn unreadable(text: &str, error: &roxmltree::Error) -> Fault {
    let place = error.pos();
    let line = text.split_inclusive('\n').take(place.row.saturating_sub(1) as usize);
    let start = line.map(str::len).sum::<usize>();
    let row = text.get(start..).unwrap_or("").lines().next().unwrap_or("");
    let column = row.char_indices().nth(place.col.saturating_sub(1) as usize);
    let from = start + column.map_or(row.len(), |(at, _)| at);
    let to = from + text.get(from..).and_then(|t| t.chars().next()).map_or(0, char::len_utf8);
    let (kind, what) = match error {
        roxmltree::Error::DtdDetected => (
            Kind::Unusable,
            "the drawing begins with a document type, which could define entities".to_string(),
        ),
        roxmltree::Error::NodesLimitReached => {
            (Kind::TooMuch, format!("a drawing has at most {MOST_ELEMENTS} elements"))
        }
        _ => (Kind::Malformed, format!("the drawing is no well-formed XML: {error}")),
    };
    let mut fault = Fault::new(kind, what, from..to);
    if matches!(error, roxmltree::Error::DtdDetected) {
        fault.help = "delete the line <!DOCTYPE …>; SVG needs none";
    }
    fault
}

#[cfg(test)]
mod tests;
