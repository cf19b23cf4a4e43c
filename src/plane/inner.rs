//! The largest circle in a region.

use super::outline::Point;
use super::regions::{Inside, nearest_on_side, region_bounds, region_sides};
use std::f64::consts::SQRT_2;

/// A square in which the middle of the largest circle may lie.
struct Cell {
    middle: Point,
    /// Which of the lists holds the sides that may be nearest to any point of it.
    near: usize,
}

/// The radius, mm, of a circle in a region; no other one is larger by more than `within_mm`.
///
/// Squares are quartered as long as a circle with its middle in them could be so much
/// larger than the largest one found: the distance from the outline grows by no more than the
/// way to the corners of a square.
pub fn inner_radius(region: &[Vec<Point>], within_mm: f64) -> f64 {
    let Some([low, high]) = region_bounds(region) else { return 0.0 };
    let sides: Vec<[Point; 2]> = region_sides(region).collect();
    let square = |middle: Point, side: u32| {
        let off = nearest_on_side(middle, sides[side as usize]) - middle;
        off.dot(off)
    };
    let inside = Inside::new(region);
    let mut half = (high.x - low.x).max(high.y - low.y) / 2.0;
    let mut lists = vec![(0..sides.len() as u32).collect::<Vec<u32>>()];
    let mut cells = vec![Cell { middle: (low + high) * 0.5, near: 0 }];
    let mut best = 0f64;
    while !cells.is_empty() {
        // How far the outline is from each middle, below nought outside.
        let depth = |cell: &Cell| {
            let squares = lists[cell.near].iter().map(|side| square(cell.middle, *side));
            let apart = squares.fold(f64::INFINITY, f64::min).sqrt();
            if inside.holds(cell.middle) { apart } else { -apart }
        };
        let depths: Vec<f64> = cells.iter().map(depth).collect();
        best = depths.iter().copied().fold(best, f64::max);
        let corner = half * SQRT_2;
        half /= 2.0;
        let (mut next, mut kept) = (Vec::new(), Vec::new());
        let open = cells.iter().zip(depths).filter(|(_, depth)| depth + corner > best + within_mm);
        for (cell, depth) in open {
            // From a point of the square a side is no nearer than from its middle by more
            // than the way there.
            let reach = depth.abs() + 2.0 * corner;
            let near = lists[cell.near].iter().copied();
            let near = near.filter(|side| square(cell.middle, *side) <= reach * reach);
            kept.push(near.collect());
            for (x, y) in [(-half, -half), (half, -half), (half, half), (-half, half)] {
                next.push(Cell { middle: cell.middle + Point::new(x, y), near: kept.len() - 1 });
            }
        }
        (cells, lists) = (next, kept);
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    fn round(radius: f64, n: usize) -> Vec<Point> {
        let at = |k: usize| (k as f64 / n as f64 * TAU).sin_cos();
        (0..n).map(at).map(|(sin, cos)| Point::new(radius * cos, radius * sin)).collect()
    }

    fn near(found: f64, wanted: f64, within: f64) {
        assert!(found <= wanted + 1e-9 && found >= wanted - within, "{found} for {wanted}");
    }

    /// A polygon's own circle, half the width of a rectangle and of a ring, the circle in a
    /// right triangle of sides 3, 4 and 5: (3 + 4 - 5) / 2.
    #[test]
    fn circles_of_figures_are_those_of_the_book() {
        for within in [0.1, 0.005] {
            near(inner_radius(&[round(40.0, 300)], within), 40.0 * (PI / 300.0).cos(), within);
            let mut hole = round(38.0, 300);
            hole.reverse();
            // Facets face facets, and stand so far apart.
            let wall = (40.0 - 38.0) * (PI / 300.0).cos();
            near(inner_radius(&[round(40.0, 300), hole], within), wall / 2.0, within);
            let figure = |points: &[[f64; 2]]| {
                [points.iter().map(|[x, y]| Point::new(*x, *y)).collect::<Vec<_>>()]
            };
            let strip = figure(&[[3.0, 1.0], [93.0, 1.0], [93.0, 2.0], [3.0, 2.0]]);
            near(inner_radius(&strip, within), 0.5, within);
            let triangle = figure(&[[0.0, 0.0], [4.0, 0.0], [0.0, 3.0]]);
            near(inner_radius(&triangle, within), 1.0, within);
        }
    }

    #[test]
    fn nothing_has_no_circle() {
        assert_eq!(inner_radius(&[], 0.005), 0.0);
        let line = vec![Point::new(0.0, 0.0), Point::new(5.0, 0.0), Point::new(2.0, 0.0)];
        assert!(inner_radius(&[line], 0.005) < 0.005);
    }
}
