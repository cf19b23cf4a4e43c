//! Turned bodies, prisms, booleans.

use super::*;
use crate::plane::{Curve, Segment, Track, disc, regular};
use std::f64::consts::PI;

fn made(body: &Body) -> Made {
    mesher(40.0).nominal(body).unwrap()
}

fn near(found: f64, expected: f64, relative: f64) {
    assert!((found - expected).abs() <= relative * expected.abs(), "{found} {expected}");
}

/// pi r^2 h; pi (R^2 - r^2) h; frustum pi h (R^2 + R r + r^2) / 3.
#[test]
fn turned_bodies_have_their_closed_volumes() {
    let it = made(&rod(60.0, 20.0));
    near(it.mesh.volume_mm3(), PI * 900.0 * 20.0, 1e-12);
    assert_eq!((it.checks.pieces, it.checks.genus), (1, 0));
    let it = made(&tube(50.0, 5.0, 12.0));
    near(it.mesh.volume_mm3(), PI * (900.0 - 625.0) * 12.0, 1e-12);
    assert_eq!((it.checks.pieces, it.checks.genus), (1, 1));
    let cone = turned(profile(&[(0.0, 0.0), (20.0, 0.0), (10.0, 30.0), (0.0, 30.0)]));
    near(made(&cone).mesh.volume_mm3(), PI * 30.0 * 700.0 / 3.0, 1e-12);
    let tip = turned(profile(&[(0.0, 0.0), (20.0, 0.0), (0.0, 30.0)]));
    near(made(&tip).mesh.volume_mm3(), PI * 400.0 * 10.0, 1e-12);
}

/// Two blocks with faces in one plane, so that corners of one lie on edges of the other: the
/// volume is the sum less what they share, and nothing is left without area.
#[test]
fn blocks_that_are_flush_become_one_sound_body() {
    for height in 20..=120 {
        let high = f64::from(height);
        for (shift, size) in [
            ([3.0, 0.0], [18.0, 10.0, 4.0]),
            ([-3.0, 1.0], [18.0, 10.0, 4.0]),
            ([0.0, 3.0], [10.0, 18.0, 4.0]),
            ([1.0, 2.0], [10.0, 8.0, 7.5]),
            ([4.5, -4.0], [12.0, 4.0, 20.0]),
        ] {
            let shared: f64 = (0..2)
                .map(|i| 6f64.min(shift[i] + size[i] / 2.0) - (-6f64).max(shift[i] - size[i] / 2.0))
                .product::<f64>()
                * size[2];
            let (post, arm) = (144.0 * high, size.iter().product::<f64>());
            for level in [high - size[2], 0.0] {
                let pair = |how| {
                    let other = at(block(size), [shift[0], shift[1], level]);
                    made(&boolean(how, block([12.0, 12.0, high]), other)).mesh.volume_mm3()
                };
                near(pair(Operation::Join), post + arm - shared, 1e-12);
                near(pair(Operation::Less), post - shared, 1e-12);
                near(pair(Operation::Meet), shared, 1e-12);
            }
        }
    }
}

fn arc(to: Point, centre: Point) -> Segment {
    Segment { to, curve: Curve::Arc { centre, anticlockwise: true }, face: None }
}

/// Ball 4/3 pi r^3; torus 2 pi^2 R r^2 (Pappus). Arcs are flattened with equal area; what is
/// left is a hundredth of the 1e-3 that inscribed chords of this tolerance would lose.
#[test]
fn balls_and_rings_keep_their_volume() {
    let (low, high) = (Point::new(0.0, -20.0), Point::new(0.0, 20.0));
    let line = Segment { to: low, curve: Curve::Line, face: None };
    let half = Track { start: low, segments: vec![arc(high, Point::default()), line] };
    let it = made(&turned(Outline { loops: vec![half] }));
    near(it.mesh.volume_mm3(), 4.0 / 3.0 * PI * 8000.0, 1e-5);
    assert_eq!((it.checks.pieces, it.checks.genus), (1, 0));
    let section = disc(6.0).unwrap().shifted(Point::new(25.0, 0.0));
    let it = made(&turned(section));
    near(it.mesh.volume_mm3(), 2.0 * PI * PI * 25.0 * 9.0, 1e-5);
    assert_eq!((it.checks.pieces, it.checks.genus), (1, 1));
}

