//! What a finished part is.

use crate::exact::ExactBody;
use crate::mesh::{Mesh, Sorted};
use crate::model::Vector;
use std::sync::Arc;

/// Which body stands behind the numbers of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// An exact body, with which the mesh agrees.
    Exact,
    /// Triangles only.
    Mesh,
}

impl Form {
    /// As the manifest says it.
    pub fn word(self) -> &'static str {
        match self {
            Form::Exact => "exact",
            Form::Mesh => "mesh",
        }
    }
}

/// What one engine says of a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Told {
    /// Volume, mm3.
    pub volume_mm3: f64,
    /// Area of the surface, mm2.
    pub area_mm2: f64,
    /// Centre of volume, mm.
    pub centre_mm: Vector,
}

/// Both engines, side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Engines {
    /// By quadrature over the faces of the exact body; none where there is none.
    pub exact: Option<Told>,
    /// By sums over triangles.
    pub mesh: Told,
    /// How far facets may leave their arc, mm: what explains the difference.
    pub chord_mm: f64,
    /// Why there is no exact body.
    pub reason: Option<String>,
}

/// One part as it leaves the printer, in assembly axes: pockets cut, gaps taken.
#[derive(Clone, Debug)]
pub struct Finished {
    /// Which body stands behind the numbers.
    pub form: Form,
    /// What is printed.
    pub mesh: Arc<Mesh>,
    /// Its triangles by place.
    pub sorted: Arc<Sorted>,
    /// The exact body, where there is one and the mesh agrees with it.
    pub exact: Option<Arc<ExactBody>>,
    /// Of the exact body where there is one, mm3.
    pub volume_mm3: f64,
    /// Of the exact body where there is one, mm2.
    pub area_mm2: f64,
    /// Bodies that hang together.
    pub pieces: usize,
    /// Handles, summed over the pieces.
    pub genus: i64,
    /// Edges that do not lie between exactly two triangles.
    pub open_edges: usize,
    /// Triangles that pass through others.
    pub self_intersections: usize,
    /// Lowest and highest corner of its box, mm.
    pub box_mm: [Vector; 2],
    /// What it holds, mm3; none where it has no cavity.
    pub capacity_mm3: Option<f64>,
    /// Both engines, side by side.
    pub engines: Engines,
}

impl Finished {
    /// Its extents along x, y and z, mm.
    pub fn size_mm(&self) -> Vector {
        let [low, high] = self.box_mm;
        [high[0] - low[0], high[1] - low[1], high[2] - low[2]]
    }
}

/// All parts, as `Model::parts`; none where a part could not be made and a finding
/// says so.
#[derive(Clone, Debug, Default)]
pub struct Realised {
    /// In the order of the model.
    pub parts: Vec<Option<Finished>>,
}
