use super::super::overlay::clipped;
use super::super::{ChartFrame, Moves, Point, chart_strips, polygon_strips};
use super::*;
use i_overlay::core::{fill_rule::FillRule, overlay_rule::OverlayRule};
use i_overlay::float::single::SingleFloatOverlay;
use std::collections::BTreeMap;
use std::f64::consts::TAU;

fn rows(marks: &[&str]) -> Vec<Vec<bool>> {
    marks.iter().map(|row| row.chars().map(|c| c == '#').collect()).collect()
}

fn chart(marks: &[&str], repeats: u32) -> Strips {
    let frame = ChartFrame { start: 0.0, width: TAU, closes: true, repeats, span_mm: [0.0, 8.0] };
    chart_strips(&rows(marks), &frame, &Moves::default())
}

/// A wavy ribbon with many points, in one turn, not closed.
fn ribbon(count: usize) -> Vec<Point> {
    let wave = |i: usize, z: f64| {
        let u = TAU * i as f64 / count as f64;
        Point::new(u, z + 3.0 * (5.0 * u).sin() + (11.0 * u).cos())
    };
    let below = (0..=count).map(|i| wave(i, 0.0));
    let above = (0..=count).rev().map(|i| {
        let p = wave(i, 2.0);
        Point::new(p.x, p.y + 1.5 * (3.0 * p.x).cos())
    });
    below.chain(above).collect()
}

/// Erosion downwards by the polygon library: the region less the sweep of every upper
/// side down by the drop.
fn eroded_area(polygon: &[Point], drop: f64) -> f64 {
    let raw: Vec<[f64; 2]> = polygon.iter().map(|p| [p.x, p.y]).collect();
    let mut swept: Vec<Vec<[f64; 2]>> = Vec::new();
    for (i, a) in raw.iter().enumerate() {
        let b = raw[(i + 1) % raw.len()];
        if b[0] < a[0] {
            swept.push(vec![*a, b, [b[0], b[1] - drop], [a[0], a[1] - drop]]);
        }
    }
    let left = vec![raw].overlay_as::<i64>(&swept, OverlayRule::Difference, FillRule::NonZero);
    let cross = |p: [f64; 2], q: [f64; 2]| (p[0] * q[1] - p[1] * q[0]) / 2.0;
    left.iter()
        .flatten()
        .map(|l| (0..l.len()).map(|i| cross(l[i], l[(i + 1) % l.len()])).sum::<f64>())
        .sum()
}

/// A bar that a lowered ceiling ends within a strip too narrow to be cut: where the ceiling
/// is held there, it is another edge.
#[test]
fn equal_edges_lie_on_one_line() {
    let (narrow, p) = (1.8e-7, Point::new);
    let bar = [p(0.0, 0.0), p(1.0, 0.0), p(1.0 + narrow, 0.9), p(1.0 + narrow, 1.0), p(0.0, 10.0)];
    let strips = polygon_strips(&[bar.to_vec()], [0.0, 2.0]).ceilings_lowered(0.5);
    let mut lines: BTreeMap<EdgeId, Vec<[f64; 4]>> = BTreeMap::new();
    for (index, strip) in strips.strips.iter().enumerate() {
        let [from, to] = strips.span(index);
        for i in strip {
            lines.entry(i.top_edge).or_default().push([from, i.top[0], to, i.top[1]]);
            lines.entry(i.bottom_edge).or_default().push([from, i.bottom[0], to, i.bottom[1]]);
        }
    }
    assert_eq!(strips.strips.iter().flatten().count(), 2);
    for (edge, pieces) in lines {
        let [u, z, to, end] = pieces[0];
        let slope = (end - z) / (to - u);
        let off = |at: f64, height: f64| (height - z - slope * (at - u)).abs();
        let most = pieces.iter().map(|p| off(p[0], p[1]).max(off(p[2], p[3])));
        assert!(most.fold(0.0, f64::max) < 1e-8, "{edge:?} {pieces:?}");
    }
}

#[test]
fn dropped_ceilings_agree_with_swept_polygons() {
    let polygon = ribbon(400);
    let region =
        clipped(std::slice::from_ref(&polygon), [Point::new(-1.0, -9.0), Point::new(9.0, 9.0)]);
    let strips = polygon_strips(&region, [0.0, TAU]);
    for drop in [0.0, 0.3, 0.9, 1.7, 2.4] {
        let wanted = eroded_area(&polygon, drop);
        assert!((strips.area(drop) - wanted).abs() < 1e-9 * wanted, "{drop}");
        let lowered = strips.ceilings_lowered(drop);
        assert!((lowered.area(0.0) - wanted).abs() < 1e-9 * wanted, "{drop}");
    }
}

#[test]
fn raising_ceilings_closes_low_voids() {
    let strips = chart(&["##", "#.", "##", "#."], 3);
    // Voids of 2 between the bars of every second column, and one below.
    let raised = strips.ceilings_raised(1.0);
    assert!((raised.area(0.0) - TAU / 2.0 * (9.0 + 3.0 + 3.0)).abs() < 1e-12);
    let closed = strips.ceilings_raised(2.0);
    assert!((closed.area(0.0) - TAU / 2.0 * (10.0 + 8.0)).abs() < 1e-12);
    assert_eq!(closed.section(0.0).loops(), 1);
}

#[test]
fn a_slit_is_as_wide_as_asked_and_opens_the_ring() {
    let strips = chart(&["#.", "##"], 3);
    for middle in [0.0, 1.0, -0.4, 6.2] {
        let open = strips.slit(middle, 0.05);
        let section = open.section(0.0);
        assert_eq!((section.pieces.len(), section.is_ring(), section.loops()), (1, false, 0));
        let empty: Vec<usize> =
            (0..open.strips.len()).filter(|&i| open.strips[i].is_empty()).collect();
        assert_eq!(empty.len(), 1);
        assert!((open.width(empty[0]) - 0.05).abs() < 1e-14);
    }
}

#[test]
fn ridges_are_refined_to_the_tolerance() {
    let p = Point::new;
    let wedge = vec![p(0.0, 0.0), p(1.0, 0.0), p(1.0, 4.0), p(0.0, 0.5)];
    let mut strips = polygon_strips(&[wedge], [0.0, 1.0]);
    // Flat faces do not twist.
    assert_eq!(strips.ridges_refined(1.0, 2.0, 0.001).strips.len(), 2);
    strips.period = Some(TAU);
    strips.lines[1] = 1.0;
    strips.strips.push(Vec::new());
    let fine = strips.ridges_refined(1.0, 2.0, 0.001);
    for (index, strip) in fine.strips.iter().enumerate() {
        for interval in strip {
            let [a, b] = interval.heights().map(|h| h.min(2.0));
            assert!((a - b).abs() * fine.width(index) / 4.0 <= 0.001 + 1e-12);
        }
    }
    assert!((fine.area(0.0) - strips.area(0.0)).abs() < 1e-12);
}
