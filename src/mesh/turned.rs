//! Bodies of revolution round the z axis: what points and sides of a profile sweep.
//! Turned bodies are built where they sit in the assembly, so that all share the facets.

use super::facets::Facets;
use super::triangles::{Mesh, Tag};
use crate::layers::WELD_MM;
use crate::plane::Point;

/// Shift along z and upside-down of a leaf whose axis is the assembly's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Lift {
    /// mm
    pub rise_mm: f64,
    /// z becomes -z, first.
    pub over: bool,
}

impl Lift {
    /// Where a height goes.
    pub fn z(&self, z: f64) -> f64 {
        if self.over { self.rise_mm - z } else { self.rise_mm + z }
    }

    /// A profile, its material still to the left.
    pub fn profile(&self, points: &[Point]) -> Vec<Point> {
        let mut out: Vec<Point> = points.iter().map(|p| Point::new(p.x, self.z(p.y))).collect();
        if self.over {
            out.reverse();
        }
        out
    }
}

/// The vertices that a profile point sweeps: a run of facet corners, or a pole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Ring {
    /// The first of as many vertices as there are facets.
    Round(u32),
    /// One vertex on the axis.
    Pole(u32),
}

impl Ring {
    pub fn vertex(self, k: usize, count: usize) -> u32 {
        match self {
            Ring::Round(first) => first + (k % count) as u32,
            Ring::Pole(vertex) => vertex,
        }
    }
}

/// A profile point's ring for the segment that ends there and for the one that starts.
/// They differ only where two cones meet tip to tip.
pub(super) struct Rings {
    pub incoming: Ring,
    pub outgoing: Ring,
}

/// Adds the vertices of all points of a profile.
pub(super) fn rings(points: &[Point], facets: &Facets, mesh: &mut Mesh) -> Vec<Rings> {
    let on_axis = |i: usize| points[i % points.len()].x < WELD_MM;
    let count = points.len();
    let mut out = vec![];
    for (i, point) in points.iter().enumerate() {
        if !on_axis(i) {
            let first = add_ring(*point, facets, mesh);
            out.push(Rings { incoming: first, outgoing: first });
            continue;
        }
        let incoming = add_pole(*point, mesh);
        let tip = !on_axis(i + count - 1) && !on_axis(i + 1);
        let outgoing = if tip { add_pole(*point, mesh) } else { incoming };
        out.push(Rings { incoming, outgoing });
    }
    out
}

fn add_ring(point: Point, facets: &Facets, mesh: &mut Mesh) -> Ring {
    let first = mesh.vertices.len() as u32;
    for k in 0..facets.count() {
        let [x, y] = facets.on_line(k);
        mesh.vertices.push([point.x * x, point.x * y, point.y]);
    }
    Ring::Round(first)
}

fn add_pole(point: Point, mesh: &mut Mesh) -> Ring {
    mesh.vertices.push([0.0, 0.0, point.y]);
    Ring::Pole(mesh.vertices.len() as u32 - 1)
}

/// The faces that a straight segment sweeps.
pub(super) fn band(from: Ring, to: Ring, count: usize, mesh: &mut Mesh) {
    for k in 0..count {
        let (a, b) = (from.vertex(k, count), from.vertex(k + 1, count));
        let (d, c) = (to.vertex(k, count), to.vertex(k + 1, count));
        match (from, to) {
            (Ring::Pole(_), Ring::Pole(_)) => {}
            (_, Ring::Pole(_)) => mesh.add([a, b, c], Tag::PLAIN),
            (Ring::Pole(_), _) => mesh.add([a, c, d], Tag::PLAIN),
            _ => {
                mesh.add([a, b, c], Tag::PLAIN);
                mesh.add([a, c, d], Tag::PLAIN);
            }
        }
    }
}
