//! Lines with a width.

use super::arrange::{Input, arrange};
use super::builders::above_zero;
use super::check::outline_of;
use super::combine::{Combine, combine, grown};
use super::crossing::{TOUCH_MM, carriers_meet, lines_meet};
use super::error::PlaneError;
use super::outline::{Curve, Outline, Point, Segment, Track};
use super::stretch::Stretch;
use std::f64::consts::PI;
use std::sync::Arc;

/// Where a stroke lies beside its line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Side {
    /// Half on each side.
    #[default]
    Middle,
    /// To the left as the line runs.
    Left,
    /// To the right.
    Right,
}

/// How a stroke ends.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Ends {
    /// Square to the line.
    #[default]
    Flat,
    /// In a half circle.
    Round,
}

/// How the outer side goes round a corner.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Corners {
    /// To a point.
    #[default]
    Mitre,
    /// Round the corner.
    Round,
    /// To a point no longer than this ratio of the width, measured from the inner corner;
    /// else cut straight across. One-sided strokes take it for a mitre.
    Limited { ratio: f64 },
}

/// Turns of less than this are smooth: the wedge between is thinner than what
/// touches, up to widths of 100 mm; rad.
const SMOOTH_RAD: f64 = 1e-9;

/// A mitre at a corner that turns by more is longer than ten times its width; rad.
const MITRE_LIMIT_RAD: f64 = PI - 0.2;

/// The line with a width. A closed track gives a ring. A one-sided stroke has on its
/// drawn side the faces of the track; other strokes have none.
///
/// # Errors
/// A width that is not above 0; corners too sharp for it; a one-sided stroke that
/// runs into itself.
pub fn stroke(
    track: &Track,
    width_mm: f64,
    side: Side,
    ends: Ends,
    corners: Corners,
) -> Result<Outline, PlaneError> {
    let width = above_zero("width", width_mm)?;
    if side == Side::Middle {
        let mut inputs = bands(track, [width / 2.0; 2], corners)?;
        if ends == Ends::Round && !track.is_closed() {
            inputs.extend(round_ends(track, width / 2.0));
        }
        for input in &mut inputs {
            input.face = None;
        }
        return arrange(&inputs, |[_, band]| band > 0);
    }
    if track.is_closed() {
        return one_sided_ring(track, width, side, corners);
    }
    let offset = beside(track, if side == Side::Left { width } else { -width }, corners)?;
    outline_of(between(track, &offset, ends))
}

/// Closed loops, anticlockwise, that together cover all within `widths` (left, right)
/// of the track, of group 1. Sides carry the faces of the segments.
pub(super) fn bands(
    track: &Track,
    widths: [f64; 2],
    corners: Corners,
) -> Result<Vec<Input>, PlaneError> {
    let mut inputs = Vec::new();
    for (from, segment) in track.iter() {
        let stretch = Stretch { from, to: segment.to, curve: segment.curve };
        band(&mut inputs, &stretch, widths, &segment.face);
    }
    let count = track.segments.len();
    let joints = if track.is_closed() { count } else { count - 1 };
    let stretches: Vec<Stretch> = track.stretches().collect();
    for i in 0..joints {
        let j = (i + 1) % count;
        let faces = [&track.segments[i].face, &track.segments[j].face];
        wedge(&mut inputs, [&stretches[i], &stretches[j]], widths, corners, faces)?;
    }
    Ok(inputs)
}

type Face = Option<Arc<str>>;

fn push(inputs: &mut Vec<Input>, stretch: Stretch, face: &Face) {
    if stretch.from != stretch.to {
        inputs.push(Input { stretch, face: face.clone(), group: 1 });
    }
}

/// What one segment sweeps.
fn band(inputs: &mut Vec<Input>, stretch: &Stretch, [left, right]: [f64; 2], face: &Face) {
    match (stretch.beside(-right), stretch.beside(left)) {
        (Some(right), Some(left)) => {
            push(inputs, right, face);
            push(inputs, Stretch::line(right.to, left.to), &None);
            push(inputs, left.reversed(), face);
            push(inputs, Stretch::line(left.from, right.from), &None);
        }
        (Some(outer), None) => pies(inputs, &outer, left, stretch, face),
        (None, Some(outer)) => pies(inputs, &outer.reversed(), right, stretch, face),
        (None, None) => {}
    }
}

