//! The sides of a layer's outlines, in runs that lie in boxes within boxes.
//!
//! Outlines are sorted by themselves: sides that follow each other lie side by side, and so
//! do runs of them. Nothing has to be put in order, so that making the boxes ready costs less
//! than what they save.

use crate::plane::Point;
use std::ops::Range;

/// Sides of a run at most: more make runs long, fewer make too many boxes (tried).
const SIDES: usize = 8;

/// Boxes in the box above them.
const BOXES: usize = 4;

/// A side of an outline, material to its left.
#[derive(Clone, Copy, Debug)]
pub struct Side {
    /// Its start.
    pub from: Point,
    /// From there to its end.
    pub run: Point,
    /// One over the square of its length, 0 where it has none.
    per_square: f64,
    /// Into which eighth of a turn it faces: one bit.
    way: u8,
}

impl Side {
    fn new([from, to]: [Point; 2]) -> Side {
        let run = to - from;
        let square = run.dot(run);
        let per_square = if square > 0.0 { square.recip() } else { 0.0 };
        Side { from, run, per_square, way: 1 << eighth(run.left()) }
    }

    /// Its point that lies nearest to another one, and the square of how far that is.
    pub fn nearest(&self, to: Point) -> (Point, f64) {
        let share = self.run.dot(to - self.from) * self.per_square;
        let point = self.from + self.run * share.clamp(0.0, 1.0);
        let off = point - to;
        (point, off.dot(off))
    }
}

/// A box: its lowest and its highest corner.
#[derive(Clone, Copy, Debug)]
pub struct Bounds {
    low: Point,
    high: Point,
}

impl Bounds {
    /// What is no farther than `by` from a point, either way.
    pub fn around(at: Point, by: f64) -> Bounds {
        Bounds { low: at, high: at }.grown(by)
    }

    fn grown(self, by: f64) -> Bounds {
        let by = Point::new(by, by);
        Bounds { low: self.low - by, high: self.high + by }
    }

    fn with(self, other: Bounds) -> Bounds {
        let low = Point::new(self.low.x.min(other.low.x), self.low.y.min(other.low.y));
        let high = Point::new(self.high.x.max(other.high.x), self.high.y.max(other.high.y));
        Bounds { low, high }
    }

    /// Whether it has a point in common with another one.
    pub fn meets(&self, other: &Bounds) -> bool {
        let apart = (self.low.x > other.high.x) | (self.low.y > other.high.y);
        !(apart | (other.low.x > self.high.x) | (other.low.y > self.high.y))
    }

    fn is_within(&self, span: f64) -> bool {
        self.high.x - self.low.x <= span && self.high.y - self.low.y <= span
    }
}

/// Sides of one outline that follow each other.
#[derive(Clone, Debug)]
struct Run {
    sides: Range<usize>,
    /// The side that ends where the first of them begins.
    before: usize,
}

/// A box of a run, or of some boxes of the level below.
#[derive(Clone, Copy, Debug)]
struct Node {
    bounds: Bounds,
    /// The eighths of a turn into which the sides in it face, one bit for each.
    ways: u8,
}

impl Node {
    fn with(self, other: Node) -> Node {
        Node { bounds: self.bounds.with(other.bounds), ways: self.ways | other.ways }
    }
}

/// A run, and what lies near it.
pub struct Near<'a> {
    /// The numbers of its sides.
    pub sides: Range<usize>,
    /// The side that ends where the first of them begins.
    pub before: usize,
    /// The numbers of runs near it, its own among them.
    pub runs: &'a [usize],
    /// The eighths of a turn into which their sides face.
    ways: u8,
}

/// All sides of a layer.
pub struct Runs {
    sides: Vec<Side>,
    runs: Vec<Run>,
    /// The boxes of the runs, then those that hold some boxes of the level below each.
    levels: Vec<Vec<Node>>,
}

impl Runs {
    /// Parts outlines into runs of up to about `span_mm`.
    pub fn new(outlines: &[Vec<Point>], span_mm: f64) -> Runs {
        let mut all = Runs { sides: Vec::new(), runs: Vec::new(), levels: Vec::new() };
        all.sides.reserve(outlines.iter().map(Vec::len).sum());
        let mut nodes = Vec::new();
        for outline in outlines {
            all.part(outline, span_mm, &mut nodes);
        }
        while nodes.len() > BOXES {
            let above = nodes.chunks(BOXES).filter_map(|n| n.iter().copied().reduce(Node::with));
            let above = above.collect();
            all.levels.push(std::mem::replace(&mut nodes, above));
        }
        all.levels.push(nodes);
        all
    }

    fn part(&mut self, outline: &[Point], span_mm: f64, nodes: &mut Vec<Node>) {
        let first = self.sides.len();
        let mut open: Option<(Run, Node)> = None;
        for (i, from) in outline.iter().enumerate() {
            let to = outline[(i + 1) % outline.len()];
            let side = Side::new([*from, to]);
            self.sides.push(side);
            let number = first + i;
            let ends = [*from, to].map(|p| Bounds::around(p, 0.0));
            let own = Node { bounds: ends[0].with(ends[1]), ways: side.way };
            if let Some((run, node)) = &mut open {
                let both = node.with(own);
                if run.sides.len() < SIDES && both.bounds.is_within(span_mm) {
                    (run.sides.end, *node) = (number + 1, both);
                    continue;
                }
            }
            let before = if i == 0 { first + outline.len() - 1 } else { number - 1 };
            let next = Run { sides: number..number + 1, before };
            if let Some((run, node)) = open.replace((next, own)) {
                self.runs.push(run);
                nodes.push(node);
            }
        }
        if let Some((run, node)) = open {
            self.runs.push(run);
            nodes.push(node);
        }
    }

