//! The mesh itself.

use crate::model::{Placement, Vector};
use std::ops::Range;

/// What a face is in the trade.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u8)]
pub enum FaceKind {
    /// Any face that belongs to no seat.
    Plain = 0,
    /// The face of an inlay that shows.
    Show = 1,
    /// The back of an inlay, or the floor of its pocket.
    Back = 2,
    /// A side of an inlay or pocket, or its edge that is no ceiling.
    Flank = 3,
    /// The face of an inlay that makes a ceiling of its pocket, and that ceiling.
    Ceiling = 4,
    /// The wall of a slit.
    Slit = 5,
}

/// What a triangle belongs to: its kind, and the part (an inlay) whose pattern it
/// follows; `owner` is 0xFFFFFF for plain faces. Fits in 32 bits, so that it passes
/// through the boolean crate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tag(pub u32);

impl Tag {
    /// A face that belongs to no seat.
    pub const PLAIN: Tag = Tag(0x00FF_FFFF);

    /// A face of the inlay that is part number `owner`, or of its pocket.
    pub fn new(kind: FaceKind, owner: usize) -> Self {
        Tag((kind as u32) << 24 | (owner as u32 & 0x00FF_FFFF))
    }

    /// Its kind.
    pub fn kind(self) -> FaceKind {
        match self.0 >> 24 {
            1 => FaceKind::Show,
            2 => FaceKind::Back,
            3 => FaceKind::Flank,
            4 => FaceKind::Ceiling,
            5 => FaceKind::Slit,
            _ => FaceKind::Plain,
        }
    }

    /// The part whose pattern it follows.
    pub fn owner(self) -> Option<usize> {
        let owner = self.0 & 0x00FF_FFFF;
        (owner != 0x00FF_FFFF).then_some(owner as usize)
    }
}

/// A closed, oriented triangle mesh, mm, assembly axes. Triangles run anticlockwise
/// seen from outside.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Corners.
    pub vertices: Vec<Vector>,
    /// Three corners each.
    pub triangles: Vec<[u32; 3]>,
    /// As `triangles`.
    pub tags: Vec<Tag>,
}

impl Mesh {
    /// Adds a triangle.
    pub(super) fn add(&mut self, triangle: [u32; 3], tag: Tag) {
        self.triangles.push(triangle);
        self.tags.push(tag);
    }

    /// The corners of a triangle, mm.
    pub fn corners(&self, triangle: usize) -> [Vector; 3] {
        self.triangles[triangle].map(|v| self.vertices[v as usize])
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.triangles.is_empty()
    }

    /// Takes in another mesh, which must not touch this one.
    pub fn take(&mut self, other: &Mesh) {
        let first = self.vertices.len() as u32;
        self.vertices.extend_from_slice(&other.vertices);
        self.triangles.extend(other.triangles.iter().map(|t| t.map(|v| v + first)));
        self.tags.extend_from_slice(&other.tags);
    }

    /// Some of its triangles, and the corners that these use.
    #[must_use]
    pub fn only(&self, triangles: Range<usize>) -> Mesh {
        let out = Mesh {
            vertices: self.vertices.clone(),
            triangles: self.triangles[triangles.clone()].to_vec(),
            tags: self.tags[triangles].to_vec(),
        };
        out.compacted()
    }

    /// The same body somewhere else; mirror images keep their outside outside.
    #[must_use]
    pub fn placed(&self, placement: &Placement) -> Mesh {
        let mut out = self.clone();
        out.vertices.iter_mut().for_each(|p| *p = placement.point(*p));
        if placement.flips() {
            out.triangles.iter_mut().for_each(|t| t.swap(1, 2));
        }
        out
    }

    /// Without vertices that no triangle uses.
    #[must_use]
    pub(super) fn compacted(self) -> Mesh {
        let mut names = vec![u32::MAX; self.vertices.len()];
        let mut out = Mesh { tags: self.tags, ..Mesh::default() };
        for triangle in &self.triangles {
            out.triangles.push(triangle.map(|v| {
                let name = &mut names[v as usize];
                if *name == u32::MAX {
                    *name = out.vertices.len() as u32;
                    out.vertices.push(self.vertices[v as usize]);
                }
                *name
            }));
        }
        out
    }
}
