//! What happens on one line of the developed plane: the depths at which something
//! changes there, and the levels at each of them.

use super::cells::CellVertex;
use super::layer::Layer;

/// A cell's extent on a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    pub bottom: f64,
    pub top: f64,
    /// Index of the last depth at which the cell is there.
    pub end: usize,
}

/// A group of levels that are one, and its vertex.
#[derive(Clone, Copy, Debug)]
struct Level {
    lowest: f64,
    vertex: u32,
}

/// Everything on one line.
pub struct Line {
    /// Ascending; the first is the layer's outer end, the last its inner end.
    pub depths: Vec<f64>,
    /// Index of the depth at which easing starts.
    pub kink: usize,
    /// Spans of the strip to the left, from below upwards.
    pub left: Vec<Span>,
    /// Spans of the strip to the right.
    pub right: Vec<Span>,
    /// How far easing has gone at each depth, mm of depth.
    eased: Vec<f64>,
    rows: Vec<Vec<Level>>,
    layer: Layer,
    weld_mm: f64,
    /// The most by which levels that are one differ, mm.
    pub welded_mm: f64,
}

impl Line {
    /// Lays out one line. `left` and `right` are (bottom, top) of the cells beside it;
    /// `rims` are further levels at the outer end. Levels and depths that differ by no more
    /// than `weld_mm` are one. New vertices go to `vertices`.
    pub fn new(
        index: u32,
        [left, right]: [&[(f64, f64)]; 2],
        layer: &Layer,
        rims: &[f64],
        weld_mm: f64,
        vertices: &mut Vec<CellVertex>,
    ) -> Line {
        let (depths, kink) = depths_of(left, right, layer, weld_mm);
        let spans = |cells: &[(f64, f64)]| -> Vec<Span> {
            cells
                .iter()
                .map(|&(bottom, top)| {
                    let vanishes = vanishing(top - bottom, layer);
                    Span { bottom, top, end: nearest(&depths, vanishes) }
                })
                .collect()
        };
        let (left, right) = (spans(left), spans(right));
        let eased: Vec<f64> = depths.iter().map(|d| (d - layer.kink_mm).max(0.0)).collect();
        let mut line = Line {
            depths,
            kink,
            left,
            right,
            eased,
            rows: vec![],
            layer: *layer,
            weld_mm,
            welded_mm: 0.0,
        };
        for depth in 0..line.depths.len() {
            let row = line.row(index, depth, rims, vertices);
            line.rows.push(row);
            line.end_spans(depth);
        }
        line
    }

    /// Ends the cells whose lower and upper side have become one level, which may be a
    /// little before they should where several levels lie close together.
    fn end_spans(&mut self, depth: usize) {
        let gone = |line: &Line, span: &Span| {
            line.layer.closing() > 0.0
                && depth >= line.kink
                && depth < span.end
                && line.place(depth, line.bottom(span, depth))
                    == line.place(depth, line.top(span, depth))
        };
        for i in 0..self.left.len() {
            if gone(self, &self.left[i]) {
                self.left[i].end = depth;
            }
        }
        for i in 0..self.right.len() {
            if gone(self, &self.right[i]) {
                self.right[i].end = depth;
            }
        }
    }

    /// z of a cell's lower side at a depth.
    pub fn bottom(&self, span: &Span, depth: usize) -> f64 {
        span.bottom + self.layer.drop.lower * self.eased[depth]
    }

    /// z of a cell's upper side at a depth.
    pub fn top(&self, span: &Span, depth: usize) -> f64 {
        span.top - self.layer.drop.upper * self.eased[depth]
    }

    /// The last depth.
    pub fn last(&self) -> usize {
        self.depths.len() - 1
    }

    /// Place of a level in its row. `z` must be one of the levels the row was made of.
    pub fn place(&self, depth: usize, z: f64) -> usize {
        self.rows[depth].partition_point(|level| level.lowest <= z).saturating_sub(1)
    }

    /// Vertex of a level.
    pub fn vertex(&self, depth: usize, z: f64) -> u32 {
        self.rows[depth][self.place(depth, z)].vertex
    }

    /// All vertices of a row between two places, both included.
    pub fn between(&self, depth: usize, low: usize, high: usize) -> Vec<u32> {
        self.rows[depth][low..=high.max(low)].iter().map(|level| level.vertex).collect()
    }

    /// All vertices of a row from level to level.
    pub fn rising(&self, depth: usize, low: f64, high: f64) -> Vec<u32> {
        self.between(depth, self.place(depth, low), self.place(depth, high))
    }

    fn row(
        &mut self,
        index: u32,
        depth: usize,
        rims: &[f64],
        vertices: &mut Vec<CellVertex>,
    ) -> Vec<Level> {
        let mut levels: Vec<f64> = if depth == 0 { rims.to_vec() } else { vec![] };
        for span in self.left.iter().chain(&self.right).filter(|s| s.end >= depth) {
            levels.extend([self.bottom(span, depth), self.top(span, depth)]);
        }
        levels.sort_by(f64::total_cmp);
        let mut row: Vec<Level> = vec![];
        let mut previous = f64::NEG_INFINITY;
        for z in levels {
            if z - previous > self.weld_mm {
                row.push(Level { lowest: z, vertex: vertices.len() as u32 });
                vertices.push(CellVertex { line: index, z_mm: z, depth_mm: self.depths[depth] });
            } else if let Some(level) = row.last() {
                self.welded_mm = self.welded_mm.max(z - level.lowest);
            }
            previous = z;
        }
        row
    }
}

/// The depth at which something of this height is used up.
fn vanishing(height: f64, layer: &Layer) -> f64 {
    if layer.closing() > 0.0 { layer.kink_mm + height / layer.closing() } else { f64::INFINITY }
}

/// Depths that differ by less are one; the levels they stand for then differ by less than
/// `weld_mm`.
fn depth_weld(layer: &Layer, weld_mm: f64) -> f64 {
    weld_mm / layer.closing().max(1.0)
}

/// The depths of a line and the place of the kink among them.
fn depths_of(
    left: &[(f64, f64)],
    right: &[(f64, f64)],
    layer: &Layer,
    weld_mm: f64,
) -> (Vec<f64>, usize) {
    let weld = depth_weld(layer, weld_mm);
    let mut depths = vec![layer.from_mm];
    if layer.kink_mm - layer.from_mm > weld {
        depths.push(layer.kink_mm);
    }
    let kink = depths.len() - 1;
    let mut events: Vec<f64> =
        left.iter().chain(right).map(|(bottom, top)| vanishing(top - bottom, layer)).collect();
    for a in left {
        for b in right {
            let lives = vanishing((a.1 - a.0).min(b.1 - b.0), layer);
            let part = [vanishing(a.1 - b.0, layer), vanishing(b.1 - a.0, layer)];
            events.extend(part.into_iter().filter(|d| *d < lives));
        }
    }
    events.retain(|d| *d > layer.kink_mm + weld && *d < layer.to_mm - weld);
    events.sort_by(f64::total_cmp);
    for event in events {
        if depths.last().is_none_or(|d| event - d > weld) {
            depths.push(event);
        }
    }
    depths.push(layer.to_mm);
    (depths, kink)
}

/// Index of the depth nearest to `depth`.
fn nearest(depths: &[f64], depth: f64) -> usize {
    let above = depths.partition_point(|d| *d < depth).min(depths.len() - 1);
    let below = above.saturating_sub(1);
    if depth - depths[below] < depths[above] - depth { below } else { above }
}
