use super::super::{Corners, Edge, Outline, disc, grown, rect, regular};
use super::*;
use proptest::prelude::*;
use std::f64::consts::TAU;

fn rows(marks: &[&str]) -> Vec<Vec<bool>> {
    marks.iter().map(|row| row.chars().map(|c| c == '#').collect()).collect()
}

fn frame(repeats: u32) -> ChartFrame {
    ChartFrame { start: 0.0, width: TAU, closes: true, repeats, span_mm: [-12.0, 12.0] }
}

#[test]
fn a_full_chart_is_a_plain_ring() {
    let strips = chart_strips(&rows(&["##", "##"]), &frame(5), &Moves::default());
    assert_eq!(strips.lines.len(), 1);
    assert!((strips.area(0.0) - TAU * 24.0).abs() < 1e-12);
    let section = strips.section(0.0);
    assert!(section.is_ring());
    assert_eq!(section.loops(), 1);
}

#[test]
fn a_shrunk_chart_has_exact_boxes() {
    let chart = rows(&["#.", "##"]);
    let moves = Moves { flank: -0.01, under_mm: -0.1, ceiling_mm: -0.15 };
    let strips = chart_strips(&chart, &frame(3), &moves);
    // The lower row goes all round; on it stand three teeth, each narrower by 0.02.
    let tooth = (TAU / 6.0 - 0.02) * 12.0;
    let ring = TAU * (12.0 - 0.25);
    assert!((strips.area(0.0) - ring - 3.0 * tooth).abs() < 1e-11);
    let grown =
        chart_strips(&chart, &frame(3), &Moves { flank: 0.01, under_mm: 0.1, ceiling_mm: 0.15 });
    let tooth = (TAU / 6.0 + 0.02) * 12.0;
    assert!((grown.area(0.0) - TAU * 12.25 - 3.0 * tooth).abs() < 1e-11);
}

#[test]
fn moves_wider_than_a_column_are_right_too() {
    // A bar of three columns of width w shrinks by 1.2 w on each side; one of two vanishes.
    let chart = rows(&["###..##..."]);
    let w = TAU / 10.0;
    let moves = Moves { flank: -1.2 * w, under_mm: 0.0, ceiling_mm: 0.0 };
    let strips = chart_strips(&chart, &frame(1), &moves);
    assert!((strips.area(0.0) - 0.6 * w * 24.0).abs() < 1e-11);
    let moves = Moves { flank: 1.2 * w, under_mm: 0.0, ceiling_mm: 0.0 };
    let strips = chart_strips(&chart, &frame(1), &moves);
    assert!((strips.area(0.0) - 9.4 * w * 24.0).abs() < 1e-11);
}

#[test]
fn a_chart_on_a_flat_face_ends_there() {
    let frame = ChartFrame { start: -20.0, width: 40.0, closes: false, ..frame(2) };
    let strips = chart_strips(&rows(&["#.#"]), &frame, &Moves { flank: -0.5, ..Moves::default() });
    assert_eq!(strips.strips.len() + 1, strips.lines.len());
    // Columns of 40 / 6: single, double, single, each narrower by 1.
    assert!((strips.area(0.0) - 24.0 * (4.0 * 40.0 / 6.0 - 3.0)).abs() < 1e-11);
    assert_eq!(strips.section(0.0).pieces.len(), 3);
}

/// The strips of an outline have its area: an independent path, exact Green sums over
/// lines and arcs against trapezoids of the flattened polygon.
#[test]
fn strips_have_the_area_of_their_outline() {
    for shape in [disc(10.0), rect(8.0, 5.0, Edge::Round(1.0)), regular(5, 9.0)] {
        let shape = shape.unwrap();
        let ring = grown(&shape, -1.0, Corners::Mitre).unwrap();
        let polygons = shape.flattened(1e-4);
        let strips = polygon_strips(&polygons, [-20.0, 20.0]);
        let area: f64 = area_of(&polygons);
        assert!((strips.area(0.0) - area).abs() < 1e-9 * area);
        assert!((area - shape.area()).abs() < 1e-4 * shape.perimeter());
        assert!(ring.area() < shape.area());
    }
}

#[test]
fn one_repeat_becomes_a_ring() {
    // A zigzag band of constant height that crosses the ends of the repeat.
    let p = Point::new;
    let band = vec![p(0.0, 0.0), p(0.5, 3.0), p(1.0, 0.0), p(1.0, 2.0), p(0.5, 5.0), p(0.0, 2.0)];
    let one = polygon_strips(&[band], [0.0, 1.0]);
    let ring = one.repeated(0.3, 6, true, 1e-6);
    assert_eq!(ring.period, Some(6.0));
    assert!((ring.area(0.0) - 12.0).abs() < 1e-12);
    assert!(ring.section(0.0).is_ring());
    assert_eq!(ring.section(0.0).loops(), 1);
    // Dropped by its whole height less a hair it still goes round; beyond, it is gone.
    assert!(ring.section(1.999).is_ring());
    assert!(ring.section(2.001).pieces.is_empty());
    assert!((ring.lines[0] - 0.3).abs() < 1e-15);
}

fn area_of(polygons: &[Vec<Point>]) -> f64 {
    let cross = |p: &[Point], i: usize| p[i].cross(p[(i + 1) % p.len()]) / 2.0;
    polygons.iter().map(|p| (0..p.len()).map(|i| cross(p, i)).sum::<f64>()).sum()
}

fn star(radii: &[f64]) -> Vec<Point> {
    let turn = TAU / radii.len() as f64;
    radii.iter().enumerate().map(|(i, r)| Point::polar(*r, turn * i as f64 + 0.1)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn any_star_keeps_its_area(radii in prop::collection::vec(1.0..10.0f64, 3..80)) {
        let polygon = vec![star(&radii)];
        let strips = polygon_strips(&polygon, [-11.0, 11.0]);
        let area = area_of(&polygon);
        prop_assert!((strips.area(0.0) - area).abs() < 1e-6 * area, "{} {}", strips.area(0.0), area);
        let section = strips.section(0.0);
        prop_assert_eq!((section.pieces.len(), section.loops()), (1, 0));
        let cut = strips.cut(&[-3.0, 0.0, 0.5]);
        prop_assert!((cut.area(1.0) - strips.area(1.0)).abs() < 1e-9);
        prop_assert!((strips.mirrored().area(0.7) - strips.area(0.7)).abs() < 1e-9);
        prop_assert!((strips.ceilings_lowered(0.7).area(0.0) - strips.area(0.7)).abs() < 1e-9);
    }
}

#[test]
fn an_empty_outline_has_no_strips_of_material() {
    let none = Outline::default().flattened(0.01);
    assert!(polygon_strips(&none, [0.0, 1.0]).is_empty());
    assert!(chart_strips(&[], &frame(3), &Moves::default()).is_empty());
}
