//! Values: what an expression gives.

use super::ink::OutlineValue;
use super::measured::Measured;
use super::motifs::Motif;
use super::solids::{FaceValue, SolidValue};
use crate::model::{GapTable, Material, Pose, Printer, Vector};
use crate::plane::{Edge, Track};
use crate::quantity::{Dimension, Quantity};
use crate::resolve::Kind;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Named values, for `a.b`.
pub type Attributes = BTreeMap<Arc<str>, Value>;

/// What an expression gives. Cheap to copy.
#[derive(Clone, Debug)]
pub enum Value {
    /// Something that went wrong and was reported; passes silently.
    Poison,
    /// The empty solid, the empty outline, the sharp edge.
    None,
    /// A number with a dimension.
    Quantity(Quantity),
    /// yes or no
    Truth(bool),
    /// A text.
    Text(Arc<str>),
    /// Red, green, blue.
    Colour([u8; 3]),
    /// A point.
    Point(PointValue),
    /// A list.
    List(Arc<Vec<Value>>),
    /// A treatment of an edge.
    Edge(EdgeValue),
    /// A path that is not closed.
    Line(Arc<LineValue>),
    /// An outline.
    Outline(OutlineValue),
    /// A solid.
    Solid(Arc<SolidValue>),
    /// What a shape without `make` gives.
    Record(Arc<Attributes>),
    /// A motif.
    Motif(Arc<Motif>),
    /// A face.
    Face(Arc<FaceValue>),
    /// A part of the root file.
    Part(Arc<PartValue>),
    /// A material.
    Material(Arc<MaterialValue>),
    /// A printer.
    Printer(Arc<PrinterValue>),
    /// A table of gaps; what was not given is none.
    Gaps(Arc<GapsValue>),
    /// How a printed copy lies.
    Pose(Pose),
    /// A length at an angle (mm, rad), for a slit.
    LengthAt { length_mm: f64, angle_rad: f64 },
    /// A unit direction.
    Way(Vector),
    /// `belt.seat`: the fit of a part, by its number.
    Fit(usize),
    /// Known only after geometry.
    Measured(Arc<Measured>),
}

/// Two or three coordinates of one dimension.
#[derive(Clone, Debug, PartialEq)]
pub struct PointValue {
    /// In base units.
    pub coordinates: Vec<f64>,
    /// Length, or none in tile units.
    pub dimension: Dimension,
}

/// A treatment of an edge, in mm or, in outlines of tile units, plain numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgeValue {
    /// What is done, its measures in base units.
    pub edge: Edge,
    /// Dimension of its measures.
    pub dimension: Dimension,
}

/// A path that is not closed.
#[derive(Clone, Debug, PartialEq)]
pub struct LineValue {
    /// In mm, or in tile units.
    pub track: Track,
    /// Length, or none in tile units.
    pub dimension: Dimension,
}

/// A part as expressions see it: its nominal body and what it answers to.
#[derive(Clone, Debug)]
pub struct PartValue {
    /// Its number among all parts of the text.
    pub number: usize,
    /// Its name.
    pub name: Arc<str>,
    /// Its body before any seat.
    pub solid: Arc<SolidValue>,
    /// How its printed copy lies.
    pub pose: Pose,
    /// Whether it is a ring with a slit.
    pub slit: bool,
    /// Whether nobody prints it.
    pub bought: bool,
}

/// A material with all that the language knows of it.
#[derive(Clone, Debug)]
pub struct MaterialValue {
    /// For the model.
    pub material: Material,
    /// Fields by name.
    pub attributes: Attributes,
}

/// A printer with all that the language knows of it.
#[derive(Clone, Debug)]
pub struct PrinterValue {
    /// For the model.
    pub printer: Printer,
    /// Fields by name.
    pub attributes: Attributes,
}

/// `gaps { snap: 0.1 mm }`
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct GapsValue {
    /// mm
    pub snap: Option<f64>,
    /// mm
    pub slide: Option<f64>,
    /// mm
    pub press: Option<f64>,
    /// mm
    pub free: Option<f64>,
}

impl GapsValue {
    /// The given gaps, the rest from `base`.
    pub fn over(&self, base: &GapTable) -> GapTable {
        GapTable {
            snap_mm: self.snap.unwrap_or(base.snap_mm),
            slide_mm: self.slide.unwrap_or(base.slide_mm),
            press_mm: self.press.unwrap_or(base.press_mm),
            free_mm: self.free.unwrap_or(base.free_mm),
        }
    }
}

impl Value {
    /// A length in mm.
    pub fn mm(value: f64) -> Value {
        Value::Quantity(Quantity::mm(value))
    }

