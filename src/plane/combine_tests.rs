use super::super::{Edge, Point, disc, polygon, rect, regular, slot};
use super::*;
use i_overlay::core::{fill_rule::FillRule, overlay_rule::OverlayRule};
use i_overlay::float::single::SingleFloatOverlay;
use proptest::prelude::*;
use std::f64::consts::PI;

fn near(found: &Outline, area: f64) {
    assert!((found.area() - area).abs() < 1e-11 * area.max(1.0), "{} {area}", found.area());
}

fn make(how: Combine, a: &Outline, b: &Outline) -> Outline {
    combine(how, a, b).unwrap()
}

/// Two circles of radius r whose centres are r apart share (2 pi / 3 - sqrt 3 / 2) r2
/// (Weisstein, MathWorld, "Circle-Circle Intersection").
#[test]
fn two_discs_share_a_lens() {
    let a = disc(10.0).unwrap();
    let b = a.shifted(Point::new(5.0, 0.0));
    let lens = 25.0 * (2.0 * PI / 3.0 - 3f64.sqrt() / 2.0);
    near(&make(Combine::Meet, &a, &b), lens);
    near(&make(Combine::Join, &a, &b), 50.0 * PI - lens);
    near(&make(Combine::Less, &a, &b), 25.0 * PI - lens);
    let joined = make(Combine::Join, &a, &b);
    assert_eq!(joined.loops.len(), 1);
    assert!(joined.loops[0].segments.iter().all(|s| s.curve != super::super::Curve::Line));
}

#[test]
fn holes_and_islands_come_out() {
    let plate = rect(20.0, 20.0, Edge::None).unwrap();
    let hole = disc(10.0).unwrap();
    let washer = make(Combine::Less, &plate, &hole);
    near(&washer, 400.0 - 25.0 * PI);
    assert_eq!(washer.loops.len(), 2);
    let filled = make(Combine::Join, &washer, &hole);
    near(&filled, 400.0);
    assert_eq!(filled.loops[0].segments.len(), 4);
    assert!(make(Combine::Less, &hole, &plate).is_empty());
    assert!(make(Combine::Meet, &washer, &hole).is_empty());
    assert_eq!(make(Combine::Join, &Outline::default(), &hole).area(), hole.area());
    // A slot cut through the middle leaves two pieces.
    let cut = make(Combine::Less, &plate, &rect(2.0, 30.0, Edge::None).unwrap());
    near(&cut, 360.0);
    assert_eq!(cut.loops.len(), 2);
}

#[test]
fn what_lies_side_by_side_becomes_one() {
    let a = rect(10.0, 10.0, Edge::None).unwrap();
    let beside = a.shifted(Point::new(10.0, 0.0));
    let joined = make(Combine::Join, &a, &beside);
    near(&joined, 200.0);
    assert_eq!(joined.loops.len(), 1);
    // Sides of one name that run on straight are one side.
    assert_eq!(joined.loops[0].segments.len(), 4);
    let corner = make(Combine::Join, &a, &a.shifted(Point::new(10.0, 10.0)));
    near(&corner, 200.0);
    assert_eq!(corner.loops.len(), 2);
    let halves =
        make(Combine::Less, &slot(30.0, 10.0).unwrap(), &rect(20.0, 10.0, Edge::None).unwrap());
    near(&halves, 25.0 * PI);
    assert_eq!(halves.loops.len(), 2);
}

#[test]
fn faces_survive_and_order_is_fixed() {
    let plate = rect(20.0, 10.0, Edge::None).unwrap();
    let bite = disc(6.0).unwrap().shifted(Point::new(0.0, 5.0));
    let bitten = make(Combine::Less, &plate, &bite);
    let names: Vec<_> = bitten.loops[0].segments.iter().map(|s| s.face.as_deref()).collect();
    assert_eq!(
        names,
        [Some("front"), Some("right"), Some("back"), None, Some("back"), Some("left")]
    );
    let mut turned = plate.clone();
    turned.loops[0] = {
        let mut track = turned.loops[0].clone();
        track.start = track.segments[0].to;
        track.segments.rotate_left(1);
        track
    };
    assert_eq!(make(Combine::Less, &turned, &bite), bitten);
}

/// Steiner's formula for convex regions: area + perimeter d + pi d2.
#[test]
fn growing_follows_steiner() {
    for shape in [rect(20.0, 10.0, Edge::Round(2.0)), regular(7, 12.0), slot(20.0, 8.0)] {
        let shape = shape.unwrap();
        let grown = grown(&shape, 1.5, Corners::Round).unwrap();
        near(&grown, shape.area() + shape.perimeter() * 1.5 + PI * 2.25);
    }
    let plate = rect(20.0, 10.0, Edge::None).unwrap();
    near(&grown(&plate, 1.0, Corners::Mitre).unwrap(), 22.0 * 12.0);
    near(&grown(&plate, -1.0, Corners::Mitre).unwrap(), 18.0 * 8.0);
    assert!(grown(&plate, -6.0, Corners::Mitre).unwrap().is_empty());
    let ring = make(Combine::Less, &disc(20.0).unwrap(), &disc(10.0).unwrap());
    near(&grown(&ring, 1.0, Corners::Mitre).unwrap(), PI * (121.0 - 16.0));
    near(&grown(&ring, -1.0, Corners::Mitre).unwrap(), PI * (81.0 - 36.0));
    let names = grown(&plate, 1.0, Corners::Mitre).unwrap();
    assert_eq!(names.loops[0].segments.len(), 4);
    assert!(names.loops[0].segments.iter().all(|s| s.face.is_some()));
}

