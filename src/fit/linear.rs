//! The highest point under some planes, within a box.

/// A plane over three measures: its height at 0, and how it rises along each.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// Per measure.
    pub rise: [f64; 3],
    /// At 0.
    pub height: f64,
}

/// Heights that differ by less are the same.
const SAME: f64 = 1e-11;

/// Bound on exchanges; a few times as many as ever needed.
const EXCHANGES: usize = 200;

/// A plane that holds the height down, or a wall of the box.
#[derive(Clone, Copy)]
struct Bound {
    rise: [f64; 3],
    height: f64,
    /// 1 for planes, 0 for walls.
    holds: f64,
}

/// The three measures, none farther from 0 than `reach`, at which the lowest of all planes
/// is highest, and how high. By the dual simplex method (Lemke 1954; Chvatal, Linear
/// Programming, 1983, chapter 10): four bounds at a time, of which one that bears
/// nothing gives way to the one that is violated most. None if that does not end.
pub fn raised(rows: &[Row], reach: f64) -> Option<([f64; 3], f64)> {
    let lowest = rows.iter().min_by(|a, b| a.height.total_cmp(&b.height))?;
    let plane = |row: &Row| Bound { rise: row.rise, height: row.height, holds: 1.0 };
    let wall = |axis: usize, sign: f64| {
        let mut rise = [0.0; 3];
        rise[axis] = -sign;
        Bound { rise, height: reach, holds: 0.0 }
    };
    let walls = [0, 1, 2].map(|axis| wall(axis, if lowest.rise[axis] < 0.0 { -1.0 } else { 1.0 }));
    let mut basis = [plane(lowest), walls[0], walls[1], walls[2]];
    let both = [0, 1, 2].into_iter().flat_map(|axis| [wall(axis, 1.0), wall(axis, -1.0)]);
    let all: Vec<Bound> = rows.iter().map(plane).chain(both).collect();
    for _ in 0..EXCHANGES {
        // holds * height - rise . at = its height, four times over.
        let system = basis.map(|b| [-b.rise[0], -b.rise[1], -b.rise[2], b.holds, b.height]);
        let [x, y, z, top] = solve(system)?;
        let at = [x, y, z];
        let above = |b: &Bound| {
            let there: f64 = b.rise.iter().zip(at).map(|(r, x)| r * x).sum();
            b.holds * top - there - b.height
        };
        let worst =
            all.iter().map(|b| (above(b), b)).fold(None, |worst: Option<(f64, &Bound)>, b| {
                if worst.is_none_or(|w| b.0 > w.0) { Some(b) } else { worst }
            });
        let (off, enters) = worst?;
        if off < SAME {
            return Some((at, top));
        }
        // What bears now, and what would bear for one of the new bound.
        let column = |row: usize, b: &Bound| if row < 3 { b.rise[row] } else { b.holds };
        let balance = |right: [f64; 4]| {
            let row = |k: usize| {
                let [a, b, c, d] = basis.each_ref().map(|bound| column(k, bound));
                [a, b, c, d, right[k]]
            };
            solve([row(0), row(1), row(2), row(3)])
        };
        let bears = balance([0.0, 0.0, 0.0, 1.0])?;
        let takes = balance([0, 1, 2, 3].map(|k| column(k, enters)))?;
        let ratios = (0..4).filter(|k| takes[*k] > SAME).map(|k| (bears[k].max(0.0) / takes[k], k));
        let (_, leaves) = ratios.min_by(|a, b| a.0.total_cmp(&b.0))?;
        basis[leaves] = *enters;
    }
    None
}

/// Four unknowns from four rows with their right sides (Gauss, with pivots).
fn solve(mut rows: [[f64; 5]; 4]) -> Option<[f64; 4]> {
    for k in 0..4 {
        let pivot = (k..4).max_by(|a, b| rows[*a][k].abs().total_cmp(&rows[*b][k].abs()))?;
        rows.swap(k, pivot);
        if rows[k][k].abs() < 1e-14 {
            return None;
        }
        let above = rows[k];
        for below in &mut rows[k + 1..] {
            let share = below[k] / above[k];
            below.iter_mut().zip(above).skip(k).for_each(|(cell, a)| *cell -= share * a);
        }
    }
    let mut x = [0.0; 4];
    for k in (0..4).rev() {
        let known: f64 = (k + 1..4).map(|c| rows[k][c] * x[c]).sum();
        x[k] = (rows[k][4] - known) / rows[k][k];
    }
    Some(x)
}

#[cfg(test)]
mod tests {
    use super::{Row, raised};

    fn row(rise: [f64; 3], height: f64) -> Row {
        Row { rise, height }
    }

    /// Four planes over a tetrahedron's corners, known by hand: the sum of all is 4 high.
    #[test]
    fn the_top_of_a_pyramid() {
        let planes = [
            row([1.0, 0.0, 0.0], 0.0),
            row([0.0, 1.0, 0.0], 1.0),
            row([0.0, 0.0, 1.0], 2.0),
            row([-1.0, -1.0, -1.0], 5.0),
        ];
        let (at, top) = raised(&planes, 10.0).unwrap();
        assert!((top - 2.0).abs() < 1e-12, "{top}");
        for (found, expected) in at.into_iter().zip([2.0, 1.0, 0.0]) {
            assert!((found - expected).abs() < 1e-12, "{at:?}");
        }
    }

    /// Nothing but the box holds it.
    #[test]
    fn the_corner_of_the_box() {
        let (at, top) = raised(&[row([1.0, -2.0, 0.5], 3.0)], 0.5).unwrap();
        assert!((top - 4.75).abs() < 1e-12, "{top}");
        assert_eq!(at, [0.5, -0.5, 0.5]);
    }

    /// Any number of planes: no point of a fine grid is higher.
    #[test]
    fn no_point_of_a_grid_is_higher() {
        let planes: Vec<Row> = (0..40)
            .map(|k| {
                let t = f64::from(k);
                row([(1.7 * t).sin(), (2.9 * t).cos(), (0.7 * t).sin()], (5.3 * t).cos())
            })
            .collect();
        let height = |at: [f64; 3]| {
            let of = |p: &Row| p.height + p.rise.iter().zip(at).map(|(r, x)| r * x).sum::<f64>();
            planes.iter().map(of).fold(f64::INFINITY, f64::min)
        };
        let (at, top) = raised(&planes, 1.0).unwrap();
        assert!((height(at) - top).abs() < 1e-9);
        for x in -10..=10 {
            for y in -10..=10 {
                for z in -10..=10 {
                    let found = height([x, y, z].map(|c| f64::from(c) / 10.0));
                    assert!(found <= top + 1e-9, "{found} {top}");
                }
            }
        }
    }
}