/// Two cones tip to tip touch in one point: two pieces, both closed.
#[test]
fn tips_that_touch_are_two_pieces() {
    let corners = [(10.0, -10.0), (0.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0), (0.0, -10.0)];
    let start = Point::new(0.0, -10.0);
    let line = |(x, y)| Segment { to: Point::new(x, y), curve: Curve::Line, face: None };
    let track = Track { start, segments: corners.map(line).to_vec() };
    let body = turned(Outline { loops: vec![track] });
    let it = made(&body);
    assert_eq!((it.checks.pieces, it.checks.genus, it.checks.open_edges), (2, 0, 0));
}

/// A frustum of a pyramid: h / 3 (A + B + sqrt(A B)).
#[test]
fn prisms_lean_and_are_bevelled() {
    near(made(&block([20.0, 30.0, 5.0])).mesh.volume_mm3(), 3000.0, 1e-14);
    let lean = (2.0f64 / 10.0).atan();
    let square = rect(20.0, 20.0, Edge::None).unwrap();
    let body = prism_of(square.clone(), 10.0, lean, [Edge::None; 2]);
    let volume = 10.0 / 3.0 * (400.0 + 576.0 + (400.0f64 * 576.0).sqrt());
    near(made(&body).mesh.volume_mm3(), volume, 1e-12);
    // A bevel of 45 deg with legs c round a square of side s takes c^2 / 2 (4 s) - 4/3 c^3
    // off its edges: integral of s^2 - (s - 2 z)^2.
    let bevel = Edge::Bevel { leg: 2.0, angle: PI / 4.0 };
    let body = prism_of(square, 10.0, 0.0, [bevel, bevel]);
    let taken = 2.0 * (4.0f64 * 20.0 / 2.0 * 4.0 - 4.0 / 3.0 * 8.0);
    near(made(&body).mesh.volume_mm3(), 4000.0 - taken, 1e-12);
}

/// A disc drawn up is a cylinder; with its upper edge rounded by all of its radius, a ball
/// on a cylinder.
#[test]
fn rounded_prisms_close_to_a_dome() {
    let body = prism_of(disc(20.0).unwrap(), 15.0, 0.0, [Edge::None, Edge::Round(10.0)]);
    let it = made(&body);
    near(it.mesh.volume_mm3(), PI * 100.0 * 5.0 + 2.0 / 3.0 * PI * 1000.0, 1e-5);
    assert_eq!((it.checks.pieces, it.checks.genus), (1, 0));
    let soft = rect(30.0, 20.0, Edge::Round(3.0)).unwrap();
    let it = made(&prism_of(soft, 10.0, 0.0, [Edge::Round(3.0), Edge::Round(3.0)]));
    // Steiner: an inner block of 24 x 14 x 4 grown by 3.
    let (a, b, c, r) = (24.0, 14.0, 4.0, 3.0);
    let faces = 2.0 * (a * b + b * c + c * a) * r;
    let edges = PI * r * r * (a + b + c);
    let volume = a * b * c + faces + edges + 4.0 / 3.0 * PI * r * r * r;
    near(it.mesh.volume_mm3(), volume, 2e-5);
    let sharp = prism_of(
        rect(30.0, 20.0, Edge::Round(2.0)).unwrap(),
        10.0,
        0.0,
        [Edge::None, Edge::Round(3.0)],
    );
    let fault = mesher(10.0).nominal(&sharp);
    assert!(matches!(fault, Err(MeshFault::SideUsedUp { .. })), "{fault:?}");
}

#[test]
fn prisms_may_have_holes() {
    let mut outline = regular(6, 30.0).unwrap();
    let hole = disc(8.0).unwrap();
    outline.loops.extend(hole.loops.iter().map(Track::reversed));
    let it = made(&prism_of(outline, 4.0, 0.0, [Edge::None; 2]));
    let hexagon = 2.0 * 3f64.sqrt() * 15.0 * 15.0;
    near(it.mesh.volume_mm3(), 4.0 * (hexagon - PI * 16.0), 1e-12);
    assert_eq!((it.checks.pieces, it.checks.genus), (1, 1));
}

