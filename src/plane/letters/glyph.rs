//! Letters as strokes, read from `alphabet.txt` (its head explains the notation).

use crate::plane::{Point, Segment, Stretch, Track};
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Units of the grid to the height of a capital.
pub(super) const CAPITAL: f64 = 10.0;

/// How much higher a mark sits on a capital than on a small letter.
const RISE: f64 = 3.0;

const ALPHABET: &str = include_str!("alphabet.txt");

/// Marks, in the notation of the alphabet, centred on x = 0 as on a small letter;
/// then the letters that take it and what these become.
const MARKS: [(&str, Sits, &str, &str); 12] = [
    ("-0.5,8.2 0.9,10", Sits::Above, "aeıouycnszlrAEIOUYCNSZLR", "áéíóúýćńśźĺŕÁÉÍÓÚÝĆŃŚŹĹŔ"),
    ("0.5,8.2 -0.9,10", Sits::Above, "aeıouAEIOU", "àèìòùÀÈÌÒÙ"),
    ("-1.4,8.2 0,9.9 1.4,8.2", Sits::Above, "aeıouwyAEIOUWY", "âêîôûŵŷÂÊÎÔÛŴŶ"),
    ("-1.2,8.9 -1.2,9.3 | 1.2,8.9 1.2,9.3", Sits::Above, "aeıouyAEIOUY", "äëïöüÿÄËÏÖÜŸ"),
    ("-1.8,8.6 )100:0,8.9 (100:1.8,9.2", Sits::Above, "anoANO", "ãñõÃÑÕ"),
    ("1,9 (180:-1,9 (180:1,9", Sits::Above, "auAU", "åůÅŮ"),
    ("-1.4,9.9 0,8.2 1.4,9.9", Sits::Above, "cerszngCERSZNDTG", "čěřšžňǧČĚŘŠŽŇĎŤǦ"),
    ("-1.5,9.7 (130:1.5,9.7", Sits::Above, "agAG", "ăğĂĞ"),
    ("-1.6,8.2 -0.3,10 | 0.6,8.2 1.9,10", Sits::Above, "ouOU", "őűŐŰ"),
    ("0,9 0,9.4", Sits::Above, "zegcZEGCI", "żėġċŻĖĠĊİ"),
    ("0,0 0,-0.8 )180:0,-2.4 -0.9,-2.4", Sits::Below, "csCSt", "çşÇŞţ"),
    ("0,0 (150:0.7,-2.3", Sits::Tail, "aeAE", "ąęĄĘ"),
];

/// Where a mark sits.
#[derive(Clone, Copy, PartialEq)]
enum Sits {
    /// Over the middle of the letter.
    Above,
    /// Under its middle.
    Below,
    /// Under the end of its last stroke.
    Tail,
}

/// One letter on the grid.
#[derive(Clone, Debug, Default)]
pub(super) struct Glyph {
    /// Centre lines.
    pub strokes: Vec<Track>,
    /// Free space to the left of x = 0.
    pub left: f64,
    /// From x = 0 to the right end of the letter.
    pub width: f64,
    /// Free space to the right of that.
    pub right: f64,
}

/// All letters.
pub(super) fn alphabet() -> &'static BTreeMap<char, Glyph> {
    static GLYPHS: OnceLock<BTreeMap<char, Glyph>> = OnceLock::new();
    GLYPHS.get_or_init(|| {
        let mut glyphs: BTreeMap<char, Glyph> = drawn_lines().filter_map(drawn).collect();
        for (mark, sits, bases, composed) in MARKS {
            let Some(mark) = strokes(mark) else { continue };
            for (base, letter) in bases.chars().zip(composed.chars()) {
                if let Some(glyph) = glyphs.get(&base) {
                    glyphs.insert(letter, marked(base, glyph, &mark, sits));
                }
            }
        }
        glyphs
    })
}

fn drawn_lines() -> impl Iterator<Item = &'static str> {
    // `# ` starts a comment only where no numbers follow: # itself is a letter too
    let is_letter = |line: &&str| line.split_whitespace().nth(1).is_some_and(is_number);
    ALPHABET.lines().filter(is_letter)
}

fn is_number(word: &str) -> bool {
    word.parse::<f64>().is_ok()
}

fn drawn(line: &str) -> Option<(char, Glyph)> {
    let mut chars = line.chars();
    let letter = chars.next()?;
    let (sizes, drawing) = chars.as_str().split_once(" | ")?;
    let sizes: Option<Vec<f64>> = sizes.split_whitespace().map(|w| w.parse().ok()).collect();
    let [left, width, right] = sizes?[..] else { return None };
    Some((letter, Glyph { strokes: strokes(drawing)?, left, width, right }))
}

/// Strokes in the notation of the alphabet; none where it is not followed.
fn strokes(drawing: &str) -> Option<Vec<Track>> {
    drawing.split(" | ").map(stroke).collect()
}

fn stroke(text: &str) -> Option<Track> {
    let mut words = text.split_whitespace();
    let start = point(words.next()?)?;
    let mut track = Track { start, segments: Vec::new() };
    let mut from = start;
    for word in words {
        let stretch = stretch(from, word)?;
        from = stretch.to;
        track.segments.extend(stretch.halves().into_iter().map(|half| Segment {
            to: half.to,
            curve: half.curve,
            face: None,
        }));
    }
    (!track.segments.is_empty()).then_some(track)
}

