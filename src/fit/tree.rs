//! Triangles in boxes within boxes, so that the nearest ones are found quickly.

use super::facet::{Facet, Near, distance, nearest_point};
use super::vector::{length, sub};
use crate::model::Vector;

/// Triangles in a box that is not split further.
const LEAF: usize = 6;

/// The least distance is settled to this much, mm: pairs that could only be nearer by
/// less are not looked at.
const SETTLED_MM: f64 = 1e-7;

#[derive(Clone, Debug)]
struct Node {
    low: Vector,
    high: Vector,
    from: u32,
    to: u32,
    /// Index of the second child; the first one follows its parent. 0: a leaf.
    second: u32,
}

/// A set of triangles.
#[derive(Clone, Debug, Default)]
pub struct Tree {
    facets: Vec<Facet>,
    /// Lowest and highest corner of each.
    boxes: Vec<(Vector, Vector)>,
    nodes: Vec<Node>,
}

impl Tree {
    /// Builds the tree. Triangles without area are left out: their corners belong to
    /// neighbours.
    pub fn new(facets: impl IntoIterator<Item = Facet>) -> Self {
        let facets: Vec<Facet> = facets.into_iter().filter(|f| f.area > 0.0).collect();
        let boxes: Vec<(Vector, Vector)> = facets.iter().map(|f| bounds(f.corners)).collect();
        let centre = |f: &Facet| [0, 1, 2].map(|c| f.corners.iter().map(|p| p[c]).sum());
        let centres: Vec<Vector> = facets.iter().map(centre).collect();
        let mut order: Vec<u32> = (0..facets.len() as u32).collect();
        let mut tree = Tree::default();
        if !facets.is_empty() {
            tree.build(&boxes, &centres, &mut order, 0);
        }
        tree.facets = order.iter().map(|f| facets[*f as usize]).collect();
        tree.boxes = order.iter().map(|f| boxes[*f as usize]).collect();
        tree
    }

    /// Its triangles, in an order that depends on them alone.
    pub fn facets(&self) -> &[Facet] {
        &self.facets
    }

    /// Adds the node of some triangles, which stand from `from` on, with all below it.
    fn build(
        &mut self,
        boxes: &[(Vector, Vector)],
        centres: &[Vector],
        order: &mut [u32],
        from: usize,
    ) -> usize {
        let (low, high) = bounds(order.iter().flat_map(|f| {
            let (low, high) = boxes[*f as usize];
            [low, high]
        }));
        let (index, count) = (self.nodes.len(), order.len());
        let to = (from + count) as u32;
        self.nodes.push(Node { low, high, from: from as u32, to, second: 0 });
        if count > LEAF {
            // Where their middles lie apart: what is long one way would never part along it.
            let (least, most) = bounds(order.iter().map(|f| centres[*f as usize]));
            let apart = |axis: usize| most[axis] - least[axis];
            let axis = (0..3).max_by(|a, b| apart(*a).total_cmp(&apart(*b))).unwrap_or(0);
            let centre = |f: &u32| centres[*f as usize][axis];
            let middle = count / 2;
            order.select_nth_unstable_by(middle, |a, b| {
                centre(a).total_cmp(&centre(b)).then(a.cmp(b))
            });
            let (below, above) = order.split_at_mut(middle);
            self.build(boxes, centres, below, from);
            let second = self.build(boxes, centres, above, from + middle);
            self.nodes[index].second = second as u32;
        }
        index
    }

