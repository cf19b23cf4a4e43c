//! What a section of strips is made of: areas, pieces, holes, thin places.

use super::strips::{Interval, SAME_HEIGHT_MM, Strips};

/// One connected piece of a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionPiece {
    /// Its first interval: strip and place in the strip.
    pub first: [usize; 2],
    /// Whether it runs all the way round.
    pub is_ring: bool,
    /// Its first Betti number: independent closed ways in it, 1 for a plain ring.
    pub loops: usize,
}

/// The pieces of a section.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// In the order of their first intervals.
    pub pieces: Vec<SectionPiece>,
    /// For each interval of each strip its piece; none where it has vanished.
    pub piece_of: Vec<Vec<Option<usize>>>,
}

impl Section {
    /// First Betti number of the whole; the genus of the solid on this section.
    pub fn loops(&self) -> usize {
        self.pieces.iter().map(|p| p.loops).sum()
    }

    /// Whether it is one piece that runs all the way round.
    pub fn is_ring(&self) -> bool {
        matches!(self.pieces.as_slice(), [piece] if piece.is_ring)
    }
}

/// Groups of intervals that hang together, with the turns made on the way.
struct Groups {
    parent: Vec<usize>,
    /// Turns from a member to its parent.
    turns: Vec<i64>,
    /// Joints between members, and whether two ways differ by a turn; at the root.
    joints: Vec<usize>,
    winds: Vec<bool>,
}

impl Groups {
    fn new(count: usize) -> Self {
        Groups {
            parent: (0..count).collect(),
            turns: vec![0; count],
            joints: vec![0; count],
            winds: vec![false; count],
        }
    }

    /// The root and the turns from `member` to it.
    fn root(&mut self, member: usize) -> (usize, i64) {
        let (mut at, mut turns) = (member, 0);
        while self.parent[at] != at {
            turns += self.turns[at];
            at = self.parent[at];
        }
        // Point everyone on the way straight to the root.
        let (root, mut walk, mut left) = (at, member, turns);
        while self.parent[walk] != walk {
            let (next, step) = (self.parent[walk], self.turns[walk]);
            (self.parent[walk], self.turns[walk]) = (root, left);
            left -= step;
            walk = next;
        }
        (root, turns)
    }

    /// `a` touches `b`, which lies `turn` turns on.
    fn join(&mut self, a: usize, b: usize, turn: i64) {
        let ((p, from_a), (q, from_b)) = (self.root(a), self.root(b));
        if p == q {
            self.joints[p] += 1;
            self.winds[p] |= from_a != turn + from_b;
            return;
        }
        // turns(a -> root) = turn + turns(b -> root)
        let (low, high, step) =
            if p < q { (p, q, from_a - turn - from_b) } else { (q, p, turn + from_b - from_a) };
        self.parent[high] = low;
        self.turns[high] = step;
        self.joints[low] += self.joints[high] + 1;
        self.winds[low] |= self.winds[high];
    }
}

impl Strips {
    /// Area of the section whose ceilings have dropped by `drop_mm`, in u times mm.
    pub fn area(&self, drop_mm: f64) -> f64 {
        let part = |index: usize, interval: &Interval| {
            let [left, right] = interval.heights().map(|h| h - drop_mm);
            let (low, high) = (left.min(right), left.max(right));
            let width = self.width(index);
            if low >= 0.0 {
                width * (low + high) / 2.0
            } else if high <= 0.0 {
                0.0
            } else {
                width * high * high / (high - low) / 2.0
            }
        };
        self.strips.iter().enumerate().flat_map(|(i, s)| s.iter().map(move |v| part(i, v))).sum()
    }

    /// Pieces, rings and holes of the section whose ceilings have dropped by `drop_mm`.
    pub fn section(&self, drop_mm: f64) -> Section {
        let stands = |i: &Interval| i.heights().iter().any(|h| *h - drop_mm > SAME_HEIGHT_MM);
        let mut places: Vec<[usize; 2]> = Vec::new();
        let numbers: Vec<Vec<Option<usize>>> = self
            .strips
            .iter()
            .enumerate()
            .map(|(strip, intervals)| {
                let mut number = |(at, interval): (usize, &Interval)| {
                    stands(interval).then(|| {
                        places.push([strip, at]);
                        places.len() - 1
                    })
                };
                intervals.iter().enumerate().map(&mut number).collect()
            })
            .collect();
        let mut groups = Groups::new(places.len());
        let mut members = vec![0usize; places.len()];
        for line in 0..self.strips.len() {
            let Some(left) = self.left_of(line) else { continue };
            let turn = i64::from(line == 0);
            for_each_joint(&self.strips[left], &self.strips[line], drop_mm, |p, q| {
                if let (Some(a), Some(b)) = (numbers[left][p], numbers[line][q]) {
                    groups.join(a, b, turn);
                }
            });
        }
        let roots: Vec<usize> = (0..places.len()).map(|m| groups.root(m).0).collect();
        roots.iter().for_each(|root| members[*root] += 1);
        let firsts: Vec<usize> = (0..places.len()).filter(|m| roots[*m] == *m).collect();
        let pieces = firsts
            .iter()
            .map(|&root| SectionPiece {
                first: places[root],
                is_ring: groups.winds[root],
                loops: (groups.joints[root] + 1).saturating_sub(members[root]),
            })
            .collect();
        let piece = |n: &Option<usize>| n.and_then(|m| firsts.binary_search(&roots[m]).ok());
        let piece_of = numbers.iter().map(|s| s.iter().map(piece).collect()).collect();
        Section { pieces, piece_of }
    }

