//! Points spread evenly over triangles, the same ones every time.

use super::facet::Facet;
use crate::model::Vector;
use crate::model::vector::{add, scale};

/// Points on one part's faces; more would not move a median.
const MOST: f64 = 4_000.0;

/// The finest spread: a point on each square of this side, mm, about a printed line.
const FINEST_MM: f64 = 0.4;

/// A point and the area it stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// mm
    pub at: Vector,
    /// Outward normal.
    pub normal: Vector,
    /// mm2
    pub weight: f64,
    /// Which of the triangles it lies in.
    pub facet: usize,
}

/// Points spread over all triangles, each with at least one.
pub fn spread(facets: &[Facet]) -> Vec<Sample> {
    let area: f64 = facets.iter().map(|f| f.area).sum();
    let each = (area / MOST).max(FINEST_MM * FINEST_MM);
    let mut out = Vec::new();
    for (index, facet) in facets.iter().enumerate() {
        let count = (facet.area / each).ceil().max(1.0) as usize;
        let weight = facet.area / count as f64;
        out.extend((0..count).map(|k| Sample {
            at: inside(facet, k),
            normal: facet.normal,
            weight,
            facet: index,
        }));
    }
    out
}

/// The k-th point of a sequence that fills a triangle evenly: the additive recurrence
/// of the plastic number, folded into the triangle (Roberts, "The unreasonable
/// effectiveness of quasirandom sequences", 2018).
fn inside(facet: &Facet, k: usize) -> Vector {
    const PLASTIC: f64 = 1.324_717_957_244_746;
    let at = |step: f64| (0.5 + (k + 1) as f64 * step).fract();
    let (mut u, mut v) = (at(1.0 / PLASTIC), at(1.0 / (PLASTIC * PLASTIC)));
    if u + v > 1.0 {
        (u, v) = (1.0 - u, 1.0 - v);
    }
    let [a, b, c] = facet.corners;
    add(scale(a, 1.0 - u - v), add(scale(b, u), scale(c, v)))
}

/// The value below which half of the weight lies, and the largest value. None of nothing.
pub fn median_and_most(mut values: Vec<(f64, f64)>) -> Option<[f64; 2]> {
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let most = values.last()?.0;
    let half = values.iter().map(|v| v.1).sum::<f64>() / 2.0;
    let mut sum = 0.0;
    let median = values.iter().find(|v| {
        sum += v.1;
        sum >= half
    });
    Some([median.map_or(most, |v| v.0), most])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_lie_in_their_triangle_and_weigh_its_area() {
        let facet = Facet::new([[0.0; 3], [6.0, 0.0, 0.0], [0.0, 4.0, 0.0]]);
        let samples = spread(&[facet]);
        assert!(samples.len() == 75);
        let weight: f64 = samples.iter().map(|s| s.weight).sum();
        assert!((weight - 12.0).abs() < 1e-9);
        let inside = |p: Vector| p[0] >= 0.0 && p[1] >= 0.0 && p[0] / 6.0 + p[1] / 4.0 <= 1.0;
        assert!(samples.iter().all(|s| inside(s.at)));
        // Evenly: the mean of 75 points is the triangle's centroid within a spacing of 0.4.
        let mean: f64 = samples.iter().map(|s| s.at[0]).sum::<f64>() / samples.len() as f64;
        assert!((mean - 2.0).abs() < 0.4, "{mean}");
    }

    #[test]
    fn the_median_halves_the_weight() {
        let values = vec![(3.0, 1.0), (1.0, 5.0), (2.0, 2.0)];
        assert_eq!(median_and_most(values), Some([1.0, 3.0]));
        assert_eq!(median_and_most(Vec::new()), None);
    }
}