/// What an arc sweeps whose radius is less than the `width` on its inner side: the
/// sector under `outer` (anticlockwise), and the opposite one that reaches beyond the
/// centre.
fn pies(inputs: &mut Vec<Input>, outer: &Stretch, width: f64, stretch: &Stretch, face: &Face) {
    let (Curve::Arc { centre, .. }, Some(radius), Some(large)) =
        (stretch.curve, stretch.radius(), outer.radius())
    else {
        return;
    };
    pie(inputs, outer, centre, face);
    let beyond = width - radius;
    if beyond > TOUCH_MM {
        let across = |p: Point| centre - (p - centre) * (beyond / large);
        pie(
            inputs,
            &Stretch::arc(across(outer.from), across(outer.to), centre, true),
            centre,
            face,
        );
    }
}

fn pie(inputs: &mut Vec<Input>, arc: &Stretch, centre: Point, face: &Face) {
    push(inputs, Stretch::line(centre, arc.from), &None);
    push(inputs, *arc, face);
    push(inputs, Stretch::line(arc.to, centre), &None);
}

/// What fills the outer side of the corner between two segments.
fn wedge(
    inputs: &mut Vec<Input>,
    [a, b]: [&Stretch; 2],
    [left, right]: [f64; 2],
    corners: Corners,
    faces: [&Face; 2],
) -> Result<(), PlaneError> {
    let (da, db) = (a.direction(1.0), b.direction(0.0));
    let turn = da.cross(db).atan2(da.dot(db));
    if turn.abs() < SMOOTH_RAD {
        return Ok(());
    }
    let corner = b.from;
    // Turning left opens the right side. Either way round the corner anticlockwise.
    let (first, second, faces, width) = match turn > 0.0 {
        true => (corner - da.left() * right, corner - db.left() * right, faces, right),
        false => (corner + db.left() * left, corner + da.left() * left, [faces[1], faces[0]], left),
    };
    if corners == Corners::Round {
        pie(inputs, &Stretch::arc(first, second, corner, true), corner, &None);
        return Ok(());
    }
    // A mitre is 1 / cos(turn / 2) widths long (SVG 1.1, 11.4, where the angle between the
    // lines stands for half a turn less this one).
    if let Corners::Limited { ratio } = corners
        && (turn / 2.0).cos() * ratio < 1.0
    {
        push(inputs, Stretch::line(corner, first), &None);
        push(inputs, Stretch::line(first, second), &None);
        push(inputs, Stretch::line(second, corner), &None);
        return Ok(());
    }
    if turn.abs() > MITRE_LIMIT_RAD {
        return Err(PlaneError::MitreTooLong { at: corner });
    }
    let middle = ((first - corner) + (second - corner)).unit();
    let tip = corner + middle * (width / (turn / 2.0).cos());
    push(inputs, Stretch::line(corner, first), &None);
    push(inputs, Stretch::line(first, tip), faces[0]);
    push(inputs, Stretch::line(tip, second), faces[1]);
    push(inputs, Stretch::line(second, corner), &None);
    Ok(())
}

/// Half discs at both ends of an open track.
fn round_ends(track: &Track, radius: f64) -> Vec<Input> {
    let mut inputs = Vec::new();
    let stretches: Vec<Stretch> = track.stretches().collect();
    let (Some(first), Some(last)) = (stretches.first(), stretches.last()) else {
        return inputs;
    };
    let caps = [(first.from, first.direction(0.0).left()), (last.to, -last.direction(1.0).left())];
    for (centre, side) in caps {
        let (from, to) = (centre + side * radius, centre - side * radius);
        push(&mut inputs, Stretch::arc(from, to, centre, true), &None);
        push(&mut inputs, Stretch::line(to, from), &None);
    }
    inputs
}

/// The ring between a closed track and its offset.
fn one_sided_ring(
    track: &Track,
    width: f64,
    side: Side,
    corners: Corners,
) -> Result<Outline, PlaneError> {
    let drawn = outline_of(track.clone())?;
    let same_sense = Outline { loops: vec![track.clone()] }.area() > 0.0;
    let inwards = (side == Side::Left) == same_sense;
    let mut other = grown(&drawn, if inwards { -width } else { width }, corners)?;
    for segment in other.loops.iter_mut().flat_map(|t| t.segments.iter_mut()) {
        segment.face = None;
    }
    let (large, small) = if inwards { (&drawn, &other) } else { (&other, &drawn) };
    combine(Combine::Less, large, small)
}

