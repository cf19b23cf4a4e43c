//! Closed forms. Formulas: CRC Standard Mathematical Tables (mensuration), Pappus'
//! second theorem V = 2 pi r_c A; values worked out in the comments beside them.

use super::*;
use crate::model::{Body, Leaf, Placement, Turned};
use crate::plane::{Curve, Outline, Point, Segment, Track};
use std::f64::consts::PI;
use std::sync::Arc;

/// A closed loop from (x, y) corners; the third value bends the side that ends there.
fn track(corners: &[(f64, f64, Curve)]) -> Track {
    let to = |c: &(f64, f64, Curve)| Segment { to: Point::new(c.0, c.1), curve: c.2, face: None };
    let last = corners.last().unwrap();
    Track { start: Point::new(last.0, last.1), segments: corners.iter().map(to).collect() }
}

fn turned_body(corners: &[(f64, f64, Curve)]) -> ExactBody {
    let outline = Outline { loops: vec![track(corners)] };
    let body =
        nominal(&Body::Leaf(Leaf::Turned(Arc::new(Turned { outline, sides: None })))).unwrap();
    body.check().unwrap();
    body
}

const LINE: Curve = Curve::Line;

fn arc(x: f64, y: f64, anticlockwise: bool) -> Curve {
    Curve::Arc { centre: Point::new(x, y), anticlockwise }
}

fn near(got: f64, want: f64, share: f64) {
    assert!((got - want).abs() <= share * want.abs(), "got {got}, want {want}");
}

/// Against a value published to three decimals.
fn published(got: f64, want: f64) {
    assert!((got - want).abs() <= 0.000_5, "got {got}, want {want}");
}

/// An inner radius, an outer one and a height.
fn tube(inner: f64, outer: f64, height: f64) -> ExactBody {
    let (i, o, h) = (inner, outer, height);
    turned_body(&[(o, 0.0, LINE), (o, h, LINE), (i, h, LINE), (i, 0.0, LINE)])
}

#[test]
fn hollow_cylinder() {
    // pi (Ro^2 - Ri^2) h = 39 207.076 mm3; area 2 pi h (Ro + Ri) + 2 pi (Ro^2 - Ri^2).
    let body = tube(38.0, 40.0, 80.0);
    near(body.volume_mm3(), PI * (1600.0 - 1444.0) * 80.0, 1e-12);
    published(body.volume_mm3(), 39_207.076);
    near(body.area_mm2(), 2.0 * PI * 80.0 * 78.0 + 2.0 * PI * 156.0, 1e-12);
    assert_eq!((body.pieces(), body.genus()), (1, Some(1)));
    let bounds = body.bounds().unwrap();
    for (got, want) in bounds.concat().iter().zip([-40.0, -40.0, 0.0, 40.0, 40.0, 80.0]) {
        assert!((got - want).abs() < 1e-9);
    }
    let centre = body.centroid_mm();
    assert!(centre[0].abs() < 1e-9 && centre[1].abs() < 1e-9 && (centre[2] - 40.0).abs() < 1e-9);
}

#[test]
fn ring_of_round_section() {
    // Torus R 40, r 3: 2 pi^2 R r^2 = 7106.115; area 4 pi^2 R r = 4737.410.
    let body = turned_body(&[(37.0, 0.0, arc(40.0, 0.0, true)), (43.0, 0.0, arc(40.0, 0.0, true))]);
    near(body.volume_mm3(), 2.0 * PI * PI * 40.0 * 9.0, 1e-12);
    near(body.area_mm2(), 4.0 * PI * PI * 40.0 * 3.0, 1e-12);
    assert_eq!(body.genus(), Some(1));
    assert_eq!(body.face_kinds().get("torus"), Some(&6));
    let bounds = body.bounds().unwrap();
    for (got, want) in bounds.concat().iter().zip([-43.0, -43.0, -3.0, 43.0, 43.0, 3.0]) {
        assert!((got - want).abs() < 1e-9, "{bounds:?}");
    }
}

#[test]
fn cone_and_its_tip() {
    // Frustum h 10, 40 to 30: pi h (R^2 + R r + r^2) / 3 = 38 746.309; with its tip
    // (h 40): pi R^2 h / 3.
    let body =
        turned_body(&[(0.0, 0.0, LINE), (40.0, 0.0, LINE), (30.0, 10.0, LINE), (0.0, 10.0, LINE)]);
    published(body.volume_mm3(), 38_746.309);
    let side = PI * 70.0 * 10.0_f64.hypot(10.0);
    near(body.area_mm2(), side + PI * (1600.0 + 900.0), 1e-12);
    let whole = turned_body(&[(0.0, 0.0, LINE), (40.0, 0.0, LINE), (0.0, 40.0, LINE)]);
    near(whole.volume_mm3(), PI * 1600.0 * 40.0 / 3.0, 1e-12);
    assert_eq!((whole.pieces(), whole.genus()), (1, Some(0)));
    near(whole.centroid_mm()[2], 10.0, 1e-12);
}

#[test]
fn ball_and_cap() {
    let half = arc(0.0, 0.0, true);
    let ball = turned_body(&[(0.0, -50.0, LINE), (0.0, 50.0, half)]);
    near(ball.volume_mm3(), 4.0 / 3.0 * PI * 125_000.0, 1e-12);
    near(ball.area_mm2(), 4.0 * PI * 2500.0, 1e-12);
    assert_eq!((ball.pieces(), ball.genus()), (1, Some(0)));
    let bounds = ball.bounds().unwrap();
    assert!(bounds.concat().iter().all(|c| (c.abs() - 50.0).abs() < 1e-9), "{bounds:?}");
    // Cap of r 50, h 10: pi h^2 (3 r - h) / 3 = 14 660.766; round area 2 pi r h.
    let cap = turned_body(&[(0.0, 40.0, LINE), (30.0, 40.0, LINE), (0.0, 50.0, half)]);
    published(cap.volume_mm3(), 14_660.766);
    near(cap.area_mm2(), 2.0 * PI * 50.0 * 10.0 + PI * 900.0, 1e-12);
}

