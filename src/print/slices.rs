//! The finished mesh cut at every layer.

use crate::mesh::Mesh;
use crate::model::{Printer, Vector};
use crate::plane::Point;
use rustc_hash::FxHashMap;
use std::sync::OnceLock;

/// Heights of corners are taken as multiples of this, mm, so that what was meant to be
/// level is level; and cuts lie half of it above such a height, so that none meets a
/// corner. A thousand times finer than what a layer resolves.
const STEP_MM: f64 = 1e-6;

/// A point of an outline that leaves the straight line between its neighbours by less
/// than this, mm, is left out.
const STRAIGHT_MM: f64 = 1e-6;

/// Heights at which a body is cut: the middle of each layer.
#[derive(Clone, Debug, PartialEq)]
pub struct Planes {
    /// Where each layer is cut, mm above the bed, upwards.
    pub cuts_mm: Vec<f64>,
    first_mm: f64,
    layer_mm: f64,
}

impl Planes {
    /// All layers of a body of this height. A last layer is printed where the body reaches
    /// its middle.
    pub fn new(printer: &Printer, height_mm: f64) -> Planes {
        let (first, layer) = (printer.first_layer_mm, printer.layer_mm);
        let mut cuts_mm = Vec::new();
        let mut at = first / 2.0;
        while at < height_mm {
            cuts_mm.push((at / STEP_MM).round() * STEP_MM + STEP_MM / 2.0);
            at = first + layer * (cuts_mm.len() as f64 - 0.5);
        }
        Planes { cuts_mm, first_mm: first, layer_mm: layer }
    }

    /// Lower and upper side of a layer, mm.
    pub fn sides_mm(&self, layer: usize) -> [f64; 2] {
        let top = |n: f64| self.first_mm + self.layer_mm * n;
        match layer {
            0 => [0.0, self.first_mm],
            _ => [top(layer as f64 - 1.0), top(layer as f64)],
        }
    }

    /// How far a layer's cut lies above the one below, or above the bed, mm.
    pub fn rise_mm(&self, layer: usize) -> f64 {
        let below = layer.checked_sub(1).map_or(0.0, |below| self.cuts_mm[below]);
        self.cuts_mm[layer] - below
    }

    /// The first layer whose cut lies above a height, mm.
    pub fn above(&self, z_mm: f64) -> usize {
        self.cuts_mm.partition_point(|cut| *cut <= z_mm)
    }
}

/// The outlines of the first layer of a posed copy, material to the left; none where it
/// does not reach the middle of that layer.
pub fn first_layer(mesh: &Mesh, printer: &Printer) -> Vec<Vec<Point>> {
    let slices = Slices::at(mesh, Planes::new(printer, printer.first_layer_mm));
    slices.outlines(0).to_vec()
}

/// A mesh ready to be cut; each layer is cut once, when it is first asked for.
pub struct Slices<'a> {
    mesh: &'a Mesh,
    planes: Planes,
    /// Heights of the corners, mm, level where they were meant to be.
    heights: Vec<f64>,
    /// The triangles that each cut meets: those of layer k are `starts[k]..starts[k + 1]`.
    starts: Vec<usize>,
    crossing: Vec<u32>,
    cut: Vec<OnceLock<Vec<Vec<Point>>>>,
}

impl<'a> Slices<'a> {
    /// All layers of a posed body.
    pub fn new(mesh: &'a Mesh, printer: &Printer) -> Self {
        let height = mesh.vertices.iter().map(|p| p[2]).fold(0.0, f64::max);
        Slices::at(mesh, Planes::new(printer, height))
    }

    /// Sorts all triangles to the cuts they meet.
    pub fn at(mesh: &'a Mesh, planes: Planes) -> Self {
        let level = |p: &[f64; 3]| (p[2] / STEP_MM).round() * STEP_MM;
        let heights: Vec<f64> = mesh.vertices.iter().map(level).collect();
        let spans: Vec<[usize; 2]> = mesh
            .triangles
            .iter()
            .map(|t| {
                let z = t.map(|v| heights[v as usize]);
                let low = z[0].min(z[1]).min(z[2]);
                [planes.above(low), planes.above(z[0].max(z[1]).max(z[2]))]
            })
            .collect();
        let mut starts = vec![0; planes.cuts_mm.len() + 1];
        for [low, high] in &spans {
            for layer in *low..*high {
                starts[layer + 1] += 1;
            }
        }
        for layer in 1..starts.len() {
            starts[layer] += starts[layer - 1];
        }
        let mut next = starts.clone();
        let mut crossing = vec![0; starts.last().copied().unwrap_or(0)];
        for (t, [low, high]) in spans.iter().enumerate() {
            for slot in &mut next[*low..*high] {
                crossing[*slot] = t as u32;
                *slot += 1;
            }
        }
        let cut = vec![OnceLock::new(); planes.cuts_mm.len()];
        Slices { mesh, planes, heights, starts, crossing, cut }
    }

