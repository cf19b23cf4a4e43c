//! Which layers need no look: those from which every underside leads gently down.
//!
//! From any point of a layer one comes down to the layer below inside the body: straight
//! down as far as there is material, then the steepest way along the underside, and along
//! its keels, the edges into which both their faces lead down. The layer below carries all
//! that reaches it within its reach. So a layer is only looked at where, between its cut and
//! the one below, a face or a keel runs out too far for its rise, or a corner has no way down.

use crate::mesh::Mesh;
use crate::model::Vector;
use crate::model::vector::dot;
use crate::print::slices::{Planes, Slices, edge};

/// What a way down may run out more than the reach from one cut to the next, mm: rounding.
const ROUNDING_MM: f64 = 1e-6;

/// An underside covers more than this of the bed, mm2; what covers less is a wall.
const WALL_MM2: f64 = 5e-7;

/// Faces lower than this (mm) lead nowhere: their neighbours tell which way is down.
const NEEDLE_MM: f64 = 1e-5;

/// A face that falls from an edge by less than this, mm, is taken to rise from it.
const LEVEL_MM: f64 = 1e-6;

/// Whether each layer may have something that the layer below does not carry within a reach
/// of so many mm.
pub fn doubtful(slices: &Slices, reach_mm: &[f64]) -> Vec<bool> {
    let mesh = slices.mesh();
    let layers = vec![false; reach_mm.len()];
    let mut doubts = Doubts { planes: slices.planes(), reach_mm, layers };
    let undersides = Undersides::of(mesh);
    for t in (0..mesh.triangles.len()).filter(|t| undersides.faces[*t]) {
        if let Some(slope) = run_over_rise(mesh, t) {
            doubts.way(&slices.heights(mesh.triangles[t]), slope);
        }
    }
    for ends in undersides.keels(mesh) {
        let [p, q] = ends.map(|v| mesh.vertices[v as usize]);
        let (run, heights) = ((p[0] - q[0]).hypot(p[1] - q[1]), ends.map(|v| slices.height(v)));
        doubts.way(&heights, run / (heights[0] - heights[1]).abs());
    }
    for corner in undersides.ends(slices) {
        doubts.end(slices.height(corner));
    }
    doubts.layers
}

/// Layers that must be looked at, found so far.
struct Doubts<'a> {
    planes: &'a Planes,
    reach_mm: &'a [f64],
    layers: Vec<bool>,
}

impl Doubts<'_> {
    /// A way down between heights, with what it runs out for each mm.
    fn way(&mut self, heights: &[f64], run_over_rise: f64) {
        let low = heights.iter().copied().fold(f64::INFINITY, f64::min);
        let high = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let last = self.planes.above(high).min(self.layers.len().saturating_sub(1));
        for layer in self.planes.above(low).max(1)..=last {
            let run = run_over_rise * self.planes.rise_mm(layer);
            self.layers[layer] |= run > self.reach_mm[layer] + ROUNDING_MM;
        }
    }

    /// A height from which no way leads down.
    fn end(&mut self, height: f64) {
        let layer = self.planes.above(height);
        if layer > 0 && layer < self.layers.len() {
            self.layers[layer] = true;
        }
    }
}

/// The faces of a body that look down.
struct Undersides {
    /// By triangle.
    faces: Vec<bool>,
    /// Whether a corner belongs to one of them.
    corners: Vec<bool>,
}

impl Undersides {
    fn of(mesh: &Mesh) -> Undersides {
        // A normal is as long as twice the face is large.
        let looks_down = |t: usize| mesh.normal(t)[2] / 2.0 < -WALL_MM2;
        let faces: Vec<bool> = (0..mesh.triangles.len()).map(looks_down).collect();
        let mut corners = vec![false; mesh.vertices.len()];
        for (triangle, _) in mesh.triangles.iter().zip(&faces).filter(|(_, down)| **down) {
            triangle.iter().for_each(|v| corners[*v as usize] = true);
        }
        Undersides { faces, corners }
    }

    /// Their edges from which both faces rise; the same of an edge without two faces, of
    /// which nothing is known.
    fn keels(&self, mesh: &Mesh) -> Vec<[u32; 2]> {
        let mut sides: Vec<(u64, u32)> = Vec::new();
        for (t, triangle) in mesh.triangles.iter().enumerate() {
            for k in 0..3 {
                let ends = [triangle[k], triangle[(k + 1) % 3]];
                if ends.iter().all(|v| self.corners[*v as usize]) {
                    sides.push((edge(ends[0], ends[1]), t as u32));
                }
            }
        }
        sides.sort_unstable();
        let edges = sides.chunk_by(|a, b| a.0 == b.0);
        let keels = edges.filter_map(|faces| {
            let ends = [(faces[0].0 >> 32) as u32, faces[0].0 as u32];
            let below = faces.iter().any(|(_, t)| self.faces[*t as usize]);
            let rise = || faces.iter().all(|(_, t)| rises(mesh, *t as usize, ends));
            (below && (faces.len() != 2 || rise())).then_some(ends)
        });
        keels.collect()
    }

    /// Their corners from which no edge leads down.
    fn ends(&self, slices: &Slices) -> Vec<u32> {
        let mut falls = vec![false; self.corners.len()];
        for triangle in &slices.mesh().triangles {
            let heights = slices.heights(*triangle);
            for k in 0..3 {
                let next = (k + 1) % 3;
                falls[triangle[k] as usize] |= heights[k] > heights[next];
                falls[triangle[next] as usize] |= heights[next] > heights[k];
            }
        }
        let ends = (0..falls.len()).filter(|v| self.corners[*v] && !falls[*v]);
        ends.map(|v| v as u32).collect()
    }
}

/// Whether a face rises from one of its edges.
fn rises(mesh: &Mesh, t: usize, ends: [u32; 2]) -> bool {
    let Some(third) = mesh.triangles[t].into_iter().find(|v| !ends.contains(v)) else {
        return true;
    };
    let [p, q, w] = [ends[0], ends[1], third].map(|v| mesh.vertices[v as usize]);
    let (along, to) = ([0, 1, 2].map(|k| q[k] - p[k]), [0, 1, 2].map(|k| w[k] - p[k]));
    let square = dot(along, along);
    if square == 0.0 {
        return true;
    }
    // Square to the edge, in the face.
    to[2] - along[2] * (dot(to, along) / square) > -LEVEL_MM
}

/// What the steepest way down a face runs out for each mm, endless on a level one; none of a
/// needle.
fn run_over_rise(mesh: &Mesh, t: usize) -> Option<f64> {
    let ([a, b, c], normal) = (mesh.corners(t), mesh.normal(t));
    let square = |(p, q): (Vector, Vector)| {
        let side = [0, 1, 2].map(|k| q[k] - p[k]);
        dot(side, side)
    };
    let longest = [(a, b), (b, c), (c, a)].map(square).into_iter().fold(0.0, f64::max).sqrt();
    let double = dot(normal, normal).sqrt();
    (double > NEEDLE_MM * longest).then(|| normal[2].abs() / normal[0].hypot(normal[1]))
}

#[cfg(test)]
#[path = "descent_tests.rs"]
mod tests;