/// A cup of outer radius 40, bore 37.6, height 90, floor 3, foot rounded by 5, corner of
/// the bore rounded by 2.5, rim bevelled by 1 inside.
fn cup() -> ExactBody {
    turned_body(&[
        (0.0, 0.0, LINE),
        (35.0, 0.0, LINE),
        (40.0, 5.0, arc(35.0, 5.0, true)),
        (40.0, 90.0, LINE),
        (38.6, 90.0, LINE),
        (37.6, 89.0, LINE),
        (37.6, 5.5, LINE),
        (35.1, 3.0, arc(35.1, 5.5, false)),
        (0.0, 3.0, LINE),
    ])
}

#[test]
fn cup_with_fillets() {
    // Pappus, piece by piece: a corner between a wall and a floor rounded by r has the
    // area (1 - pi/4) r^2 and its centroid (10 - 3 pi) / (12 - 3 pi) r from both.
    let corner = |r: f64| (1.0 - PI / 4.0) * r * r;
    let off = |r: f64| (10.0 - 3.0 * PI) / (12.0 - 3.0 * PI) * r;
    let plain = PI * (1600.0 * 90.0 - 37.6 * 37.6 * 87.0);
    let foot = 2.0 * PI * (40.0 - off(5.0)) * corner(5.0);
    let fillet = 2.0 * PI * (37.6 - off(2.5)) * corner(2.5);
    let bevel = 2.0 * PI * (37.6 + 1.0 / 3.0) * 0.5;
    let body = cup();
    near(body.volume_mm3(), plain - foot + fillet - bevel, 1e-12);
    assert_eq!((body.pieces(), body.genus()), (1, Some(0)));
}

#[test]
fn placement_and_mirror_keep_measures() {
    let body = cup();
    let tipped = Placement::turned(0, 0.7).then(&Placement::turned(2, 1.1));
    let moved = tipped.then(&Placement::shifted([3.0, -4.0, 5.0]));
    for placement in [moved, Placement::mirrored(0), Placement::mirrored(2).then(&moved)] {
        let there = body.placed(&placement);
        there.check().unwrap();
        near(there.volume_mm3(), body.volume_mm3(), 1e-12);
        near(there.area_mm2(), body.area_mm2(), 1e-12);
        let (got, want) = (there.centroid_mm(), placement.point(body.centroid_mm()));
        assert!((0..3).all(|i| (got[i] - want[i]).abs() < 1e-9));
    }
}

#[test]
fn coaxial_bodies_are_combined_as_profiles() {
    let rod = |radius: f64, height: f64, at: f64| {
        let outline = Outline {
            loops: vec![track(&[
                (0.0, 0.0, LINE),
                (radius, 0.0, LINE),
                (radius, height, LINE),
                (0.0, height, LINE),
            ])],
        };
        let leaf = Arc::new(Body::Leaf(Leaf::Turned(Arc::new(Turned { outline, sides: None }))));
        let placement = Placement::turned(2, at).then(&Placement::shifted([7.0, 0.0, at]));
        Arc::new(Body::Placed { body: leaf, placement })
    };
    let two = |operation, left: &Arc<Body>, right: &Arc<Body>| {
        Arc::new(Body::Boolean { operation, left: left.clone(), right: right.clone() })
    };
    use crate::model::Operation::{Join, Less, Meet};
    // A lid: plate, plug below with a hollow, knob on top, all touching.
    let lid = Body::Many(vec![
        rod(40.0, 4.0, 10.0),
        two(Less, &rod(36.0, 10.0, 0.0), &rod(34.0, 10.0, 0.0)),
        rod(6.0, 12.0, 14.0),
    ]);
    let body = nominal(&lid).unwrap();
    assert_eq!(body.check(), Ok(()));
    let want = PI * (1600.0 * 4.0 + (1296.0 - 1156.0) * 10.0 + 36.0 * 12.0);
    near(body.volume_mm3(), want, 1e-12);
    assert_eq!((body.pieces(), body.genus()), (1, Some(0)));
    let common = nominal(&two(Meet, &rod(10.0, 20.0, 0.0), &rod(20.0, 20.0, 5.0))).unwrap();
    near(common.volume_mm3(), PI * 100.0 * 15.0, 1e-12);
    let joined = nominal(&two(Join, &rod(10.0, 20.0, 0.0), &rod(10.0, 20.0, 15.0))).unwrap();
    near(joined.volume_mm3(), PI * 100.0 * 35.0, 1e-12);
    assert_eq!(joined.faces().len(), 5);
    // Turned over: the cone stands on its tip.
    let cone =
        Outline { loops: vec![track(&[(0.0, 0.0, LINE), (9.0, 0.0, LINE), (0.0, 9.0, LINE)])] };
    let cone = Arc::new(Body::Leaf(Leaf::Turned(Arc::new(Turned { outline: cone, sides: None }))));
    let over = Placement::turned(0, PI).then(&Placement::shifted([7.0, 0.0, 9.0]));
    let over = Arc::new(Body::Placed { body: cone, placement: over });
    let dimple = nominal(&two(Less, &rod(20.0, 9.0, 0.0), &over)).unwrap();
    assert_eq!(dimple.check(), Ok(()));
    near(dimple.volume_mm3(), PI * 400.0 * 9.0 - PI * 81.0 * 9.0 / 3.0, 1e-12);
}