    /// A side.
    pub fn side(&self, number: usize) -> &Side {
        &self.sides[number]
    }

    /// The sides of a run with their numbers.
    pub fn sides_of(&self, run: usize) -> impl Iterator<Item = (usize, &Side)> {
        let range = self.runs[run].sides.clone();
        range.clone().zip(&self.sides[range])
    }

    /// The box of a run.
    pub fn bounds(&self, run: usize) -> &Bounds {
        &self.levels[0][run].bounds
    }

    /// The boxes of the level below a box.
    fn below(&self, level: usize, node: usize) -> Range<usize> {
        BOXES * node..(BOXES * (node + 1)).min(self.levels[level - 1].len())
    }

    /// The numbers of all runs whose boxes meet a box.
    pub fn meeting(&self, bounds: &Bounds) -> Vec<usize> {
        let mut out = Vec::new();
        let top = self.levels.len() - 1;
        let mut waiting: Vec<(usize, Range<usize>)> = vec![(top, 0..self.levels[top].len())];
        while let Some((level, nodes)) = waiting.pop() {
            let met = nodes.filter(|k| self.levels[level][*k].bounds.meets(bounds));
            match level {
                0 => out.extend(met),
                _ => waiting.extend(met.map(|k| (level - 1, self.below(level, k)))),
            }
        }
        out
    }

    /// Calls `visit` with each run that may have something opposite no farther than
    /// `within_mm` from it, in order.
    pub fn each_near(&self, within_mm: f64, mut visit: impl FnMut(&Near)) {
        let mut lists = vec![Vec::new(); self.levels.len()];
        // As if there were one box more, above all.
        let top = self.levels.len();
        for node in self.below(top, 0) {
            self.descend((top - 1, node), &[0], within_mm, &mut lists, &mut visit);
        }
    }

    /// Calls `visit` with each run, as if all runs were near it.
    #[cfg(test)]
    pub fn each(&self, mut visit: impl FnMut(&Near)) {
        let runs: Vec<usize> = (0..self.runs.len()).collect();
        for Run { sides, before } in self.runs.clone() {
            visit(&Near { sides, before, runs: &runs, ways: u8::MAX });
        }
    }

    /// As [`Runs::each_near`] for the runs in a box. What is near it lies in some boxes of the
    /// level above: those that are near the one it lies in. `lists` has room for what is near,
    /// at this level and at those below.
    fn descend(
        &self,
        (level, node): (usize, usize),
        above: &[usize],
        within_mm: f64,
        lists: &mut [Vec<usize>],
        visit: &mut impl FnMut(&Near),
    ) {
        let Some((near, lists)) = lists.split_last_mut() else { return };
        let nodes = &self.levels[level];
        let bounds = nodes[node].bounds.grown(within_mm);
        let candidates = above.iter().flat_map(|k| self.below(level + 1, *k));
        near.clear();
        near.extend(candidates.filter(|k| nodes[*k].bounds.meets(&bounds)));
        let seen = near.iter().fold(0, |seen, k| seen | nodes[*k].ways);
        if !may_face_at_corner(seen) {
            return;
        }
        if level == 0 {
            let Run { sides, before } = self.runs[node].clone();
            visit(&Near { sides, before, runs: near, ways: seen });
            return;
        }
        for child in self.below(level, node) {
            self.descend((level - 1, child), near, within_mm, lists, visit);
        }
    }
}

impl Near<'_> {
    /// Whether a circle that touches a side of this run may have its far contact opposite,
    /// 30 deg off at most. That lies on a side that faces back, or on a corner: then one of
    /// its two sides faces off to the left of that and one to the right, and neither as the
    /// side itself does.
    pub fn may_face(&self, side: &Side) -> bool {
        // As seen from the way of the side, which becomes bit 0.
        let seen = self.ways.rotate_right(side.way.trailing_zeros());
        let (back, left, right) = (0b0011_1000, 0b0000_0110, 0b1100_0000);
        seen & back != 0 || (seen & left != 0 && seen & right != 0)
    }
}

/// Whether any two of some ways are a quarter turn apart or more; where none are no circle
/// has its far contact opposite, not at a corner either.
fn may_face_at_corner(ways: u8) -> bool {
    ways & (ways.rotate_left(2) | ways.rotate_left(3) | ways.rotate_left(4)) != 0
}

/// Into which eighth of a turn a direction points.
fn eighth(direction: Point) -> u32 {
    let Point { x, y } = direction;
    let steep = (y.abs() > x.abs()) as u32;
    match (x >= 0.0, y >= 0.0) {
        (true, true) => steep,
        (false, true) => 3 - steep,
        (false, false) => 4 + steep,
        (true, false) => 7 - steep,
    }
}
