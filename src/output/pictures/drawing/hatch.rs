//! Hatching of cut faces (ISO 128-3: thin continuous lines; neighbours differ in
//! direction or distance).

use super::super::section::Contour;
use crate::plane::Point;

/// How one part is hatched: direction of the lines, of length 1, and their distance in
/// mm of the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hatch {
    pub along: [f64; 2],
    pub apart_mm: f64,
}

const HALF: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// Directions of 45 deg first; then steeper and flatter ones by the sides 3, 4, 5.
const HATCHES: [Hatch; 6] = [
    Hatch { along: [HALF, HALF], apart_mm: 2.2 },
    Hatch { along: [HALF, -HALF], apart_mm: 1.3 },
    Hatch { along: [HALF, -HALF], apart_mm: 2.6 },
    Hatch { along: [HALF, HALF], apart_mm: 1.5 },
    Hatch { along: [0.6, 0.8], apart_mm: 1.9 },
    Hatch { along: [0.6, -0.8], apart_mm: 1.9 },
];

/// The hatch of part number `part`.
pub(super) fn of_part(part: usize) -> Hatch {
    HATCHES[part % HATCHES.len()]
}

/// The lines inside contours, which are in mm of the sheet.
pub(super) fn lines(contours: &[Contour], hatch: Hatch) -> Vec<[Point; 2]> {
    let along = Point::new(hatch.along[0], hatch.along[1]);
    let across = along.left();
    let sides: Vec<[Point; 2]> =
        contours.iter().flat_map(Contour::sides).map(|(a, b, _)| [a, b]).collect();
    let level = |p: Point| p.dot(across) / hatch.apart_mm;
    let mut crossings: Vec<(i64, f64)> = Vec::new();
    for [a, b] in sides {
        let (la, lb) = (level(a), level(b));
        let (low, high) = (la.min(lb), la.max(lb));
        // Half open, so that a corner on a line counts once.
        let mut line = low.ceil();
        while line < high {
            let p = a + (b - a) * ((line - la) / (lb - la));
            crossings.push((line as i64, p.dot(along)));
            line += 1.0;
        }
    }
    crossings.sort_by(|p, q| p.0.cmp(&q.0).then(p.1.total_cmp(&q.1)));
    let rows = crossings.chunk_by(|a, b| a.0 == b.0);
    rows.flat_map(|row| row.chunks_exact(2))
        .map(|pair| {
            let up = across * (pair[0].0 as f64 * hatch.apart_mm);
            [up + along * pair[0].1, up + along * pair[1].1]
        })
        .filter(|[a, b]| a.distance(*b) > 0.05)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::Tag;

    fn square(side: f64, at: f64) -> Contour {
        let corners = [[at, at], [at + side, at], [at + side, at + side], [at, at + side]];
        let points = corners.map(|[x, y]| Point::new(x, y)).to_vec();
        Contour { points, tags: vec![Tag::PLAIN; 4] }
    }

    /// Length of hatching times its distance is the area (Cavalieri), but for the ends.
    #[test]
    fn hatching_covers_the_area_and_spares_holes() {
        let mut hole = square(10.0, 10.0);
        hole.points.reverse();
        for part in 0..HATCHES.len() {
            let hatch = Hatch { apart_mm: 0.05, ..of_part(part) };
            let all = lines(&[square(30.0, 0.0), hole.clone()], hatch);
            let length: f64 = all.iter().map(|[a, b]| a.distance(*b)).sum();
            assert!((length * hatch.apart_mm - 800.0).abs() < 4.0, "{part} {length}");
        }
    }
}