/// Rounding off by shrinking exactly to nothing and growing back, concave corners.
#[test]
fn growing_handles_arcs_that_vanish() {
    let plate = rect(20.0, 10.0, Edge::Round(2.0)).unwrap();
    near(&grown(&plate, -2.0, Corners::Mitre).unwrap(), 16.0 * 6.0);
    near(&grown(&plate, -3.0, Corners::Mitre).unwrap(), 14.0 * 4.0);
    let p = Point::new;
    let ell =
        polygon(&[p(0.0, 0.0), p(9.0, 0.0), p(9.0, 4.0), p(4.0, 4.0), p(4.0, 9.0), p(0.0, 9.0)])
            .unwrap();
    near(&grown(&ell, -1.0, Corners::Mitre).unwrap(), 7.0 * 2.0 + 2.0 * 5.0);
    near(&grown(&ell, -1.0, Corners::Round).unwrap(), 24.0 + (1.0 - PI / 4.0));
    near(&grown(&ell, 1.0, Corners::Mitre).unwrap(), 11.0 * 6.0 + 6.0 * 5.0);
}

fn shape() -> impl Strategy<Value = Outline> {
    // Positions on a grid of halves make common lines and touching corners likely.
    let halves = |low: i32, high: i32| (low..high).prop_map(|v| f64::from(v) / 2.0);
    (0..5, halves(2, 12), halves(2, 12), halves(-8, 8), halves(-8, 8), 0..24u32).prop_map(
        |(kind, w, h, x, y, turn)| {
            let made = match kind {
                0 => rect(w, h, Edge::None),
                1 => rect(w, h, Edge::Round(w.min(h) / 4.0)),
                2 => disc(w),
                3 => slot(w.max(h), w.min(h)),
                _ => regular(3 + turn % 5, w),
            };
            made.unwrap().spun(f64::from(turn % 4) * PI / 6.0).shifted(Point::new(x, y))
        },
    )
}

fn overlaid(rule: OverlayRule, a: &Outline, b: &Outline) -> f64 {
    let flat = |o: &Outline| -> Vec<Vec<[f64; 2]>> {
        o.flattened(1e-6).iter().map(|l| l.iter().map(|p| [p.x, p.y]).collect()).collect()
    };
    let shapes = flat(a).overlay_as::<i64>(&flat(b), rule, FillRule::NonZero);
    let cross = |p: [f64; 2], q: [f64; 2]| (p[0] * q[1] - p[1] * q[0]) / 2.0;
    shapes
        .iter()
        .flatten()
        .map(|l| (0..l.len()).map(|i| cross(l[i], l[(i + 1) % l.len()])).sum::<f64>())
        .sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Inclusion and exclusion, and the areas of an independent polygon library
    /// (i_overlay) on fine flattenings.
    #[test]
    fn areas_add_up(a in shape(), b in shape(), c in shape()) {
        let a = combine(Combine::Join, &a, &c).unwrap();
        let (join, less, meet) = (
            combine(Combine::Join, &a, &b).unwrap(),
            combine(Combine::Less, &a, &b).unwrap(),
            combine(Combine::Meet, &a, &b).unwrap(),
        );
        prop_assert!((join.area() + meet.area() - a.area() - b.area()).abs() < 1e-6);
        prop_assert!((less.area() + meet.area() - a.area()).abs() < 1e-6);
        let near = |rule, outline: &Outline| {
            let other = overlaid(rule, &a, &b);
            (outline.area() - other).abs() < 1e-6 * outline.perimeter().max(1.0)
        };
        prop_assert!(near(OverlayRule::Union, &join));
        prop_assert!(near(OverlayRule::Difference, &less));
        prop_assert!(near(OverlayRule::Intersect, &meet));
        let again = combine(Combine::Join, &join, &join).unwrap();
        prop_assert!((again.area() - join.area()).abs() < 1e-9);
    }

    /// Growing and shrinking with round corners against the definition by distance.
    #[test]
    fn grown_is_what_lies_within_a_distance(a in shape(), b in shape(), by in 1..8i32, x in -12.0..12.0, y in -12.0..12.0) {
        let by = f64::from(by) / 4.0 + 0.01;
        let a = combine(Combine::Join, &a, &b).unwrap();
        let point = Point::new(x, y);
        let away = a.stretches().map(|s| s.distance(point)).fold(f64::INFINITY, f64::min);
        let signed = if a.contains(point) { -away } else { away };
        if (signed - by).abs() > 1e-6 {
            prop_assert_eq!(grown(&a, by, Corners::Round).unwrap().contains(point), signed < by);
        }
        if (signed + by).abs() > 1e-6 {
            prop_assert_eq!(grown(&a, -by, Corners::Round).unwrap().contains(point), signed < -by);
        }
    }
}
