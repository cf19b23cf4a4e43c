//! The posed copies and how they lie on the bed.

use super::base::Base;
use super::foot::{Brim, DrawnIn};
use super::props::Propped;
use super::underside::Unsupported;
use super::walls::Narrow;
use crate::mesh::Mesh;
use crate::model::{PartId, Placement, Vector};

/// What can be told of a posed copy by looking at its faces.
#[derive(Clone, Debug, PartialEq)]
pub struct PrintCheck {
    /// Extents along x, y, z as printed, mm.
    pub size_mm: Vector,
    /// Area that lies on the bed, mm2.
    pub bed_contact_mm2: f64,
    /// Least area that the first layer of any piece covers, mm2.
    pub footing_mm2: f64,
    /// How its worst piece stands; none where one has no first layer.
    pub base: Option<Base>,
    /// Steepest face that hangs over, from the vertical, deg; faces on the bed do not
    /// count; 0 where nothing hangs over.
    pub steepest_overhang_deg: f64,
    /// Area of faces steeper than the printer's limit, mm2.
    pub steep_area_mm2: f64,
    /// What the layers below do not carry, islands first, from below.
    pub unsupported: Vec<Unsupported>,
    /// What is too narrow for a line, worst first.
    pub narrow: Vec<Narrow>,
    /// Usual cautions, each a sentence.
    pub cautions: Vec<String>,
}

/// The copy that is printed: turned by its pose and let down to z = 0; x and y as in the
/// assembly. A part of several loose pieces has each set down by itself, in rows.
#[derive(Clone, Debug)]
pub struct Posed {
    /// The part.
    pub part: PartId,
    /// What is printed.
    pub mesh: Mesh,
    /// Extents along x, y, z that it has once it has shrunk, mm.
    pub nominal_mm: Vector,
    /// Its pieces in the order of the mesh's triangles.
    pub pieces: Vec<PosedPiece>,
    /// What was taken off its first layer; none where nothing is asked.
    pub drawn_in: Option<DrawnIn>,
    /// The brim round it, a body of its own.
    pub brim: Option<Brim>,
    /// What to know before printing.
    pub check: PrintCheck,
    /// The columns under it, where the text asks for some.
    pub props: Option<Propped>,
}

/// One piece of a printed copy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PosedPiece {
    /// From the assembly to the file; larger by what its material shrinks.
    pub placement: Placement,
    /// How many triangles of the mesh are its own.
    pub triangles: usize,
}

/// One copy on a plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Item {
    /// The part.
    pub part: PartId,
    /// Added to every corner of its posed mesh, mm.
    pub shift_mm: Vector,
}

/// One plate: the bed's front left corner is the origin.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// As the text calls it; none for the plate of all parts.
    pub name: Option<String>,
    /// What lies on it.
    pub items: Vec<Item>,
}

/// Everything that goes to the printer.
#[derive(Clone, Debug, Default)]
pub struct Printed {
    /// As `Model::parts`; none where a part could not be made.
    pub parts: Vec<Option<Posed>>,
    /// In the order of the text; what does not fit on one bed goes on to the next.
    pub layouts: Vec<Layout>,
}
