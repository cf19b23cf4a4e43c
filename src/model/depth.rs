//! How an inlay goes on below the face that shows: the figures that both engines, the
//! strips and the checks of a fit must share.

use super::body::{Inlay, Surface};
use super::placement::Vector;
use super::vector::{cross, dot};

/// How far edges of the pattern move for each mm of level depth, mm per mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Drop {
    /// Upper edges sink.
    pub upper: f64,
    /// Lower edges rise.
    pub lower: f64,
}

impl Inlay {
    /// Lean of the surface from the vertical, rad; above 0 it grows wider upwards.
    /// A quarter turn on level faces; on bellied ones that at the level.
    pub fn lean_rad(&self) -> f64 {
        match &self.surface {
            Surface::Round { slope, .. } => slope.atan(),
            Surface::Belly { meridian, .. } => meridian.slope(self.level_mm).atan(),
            Surface::Flat { normal, .. } => (-normal[2]).clamp(-1.0, 1.0).asin(),
        }
    }

    /// Level depth is what strips and cells count in: on round surfaces it is measured
    /// square to the axis, on flat and bellied ones square to the face. `square_mm` is
    /// measured square to the surface.
    pub fn level_depth_mm(&self, square_mm: f64) -> f64 {
        match &self.surface {
            Surface::Round { .. } => square_mm / self.lean_rad().cos(),
            Surface::Belly { .. } | Surface::Flat { .. } => square_mm,
        }
    }

    /// 1 where depth runs towards the axis or, on flat faces, into the side from which the
    /// pattern reads as drawn; else -1. There a body comes out as its mirror image.
    pub fn depth_sense(&self) -> f64 {
        let turned_round = match &self.surface {
            Surface::Flat { right, up, normal, .. } => triple(*right, *up, *normal) < 0.0,
            turned => turned.faces_axis(),
        };
        if turned_round { -1.0 } else { 1.0 }
    }

    /// How fast eased edges move, so that the ceiling they leave is exactly as steep as
    /// asked ([`Inlay::ceilings`]). `None` where the surface itself hangs over by as much as
    /// a ceiling may.
    pub fn ceiling_drop(&self) -> Option<Drop> {
        let ceilings = self.ceilings().ok()?;
        let per_depth = ceilings.drop_per_depth;
        Some(if ceilings.lower {
            Drop { upper: 0.0, lower: per_depth }
        } else {
            Drop { upper: per_depth, lower: 0.0 }
        })
    }

    /// Whether the surface is level: it has no ceilings.
    pub fn is_level(&self) -> bool {
        matches!(&self.surface, Surface::Flat { up, .. } if up[2].abs() < LEVEL)
    }
}

/// The volume that three directions span, with its sign.
fn triple(a: Vector, b: Vector, c: Vector) -> f64 {
    dot(cross(a, b), c)
}

/// A face whose upward direction rises less than this is level: it has no ceilings.
const LEVEL: f64 = 1e-9;

#[cfg(test)]
mod tests {
    use super::super::{Eased, Pattern, Turned};
    use super::*;
    use crate::plane::Outline;
    use std::sync::Arc;

    fn on_cone(slope: f64, lower: bool) -> Inlay {
        let host = Arc::new(Turned { outline: Outline::default(), sides: None });
        Inlay {
            surface: Surface::Round {
                host,
                radius_mm: 40.0,
                slope,
                outward: true,
                span_mm: [0.0, 80.0],
                sides: None,
            },
            pattern: Pattern::Chart { rows: vec![vec![true]], repeats: 1 },
            level_mm: 40.0,
            height_mm: 20.0,
            bearing: 0.0,
            sink_mm: 2.0,
            proud_mm: 0.0,
            eased: Some(Eased { angle_rad: 45f64.to_radians(), lower }),
            slit: None,
        }
    }

    /// Closed form: the ceiling through (R(z0), z0) and the point at depth d has the
    /// asked angle from the vertical, whatever the lean.
    #[test]
    fn ceilings_keep_their_angle_on_cones() {
        for slope in [-0.3, -0.1, 0.0, 0.1, 0.3] {
            for lower in [false, true] {
                let inlay = on_cone(slope, lower);
                let drop = inlay.ceiling_drop().unwrap();
                let (d, z0) = (2.0, 50.0);
                let z = z0 - drop.upper * d + drop.lower * d;
                let r = 40.0 + slope * z - d;
                let inwards = (40.0 + slope * z0) - r;
                let angle = inwards.atan2((z0 - z).abs()).to_degrees();
                assert!((angle - 45.0).abs() < 1e-9, "{slope} {lower} {angle}");
            }
        }
        assert!(on_cone(1.0, false).ceiling_drop().is_none());
        assert!(on_cone(1.2, false).ceiling_drop().is_none());
    }

    #[test]
    fn level_depth_is_measured_square_to_the_axis() {
        let inlay = on_cone(30f64.to_radians().tan(), false);
        assert!((inlay.level_depth_mm(3f64.sqrt()) - 2.0).abs() < 1e-12);
    }
}
