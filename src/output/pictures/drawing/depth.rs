//! How far away what is seen lies: decides which edges of a view are hidden.

use super::super::section::Frame;
use crate::mesh::Mesh;
use crate::model::Vector;
use crate::plane::Point;

/// Cells to the longer side of a view.
const CELLS: f64 = 1400.0;

/// What is cut away so that the inside is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cut {
    /// Nothing.
    Whole,
    /// What lies to the right of x = 0 and in front of the frame's plane.
    RightHalf,
}

impl Cut {
    /// Whether what appears at x (mm), that far in front of the plane, is gone.
    pub fn removes(self, x: f64, height: f64) -> bool {
        self == Cut::RightHalf && x > 0.0 && height > 0.0
    }
}

/// Nearest heights (towards the viewer) over a grid of the view.
#[derive(Debug)]
pub(super) struct Depths {
    corner: Point,
    cell_mm: f64,
    columns: usize,
    rows: usize,
    nearest: Vec<f32>,
    cut: Cut,
}

impl Depths {
    /// Of meshes in a frame; `low` and `high` are corners of what is seen.
    pub fn of(meshes: &[&Mesh], frame: &Frame, [low, high]: [Point; 2], cut: Cut) -> Self {
        let size = high - low;
        let cell_mm = size.x.max(size.y).max(1e-3) / CELLS;
        let columns = (size.x / cell_mm).ceil().max(1.0) as usize;
        let rows = (size.y / cell_mm).ceil().max(1.0) as usize;
        let nearest = vec![f32::NEG_INFINITY; columns * rows];
        let mut depths = Depths { corner: low, cell_mm, columns, rows, nearest, cut };
        for mesh in meshes {
            let seen: Vec<Vector> = mesh
                .vertices
                .iter()
                .map(|v| {
                    let p = frame.flat(*v);
                    [p.x, p.y, frame.height(*v)]
                })
                .collect();
            for t in &mesh.triangles {
                depths.fill(t.map(|v| seen[v as usize]));
            }
        }
        depths
    }

    fn fill(&mut self, corners: [Vector; 3]) {
        let cells = corners.map(|p| {
            let at = (Point::new(p[0], p[1]) - self.corner) * (1.0 / self.cell_mm);
            (at, p[2])
        });
        let [(a, ha), (b, hb), (c, hc)] = cells;
        let area = (b - a).cross(c - a);
        if area <= 0.0 {
            return;
        }
        let span = |low: f64, high: f64, end: usize| {
            let low = (low - 0.5).ceil().max(0.0) as usize;
            low..((high - 0.5).floor() + 1.0).clamp(0.0, end as f64) as usize
        };
        let columns = span(a.x.min(b.x).min(c.x), a.x.max(b.x).max(c.x), self.columns);
        for row in span(a.y.min(b.y).min(c.y), a.y.max(b.y).max(c.y), self.rows) {
            for column in columns.clone() {
                let p = Point::new(column as f64 + 0.5, row as f64 + 0.5);
                let shares = [(b, c), (c, a), (a, b)].map(|(u, v)| (v - u).cross(p - u) / area);
                if shares.iter().any(|s| *s < 0.0) {
                    continue;
                }
                let height = shares[0] * ha + shares[1] * hb + shares[2] * hc;
                let x = self.corner.x + p.x * self.cell_mm;
                let cell = &mut self.nearest[row * self.columns + column];
                if !self.cut.removes(x, height) {
                    *cell = cell.max(height as f32);
                }
            }
        }
    }

    /// Whether a point of an edge is seen: it is cut away by nothing, and not behind
    /// everything near it. (An edge lies on its own faces, and these lean; so the
    /// farthest of the cells around it decides.)
    pub fn sees(&self, at: Point, height: f64) -> bool {
        if self.cut.removes(at.x, height - SLACK_MM) {
            return false;
        }
        let cell = (at - self.corner) * (1.0 / self.cell_mm);
        let (column, row) = (cell.x.floor() as i64, cell.y.floor() as i64);
        let mut farthest = f32::INFINITY;
        for (c, r) in (-1..=1).flat_map(|c| (-1..=1).map(move |r| (column + c, row + r))) {
            let inside =
                (0..self.columns as i64).contains(&c) && (0..self.rows as i64).contains(&r);
            if !inside {
                return true;
            }
            farthest = farthest.min(self.nearest[r as usize * self.columns + c as usize]);
        }
        height >= f64::from(farthest) - SLACK_MM
    }

    /// Width of a cell, mm.
    pub fn cell_mm(&self) -> f64 {
        self.cell_mm
    }
}

/// Rounding of heights, mm.
const SLACK_MM: f64 = 1e-3;
