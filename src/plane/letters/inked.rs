//! Lettering as an outline: the centre lines of the alphabet with the width of a pen.

use super::{has, spread};
use crate::plane::{
    Combine, Corners, Edge, Ends, Outline, PlaneError, Point, Side, Track, combine, rect, stroke,
};
use std::collections::BTreeMap;

/// The heaviest pen, as a ratio of the height: beyond it the three strokes of an `e`
/// leave no white between them.
pub const HEAVIEST: f64 = 0.25;

/// The lightest pen that is a line of the alphabet and no hair, as a ratio of the height.
pub const LIGHTEST: f64 = 0.01;

/// Width of the stroke where none is asked for, as a ratio of the height. A little more
/// than the 1/10 of drawings (ISO 3098, type B; from memory), so that letters of 6 mm have
/// strokes of two lines from a common nozzle; common practice, no source.
pub const USUAL: f64 = 0.14;

/// The most letters of one lettering.
pub const MOST_LETTERS: usize = 400;

/// Width of a stencil's bridge as a ratio of the stroke's width; common practice, no
/// source.
const BRIDGE: f64 = 0.8;

/// How far a bridge reaches into the white on both sides of the stroke it cuts, as a
/// ratio of the stroke's width.
const OVERSHOOT: f64 = 0.05;

/// How lettering is drawn. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Height of the capitals from edge to edge.
    pub height_mm: f64,
    /// Width of the strokes; between [`LIGHTEST`] and [`HEAVIEST`] of the height.
    pub weight_mm: f64,
    /// Whether closed counters are opened, so that nothing falls out of a cut sheet.
    pub stencil: bool,
}

/// Why lettering could not be drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum LetterFault {
    /// The alphabet has not this letter; its place in the text, from 0.
    Missing { letter: char, place: usize },
    /// Nothing to be seen in the text.
    Blank,
    /// More than [`MOST_LETTERS`].
    TooMany { letters: usize },
    /// A counter that no bridge opens.
    Closed { at: Point },
    /// The strokes could not be put together.
    Plane(PlaneError),
}

impl From<PlaneError> for LetterFault {
    fn from(error: PlaneError) -> Self {
        LetterFault::Plane(error)
    }
}

/// One line of text. It stands on y = 0 and starts at x = 0, both measured at the edges
/// of the strokes; with its width, mm.
///
/// # Errors
/// [`LetterFault`]
pub fn inked(text: &str, style: Style) -> Result<(Outline, f64), LetterFault> {
    let letters = text.chars().count();
    if letters > MOST_LETTERS {
        return Err(LetterFault::TooMany { letters });
    }
    if let Some((place, letter)) = text.chars().enumerate().find(|(_, c)| !has(*c)) {
        return Err(LetterFault::Missing { letter, place });
    }
    let weight = style.weight_mm;
    let Ok(laid) = spread(text, style.height_mm - weight, weight) else {
        return Err(LetterFault::Blank);
    };
    if laid.letters.is_empty() {
        return Err(LetterFault::Blank);
    }
    let edge = Point::new(weight / 2.0, weight / 2.0);
    let mut drawn: BTreeMap<char, Outline> = BTreeMap::new();
    let mut apart: Vec<Outline> = Vec::new();
    for (letter, x_mm, tracks) in &laid.letters {
        let known = match drawn.get(letter) {
            Some(known) => known.clone(),
            None => drawn.entry(*letter).or_insert(glyph(tracks, weight)?).clone(),
        };
        apart.push(known.shifted(edge + Point::new(*x_mm, 0.0)));
    }
    let mut outline = merged(apart)?;
    if style.stencil {
        outline = opened(outline, weight)?;
    }
    Ok((outline, laid.width_mm + weight))
}

/// One letter: its strokes with round ends, as one region.
fn glyph(tracks: &[Track], weight: f64) -> Result<Outline, PlaneError> {
    let mut whole = Outline::default();
    for track in tracks {
        let line = stroke(track, weight, Side::Middle, Ends::Round, Corners::Round)?;
        whole = combine(Combine::Join, &whole, &line)?;
    }
    Ok(whole)
}

/// Letters side by side; only neighbours whose boxes meet are joined.
fn merged(letters: Vec<Outline>) -> Result<Outline, PlaneError> {
    let mut done: Vec<Outline> = Vec::new();
    for letter in letters {
        let mut letter = letter;
        while let Some(at) = done.iter().position(|other| boxes_meet(other, &letter)) {
            letter = combine(Combine::Join, &done.swap_remove(at), &letter)?;
        }
        done.push(letter);
    }
    done.sort_by(|a, b| left_end(a).total_cmp(&left_end(b)));
    Ok(Outline { loops: done.into_iter().flat_map(|o| o.loops).collect() })
}

fn left_end(outline: &Outline) -> f64 {
    outline.bounds().map_or(0.0, |[low, _]| low.x)
}

/// Nearer than this, letters are put together as one region, mm.
const NEAR_MM: f64 = 1e-3;

fn boxes_meet(a: &Outline, b: &Outline) -> bool {
    let (Some([a_low, a_high]), Some([b_low, b_high])) = (a.bounds(), b.bounds()) else {
        return false;
    };
    let apart = (a_low.x - b_high.x).max(b_low.x - a_high.x);
    apart.max(a_low.y - b_high.y).max(b_low.y - a_high.y) < NEAR_MM
}

