//! Meshes cut by a plane: closed contours with the tags of the faces they come from.

use crate::mesh::{Mesh, Tag};
use crate::model::Vector;
use crate::model::vector::cross;
use crate::plane::Point;
use std::collections::BTreeMap;

/// How a view lies in the assembly: `right`, `up` and `toward` the viewer are
/// orthonormal and right-handed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame {
    /// What lies at (0, 0) of the view, and in the plane of sections.
    pub origin: Vector,
    pub right: Vector,
    pub up: Vector,
}

impl Frame {
    /// Seen from the front (-y): x to the right, z up; turned about the z axis by an
    /// angle given by its cosine and sine.
    pub fn upright([cos, sin]: [f64; 2]) -> Self {
        Frame { origin: [0.0; 3], right: [cos, sin, 0.0], up: [0.0, 0.0, 1.0] }
    }

    /// Towards the viewer.
    pub fn toward(&self) -> Vector {
        cross(self.right, self.up)
    }

    /// Where a point appears, mm.
    pub fn flat(&self, p: Vector) -> Point {
        Point::new(along(self.right, p, self.origin), along(self.up, p, self.origin))
    }

    /// How far a point lies in front of the plane, mm.
    pub fn height(&self, p: Vector) -> f64 {
        along(self.toward(), p, self.origin)
    }
}

fn along(axis: Vector, p: Vector, origin: Vector) -> f64 {
    (0..3).map(|i| axis[i] * (p[i] - origin[i])).sum()
}

/// A closed line; material lies to its left, seen by the viewer of the plane.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Contour {
    /// mm, in the plane.
    pub points: Vec<Point>,
    /// Of the side from the point of the same number to the next one.
    pub tags: Vec<Tag>,
}

impl Contour {
    /// Its sides with their tags.
    pub fn sides(&self) -> impl Iterator<Item = (Point, Point, Tag)> {
        let next = self.points.iter().cycle().skip(1);
        self.points.iter().zip(next).zip(&self.tags).map(|((a, b), tag)| (*a, *b, *tag))
    }

    /// Enclosed area, mm2: below 0 for holes.
    #[cfg(test)]
    pub fn area(&self) -> f64 {
        self.sides().map(|(a, b, _)| a.cross(b) / 2.0).sum()
    }
}

/// An edge of the mesh, the lower vertex first.
type EdgeKey = [u32; 2];

/// The contours in which the plane of a frame cuts a mesh. Vertices in the plane count
/// as lying in front of it, so that every cut edge has two cut neighbours and
/// contours close whatever the plane meets.
pub(super) fn contours(mesh: &Mesh, frame: &Frame) -> Vec<Contour> {
    let heights: Vec<f64> = mesh.vertices.iter().map(|v| frame.height(*v)).collect();
    let mut next: BTreeMap<EdgeKey, (EdgeKey, Tag)> = BTreeMap::new();
    for (triangle, tag) in mesh.triangles.iter().zip(&mesh.tags) {
        if let Some([from, to]) = crossing(*triangle, &heights) {
            next.insert(from, (to, *tag));
        }
    }
    let place = |key: EdgeKey| {
        let [a, b] = key.map(|v| mesh.vertices[v as usize]);
        let [ha, hb] = key.map(|v| heights[v as usize]);
        let t = ha / (ha - hb);
        frame.flat([0, 1, 2].map(|i| a[i] + (b[i] - a[i]) * t))
    };
    let mut found = Vec::new();
    while let Some((start, (mut to, mut tag))) = next.pop_first() {
        let mut contour = Contour::default();
        let mut from = start;
        loop {
            contour.points.push(place(from));
            contour.tags.push(tag);
            if to == start {
                break;
            }
            from = to;
            // Only an open mesh has no way on.
            let Some(step) = next.remove(&from) else { break };
            (to, tag) = step;
        }
        found.extend(tidied(contour));
    }
    found
}

/// The edges where a triangle is cut: material lies to the left of the way from the
/// first to the second.
fn crossing(triangle: [u32; 3], heights: &[f64]) -> Option<[EdgeKey; 2]> {
    let front = triangle.map(|v| heights[v as usize] >= 0.0);
    let mut ends = [None, None];
    for i in 0..3 {
        let (a, b) = (i, (i + 1) % 3);
        if front[a] != front[b] {
            let (v, w) = (triangle[a], triangle[b]);
            ends[usize::from(front[b])] = Some([v.min(w), v.max(w)]);
        }
    }
    // The way leads from where the boundary goes back to where it comes forward.
    Some([ends[0]?, ends[1]?])
}

