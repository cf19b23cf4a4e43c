//! Lettering: texts as centre lines, in a single-stroke alphabet of our own.
//!
//! Drawings are written with it, so that they look alike wherever they are opened, and so
//! is lettering on parts: the same lines with the width of a pen.

mod glyph;
mod inked;

use super::{Point, Track};
use glyph::{CAPITAL, Glyph, alphabet, placed};
pub use inked::{HEAVIEST, LIGHTEST, LetterFault, MOST_LETTERS, Style, USUAL, inked};

/// Space between words, in grid units: 6/10 of the height (ISO 3098, from memory).
const WORD_SPACE: f64 = 6.0;

/// Pairs that would stand too far apart: any of the first before any of the second,
/// and by how much they move together, in grid units. Marked letters go with their
/// plain ones only where listed.
const KERNS: [(&str, &str, f64); 10] = [
    ("A", "TVWY", 1.5),
    ("TVWY", "A", 1.5),
    ("FP", "A", 1.4),
    ("LŁ", "TVWYy", 1.3),
    ("R", "TVWY", 0.4),
    ("TVWYF", "acdegoqsäöåáàéèóòôâêæœø", 1.1),
    ("TVWYF", "mnpruvwxyzü", 0.8),
    ("TVWYFPvwyr", ".,…„", 1.4),
    ("k", "acdegoqäöåáàéèóòô", 0.4),
    ("r", "acdegoqäöåáàéèóòô", 0.3),
];

/// A text as centre lines. It stands on y = 0 and starts at x = 0.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lettering {
    /// Centre lines, mm.
    pub tracks: Vec<Track>,
    /// From the left end of the first letter to the right end of the last, mm.
    pub width_mm: f64,
}

/// A letter that the alphabet has not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MissingLetter {
    /// Which.
    pub letter: char,
}

/// Whether the alphabet has this letter.
pub fn has(letter: char) -> bool {
    letter == ' ' || letter == '\u{a0}' || alphabet().contains_key(&letter)
}

/// Every letter that shows something.
#[cfg(test)]
fn alphabet_letters() -> Vec<char> {
    alphabet().keys().copied().collect()
}

/// Width of the lines for which the free space beside the letters is drawn, in grid
/// units: 1/10 of the height (ISO 3098, type B; from memory).
const FINE: f64 = 1.0;

/// A text letter by letter.
struct Spread {
    /// Every letter that shows something, where it starts (mm), and its lines as if it
    /// started at 0.
    letters: Vec<(char, f64, Vec<Track>)>,
    width_mm: f64,
}

/// One line of text with capitals `height_mm` high, measured at the centre lines.
///
/// # Errors
/// A letter that the alphabet has not; line ends and tabs are such letters.
pub fn layout(text: &str, height_mm: f64) -> Result<Lettering, MissingLetter> {
    let spread = spread(text, height_mm, 0.0)?;
    let moved = |(_, x_mm, tracks): (char, f64, Vec<Track>)| {
        let by = Point::new(x_mm, 0.0);
        tracks.into_iter().map(move |track| placed(&track, 1.0, by))
    };
    let tracks = spread.letters.into_iter().flat_map(moved).collect();
    Ok(Lettering { tracks, width_mm: spread.width_mm })
}

/// The letters of a text. Strokes heavier than [`FINE`] push them apart by as much.
fn spread(text: &str, height_mm: f64, weight_mm: f64) -> Result<Spread, MissingLetter> {
    let scale = height_mm / CAPITAL;
    let wider = (weight_mm / scale - FINE).max(0.0);
    let mut laid = Spread { letters: Vec::new(), width_mm: 0.0 };
    let mut pen = 0.0;
    let mut before: Option<(char, &Glyph)> = None;
    for letter in text.chars() {
        if letter == ' ' || letter == '\u{a0}' {
            pen += WORD_SPACE - before.map_or(0.0, |(_, g)| g.right);
            before = None;
            continue;
        }
        let Some(glyph) = alphabet().get(&letter) else { return Err(MissingLetter { letter }) };
        pen += match before {
            Some((left, _)) => glyph.left + wider - kern(left, letter),
            None => 0.0,
        };
        let tracks = glyph.strokes.iter().map(|s| placed(s, scale, Point::default()));
        laid.letters.push((letter, pen * scale, tracks.collect()));
        laid.width_mm = (pen + glyph.width) * scale;
        pen += glyph.width + glyph.right;
        before = Some((letter, glyph));
    }
    Ok(laid)
}

fn kern(left: char, right: char) -> f64 {
    let pair = KERNS.iter().find(|(l, r, _)| l.contains(left) && r.contains(right));
    pair.map_or(0.0, |(_, _, by)| *by)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_promised_letters_are_there() {
        let accented = "áàâäãåçéèêëíìîïñóòôöõøúùûüýÿßæœłšžčćńęą";
        let all = (' '..='~').chain("°×±µØ–".chars());
        // Latin-1 Supplement (ISO/IEC 8859-1), all of it that shows something.
        let all = all.chain(('\u{a1}'..='\u{ff}').filter(|c| *c != '\u{ad}'));
        let all = all.chain(accented.chars());
        // ß has no capital of its own in most texts
        let capitals = accented.replace('ß', "").to_uppercase();
        for letter in all.chain(capitals.chars()) {
            assert!(has(letter), "{letter} {:?}", letter as u32);
            assert!(layout(&letter.to_string(), 1.0).is_ok());
        }
        assert_eq!(layout("a\nb", 3.5), Err(MissingLetter { letter: '\n' }));
        assert_eq!(layout("漢", 3.5), Err(MissingLetter { letter: '漢' }));
    }

    #[test]
    fn heights_are_as_asked() {
        let top = |text: &str| {
            let laid = layout(text, 3.5).unwrap();
            let tops = laid.tracks.iter().flat_map(Track::stretches).map(|s| s.bounds()[1].y);
            tops.fold(f64::MIN, f64::max)
        };
        for text in ["H", "O", "S", "7", "l"] {
            assert!((top(text) - 3.5).abs() < 1e-3, "{text} {}", top(text));
        }
        // 7/10 h (ISO 3098, from memory)
        for text in ["x", "o", "s"] {
            assert!((top(text) - 2.45).abs() < 1e-3, "{text} {}", top(text));
        }
        assert_eq!(layout("", 3.5).unwrap(), Lettering::default());
        assert_eq!(layout("  ", 3.5).unwrap().width_mm, 0.0);
    }

    #[test]
    fn widths_scale_and_digits_stand_in_columns() {
        let width = |text: &str, h: f64| layout(text, h).unwrap().width_mm;
        assert!((width("Pipkin", 7.0) - 2.0 * width("Pipkin", 3.5)).abs() < 1e-12);
        let ones = width("1111", 10.0) - width("11", 10.0);
        let eights = width("8888", 10.0) - width("88", 10.0);
        assert!((ones - eights).abs() < 1e-12);
        assert!(width("AV", 10.0) < width("AN", 10.0));
    }
}
