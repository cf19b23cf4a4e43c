use super::super::body::{Eased, Turned};
use super::*;
use std::sync::Arc;

fn surface(slope: f64) -> Surface {
    let host = Arc::new(Turned { outline: Outline::default() });
    Surface::Round { host, radius_mm: 40.0, slope, outward: true, span_mm: [0.0, 80.0] }
}

fn marks(rows: &[&str]) -> Vec<Vec<bool>> {
    rows.iter().map(|row| row.chars().map(|c| c == '#').collect()).collect()
}

fn ripple() -> Pattern {
    let rows = marks(&["..###...", ".##.##..", "##...###", "#.....##"]);
    Pattern::Chart { rows, repeats: 14 }
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

#[test]
fn a_chart_covers_its_share_of_the_band() {
    let strips = nominal_strips(&belt(ripple())).unwrap();
    // 15 of 32 cells are filled: counting.
    assert!((strips.area(0.0) - 15.0 / 32.0 * TAU * 24.0).abs() < 1e-9);
    let section = strips.section(0.0);
    assert!(section.is_ring());
    assert_eq!(strips.lines.len(), 14 * 6);
}