/// Sides shorter than this are none, mm: far below what can be drawn.
const NO_SIDE_MM: f64 = 1e-7;

/// Without sides that have no length; none where nothing is left.
fn tidied(contour: Contour) -> Option<Contour> {
    let mut kept = Contour::default();
    for (a, b, tag) in contour.sides() {
        if a.distance(b) > NO_SIDE_MM {
            kept.points.push(a);
            kept.tags.push(tag);
        }
    }
    (kept.points.len() > 2).then_some(kept)
}

/// What lies to the right of x = 0. Sides that run along the cut have tags of their
/// own: none of a seat.
pub(super) fn right_half(contour: &Contour) -> Option<Contour> {
    let mut kept = Contour::default();
    for (a, b, tag) in contour.sides() {
        let across = |a: Point, b: Point| {
            let t = a.x / (a.x - b.x);
            Point::new(0.0, a.y + (b.y - a.y) * t)
        };
        match (a.x >= 0.0, b.x >= 0.0) {
            (true, true) => kept.push(a, tag),
            (true, false) => {
                kept.push(a, tag);
                kept.push(across(a, b), Tag::PLAIN);
            }
            (false, true) => kept.push(across(a, b), tag),
            (false, false) => {}
        }
    }
    (kept.points.len() > 2).then_some(kept)
}

impl Contour {
    fn push(&mut self, point: Point, tag: Tag) {
        self.points.push(point);
        self.tags.push(tag);
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::tube;
    use super::*;
    use std::f64::consts::PI;

    fn area(mesh: &Mesh, frame: &Frame) -> f64 {
        contours(mesh, frame).iter().map(Contour::area).sum()
    }

    /// Area of a ring pi (R2 - r2); of an n-gon n/2 r2 sin(2 pi/n) (both closed forms).
    #[test]
    fn a_level_cut_of_a_tube_is_a_ring() {
        let (sides, outer, inner) = (720, 40.0, 36.0);
        let mesh = tube(outer, inner, 50.0, sides);
        let level = Frame { origin: [0.0, 0.0, 20.0], right: [1.0, 0.0, 0.0], up: [0.0, 1.0, 0.0] };
        let n = f64::from(sides);
        let polygon = n / 2.0 * (2.0 * PI / n).sin() * (outer * outer - inner * inner);
        assert!((area(&mesh, &level) - polygon).abs() < 1e-8);
        let ring = PI * (outer * outer - inner * inner);
        assert!((area(&mesh, &level) / ring - 1.0).abs() < 2e-5);
        assert_eq!(contours(&mesh, &level).len(), 2);
    }

    /// The plane runs through two rows of vertices: the cut is exactly two rectangles.
    #[test]
    fn an_upright_cut_through_vertices_closes() {
        let mesh = tube(40.0, 36.0, 50.0, 72);
        let frame = Frame::upright([1.0, 0.0]);
        let cut = contours(&mesh, &frame);
        assert_eq!(cut.len(), 2);
        assert!((area(&mesh, &frame) - 2.0 * 4.0 * 50.0).abs() < 1e-6);
        let half: f64 = cut.iter().filter_map(right_half).map(|c| c.area()).sum();
        assert!((half - 4.0 * 50.0).abs() < 1e-6);
    }

    #[test]
    fn a_half_is_half_of_what_crosses_the_axis() {
        let square = [[-3.0, 0.0], [3.0, 0.0], [3.0, 2.0], [-3.0, 2.0]];
        let points: Vec<Point> = square.map(|[x, y]| Point::new(x, y)).to_vec();
        let contour = Contour { points, tags: vec![Tag::PLAIN; 4] };
        let half = right_half(&contour).unwrap();
        assert!((half.area() - 6.0).abs() < 1e-12);
    }

    #[test]
    fn a_plane_beside_the_body_cuts_nothing() {
        let mesh = tube(40.0, 36.0, 50.0, 72);
        let frame = Frame { origin: [0.0, 60.0, 0.0], ..Frame::upright([1.0, 0.0]) };
        assert!(contours(&mesh, &frame).is_empty());
    }
}