    /// What is cut.
    pub fn mesh(&self) -> &'a Mesh {
        self.mesh
    }

    /// Where it is cut.
    pub fn planes(&self) -> &Planes {
        &self.planes
    }

    /// The heights of a triangle's corners, mm, level where they were meant to be.
    pub fn heights(&self, triangle: [u32; 3]) -> [f64; 3] {
        triangle.map(|v| self.heights[v as usize])
    }

    /// The height of a corner, mm, as [`Slices::heights`].
    pub fn height(&self, corner: u32) -> f64 {
        self.heights[corner as usize]
    }

    /// The outlines of a layer, material to the left.
    pub fn outlines(&self, layer: usize) -> &[Vec<Point>] {
        self.cut[layer].get_or_init(|| self.cut(layer))
    }

    fn cut(&self, layer: usize) -> Vec<Vec<Point>> {
        let z = self.planes.cuts_mm[layer];
        // From the edge where a triangle is entered to the one where it is left.
        let crossing = self.starts[layer + 1] - self.starts[layer];
        let mut links: Vec<(u64, u64)> = Vec::with_capacity(crossing);
        for t in &self.crossing[self.starts[layer]..self.starts[layer + 1]] {
            let corners = self.mesh.triangles[*t as usize];
            let (mut from, mut to) = (None, None);
            for k in 0..3 {
                let (p, q) = (corners[k], corners[(k + 1) % 3]);
                match (self.heights[p as usize] > z, self.heights[q as usize] > z) {
                    (true, false) => from = Some(edge(p, q)),
                    (false, true) => to = Some(edge(p, q)),
                    _ => {}
                }
            }
            if let (Some(from), Some(to)) = (from, to) {
                links.push((from, to));
            }
        }
        let entered: FxHashMap<u64, usize> = links.iter().map(|l| l.0).zip(0..).collect();
        let mut used = vec![false; links.len()];
        let mut loops: Vec<Vec<u64>> = Vec::new();
        for start in 0..links.len() {
            let mut edges = Vec::new();
            let mut next = Some(start);
            while let Some(at) = next.filter(|at| !used[*at]) {
                used[at] = true;
                edges.push(links[at].0);
                next = entered.get(&links[at].1).copied();
            }
            // Each begins at its first edge, so that nothing hangs on the order of triangles.
            let first = edges.iter().enumerate().min_by_key(|(_, edge)| **edge);
            if let Some((first, _)) = first {
                edges.rotate_left(first);
                loops.push(edges);
            }
        }
        loops.sort_unstable_by_key(|edges| edges[0]);
        let outline = |edges: Vec<u64>| -> Vec<Point> {
            straightened(&edges.into_iter().map(|e| self.crossing_point(e, z)).collect::<Vec<_>>())
        };
        loops.into_iter().map(outline).filter(|polygon| polygon.len() >= 3).collect()
    }

    fn crossing_point(&self, edge: u64, z: f64) -> Point {
        let ends = [(edge >> 32) as usize, (edge & 0xFFFF_FFFF) as usize];
        let [p, q] = ends.map(|v| self.mesh.vertices[v]);
        let [low, high] = ends.map(|v| self.heights[v]);
        let share = (z - low) / (high - low);
        Point::new(p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share)
    }

    /// Layers to look at so that every other one is like the last of these below it: no
    /// corner lies between their cuts and no face moves sideways by more than `by_mm` in all.
    pub fn changed(&self, by_mm: f64) -> Vec<usize> {
        let layers = self.planes.cuts_mm.len();
        let mut corner = vec![false; layers + 1];
        let mut moved = vec![0f64; layers + 1];
        for (t, triangle) in self.mesh.triangles.iter().enumerate() {
            let z = self.heights(*triangle);
            for height in z {
                corner[self.planes.above(height)] = true;
            }
            let low = self.planes.above(z[0].min(z[1]).min(z[2]));
            let high = self.planes.above(z[0].max(z[1]).max(z[2]));
            let slope = run_over_rise(self.mesh.normal(t));
            let between = moved.iter_mut().enumerate().take(high).skip(low + 1);
            for (layer, moved) in between {
                *moved = moved.max(slope * self.planes.rise_mm(layer));
            }
        }
        let mut out = Vec::new();
        let mut since = 0.0;
        for (layer, moved) in moved.into_iter().enumerate().take(layers) {
            since += moved;
            if layer == 0 || corner[layer] || since > by_mm {
                out.push(layer);
                since = 0.0;
            }
        }
        out
    }
}

/// An edge by its corners, the lower number first, so that both its triangles cut it alike.
pub fn edge(p: u32, q: u32) -> u64 {
    u64::from(p.min(q)) << 32 | u64::from(p.max(q))
}

/// How far a face with this normal moves sideways for each mm upwards; 0 of a level one and
/// of one without area.
fn run_over_rise([x, y, z]: Vector) -> f64 {
    let level = x.hypot(y);
    if level > 0.0 { z.abs() / level } else { 0.0 }
}

/// A polygon without the points that say nothing.
fn straightened(polygon: &[Point]) -> Vec<Point> {
    let mut out: Vec<Point> = Vec::with_capacity(polygon.len());
    // In squares: this is asked of every point of every layer.
    let limit = STRAIGHT_MM * STRAIGHT_MM;
    let says = |a: Point, b: Point, c: Point| {
        let (along, on) = (c - a, b - a);
        let square = along.dot(along);
        if square == 0.0 {
            return on.dot(on) > limit;
        }
        let (across, ahead) = (along.cross(on), along.dot(on));
        across * across > limit * square || ahead < 0.0 || ahead > square
    };
    for point in polygon {
        while let [.., a, b] = out[..] {
            if says(a, b, *point) {
                break;
            }
            out.pop();
        }
        let away = |last: &Point| (*point - *last).dot(*point - *last) > limit;
        if out.last().is_none_or(away) {
            out.push(*point);
        }
    }
    while let [a, b, .., c, d] = out[..] {
        if a.distance(d) <= STRAIGHT_MM || !says(c, d, a) {
            out.pop();
        } else if !says(d, a, b) {
            out.remove(0);
        } else {
            break;
        }
    }
    out
}
