use super::super::body::{Body, Eased, Slit, Turned};
use super::*;
use crate::plane::{Combine, Corners, Edge, Ends, PathCurve, PathStep, Point, Side, Stretch};
use crate::plane::{combine, disc, path, rect, regular, stroke};
use std::sync::Arc;

fn surface(slope: f64) -> Surface {
    let host = Arc::new(Turned { outline: Outline::default(), sides: None });
    Surface::Round {
        host,
        radius_mm: 40.0,
        slope,
        outward: true,
        span_mm: [0.0, 80.0],
        sides: None,
    }
}

fn flat_surface() -> Surface {
    Surface::Flat {
        host: Arc::new(Body::Empty),
        origin: [0.0, -20.0, 0.0],
        right: [1.0, 0.0, 0.0],
        up: [0.0, 0.0, 1.0],
        normal: [0.0, -1.0, 0.0],
        width_mm: [-30.0, 30.0],
        span_mm: [0.0, 60.0],
    }
}

fn marks(rows: &[&str]) -> Vec<Vec<bool>> {
    rows.iter().map(|row| row.chars().map(|c| c == '#').collect()).collect()
}

const RIPPLE: [&str; 4] = ["..###...", ".##.##..", "##...###", "#.....##"];

fn ripple() -> Pattern {
    Pattern::Chart { rows: marks(&RIPPLE), repeats: 14 }
}

fn belt(pattern: Pattern) -> Inlay {
    Inlay {
        surface: surface(0.0),
        pattern,
        level_mm: 46.2,
        height_mm: 24.0,
        bearing: 0.0,
        sink_mm: 2.0,
        proud_mm: 0.0,
        eased: Some(Eased { angle_rad: 45f64.to_radians(), lower: false }),
        slit: None,
    }
}

fn near(found: f64, wanted: f64, relative: f64) {
    assert!((found - wanted).abs() <= relative * wanted.abs(), "{found} instead of {wanted}");
}

#[test]
fn a_chart_covers_its_share_of_the_band() {
    let strips = nominal_strips(&belt(ripple())).unwrap();
    // 15 of 32 cells are filled: counting.
    near(strips.area(0.0), 15.0 / 32.0 * TAU * 24.0, 1e-13);
    assert!(strips.section(0.0).is_ring());
    assert_eq!(strips.lines.len(), 14 * 6);
}

/// A flank that stands off the next by the angle f is r sin f away at the radius r.
#[test]
fn flanks_of_a_chart_move_by_the_gap_at_the_back() {
    let inlay = belt(ripple());
    let nominal = nominal_strips(&inlay).unwrap();
    let inset = inset_strips(&inlay, 0.1).unwrap();
    let pocket = pocket_strips(&inlay, 0.1).unwrap();
    let angle: f64 = (0.1f64 / 38.0).asin();
    for strips in [&inset, &pocket] {
        for line in &strips.lines {
            let off = nominal.lines.iter().chain(&[TAU]).map(|l| (l - line).abs());
            near(off.fold(f64::INFINITY, f64::min), angle, 1e-9);
        }
    }
    // Undersides by the gap, ceilings of 45 deg by the gap times the root of 2.
    let lowest = |s: &Strips| s.strips.iter().flatten().map(|i| i.bottom[0]).fold(99.0, f64::min);
    let highest = |s: &Strips| s.strips.iter().flatten().map(|i| i.top[0]).fold(0.0, f64::max);
    near(lowest(&inset), 34.3, 1e-13);
    near(lowest(&pocket), 34.1, 1e-13);
    near(highest(&inset), 58.2 - 0.1 * 2f64.sqrt(), 1e-13);
    near(highest(&pocket), 58.2 + 0.1 * 2f64.sqrt(), 1e-13);
}

