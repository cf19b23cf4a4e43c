use super::*;

fn barrel() -> Meridian {
    // A circle of 50 about (0, 30).
    let at = |z: f64| Point::new((2500.0 - (z - 30.0) * (z - 30.0_f64)).sqrt(), z);
    Meridian::of(&[Stretch::arc(at(5.0), at(55.0), Point::new(0.0, 30.0), true)]).unwrap()
}

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-9, "{found} {wanted}");
}

/// A circle about a point of the axis: radius sqrt(R^2 - z^2), its parallel that of R - d, its
/// slope -z / r (elementary, no source).
#[test]
fn a_barrel_has_the_radii_of_its_sphere() {
    let barrel = barrel();
    for z in [6.0, 22.0, 30.0, 54.0] {
        let h = z - 30.0;
        near(barrel.radius_mm(z), (2500.0 - h * h).sqrt());
        near(barrel.parallel_mm(z, -2.0, 1.0), (48.0 * 48.0 - h * h).sqrt());
        near(barrel.slope(z), -h / (2500.0 - h * h).sqrt());
    }
    let (height, out) = barrel.beside(Point::new(30.0, 70.0));
    near(height, 0.0);
    near(out.x, 0.6);
    near(out.y, 0.8);
    near(barrel.tightest_mm(-3.0), 47.0);
    assert_eq!(barrel.tightest_mm(3.0), f64::INFINITY);
}

/// A line that runs into an arc smoothly, and the same with a corner.
#[test]
fn only_smooth_steps_make_a_meridian() {
    let neck = Stretch::line(Point::new(20.0, 0.0), Point::new(20.0, 10.0));
    let arc =
        Stretch::arc(Point::new(20.0, 10.0), Point::new(16.0, 18.0), Point::new(10.0, 10.0), true);
    let made = Meridian::of(&[arc, neck]).unwrap();
    assert_eq!(made.span_mm(), [0.0, 18.0]);
    near(made.radius_mm(5.0), 20.0);
    near(made.radius_mm(18.0), 16.0);
    near(made.parallel_mm(5.0, -2.0, 1.0), 18.0);
    let corner = Stretch::line(Point::new(18.0, 0.0), Point::new(20.0, 10.0));
    assert_eq!(Meridian::of(&[corner, arc]), None);
    let level =
        Stretch::arc(Point::new(20.0, 10.0), Point::new(10.0, 20.0), Point::new(10.0, 10.0), true);
    assert_eq!(Meridian::of(&[level]), None);
}

/// Moving a ceiling cone by g square to itself: the point of the face where the moved cone meets
/// it lies at distance g from the old cone.
#[test]
fn cones_move_square_to_themselves() {
    let barrel = barrel();
    for (sense, lower) in [(1.0, false), (1.0, true), (-1.0, false), (-1.0, true)] {
        let seen = Seen { meridian: &barrel, sense, lower, angle_rad: 0.9 };
        let y = seen.turned(33.0);
        let moved = seen.of_cone(seen.cone_mm(y) + 0.25, y);
        let (a, b) = (seen.turned(y), seen.turned(moved));
        let (p, q) = (barrel.radius_mm(a), barrel.radius_mm(b));
        let (sin, cos) = 0.9f64.sin_cos();
        near((moved - y) * sin - sense * (q - p) * cos, 0.25);
    }
}
