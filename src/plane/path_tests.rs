use super::super::check::outline_of;
use super::*;

fn to(x: f64, y: f64) -> PathStep {
    PathStep { to: Point::new(x, y), curve: PathCurve::Line, edge: Edge::None, face: None }
}

fn closed(start: (f64, f64), steps: &[PathStep]) -> Result<Track, PathError> {
    path(Point::new(start.0, start.1), steps, Some(&Close::default()))
}

fn area(track: Track) -> f64 {
    outline_of(track).unwrap().area()
}

#[test]
fn arcs_by_point_and_by_radius_agree() {
    let top = |curve| PathStep { curve, ..to(-5.0, 0.0) };
    let through = top(PathCurve::Through(Point::new(0.0, 5.0)));
    let radius = top(PathCurve::Radius { radius: 5.0, left: true, long: false });
    for step in [through, radius] {
        let half = closed((5.0, 0.0), &[step]).unwrap();
        assert!((area(half) - 12.5 * PI).abs() < 1e-12);
    }
    // A major circular segment, central angle 270 deg: r2 / 2 (a - sin a) (CRC tables).
    let long = PathStep {
        curve: PathCurve::Radius { radius: 5.0, left: true, long: true },
        ..to(0.0, -5.0)
    };
    let track = closed((5.0, 0.0), &[long]).unwrap();
    assert_eq!(track.segments.len(), 3);
    assert!((area(track) - 12.5 * (1.5 * PI + 1.0)).abs() < 1e-12);
    let through = PathStep { curve: PathCurve::Through(Point::new(-5.0, 0.0)), ..to(0.0, -5.0) };
    let track = closed((5.0, 0.0), &[through]).unwrap();
    assert!((area(track) - 12.5 * (1.5 * PI + 1.0)).abs() < 1e-12);
    let right = PathStep {
        curve: PathCurve::Radius { radius: 5.0, left: false, long: false },
        ..to(0.0, 5.0)
    };
    // The segment between that arc and its chord.
    let track = closed((5.0, 0.0), &[right]).unwrap();
    assert!((area(track) - 12.5 * (PI / 2.0 - 1.0)).abs() < 1e-12);
}

#[test]
fn a_rounded_corner_takes_its_fillet() {
    // A fillet in a right angle has the area (1 - pi/4) r2 (CRC Standard Mathematical Tables).
    let rounded = PathStep { edge: Edge::Round(3.0), ..to(10.0, 0.0) };
    let track = closed((0.0, 0.0), &[rounded, to(10.0, 8.0), to(0.0, 8.0)]).unwrap();
    assert_eq!(track.segments.len(), 5);
    assert!((area(track) - (80.0 - (1.0 - FRAC_PI_4) * 9.0)).abs() < 1e-12);
}

#[test]
fn a_line_and_an_arc_round_into_each_other() {
    // Line y = 0 to the circle of radius 5 round (0, 5)... the corner circle touches both.
    let arc = PathStep {
        curve: PathCurve::Radius { radius: 10.0, left: true, long: false },
        ..to(0.0, 10.0)
    };
    let line = PathStep { edge: Edge::Round(1.0), ..to(10.0, 0.0) };
    let track = closed((0.0, 0.0), &[line, arc]).unwrap();
    let joint = track.stretches().nth(1).unwrap();
    let Curve::Arc { centre, .. } = joint.curve else { panic!("no arc") };
    // One mm above the line, nine from the middle of the large circle.
    assert!((centre.y - 1.0).abs() < 1e-12 && (centre.length() - 9.0).abs() < 1e-12);
    let pieces: Vec<_> = track.stretches().collect();
    for pair in pieces.windows(2).take(2) {
        assert!(pair[0].direction(1.0).distance(pair[1].direction(0.0)) < 1e-12);
    }
}

#[test]
fn the_closing_corner_is_treated_too() {
    let close =
        Close { edge: Edge::Bevel { leg: 2.0, angle: FRAC_PI_4 }, face: Some("wall".into()) };
    let steps = [to(10.0, 0.0), to(10.0, 10.0), to(0.0, 10.0)];
    let track = path(Point::default(), &steps, Some(&close)).unwrap();
    assert_eq!(track.segments.len(), 5);
    assert_eq!(track.segments[3].face.as_deref(), Some("wall"));
    assert_eq!(track.segments[4].face, None);
    assert!((area(track) - 98.0).abs() < 1e-12);
    // The same where the last step already returns.
    let steps = [to(10.0, 0.0), to(10.0, 10.0), to(0.0, 10.0), to(0.0, 1e-12)];
    let track = path(Point::default(), &steps, Some(&close)).unwrap();
    assert_eq!(track.segments.len(), 5);
    assert_eq!(track.segments[3].face.as_deref(), Some("wall"));
}

#[test]
fn errors_name_the_step_and_both_values() {
    let fails = |steps: &[PathStep]| closed((0.0, 0.0), steps).unwrap_err();
    assert_eq!(
        fails(&[to(10.0, 0.0), to(10.0, 0.0)]),
        PathError { step: 1, reason: PlaneError::NoLength { at: Point::new(10.0, 0.0) } }
    );
    let short = |radius| PathStep {
        curve: PathCurve::Radius { radius, left: true, long: false },
        ..to(10.0, 0.0)
    };
    assert_eq!(
        fails(&[short(4.0)]).reason,
        PlaneError::RadiusTooSmall { radius_mm: 4.0, least_mm: 5.0 }
    );
    let large = PathStep { edge: Edge::Round(9.0), ..to(10.0, 0.0) };
    let failed = fails(&[large.clone(), to(10.0, 8.0), to(0.0, 8.0)]);
    assert_eq!(failed.step, 0);
    let PlaneError::TreatmentTooLong { wanted_mm, room_mm } = failed.reason else { panic!() };
    assert!((wanted_mm - 9.0).abs() < 1e-9 && room_mm == 8.0);
    let open = path(Point::default(), &[large], None).unwrap_err();
    assert!(matches!(open.reason, PlaneError::FreeEnd { .. }));
    let smooth = PathStep { edge: Edge::Round(1.0), ..to(5.0, 0.0) };
    assert!(matches!(
        fails(&[smooth, to(10.0, 0.0), to(10.0, 8.0)]).reason,
        PlaneError::NoCorner { .. }
    ));
    let straight = PathStep { curve: PathCurve::Through(Point::new(5.0, 0.0)), ..to(10.0, 0.0) };
    assert!(matches!(fails(&[straight]).reason, PlaneError::StraightArc { .. }));
    assert!(matches!(fails(&[]).reason, PlaneError::TooFewPoints { .. }));
}
