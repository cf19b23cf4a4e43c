//! The soft shadow under an assembly: its footprint on the ground, blurred.

use super::super::scene::{SceneBody, bounds};
use crate::model::Vector;

/// Cells to the side of the shadow's grid.
const CELLS: usize = 192;

/// Free cells round the footprint, for the blur to run out.
const FREE: usize = 40;

/// Cells to each side over which one pass of the blur takes the mean.
const BLUR: usize = 6;

#[derive(Debug)]
pub(super) struct Shadow {
    /// Height of the ground, mm.
    pub ground_mm: f64,
    corner: [f64; 2],
    cell_mm: f64,
    /// 0 to 1, row by row.
    dark: Vec<f32>,
}

impl Shadow {
    /// The shadow of bodies whose vertices are at `placed`.
    pub fn cast(bodies: &[SceneBody<'_>], placed: &[Vec<Vector>]) -> Shadow {
        let [low, high] = bounds(placed.iter().flatten()).unwrap_or_default();
        let side = (high[0] - low[0]).max(high[1] - low[1]).max(1e-3);
        let cell_mm = side / (CELLS - 2 * FREE) as f64;
        let middle = [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0];
        let corner = middle.map(|c| c - cell_mm * CELLS as f64 / 2.0);
        let mut shadow =
            Shadow { ground_mm: low[2], corner, cell_mm, dark: vec![0.0; CELLS * CELLS] };
        for (body, points) in bodies.iter().zip(placed) {
            for t in &body.mesh.triangles {
                shadow.fill(t.map(|v| points[v as usize]));
            }
        }
        for _ in 0..3 {
            shadow.blur(1, CELLS);
            shadow.blur(CELLS, 1);
        }
        shadow
    }

    /// Marks the cells under a triangle that faces upwards.
    fn fill(&mut self, corners: [Vector; 3]) {
        let [a, b, c] = corners.map(|p| {
            [(p[0] - self.corner[0]) / self.cell_mm, (p[1] - self.corner[1]) / self.cell_mm]
        });
        let side = |a: [f64; 2], b: [f64; 2], p: [f64; 2]| {
            (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
        };
        if side(a, b, c) <= 0.0 {
            return;
        }
        let span = |i: usize| {
            let low = a[i].min(b[i]).min(c[i]) - 0.5;
            let high = a[i].max(b[i]).max(c[i]) - 0.5;
            let low = low.ceil().max(0.0) as usize;
            low..((high.floor() + 1.0).clamp(0.0, CELLS as f64) as usize)
        };
        for row in span(1) {
            for column in span(0) {
                let p = [column as f64 + 0.5, row as f64 + 0.5];
                if side(a, b, p) >= 0.0 && side(b, c, p) >= 0.0 && side(c, a, p) >= 0.0 {
                    self.dark[row * CELLS + column] = 1.0;
                }
            }
        }
    }

    /// The mean over neighbours that are `step` apart, along lines that are `line` apart.
    fn blur(&mut self, step: usize, line: usize) {
        for start in (0..CELLS).map(|i| i * line) {
            let row: Vec<f32> = (0..CELLS).map(|i| self.dark[start + i * step]).collect();
            for i in 0..CELLS {
                let near = &row[i.saturating_sub(BLUR)..(i + BLUR + 1).min(CELLS)];
                let mean = near.iter().sum::<f32>() / (2 * BLUR + 1) as f32;
                self.dark[start + i * step] = mean;
            }
        }
    }

    /// How dark the ground is at a place, 0 to 1.
    pub fn at(&self, [x, y]: [f64; 2]) -> f32 {
        let column = (x - self.corner[0]) / self.cell_mm - 0.5;
        let row = (y - self.corner[1]) / self.cell_mm - 0.5;
        let end = (CELLS - 1) as f64;
        if !(0.0..end).contains(&column) || !(0.0..end).contains(&row) {
            return 0.0;
        }
        let (c, r) = (column as usize, row as usize);
        let (u, v) = ((column - c as f64) as f32, (row - r as f64) as f32);
        let cell = |r: usize, c: usize| self.dark[r * CELLS + c];
        let below = cell(r, c) * (1.0 - u) + cell(r, c + 1) * u;
        let above = cell(r + 1, c) * (1.0 - u) + cell(r + 1, c + 1) * u;
        below * (1.0 - v) + above * v
    }
}
