//! The cell complex as data.

use crate::plane::EdgeId;

/// A vertex of the complex.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellVertex {
    /// Index into [`Cells::lines`].
    pub line: u32,
    /// Height in the developed plane, mm.
    pub z_mm: f64,
    /// Level depth, mm.
    pub depth_mm: f64,
}

/// Which side of a cell a face is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaceSide {
    /// The outer end: the face of an inlay that shows; for a pocketed host what is left of
    /// its surface round the openings.
    Show,
    /// The inner end.
    Back,
    /// Swept by an upper edge of the outline.
    Upper(EdgeId),
    /// Swept by a lower edge of the outline.
    Lower(EdgeId),
    /// A wall on a line, the cell lying to the left of it (at lesser `u`).
    LeftOf(u32),
    /// A wall on a line, the cell lying to the right of it.
    RightOf(u32),
}

/// A face between two chains of vertices. Seen from outside the material its loop runs up
/// `right` and back down `left`, anticlockwise. The chains may share their first or last
/// vertex. All sides but twisted ones (swept by inclined edges) are flat in (u, z, depth).
#[derive(Clone, Debug, PartialEq)]
pub struct CellFace {
    /// Which side.
    pub side: FaceSide,
    /// The strip it belongs to; for walls the strip in which the cell lies.
    pub strip: u32,
    /// Never empty.
    pub left: Vec<u32>,
    /// Never empty.
    pub right: Vec<u32>,
}

/// Faces that bound the eased body (or, for a pocketed host, its surface with openings and
/// the pocket's walls). Every edge of a face is an edge of exactly one other one, but for
/// the two rims of a pocketed host's surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Cells {
    /// `u` of every line, ascending: rad on round hosts, mm on flat ones.
    pub lines: Vec<f64>,
    /// A full turn on round hosts.
    pub period: Option<f64>,
    /// In order of line, depth, height.
    pub vertices: Vec<CellVertex>,
    /// In order of strip, then walls in order of line.
    pub faces: Vec<CellFace>,
    /// The most by which levels that were taken for one differ, mm.
    pub welded_mm: f64,
}

impl CellFace {
    /// The corners, anticlockwise seen from outside, none twice in a row.
    pub fn corners(&self) -> Vec<u32> {
        let mut loop_: Vec<u32> = self.right.clone();
        loop_.extend(self.left.iter().rev());
        loop_.dedup();
        while loop_.len() > 1 && loop_.first() == loop_.last() {
            loop_.pop();
        }
        loop_
    }
}

impl Cells {
    /// Every face seen from its other side: for complexes that are put into space as their
    /// mirror image, or whose material lies on the other side.
    pub fn turn_round(&mut self) {
        for face in &mut self.faces {
            std::mem::swap(&mut face.left, &mut face.right);
        }
    }
}
