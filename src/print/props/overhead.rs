//! A posed mesh as upright lines meet it.

use crate::mesh::Mesh;

/// Bins are about so wide, mm, and there are no more than so many along a side.
const BIN_MM: f64 = 1.0;
const MOST_BINS: f64 = 400.0;

/// Faces whose shadow is smaller than this share of their longest side squared stand upright.
const UPRIGHT: f64 = 1e-9;

/// A face met by an upright line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// mm above the bed
    pub z: f64,
    /// The triangle.
    pub triangle: u32,
    /// Whether it faces down: whether material lies above it.
    pub down: bool,
}

/// Triangles sorted to bins of x and y.
pub struct Overhead<'a> {
    /// The posed mesh.
    pub mesh: &'a Mesh,
    low: [f64; 2],
    bin_mm: f64,
    count: [usize; 2],
    bins: Vec<Vec<u32>>,
}

impl<'a> Overhead<'a> {
    /// Sorts all triangles that do not stand upright.
    pub fn new(mesh: &'a Mesh) -> Self {
        let bounds = mesh.bounds();
        let low = [bounds.low[0], bounds.low[1]];
        let size = [0, 1].map(|c| (bounds.high[c] - low[c]).max(0.0));
        let bin_mm = BIN_MM.max(size[0].max(size[1]) / MOST_BINS);
        let count = size.map(|s| (s / bin_mm) as usize + 1);
        let mut overhead =
            Overhead { mesh, low, bin_mm, count, bins: vec![Vec::new(); count[0] * count[1]] };
        for t in 0..mesh.triangles.len() as u32 {
            if overhead.facing(t) == 0.0 {
                continue;
            }
            let corners = mesh.corners(t as usize).map(|p| [p[0], p[1]]);
            for bin in overhead.bins_of(box_of(&corners)) {
                overhead.bins[bin].push(t);
            }
        }
        overhead
    }

    /// Twice the area of a triangle's shadow, mm2, below 0 where it faces down; 0 where it
    /// stands upright.
    pub fn facing(&self, triangle: u32) -> f64 {
        let [a, b, c] = self.mesh.corners(triangle as usize);
        let twice = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
        let square = |p: [f64; 3], q: [f64; 3]| (0..3).map(|k| (p[k] - q[k]).powi(2)).sum::<f64>();
        let longest = square(a, b).max(square(b, c)).max(square(c, a));
        if twice.abs() > UPRIGHT * longest { twice } else { 0.0 }
    }

    fn bins_of(&self, [low, high]: [[f64; 2]; 2]) -> impl Iterator<Item = usize> + use<> {
        let at = |c: usize, x: f64| {
            (((x - self.low[c]) / self.bin_mm).max(0.0) as usize).min(self.count[c] - 1)
        };
        let (columns, width) = (at(0, low[0])..=at(0, high[0]), self.count[0]);
        let rows = at(1, low[1])..=at(1, high[1]);
        rows.flat_map(move |row| columns.clone().map(move |column| row * width + column))
    }

    /// Triangles that may lie over or under a box of x and y, in order.
    pub fn over(&self, bounds: [[f64; 2]; 2]) -> Vec<u32> {
        let mut all: Vec<u32> =
            self.bins_of(bounds).flat_map(|bin| self.bins[bin].iter().copied()).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The faces over a point, upwards.
    pub fn crossings(&self, at: [f64; 2]) -> Vec<Crossing> {
        let Some(bin) = self.bins_of([at, at]).next() else { return Vec::new() };
        let met = self.bins[bin].iter().filter_map(|t| self.crossing(*t, at));
        let mut all: Vec<Crossing> = met.collect();
        all.sort_by(|a, b| a.z.total_cmp(&b.z).then(a.triangle.cmp(&b.triangle)));
        all
    }

    /// A point on the shadow of an edge belongs to one of the two triangles beside it.
    fn crossing(&self, t: u32, at: [f64; 2]) -> Option<Crossing> {
        let corners = self.mesh.triangles[t as usize];
        let twice = self.facing(t);
        for k in 0..3 {
            let (from, to) = (corners[k], corners[(k + 1) % 3]);
            let [p, q] = [from.min(to), from.max(to)].map(|v| self.mesh.vertices[v as usize]);
            let side = (q[0] - p[0]) * (at[1] - p[1]) - (q[1] - p[1]) * (at[0] - p[0]);
            let left = (side >= 0.0) == (from < to);
            if left != (twice > 0.0) {
                return None;
            }
        }
        let [a, b, c] = self.mesh.corners(t as usize);
        let (u, v) = ([0, 1, 2].map(|k| b[k] - a[k]), [0, 1, 2].map(|k| c[k] - a[k]));
        let (x, y) = (at[0] - a[0], at[1] - a[1]);
        let (s, w) = ((x * v[1] - y * v[0]) / twice, (u[0] * y - u[1] * x) / twice);
        Some(Crossing { z: a[2] + u[2] * s + v[2] * w, triangle: t, down: twice < 0.0 })
    }

    /// Whether there is material between two heights over a point.
    pub fn is_filled(&self, at: [f64; 2], [low, high]: [f64; 2]) -> bool {
        let crossings = self.crossings(at);
        let first = crossings.iter().find(|c| c.z > low);
        // Going upwards, material ends with a face that looks up.
        first.is_some_and(|c| !c.down || c.z < high)
    }
}

/// Lowest and highest x and y.
pub fn box_of(points: &[[f64; 2]]) -> [[f64; 2]; 2] {
    let fold = |pick: fn(f64, f64) -> f64, start: f64| {
        [0, 1].map(|c| points.iter().map(|p| p[c]).fold(start, pick))
    };
    [fold(f64::min, f64::INFINITY), fold(f64::max, f64::NEG_INFINITY)]
}
