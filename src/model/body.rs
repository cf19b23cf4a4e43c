//! Bodies as data.

use super::belly::Meridian;
use super::placement::{Placement, Vector};
use super::sides::Sides;
use crate::plane::{Edge, Outline};
use std::sync::Arc;

/// A solid. Shared nodes are shared work: engines may key caches by pointer.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// Nothing.
    Empty,
    /// A body made from one exact profile.
    Leaf(Leaf),
    /// A body somewhere else.
    Placed { body: Arc<Body>, placement: Placement },
    /// `a join b`, `a less b`, `a meet b`.
    Boolean { operation: Operation, left: Arc<Body>, right: Arc<Body> },
    /// The union of several: `N of X …`, `joined(list)`.
    Many(Vec<Arc<Body>>),
}

impl Body {
    /// The inlay that a body is, and where its host's leaf stands; none for all others.
    pub fn as_inlay(&self) -> Option<(&Inlay, Placement)> {
        let (mut body, mut placement) = (self, Placement::IDENTITY);
        loop {
            match body {
                Body::Leaf(Leaf::Inlay(inlay)) => return Some((inlay, placement)),
                Body::Placed { body: inner, placement: own } => {
                    // The outermost placement acts last.
                    placement = own.then(&placement);
                    body = inner;
                }
                _ => return None,
            }
        }
    }
}

/// A body whose profile is known.
#[derive(Clone, Debug, PartialEq)]
pub enum Leaf {
    /// A body of revolution.
    Turned(Arc<Turned>),
    /// An outline drawn up.
    Prism(Arc<Prism>),
    /// A pattern wrapped on, or laid in, a face; its nominal form.
    Inlay(Arc<Inlay>),
    /// The same as a plain solid, to join to a body or to take from it.
    Relief(Arc<Relief>),
}

/// Booleans of the language.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Operation {
    /// Sum.
    Join,
    /// Difference.
    Less,
    /// Intersection.
    Meet,
}

/// A profile swept all round the z axis: in a circle, or along the flat sides of a regular
/// polygon, mitred at its corners. `x` of the outline is the radius, or the distance of a
/// side from the axis, never below 0; `y` is z.
#[derive(Clone, Debug, PartialEq)]
pub struct Turned {
    /// The profile; its segments name the faces they sweep.
    pub outline: Outline,
    /// Its flat sides; none where it is round.
    pub sides: Option<Sides>,
}

/// An outline in (x, y) drawn up from z = 0.
#[derive(Clone, Debug, PartialEq)]
pub struct Prism {
    /// The outline at z = 0; its segments name the side faces.
    pub outline: Outline,
    /// mm, above 0
    pub height_mm: f64,
    /// Lean of each side from the vertical, rad; above 0 it grows upwards.
    pub taper_rad: f64,
    /// Treatment of the edges of the upper face.
    pub top: Edge,
    /// Treatment of the edges of the lower face.
    pub bottom: Edge,
}

/// The face on which an inlay sits, in the frame of the leaf that made it.
#[derive(Clone, Debug, PartialEq)]
pub enum Surface {
    /// A straight segment of a turned profile: cylinder or cone, or as many flats. The
    /// radius, or the distance of the flats from the axis, at height z is
    /// `radius_mm + slope * z`.
    Round {
        /// The turned body; engines take facets (its largest radius) from it.
        host: Arc<Turned>,
        /// Radius at z = 0, mm.
        radius_mm: f64,
        /// Change of radius per mm of z: tan of the lean.
        slope: f64,
        /// Whether depth runs towards the axis: for what goes into an outside wall, or
        /// stands on an inside one.
        outward: bool,
        /// Lowest and highest z of the straight face, mm.
        span_mm: [f64; 2],
        /// The flat sides of the host; none where it is round. Round a host with sides the
        /// developed plane counts u as [`Sides`] does.
        sides: Option<Sides>,
    },
    /// Arcs of a turned profile, and lines that run smoothly into them. Levels are heights,
    /// repeats are angles; depth is square to the meridian.
    Belly {
        /// The turned body; engines take facets from it.
        host: Arc<Turned>,
        /// The line that is turned.
        meridian: Arc<Meridian>,
        /// As on round faces.
        outward: bool,
    },
    /// A plane face: a side of a prism, or a level face. Depth runs against `normal`, which
    /// points out of the host, for what stands proud of it into the host; `right`, `up`,
    /// `normal` are orthonormal, and right-handed where `normal` points out. The developed
    /// plane has its origin at `origin`: u along `right` (mm), z along `up` (mm).
    Flat {
        /// The leaf that made the face.
        host: Arc<Body>,
        /// Origin of the developed plane: on sides the middle of the width at z = 0
        /// of the leaf; on level faces the middle of the face's box.
        origin: Vector,
        /// To the right, as seen facing the surface.
        right: Vector,
        /// Upwards, as seen facing the surface.
        up: Vector,
        /// Against depth.
        normal: Vector,
        /// Lowest and highest u of the face, mm.
        width_mm: [f64; 2],
        /// Lowest and highest z of the face in the developed plane, mm.
        span_mm: [f64; 2],
    },
}

