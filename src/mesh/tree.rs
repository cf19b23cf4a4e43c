//! A tree of boxes over triangles: what lies near what.

use super::space::Bounds;
use super::triangles::Mesh;
use crate::model::Vector;
use crate::model::vector::add;

/// Triangles per leaf: fewer make the tree deep, more make leaves slow (tried).
const LEAF: usize = 6;

/// A node covers `order[from..to]`; inner nodes have their children at `first` and
/// `first + 1`, leaves have 0 there.
#[derive(Clone, Copy, Debug)]
struct Node {
    bounds: Bounds,
    from: u32,
    to: u32,
    first: u32,
}

impl Node {
    fn range(&self) -> std::ops::Range<usize> {
        self.from as usize..self.to as usize
    }

    fn size(&self) -> f64 {
        self.bounds.size().iter().sum()
    }
}

/// Boxes of triangles, nested.
#[derive(Clone, Debug, Default)]
pub struct Tree {
    nodes: Vec<Node>,
    /// The numbers of the triangles, those of a node side by side.
    order: Vec<u32>,
    /// The box of each, in the same order.
    boxes: Vec<Bounds>,
}

impl Tree {
    /// The tree of all triangles of a mesh.
    pub fn over(mesh: &Mesh) -> Tree {
        Tree::of((0..mesh.triangles.len()).map(|t| mesh.corners(t)))
    }

    /// The tree of some triangles, told by their corners.
    pub fn of(triangles: impl Iterator<Item = [Vector; 3]>) -> Tree {
        // Three times the middles: only their order counts.
        let middle = |[a, b, c]: [Vector; 3]| add(add(a, b), c);
        let (boxes, middles): (Vec<Bounds>, Vec<Vector>) =
            triangles.map(|corners| (Bounds::of(corners), middle(corners))).unzip();
        let mut tree = Tree { nodes: vec![], order: (0..boxes.len() as u32).collect(), boxes };
        if !tree.order.is_empty() {
            let all = tree.node(0, tree.order.len());
            tree.nodes.push(all);
            let mut next = 0;
            while next < tree.nodes.len() {
                tree.split(next, &middles);
                next += 1;
            }
        }
        tree.boxes = tree.order.iter().map(|t| tree.boxes[*t as usize]).collect();
        tree
    }

    /// Numbers the triangles anew, in the order of the tree; what their numbers were.
    pub fn renumbered(&mut self) -> Vec<u32> {
        let anew = (0..self.order.len() as u32).collect();
        std::mem::replace(&mut self.order, anew)
    }

    fn node(&self, from: usize, to: usize) -> Node {
        let boxes = self.order[from..to].iter().map(|t| self.boxes[*t as usize]);
        let bounds = boxes.fold(Bounds::EMPTY, |all, b| all.with(&b));
        Node { bounds, from: from as u32, to: to as u32, first: 0 }
    }

    /// Halves a node where the middles of its triangles lie farthest apart: what is long one
    /// way would never part along it.
    fn split(&mut self, at: usize, middles: &[Vector]) {
        let range = self.nodes[at].range();
        let (from, count) = (range.start, range.len());
        if count <= LEAF {
            return;
        }
        let order = &mut self.order[range];
        let size = Bounds::of(order.iter().map(|t| middles[*t as usize])).size();
        let axis = (0..3).max_by(|a, b| size[*a].total_cmp(&size[*b])).unwrap_or(0);
        let key = |t: &u32| middles[*t as usize][axis];
        let half = count / 2;
        order.select_nth_unstable_by(half, |a, b| key(a).total_cmp(&key(b)).then(a.cmp(b)));
        self.nodes[at].first = self.nodes.len() as u32;
        let (left, right) = (self.node(from, from + half), self.node(from + half, from + count));
        self.nodes.extend([left, right]);
    }

    /// Calls `visit` with every triangle whose box meets a box.
    pub fn meeting(&self, bounds: &Bounds, mut visit: impl FnMut(u32)) {
        let mut stack: Vec<usize> = if self.nodes.is_empty() { vec![] } else { vec![0] };
        while let Some(at) = stack.pop() {
            let node = &self.nodes[at];
            if !node.bounds.meets(bounds) {
                continue;
            }
            if node.first > 0 {
                stack.extend([node.first as usize + 1, node.first as usize]);
                continue;
            }
            for k in node.range().filter(|k| self.boxes[*k].meets(bounds)) {
                visit(self.order[k]);
            }
        }
    }