/// The chart drawn cell by cell as an outline.
fn drawn(rows: &[&str], width: f64, height: f64) -> Outline {
    let (columns, count) = (rows[0].len() as f64, rows.len() as f64);
    let cell = rect(width / columns, height / count, Edge::None).unwrap();
    let mut ink = Outline::default();
    for (row, line) in rows.iter().enumerate() {
        for (column, _) in line.chars().enumerate().filter(|(_, c)| *c == '#') {
            let x = (column as f64 + 0.5) * width / columns;
            let y = height / 2.0 - (row as f64 + 0.5) * height / count;
            ink = combine(Combine::Join, &ink, &cell.shifted(Point::new(x, y))).unwrap();
        }
    }
    ink
}

/// Two paths to the same figure: marks, and the same cells as a drawing.
#[test]
fn a_drawn_chart_is_the_chart() {
    let width_mm = TAU * 40.0 / 14.0;
    let ink = drawn(&RIPPLE, width_mm, 24.0);
    let tile = belt(Pattern::Tile { ink, width_mm, repeats: 14 });
    let (a, b) = (nominal_strips(&belt(ripple())).unwrap(), nominal_strips(&tile).unwrap());
    near(b.area(0.0), a.area(0.0), 1e-9);
    near(b.area(2.0), a.area(2.0), 1e-9);
    assert!(b.section(0.0).is_ring() && b.section(0.0).loops() == 1);
    assert_eq!(a.lines.len(), b.lines.len());
    for (line, other) in a.lines.iter().zip(&b.lines) {
        assert!((line - other).abs() < 1e-7);
    }
}

#[test]
fn what_runs_out_at_a_side_comes_in_at_the_other() {
    let ink = disc(10.0).unwrap().shifted(Point::new(19.0, 0.0));
    let tile = |height_mm| Inlay {
        height_mm,
        ..belt(Pattern::Tile { ink: ink.clone(), width_mm: TAU * 40.0 / 12.0, repeats: 12 })
    };
    let whole = nominal_strips(&tile(24.0)).unwrap();
    // Chords within 0.005 mm of a circle of 5 mm enclose 0.13 % less.
    near(whole.area(0.0) * 40.0, 12.0 * 25.0 * TAU / 2.0, 2e-3);
    assert_eq!(whole.section(0.0).pieces.len(), 12);
    // Cut above and below: a disc without two segments (CRC tables).
    let cut = nominal_strips(&tile(6.0)).unwrap();
    let segment = 25.0 * (0.6f64.acos() - 0.6 * 0.8);
    near(cut.area(0.0) * 40.0, 12.0 * (25.0 * TAU / 2.0 - 2.0 * segment), 2e-3);
    // Wider than its repeat, all discs run together to a ring.
    let ink = disc(24.0).unwrap();
    let pattern = Pattern::Tile { ink, width_mm: TAU * 40.0 / 12.0, repeats: 12 };
    assert!(nominal_strips(&belt(pattern)).unwrap().section(0.0).is_ring());
}

#[test]
fn a_figure_has_its_true_size_anywhere() {
    let ink = combine(Combine::Less, &regular(5, 12.0).unwrap(), &disc(4.0).unwrap()).unwrap();
    for bearing in [0.0, 1.0, 3.1, -3.1] {
        let inlay = Inlay { bearing, ..belt(Pattern::Figure { ink: ink.clone() }) };
        let strips = nominal_strips(&inlay).unwrap();
        near(strips.area(0.0) * 40.0, ink.area(), 1e-3);
        let section = strips.section(0.0);
        assert_eq!((section.pieces.len(), section.loops()), (1, 1));
    }
}

/// The sides of strips as segments in a plane developed at `radius`.
fn sides(strips: &Strips, radius: f64) -> Vec<Stretch> {
    let mut found = Vec::new();
    for (index, strip) in strips.strips.iter().enumerate() {
        let [left, right] = strips.span(index).map(|u| u * radius);
        for i in strip {
            let at = |u, z| Point::new(u, z);
            found.push(Stretch::line(at(left, i.bottom[0]), at(right, i.bottom[1])));
            found.push(Stretch::line(at(left, i.top[0]), at(right, i.top[1])));
        }
    }
    found
}