/// The line `by` to the left of an open track; corners mitred or rounded outside,
/// cut where the neighbours meet inside.
pub(super) fn beside(track: &Track, by: f64, corners: Corners) -> Result<Vec<Stretch>, PlaneError> {
    let tight = |stretch: &Stretch| PlaneError::BendTooTight {
        at: stretch.at(0.5),
        radius_mm: stretch.radius().unwrap_or(0.0),
        width_mm: by.abs(),
    };
    let drawn: Vec<Stretch> = track.stretches().collect();
    let mut run: Vec<Stretch> = Vec::new();
    for (i, stretch) in drawn.iter().enumerate() {
        let mut next = stretch.beside(by).ok_or_else(|| tight(stretch))?;
        if let (Some(last), Some(before)) = (run.last_mut(), i.checked_sub(1)) {
            let (da, db) = (drawn[before].direction(1.0), stretch.direction(0.0));
            let turn = da.cross(db).atan2(da.dot(db));
            let corner = stretch.from;
            if turn.abs() < SMOOTH_RAD {
                next.from = last.to;
            } else if (turn > 0.0) == (by > 0.0) {
                let cut = inner_cut(last, &next, corner)
                    .ok_or(PlaneError::SelfCrossing { at: corner })?;
                last.to = cut;
                next.from = cut;
            } else if corners == Corners::Round {
                let arc = Stretch::arc(last.to, next.from, corner, by < 0.0);
                run.extend(arc.halves());
            } else {
                let tip = (turn.abs() <= MITRE_LIMIT_RAD)
                    .then(|| lines_meet(last.to, da, next.from, db))
                    .flatten()
                    .ok_or(PlaneError::MitreTooLong { at: corner })?;
                let out = [Stretch::line(last.to, tip), Stretch::line(tip, next.from)];
                run.extend(out);
            }
        }
        run.push(next);
    }
    Ok(run)
}

/// Where two neighbours of an offset line meet, nearest to their corner.
fn inner_cut(a: &Stretch, b: &Stretch, corner: Point) -> Option<Point> {
    let within = |share: f64| (0.0..=1.0).contains(&share);
    carriers_meet(a, b)
        .into_iter()
        .filter(|p| within(a.share(*p)) && within(b.share(*p)))
        .min_by(|p, q| p.distance(corner).total_cmp(&q.distance(corner)))
}

/// The closed track along `track` and back along `offset`.
fn between(track: &Track, offset: &[Stretch], ends: Ends) -> Track {
    let mut segments = track.segments.clone();
    let mut add = |s: Stretch| {
        segments.push(Segment { to: s.to, curve: s.curve, face: None });
    };
    let end = track.segments.last().map_or(track.start, |s| s.to);
    let (Some(first), Some(last)) = (offset.first(), offset.last()) else {
        return track.clone();
    };
    let left = (last.to - end).cross(last.direction(1.0)) < 0.0;
    let cap = |from: Point, to: Point| match ends {
        Ends::Flat => Stretch::line(from, to),
        Ends::Round => Stretch::arc(from, to, from + (to - from) * 0.5, left),
    };
    add(cap(end, last.to));
    let mut back: Vec<Stretch> = offset.iter().map(Stretch::reversed).collect();
    back.reverse();
    let mut straightened = merge_lines(back);
    if let Some(s) = straightened.last_mut() {
        s.to = first.from;
    }
    straightened.into_iter().for_each(&mut add);
    add(cap(first.from, track.start));
    Track { start: track.start, segments }
}

/// Lines that run on straight made one.
fn merge_lines(run: Vec<Stretch>) -> Vec<Stretch> {
    const STRAIGHT_MM: f64 = 1e-9;
    let mut merged: Vec<Stretch> = Vec::new();
    for next in run {
        match merged.last_mut() {
            Some(last)
                if last.curve == Curve::Line
                    && next.curve == Curve::Line
                    && (next.to - last.from).unit().cross(last.to - last.from).abs()
                        <= STRAIGHT_MM =>
            {
                last.to = next.to;
            }
            _ => merged.push(next),
        }
    }
    merged
}

#[cfg(test)]
mod tests {
    use super::super::{Close, Edge, PathCurve, PathStep, disc, path};
    use super::*;

