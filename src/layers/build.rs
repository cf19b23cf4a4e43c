//! From strips to cells.

use super::cells::{CellFace, CellVertex, Cells, FaceSide};
use super::layer::Layer;
use super::line::{Line, Span};
use super::reshape::{fitted, split_ridges, sunk};
use super::{FINE_WELD_MM, WELD_MM};
use crate::plane::Strips;

/// The eased body: `strips` at the layer's origin, shrinking with depth.
pub fn cells(strips: &Strips, layer: &Layer) -> Cells {
    Builder::new(strips, layer, None, WELD_MM).build()
}

/// What is left of a host round the eased body: its surface from `span_mm[0]` to
/// `span_mm[1]` with the openings left out, and the walls and floors of the pocket, seen
/// from the host's material. The layer starts on the surface. The strips must keep clear of
/// both ends of the span.
pub fn pocket(strips: &Strips, layer: &Layer, span_mm: [f64; 2]) -> Cells {
    Builder::new(strips, layer, Some(span_mm), WELD_MM).build()
}

/// As [`cells`], with levels told apart down to [`FINE_WELD_MM`].
pub fn finer_cells(strips: &Strips, layer: &Layer) -> Cells {
    Builder::new(strips, layer, None, FINE_WELD_MM).build()
}

/// As [`pocket`], with levels told apart down to [`FINE_WELD_MM`].
pub fn finer_pocket(strips: &Strips, layer: &Layer, span_mm: [f64; 2]) -> Cells {
    Builder::new(strips, layer, Some(span_mm), FINE_WELD_MM).build()
}

struct Builder {
    strips: Strips,
    rim: Option<[f64; 2]>,
    lines: Vec<Line>,
    vertices: Vec<CellVertex>,
    faces: Vec<CellFace>,
}

impl Builder {
    fn new(strips: &Strips, layer: &Layer, rim: Option<[f64; 2]>, weld_mm: f64) -> Builder {
        // Bring the strips to the section at the kink, so that easing starts from there.
        let before = layer.kink_mm.max(layer.origin_mm) - layer.origin_mm;
        let strips = sunk(strips, layer.drop.upper * before, layer.drop.lower * before, weld_mm);
        let layer = fitted(&strips, layer);
        let strips =
            split_ridges(&strips, layer.closing() * (layer.to_mm - layer.kink_mm), weld_mm);
        let mut builder = Builder { strips, rim, lines: vec![], vertices: vec![], faces: vec![] };
        let rims: Vec<f64> = rim.into_iter().flatten().collect();
        for index in 0..builder.strips.lines.len() {
            let beside = [builder.before(index), (index < builder.count()).then_some(index)];
            let spans = [builder.spans(beside[0], 1), builder.spans(beside[1], 0)];
            let line = Line::new(
                index as u32,
                [&spans[0], &spans[1]],
                &layer,
                &rims,
                weld_mm,
                &mut builder.vertices,
            );
            builder.lines.push(line);
        }
        builder
    }

    fn count(&self) -> usize {
        self.strips.strips.len()
    }

    /// The strip to the left of a line.
    fn before(&self, line: usize) -> Option<usize> {
        match (line, self.strips.period) {
            (0, None) => None,
            (0, Some(_)) => self.count().checked_sub(1),
            _ => Some(line - 1),
        }
    }

    fn spans(&self, strip: Option<usize>, end: usize) -> Vec<(f64, f64)> {
        let Some(strip) = strip else { return vec![] };
        self.strips.strips[strip].iter().map(|i| (i.bottom[end], i.top[end])).collect()
    }

    fn build(mut self) -> Cells {
        for strip in 0..self.count() {
            self.strip_faces(strip);
        }
        for line in 0..self.lines.len() {
            self.walls(line);
        }
        let Strips { lines, period, .. } = self.strips;
        let welded_mm = self.lines.iter().map(|l| l.welded_mm).fold(0.0, f64::max);
        Cells { lines, period, vertices: self.vertices, faces: self.faces, welded_mm }
    }

    /// Adds a face of the body, or of the pocket round it, unless it has no extent.
    fn add(&mut self, side: FaceSide, strip: usize, left: Vec<u32>, right: Vec<u32>) {
        if left.len() < 2 && right.len() < 2 {
            return;
        }
        let turned = self.rim.is_some() && side != FaceSide::Show;
        let (left, right) = if turned { (right, left) } else { (left, right) };
        self.faces.push(CellFace { side, strip: strip as u32, left, right });
    }