/// How often what is still closed is looked at again: the white of a `©` lies round a
/// letter whose strokes the first bridges cut.
const ROUNDS: usize = 3;

/// With a bridge through every stroke that closes a counter in, above and below it, or
/// on one side where the ink is thick on the other.
fn opened(outline: Outline, weight: f64) -> Result<Outline, LetterFault> {
    let mut open = outline;
    for round in 0..ROUNDS {
        let holes: Vec<Outline> = open.loops.iter().filter_map(counter).collect();
        let mut cuts = Vec::new();
        for hole in &holes {
            cuts.extend(bridges(&open, hole, weight, round == 0)?);
        }
        for cut in cuts {
            open = combine(Combine::Less, &open, &cut)?;
        }
    }
    match open.loops.iter().find_map(counter) {
        None => Ok(open),
        Some(left) => Err(LetterFault::Closed { at: left.centroid().unwrap_or_default() }),
    }
}

/// The white inside a loop that is a hole.
fn counter(track: &Track) -> Option<Outline> {
    let hole = Outline { loops: vec![track.reversed()] };
    (hole.area() > 0.0).then_some(hole)
}

/// The ink above or below a counter, seen from `from` in its white.
struct Ink {
    from: Point,
    up: f64,
    near: f64,
    far: f64,
}

/// Bars through the ink above and below a counter: over the middle of its width at
/// first, else one from its highest or lowest point.
fn bridges(
    ink: &Outline,
    hole: &Outline,
    weight: f64,
    first: bool,
) -> Result<Vec<Outline>, PlaneError> {
    let (Some(middle), Some([low, high])) = (heart(hole), ink.bounds()) else {
        return Ok(Vec::new());
    };
    let width = weight * BRIDGE;
    let sides = [1.0, -1.0].map(|up| {
        let from = if first { middle } else { tip(hole, up) };
        // The ink may be slanted or bent: what all of three lines need.
        let runs: Vec<[f64; 2]> = [-0.5, 0.0, 0.5]
            .iter()
            .filter_map(|s| run(ink, from + Point::new(s * width, 0.0), up, high.y - low.y, weight))
            .collect();
        let near = runs.iter().map(|r| r[0]).fold(f64::MAX, f64::min);
        let far = runs.iter().map(|r| r[1]).fold(0.0, f64::max);
        (runs.len() == 3).then_some(Ink { from, up, near, far })
    });
    let mut found: Vec<Ink> = sides.into_iter().flatten().collect();
    found.sort_by(|a, b| (a.far - a.near).total_cmp(&(b.far - b.near)));
    let thick = |s: &Ink| s.far - s.near > 2.5 * weight;
    // One bridge opens a counter; a second is only for looks.
    if found.len() == 2 && (!first || thick(&found[1])) {
        found.truncate(1);
    }
    let over = OVERSHOOT * weight;
    let bar = |side: Ink| {
        let (from, to) = (side.near - over, side.far + over);
        let centre = side.from + Point::new(0.0, side.up * (from + to) / 2.0);
        Ok(rect(width, to - from, Edge::None)?.shifted(centre))
    };
    found.into_iter().map(bar).collect()
}

/// The middle of a counter's highest or lowest line.
fn tip(hole: &Outline, up: f64) -> Point {
    let points: Vec<Point> = hole.flattened(NEAR_MM).into_iter().flatten().collect();
    let end = points.iter().map(|p| p.y * up).fold(f64::MIN, f64::max);
    let level: Vec<f64> = points.iter().filter(|p| end - p.y * up < NEAR_MM).map(|p| p.x).collect();
    let left = level.iter().copied().fold(f64::MAX, f64::min);
    let right = level.iter().copied().fold(f64::MIN, f64::max);
    Point::new((left + right) / 2.0, (end - NEAR_MM) * up)
}

/// The middle of the widest white at the height of a counter's centre, which itself may
/// lie in the ink: the white of an `@` is a ring.
fn heart(hole: &Outline) -> Option<Point> {
    const STEPS: usize = 200;
    let (centre, [low, high]) = (hole.centroid()?, hole.bounds()?);
    if hole.contains(centre) {
        return Some(centre);
    }
    let at =
        |i: usize| Point::new(low.x + (high.x - low.x) * (i as f64 + 0.5) / STEPS as f64, centre.y);
    let mut best = (0, 0);
    let mut begin = None;
    for i in 0..=STEPS {
        match (begin, i < STEPS && hole.contains(at(i))) {
            (None, true) => begin = Some(i),
            (Some(from), false) => {
                if i - from > best.1 - best.0 {
                    best = (from, i);
                }
                begin = None;
            }
            _ => {}
        }
    }
    (best.1 > 0).then(|| (at(best.0) + at(best.1 - 1)) * 0.5)
}

/// Where the first ink begins and ends, seen from `from` upwards or downwards; mm from
/// there. None where there is none within `reach`.
fn run(ink: &Outline, from: Point, up: f64, reach: f64, weight: f64) -> Option<[f64; 2]> {
    // Fine enough that a bridge's overshoot covers a step.
    let step = OVERSHOOT * weight / 2.0;
    let count = (reach / step).ceil() as usize;
    let inside = |i: &usize| ink.contains(from + Point::new(0.0, up * step * *i as f64));
    let begin = (0..=count).find(inside)?;
    let end = (begin..=count + 1).find(|i| !inside(i))?;
    Some([begin as f64 * step, end as f64 * step])
}

#[cfg(test)]
#[path = "inked_tests.rs"]
mod tests;
