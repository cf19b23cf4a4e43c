//! What must hold of every finished mesh.

use super::crossings::{Crossings, Sorted, crossings};
use super::groups::Groups;
use super::triangles::Mesh;

/// The outcome of all checks of a mesh.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Checks {
    /// Edges that do not lie between exactly two triangles of opposite sense.
    pub open_edges: usize,
    /// Triangles with two equal corners, or with three corners in a line to the bit.
    pub degenerate: usize,
    /// Triangles with the same three corners as another one.
    pub doubled: usize,
    /// Bodies that hang together: shells with their outside outside.
    pub pieces: usize,
    /// Shells inside out: enclosed hollows.
    pub hollows: usize,
    /// Handles, summed over all shells, by Euler's formula.
    pub genus: i64,
    /// Pairs of triangles that pass through each other.
    pub self_intersections: usize,
    /// Pairs of triangles that lie on each other.
    pub skins: usize,
    /// Triangles two corners of which are one when written as 32-bit numbers.
    pub collapsing: usize,
}

impl Checks {
    /// Whether the mesh may leave the house.
    pub fn is_sound(&self) -> bool {
        let Checks { open_edges, degenerate, doubled, self_intersections, skins, .. } = *self;
        open_edges + degenerate + doubled + self_intersections + skins == 0
    }
}

/// Runs all checks.
pub fn checks(mesh: &Mesh) -> Checks {
    checks_sorted(mesh, &Sorted::of(mesh))
}

/// As [`checks`], of a mesh whose triangles are sorted already.
pub fn checks_sorted(mesh: &Mesh, sorted: &Sorted) -> Checks {
    let (partners, open_edges) = partners(mesh);
    let (pieces, hollows, genus) = topology(mesh, &partners);
    let Crossings { through, skins } = crossings(mesh, sorted);
    Checks {
        open_edges,
        degenerate: (0..mesh.triangles.len()).filter(|t| is_degenerate(mesh, *t)).count(),
        doubled: doubled(mesh),
        pieces,
        hollows,
        genus,
        self_intersections: through,
        skins,
        collapsing: collapsing(mesh),
    }
}

/// The half-edge opposite to each half-edge `3 * triangle + corner`, or none; and how many
/// edges have no partner or too many.
fn partners(mesh: &Mesh) -> (Vec<u32>, usize) {
    const NONE: u32 = u32::MAX;
    let mut halves: Vec<(u64, u32)> = Vec::with_capacity(3 * mesh.triangles.len());
    for (t, triangle) in mesh.triangles.iter().enumerate() {
        for i in 0..3 {
            let (a, b) = (triangle[i], triangle[(i + 1) % 3]);
            let edge = (a.min(b) as u64) << 32 | a.max(b) as u64;
            halves.push((edge, (3 * t + i) as u32));
        }
    }
    halves.sort_unstable();
    let starts_low = |h: u32| {
        let triangle = mesh.triangles[h as usize / 3];
        let i = h as usize % 3;
        triangle[i] < triangle[(i + 1) % 3]
    };
    let mut partner = vec![NONE; halves.len()];
    let mut open = 0;
    for group in halves.chunk_by(|x, y| x.0 == y.0) {
        match group {
            [(_, a), (_, b)] if starts_low(*a) != starts_low(*b) => {
                partner[*a as usize] = *b;
                partner[*b as usize] = *a;
            }
            _ => open += 1,
        }
    }
    (partner, open)
}

/// Pieces, hollows and genus. Corners are grouped into fans, so that bodies that touch in a
/// single vertex are told apart.
fn topology(mesh: &Mesh, partners: &[u32]) -> (usize, usize, i64) {
    let mut fans = Groups::new(partners.len());
    let mut shells = Groups::new(mesh.triangles.len());
    let next = |h: u32| h - h % 3 + (h + 1) % 3;
    let mut edges = 0;
    for (h, partner) in partners.iter().enumerate().filter(|(_, p)| **p != u32::MAX) {
        let h = h as u32;
        if h < *partner {
            edges += 1;
            fans.join(h, next(*partner));
            fans.join(next(h), *partner);
            shells.join(h / 3, partner / 3);
        }
    }
    let mut volumes = vec![0.0; mesh.triangles.len()];
    for t in 0..mesh.triangles.len() {
        let [a, b, c] = mesh.corners(t);
        let six = crate::model::vector::dot(a, crate::model::vector::cross(b, c));
        volumes[shells.leader(t as u32) as usize] += six;
    }
    let leaders: Vec<u32> =
        (0..mesh.triangles.len() as u32).filter(|t| shells.leader(*t) == *t).collect();
    let hollows = leaders.iter().filter(|t| volumes[**t as usize] < 0.0).count();
    let vertices = (0..partners.len() as u32).filter(|c| fans.leader(*c) == *c).count();
    let euler = vertices as i64 - edges + mesh.triangles.len() as i64;
    (leaders.len() - hollows, hollows, leaders.len() as i64 - euler.div_euclid(2))
}

fn is_degenerate(mesh: &Mesh, triangle: usize) -> bool {
    let [a, b, c] = mesh.triangles[triangle];
    a == b || b == c || c == a || mesh.normal(triangle) == [0.0; 3]
}

fn doubled(mesh: &Mesh) -> usize {
    let sorted = |t: &[u32; 3]| {
        let mut t = *t;
        t.sort_unstable();
        t
    };
    let mut all: Vec<[u32; 3]> = mesh.triangles.iter().map(sorted).collect();
    all.sort_unstable();
    all.windows(2).filter(|w| w[0] == w[1]).count()
}

fn collapsing(mesh: &Mesh) -> usize {
    let narrow = |v: u32| mesh.vertices[v as usize].map(|c| c as f32);
    let collapses = |t: &&[u32; 3]| {
        let [a, b, c] = t.map(narrow);
        a == b || b == c || c == a
    };
    mesh.triangles.iter().filter(collapses).count()
}