impl Surface {
    /// Lowest and highest z of the face in the developed plane, mm.
    pub fn span_mm(&self) -> [f64; 2] {
        match self {
            Surface::Round { span_mm, .. } | Surface::Flat { span_mm, .. } => *span_mm,
            Surface::Belly { meridian, .. } => meridian.span_mm(),
        }
    }

    /// The flat sides of its host; none where that is round, or the face a single flat.
    pub fn sides(&self) -> Option<Sides> {
        match self {
            Surface::Round { sides, .. } => *sides,
            Surface::Belly { .. } | Surface::Flat { .. } => None,
        }
    }

    /// Whether it goes round an axis: u is an angle then.
    pub fn is_turned(&self) -> bool {
        !matches!(self, Surface::Flat { .. })
    }

    /// Whether it goes round an axis and faces it.
    pub fn faces_axis(&self) -> bool {
        matches!(
            self,
            Surface::Round { outward: false, .. } | Surface::Belly { outward: false, .. }
        )
    }

    /// Radius and change of radius per mm of height at a height; none on flat faces.
    pub fn radius_at(&self, z: f64) -> Option<[f64; 2]> {
        match self {
            Surface::Round { radius_mm, slope, .. } => Some([radius_mm + slope * z, *slope]),
            Surface::Belly { meridian, .. } => Some([meridian.radius_mm(z), meridian.slope(z)]),
            Surface::Flat { .. } => None,
        }
    }
}

/// What is drawn on the developed surface.
#[derive(Clone, Debug, PartialEq)]
pub enum Pattern {
    /// Rows of marks, top row first; one chart is one repeat.
    Chart { rows: Vec<Vec<bool>>, repeats: u32 },
    /// One repeat as an outline in mm in the developed plane at the reference height
    /// (the level): x from 0 to `width_mm` (what runs out comes in at the other side),
    /// y from -height / 2 to height / 2 (what runs out is cut).
    Tile { ink: Outline, width_mm: f64, repeats: u32 },
    /// One figure at true size, its origin at (`bearing`, level): x in mm at the
    /// reference height, y in mm.
    Figure { ink: Outline },
}

/// Which edges of an inlay are eased so that the pocket has no steep ceiling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Eased {
    /// Steepest ceiling allowed, from the vertical, rad.
    pub angle_rad: f64,
    /// True where ceilings are the lower edges, for hosts printed upside down.
    pub lower: bool,
}

/// A narrow radial cut through a ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slit {
    /// Distance of its walls where they are nearest, mm.
    pub width_mm: f64,
    /// Where its middle is, rad; 0 is the seam between last and first repeat.
    pub bearing_rad: f64,
}

/// A pattern with depth: the nominal form of a band, a figure, a relief. Everything
/// is in the frame of the host leaf; z is the leaf's axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Inlay {
    /// Where it sits.
    pub surface: Surface,
    /// What is drawn.
    pub pattern: Pattern,
    /// z of the middle of the band, or of the figure's origin, in the developed plane, mm.
    pub level_mm: f64,
    /// Full height of a band, mm; for a figure, the height of its box.
    pub height_mm: f64,
    /// Where the first repeat starts, or a figure's origin sits: rad on round hosts, mm
    /// from the middle of the face on flat ones.
    pub bearing: f64,
    /// Depth below the surface, square to it, mm.
    pub sink_mm: f64,
    /// Height above the surface, square to it, mm.
    pub proud_mm: f64,
    /// Easing of ceilings.
    pub eased: Option<Eased>,
    /// Slit of a ring.
    pub slit: Option<Slit>,
}

/// A pattern as a plain solid: what stands proud, to be joined; or what is sunk, to be
/// taken away. What only stands proud has its depth turned round: it starts at the surface
/// and goes outwards, so that easing makes its undersides rise.
#[derive(Clone, Debug, PartialEq)]
pub struct Relief {
    /// The pattern; `sink_mm` is how far it goes along its depth.
    pub pattern: Inlay,
    /// How far it goes on beyond the surface at its other end, with the section that it
    /// has there, so that it never ends in the surface, mm.
    pub beyond_mm: f64,
    /// Whether it stands on the face.
    pub stands: bool,
}

impl Relief {
    /// The only operation for which it is made; none where it stands out and is sunk.
    pub fn only_for(&self) -> Option<Operation> {
        match (self.stands, self.pattern.proud_mm > 0.0) {
            (true, _) => Some(Operation::Join),
            (false, false) => Some(Operation::Less),
            (false, true) => None,
        }
    }
}