    fn run(points: &[(f64, f64)], close: bool) -> Track {
        let step = |&(x, y): &(f64, f64)| PathStep {
            to: Point::new(x, y),
            curve: PathCurve::Line,
            edge: Edge::None,
            face: Some("wall".into()),
        };
        let steps: Vec<_> = points[1..].iter().map(step).collect();
        let close = close.then(Close::default);
        path(Point::new(points[0].0, points[0].1), &steps, close.as_ref()).unwrap()
    }

    fn near(found: &Outline, area: f64) {
        assert!((found.area() - area).abs() < 1e-11 * area, "{} {area}", found.area());
    }

    /// Areas put together from rectangles, discs and sectors (elementary, no source).
    #[test]
    fn strokes_cover_what_they_should() {
        let bent = run(&[(0.0, 0.0), (10.0, 0.0), (10.0, 8.0)], false);
        let make = |side, ends, corners| stroke(&bent, 2.0, side, ends, corners).unwrap();
        near(&make(Side::Middle, Ends::Flat, Corners::Mitre), 36.0);
        near(&make(Side::Middle, Ends::Round, Corners::Mitre), 36.0 + PI);
        near(&make(Side::Middle, Ends::Round, Corners::Round), 36.0 + PI - (1.0 - PI / 4.0));
        near(&make(Side::Left, Ends::Flat, Corners::Mitre), 32.0);
        near(&make(Side::Right, Ends::Flat, Corners::Mitre), 40.0);
        near(&make(Side::Right, Ends::Round, Corners::Round), 36.0 + PI + PI);
        assert_eq!(make(Side::Middle, Ends::Flat, Corners::Mitre).loops[0].segments.len(), 6);
    }

    #[test]
    fn a_closed_track_gives_a_ring() {
        let square = run(&[(-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0)], true);
        let make =
            |track: &Track, side| stroke(track, 2.0, side, Ends::Flat, Corners::Mitre).unwrap();
        near(&make(&square, Side::Middle), 144.0 - 64.0);
        near(&make(&square, Side::Left), 100.0 - 36.0);
        near(&make(&square, Side::Right), 196.0 - 100.0);
        near(&make(&square.reversed(), Side::Right), 100.0 - 36.0);
        let circle = disc(20.0).unwrap().loops[0].clone();
        let ring = make(&circle, Side::Middle);
        near(&ring, PI * (121.0 - 81.0));
        assert_eq!(ring.loops.iter().map(|t| t.segments.len()).collect::<Vec<_>>(), [2, 2]);
        // A stroke wider than the circle it follows leaves no hole.
        let small = stroke(&circle, 24.0, Side::Middle, Ends::Flat, Corners::Mitre).unwrap();
        near(&small, PI * 484.0);
    }

    #[test]
    fn a_one_sided_stroke_keeps_the_names_of_its_line() {
        let wall = run(&[(0.0, 0.0), (30.0, 0.0), (28.0, 50.0)], false);
        let solid = stroke(&wall, 2.0, Side::Left, Ends::Flat, Corners::Mitre).unwrap();
        let named: Vec<_> = solid.loops[0].segments.iter().map(|s| s.face.as_deref()).collect();
        assert_eq!(named, [Some("wall"), Some("wall"), None, None, None, None]);
        let bowl = PathStep {
            to: Point::new(20.0, 20.0),
            curve: PathCurve::Radius { radius: 20.0, left: true, long: false },
            edge: Edge::None,
            face: None,
        };
        let bowl = path(Point::default(), &[bowl], None).unwrap();
        let inside = stroke(&bowl, 5.0, Side::Left, Ends::Flat, Corners::Mitre).unwrap();
        near(&inside, PI / 4.0 * (400.0 - 225.0));
        let tight = stroke(&bowl, 21.0, Side::Left, Ends::Flat, Corners::Mitre);
        assert!(matches!(tight, Err(PlaneError::BendTooTight { .. })));
    }

    #[test]
    fn a_crossing_stroke_is_one_region_with_a_hole() {
        let eight = run(&[(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)], false);
        let made = stroke(&eight, 1.0, Side::Middle, Ends::Flat, Corners::Round).unwrap();
        assert_eq!(made.loops.len(), 2);
        let sharp = run(&[(0.0, 0.0), (10.0, 0.0), (0.0, 0.5)], false);
        let made = stroke(&sharp, 1.0, Side::Middle, Ends::Flat, Corners::Mitre);
        assert!(matches!(made, Err(PlaneError::MitreTooLong { .. })));
    }
}
