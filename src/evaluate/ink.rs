//! Outlines as they were described, so that a tile can be stretched without its
//! strokes.

use super::value::Attributes;
use crate::plane::{
    Combine, Corners, Ends, Outline, PlaneError, Point, Side, Track, combine, grown, stroke,
};
use crate::quantity::Dimension;
use std::sync::Arc;

/// An outline as a value.
#[derive(Clone, Debug)]
pub struct OutlineValue {
    /// How it was described.
    pub ink: Arc<Ink>,
    /// Length; none for outlines in tile units, which have no size yet.
    pub dimension: Dimension,
    /// What it is, in mm; nothing in tile units.
    pub outline: Option<Arc<Outline>>,
    /// Its fields.
    pub attributes: Arc<Attributes>,
    /// How many builders are drawn in it, each use counted.
    pub leaves: u64,
    /// How deep its operations are nested.
    pub depth: u32,
}

/// An outline as it was described: lengths in mm, or geometry in tile units with
/// strokes in mm.
#[derive(Clone, Debug)]
pub enum Ink {
    /// Nothing.
    Empty,
    /// A closed region.
    Fixed(Outline),
    /// A line with a width that is a length.
    Stroke { track: Track, pen: Pen },
    /// `join`, `less`, `meet`
    Combined { how: Combine, left: Arc<Ink>, right: Arc<Ink> },
    /// `grown`, by a length.
    Grown { ink: Arc<Ink>, by_mm: f64 },
}

/// How a stroke is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// mm
    pub width_mm: f64,
    /// Where it lies beside its line.
    pub side: Side,
    /// How it ends.
    pub ends: Ends,
    /// How it goes round corners.
    pub corners: Corners,
}

/// How far the chords of a stretched arc may be from the ellipse: well below what a
/// printer shows, and few enough chords.
pub const STRETCHED_ARC_MM: f64 = 0.005;

/// A rigid move in the plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Move {
    /// By a vector.
    Shift(Point),
    /// About the origin, rad.
    Spin(f64),
    /// x becomes -x, or y becomes -y.
    Mirror { along_x: bool },
}

impl Move {
    fn outline(self, outline: &Outline) -> Outline {
        match self {
            Move::Shift(by) => outline.shifted(by),
            Move::Spin(angle) => outline.spun(angle),
            Move::Mirror { along_x } => outline.mirrored(along_x),
        }
    }

    /// The moved track; a mirror image runs the other way, so that its left side stays
    /// its left side.
    pub fn track(self, track: &Track) -> Track {
        single(self.outline(&Outline { loops: vec![track.clone()] }), track)
    }
}

fn single(outline: Outline, otherwise: &Track) -> Track {
    outline.loops.into_iter().next().unwrap_or_else(|| otherwise.clone())
}

impl Ink {
    /// Moved, in its own units.
    pub fn moved(&self, by: Move) -> Ink {
        match self {
            Ink::Empty => Ink::Empty,
            Ink::Fixed(outline) => Ink::Fixed(by.outline(outline)),
            Ink::Stroke { track, pen } => Ink::Stroke { track: by.track(track), pen: *pen },
            Ink::Combined { how, left, right } => Ink::Combined {
                how: *how,
                left: Arc::new(left.moved(by)),
                right: Arc::new(right.moved(by)),
            },
            Ink::Grown { ink, by_mm } => Ink::Grown { ink: Arc::new(ink.moved(by)), by_mm: *by_mm },
        }
    }

    /// The outline in mm, its geometry stretched by `x` and `y`, its strokes not.
    ///
    /// # Errors
    /// As the builders of outlines.
    pub fn drawn(&self, x: f64, y: f64) -> Result<Outline, PlaneError> {
        match self {
            Ink::Empty => Ok(Outline::default()),
            Ink::Fixed(outline) if x == 1.0 && y == 1.0 => Ok(outline.clone()),
            Ink::Fixed(outline) => Ok(outline.scaled(x, y, STRETCHED_ARC_MM)),
            Ink::Stroke { track, pen } => {
                let as_outline = Outline { loops: vec![track.clone()] };
                let track = single(as_outline.scaled(x, y, STRETCHED_ARC_MM), track);
                stroke(&track, pen.width_mm, pen.side, pen.ends, pen.corners)
            }
            Ink::Combined { how, left, right } => {
                combine(*how, &left.drawn(x, y)?, &right.drawn(x, y)?)
            }
            Ink::Grown { ink, by_mm } => grown(&ink.drawn(x, y)?, *by_mm, Corners::Mitre),
        }
    }
}

impl OutlineValue {
    /// The empty outline.
    pub fn empty() -> Self {
        OutlineValue {
            ink: Arc::new(Ink::Empty),
            dimension: Dimension::LENGTH,
            outline: Some(Arc::new(Outline::default())),
            attributes: Arc::default(),
            leaves: 0,
            depth: 1,
        }
    }

    /// An outline of this description; in mm it is drawn at once.
    ///
    /// # Errors
    /// As the builders of outlines.
    pub fn of(ink: Ink, dimension: Dimension) -> Result<Self, PlaneError> {
        let outline = match dimension == Dimension::LENGTH {
            true => Some(Arc::new(ink.drawn(1.0, 1.0)?)),
            false => None,
        };
        Ok(OutlineValue {
            ink: Arc::new(ink),
            dimension,
            outline,
            attributes: Arc::default(),
            leaves: 1,
            depth: 1,
        })
    }

    /// Join, less or meet of two outlines of one dimension.
    ///
    /// # Errors
    /// As [`combine`].
    pub fn combined(how: Combine, a: &Self, b: &Self) -> Result<Self, PlaneError> {
        let outline = match (&a.outline, &b.outline) {
            (Some(a), Some(b)) => Some(Arc::new(combine(how, a, b)?)),
            _ => None,
        };
        let ink = Ink::Combined { how, left: a.ink.clone(), right: b.ink.clone() };
        Ok(OutlineValue {
            ink: Arc::new(ink),
            dimension: a.dimension,
            outline,
            attributes: a.attributes.clone(),
            leaves: a.leaves.saturating_add(b.leaves),
            depth: 1 + a.depth.max(b.depth),
        })
    }

    /// Moved rigidly, in its own units.
    #[must_use]
    pub fn moved(&self, by: Move) -> Self {
        OutlineValue {
            ink: Arc::new(self.ink.moved(by)),
            dimension: self.dimension,
            outline: self.outline.as_ref().map(|o| Arc::new(by.outline(o))),
            ..self.clone()
        }
    }

    /// Moved outwards by a length.
    ///
    /// # Errors
    /// As [`grown`].
    pub fn grown(&self, by_mm: f64) -> Result<Self, PlaneError> {
        let outline = match &self.outline {
            Some(o) => Some(Arc::new(grown(o, by_mm, Corners::Mitre)?)),
            None => None,
        };
        Ok(OutlineValue {
            ink: Arc::new(Ink::Grown { ink: self.ink.clone(), by_mm }),
            outline,
            depth: self.depth + 1,
            ..self.clone()
        })
    }
}

impl OutlineValue {
    /// Whether there is nothing in it.
    pub fn outline_is_empty(&self) -> bool {
        matches!(*self.ink, Ink::Empty) || self.outline.as_ref().is_some_and(|o| o.is_empty())
    }
}
