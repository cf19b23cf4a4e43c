use super::super::{Corners, Outline, grown, polygon};
use super::*;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};
use proptest::prelude::*;
use std::f64::consts::TAU;

fn area(polygons: &[Vec<Point>]) -> f64 {
    let cross = |p: &[Point], i: usize| p[i].cross(p[(i + 1) % p.len()]) / 2.0;
    polygons.iter().map(|p| (0..p.len()).map(|i| cross(p, i)).sum::<f64>()).sum()
}

/// Offsets by the polygon library's own routine, another way of doing the same.
fn library(region: &[Vec<Point>], by_mm: f64) -> Polygons {
    let mut style = OutlineStyle::new(by_mm).line_join(LineJoin::Miter(0.05));
    style.miter_min_turn = 0.0;
    polygons(vec![raw(region)].outline_as::<i64>(&style))
}

fn star(radii: &[f64]) -> Outline {
    let turn = TAU / radii.len() as f64;
    let point = |(i, r): (usize, &f64)| Point::polar(*r, turn * i as f64 + 0.1);
    polygon(&radii.iter().enumerate().map(point).collect::<Vec<_>>()).unwrap()
}

#[test]
fn plain_shapes_move_as_on_paper() {
    let p = Point::new;
    let square = vec![vec![p(0.0, 0.0), p(10.0, 0.0), p(10.0, 10.0), p(0.0, 10.0)]];
    assert!((area(&moved(&square, 1.0)) - 144.0).abs() < 1e-9);
    assert!((area(&moved(&square, -1.0)) - 64.0).abs() < 1e-9);
    assert!(moved(&square, -5.1).is_empty());
    let ring = vec![square[0].clone(), vec![p(3.0, 3.0), p(3.0, 7.0), p(7.0, 7.0), p(7.0, 3.0)]];
    assert!((area(&moved(&ring, 1.0)) - (144.0 - 4.0)).abs() < 1e-9);
    assert!((area(&moved(&ring, -1.0)) - (64.0 - 36.0)).abs() < 1e-9);
    assert!(moved(&ring, -1.6).is_empty());
    // A corner of 10 deg is cut off at the distance of the move.
    let needle = vec![vec![p(0.0, -0.874887), p(10.0, 0.0), p(0.0, 0.874887)]];
    let tip = moved(&needle, 0.5).iter().flatten().map(|p| p.x).fold(0.0, f64::max);
    assert!((tip - 10.5).abs() < 1e-9, "{tip}");
}

#[test]
fn a_wave_moves_like_the_exact_offset() {
    let radii: Vec<f64> = (0..90).map(|i| 10.0 + (f64::from(i) * TAU / 15.0).sin()).collect();
    let wave = star(&radii);
    let flat = wave.flattened(1.0);
    for by in [0.2, -0.2, 0.4, -0.4] {
        let exact = grown(&wave, by, Corners::Mitre).unwrap();
        assert!((area(&moved(&flat, by)) - exact.area()).abs() < 1e-6, "{by}");
        assert!((area(&library(&flat, by)) - exact.area()).abs() < 1e-3, "{by}");
        // No more points than before: one for each corner.
        assert_eq!(moved(&flat, by)[0].len(), 90);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Never nearer than asked, never farther off than a mitre: by the distance of any
    /// point from the line.
    #[test]
    fn moved_sides_keep_their_distance(
        radii in prop::collection::vec(2.0..10.0f64, 3..40),
        by in 0.05..1.5f64,
        x in -11.0..11.0f64,
        y in -11.0..11.0f64,
    ) {
        let shape = star(&radii);
        let flat = shape.flattened(1.0);
        let point = Point::new(x, y);
        let away = shape.stretches().map(|s| s.distance(point)).fold(f64::INFINITY, f64::min);
        let signed = if shape.contains(point) { -away } else { away };
        let inside = |polygons: &[Vec<Point>]| {
            let tracks = polygons.iter().map(|p| {
                let segments = (1..=p.len()).map(|i| super::super::Segment {
                    to: p[i % p.len()],
                    curve: super::super::Curve::Line,
                    face: None,
                });
                super::super::Track { start: p[0], segments: segments.collect() }
            });
            Outline { loops: tracks.collect() }.contains(point)
        };
        let (out, within) = (inside(&moved(&flat, by)), inside(&moved(&flat, -by)));
        prop_assert!(out || signed > by - 1e-6, "point at {signed} is not within {by}");
        prop_assert!(!within || signed < -by + 1e-6, "point at {signed} is within -{by}");
        let mitre = by / 0.25f64.sin() + 1e-6;
        prop_assert!(!out || signed < mitre, "point at {signed} is within {by}");
        prop_assert!(within || signed > -mitre, "point at {signed} is not within -{by}");
    }
}
