use super::*;
use crate::plane::letters::{alphabet_letters, layout};

fn style(height_mm: f64, weight_mm: f64) -> Style {
    Style { height_mm, weight_mm, stencil: false }
}

fn holes(outline: &Outline) -> usize {
    outline.loops.iter().filter_map(counter).count()
}

/// Areas of capsules and rings (elementary: length times width plus a disc for the two
/// round ends; pi (R2 - r2)).
#[test]
fn strokes_have_their_width() {
    let pi = std::f64::consts::PI;
    let (bar, width) = inked("I", style(10.0, 1.0)).unwrap();
    assert!((bar.area() - (9.0 + pi / 4.0)).abs() < 1e-9, "{}", bar.area());
    assert!((width - 1.0).abs() < 1e-12);
    let [low, high] = bar.bounds().unwrap();
    assert!(low.y.abs() < 1e-9 && (high.y - 10.0).abs() < 1e-9, "{low:?} {high:?}");
    // ° is a circle of 3 units across, 1 unit being 9/10 mm here.
    let (ring, _) = inked("°", style(10.0, 1.0)).unwrap();
    let radius = 1.35;
    let wants = pi * ((radius + 0.5f64).powi(2) - (radius - 0.5f64).powi(2));
    assert!((ring.area() - wants).abs() < 1e-9, "{} {wants}", ring.area());
    assert_eq!(holes(&ring), 1);
}

/// Every letter at every weight is drawn, covers what lies within half the weight of its
/// lines and nothing else: sampled, with distances to the lines as judge.
#[test]
fn every_letter_is_what_lies_near_its_lines() {
    for letter in alphabet_letters() {
        for weight in [0.02, 0.1, 0.14, 0.2, 0.25] {
            let text = letter.to_string();
            let (outline, _) = inked(&text, style(1.0, weight)).unwrap_or_else(|e| {
                panic!("{letter} {weight}: {e:?}");
            });
            let lines = layout(&text, 1.0 - weight).unwrap().tracks;
            let [low, high] = outline.bounds().unwrap();
            for i in 0..24 {
                for j in 0..24 {
                    let share = |n: i32| (f64::from(n) + 0.37) / 24.0;
                    let point = Point::new(
                        low.x + (high.x - low.x) * share(i),
                        low.y + (high.y - low.y) * share(j),
                    );
                    let on_line = point - Point::new(weight / 2.0, weight / 2.0);
                    let stretches = lines.iter().flat_map(Track::stretches);
                    let near = stretches.map(|s| s.distance(on_line)).fold(f64::MAX, f64::min);
                    if (near - weight / 2.0).abs() > 1e-6 {
                        let wants = near < weight / 2.0;
                        assert_eq!(outline.contains(point), wants, "{letter} {weight} {point:?}");
                    }
                }
            }
        }
    }
}

#[test]
fn a_stencil_has_no_islands() {
    for letter in alphabet_letters() {
        for weight in [0.05, 0.1, 0.14, 0.2, 0.25] {
            let text = letter.to_string();
            let plain = inked(&text, style(10.0, weight * 10.0)).unwrap().0;
            let found = inked(&text, Style { stencil: true, ..style(10.0, weight * 10.0) });
            let (open, _) = found.unwrap_or_else(|e| panic!("{letter} {weight}: {e:?}"));
            assert_eq!(holes(&open), 0, "{letter} {weight}");
            assert_eq!(open.area() < plain.area() - 1e-6, holes(&plain) > 0, "{letter} {weight}");
            // Most of the letter is still there; at the heaviest a `®` has hardly any white.
            assert!(weight > 0.2 || open.area() > 0.5 * plain.area(), "{letter} {weight}");
        }
    }
}

#[test]
fn letters_are_spaced_and_refused() {
    let width = |text: &str, weight| inked(text, style(10.0, weight)).unwrap().1;
    assert!(width("AV", 1.0) < width("AN", 1.0));
    assert!(width("HH", 2.0) > width("HH", 1.0));
    let two = inked("tea pot", style(8.0, 1.2)).unwrap().0;
    assert_eq!(two.loops.len() - 2 * holes(&two), 6 - holes(&two));
    let fault = |text: &str| inked(text, style(10.0, 1.0)).unwrap_err();
    assert_eq!(fault("ab漢"), LetterFault::Missing { letter: '漢', place: 2 });
    assert_eq!(fault("  "), LetterFault::Blank);
    assert_eq!(fault(&"a".repeat(401)), LetterFault::TooMany { letters: 401 });
}