/// `gap` is the least distance: by brute force over all sides of a wavy stroke, in the
/// plane of the back, where flanks are nearest.
#[test]
fn free_figures_keep_their_distance() {
    let wave = |x: f64, y: f64| PathStep {
        to: Point::new(x, y),
        curve: PathCurve::Radius { radius: 9.0, left: y > 0.0, long: false },
        edge: Edge::None,
        face: None,
    };
    let width_mm = TAU * 40.0 / 14.0;
    let half = width_mm / 2.0;
    let steps = [wave(half, 3.0), wave(width_mm, -3.0), wave(1.5 * width_mm, 3.0)];
    let track = path(Point::new(0.0, -3.0), &steps, None).unwrap();
    let ink = stroke(&track, 3.0, Side::Middle, Ends::Flat, Corners::Mitre).unwrap();
    let inlay = belt(Pattern::Tile { ink, width_mm, repeats: 14 });
    let nominal = nominal_strips(&inlay).unwrap();
    assert!(nominal.section(0.0).is_ring());
    let walls = sides(&nominal, 38.0);
    for strips in [inset_strips(&inlay, 0.1), pocket_strips(&inlay, 0.1)] {
        let mut least = f64::INFINITY;
        // One repeat and a bit.
        for side in sides(&strips.unwrap(), 38.0).iter().filter(|s| s.to.x < 24.0) {
            for wall in walls.iter().filter(|w| (w.from.x - side.from.x).abs() < 3.0) {
                for t in [0.0, 0.5, 1.0] {
                    least = least.min(wall.distance(side.at(t))).min(side.distance(wall.at(t)));
                }
            }
        }
        assert!((0.1..0.102).contains(&least), "{least}");
    }
}

/// Walls of a slit are a chord apart at the least radius: 2 r sin(a / 2).
#[test]
fn a_slit_is_as_wide_as_asked_at_the_back() {
    let slit = Some(Slit { width_mm: 0.5, bearing_rad: 0.0 });
    let inlay = Inlay { slit, ..belt(ripple()) };
    for strips in [nominal_strips(&inlay).unwrap(), inset_strips(&inlay, 0.1).unwrap()] {
        let section = strips.section(0.0);
        assert_eq!((section.pieces.len(), section.is_ring()), (1, false));
        let wall = |d: f64| 2.0 * 38.0 * (d / 2.0).sin();
        let empty = (0..strips.strips.len()).filter(|&i| strips.strips[i].is_empty());
        let widths: Vec<f64> = empty.map(|i| wall(strips.width(i))).collect();
        assert_eq!(widths.len(), 1);
        near(widths[0], 0.5, 1e-12);
    }
    assert!(pocket_strips(&inlay, 0.0).unwrap().section(0.0).is_ring());
}

#[test]
fn lower_edges_are_eased_as_in_a_mirror() {
    let turned = |pattern: Pattern, upside_down: Pattern| {
        let upper = Inlay { level_mm: 0.0, ..belt(pattern) };
        let eased = Some(Eased { angle_rad: 30f64.to_radians(), lower: false });
        let upper = Inlay { eased, ..upper };
        let eased = Some(Eased { angle_rad: 30f64.to_radians(), lower: true });
        let lower = Inlay { eased, pattern: upside_down, ..upper.clone() };
        for by in [0.2, -0.2] {
            let (a, b) = (moved_strips(&upper, by).unwrap(), moved_strips(&lower, by).unwrap());
            near(b.area(0.0), a.area(0.0), 1e-9);
            near(b.mirrored().area(1.0), a.area(1.0), 1e-9);
        }
    };
    let mut rows = marks(&RIPPLE);
    rows.reverse();
    turned(ripple(), Pattern::Chart { rows, repeats: 14 });
    let ink = regular(3, 12.0).unwrap();
    let mirrored = Pattern::Figure { ink: ink.mirrored(false) };
    turned(Pattern::Figure { ink }, mirrored);
}

