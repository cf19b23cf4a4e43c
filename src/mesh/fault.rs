//! Why there is no mesh.

use super::checks::Checks;
use crate::model::PatternError;
use crate::plane::PlaneError;
use std::fmt;

/// What went wrong; the pipeline turns it into a finding.
#[derive(Clone, Debug, PartialEq)]
pub enum MeshFault {
    /// The pattern of an inlay could not be cut into strips.
    Pattern(PatternError),
    /// The sides of an outline could not be moved.
    Outline(PlaneError),
    /// The surface leans so far that every ceiling in it hangs over more than asked.
    SteepSurface,
    /// An edge treatment or a taper of a prism runs past a side of its outline.
    SideUsedUp {
        /// How far sides were to move inwards, mm.
        inset_mm: f64,
    },
    /// The treatments of the upper and the lower edge of a prism leave no side between.
    NoSide,
    /// An outline could not be filled with triangles.
    Fill,
    /// The boolean engine refused a body.
    Refused {
        /// What it says.
        status: String,
    },
    /// What sits in a pocket is neither an inlay nor a prism, nor several of them.
    NotAnInlay,
    /// The body failed its checks.
    Unsound {
        /// What was found.
        checks: Checks,
    },
}

impl fmt::Display for MeshFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MeshFault::Pattern(error) => write!(f, "{}", pattern_words(error)),
            MeshFault::Outline(error) => write!(f, "the outline cannot be moved: {error}"),
            MeshFault::SteepSurface => {
                write!(f, "the surface itself hangs over as much as a ceiling may")
            }
            MeshFault::SideUsedUp { inset_mm } => {
                write!(f, "an edge that moves sides in by {inset_mm:.3} mm uses one of them up")
            }
            MeshFault::NoSide => {
                write!(f, "the treatments of the upper and the lower edge meet")
            }
            MeshFault::Fill => write!(f, "an outline could not be filled with triangles"),
            MeshFault::Refused { status } => {
                write!(f, "the bodies could not be combined ({status})")
            }
            MeshFault::NotAnInlay => {
                write!(f, "only an inlay or a prism can sit in a pocket")
            }
            MeshFault::Unsound { checks } => write!(
                f,
                "the body came out unsound: {} open edges, {} self-intersections, {} skins, {} \
                 degenerate triangles",
                checks.open_edges,
                checks.self_intersections,
                checks.skins,
                checks.degenerate + checks.doubled
            ),
        }
    }
}

fn pattern_words(error: &PatternError) -> &'static str {
    match error {
        PatternError::TooDeep { .. } => "the inlay reaches to the axis",
        PatternError::CeilingAlongCone { .. } => "the surface leans as much as a ceiling may",
        PatternError::TooWide { .. } => "a gap or a slit is wider than the body it is in",
        PatternError::UnevenChart => "the rows of the chart differ in length",
    }
}

impl From<PlaneError> for MeshFault {
    fn from(error: PlaneError) -> Self {
        MeshFault::Outline(error)
    }
}

impl From<PatternError> for MeshFault {
    fn from(error: PatternError) -> Self {
        MeshFault::Pattern(error)
    }
}
