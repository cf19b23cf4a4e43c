//! Triangles that pass through each other, and skins: surfaces with nothing between them.
//!
//! A skin is what a boolean leaves when a tool ends on the surface that it should open:
//! volume and closedness stay right, so it has to be looked for.

use super::tree::Tree;
use super::triangles::Mesh;
use crate::model::Vector;
use crate::model::vector::{add, cross, dot, length, sub};
use std::borrow::Cow;

/// An edge counts as passing through a triangle if it goes this deep, mm: four orders above
/// the rounding of coordinates at 100 mm, and far below what can be made.
const DEEP_MM: f64 = 1e-9;

/// Surfaces closer than this (mm) have nothing between them.
const SKIN_MM: f64 = 1e-6;

/// Surfaces lie on each other if they overlap by as much across, mm; edges that touch do not.
const ACROSS_MM: f64 = 1e-4;

/// What is wrong between pairs of triangles.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Crossings {
    /// Pairs that pass through each other.
    pub through: usize,
    /// Pairs that lie on each other.
    pub skins: usize,
}

/// A triangle with its unit normal.
#[derive(Clone, Copy, Debug)]
struct Flat {
    corners: [Vector; 3],
    normal: Vector,
    size: f64,
}

/// The triangles of a mesh, sorted by place, with their planes.
#[derive(Clone, Debug)]
pub struct Sorted {
    tree: Tree,
    flats: Vec<Flat>,
}

impl Sorted {
    /// Sorts all triangles of a mesh.
    pub fn of(mesh: &Mesh) -> Sorted {
        let flats = (0..mesh.triangles.len()).map(|t| Flat::of(mesh, t)).collect();
        Sorted { tree: Tree::over(mesh), flats }
    }
}

/// Looks at all pairs of near triangles of a mesh.
pub fn crossings(mesh: &Mesh, sorted: &Sorted) -> Crossings {
    let Sorted { tree, flats } = sorted;
    let mut found = Crossings::default();
    tree.pairs(SKIN_MM, |t, u| {
        let names = [mesh.triangles[t as usize], mesh.triangles[u as usize]];
        match meeting([&flats[t as usize], &flats[u as usize]], names) {
            Meeting::None => {}
            Meeting::Through => found.through += 1,
            Meeting::Skin => found.skins += 1,
        }
    });
    found
}

/// A body that others are held against, again and again.
pub struct Obstacle<'a> {
    mesh: &'a Mesh,
    sorted: Cow<'a, Sorted>,
}

impl<'a> Obstacle<'a> {
    /// Prepares a body.
    pub fn of(mesh: &'a Mesh) -> Self {
        Obstacle { mesh, sorted: Cow::Owned(Sorted::of(mesh)) }
    }

    /// A body whose triangles are sorted already.
    pub fn sorted(mesh: &'a Mesh, sorted: &'a Sorted) -> Self {
        Obstacle { mesh, sorted: Cow::Borrowed(sorted) }
    }

    /// The body.
    pub fn mesh(&self) -> &'a Mesh {
        self.mesh
    }

    /// Its triangles by place.
    pub(super) fn tree(&self) -> &Tree {
        &self.sorted.tree
    }

    /// Whether any triangle of another body, which was moved, passes through one of this body.
    pub fn crossed_by(&self, other: &Obstacle, moved: Vector) -> bool {
        // No corner of one is a corner of the other.
        let names = [[0, 1, 2], [3, 4, 5]];
        let (own, others) = (self.sorted.as_ref(), other.sorted.as_ref());
        own.tree.any_meeting(&others.tree, moved, |t, u| {
            let flat = others.flats[u as usize].shifted(moved);
            meeting([&flat, &own.flats[t as usize]], names) == Meeting::Through
        })
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Meeting {
    None,
    Through,
    Skin,
}

/// How two triangles meet; `names` are their corners.
fn meeting([a, b]: [&Flat; 2], names: [[u32; 3]; 2]) -> Meeting {
    if a.size == 0.0 || b.size == 0.0 {
        return Meeting::None;
    }
    for (plane, other) in [(a, b), (b, a)] {
        let d = other.corners.map(|p| plane.above(p));
        let (low, high) = (d[0].min(d[1]).min(d[2]), d[0].max(d[1]).max(d[2]));
        // On one side of the plane, perhaps touching it: nothing passes through.
        if low > -DEEP_MM || high < DEEP_MM {
            let level = low > -SKIN_MM && high < SKIN_MM;
            return if level && overlap(a, b) { Meeting::Skin } else { Meeting::None };
        }
        if low > -SKIN_MM && high < SKIN_MM && overlap(a, b) {
            return Meeting::Skin;
        }
    }
    let shared = names[0].iter().filter(|v| names[1].contains(v)).count();
    let through =
        shared < 2 && (pierces(a, names[0], b, names[1]) || pierces(b, names[1], a, names[0]));
    if through { Meeting::Through } else { Meeting::None }
}

impl Flat {
    fn of(mesh: &Mesh, triangle: usize) -> Flat {
        let (corners, normal) = (mesh.corners(triangle), mesh.normal(triangle));
        let size = length(normal);
        Flat { corners, normal: normal.map(|c| c / size.max(f64::MIN_POSITIVE)), size }
    }

    fn shifted(&self, by: Vector) -> Flat {
        Flat { corners: self.corners.map(|p| add(p, by)), ..*self }
    }

    /// Signed distance of a point from the plane.
    fn above(&self, p: Vector) -> f64 {
        dot(self.normal, sub(p, self.corners[0]))
    }
}

/// Whether an edge of `a` passes through the inside of `b`. Edges that end in a corner of
/// `b` only touch it.
fn pierces(a: &Flat, ids: [u32; 3], b: &Flat, others: [u32; 3]) -> bool {
    let heights = a.corners.map(|p| b.above(p));
    (0..3).any(|i| {
        let j = (i + 1) % 3;
        let (h, k) = (heights[i], heights[j]);
        let through = (h > DEEP_MM && k < -DEEP_MM) || (h < -DEEP_MM && k > DEEP_MM);
        if !through || others.contains(&ids[i]) || others.contains(&ids[j]) {
            return false;
        }
        let t = h / (h - k);
        let p = [0, 1, 2].map(|c| a.corners[i][c] + (a.corners[j][c] - a.corners[i][c]) * t);
        (0..3).all(|e| {
            let (from, to) = (b.corners[e], b.corners[(e + 1) % 3]);
            let along = sub(to, from);
            dot(cross(b.normal, along), sub(p, from)) > DEEP_MM * length(along)
        })
    })
}

/// Whether two triangles in one plane overlap, whichever way they face.
fn overlap(a: &Flat, b: &Flat) -> bool {
    // Two convex figures overlap by their least overlap across any of their sides.
    [a, b].iter().all(|one| {
        (0..3).all(|e| {
            let along = sub(one.corners[(e + 1) % 3], one.corners[e]);
            let across = cross(one.normal, along);
            let size = length(across);
            let range = |f: &Flat| {
                let d = f.corners.map(|p| dot(across, p) / size);
                (
                    d.iter().copied().fold(f64::MAX, f64::min),
                    d.iter().copied().fold(f64::MIN, f64::max),
                )
            };
            let ((a0, a1), (b0, b1)) = (range(a), range(b));
            a1.min(b1) - a0.max(b0) > ACROSS_MM
        })
    })
}
