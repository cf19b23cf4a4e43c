//! Turning a part for the printer and setting it down on the bed.

use super::posed::PosedPiece;
use crate::mesh::Mesh;
use crate::model::{Placement, Pose, Vector};

/// Distance between loose pieces of one part, mm: more than a line's spread, common
/// practice.
pub const BETWEEN_MM: f64 = 2.0;

/// The posed copy and its pieces, in the order of its triangles. One piece keeps its x
/// and y; several are set down in rows of up to `width_mm`, `between_mm` apart, each turned
/// about the upright so that what looked away from the axis looks to the front.
pub fn posed(mesh: &Mesh, pose: &Pose, width_mm: f64, between_mm: f64) -> (Mesh, Vec<PosedPiece>) {
    let turn = pose.turn();
    let pieces = mesh.pieces();
    if pieces.len() <= 1 {
        let mut out = mesh.clone();
        let placement = lowered(mesh, 0..mesh.triangles.len(), &turn);
        for p in &mut out.vertices {
            *p = placement.point(*p);
        }
        return (out, vec![PosedPiece { placement, triangles: mesh.triangles.len() }]);
    }
    let mut rows = Rows { width_mm, between_mm, at: [0.0; 2], deepest: 0.0 };
    let mut out = Mesh::default();
    let mut placed = Vec::new();
    for triangles in pieces {
        let facing = turn.then(&to_the_front(mesh, &triangles, &turn));
        let down = lowered(mesh, triangles.iter().copied(), &facing);
        let [low, high] = bounds(mesh, triangles.iter().copied(), &down);
        let corner = rows.next(high[0] - low[0], high[1] - low[1]);
        let aside = Placement::shifted([corner[0] - low[0], corner[1] - low[1], 0.0]);
        let placement = down.then(&aside);
        append(&mut out, mesh, &triangles, &placement);
        placed.push(PosedPiece { placement, triangles: triangles.len() });
    }
    (out, placed)
}

/// Makes a posed copy larger by what its material shrinks (a ratio): by 1 / (1 - s) from
/// the bed and the axis, once.
pub fn grow_for(shrink: f64, mesh: &mut Mesh, pieces: &mut [PosedPiece]) {
    if shrink == 0.0 {
        return;
    }
    let by = 1.0 / (1.0 - shrink);
    for p in &mut mesh.vertices {
        *p = p.map(|c| c * by);
    }
    for piece in pieces {
        piece.placement.matrix = piece.placement.matrix.map(|row| row.map(|c| c * by));
        piece.placement.shift = piece.placement.shift.map(|c| c * by);
    }
}

/// The extents of a mesh, mm.
pub fn size_mm(mesh: &Mesh) -> Vector {
    let [low, high] = bounds(mesh, 0..mesh.triangles.len(), &Placement::IDENTITY);
    [0, 1, 2].map(|c| if mesh.triangles.is_empty() { 0.0 } else { high[c] - low[c] })
}

/// Rows of boxes, filled from the left, one behind the other.
struct Rows {
    width_mm: f64,
    between_mm: f64,
    at: [f64; 2],
    deepest: f64,
}

impl Rows {
    fn next(&mut self, width: f64, depth: f64) -> [f64; 2] {
        if self.at[0] > 0.0 && self.at[0] + width > self.width_mm {
            self.at = [0.0, self.at[1] + self.deepest + self.between_mm];
            self.deepest = 0.0;
        }
        let corner = self.at;
        self.at[0] += width + self.between_mm;
        self.deepest = self.deepest.max(depth);
        corner
    }
}

/// The turn about the upright that brings a piece's middle to the front of the axis, so
/// that pieces off a round wall all lie alike and take little room.
fn to_the_front(mesh: &Mesh, triangles: &[usize], turn: &Placement) -> Placement {
    let mut sum = [0.0; 2];
    for t in triangles {
        for v in mesh.triangles[*t] {
            let p = turn.point(mesh.vertices[v as usize]);
            sum = [sum[0] + p[0], sum[1] + p[1]];
        }
    }
    if sum[0].hypot(sum[1]) < 1e-6 {
        return Placement::IDENTITY;
    }
    let bearing = sum[1].atan2(sum[0]);
    Placement::turned(2, -std::f64::consts::FRAC_PI_2 - bearing)
}

/// `turn`, then down to z = 0.
fn lowered(mesh: &Mesh, triangles: impl IntoIterator<Item = usize>, turn: &Placement) -> Placement {
    let [low, _] = bounds(mesh, triangles, turn);
    if low[2].is_finite() {
        turn.then(&Placement::shifted([0.0, 0.0, 0.0 - low[2]]))
    } else {
        *turn
    }
}

/// The box of some triangles once placed.
pub fn bounds(
    mesh: &Mesh,
    triangles: impl IntoIterator<Item = usize>,
    placement: &Placement,
) -> [Vector; 2] {
    let mut low = [f64::INFINITY; 3];
    let mut high = [f64::NEG_INFINITY; 3];
    // Six triangles share a corner.
    let mut seen = vec![false; mesh.vertices.len()];
    for v in triangles.into_iter().flat_map(|t| mesh.triangles[t]) {
        if std::mem::replace(&mut seen[v as usize], true) {
            continue;
        }
        let p = placement.point(mesh.vertices[v as usize]);
        for c in 0..3 {
            low[c] = low[c].min(p[c]);
            high[c] = high[c].max(p[c]);
        }
    }
    [low, high]
}

fn append(out: &mut Mesh, mesh: &Mesh, triangles: &[usize], placement: &Placement) {
    let mut names = std::collections::BTreeMap::new();
    for t in triangles {
        let corners = mesh.triangles[*t].map(|v| {
            *names.entry(v).or_insert_with(|| {
                out.vertices.push(placement.point(mesh.vertices[v as usize]));
                out.vertices.len() as u32 - 1
            })
        });
        out.triangles.push(corners);
        out.tags.push(mesh.tags[*t]);
    }
}