#[test]
fn mirror_images_keep_their_outside_outside() {
    let body = Body::Placed {
        body: Arc::new(at(block([4.0, 6.0, 8.0]), [10.0, 0.0, 0.0])),
        placement: Placement::mirrored(0),
    };
    let it = made(&body);
    near(it.mesh.volume_mm3(), 192.0, 1e-13);
    assert_eq!(it.mesh.bounds().low[0], -12.0);
    let over = Body::Placed {
        body: Arc::new(turned(profile(&[(0.0, 0.0), (20.0, 0.0), (0.0, 30.0)]))),
        placement: Placement::mirrored(2).then(&Placement::shifted([0.0, 0.0, 30.0])),
    };
    let it = made(&over);
    near(it.mesh.volume_mm3(), PI * 4000.0, 1e-12);
    let low = it.mesh.vertices.iter().filter(|v| v[2] < 1e-9).count();
    assert_eq!(low, 1, "the tip is below");
}

/// A plug lid: disc, skirt below it, knob on top; their faces touch.
#[test]
fn bodies_that_touch_are_joined() {
    let disc = at(rod(79.2, 3.0), [0.0, 0.0, 84.0]);
    let skirt = at(tube(66.7, 2.5, 8.0), [0.0, 0.0, 76.0]);
    let knob = at(rod(18.0, 12.0), [0.0, 0.0, 87.0]);
    let lid = boolean(Operation::Join, boolean(Operation::Join, disc, skirt), knob);
    let it = made(&lid);
    let volume =
        PI * (39.6f64.powi(2) * 3.0 + (35.85f64.powi(2) - 33.35f64.powi(2)) * 8.0 + 81.0 * 12.0);
    near(it.mesh.volume_mm3(), volume, 1e-12);
    let area =
        2.0 * PI * 39.6f64.powi(2) + 2.0 * PI * (39.6 * 3.0 + (35.85 + 33.35) * 8.0 + 9.0 * 12.0);
    near(it.mesh.area_mm2(), area, 1e-4);
    assert_eq!((it.checks.pieces, it.checks.hollows, it.checks.genus), (1, 0, 0));
}

/// Coaxial bodies share facets: what is flush stays flush.
#[test]
fn coaxial_booleans_leave_no_skins() {
    let stacked = boolean(Operation::Join, rod(30.0, 10.0), at(rod(30.0, 5.0), [0.0, 0.0, 10.0]));
    let it = made(&stacked);
    near(it.mesh.volume_mm3(), PI * 225.0 * 15.0, 1e-12);
    assert_eq!((it.checks.pieces, it.checks.genus), (1, 0));
    let plugged = boolean(Operation::Join, tube(30.0, 4.0, 10.0), rod(30.0, 3.0));
    let it = made(&plugged);
    near(it.mesh.volume_mm3(), PI * (361.0 * 10.0 - 225.0 * 7.0), 1e-12);
    assert_eq!((it.checks.pieces, it.checks.genus), (1, 0));
    let drilled = boolean(Operation::Less, rod(38.0, 10.0), rod(30.0, 10.0));
    let it = made(&drilled);
    near(it.mesh.volume_mm3(), PI * (361.0 - 225.0) * 10.0, 1e-12);
    assert_eq!((it.checks.pieces, it.checks.genus), (1, 1));
}

#[test]
fn ports_knobs_and_rows() {
    let cup = turned(cup_profile(40.0, 36.0, 3.0, 60.0));
    let sideways = Placement::turned(1, PI / 2.0).then(&Placement::shifted([0.0, 0.0, 30.0]));
    let port = Body::Placed { body: Arc::new(rod(10.0, 60.0)), placement: sideways };
    let it = made(&boolean(Operation::Less, cup, port));
    assert_eq!((it.checks.pieces, it.checks.genus), (1, 1));
    let feet: Vec<Arc<Body>> = (0..6)
        .map(|k| {
            let turn = Placement::turned(2, PI / 3.0 * f64::from(k));
            let foot = at(rod(6.0, 4.0), [30.0, 0.0, 0.0]);
            Arc::new(Body::Placed { body: Arc::new(foot), placement: turn })
        })
        .collect();
    let it = made(&Body::Many(feet));
    assert_eq!(it.checks.pieces, 6);
    near(it.mesh.volume_mm3(), 6.0 * PI * 9.0 * 4.0, 1e-12);
}

