//! Cell faces merged over strips, with loops of true corners only.

use super::super::body::Groups;
use super::chart::Chart;
use crate::layers::{CellFace, Cells, FaceSide};
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// A face made of all neighbouring cell faces on one surface.
#[derive(Clone, Debug)]
pub(super) struct MergedFace {
    /// Which side.
    pub(super) side: FaceSide,
    /// Places of its cell faces.
    pub(super) parts: Vec<usize>,
    /// Vertices, anticlockwise seen from outside; the outer loop first.
    pub(super) loops: Vec<Vec<u32>>,
}

/// What lies on one surface and may be one face: side and sector.
type Key = (FaceSide, usize);

/// All faces, in the order of side and sector.
pub(super) fn merged(chart: &Chart, cells: &Cells) -> Vec<MergedFace> {
    let mut groups: BTreeMap<Key, Vec<usize>> = BTreeMap::new();
    for (place, face) in cells.faces.iter().enumerate() {
        groups.entry(key(chart, cells, face)).or_default().push(place);
    }
    let mut faces = Vec::new();
    for ((side, _), places) in groups {
        for (parts, edges) in components(cells, &places) {
            faces.push((MergedFace { side, parts, loops: Vec::new() }, edges));
        }
    }
    let passed = passed_through(cells, faces.iter().flat_map(|(_, edges)| edges));
    let finish = |(mut face, edges): (MergedFace, Vec<(u32, u32)>)| {
        let drawn = |v: u32| chart.drawn(cells, &face, &cells.vertices[v as usize]);
        let corners = |l: Vec<u32>| l.into_iter().filter(|v| !passed[*v as usize]).collect();
        let mut found: Vec<Vec<u32>> = loops(&edges, drawn).into_iter().map(corners).collect();
        if found.len() > 1 {
            found.sort_by(|a, b| extent(b, drawn).total_cmp(&extent(a, drawn)));
        }
        face.loops = found;
        face
    };
    faces.into_iter().map(finish).collect()
}

fn key(chart: &Chart, cells: &Cells, face: &CellFace) -> Key {
    match face.side {
        FaceSide::LeftOf(_) | FaceSide::RightOf(_) => (face.side, 0),
        _ => (face.side, chart.sector(cells, face.strip)),
    }
}

/// Directed edges.
type Edges = Vec<(u32, u32)>;

/// Parts that hang together, with the directed edges round them.
fn components(cells: &Cells, places: &[usize]) -> Vec<(Vec<usize>, Edges)> {
    let corners: Vec<Vec<u32>> = places.iter().map(|p| cells.faces[*p].corners()).collect();
    let mut owners: Vec<((u32, u32), usize)> = Vec::new();
    for (number, corners) in corners.iter().enumerate() {
        owners.extend(round(corners).map(|edge| (edge, number)));
    }
    owners.sort_unstable();
    let across = |edge: (u32, u32)| {
        let found = owners.binary_search_by_key(&(edge.1, edge.0), |o| o.0);
        found.ok().map(|place| owners[place].1)
    };
    let mut groups = Groups::new(places.len());
    for (edge, number) in &owners {
        if let Some(other) = across(*edge) {
            groups.unite(*number, other);
        }
    }
    let mut found = Vec::new();
    for members in groups.lists() {
        let edges = members.iter().flat_map(|m| round(&corners[*m]));
        let rim = edges.filter(|edge| across(*edge).is_none()).collect();
        found.push((members.iter().map(|m| places[*m]).collect(), rim));
    }
    found
}

/// The directed edges of a loop of corners.
pub(super) fn round(corners: &[u32]) -> impl Iterator<Item = (u32, u32)> + '_ {
    let count = if corners.len() < 3 { 0 } else { corners.len() };
    (0..count).map(|i| (corners[i], corners[(i + 1) % corners.len()]))
}

/// Which vertices are merely passed: two edges meet there that are one curve.
fn passed_through<'a>(cells: &Cells, edges: impl Iterator<Item = &'a (u32, u32)>) -> Vec<bool> {
    let mut neighbours: Vec<Vec<u32>> = vec![Vec::new(); cells.vertices.len()];
    for (a, b) in edges {
        for (here, there) in [(*a, *b), (*b, *a)] {
            let beside = &mut neighbours[here as usize];
            if !beside.contains(&there) {
                beside.push(there);
            }
        }
    }
    let passes = |(vertex, beside): (usize, &Vec<u32>)| match beside.as_slice() {
        [a, b] => one_curve(cells, *a, vertex as u32, *b),
        _ => false,
    };
    neighbours.iter().enumerate().map(passes).collect()
}

