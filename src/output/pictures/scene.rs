//! What is shown: coloured bodies, and how they come apart.

use crate::mesh::Mesh;
use crate::model::Vector;

/// One body of a scene.
#[derive(Clone, Copy, Debug)]
pub struct SceneBody<'a> {
    /// Its name.
    pub name: &'a str,
    /// Red, green, blue.
    pub colour: [u8; 3],
    /// Its form, in assembly axes.
    pub mesh: &'a Mesh,
    /// How it leaves its place when the assembly is taken apart.
    pub apart: Apart,
}

/// What helps to print a part and is taken off afterwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AidKind {
    /// Columns under it, broken away.
    Props,
    /// One layer round its first layer, cut off.
    Brim,
}

/// An aid of one part in the assembly, where it is when the part is printed.
#[derive(Clone, Debug)]
pub struct ShownAid {
    /// What it is.
    pub kind: AidKind,
    /// The part's name.
    pub of: String,
    /// How many columns there are; 1 for a brim.
    pub count: usize,
    /// The same and more, for a list.
    pub note: String,
    /// Red, green, blue.
    pub colour: [u8; 3],
    /// Their form, in assembly axes.
    pub mesh: Mesh,
    /// For each of its vertices one of the part's that goes the same way when the assembly is
    /// taken apart.
    pub goes_with: Vec<u32>,
}

impl ShownAid {
    /// What it is called; no part can be.
    pub fn name(&self) -> String {
        match self.kind {
            AidKind::Props => format!("props under {}", self.of),
            AidKind::Brim => format!("brim of {}", self.of),
        }
    }
}

/// The way of a body out of an assembly. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Apart {
    /// As a whole, by this shift.
    Along(Vector),
    /// By `shift`, and each loose piece away from the z axis by `by_mm` besides.
    Outwards { shift: Vector, by_mm: f64 },
}

impl Apart {
    /// It stays.
    pub const STAYS: Apart = Apart::Along([0.0; 3]);
}

impl SceneBody<'_> {
    /// For each vertex the piece it belongs to, and the full shift of each piece, mm.
    pub(super) fn pieces(&self) -> (Vec<u32>, Vec<Vector>) {
        match self.apart {
            Apart::Along(shift) => (vec![0; self.mesh.vertices.len()], vec![shift]),
            Apart::Outwards { shift, by_mm } => {
                let (piece_of, count) = components(self.mesh);
                let mut sums = vec![([0.0, 0.0], 0.0); count];
                for (v, &piece) in self.mesh.vertices.iter().zip(&piece_of) {
                    let (sum, n) = &mut sums[piece as usize];
                    sum[0] += v[0];
                    sum[1] += v[1];
                    *n += 1.0;
                }
                let shifts = sums.into_iter().map(|([x, y], n)| {
                    let [x, y] = [x / f64::max(n, 1.0), y / f64::max(n, 1.0)];
                    let far = (x * x + y * y).sqrt();
                    // A piece on the axis, or round it, has no way outwards.
                    let by = if far > 1e-6 { by_mm / far } else { 0.0 };
                    [shift[0] + x * by, shift[1] + y * by, shift[2]]
                });
                let shifts = shifts.collect();
                (piece_of, shifts)
            }
        }
    }

    /// Its vertices with the share `apart` (0 to 1) of its way gone.
    pub(super) fn placed(&self, apart: f64) -> Vec<Vector> {
        if apart == 0.0 {
            return self.mesh.vertices.clone();
        }
        let (piece_of, shifts) = self.pieces();
        let moved = self.mesh.vertices.iter().zip(&piece_of).map(|(v, &piece)| {
            let s = shifts[piece as usize];
            [v[0] + apart * s[0], v[1] + apart * s[1], v[2] + apart * s[2]]
        });
        moved.collect()
    }
}

/// For each vertex the number of its connected piece, in the order of their first
/// vertices; and how many there are.
fn components(mesh: &Mesh) -> (Vec<u32>, usize) {
    let mut parent: Vec<u32> = (0..mesh.vertices.len() as u32).collect();
    for t in &mesh.triangles {
        for pair in [[t[0], t[1]], [t[1], t[2]]] {
            let [a, b] = pair.map(|v| root(&mut parent, v));
            // The lower number leads, so that the numbering needs no sorting.
            parent[a.max(b) as usize] = a.min(b);
        }
    }
    let mut number = vec![u32::MAX; parent.len()];
    let mut count = 0;
    let mut pieces = Vec::with_capacity(parent.len());
    for v in 0..parent.len() as u32 {
        let root = root(&mut parent, v) as usize;
        if number[root] == u32::MAX {
            number[root] = count;
            count += 1;
        }
        pieces.push(number[root]);
    }
    (pieces, count as usize)
}

fn root(parent: &mut [u32], mut v: u32) -> u32 {
    while parent[v as usize] != v {
        parent[v as usize] = parent[parent[v as usize] as usize];
        v = parent[v as usize];
    }
    v
}

/// Lowest and highest corner of points; none where there are no points.
pub(super) fn bounds<'a>(points: impl Iterator<Item = &'a Vector>) -> Option<[Vector; 2]> {
    points.fold(None, |found, p| {
        let [low, high] = found.unwrap_or([*p, *p]);
        let axis = |i: usize| (low[i].min(p[i]), high[i].max(p[i]));
        let [x, y, z] = [axis(0), axis(1), axis(2)];
        Some([[x.0, y.0, z.0], [x.1, y.1, z.1]])
    })
}
