use super::super::{ChartFrame, Moves, Point, chart_strips, polygon_strips};
use super::*;
use std::f64::consts::TAU;

fn chart(marks: &[&str], repeats: u32) -> Strips {
    let rows: Vec<Vec<bool>> =
        marks.iter().map(|row| row.chars().map(|c| c == '#').collect()).collect();
    let span_mm = [0.0, 2.0 * rows.len() as f64];
    let frame = ChartFrame { start: 0.7, width: TAU, closes: true, repeats, span_mm };
    chart_strips(&rows, &frame, &Moves::default())
}

/// Pieces, rings and loops by counting on paper.
#[test]
fn pieces_rings_and_holes_are_counted() {
    let counts = |marks: &[&str], repeats| {
        let section = chart(marks, repeats).section(0.0);
        let rings = section.pieces.iter().filter(|p| p.is_ring).count();
        (section.pieces.len(), rings, section.loops())
    };
    assert_eq!(counts(&["##"], 3), (1, 1, 1));
    assert_eq!(counts(&["#."], 3), (3, 0, 0));
    assert_eq!(counts(&["##", "..", "##"], 3), (2, 2, 2));
    assert_eq!(counts(&["##", "#.", "##"], 3), (1, 1, 4));
    assert_eq!(counts(&["###.", "#.#.", "###."], 5), (5, 0, 5));
    assert_eq!(counts(&["####", "....", "##.."], 2), (3, 1, 1));
    // A spiral that goes round more than once without closing.
    assert_eq!(counts(&["####..", "...#..", "#.##..", "#.....", "###.##", "......"], 1).1, 0);
}

#[test]
fn a_chain_of_steps_closes_to_a_ring() {
    let strips = chart(&["..###...", ".##.##..", "##...###", "#.....##"], 14);
    let section = strips.section(0.0);
    assert!(section.is_ring());
    assert_eq!(section.loops(), 1);
    assert!(section.piece_of.iter().flatten().all(|p| *p == Some(0)));
    // Bars and joints of one row, 2 mm, go first.
    assert_eq!(strips.breaks_at(1.9), None);
    assert_eq!(strips.breaks_at(3.0), Some(2.0));
    assert_eq!(strips.events(6.0), [2.0, 4.0]);
}

#[test]
fn touching_points_are_pinches() {
    let diagonal = chart(&["#.", ".#"], 2);
    assert!(diagonal.pinch().is_some());
    assert_eq!(chart(&["##", ".#"], 2).pinch(), None);
    let p = Point::new;
    let bow =
        [vec![p(0.0, 0.0), p(1.0, 1.0), p(0.0, 2.0)], vec![p(1.0, 1.0), p(2.0, 0.0), p(2.0, 2.0)]];
    assert_eq!(polygon_strips(&bow, [0.0, 2.0]).pinch(), Some([1.0, 1.0]));
    let fork = [vec![p(0.0, 0.0), p(2.0, 0.0), p(3.0, 2.0), p(1.0, 1.0), p(3.0, 3.0), p(0.0, 3.0)]];
    assert_eq!(polygon_strips(&fork, [0.0, 3.0]).pinch(), None);
}
