//! Sections through a ring, eight to a degree, with what bending needs to know of them.

use super::facet::Facet;
use crate::mesh::Mesh;
use crate::model::{Placement, Vector};
use std::f64::consts::TAU;

/// Stations round a full ring; eight for each degree. A neck between two columns of a motif
/// is as wide as twice the gap, half a degree or less: coarser stations, which repeat with
/// the motif, miss all of its necks at once.
pub const STATIONS: usize = 2880;

/// Sections smaller than this do not count, mm2: the slit, and slivers beside it.
const LEAST_MM2: f64 = 1e-3;

/// Share of a step by which the angle of a corner may be off; far above its rounding.
const CORNER: f64 = 1e-6;

/// Corners so near to the half plane lie on it, as a share of the ring's radius; far
/// above the rounding of their coordinates, far below any feature.
const ON_PLANE: f64 = 1e-9;

/// All that a ring has on one half plane through its axis. Limbs of a lattice that lie
/// side by side at one station are one section and share its moment: plane sections
/// of the union stay plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// mm2
    pub area: f64,
    /// Radius of its middle of area, mm.
    pub centroid: f64,
    /// Its area over the integral of dA / r: where a curved beam is not strained, mm.
    pub neutral: f64,
    /// Second moment about the upright through its middle of area, mm4.
    pub inertia: f64,
    /// Least radius, mm.
    pub inner: f64,
    /// Largest radius, mm.
    pub outer: f64,
}

impl Section {
    /// A rectangle between two radii.
    #[cfg(test)]
    pub fn rectangle(inner: f64, outer: f64, high: f64) -> Self {
        let thick = outer - inner;
        Section {
            area: thick * high,
            centroid: (inner + outer) / 2.0,
            neutral: thick / (outer / inner).ln(),
            inertia: high * thick.powi(3) / 12.0,
            inner,
            outer,
        }
    }
}

/// A section round the ring, where there is one: the k-th lies (k + 1/2) steps past
/// the bearing `from_rad`, about the z axis of the frame that `back` leads to.
pub fn sections(mesh: &Mesh, back: &Placement, from_rad: f64) -> Vec<Option<Section>> {
    let step = TAU / STATIONS as f64;
    let mut sums = vec![Sum::default(); STATIONS];
    let cut = |station: usize| Cut::radial(from_rad + (station as f64 + 0.5) * step);
    let cuts: Vec<Cut> = (0..STATIONS).map(cut).collect();
    let scale = mesh.vertices.first().map_or(1.0, |p| {
        let p = back.point(*p);
        p[0].hypot(p[1]).max(1.0)
    });
    for t in 0..mesh.triangles.len() {
        let corners = mesh.corners(t).map(|p| back.point(p));
        let facet = Facet::new(corners);
        let first = corners[0][1].atan2(corners[0][0]);
        // Angles next to the first corner's: no facet spans half a turn.
        let angles = corners.map(|p| {
            let away = p[1].atan2(p[0]) - first;
            (first + away - (away / TAU).round() * TAU - from_rad) / step - 0.5
        });
        let low = angles.iter().copied().fold(f64::INFINITY, f64::min);
        let high = angles.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        // A little more: whether a corner lies on the half plane is for `add` alone to say.
        for k in (low - CORNER).ceil() as i64..=(high + CORNER).floor() as i64 {
            // The angle from the station, not from `k`: a whole turn more is another
            // rounding, and neighbours would see their common corner on two sides.
            let station = k.rem_euclid(STATIONS as i64) as usize;
            sums[station].add(&facet, &cuts[station], scale);
        }
    }
    sums.iter().map(|sum| sum.section(scale)).collect()
}

/// Where a ring is cut: an upright plane that faces across a direction.
#[derive(Clone, Copy, Debug)]
pub struct Cut {
    sin: f64,
    cos: f64,
    /// How far the plane is from the axis, anticlockwise, mm.
    along: f64,
    /// Only what lies so far out in the direction counts, mm.
    least: f64,
}