    /// The drops (mm) below `limit_mm` at which something vanishes or parts, ascending:
    /// heights of intervals and of what they share with their neighbours.
    pub fn events(&self, limit_mm: f64) -> Vec<f64> {
        let mut drops: Vec<f64> = self.strips.iter().flatten().flat_map(|i| i.heights()).collect();
        for line in 0..self.strips.len() {
            let Some(left) = self.left_of(line) else { continue };
            for_each_joint(&self.strips[left], &self.strips[line], 0.0, |p, q| {
                let (a, b) = (&self.strips[left][p], &self.strips[line][q]);
                drops.push(a.top[1].min(b.top[0]) - a.bottom[1].max(b.bottom[0]));
            });
        }
        drops.retain(|d| *d > SAME_HEIGHT_MM && *d < limit_mm - SAME_HEIGHT_MM);
        drops.sort_by(f64::total_cmp);
        drops.dedup_by(|b, a| *b - *a <= SAME_HEIGHT_MM);
        drops
    }

    /// The first drop (mm), up to `limit_mm`, at which a piece of the section parts,
    /// vanishes or opens; none where all stay whole.
    pub fn breaks_at(&self, limit_mm: f64) -> Option<f64> {
        let whole = self.section(0.0);
        let count = |s: &Section| (s.pieces.len(), s.pieces.iter().filter(|p| p.is_ring).count());
        let holds = |drop: f64| count(&self.section(drop)) == count(&whole);
        if holds(limit_mm) {
            return None;
        }
        let events = self.events(limit_mm);
        // Broken stays broken: search for the first event beyond which it is.
        let broken = events.partition_point(|event| holds(event + 2.0 * SAME_HEIGHT_MM));
        Some(events.get(broken).copied().unwrap_or(limit_mm))
    }

    /// A point where material touches itself without hanging together there: (u, z).
    pub fn pinch(&self) -> Option<[f64; 2]> {
        (0..self.lines.len()).find_map(|line| {
            let left = self.left_of(line).map_or(&[][..], |s| &self.strips[s]);
            let right = self.right_of(line).map_or(&[][..], |s| &self.strips[s]);
            let ends = |i: &Interval, side: usize| [i.bottom[side], i.top[side]];
            let left: Vec<[f64; 2]> = left.iter().map(|i| ends(i, 1)).collect();
            let right: Vec<[f64; 2]> = right.iter().map(|i| ends(i, 0)).collect();
            let mut heights: Vec<f64> = left.iter().chain(&right).flatten().copied().collect();
            heights.sort_by(f64::total_cmp);
            heights.dedup_by(|b, a| *b - *a <= SAME_HEIGHT_MM);
            let z = heights.into_iter().find(|z| is_pinch(&left, &right, *z))?;
            Some([self.lines[line], z])
        })
    }
}

/// Whether the material near a point of a line falls apart without the point. Each
/// half plane holds sectors that reach up, down, both or neither along the line.
fn is_pinch(left: &[[f64; 2]], right: &[[f64; 2]], z: f64) -> bool {
    let sectors = |side: &[[f64; 2]]| -> Vec<[bool; 2]> {
        side.iter()
            .filter(|[low, high]| *low <= z + SAME_HEIGHT_MM && *high >= z - SAME_HEIGHT_MM)
            .map(|[low, high]| [*low < z - SAME_HEIGHT_MM, *high > z + SAME_HEIGHT_MM])
            .collect()
    };
    let (left, right) = (sectors(left), sectors(right));
    let links = left
        .iter()
        .flat_map(|a| right.iter().map(move |b| (a[0] && b[0], a[1] && b[1])))
        .filter(|(down, up)| *down || *up)
        .count();
    left.len() + right.len() > links + 1
}

/// Calls `meet` for every pair of intervals left and right of a line that share more
/// than a point of it once ceilings have dropped.
fn for_each_joint(
    left: &[Interval],
    right: &[Interval],
    drop_mm: f64,
    mut meet: impl FnMut(usize, usize),
) {
    let mut first = 0;
    for (p, a) in left.iter().enumerate() {
        while first < right.len() && right[first].top[0] <= a.bottom[1] {
            first += 1;
        }
        for (q, b) in right.iter().enumerate().skip(first) {
            if b.bottom[0] >= a.top[1] {
                break;
            }
            let shared = a.top[1].min(b.top[0]) - drop_mm - a.bottom[1].max(b.bottom[0]);
            if shared > SAME_HEIGHT_MM {
                meet(p, q);
            }
        }
    }
}

#[cfg(test)]
#[path = "strips_section_tests.rs"]
mod tests;