#[test]
fn apart_and_enclosed_bodies() {
    let apart = boolean(Operation::Meet, rod(10.0, 5.0), at(rod(10.0, 5.0), [0.0, 0.0, 50.0]));
    assert!(made(&apart).mesh.is_empty());
    let hollow = boolean(Operation::Less, rod(30.0, 20.0), at(rod(10.0, 5.0), [0.0, 0.0, 5.0]));
    let it = made(&hollow);
    assert_eq!((it.checks.pieces, it.checks.hollows), (1, 1));
    near(it.mesh.volume_mm3(), PI * (225.0 * 20.0 - 25.0 * 5.0), 1e-12);
    let gone = boolean(Operation::Less, rod(10.0, 5.0), at(rod(30.0, 20.0), [0.0, 0.0, -5.0]));
    assert!(made(&gone).mesh.is_empty());
}

#[test]
fn inside_and_outside_are_told() {
    let it = made(&turned(cup_profile(40.0, 36.0, 3.0, 60.0)));
    assert!(it.mesh.contains([38.0, 0.0, 30.0]));
    assert!(!it.mesh.contains([0.0, 0.0, 30.0]));
    assert!(it.mesh.contains([0.0, 0.0, 1.5]));
    assert!(!it.mesh.contains([0.0, 0.0, -1.5]));
    let centre = made(&block([2.0, 4.0, 6.0])).mesh.centroid().unwrap();
    assert!((0..3).all(|c| (centre[c] - [0.0, 0.0, 3.0][c]).abs() < 1e-12));
}

/// The checks see what they are there for.
#[test]
fn checks_find_planted_faults() {
    let good = made(&block([10.0, 10.0, 10.0])).mesh;
    let mut open = good.clone();
    open.triangles.pop();
    open.tags.pop();
    assert_eq!(checks(&open).open_edges, 3);
    let mut through = good.clone();
    through.take(&good.placed(&Placement::shifted([5.0, 4.0, 3.0])));
    assert!(checks(&through).self_intersections > 0);
    let mut skin = good.clone();
    skin.take(&good.placed(&Placement::shifted([0.0, 0.0, 10.0])));
    assert_eq!(checks(&skin).self_intersections, 0);
    assert!(checks(&skin).skins > 0);
    let mut doubled = good.clone();
    doubled.take(&good);
    assert!(checks(&doubled).skins > 0);
    let mut fine = good.clone();
    fine.vertices.iter_mut().for_each(|v| v[0] = v[0] * 1e-8 + 100.0);
    assert!(checks(&fine).collapsing > 0);
}

/// Blocks: nested, crossing, touching, apart.
#[test]
fn overlaps_are_measured() {
    let big = made(&block([20.0, 20.0, 20.0])).mesh;
    let small = |shift| made(&at(block([4.0, 4.0, 4.0]), shift)).mesh;
    for (shift, expected) in [
        ([1.0, 2.0, 3.0], 64.0),
        ([10.0, 0.0, 3.0], 32.0),
        ([12.0, 0.0, 3.0], 0.0),
        ([0.0, 0.0, 20.0], 0.0),
        ([0.0, 0.0, 50.0], 0.0),
        ([0.0, 0.0, 0.0], 64.0),
    ] {
        for (a, b) in [(&big, &small(shift)), (&small(shift), &big)] {
            let found = overlap_mm3(a, b).unwrap();
            assert!((found - expected).abs() < 1e-9, "{shift:?} {found}");
        }
    }
    let cup = made(&turned(cup_profile(20.0, 18.0, 2.0, 30.0))).mesh;
    let inside = made(&at(rod(36.0, 20.0), [0.0, 0.0, 2.0])).mesh;
    assert_eq!(overlap_mm3(&cup, &inside).unwrap(), 0.0);
    assert_eq!(overlap_mm3(&inside, &cup).unwrap(), 0.0);
}
