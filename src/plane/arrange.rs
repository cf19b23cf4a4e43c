//! The arrangement: all curves cut where they meet, every cut piece told what lies
//! on its two sides, the pieces that bound the wanted region put together to loops.
//! Lines stay lines and arcs stay arcs.

use super::crossing::{TOUCH_MM, near_pairs};
use super::error::PlaneError;
use super::outline::{Curve, Outline, Point};
use super::rays::Rays;
use super::stretch::Stretch;
use super::weave::{Piece, weave};
use std::collections::{BTreeMap, HashMap};
use std::f64::consts::FRAC_PI_2;
use std::sync::Arc;

/// A directed curve of a closed loop. Regions lie to the left of their loops.
pub(super) struct Input {
    pub(super) stretch: Stretch,
    pub(super) face: Option<Arc<str>>,
    /// Which of the two operands it bounds: 0 or 1.
    pub(super) group: usize,
}

impl Input {
    /// All segments of an outline as operand `group`.
    pub(super) fn outline(outline: &Outline, group: usize) -> Vec<Input> {
        let segments = outline.loops.iter().flat_map(|track| track.iter());
        segments
            .map(|(from, s)| Input {
                stretch: Stretch { from, to: s.to, curve: s.curve },
                face: s.face.clone(),
                group,
            })
            .collect()
    }
}

/// A cut piece that may stem from several inputs.
pub(super) struct Edge {
    pub(super) ends: [usize; 2],
    pub(super) stretch: Stretch,
    /// By how much the winding number to its left exceeds that to its right, per group.
    pub(super) step: [i32; 2],
    /// Inputs that run along with it, and against it.
    pub(super) sources: [Option<usize>; 2],
}

/// The region of all points whose winding numbers in the two groups satisfy `keep`.
///
/// # Errors
/// Curves that hug each other so closely that the loops do not close.
pub(super) fn arrange(
    inputs: &[Input],
    keep: impl Fn([i32; 2]) -> bool,
) -> Result<Outline, PlaneError> {
    let (vertices, edges) = cut(inputs);
    let rays = Rays::new(&edges);
    let mut pieces = Vec::new();
    for (index, edge) in edges.iter().enumerate() {
        let [left, right] = rays.sides(&edges, index);
        let forward = match (keep(left), keep(right)) {
            (true, false) => true,
            (false, true) => false,
            _ => continue,
        };
        let (along, against) = (edge.sources[0], edge.sources[1]);
        let source = if forward { along.or(against) } else { against.or(along) };
        let [from, to] = edge.ends;
        let (ends, stretch) = match forward {
            true => ([from, to], edge.stretch),
            false => ([to, from], edge.stretch.reversed()),
        };
        let face = source.and_then(|input| inputs[input].face.clone());
        pieces.push(Piece { ends, stretch, face });
    }
    weave(&vertices, pieces)
}

/// Vertices and cut pieces of all inputs.
fn cut(inputs: &[Input]) -> (Vec<Point>, Vec<Edge>) {
    let parts: Vec<(usize, Stretch)> = inputs
        .iter()
        .enumerate()
        .flat_map(|(index, input)| input.stretch.monotone().into_iter().map(move |s| (index, s)))
        .collect();
    let stretches: Vec<Stretch> = parts.iter().map(|(_, s)| *s).collect();
    let mut vertices = Vertices::default();
    let mut on: Vec<Vec<usize>> =
        stretches.iter().map(|s| vec![vertices.index(s.from), vertices.index(s.to)]).collect();
    for (i, j) in near_pairs(&stretches) {
        for point in stretches[i].meets(&stretches[j]) {
            let vertex = vertices.index(point);
            on[i].push(vertex);
            on[j].push(vertex);
        }
    }
    let mut edges = Edges::default();
    for ((input, stretch), vertices_on) in parts.iter().zip(&on) {
        let mut stops: Vec<(f64, usize)> =
            vertices_on.iter().map(|&v| (stretch.share(vertices.points[v]), v)).collect();
        stops[0].0 = f64::NEG_INFINITY;
        stops[1].0 = f64::INFINITY;
        stops.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        stops.dedup_by_key(|stop| stop.1);
        for pair in stops.windows(2) {
            let ends = [pair[0].1, pair[1].1];
            let [from, to] = ends.map(|v| vertices.points[v]);
            edges.add(
                ends,
                Stretch { from, to, curve: stretch.curve },
                *input,
                inputs[*input].group,
            );
        }
    }
    (vertices.points, edges.list)
}

