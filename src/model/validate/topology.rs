//! Pieces and rings of a strip decomposition.

use crate::plane::{Interval, Strips};

/// Overlaps lower than this (mm) do not hold anything together.
const TOUCH_MM: f64 = 1e-6;

/// What hangs together in an outline cut into strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hang {
    /// Pieces.
    pub pieces: usize,
    /// Pieces that go all the way round.
    pub rings: usize,
    /// Holes and ways round, over all pieces (the first Betti number).
    pub ways: i64,
}

/// A place where two intervals meet in a single point: `u` and z.
pub type Pinch = [f64; 2];

/// Sets that are merged, each member knowing how many turns lie between it and its root.
struct Sets {
    parent: Vec<usize>,
    turns: Vec<i64>,
    ring: Vec<bool>,
}

impl Sets {
    fn find(&self, mut a: usize) -> (usize, i64) {
        let mut turns = 0;
        while self.parent[a] != a {
            turns += self.turns[a];
            a = self.parent[a];
        }
        (a, turns)
    }

    /// `b` lies `step` turns beyond `a`.
    fn merge(&mut self, a: usize, b: usize, step: i64) {
        let ((ra, ta), (rb, tb)) = (self.find(a), self.find(b));
        if ra == rb {
            self.ring[ra] |= tb - ta != step;
            return;
        }
        // The smaller index is kept as root: no deep chains in strips that follow each other.
        let (low, high, turns) =
            if ra < rb { (ra, rb, ta + step - tb) } else { (rb, ra, tb - step - ta) };
        self.parent[high] = low;
        self.turns[high] = turns;
        self.ring[low] |= self.ring[high];
    }
}

/// What hangs together when every upper edge is lowered by `drop_mm`.
pub fn hang(strips: &Strips, drop_mm: f64) -> Hang {
    let stands = |v: &Interval| (0..2).any(|k| v.top[k] - v.bottom[k] > drop_mm + TOUCH_MM);
    let mut count = 0;
    let mut name = |v: &Interval| {
        stands(v).then(|| {
            count += 1;
            count - 1
        })
    };
    let names: Vec<Vec<Option<usize>>> =
        strips.strips.iter().map(|s| s.iter().map(&mut name).collect()).collect();
    let mut sets =
        Sets { parent: (0..count).collect(), turns: vec![0; count], ring: vec![false; count] };
    let mut joints = 0;
    for (left, right, step) in neighbours(strips) {
        for (i, a) in strips.strips[left].iter().enumerate() {
            for (j, b) in strips.strips[right].iter().enumerate() {
                let overlap = a.top[1].min(b.top[0]) - drop_mm - a.bottom[1].max(b.bottom[0]);
                let (Some(p), Some(q)) = (names[left][i], names[right][j]) else { continue };
                if overlap > TOUCH_MM {
                    joints += 1;
                    sets.merge(p, q, step);
                }
            }
        }
    }
    let roots: Vec<usize> = (0..count).filter(|a| sets.parent[*a] == *a).collect();
    Hang {
        pieces: roots.len(),
        rings: roots.iter().filter(|r| sets.ring[**r]).count(),
        ways: joints - count as i64 + roots.len() as i64,
    }
}

/// Strips side by side: left, right, and 1 where the turn begins anew.
fn neighbours(strips: &Strips) -> impl Iterator<Item = (usize, usize, i64)> + '_ {
    let n = strips.strips.len();
    let around = (strips.period.is_some() && n > 0).then(|| (n - 1, 0, 1));
    (1..n).map(|i| (i - 1, i, 0)).chain(around)
}

/// Points in which material only touches: two intervals on both sides of a line, or one
/// above the other, that share a point of the line but no stretch of it.
pub fn pinches(strips: &Strips) -> Vec<Pinch> {
    let mut found = Vec::new();
    for (left, right, _) in neighbours(strips) {
        let u = strips.lines[right];
        let sides: Vec<[f64; 2]> = strips.strips[left]
            .iter()
            .map(|v| [v.bottom[1], v.top[1]])
            .chain(strips.strips[right].iter().map(|v| [v.bottom[0], v.top[0]]))
            .collect();
        for (i, a) in sides.iter().enumerate() {
            for (j, b) in sides.iter().enumerate() {
                if i != j && (a[1] - b[0]).abs() < TOUCH_MM && !covers(&sides, a[1]) {
                    found.push([u, a[1]]);
                }
            }
        }
    }
    found.dedup();
    found
}

/// Whether some interval at a line passes over the height z.
fn covers(sides: &[[f64; 2]], z: f64) -> bool {
    sides.iter().any(|s| s[0] < z - TOUCH_MM && s[1] > z + TOUCH_MM)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::EdgeId;

    fn bar(bottom: f64, top: f64) -> Interval {
        Interval { bottom: [bottom; 2], top: [top; 2], bottom_edge: EdgeId(0), top_edge: EdgeId(1) }
    }

    fn around(strips: Vec<Vec<Interval>>) -> Strips {
        let n = strips.len();
        let turn = std::f64::consts::TAU;
        let lines = (0..n).map(|i| turn * i as f64 / n as f64).collect();
        Strips { lines, period: Some(turn), strips }
    }

    #[test]
    fn rings_pieces_and_holes_are_told_apart() {
        let plain = around(vec![vec![bar(0.0, 2.0)]; 4]);
        assert_eq!(hang(&plain, 0.0), Hang { pieces: 1, rings: 1, ways: 1 });
        let window = around(vec![
            vec![bar(0.0, 6.0)],
            vec![bar(0.0, 2.0), bar(4.0, 6.0)],
            vec![bar(0.0, 6.0)],
        ]);
        assert_eq!(hang(&window, 0.0), Hang { pieces: 1, rings: 1, ways: 2 });
        assert_eq!(hang(&window, 3.0), Hang { pieces: 1, rings: 0, ways: 0 });
        let loose = around(vec![vec![bar(0.0, 1.0)], vec![], vec![bar(0.0, 1.0)], vec![]]);
        assert_eq!(hang(&loose, 0.0), Hang { pieces: 2, rings: 0, ways: 0 });
        let two = around(vec![vec![bar(0.0, 1.0), bar(2.0, 3.0)]; 3]);
        assert_eq!(hang(&two, 0.0), Hang { pieces: 2, rings: 2, ways: 2 });
    }

    #[test]
    fn a_shared_point_is_no_joint() {
        let steps = around(vec![vec![bar(0.0, 1.0)], vec![bar(1.0, 2.0)], vec![]]);
        assert_eq!(hang(&steps, 0.0).pieces, 2);
        assert_eq!(pinches(&steps).len(), 1);
        assert!(pinches(&around(vec![vec![bar(0.0, 1.0)]; 3])).is_empty());
        let mut tips = around(vec![vec![bar(0.0, 2.0)], vec![bar(0.0, 2.0)], vec![]]);
        (tips.strips[0][0].top[1], tips.strips[0][0].bottom[1]) = (1.0, 1.0);
        (tips.strips[1][0].top[0], tips.strips[1][0].bottom[0]) = (1.0, 1.0);
        assert_eq!(pinches(&tips).len(), 1);
    }
}
