//! The face of a part over or under a column, cut out along the column's section.
//!
//! Corners have names, so that triangles side by side agree on the corners between them and
//! the sheet closes whatever rounding does.

use super::overhead::{Overhead, box_of};
use crate::model::Vector;
use crate::model::vector::{cross, length, sub};
use std::collections::{BTreeMap, BTreeSet};

/// Steeper faces are sides, not ends: least share of a face's area that its shadow has. A
/// face of 75 deg from the level.
const LEAST_SHADOW: f64 = 0.258;

/// A sheet covers a section where their areas differ by no more than this share.
const COVERED: f64 = 1e-6;

/// The section of a column: corners anticlockwise, seen from above.
pub struct Section {
    /// mm
    pub corners: Vec<[f64; 2]>,
}

/// What a corner of a sheet is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Key {
    /// A corner of the section.
    Corner(usize),
    /// A vertex of the mesh.
    Vertex(u32),
    /// Where an edge of the mesh crosses a side of the section.
    Cross([u32; 2], usize),
    /// Where two sides that are no neighbours would meet; clipped away later.
    Far(usize, usize),
}

/// What runs from a corner to the next.
#[derive(Clone, Copy, Debug)]
enum Along {
    Edge([u32; 2]),
    Side(usize),
}

#[derive(Clone, Copy, Debug)]
struct Node {
    key: Key,
    at: Vector,
    along: Along,
}

/// A piece of a face, as wide as a section.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// Convex, anticlockwise seen from above.
    pub polygons: Vec<Vec<Key>>,
    /// Where the corners are, mm.
    pub points: BTreeMap<Key, Vector>,
    /// By how much more than a distance square to the face the upright one is, at most, at
    /// each corner.
    pub lean: BTreeMap<Key, f64>,
}

impl Section {
    /// The area, mm2.
    pub fn area(&self) -> f64 {
        let n = self.corners.len();
        let cross = |i: usize| {
            let (p, q) = (self.corners[i], self.corners[(i + 1) % n]);
            p[0] * q[1] - q[0] * p[1]
        };
        (0..n).map(cross).sum::<f64>() / 2.0
    }

    /// Between the nearest two parallel lines that hold it, mm; it is convex.
    pub fn least_width_mm(&self) -> f64 {
        let n = self.corners.len();
        let across = |side: usize| {
            let (a, b) = (self.corners[side], self.corners[(side + 1) % n]);
            let far = self.corners.iter().map(|p| self.left_of(side, [p[0], p[1], 0.0]));
            far.fold(0.0, f64::max) / (b[0] - a[0]).hypot(b[1] - a[1])
        };
        (0..n).map(across).fold(f64::INFINITY, f64::min)
    }

    /// How far left of a side a point lies, times the side's length.
    fn left_of(&self, side: usize, p: Vector) -> f64 {
        let (a, b) = (self.corners[side], self.corners[(side + 1) % self.corners.len()]);
        (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
    }

    /// How far round the section a corner of a sheet's rim is: sides count 1 each.
    pub fn round(&self, key: Key, p: Vector) -> Option<f64> {
        match key {
            Key::Corner(k) => Some(k as f64),
            Key::Cross(_, side) => {
                let (a, b) = (self.corners[side], self.corners[(side + 1) % self.corners.len()]);
                let run = [b[0] - a[0], b[1] - a[1]];
                let share = (run[0] * (p[0] - a[0]) + run[1] * (p[1] - a[1]))
                    / (run[0] * run[0] + run[1] * run[1]);
                Some(side as f64 + share.clamp(0.0, 1.0))
            }
            Key::Vertex(_) | Key::Far(..) => None,
        }
    }

    /// The corner between two sides.
    fn between(&self, one: usize, two: usize) -> Key {
        let n = self.corners.len();
        if two == (one + 1) % n {
            Key::Corner(two)
        } else if one == (two + 1) % n {
            Key::Corner(one)
        } else {
            Key::Far(one.min(two), one.max(two))
        }
    }
}

impl Overhead<'_> {
    /// The connected face round a triangle, cut along a section; none where it does not
    /// cover all of it or has a steep place.
    pub fn sheet(&self, start: u32, section: &Section) -> Option<Sheet> {
        let down = self.facing(start) < 0.0;
        let near = self.over(box_of(&section.corners));
        let near = near.into_iter().filter(|t| (self.facing(*t) < 0.0) == down);
        let mut beside: BTreeMap<[u32; 2], Vec<u32>> = BTreeMap::new();
        for t in near {
            for edge in self.edges(t) {
                beside.entry(edge).or_default().push(t);
            }
        }
        let mut sheet = Sheet::default();
        let mut covered = 0.0;
        let mut seen = BTreeSet::from([start]);
        let mut work = vec![start];
        while let Some(t) = work.pop() {
            let nodes = self.cut(t, section);
            let area = area(&nodes);
            if area <= 0.0 {
                continue;
            }
            covered += area;
            let lean = self.lean(t)?;
            for node in &nodes {
                sheet.points.insert(node.key, node.at);
                let most = sheet.lean.entry(node.key).or_insert(lean);
                *most = most.max(lean);
            }
            sheet.polygons.push(nodes.iter().map(|n| n.key).collect());
            for edge in self.edges(t) {
                let next = beside.get(&edge).into_iter().flatten();
                work.extend(next.filter(|t| seen.insert(**t)));
            }
        }
        ((covered - section.area()).abs() <= COVERED * section.area()).then_some(sheet)
    }

