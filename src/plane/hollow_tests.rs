use super::super::{PathCurve, PathStep};
use super::*;
use std::f64::consts::PI;

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-9 * wanted.abs().max(1.0), "{found} {wanted}");
}

fn line(x: f64, y: f64) -> PathStep {
    let to = Point::new(x, y);
    PathStep { to, curve: PathCurve::Line, edge: Edge::None, face: None }
}

fn bulge(x: f64, y: f64, via: (f64, f64)) -> PathStep {
    let curve = PathCurve::Through(Point::new(via.0, via.1));
    PathStep { curve, face: Some("belly".into()), ..line(x, y) }
}

fn plan(start: (f64, f64), steps: &[PathStep], wall_mm: f64, floor_mm: f64) -> HollowPlan {
    let profile = path(Point::new(start.0, start.1), steps, None).unwrap();
    HollowPlan { profile, wall_mm, floor_mm, foot: Edge::None, rim: Edge::None }
}

/// Radius of the centre of area of what is turned, by the divergence theorem on a fine polygon:
/// independent of the moments of the room.
fn turned_volume(outline: &Outline) -> f64 {
    let mut sum = 0.0;
    for track in &outline.loops {
        let points: Vec<Point> = std::iter::once(track.start)
            .chain(track.stretches().flat_map(|s| s.points(1e-9)))
            .collect();
        for pair in points.windows(2) {
            let [a, b] = [pair[0], pair[1]];
            // Integral of pi r^2 dz along a straight piece: the frustum.
            sum += PI / 3.0 * (a.x * a.x + a.x * b.x + b.x * b.x) * (b.y - a.y);
        }
    }
    sum
}

/// A straight wall: the vessel that the cylinder gives, volumes by pi r^2 h.
#[test]
fn a_straight_profile_gives_the_straight_vessel() {
    let made = hollow(&plan((20.0, 0.0), &[line(20.0, 50.0)], 3.0, 2.0)).unwrap();
    near(made.mouth_mm, 17.0);
    near(made.across_mm, 20.0);
    near(made.height_mm - made.bottom_mm, 48.0);
    near(made.lean_rad, 0.0);
    near(turned_volume(&made.cavity), PI * 17.0 * 17.0 * 48.0);
    near(turned_volume(&made.wall), PI * (400.0 * 50.0 - 289.0 * 48.0));
}

/// A leaning wall: the parallel of a line leaves the rim and the floor where similar triangles
/// say, wall / cos(lean) inside the profile.
#[test]
fn a_leaning_profile_has_an_even_wall() {
    for (foot, rim) in [(20.0, 35.0), (35.0, 20.0)] {
        let made = hollow(&plan((foot, 0.0), &[line(rim, 40.0)], 2.0, 3.0)).unwrap();
        let lean = ((rim - foot) / 40.0_f64).atan();
        near(made.mouth_mm, rim - 2.0 / lean.cos());
        near(made.lean_rad, lean);
        let inside = made.cavity.stretches().find(|s| (s.to.y - s.from.y).abs() > 30.0).unwrap();
        near(inside.from.y.min(inside.to.y), 3.0);
    }
}

/// A barrel whose profile is an arc about a point of the axis is a zone of a sphere, its inside a
/// zone of the sphere that is smaller by the wall. Zone volume pi h (3 a^2 + 3 b^2 + h^2) / 6 (CRC
/// Standard Mathematical Tables, spherical segment).
#[test]
fn a_barrel_about_its_centre_is_a_zone_of_two_spheres() {
    let (ball, half) = (50.0_f64, 30.0_f64);
    let end = (ball * ball - half * half).sqrt();
    let steps = [bulge(end, 60.0, (ball, 30.0))];
    let made = hollow(&plan((end, 0.0), &steps, 4.0, 5.0)).unwrap();
    let inner = 46.0_f64;
    let at = |z: f64| (inner * inner - (z - half) * (z - half)).sqrt();
    near(made.mouth_mm, at(60.0));
    let zone = |a: f64, b: f64, h: f64| PI * h * (3.0 * a * a + 3.0 * b * b + h * h) / 6.0;
    let cavity = zone(at(5.0), at(60.0), 55.0);
    assert!((turned_volume(&made.cavity) - cavity).abs() < 1e-4 * cavity.sqrt());
    let whole = zone(end, end, 60.0);
    assert!((turned_volume(&made.wall) - (whole - cavity)).abs() < 1e-4 * whole.sqrt());
    let names: Vec<_> = made.wall.loops[0].segments.iter().map(|s| s.face.as_deref()).collect();
    assert!(names.contains(&Some("belly")) && names.contains(&Some("inside")));
}

/// A bowl that starts on the axis, square to it, has a round bottom and no level floor.
#[test]
fn a_round_bottom_needs_no_floor() {
    let made = hollow(&plan(
        (0.0, 0.0),
        &[bulge(30.0, 30.0, (21.213203435596427, 8.786796564403573))],
        3.0,
        2.0,
    ));
    let made = made.unwrap();
    near(made.bottom_mm, 3.0);
    near(made.mouth_mm, 27.0);
    assert!((turned_volume(&made.cavity) - 2.0 / 3.0 * PI * 27.0_f64.powi(3)).abs() < 1e-3);
}

#[test]
fn what_does_not_fit_says_why() {
    let why = |plan: &HollowPlan| hollow(plan).unwrap_err();
    let up = [line(20.0, 40.0)];
    assert!(matches!(why(&plan((20.0, 1.0), &up, 2.0, 2.0)), HollowError::OffGround { .. }));
    assert!(matches!(why(&plan((20.0, 0.0), &up, 2.0, 40.0)), HollowError::FloorAboveRim { .. }));
    assert!(matches!(why(&plan((20.0, 0.0), &up, 21.0, 2.0)), HollowError::NoRoom { .. }));
    let over = [line(22.0, 40.0), line(24.0, 30.0)];
    assert!(matches!(why(&plan((20.0, 0.0), &over, 2.0, 2.0)), HollowError::AboveRim { .. }));
    let left = [line(-1.0, 40.0)];
    assert!(matches!(why(&plan((20.0, 0.0), &left, 2.0, 2.0)), HollowError::LeftOfAxis { .. }));
    // The inside of a nearly level step starts above the floor and its arc never comes down to it.
    let tight = [bulge(20.0, 6.0, (23.0, 3.0)), line(20.0, 40.0)];
    assert!(matches!(why(&plan((20.0, 0.0), &tight, 3.5, 4.0)), HollowError::Plane(_)));
    // The inner circle stays below the rim.
    let closing = [bulge(10.0, 40.0, (28.2842712474619, 28.284271247461902))];
    let found = why(&plan((40.0, 0.0), &closing, 10.0, 2.0));
    assert!(
        matches!(
            found,
            HollowError::MissesRim { .. }
                | HollowError::NoRoom { .. }
                | HollowError::AboveRim { .. }
        ),
        "{found:?}"
    );
}
