//! A tree of boxes over the triangles of a mesh: what lies near what.

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

/// Boxes of triangles, nested.
#[derive(Clone, Debug)]
pub struct Tree {
    nodes: Vec<Node>,
    order: Vec<u32>,
    boxes: Vec<Bounds>,
}

impl Tree {
    /// The tree of all triangles of a mesh.
    pub fn over(mesh: &Mesh) -> Tree {
        Tree::of(mesh, (0..mesh.triangles.len() as u32).collect())
    }

    /// The tree of some triangles of a mesh.
    pub fn of(mesh: &Mesh, chosen: Vec<u32>) -> Tree {
        let boxes: Vec<Bounds> =
            (0..mesh.triangles.len()).map(|t| Bounds::of(mesh.corners(t))).collect();
        // Twice the middles: only their order counts.
        let middles: Vec<Vector> = boxes.iter().map(|b| add(b.low, b.high)).collect();
        let mut tree = Tree { nodes: vec![], order: chosen, boxes };
        if !tree.order.is_empty() {
            let all = tree.node(0, tree.order.len());
            tree.nodes.push(all);
            let mut next = 0;
            while next < tree.nodes.len() {
                tree.split(next, &middles);
                next += 1;
            }
        }
        tree
    }

    fn node(&self, from: usize, to: usize) -> Node {
        let boxes = self.order[from..to].iter().map(|t| self.boxes[*t as usize]);
        let bounds = boxes.fold(Bounds::EMPTY, |all, b| all.with(&b));
        Node { bounds, from: from as u32, to: to as u32, first: 0 }
    }

    /// Halves a node where the middles of its triangles lie farthest apart: what is long one
    /// way would never part along it.
    fn split(&mut self, at: usize, middles: &[Vector]) {
        let Node { from, to, .. } = self.nodes[at];
        let (from, to) = (from as usize, to as usize);
        if to - from <= LEAF {
            return;
        }
        let parted = self.order[from..to].iter().map(|t| middles[*t as usize]);
        let size = Bounds::of(parted).size();
        let axis = if size[0] >= size[1] && size[0] >= size[2] {
            0
        } else if size[1] >= size[2] {
            1
        } else {
            2
        };
        let half = (to - from) / 2;
        let key = |t: &u32| middles[*t as usize][axis];
        self.order[from..to]
            .select_nth_unstable_by(half, |a, b| key(a).total_cmp(&key(b)).then(a.cmp(b)));
        self.nodes[at].first = self.nodes.len() as u32;
        let (left, right) = (self.node(from, from + half), self.node(from + half, to));
        self.nodes.extend([left, right]);
    }

    /// The box of a triangle.
    pub fn bounds(&self, triangle: u32) -> &Bounds {
        &self.boxes[triangle as usize]
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
            for t in &self.order[node.from as usize..node.to as usize] {
                if self.boxes[*t as usize].meets(bounds) {
                    visit(*t);
                }
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
                    let own = &self.order[one.from as usize..one.to as usize];
                    let near = other.order[two.from as usize..two.to as usize].iter();
                    let near = near.map(|u| (*u, other.boxes[*u as usize].shifted(moved)));
                    // Most boxes miss all of the leaf.
                    for (u, bounds) in near.filter(|(_, bounds)| one.bounds.meets(bounds)) {
                        let mut met =
                            own.iter().filter(|t| self.boxes[**t as usize].meets(&bounds));
                        if met.any(|t| found(*t, u)) {
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
        for i in one.from..one.to {
            let t = self.order[i as usize];
            let bounds = self.boxes[t as usize].grown(near_mm);
            let start = if same { i + 1 } else { two.from };
            for j in start..two.to {
                let u = self.order[j as usize];
                if bounds.meets(&self.boxes[u as usize]) {
                    visit(t.min(u), t.max(u));
                }
            }
        }
    }
}