    fn edges(&self, t: u32) -> [[u32; 2]; 3] {
        let c = self.mesh.triangles[t as usize];
        [0, 1, 2].map(|k| {
            let (p, q) = (c[k], c[(k + 1) % 3]);
            [p.min(q), p.max(q)]
        })
    }

    /// Length of an upright line for each mm square to the face; none for steep ones.
    fn lean(&self, t: u32) -> Option<f64> {
        let [a, b, c] = self.mesh.corners(t as usize);
        let n = cross(sub(b, a), sub(c, a));
        let shadow = n[2].abs() / length(n);
        (shadow >= LEAST_SHADOW).then_some(1.0 / shadow)
    }

    /// A triangle cut along a section (Sutherland and Hodgman, 1974), anticlockwise from above.
    fn cut(&self, t: u32, section: &Section) -> Vec<Node> {
        let mut corners = self.mesh.triangles[t as usize];
        if self.facing(t) < 0.0 {
            corners.reverse();
        }
        let mut nodes: Vec<Node> = (0..3)
            .map(|k| {
                let (p, q) = (corners[k], corners[(k + 1) % 3]);
                let along = Along::Edge([p.min(q), p.max(q)]);
                Node { key: Key::Vertex(p), at: self.mesh.vertices[p as usize], along }
            })
            .collect();
        for side in 0..section.corners.len() {
            let mut kept = Vec::with_capacity(nodes.len() + 1);
            for i in 0..nodes.len() {
                let (a, b) = (nodes[i], nodes[(i + 1) % nodes.len()]);
                let inside = [a, b].map(|n| section.left_of(side, n.at) >= 0.0);
                if inside[0] {
                    kept.push(a);
                }
                if inside[0] != inside[1] {
                    let (key, at) = self.meet(section, side, a, b);
                    let along = if inside[0] { Along::Side(side) } else { a.along };
                    kept.push(Node { key, at, along });
                }
            }
            nodes = kept;
        }
        nodes
    }

    /// Where what runs from `a` to `b` meets a side, the same for both its triangles.
    fn meet(&self, section: &Section, side: usize, a: Node, b: Node) -> (Key, Vector) {
        let between = |p: Vector, q: Vector| {
            let (from, to) = (section.left_of(side, p), section.left_of(side, q));
            let share = from / (from - to);
            [0, 1, 2].map(|k| p[k] + (q[k] - p[k]) * share)
        };
        match a.along {
            Along::Edge(edge) => {
                let [p, q] = edge.map(|v| self.mesh.vertices[v as usize]);
                (Key::Cross(edge, side), between(p, q))
            }
            Along::Side(other) => {
                let key = section.between(other, side);
                let mut at = between(a.at, b.at);
                if let Key::Corner(k) = key {
                    [at[0], at[1]] = section.corners[k];
                }
                (key, at)
            }
        }
    }
}

/// The area of a shadow, mm2.
fn area(nodes: &[Node]) -> f64 {
    let Some(first) = nodes.first() else { return 0.0 };
    let twice = nodes.windows(2).map(|pair| {
        let [p, q] = [pair[0].at, pair[1].at].map(|p| [p[0] - first.at[0], p[1] - first.at[1]]);
        p[0] * q[1] - q[0] * p[1]
    });
    twice.sum::<f64>() / 2.0
}
