//! Turning a part for the printer and setting it down on the bed.

use super::posed::PosedPiece;
use crate::mesh::Mesh;
use crate::model::{Placement, Pose, Vector};

/// Distance between loose pieces of one part, mm: more than a line's spread, common
/// practice.
const BETWEEN_MM: f64 = 2.0;

/// The posed copy and its pieces, in the order of its triangles. One piece keeps its x
/// and y; several are set down in rows of up to `width_mm`, each turned about the upright
/// so that what looked away from the axis looks to the front.
pub fn posed(mesh: &Mesh, pose: &Pose, width_mm: f64) -> (Mesh, Vec<PosedPiece>) {
    let turn = pose.turn();
    let pieces = pieces_of(mesh);
    if pieces.len() <= 1 {
        let mut out = mesh.clone();
        let placement = lowered(mesh, 0..mesh.triangles.len(), &turn);
        for p in &mut out.vertices {
            *p = placement.point(*p);
        }
        return (out, vec![PosedPiece { placement, triangles: mesh.triangles.len() }]);
    }
    let mut rows = Rows { width_mm, at: [0.0; 2], deepest: 0.0 };
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
    at: [f64; 2],
    deepest: f64,
}

impl Rows {
    fn next(&mut self, width: f64, depth: f64) -> [f64; 2] {
        if self.at[0] > 0.0 && self.at[0] + width > self.width_mm {
            self.at = [0.0, self.at[1] + self.deepest + BETWEEN_MM];
            self.deepest = 0.0;
        }
        let corner = self.at;
        self.at[0] += width + BETWEEN_MM;
        self.deepest = self.deepest.max(depth);
        corner
    }
}

/// Triangles of each piece in ascending order, pieces in the order of their first triangle.
/// The shell of a closed hollow, which is inside out, belongs to the piece around it.
fn pieces_of(mesh: &Mesh) -> Vec<Vec<usize>> {
    let hollow = |shell: &Vec<usize>| volume(mesh, shell.iter().copied()) < 0.0;
    let (hollows, mut pieces): (Vec<_>, Vec<_>) = shells_of(mesh).into_iter().partition(hollow);
    let boxed = |shell: &[usize]| bounds(mesh, shell.iter().copied(), &Placement::IDENTITY);
    let boxes: Vec<[Vector; 2]> = pieces.iter().map(|piece| boxed(piece)).collect();
    for shell in hollows {
        let [low, high] = boxed(&shell);
        let around = |b: &[Vector; 2]| (0..3).all(|c| b[0][c] <= low[c] && high[c] <= b[1][c]);
        let size = |b: &[Vector; 2]| (0..3).map(|c| b[1][c] - b[0][c]).product::<f64>();
        let smallest = (0..pieces.len())
            .filter(|k| around(&boxes[*k]))
            .min_by(|a, b| size(&boxes[*a]).total_cmp(&size(&boxes[*b])));
        match smallest {
            Some(k) => {
                pieces[k].extend(shell);
                pieces[k].sort_unstable();
            }
            None => pieces.push(shell),
        }
    }
    pieces
}

/// Triangles that hang together by shared corners, each group in ascending order, groups
/// in the order of their first triangle.
fn shells_of(mesh: &Mesh) -> Vec<Vec<usize>> {
    let mut leader: Vec<u32> = (0..mesh.vertices.len() as u32).collect();
    fn find(leader: &mut [u32], mut v: u32) -> u32 {
        while leader[v as usize] != v {
            let above = leader[leader[v as usize] as usize];
            leader[v as usize] = above;
            v = above;
        }
        v
    }
    for [a, b, c] in &mesh.triangles {
        for (p, q) in [(*a, *b), (*b, *c)] {
            let (p, q) = (find(&mut leader, p), find(&mut leader, q));
            leader[p.max(q) as usize] = p.min(q);
        }
    }
    let mut index = vec![usize::MAX; mesh.vertices.len()];
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (t, [a, ..]) in mesh.triangles.iter().enumerate() {
        let root = find(&mut leader, *a) as usize;
        if index[root] == usize::MAX {
            index[root] = groups.len();
            groups.push(Vec::new());
        }
        groups[index[root]].push(t);
    }
    groups
}

/// Volume inside some triangles, mm3; below 0 where they are inside out.
pub fn volume(mesh: &Mesh, triangles: impl IntoIterator<Item = usize>) -> f64 {
    let six = |t: usize| {
        let [a, b, c] = mesh.triangles[t].map(|v| mesh.vertices[v as usize]);
        a[0] * (b[1] * c[2] - b[2] * c[1])
            + a[1] * (b[2] * c[0] - b[0] * c[2])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    };
    triangles.into_iter().map(six).sum::<f64>() / 6.0
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
    for v in triangles.into_iter().flat_map(|t| mesh.triangles[t]) {
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