    /// What the author would call it: `a length`, `a text`.
    pub fn spoken(&self) -> String {
        let words = match self {
            Value::Quantity(q) => return q.dimension.spoken(),
            Value::Measured(m) => return format!("{}, known only after measuring", m.spoken()),
            Value::Poison => "nothing",
            Value::None => "none",
            Value::Truth(_) => "yes or no",
            Value::Text(_) => "a text",
            Value::Colour(_) => "a colour",
            Value::Point(p) if p.coordinates.len() == 3 => "a point of three coordinates",
            Value::Point(_) => "a point of two coordinates",
            Value::List(_) => "a list",
            Value::Edge(_) => "a treatment of an edge",
            Value::Line(_) => "an open path",
            Value::Outline(_) => "an outline",
            Value::Solid(_) => "a solid",
            Value::Record(_) => "a record",
            Value::Motif(_) => "a motif",
            Value::Face(_) => "a face",
            Value::Part(_) => "a part",
            Value::Material(_) => "a material",
            Value::Printer(_) => "a printer",
            Value::Gaps(_) => "a table of gaps",
            Value::Pose(_) => "a pose",
            Value::LengthAt { .. } => "a length at an angle",
            Value::Way(_) => "a direction",
            Value::Fit(_) => "the fit of a part",
        };
        words.to_string()
    }

    /// Whether it is poison.
    pub fn is_poison(&self) -> bool {
        matches!(self, Value::Poison)
    }

    /// Its number, when it is one of this dimension.
    pub fn number(&self, dimension: Dimension) -> Option<f64> {
        match self {
            Value::Quantity(q) if q.dimension == dimension => Some(q.value),
            _ => None,
        }
    }

    /// Its body, when it is a solid or a part.
    pub fn solid(&self) -> Option<&Arc<SolidValue>> {
        match self {
            Value::Solid(solid) => Some(solid),
            Value::Part(part) => Some(&part.solid),
            _ => None,
        }
    }

    /// Whether it already is a value of this kind, measures of numbers aside.
    pub fn is_of(&self, kind: &Kind) -> bool {
        match (kind, self) {
            (Kind::Any, _) => true,
            (Kind::Number(d), Value::Quantity(q)) => q.dimension == *d,
            (Kind::Count, Value::Quantity(q)) => whole(*q).is_some(),
            (Kind::Text, Value::Text(_))
            | (Kind::YesNo, Value::Truth(_))
            | (Kind::Point, Value::Point(_))
            | (Kind::List, Value::List(_))
            | (Kind::Solid, Value::Solid(_) | Value::Part(_) | Value::None)
            | (Kind::Motif, Value::Motif(_))
            | (Kind::Edge | Kind::Corner, Value::Edge(_) | Value::None)
            | (Kind::Face, Value::Face(_))
            | (Kind::Part, Value::Part(_))
            | (Kind::Material, Value::Material(_))
            | (Kind::Ink, Value::Outline(_) | Value::None)
            | (Kind::Line, Value::Line(_) | Value::Outline(_))
            | (Kind::Slit, Value::LengthAt { .. })
            | (Kind::Pose, Value::Pose(_))
            | (Kind::Printer, Value::Printer(_))
            | (Kind::Gaps, Value::Gaps(_))
            | (Kind::Way, Value::Way(_))
            | (Kind::Ease | Kind::Path, Value::None)
            | (Kind::Colour, Value::Colour(_))
            | (Kind::Outline, Value::None) => true,
            (Kind::Path, Value::Line(line)) => line.dimension == Dimension::LENGTH,
            (Kind::Outline, Value::Outline(o)) => o.dimension == Dimension::LENGTH,
            (Kind::Choice(_) | Kind::Words(_) | Kind::Tolerance, Value::Text(t)) => {
                kind.has_word(t)
            }
            (Kind::Coordinate | Kind::Corner | Kind::Weight, Value::Quantity(q)) => {
                is_coordinate(q.dimension)
            }
            (Kind::CoordinatePair, Value::Point(p)) => p.coordinates.len() == 2,
            (Kind::Ease, Value::Quantity(q)) => q.dimension == Dimension::ANGLE,
            (Kind::Slit | Kind::Gap | Kind::Tolerance, Value::Quantity(q)) => {
                q.dimension == Dimension::LENGTH
            }
            (Kind::Bearing, Value::Quantity(q)) => {
                q.dimension == Dimension::ANGLE || q.dimension == Dimension::LENGTH
            }
            _ => false,
        }
    }
}

/// Whether outlines can be drawn in it: a length, or plain tile units.
pub fn is_coordinate(dimension: Dimension) -> bool {
    dimension == Dimension::LENGTH || dimension == Dimension::NONE
}

/// How far from a whole number a count may be; above rounding, far below any meaning.
const WHOLE: f64 = 1e-9;

/// The whole number that a plain quantity is, within 1e-9.
pub fn whole(quantity: Quantity) -> Option<i64> {
    let rounded = quantity.value.round();
    let near = (quantity.value - rounded).abs() <= WHOLE && rounded.abs() < 1e15;
    (quantity.dimension == Dimension::NONE && near).then_some(rounded as i64)
}
