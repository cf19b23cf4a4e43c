//! Wrapped and laid patterns: cells of [`layers`](crate::layers) as exact faces.
//!
//! Cells that lie on one surface become one face (per sector, on round hosts), corners
//! through which a curve merely passes are dropped, and every piece is a shell.

mod carry;
mod chart;
mod complex;
mod merged;
mod splice;
#[cfg(test)]
mod tests;
mod wall;

pub(super) use carry::{Carried, carried};
pub(super) use splice::splice;
pub(super) use wall::{Opening, apart, has_wall, is_clear, pocketed_turned};

use super::Declined;
use super::body::{Edge, ExactBody, Face, Role, Side};
use super::geometry::Curve;
use crate::layers::{Cells, FaceSide, Layer, cells, cut_at, finer_cells};
use crate::model::{Inlay, Relief, Surface, Vector};
use crate::plane::Strips;
use chart::Chart;
use complex::complex;
use merged::{MergedFace, merged};
use std::collections::BTreeMap;

/// Strips as narrow as this are not told apart from a cut (rad or mm): rounding only.
const NEAR: f64 = 1e-9;

/// The body of an inlay whose section at its show face is `strips`.
///
/// # Errors
/// Where its surface or its easing is not carried.
pub(super) fn inlay(inlay: &Inlay, strips: &Strips) -> Result<ExactBody, Declined> {
    body(inlay, strips, Layer::of_inlay(inlay), Some([Role::Show, Role::Back]))
}

/// The body of a relief.
///
/// # Errors
/// Where its easing is not carried.
pub(super) fn relief(relief: &Relief, strips: &Strips) -> Result<ExactBody, Declined> {
    body(&relief.pattern, strips, Layer::of_relief(relief), None)
}

/// The body that a pocket takes away.
///
/// # Errors
/// Where its surface or its easing is not carried.
pub(super) fn plug(opening: &Opening) -> Result<ExactBody, Declined> {
    let layer = Layer::of_pocket(opening.inlay, opening.gap_behind_mm, 0.0);
    body(opening.inlay, opening.strips, layer, opening.ends)
}

/// What the outer and the inner end of cells are in a fit; none outside of fits, where no
/// face has a name.
pub(super) type Ends = Option<[Role; 2]>;

/// Of a pocket: its outer end is the host's own surface.
pub(super) const POCKET: Ends = Some([Role::Plain, Role::Floor]);

fn body(
    inlay: &Inlay,
    strips: &Strips,
    layer: Option<Layer>,
    ends: Ends,
) -> Result<ExactBody, Declined> {
    if let Surface::Belly { .. } = inlay.surface {
        return Err(Declined::new("a pattern on a bellied face is made by the mesh only"));
    }
    let layer = layer.ok_or_else(too_steep)?;
    if inlay.sides().is_some() && slopes(strips) {
        return Err(twisted());
    }
    let seams = match inlay.sides() {
        Some(sides) => sides.corners(),
        None => wall::seam_angles(strips),
    };
    let strips = cut_at(strips, &seams, NEAR);
    let mut cells = complex(|| cells(&strips, &layer), || finer_cells(&strips, &layer))?;
    if inlay.depth_sense() < 0.0 {
        cells.turn_round();
    }
    let chart = Chart::new(inlay, seams);
    let mut sheet = Sheet::new(&chart, &cells, ends);
    for face in merged(&chart, &cells) {
        sheet.add(&face);
    }
    Ok(sheet.finish())
}

/// Why a layer has no ceilings.
fn too_steep() -> Declined {
    Declined::new("the face leans more than the eased ceilings may")
}

/// Whether any edge of a pattern is not level.
fn slopes(strips: &Strips) -> bool {
    let all = strips.strips.iter().flatten();
    all.flat_map(|v| [v.bottom, v.top]).any(|z| (z[0] - z[1]).abs() > NEAR)
}

