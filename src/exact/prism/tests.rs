//! Closed forms: sections of an outline grown by s, integrated over height. Formulas by
//! elementary calculus; frustum and cylinder as in CRC Standard Mathematical Tables.

use crate::exact::{ExactBody, nominal};
use crate::model::{Body, Leaf, Prism};
use crate::plane::{Edge, Outline, disc, rect, regular};
use std::f64::consts::PI;
use std::sync::Arc;

fn made(outline: Outline, height_mm: f64, lean: f64, top: Edge, bottom: Edge) -> ExactBody {
    let prism = Prism { outline, height_mm, taper_rad: lean, top, bottom };
    let body = nominal(&Body::Leaf(Leaf::Prism(Arc::new(prism)))).unwrap();
    body.check().unwrap();
    body
}

fn near(got: f64, want: f64) {
    assert!((got - want).abs() <= 1e-11 * want.abs(), "got {got}, want {want}");
}

const BEVEL: Edge = Edge::Bevel { leg: 2.0, angle: PI / 4.0 };

#[test]
fn block_and_bevelled_block() {
    let plain = made(rect(30.0, 20.0, Edge::None).unwrap(), 10.0, 0.0, Edge::None, Edge::None);
    near(plain.volume_mm3(), 6000.0);
    near(plain.area_mm2(), 2.0 * (600.0 + 300.0 + 200.0));
    assert_eq!((plain.faces().len(), plain.edges().len(), plain.genus()), (6, 12, Some(0)));
    let outline = rect(30.0, 20.0, Edge::None).unwrap();
    let body = made(outline, 10.0, 0.0, BEVEL, BEVEL);
    // Sections (30 - 2 s)(20 - 2 s) over s from 0 to 2, twice.
    let c = 2.0_f64;
    let ends = 2.0 * (600.0 * c - 50.0 * c * c + 4.0 / 3.0 * c.powi(3));
    near(body.volume_mm3(), 600.0 * 6.0 + ends);
}

#[test]
fn rounded_edge_round_sharp_corners() {
    let outline = rect(30.0, 20.0, Edge::None).unwrap();
    let body = made(outline, 10.0, 0.0, Edge::Round(3.0), Edge::None);
    // s = r - sqrt(r^2 - z^2): its integral is r^2 (1 - pi/4), that of s^2 r^3 (5/3 - pi/2).
    let r = 3.0_f64;
    let end =
        600.0 * r - 100.0 * r * r * (1.0 - PI / 4.0) + 4.0 * r.powi(3) * (5.0 / 3.0 - PI / 2.0);
    near(body.volume_mm3(), 600.0 * 7.0 + end);
    assert_eq!(body.face_kinds().get("cylinder"), Some(&4));
}

/// Volume of the rounded end (r) of a 30 x 20 outline whose corners have the radius c.
fn rounded_end(r: f64, c: f64) -> f64 {
    let sharp =
        600.0 * r - 100.0 * r * r * (1.0 - PI / 4.0) + 4.0 * r.powi(3) * (5.0 / 3.0 - PI / 2.0);
    // (4 - pi)(c - s)^2 is missing in the corners: c^2 - 2 c s + s^2, integrated.
    let square =
        c * c * r - 2.0 * c * r * r * (1.0 - PI / 4.0) + r.powi(3) * (5.0 / 3.0 - PI / 2.0);
    sharp - (4.0 - PI) * square
}

#[test]
fn rounded_edge_round_rounded_corners() {
    for corner in [3.0, 5.0] {
        let outline = rect(30.0, 20.0, Edge::Round(corner)).unwrap();
        let body = made(outline, 10.0, 0.0, Edge::Round(3.0), Edge::Round(1.0));
        let middle = (600.0 - (4.0 - PI) * corner * corner) * 6.0;
        near(body.volume_mm3(), middle + rounded_end(3.0, corner) + rounded_end(1.0, corner));
        let kind = if corner == 3.0 { "sphere" } else { "torus" };
        assert!(body.face_kinds().contains_key(kind), "{:?}", body.face_kinds());
    }
}

#[test]
fn leaning_disc_is_a_frustum() {
    // h 10, radius 40 at the bottom, 30 at the top: 38 746.309.
    let body = made(disc(80.0).unwrap(), 10.0, -PI / 4.0, Edge::None, Edge::None);
    assert!((body.volume_mm3() - 38_746.309).abs() < 0.000_5);
    let bounds = body.bounds().unwrap();
    for (got, want) in bounds.concat().iter().zip([-40.0, -40.0, 0.0, 40.0, 40.0, 10.0]) {
        assert!((got - want).abs() < 1e-9, "{bounds:?}");
    }
}

#[test]
fn leaning_hexagon_with_a_hole() {
    let mut outline = regular(6, 20.0).unwrap();
    let hole = disc(8.0).unwrap();
    outline.loops.extend(hole.loops.iter().map(crate::plane::Track::reversed));
    let lean = 0.1_f64;
    let body = made(outline, 15.0, lean, Edge::None, Edge::None);
    // Hexagon a across flats: 2 sqrt(3) (a/2)^2; both sections grow by s = z tan(lean),
    // the hole closes by it.
    let t = lean.tan() * 15.0;
    let solid = |a: f64, b: f64| 15.0 * (a * a + a * b + b * b) / 3.0;
    let want = 2.0 * 3.0_f64.sqrt() * solid(10.0, 10.0 + t) - PI * solid(4.0, 4.0 - t);
    near(body.volume_mm3(), want);
    assert_eq!((body.pieces(), body.genus()), (1, Some(1)));
}

#[test]
fn what_does_not_fit_is_declined() {
    let prism = |top, lean| {
        let outline = rect(4.0, 20.0, Edge::None).unwrap();
        let prism = Prism { outline, height_mm: 5.0, taper_rad: lean, top, bottom: Edge::None };
        nominal(&Body::Leaf(Leaf::Prism(Arc::new(prism))))
    };
    assert!(prism(Edge::Round(3.0), 0.0).is_err());
    assert!(prism(Edge::None, -0.9).is_err());
    assert!(prism(Edge::Round(6.0), 0.0).is_err());
    assert!(prism(Edge::Round(1.0), 0.0).is_ok());
}