    fn strip_faces(&mut self, strip: usize) {
        let next = (strip + 1) % self.lines.len();
        let intervals = self.strips.strips[strip].clone();
        if let Some([low, high]) = self.rim {
            let mut from = [low, low];
            for (below, above) in
                intervals.iter().map(|i| (i.bottom, i.top)).chain([([high; 2], [high; 2])])
            {
                let left = self.lines[strip].rising(0, from[0], below[0]);
                let right = self.lines[next].rising(0, from[1], below[1]);
                self.add(FaceSide::Show, strip, left, right);
                from = above;
            }
        }
        for (place, interval) in intervals.iter().enumerate() {
            let (l, r) = (&self.lines[strip], &self.lines[next]);
            let (left, right) = (l.right[place], r.left[place]);
            let show = (l.rising(0, left.bottom, left.top), r.rising(0, right.bottom, right.top));
            let back = (left.end == l.last() && right.end == r.last())
                .then(|| (ending(l, &left), ending(r, &right)));
            let mut swept = vec![];
            for outer in [true, false] {
                let upper = [along(l, &left, outer, true), along(r, &right, outer, true)];
                let lower = [along(l, &left, outer, false), along(r, &right, outer, false)];
                swept.push((FaceSide::Upper(interval.top_edge), upper));
                let [a, b] = lower;
                swept.push((FaceSide::Lower(interval.bottom_edge), [b, a]));
            }
            if self.rim.is_none() {
                self.add(FaceSide::Show, strip, show.0, show.1);
            }
            if let Some((left, right)) = back {
                self.add(FaceSide::Back, strip, right, left);
            }
            for (side, [left, right]) in swept {
                self.add(side, strip, left, right);
            }
        }
    }

    /// Walls on a line: wherever there is material on one side of it only.
    fn walls(&mut self, index: usize) {
        let line = &self.lines[index];
        if line.left == line.right {
            return;
        }
        let mut walls = vec![];
        for depth in 0..line.last() {
            let bounds = bounds(line, depth);
            let mut inside = [false; 2];
            for pair in bounds.windows(2) {
                inside[pair[0].side] ^= true;
                if inside[0] == inside[1] {
                    continue;
                }
                let outer = line.between(depth, pair[0].outer, pair[1].outer);
                let inner = line.between(depth + 1, pair[0].inner, pair[1].inner);
                walls.push((inside[0], outer, inner));
            }
        }
        for (is_left, outer, inner) in walls {
            let number = index as u32;
            if is_left {
                let strip = self.before(index).unwrap_or(0);
                self.add(FaceSide::LeftOf(number), strip, outer, inner);
            } else {
                self.add(FaceSide::RightOf(number), index, inner, outer);
            }
        }
    }
}

/// A boundary between material and none on a line, between two depths.
struct Bound {
    z: f64,
    /// 0: of the strip to the left; 1: to the right.
    side: usize,
    /// Its places in the rows of the outer and the inner depth.
    outer: usize,
    inner: usize,
}

/// All boundaries on a line between a depth and the next one, ascending.
fn bounds(line: &Line, depth: usize) -> Vec<Bound> {
    let mut found = vec![];
    for (side, spans) in [&line.left, &line.right].into_iter().enumerate() {
        for span in spans.iter().filter(|s| s.end > depth) {
            let ends = [depth, depth + 1];
            for z in [ends.map(|d| line.bottom(span, d)), ends.map(|d| line.top(span, d))] {
                found.push(Bound {
                    z: (z[0] + z[1]) / 2.0,
                    side,
                    outer: line.place(depth, z[0]),
                    inner: line.place(depth + 1, z[1]),
                });
            }
        }
    }
    found.sort_by(|a, b| a.z.total_cmp(&b.z));
    found
}

/// The chain of a cell's upper or lower side along depth: before the kink, or after it.
fn along(line: &Line, span: &Span, outer: bool, upper: bool) -> Vec<u32> {
    let (from, to) = if outer { (0, line.kink) } else { (line.kink, span.end) };
    (from..=to.max(from))
        .map(|depth| {
            let z = if upper { line.top(span, depth) } else { line.bottom(span, depth) };
            line.vertex(depth, z)
        })
        .collect()
}

/// The chain of a cell at the layer's inner end.
fn ending(line: &Line, span: &Span) -> Vec<u32> {
    let last = line.last();
    line.rising(last, line.bottom(span, last), line.top(span, last))
}