impl Cut {
    /// Through the axis; for facets on one side of it.
    fn radial(angle: f64) -> Self {
        Cut { least: f64::NEG_INFINITY, ..Cut::square(angle, 0.0, 0.0) }
    }

    /// Beside the axis, square to a side that faces a direction; no nearer to the axis
    /// than `least` mm.
    pub fn square(facing: f64, along: f64, least: f64) -> Self {
        let (sin, cos) = facing.sin_cos();
        Cut { sin, cos, along, least }
    }
}

/// Integrals over a section, taken round its outline (Green's theorem).
#[derive(Clone, Copy, Debug)]
pub struct Sum {
    area: f64,
    /// Of r dA and of r2 dA.
    moments: [f64; 2],
    /// Of dA / r.
    curved: f64,
    low: f64,
    high: f64,
}

impl Default for Sum {
    fn default() -> Self {
        let (low, high) = (f64::INFINITY, f64::NEG_INFINITY);
        Sum { area: 0.0, moments: [0.0; 2], curved: 0.0, low, high }
    }
}

impl Sum {
    /// Adds where a facet crosses a cut: a stretch of the section's
    /// outline, material to its left. Radii are taken from `scale`, for small sums.
    /// Corners on the half plane count as before it, so that upright flanks that lie in it
    /// leave the closed outline of what is just beyond.
    pub fn add(&mut self, facet: &Facet, cut: &Cut, scale: f64) {
        let Cut { sin, cos, along: beside, least } = *cut;
        let off = |p: Vector| p[1] * cos - p[0] * sin - beside;
        let flat = |p: Vector| [p[0] * cos + p[1] * sin, p[2]];
        let mut ends = Vec::with_capacity(2);
        for k in 0..3 {
            let (p, q) = (facet.corners[k], facet.corners[(k + 1) % 3]);
            let (a, b) = (off(p), off(q));
            if (a > ON_PLANE * scale) != (b > ON_PLANE * scale) {
                let share = (a / (a - b)).clamp(0.0, 1.0);
                ends.push(flat([0, 1, 2].map(|c| p[c] + (q[c] - p[c]) * share)));
            }
        }
        let [from, to] = ends[..] else { return };
        if (from[0] + to[0]) / 2.0 < least {
            return;
        }
        let outward = [facet.normal[0] * cos + facet.normal[1] * sin, facet.normal[2]];
        let along = (to[0] - from[0]) * -outward[1] + (to[1] - from[1]) * outward[0];
        let (from, to) = if along >= 0.0 { (from, to) } else { (to, from) };
        let rise = to[1] - from[1];
        let (p, q) = (from[0] - scale, to[0] - scale);
        self.area += rise * (p + q) / 2.0;
        self.moments[0] += rise * (p * p + p * q + q * q) / 6.0;
        self.moments[1] += rise * (p + q) * (p * p + q * q) / 12.0;
        self.curved += rise * mean_log(p / scale, q / scale);
        self.low = self.low.min(from[0]).min(to[0]);
        self.high = self.high.max(from[0]).max(to[0]);
    }

    /// The section, if there is one; with the `scale` of all that was added.
    pub fn section(&self, scale: f64) -> Option<Section> {
        if self.area <= LEAST_MM2 {
            return None;
        }
        let middle = self.moments[0] / self.area;
        Some(Section {
            area: self.area,
            centroid: scale + middle,
            neutral: self.area / self.curved,
            inertia: self.moments[1] - self.area * middle * middle,
            inner: self.low,
            outer: self.high,
        })
    }
}

/// Mean of ln(1 + x) for x from p to q.
fn mean_log(p: f64, q: f64) -> f64 {
    let apart = q - p;
    if apart.abs() < 1e-3 {
        // Simpson's rule; its error is below apart^4 / 480.
        return (p.ln_1p() + 4.0 * ((p + q) / 2.0).ln_1p() + q.ln_1p()) / 6.0;
    }
    ((1.0 + q) * q.ln_1p() - (1.0 + p) * p.ln_1p()) / apart - 1.0
}