#[test]
fn on_a_cone_the_narrow_end_rules() {
    let inlay = Inlay { surface: surface(0.1), ..belt(ripple()) };
    // Radius 40 + 0.1 z at the lower end, 34.2, less the level depth 2 sqrt(1.01).
    let least = 43.42 - 2.0 * 1.01f64.sqrt();
    near(inlay.least_radius_mm().unwrap().unwrap(), least, 1e-14);
    near(inlay.reference_radius_mm().unwrap(), 44.62, 1e-14);
    let strips = inset_strips(&inlay, 0.1).unwrap();
    let nominal = nominal_strips(&inlay).unwrap();
    let angle = (0.1 / least).asin();
    let off = nominal.lines.iter().map(|l| (l - strips.lines[1]).abs());
    near(off.fold(f64::INFINITY, f64::min), angle, 1e-9);
}

#[test]
fn a_band_on_a_flat_face_is_measured_in_mm() {
    let inlay = |pattern| Inlay { surface: flat_surface(), bearing: -30.0, ..belt(pattern) };
    let chart = inlay(Pattern::Chart { rows: marks(&["#.#"]), repeats: 4 });
    let strips = nominal_strips(&chart).unwrap();
    assert_eq!((strips.lines[0], strips.lines.last().copied()), (-30.0, Some(30.0)));
    near(strips.area(0.0), 24.0 * 40.0, 1e-13);
    near(
        inset_strips(&chart, 0.5).unwrap().area(0.0),
        (24.0 - 0.5 - 0.5 * 2f64.sqrt()) * 35.0,
        1e-13,
    );
    let ink = rect(5.0, 4.0, Edge::None).unwrap();
    let tile = inlay(Pattern::Tile { ink, width_mm: 15.0, repeats: 4 });
    // Half a rectangle at either end.
    near(nominal_strips(&tile).unwrap().area(0.0), 4.0 * 20.0, 1e-12);
    assert_eq!(nominal_strips(&tile).unwrap().section(0.0).pieces.len(), 5);
    let figure = Inlay { bearing: 7.0, ..inlay(Pattern::Figure { ink: disc(10.0).unwrap() }) };
    let strips = nominal_strips(&figure).unwrap();
    assert_eq!((strips.lines[0], strips.lines.last().copied()), (2.0, Some(12.0)));
}

#[test]
fn what_cannot_be_laid_out_says_why() {
    let deep = Inlay { sink_mm: 41.0, ..belt(ripple()) };
    assert_eq!(nominal_strips(&deep), Err(PatternError::TooDeep { least_radius_mm: -1.0 }));
    let wide = inset_strips(&belt(ripple()), 50.0);
    assert!(matches!(wide, Err(PatternError::TooWide { .. })));
    let uneven = Pattern::Chart { rows: vec![vec![true], vec![]], repeats: 3 };
    assert_eq!(nominal_strips(&belt(uneven)), Err(PatternError::UnevenChart));
    let slit = Some(Slit { width_mm: 80.0, bearing_rad: 0.0 });
    assert!(matches!(
        nominal_strips(&Inlay { slit, ..belt(ripple()) }),
        Err(PatternError::TooWide { .. })
    ));
    let steep = Inlay { surface: surface(1.0), level_mm: 50.0, ..belt(ripple()) };
    assert!(matches!(nominal_strips(&steep), Err(PatternError::CeilingAlongCone { .. })));
}

#[test]
fn the_same_twice_to_the_bit() {
    let ink = regular(5, 12.0).unwrap();
    let inlay = belt(Pattern::Tile { ink, width_mm: TAU * 40.0 / 14.0, repeats: 14 });
    assert_eq!(inset_strips(&inlay, 0.1), inset_strips(&inlay, 0.1));
}
