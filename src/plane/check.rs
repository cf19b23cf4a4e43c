//! From a closed track to an outline: sense, crossings, area.

use super::crossing::{TOUCH_MM, near_pairs};
use super::error::PlaneError;
use super::outline::{Outline, Point, Track};
use super::stretch::Stretch;

/// An outline that encloses less is a line, mm2: a strip a metre long and as wide as
/// what counts as touching.
pub(super) const NO_AREA_MM2: f64 = 1e-4;

/// The region inside a closed track, whichever way it runs.
///
/// # Errors
/// A track that is open, meets itself, or encloses nothing.
pub fn outline_of(track: Track) -> Result<Outline, PlaneError> {
    let end = track.segments.last().map_or(track.start, |s| s.to);
    if !track.is_closed() {
        return Err(PlaneError::Open { apart_mm: track.start.distance(end) });
    }
    if let Some(at) = first_crossing(&track) {
        return Err(PlaneError::SelfCrossing { at });
    }
    let outline = Outline { loops: vec![track] };
    let area_mm2 = outline.area();
    if area_mm2.abs() < NO_AREA_MM2 {
        return Err(PlaneError::NoArea { area_mm2: area_mm2.abs() });
    }
    if area_mm2 > 0.0 {
        return Ok(outline);
    }
    Ok(Outline { loops: outline.loops.iter().map(Track::reversed).collect() })
}

/// The first point in which a track meets itself, other than from segment to segment.
pub fn first_crossing(track: &Track) -> Option<Point> {
    let stretches: Vec<Stretch> = track.stretches().collect();
    let last = stretches.len().saturating_sub(1);
    near_pairs(&stretches).into_iter().find_map(|(i, j)| {
        let (a, b) = (&stretches[i], &stretches[j]);
        let mut shared = Vec::new();
        if j == i + 1 {
            shared.push(a.to);
        }
        if i == 0 && j == last && track.is_closed() {
            shared.push(a.from);
        }
        a.meets(b).into_iter().find(|point| !belongs(*point, &shared, a, b))
    })
}

/// Whether a meeting is only the corner that two neighbours share, or the curves hug
/// each other from that corner to here.
fn belongs(point: Point, shared: &[Point], a: &Stretch, b: &Stretch) -> bool {
    /// Nearer to a corner than this, curves may hug each other: a tangent circle of
    /// 100 mm leaves its tangent by [`TOUCH_MM`] within this distance.
    const HUG_MM: f64 = 5e-3;
    shared.iter().any(|corner| {
        let apart = corner.distance(point);
        let between = a.at((a.share(*corner) + a.share(point)) / 2.0);
        apart <= TOUCH_MM || (apart <= HUG_MM && b.distance(between) <= TOUCH_MM)
    })
}

#[cfg(test)]
mod tests {
    use super::super::outline::{Curve, Segment};
    use super::*;

    fn track(points: &[(f64, f64)]) -> Track {
        let point = |i: usize| Point::new(points[i].0, points[i].1);
        let segments = (1..=points.len())
            .map(|i| Segment { to: point(i % points.len()), curve: Curve::Line, face: None })
            .collect();
        Track { start: point(0), segments }
    }

    #[test]
    fn a_track_becomes_a_region_on_its_left() {
        let clockwise = track(&[(0.0, 0.0), (0.0, 2.0), (3.0, 2.0), (3.0, 0.0)]);
        assert_eq!(outline_of(clockwise).unwrap().area(), 6.0);
    }

    #[test]
    fn what_meets_itself_is_refused_where_it_does() {
        let touching = track(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (2.0, 0.0), (0.0, 3.0)]);
        assert_eq!(
            outline_of(touching),
            Err(PlaneError::SelfCrossing { at: Point::new(2.0, 0.0) })
        );
        let spike = track(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (4.0, 1.0), (0.0, 3.0)]);
        assert!(matches!(outline_of(spike), Err(PlaneError::SelfCrossing { .. })));
        let open =
            Track { start: Point::new(0.0, 1.0), ..track(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0)]) };
        assert_eq!(outline_of(open), Err(PlaneError::Open { apart_mm: 1.0 }));
        let thin = track(&[(0.0, 0.0), (4.0, 0.0), (4.0, 1e-5)]);
        assert!(matches!(outline_of(thin), Err(PlaneError::NoArea { .. })));
    }
}