fn point(word: &str) -> Option<Point> {
    let (x, y) = word.split_once(',')?;
    Some(Point::new(x.parse().ok()?, y.parse().ok()?))
}

fn stretch(from: Point, word: &str) -> Option<Stretch> {
    let (left, rest) = match word.strip_prefix('(') {
        Some(rest) => (true, rest),
        None => match word.strip_prefix(')') {
            Some(rest) => (false, rest),
            None => return Some(Stretch::line(from, point(word)?)),
        },
    };
    let (degrees, place) = match rest.split_once(':') {
        Some((degrees, place)) => (degrees.parse::<f64>().ok()?, place),
        None => (90.0, rest),
    };
    let to = point(place)?;
    // The centre of a chord c that spans the angle a lies c / 2 / tan(a / 2) beside
    // its middle, on the side to which the arc turns.
    let chord = to - from;
    let aside = chord.left() * (0.5 / (degrees.to_radians() / 2.0).tan());
    let centre = (from + to) * 0.5 + if left { aside } else { -aside };
    Some(Stretch::arc(from, to, centre, left))
}

fn marked(base: char, glyph: &Glyph, mark: &[Track], sits: Sits) -> Glyph {
    let middle = match sits {
        Sits::Tail => glyph.strokes.last().map_or(0.0, |s| end(s).x),
        // The stem of an l or L, not the middle of its foot, is what the eye sees.
        _ if matches!(base, 'l' | 'L') => 0.7,
        _ => glyph.width / 2.0,
    };
    let tall = base.is_uppercase() || base == 'l';
    let up = if sits == Sits::Above && tall { RISE } else { 0.0 };
    let mut strokes = glyph.strokes.clone();
    strokes.extend(mark.iter().map(|s| shifted(s, Point::new(middle, up))));
    // A mark wider than its letter keeps off the neighbours.
    let room = mark_reach(mark) + MARK_ROOM;
    let (left, right) = (room - middle, room - (glyph.width - middle));
    Glyph { strokes, left: glyph.left.max(left), right: glyph.right.max(right), ..*glyph }
}

/// Free space beside a mark.
const MARK_ROOM: f64 = 0.7;

fn mark_reach(mark: &[Track]) -> f64 {
    let boxes = mark.iter().flat_map(Track::stretches).map(|s| s.bounds());
    boxes.map(|[low, high]| high.x.max(-low.x)).fold(0.0, f64::max)
}

fn end(track: &Track) -> Point {
    track.segments.last().map_or(track.start, |s| s.to)
}

fn shifted(track: &Track, by: Point) -> Track {
    placed(track, 1.0, by)
}

/// A stroke made larger, then moved.
pub(super) fn placed(track: &Track, scale: f64, by: Point) -> Track {
    use crate::plane::Curve;
    let map = |p: Point| p * scale + by;
    let segments = track.segments.iter().map(|s| {
        let curve = match s.curve {
            Curve::Line => Curve::Line,
            Curve::Arc { centre, anticlockwise } => {
                Curve::Arc { centre: map(centre), anticlockwise }
            }
        };
        Segment { to: map(s.to), curve, face: None }
    });
    Track { start: map(track.start), segments: segments.collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_and_every_mark_is_read() {
        let lines: Vec<_> = ALPHABET.lines().filter(|l| l.contains(" | ")).collect();
        // the explanation at the head has one such line
        assert_eq!(drawn_lines().count(), lines.len() - 1);
        for line in drawn_lines() {
            assert!(drawn(line).is_some(), "{line}");
        }
        for (mark, _, bases, composed) in MARKS {
            assert!(strokes(mark).is_some(), "{mark}");
            assert_eq!(bases.chars().count(), composed.chars().count(), "{bases} {composed}");
            for letter in bases.chars().chain(composed.chars()) {
                assert!(alphabet().contains_key(&letter), "{letter}");
            }
        }
    }

    /// Arcs are written by their ends and their turning: where a stroke goes on
    /// smoothly by design, a wrong number would show as a corner.
    #[test]
    fn round_letters_are_smooth() {
        for letter in "CGJOQSUacegosu0235689?".chars() {
            let stroke = &alphabet()[&letter].strokes[0];
            let stretches: Vec<_> = stroke.stretches().collect();
            for pair in stretches.windows(2) {
                if pair.iter().all(|s| s.radius().is_some()) {
                    let corner = pair[0].direction(1.0).dot(pair[1].direction(0.0));
                    // 3 has its cusp, by design
                    assert!(corner > 0.9995 || letter == '3' || corner < -0.9, "{letter} {corner}");
                }
            }
        }
    }

    #[test]
    fn letters_stay_in_their_box() {
        for (letter, glyph) in alphabet() {
            for stretch in glyph.strokes.iter().flat_map(Track::stretches) {
                let [low, high] = stretch.bounds();
                assert!(low.y >= -3.01 && high.y <= 13.01, "{letter}: {low:?} {high:?}");
                assert!(low.x >= -glyph.left - 0.5, "{letter}: {low:?}");
                assert!(high.x <= glyph.width + glyph.right + 0.5, "{letter}: {high:?}");
            }
        }
    }
}