    /// The least distance to the triangles of another tree, over pairs that `counts`
    /// (called with one triangle of each).
    pub fn least(&self, other: &Tree, counts: impl Fn(&Facet, &Facet) -> bool) -> Option<Near> {
        if self.nodes.is_empty() || other.nodes.is_empty() {
            return None;
        }
        let mut best: Option<Near> = None;
        let mut stack = vec![(0usize, 0usize, 0.0)];
        while let Some((i, j, lower)) = stack.pop() {
            let limit = best.map_or(f64::INFINITY, |b| b.distance - SETTLED_MM);
            if lower >= limit {
                continue;
            }
            let (a, b) = (&self.nodes[i], &other.nodes[j]);
            if a.second == 0 && b.second == 0 {
                for m in a.from as usize..a.to as usize {
                    let (low, high) = self.boxes[m];
                    let limit = best.map_or(f64::INFINITY, |b| b.distance - SETTLED_MM);
                    if gap(low, high, b.low, b.high) >= limit {
                        continue;
                    }
                    for n in b.from as usize..b.to as usize {
                        let limit = best.map_or(f64::INFINITY, |b| b.distance - SETTLED_MM);
                        let (p, q) = (&self.facets[m], &other.facets[n]);
                        let (other_low, other_high) = other.boxes[n];
                        if gap(low, high, other_low, other_high) < limit
                            && counts(p, q)
                            && let Some(near) = distance(p, q, limit)
                        {
                            best = Some(near);
                        }
                    }
                }
                continue;
            }
            let split_a = b.second == 0 || (a.second != 0 && size(a) >= size(b));
            let mut next = if split_a {
                [(i + 1, j), (a.second as usize, j)]
            } else {
                [(i, j + 1), (i, b.second as usize)]
            }
            .map(|(i, j)| (i, j, boxes_apart(&self.nodes[i], &other.nodes[j])));
            // The nearer pair is looked at first.
            if next[0].2 < next[1].2 {
                next.swap(0, 1);
            }
            stack.extend(next);
        }
        best
    }

    /// The point nearest to `p`, at most `within` mm away, over triangles that `counts`,
    /// with its triangle.
    pub fn nearest(
        &self,
        p: Vector,
        within: f64,
        counts: impl Fn(&Facet) -> bool,
    ) -> Option<(f64, Vector, &Facet)> {
        let mut best: Option<(f64, Vector, &Facet)> = None;
        let mut stack = if self.nodes.is_empty() { Vec::new() } else { vec![(0usize, 0.0)] };
        while let Some((i, lower)) = stack.pop() {
            if lower > best.map_or(within, |b| b.0) {
                continue;
            }
            let node = &self.nodes[i];
            if node.second == 0 {
                for k in node.from as usize..node.to as usize {
                    let (facet, (low, high)) = (&self.facets[k], self.boxes[k]);
                    if gap(p, p, low, high) > best.map_or(within, |b| b.0) || !counts(facet) {
                        continue;
                    }
                    let q = nearest_point(p, facet.corners);
                    let d = length(sub(p, q));
                    if best.map_or(d <= within, |b| d < b.0) {
                        best = Some((d, q, facet));
                    }
                }
                continue;
            }
            let mut next =
                [i + 1, node.second as usize].map(|k| (k, point_apart(p, &self.nodes[k])));
            if next[0].1 < next[1].1 {
                next.swap(0, 1);
            }
            stack.extend(next);
        }
        best
    }
}

fn size(node: &Node) -> f64 {
    (0..3).map(|c| node.high[c] - node.low[c]).sum()
}

fn bounds(points: impl IntoIterator<Item = Vector>) -> (Vector, Vector) {
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for p in points {
        for c in 0..3 {
            low[c] = low[c].min(p[c]);
            high[c] = high[c].max(p[c]);
        }
    }
    (low, high)
}

fn gap(low: Vector, high: Vector, other_low: Vector, other_high: Vector) -> f64 {
    let along = |c: usize| (other_low[c] - high[c]).max(low[c] - other_high[c]).max(0.0);
    length([along(0), along(1), along(2)])
}

fn boxes_apart(a: &Node, b: &Node) -> f64 {
    gap(a.low, a.high, b.low, b.high)
}

fn point_apart(p: Vector, node: &Node) -> f64 {
    gap(p, p, node.low, node.high)
}