/// Steps of a curve may differ by this much per step, mm: rounding of levels that come
/// from different strips.
const STRAIGHT_MM: f64 = 1e-9;

/// Whether `b` lies on the curve from `a` to `c`: along a line straight in (z, depth),
/// across lines even in z and depth.
fn one_curve(cells: &Cells, a: u32, b: u32, c: u32) -> bool {
    let [a, b, c] = [a, b, c].map(|v| cells.vertices[v as usize]);
    let (first, second) =
        ([b.z_mm - a.z_mm, b.depth_mm - a.depth_mm], [c.z_mm - b.z_mm, c.depth_mm - b.depth_mm]);
    if a.line == b.line && b.line == c.line {
        return (first[0] * second[1] - first[1] * second[0]).abs() < STRAIGHT_MM;
    }
    if a.line == b.line || b.line == c.line {
        return false;
    }
    let turn = |from: u32, to: u32| {
        let d = cells.lines[to as usize] - cells.lines[from as usize];
        match cells.period {
            Some(period) => d - (d / period).round() * period,
            None => d,
        }
    };
    let (before, after) = (turn(a.line, b.line), turn(b.line, c.line));
    let even = |i: usize| {
        (first[i] * after - second[i] * before).abs() < STRAIGHT_MM * before.abs().max(after.abs())
    };
    before * after > 0.0 && even(0) && even(1)
}

/// Closed runs of directed edges, the face to their left. Where runs touch in a vertex the
/// sharpest turn to the left goes on, which follows the rim of the face's inside: a hole
/// that touches the outer rim becomes a part of it.
fn loops(edges: &Edges, drawn: impl Fn(u32) -> [f64; 2]) -> Vec<Vec<u32>> {
    let area = |(a, b): &(u32, u32)| cross(drawn(*a), drawn(*b));
    // The drawing shows some faces from behind.
    let mirror = if edges.iter().map(area).sum::<f64>() < 0.0 { -1.0 } else { 1.0 };
    let place = |v: u32| [drawn(v)[0] * mirror, drawn(v)[1]];
    let mut steps = Steps::new(edges);
    let mut found = Vec::new();
    while let Some((start, first)) = steps.unused() {
        let mut run = vec![start];
        let (mut before, mut at) = (start, first);
        loop {
            let turn = |to: u32| {
                let (here, back) = (place(at), place(before));
                clockwise(minus(back, here), minus(place(to), here))
            };
            let Some(to) = steps.take(at, turn) else { break };
            if (at, to) == (start, first) {
                break;
            }
            run.push(at);
            (before, at) = (at, to);
        }
        found.push(run);
    }
    found
}

/// Directed edges that are used up one by one.
struct Steps {
    /// Ascending.
    edges: Vec<(u32, u32)>,
    used: Vec<bool>,
    /// No edge before it is unused.
    first: usize,
}

impl Steps {
    fn new(edges: &Edges) -> Self {
        let mut edges = edges.clone();
        edges.sort_unstable();
        Steps { used: vec![false; edges.len()], edges, first: 0 }
    }

    fn unused(&mut self) -> Option<(u32, u32)> {
        while *self.used.get(self.first)? {
            self.first += 1;
        }
        Some(self.edges[self.first])
    }

    /// The next vertex after `from`: that of the least turn. The edge is used up.
    fn take(&mut self, from: u32, turn: impl Fn(u32) -> f64) -> Option<u32> {
        let low = self.edges.partition_point(|e| e.0 < from);
        let choices = (low..self.edges.len()).take_while(|e| self.edges[*e].0 == from);
        let mut choices = choices.filter(|e| !self.used[*e]);
        let (one, other) = (choices.next()?, choices.next());
        let best = match other {
            None => one,
            Some(other) => [one, other]
                .into_iter()
                .chain(choices)
                .min_by(|a, b| turn(self.edges[*a].1).total_cmp(&turn(self.edges[*b].1)))?,
        };
        self.used[best] = true;
        Some(self.edges[best].1)
    }
}

fn minus(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

/// The angle from one direction clockwise to another, above 0 and up to a full turn, rad.
fn clockwise(from: [f64; 2], to: [f64; 2]) -> f64 {
    let left = cross(from, to).atan2(from[0] * to[0] + from[1] * to[1]);
    if left < 0.0 { -left } else { TAU - left }
}

/// How much a loop encloses in the face's own drawing: the outer loop encloses most.
fn extent(vertices: &[u32], drawn: impl Fn(u32) -> [f64; 2]) -> f64 {
    let next = |i: usize| vertices[(i + 1) % vertices.len()];
    let areas = (0..vertices.len()).map(|i| cross(drawn(vertices[i]), drawn(next(i))));
    areas.sum::<f64>().abs()
}