    /// Whether `found` holds of any triangle of this tree and one of another that was moved,
    /// whose boxes meet.
    pub fn any_meeting(
        &self,
        other: &Tree,
        moved: Vector,
        mut found: impl FnMut(u32, u32) -> bool,
    ) -> bool {
        if self.nodes.is_empty() || other.nodes.is_empty() {
            return false;
        }
        let mut stack = vec![(0, 0)];
        while let Some((a, b)) = stack.pop() {
            let (one, two) = (&self.nodes[a], &other.nodes[b]);
            let bounds = two.bounds.shifted(moved);
            if !one.bounds.meets(&bounds) {
                continue;
            }
            // The larger one is split, so that both get small together.
            let split_one =
                two.first == 0 || (one.first > 0 && one.to - one.from > two.to - two.from);
            match (one.first as usize, two.first as usize) {
                (0, 0) => {
                    let near = two.range().map(|m| (m, other.boxes[m].shifted(moved)));
                    // Most boxes miss all of the leaf.
                    for (m, bounds) in near.filter(|(_, bounds)| one.bounds.meets(bounds)) {
                        let mut met = one.range().filter(|k| self.boxes[*k].meets(&bounds));
                        if met.any(|k| found(self.order[k], other.order[m])) {
                            return true;
                        }
                    }
                }
                (c, _) if split_one => stack.extend([(c, b), (c + 1, b)]),
                (_, d) => stack.extend([(a, d), (a, d + 1)]),
            }
        }
        false
    }

    /// Calls `visit` once with every pair of triangles whose boxes, grown by `near_mm`, meet.
    pub fn pairs(&self, near_mm: f64, mut visit: impl FnMut(u32, u32)) {
        let mut stack: Vec<(usize, usize)> =
            if self.nodes.is_empty() { vec![] } else { vec![(0, 0)] };
        while let Some((a, b)) = stack.pop() {
            let (one, two) = (self.nodes[a], self.nodes[b]);
            if a != b && !one.bounds.grown(near_mm).meets(&two.bounds) {
                continue;
            }
            match (one.first as usize, two.first as usize) {
                (0, 0) => self.leaf_pairs(a == b, [&one, &two], near_mm, &mut visit),
                (c, _) if a == b => stack.extend([(c, c), (c, c + 1), (c + 1, c + 1)]),
                (0, d) => stack.extend([(a, d), (a, d + 1)]),
                (c, 0) => stack.extend([(c, b), (c + 1, b)]),
                (c, d) => stack.extend([(c, d), (c, d + 1), (c + 1, d), (c + 1, d + 1)]),
            }
        }
    }

    fn leaf_pairs(
        &self,
        same: bool,
        [one, two]: [&Node; 2],
        near_mm: f64,
        visit: &mut impl FnMut(u32, u32),
    ) {
        for i in one.range() {
            let t = self.order[i];
            let bounds = self.boxes[i].grown(near_mm);
            let start = if same { i + 1 } else { two.from as usize };
            for j in (start..two.to as usize).filter(|j| bounds.meets(&self.boxes[*j])) {
                let u = self.order[j];
                visit(t.min(u), t.max(u));
            }
        }
    }

    /// Calls `visit` with triangles that may lie no farther from a point than a limit, the
    /// near ones first; it is told the limit and answers with the one that holds from then on.
    pub fn nearer(&self, p: Vector, within_mm: f64, mut visit: impl FnMut(u32, f64) -> f64) {
        let mut limit = within_mm;
        let point = Bounds { low: p, high: p };
        let mut stack = if self.nodes.is_empty() { vec![] } else { vec![(0, 0.0)] };
        while let Some((at, apart)) = stack.pop() {
            if apart > limit {
                continue;
            }
            let node = &self.nodes[at];
            if node.first == 0 {
                for k in node.range() {
                    if self.boxes[k].apart(&point) <= limit {
                        limit = visit(self.order[k], limit);
                    }
                }
                continue;
            }
            let first = node.first as usize;
            let mut next = [first, first + 1].map(|k| (k, self.nodes[k].bounds.apart(&point)));
            if next[0].1 < next[1].1 {
                next.swap(0, 1);
            }
            stack.extend(next);
        }
    }

    /// Calls `visit` with a triangle of this tree and one of another that may lie closer
    /// together than a limit, near ones first; limits as for [`Tree::nearer`], none at first.
    pub fn nearer_pairs(&self, other: &Tree, mut visit: impl FnMut(u32, u32, f64) -> f64) {
        let mut limit = f64::INFINITY;
        let empty = self.nodes.is_empty() || other.nodes.is_empty();
        let mut stack = if empty { vec![] } else { vec![(0, 0, 0.0)] };
        while let Some((i, j, apart)) = stack.pop() {
            if apart >= limit {
                continue;
            }
            let (a, b) = (&self.nodes[i], &other.nodes[j]);
            if a.first == 0 && b.first == 0 {
                for k in a.range() {
                    if self.boxes[k].apart(&b.bounds) >= limit {
                        continue;
                    }
                    for m in b.range() {
                        if self.boxes[k].apart(&other.boxes[m]) < limit {
                            limit = visit(self.order[k], other.order[m], limit);
                        }
                    }
                }
                continue;
            }
            let split_a = b.first == 0 || (a.first != 0 && a.size() >= b.size());
            let (c, d) = (a.first as usize, b.first as usize);
            let mut next = if split_a { [(c, j), (c + 1, j)] } else { [(i, d), (i, d + 1)] }
                .map(|(i, j)| (i, j, self.nodes[i].bounds.apart(&other.nodes[j].bounds)));
            // The nearer pair is looked at first.
            if next[0].2 < next[1].2 {
                next.swap(0, 1);
            }
            stack.extend(next);
        }
    }
}