/// Why a drawn band on flat sides has no exact body: what its sloping edges sweep on their
/// way to the axis is no plane, and none of the surfaces that are carried.
fn twisted() -> Declined {
    Declined::new("the flanks of sloping edges twist on flat sides")
}

/// Builds corners, edges and faces from merged faces, each corner and edge once.
struct Sheet<'a> {
    chart: &'a Chart<'a>,
    cells: &'a Cells,
    /// What the outer and the inner end of the cells are.
    ends: Ends,
    /// Corners, mm.
    points: Vec<Vector>,
    /// Edges.
    edges: Vec<Edge>,
    /// Faces.
    faces: Vec<Face>,
    corners: BTreeMap<u32, usize>,
    sides: BTreeMap<(u32, u32), usize>,
}

impl<'a> Sheet<'a> {
    fn new(chart: &'a Chart<'a>, cells: &'a Cells, ends: Ends) -> Self {
        Sheet {
            chart,
            cells,
            ends,
            points: Vec::new(),
            edges: Vec::new(),
            faces: Vec::new(),
            corners: BTreeMap::new(),
            sides: BTreeMap::new(),
        }
    }

    /// Says that a vertex of the cells is a corner that is already there.
    fn join_corner(&mut self, vertex: u32, corner: usize) {
        self.corners.insert(vertex, corner);
    }

    /// Says that the edge between two vertices is already there, running from the first.
    fn join_edge(&mut self, vertices: [u32; 2], edge: usize) {
        self.sides.insert((vertices[0], vertices[1]), edge);
    }

    /// Adds a face with its edges and corners.
    fn add(&mut self, face: &MergedFace) {
        let loops = face.loops.iter().map(|l| self.sides_of(l)).collect();
        let (surface, outward) = self.chart.surface(self.cells, face);
        let role = self.role_of(face.side);
        self.faces.push(Face { surface, outward, loops, role });
    }

    /// Ceilings lie above, and below where the host is printed upside down.
    fn role_of(&self, side: FaceSide) -> Role {
        let Some(ends) = self.ends else { return Role::Plain };
        let lower_eased = self.chart.inlay.eased.is_some_and(|e| e.lower);
        match side {
            FaceSide::Show => ends[0],
            FaceSide::Back => ends[1],
            FaceSide::Upper(_) if !lower_eased => Role::Ceiling,
            FaceSide::Lower(_) if lower_eased => Role::Ceiling,
            _ => Role::Flank,
        }
    }

    /// The sides of a loop of vertices.
    fn sides_of(&mut self, vertices: &[u32]) -> Vec<Side> {
        let next = |i: usize| vertices[(i + 1) % vertices.len()];
        (0..vertices.len()).map(|i| self.side(vertices[i], next(i))).collect()
    }

    fn side(&mut self, from: u32, to: u32) -> Side {
        if let Some(edge) = self.sides.get(&(from, to)) {
            return Side { edge: *edge, forward: true };
        }
        if let Some(edge) = self.sides.get(&(to, from)) {
            return Side { edge: *edge, forward: false };
        }
        let ends = [self.corner(from), self.corner(to)];
        let (a, b) = (self.cells.vertices[from as usize], self.cells.vertices[to as usize]);
        let curve = match self.chart.curve(self.cells, &a, &b) {
            Some(curve) => curve,
            None => Curve::Line { start: self.points[ends[0]], end: self.points[ends[1]] },
        };
        self.edges.push(Edge { curve, ends });
        self.sides.insert((from, to), self.edges.len() - 1);
        Side { edge: self.edges.len() - 1, forward: true }
    }

    fn corner(&mut self, vertex: u32) -> usize {
        if let Some(corner) = self.corners.get(&vertex) {
            return *corner;
        }
        self.points.push(self.chart.point(self.cells, &self.cells.vertices[vertex as usize]));
        self.corners.insert(vertex, self.points.len() - 1);
        self.points.len() - 1
    }

    fn finish(self) -> ExactBody {
        ExactBody::new(self.points, self.edges, self.faces)
    }
}
