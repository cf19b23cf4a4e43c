use super::super::{Close, Edge, PathCurve, PathStep, disc, outline_of, path, polygon, rect};
use super::*;
use std::f64::consts::PI;

fn near(found: f64, wanted: f64, relative: f64) {
    assert!((found - wanted).abs() <= relative * wanted.abs(), "{found} instead of {wanted}");
}

fn line(x: f64, y: f64) -> PathStep {
    PathStep { to: Point::new(x, y), curve: PathCurve::Line, edge: Edge::None, face: None }
}

fn profile(start: (f64, f64), steps: &[PathStep]) -> Outline {
    let track = path(Point::new(start.0, start.1), steps, Some(&Close::default())).unwrap();
    outline_of(track).unwrap()
}

/// Handbook formulas (CRC Standard Mathematical Tables, mensuration): hollow cylinder,
/// torus, frustum of a cone, cap of a sphere.
#[test]
fn turned_bodies_have_their_handbook_volumes() {
    let tube = profile((38.0, 0.0), &[line(40.0, 0.0), line(40.0, 80.0), line(38.0, 80.0)]);
    near(tube.turned_volume(), 39_207.076, 1e-8);
    near(tube.turned_centroid().unwrap(), 40.0, 1e-14);
    let torus = disc(6.0).unwrap().shifted(Point::new(40.0, 7.0));
    near(torus.turned_volume(), 2.0 * PI * PI * 40.0 * 9.0, 1e-13);
    near(torus.turned_area(), 4.0 * PI * PI * 40.0 * 3.0, 1e-13);
    near(torus.turned_centroid().unwrap(), 7.0, 1e-13);
    let frustum = profile((0.0, 0.0), &[line(40.0, 0.0), line(30.0, 10.0), line(0.0, 10.0)]);
    near(frustum.turned_volume(), PI * 10.0 / 3.0 * 3700.0, 1e-14);
    near(frustum.turned_volume(), 38_746.309, 2e-8);
    let slant = 200f64.sqrt();
    near(frustum.turned_area(), PI * 70.0 * slant + PI * (1600.0 + 900.0), 1e-14);
    // Centroid of a frustum: h (R2 + 2 R r + 3 r2) / 4 (R2 + R r + r2) above the base.
    near(frustum.turned_centroid().unwrap(), 10.0 * 6700.0 / (4.0 * 3700.0), 1e-14);
    let arc = PathStep {
        curve: PathCurve::Radius { radius: 50.0, left: true, long: false },
        ..line(0.0, 50.0)
    };
    let cap = profile((0.0, 40.0), &[line(30.0, 40.0), arc]);
    near(cap.turned_volume(), PI * 100.0 * 140.0 / 3.0, 1e-12);
    near(cap.turned_area(), PI * 900.0 + 2.0 * PI * 50.0 * 10.0, 1e-13);
    // Height of the cap's centroid over the centre of the sphere: 3 (2r - h)2 / 4 (3r - h).
    near(cap.turned_centroid().unwrap(), 3.0 * 90.0 * 90.0 / (4.0 * 140.0), 1e-12);
}

/// Pappus with the handbook's fillet, area (1 - pi/4) r2 and centroid
/// (10 - 3 pi) / (12 - 3 pi) r from the walls, and with triangles.
#[test]
fn edges_of_turned_bodies_take_what_pappus_says() {
    let rod = |edge: Edge| {
        let rim = PathStep { edge, ..line(40.0, 20.0) };
        profile((0.0, 0.0), &[line(40.0, 0.0), rim, line(0.0, 20.0)]).turned_volume()
    };
    let bevel = Edge::Bevel { leg: 1.0, angle: PI / 4.0 };
    near(rod(Edge::None) - rod(bevel), 124.6165, 1e-6);
    let bore = |edge: Edge| {
        let rim = PathStep { edge, ..line(38.0, 20.0) };
        profile((40.0, 0.0), &[line(40.0, 20.0), rim, line(38.0, 0.0)]).turned_volume()
    };
    near(bore(Edge::None) - bore(bevel), 120.4277, 1e-6);
    let arc = PathStep {
        curve: PathCurve::Radius { radius: 5.0, left: true, long: false },
        ..line(38.0, 5.0)
    };
    let fillet = profile((38.0, 0.0), &[line(33.0, 0.0), arc]);
    near(fillet.area(), 5.365046, 1e-6);
    near(38.0 - fillet.centroid().unwrap().x, 1.11684, 1e-5);
    near(fillet.turned_volume(), 1243.316, 1e-6);
}

