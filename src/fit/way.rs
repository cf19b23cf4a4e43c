//! Whether what goes together can come apart: finished bodies, moved straight in steps.

use super::snap::Annular;
use crate::mesh::{Mesh, MeshFault, Obstacle};
use crate::model::{PartId, Placement, Vector};
use std::f64::consts::TAU;

/// The longest step, mm: a bead or a lip lower than this could be passed unseen.
const STEP_MM: f64 = 0.5;

/// The most steps; longer ways take longer steps.
const STEPS: usize = 40;

/// Sectors round the axis; a bead has something in each of them.
const SECTORS: usize = 12;

/// What a body on its way out runs into.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Caught {
    /// How far it has come then, mm.
    pub after_mm: f64,
    /// Where it is caught deepest, in assembly axes, mm.
    pub at_mm: Vector,
    /// How far both reach into each other there, away from the axis of the way, mm.
    pub deep_mm: f64,
    /// How thick what they have in common is on the average, mm: twice its volume over its
    /// area.
    pub thick_mm: f64,
    /// The radius there, when it is caught all round its axis, mm.
    pub round_mm: Option<f64>,
}

/// A way out.
#[derive(Clone, Debug, PartialEq)]
pub struct WayFit {
    /// What moves.
    pub part: PartId,
    /// Out of what.
    pub host: PartId,
    /// The direction, in assembly axes; none for pieces that each go straight out.
    pub along: Option<Vector>,
    /// How far until they are apart, mm.
    pub travel_mm: f64,
    /// What it runs into.
    pub caught: Option<Caught>,
    /// Of what is caught all round: the snap.
    pub snap: Option<Snap>,
}

/// A closed ring that has to stretch over a bead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Snap {
    /// By how much the diameters overlap, mm.
    pub undercut_mm: f64,
    /// Hoop strain where one of both gives all of it, percent.
    pub strain_percent: f64,
    /// What the moving part stands once, percent.
    pub permitted_percent: Option<f64>,
    /// Force across the axis that spreads it, N, within a half either way; none where the
    /// modulus is not known.
    pub spreads_n: Option<f64>,
}

impl Snap {
    /// The snap of a hub of these radii (mm) over a bead of its inner one.
    pub fn of(
        caught: &Caught,
        outer_mm: f64,
        permitted: Option<f64>,
        modulus: Option<f64>,
    ) -> Option<Snap> {
        let radius = caught.round_mm?;
        let ring = Annular {
            joint_mm: 2.0 * radius,
            outer_mm: 2.0 * outer_mm.max(radius),
            undercut_mm: 2.0 * caught.deep_mm,
        };
        Some(Snap {
            undercut_mm: ring.undercut_mm,
            strain_percent: ring.strain() * 100.0,
            permitted_percent: permitted.map(|p| p * 100.0),
            spreads_n: modulus.and_then(|e| ring.spreading_force_n(e)),
        })
    }
}

/// How far a body must move along a unit direction until both are apart, mm.
pub fn travel(body: &Mesh, host: &Mesh, along: Vector) -> f64 {
    let of = |p: &Vector| p[0] * along[0] + p[1] * along[1] + p[2] * along[2];
    let least = body.vertices.iter().map(of).fold(f64::INFINITY, f64::min);
    let most = host.vertices.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
    (most - least).max(0.0)
}

/// Moves a body along a unit direction, `travel` mm in all, and finds where it is caught most
/// by a measure.
///
/// # Errors
/// [`MeshFault::Refused`] where the common body could not be built.
pub fn caught(
    body: &Mesh,
    obstacle: &Obstacle,
    along: Vector,
    travel: f64,
    axis: &Placement,
    measure: fn(&Caught) -> f64,
) -> Result<Option<Caught>, MeshFault> {
    let steps = ((travel / STEP_MM).ceil() as usize).clamp(1, STEPS);
    let mut worst: Option<Caught> = None;
    for k in 1..=steps {
        let after = travel * k as f64 / steps as f64;
        let moved = body.placed(&Placement::shifted(along.map(|c| c * after)));
        if !obstacle.crossed_by(&moved) {
            continue;
        }
        let shared = obstacle.shared_with(moved)?;
        if let Some(found) = deepest(&shared, axis, after)
            && worst.is_none_or(|w| measure(&found) > measure(&w))
        {
            worst = Some(found);
        }
    }
    Ok(worst)
}

/// Where a common body reaches farthest across an axis, and whether it goes all round.
fn deepest(shared: &Mesh, axis: &Placement, after_mm: f64) -> Option<Caught> {
    let back = axis.inverse();
    let mut sectors: [Option<(f64, f64, Vector)>; SECTORS] = [None; SECTORS];
    for vertex in &shared.vertices {
        let p = back.point(*vertex);
        let (radius, turn) = (p[0].hypot(p[1]), p[1].atan2(p[0]).rem_euclid(TAU) / TAU);
        let sector = &mut sectors[((turn * SECTORS as f64) as usize).min(SECTORS - 1)];
        let (low, high, at) = sector.unwrap_or((radius, radius, *vertex));
        let at = if radius > high { *vertex } else { at };
        *sector = Some((low.min(radius), high.max(radius), at));
    }
    let deep = |s: &(f64, f64, Vector)| s.1 - s.0;
    let most = sectors.iter().flatten().max_by(|a, b| deep(a).total_cmp(&deep(b)))?;
    let all_round = sectors.iter().all(Option::is_some);
    Some(Caught {
        after_mm,
        at_mm: most.2,
        deep_mm: deep(most),
        thick_mm: 2.0 * shared.volume_mm3() / shared.area_mm2(),
        round_mm: all_round.then_some((most.0 + most.1) / 2.0),
    })
}