impl Stretch {
    /// In parts that run monotonously in x and in y.
    fn monotone(&self) -> Vec<Stretch> {
        let (Curve::Arc { centre, .. }, Some(radius)) = (self.curve, self.radius()) else {
            return vec![*self];
        };
        let mut stops: Vec<(f64, Point)> = (0..4)
            .map(|quarter| {
                let (sin, cos) = (f64::from(quarter) * FRAC_PI_2).sin_cos();
                centre + Point::new(cos.round(), sin.round()) * radius
            })
            .filter(|tip| tip.distance(self.from).min(tip.distance(self.to)) > 2.0 * TOUCH_MM)
            .map(|tip| (self.share(tip), tip))
            .filter(|(share, _)| *share > 0.0 && *share < 1.0)
            .collect();
        stops.sort_by(|a, b| a.0.total_cmp(&b.0));
        stops.push((1.0, self.to));
        let mut from = self.from;
        let mut parts = Vec::with_capacity(stops.len());
        for (_, to) in stops {
            parts.push(Stretch { from, to, ..*self });
            from = to;
        }
        parts
    }
}

/// Points, those nearer than [`TOUCH_MM`] being one: the one seen first.
#[derive(Default)]
struct Vertices {
    points: Vec<Point>,
    /// Looked up only, never walked through.
    cells: HashMap<(i64, i64), Vec<usize>>,
}

impl Vertices {
    fn index(&mut self, point: Point) -> usize {
        let cell = |x: f64| (x / (2.0 * TOUCH_MM)).floor() as i64;
        let (column, row) = (cell(point.x), cell(point.y));
        let mut best: Option<usize> = None;
        for i in column - 1..=column + 1 {
            for j in row - 1..=row + 1 {
                let near = self.cells.get(&(i, j)).into_iter().flatten().copied();
                let near = near.filter(|&v| self.points[v].distance(point) <= TOUCH_MM);
                best = near.chain(best).min();
            }
        }
        best.unwrap_or_else(|| {
            self.points.push(point);
            self.cells.entry((column, row)).or_default().push(self.points.len() - 1);
            self.points.len() - 1
        })
    }
}

#[derive(Default)]
struct Edges {
    list: Vec<Edge>,
    between: BTreeMap<[usize; 2], Vec<usize>>,
}

impl Edges {
    /// Adds a piece, or counts it to the one that runs the same way between the same
    /// vertices.
    fn add(&mut self, ends: [usize; 2], stretch: Stretch, input: usize, group: usize) {
        let key = [ends[0].min(ends[1]), ends[0].max(ends[1])];
        let known = self.between.entry(key).or_default();
        let middle = stretch.at(0.5);
        let same = known
            .iter()
            .copied()
            .find(|&i| self.list[i].stretch.at(0.5).distance(middle) <= 2.0 * TOUCH_MM);
        let index = same.unwrap_or_else(|| {
            known.push(self.list.len());
            self.list.push(Edge { ends, stretch, step: [0; 2], sources: [None; 2] });
            self.list.len() - 1
        });
        let edge = &mut self.list[index];
        let against = usize::from(edge.ends != ends);
        edge.step[group] += if against == 0 { 1 } else { -1 };
        edge.sources[against].get_or_insert(input);
    }
}