/// Centroid of a quarter disc: 4 r / (3 pi) from both sides (CRC tables).
#[test]
fn a_quarter_disc_balances_where_the_tables_say() {
    let arc = PathStep {
        curve: PathCurve::Radius { radius: 6.0, left: true, long: false },
        ..line(0.0, 6.0)
    };
    let quarter = profile((0.0, 0.0), &[line(6.0, 0.0), arc]);
    let centre = quarter.centroid().unwrap();
    near(centre.x, 8.0 / PI, 1e-14);
    near(centre.y, 8.0 / PI, 1e-14);
    // Product of inertia of a quarter disc: r4 / 8 (CRC tables).
    near(quarter.moments().xy, 6f64.powi(4) / 8.0, 1e-13);
    near(quarter.perimeter(), 12.0 + 3.0 * PI, 1e-14);
}

/// The closed form of the circular segment against the polygon of its flattening
/// (independent: only triangles), for arcs of any size and direction.
#[test]
fn segments_agree_with_fine_polygons() {
    for (sweep, start, left) in [(0.3, 0.4, true), (2.0, -2.5, true), (3.1, 1.0, false)] {
        let sense = if left { sweep } else { -sweep };
        let centre = Point::new(9.0, -4.0);
        let at = |angle| centre + Point::polar(3.0, angle);
        let stretch = Stretch::arc(at(start), at(start + sense), centre, left);
        let mut exact = Moments::chord(&stretch);
        exact.add(Moments::segment(&stretch));
        let mut sum = Moments::default();
        let mut from = stretch.from;
        for to in stretch.points(1e-9) {
            sum.add(Moments::chord(&Stretch::line(from, to)));
            from = to;
        }
        near(exact.area, sum.area, 1e-8);
        near(exact.x, sum.x, 1e-8);
        near(exact.y, sum.y, 1e-8);
        near(exact.xy, sum.xy, 1e-8);
    }
}

#[test]
fn inside_is_told_from_outside() {
    let ring = rect(20.0, 10.0, Edge::Round(5.0)).unwrap();
    let inside = [(0.0, 0.0), (9.9, 0.0), (-9.9, 0.0), (5.0, 4.99), (8.5, 3.5)];
    let outside = [(10.1, 0.0), (8.6, 3.6), (0.0, 5.1), (-9.0, -4.0), (-20.0, 5.0), (-20.0, 0.0)];
    assert!(inside.iter().all(|&(x, y)| ring.contains(Point::new(x, y))));
    assert!(outside.iter().all(|&(x, y)| !ring.contains(Point::new(x, y))));
    let p = Point::new;
    let diamond = polygon(&[p(5.0, 0.0), p(0.0, 5.0), p(-5.0, 0.0), p(0.0, -5.0)]).unwrap();
    assert!(diamond.contains(p(0.0, 0.0)) && !diamond.contains(p(-6.0, 0.0)));
    assert!(!diamond.contains(p(-6.0, 5.0)) && !diamond.contains(p(-6.0, -5.0)));
}

/// Area of an inscribed polygon: n / 2 r2 sin(2 pi / n) (CRC tables).
#[test]
fn flattening_inscribes_a_regular_polygon() {
    let flat = disc(80.0).unwrap().flattened(0.0120);
    let n = flat[0].len() as f64;
    assert_eq!(flat[0].len(), 130);
    let area: f64 =
        (0..flat[0].len()).map(|i| flat[0][i].cross(flat[0][(i + 1) % flat[0].len()]) / 2.0).sum();
    near(area, n / 2.0 * 1600.0 * (2.0 * PI / n).sin(), 1e-13);
}
