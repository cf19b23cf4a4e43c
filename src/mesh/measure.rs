//! Volume, area, centre, box: sums over triangles, in their order.

use super::space::Bounds;
use super::triangles::{Mesh, Tag};
use crate::model::Vector;
use crate::model::vector::{add, cross, dot, length, scale, sub};

impl Mesh {
    /// Its box; the empty one for the empty mesh.
    pub fn bounds(&self) -> Bounds {
        let used = self.triangles.iter().flatten().map(|v| self.vertices[*v as usize]);
        Bounds::of(used)
    }

    /// Volume, mm3: tetrahedra between every triangle and the middle of the box, so that
    /// bodies far from the origin lose no digits.
    pub fn volume_mm3(&self) -> f64 {
        self.tetrahedra().map(|(six, _)| six).sum::<f64>() / 6.0
    }

    /// Centre of gravity, mm; none where there is no volume.
    pub fn centroid(&self) -> Option<Vector> {
        let (mut six, mut moment) = (0.0, [0.0; 3]);
        for (part, corners) in self.tetrahedra() {
            six += part;
            moment = add(moment, scale(corners, part / 4.0));
        }
        (six != 0.0).then(|| add(scale(moment, 1.0 / six), self.middle()))
    }

    /// Area of all triangles, mm2.
    pub fn area_mm2(&self) -> f64 {
        self.area_where(|_| true)
    }

    /// Area of the triangles whose tag is wanted, mm2.
    pub fn area_where(&self, wanted: impl Fn(Tag) -> bool) -> f64 {
        let chosen = (0..self.triangles.len()).filter(|t| wanted(self.tags[*t]));
        chosen.map(|t| length(self.normal(t)) / 2.0).sum()
    }

    /// Outward normal of a triangle; its length is twice the triangle's area.
    pub fn normal(&self, triangle: usize) -> Vector {
        let [a, b, c] = self.corners(triangle);
        cross(sub(b, a), sub(c, a))
    }

    /// Whether a point lies inside: the solid angle under which it sees the surface is then
    /// a full sphere (Van Oosterom and Strackee 1983, from memory). Undecided on the surface.
    pub fn contains(&self, point: Vector) -> bool {
        let mut angle = 0.0;
        for t in 0..self.triangles.len() {
            let [a, b, c] = self.corners(t).map(|p| sub(p, point));
            let (la, lb, lc) = (length(a), length(b), length(c));
            let flat = la * lb * lc + dot(a, b) * lc + dot(b, c) * la + dot(c, a) * lb;
            angle += 2.0 * dot(a, cross(b, c)).atan2(flat);
        }
        angle > std::f64::consts::TAU
    }

    fn middle(&self) -> Vector {
        let bounds = self.bounds();
        if self.is_empty() { [0.0; 3] } else { scale(add(bounds.low, bounds.high), 0.5) }
    }

    /// Six times the volume of the tetrahedron over each triangle, and the sum of its
    /// corners, seen from the middle of the box.
    fn tetrahedra(&self) -> impl Iterator<Item = (f64, Vector)> + '_ {
        let middle = self.middle();
        (0..self.triangles.len()).map(move |t| {
            let [a, b, c] = self.corners(t).map(|p| sub(p, middle));
            (dot(a, cross(b, c)), add(a, add(b, c)))
        })
    }
}
