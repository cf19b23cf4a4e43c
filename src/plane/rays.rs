//! What lies on the two sides of each piece of an arrangement.

use super::arrange::Edge;
use super::outline::{Curve, Point};
use super::stretch::Stretch;

/// The pieces sorted into bands, so that a ray asks only those it may pass.
pub(super) struct Rays {
    /// By y for rays to the right; by x for rays upwards.
    bands: [Bands; 2],
}

struct Bands {
    low: f64,
    per_mm: f64,
    lists: Vec<Vec<usize>>,
}

/// x and y swapped where the ray runs upwards, so that one rule serves both.
fn seen(point: Point, upwards: bool) -> Point {
    if upwards { Point::new(point.y, point.x) } else { point }
}

impl Bands {
    fn new(edges: &[Edge], upwards: bool) -> Self {
        let spans: Vec<[f64; 2]> = edges
            .iter()
            .map(|e| {
                let (a, b) = (seen(e.stretch.from, upwards).y, seen(e.stretch.to, upwards).y);
                [a.min(b), a.max(b)]
            })
            .collect();
        let low = spans.iter().map(|s| s[0]).fold(f64::INFINITY, f64::min);
        let high = spans.iter().map(|s| s[1]).fold(f64::NEG_INFINITY, f64::max);
        let count = edges.len().clamp(1, 4096);
        let per_mm = if high > low { count as f64 / (high - low) } else { 0.0 };
        let mut bands = Bands { low, per_mm, lists: vec![Vec::new(); count] };
        for (index, [from, to]) in spans.into_iter().enumerate() {
            for band in bands.band(from)..=bands.band(to) {
                bands.lists[band].push(index);
            }
        }
        bands
    }

    fn band(&self, y: f64) -> usize {
        (((y - self.low) * self.per_mm).max(0.0) as usize).min(self.lists.len() - 1)
    }
}

impl Rays {
    pub(super) fn new(edges: &[Edge]) -> Self {
        Rays { bands: [Bands::new(edges, false), Bands::new(edges, true)] }
    }

    /// Winding numbers to the left and to the right of a piece, per group.
    pub(super) fn sides(&self, edges: &[Edge], index: usize) -> [[i32; 2]; 2] {
        let edge = &edges[index];
        let middle = edge.stretch.at(0.5);
        let run = edge.stretch.to - edge.stretch.from;
        // Across the steeper of the two directions, so that the ray leaves the piece.
        let upwards = run.x.abs() > run.y.abs();
        let bands = &self.bands[usize::from(upwards)];
        let point = seen(middle, upwards);
        let mut beyond = [0; 2];
        for &other in &bands.lists[bands.band(point.y)] {
            if other == index {
                continue;
            }
            let crossing = crossing_sign(&edges[other].stretch, point, upwards);
            for (sum, step) in beyond.iter_mut().zip(edges[other].step) {
                *sum += crossing * step;
            }
        }
        // The ray starts on the far side of the piece: right of one that runs up, and
        // above one that runs to the right.
        let starts_left = if upwards { run.x > 0.0 } else { run.y < 0.0 };
        let shifted = |sign: i32| [0, 1].map(|g| beyond[g] + sign * edge.step[g]);
        if starts_left { [beyond, shifted(-1)] } else { [shifted(1), beyond] }
    }
}

/// What passing a monotonous piece adds to the winding number of the ray's start.
fn crossing_sign(stretch: &Stretch, point: Point, upwards: bool) -> i32 {
    let (a, b) = (seen(stretch.from, upwards), seen(stretch.to, upwards));
    let rises = match (a.y <= point.y, b.y <= point.y) {
        (true, false) => 1,
        (false, true) => -1,
        _ => return 0,
    };
    let x = match (stretch.curve, stretch.radius()) {
        (Curve::Arc { centre, .. }, Some(radius)) => {
            let centre = seen(centre, upwards);
            let off = point.y - centre.y;
            let reach = ((radius - off) * (radius + off)).max(0.0).sqrt();
            let right = seen(stretch.at(0.5), upwards).x > centre.x;
            // The ends are vertices that may have been moved a little.
            let x = if right { centre.x + reach } else { centre.x - reach };
            x.clamp(a.x.min(b.x), a.x.max(b.x))
        }
        _ => a.x + (b.x - a.x) * ((point.y - a.y) / (b.y - a.y)),
    };
    if x <= point.x {
        return 0;
    }
    // Swapping the axes mirrors the plane.
    if upwards { -rises } else { rises }
}
