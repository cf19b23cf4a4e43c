//! Whether what goes together can come apart: finished bodies, moved straight in steps.

use super::snap::Annular;
use super::turn::Turn;
use crate::mesh::{Mesh, MeshFault, Obstacle};
use crate::model::{PartId, Placement, Vector};
use std::f64::consts::TAU;

/// The longest step, mm: a bead or a lip lower than this could be passed unseen.
pub const STEP_MM: f64 = 0.5;

/// The most steps; longer ways take longer steps.
pub const STEPS: usize = 40;

/// Sectors round the axis; a bead has something in each of them.
const SECTORS: usize = 12;

/// Rays round the axis along which depths are measured: one for each degree.
const RAYS: usize = 360;

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
    /// How it turns; none where it goes straight.
    pub turn: Option<Turn>,
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

/// How far a body has come at each step of a straight way, mm.
pub fn stops(travel_mm: f64) -> impl Iterator<Item = f64> {
    let steps = ((travel_mm / STEP_MM).ceil() as usize).clamp(1, STEPS);
    (1..=steps).map(move |k| travel_mm * k as f64 / steps as f64)
}

/// Moves a body along a unit direction, `travel` mm in all, and finds where it is caught most
/// by a measure.
///
/// # Errors
/// [`MeshFault::Refused`] where the common body could not be built.
pub fn caught(
    body: &Obstacle,
    obstacle: &Obstacle,
    along: Vector,
    travel: f64,
    axis: &Placement,
    measure: fn(&Caught) -> f64,
) -> Result<Option<Caught>, MeshFault> {
    let mut worst: Option<Caught> = None;
    for after in stops(travel) {
        let by = along.map(|c| c * after);
        if !obstacle.crossed_by(body, by) {
            continue;
        }
        let shared = obstacle.shared_with(body.mesh().placed(&Placement::shifted(by)))?;
        if let Some(found) = deepest(&shared, axis, after)
            && worst.is_none_or(|w| measure(&found) > measure(&w))
        {
            worst = Some(found);
        }
    }
    Ok(worst)
}

/// An edge whose ends are as far from a ray, to within this, runs along it, mm.
const ALONG_MM: f64 = 1e-9;

/// What of a body lies on one ray from an axis.
#[derive(Clone, Copy, Debug)]
struct Hit {
    low_mm: f64,
    high_mm: f64,
    /// Where it reaches farthest, in assembly axes.
    at_mm: Vector,
}

impl Hit {
    fn deep(&self) -> f64 {
        self.high_mm - self.low_mm
    }
}

/// Rays from an axis, seen along it, each with what it meets.
struct Rays([Option<Hit>; RAYS]);

impl Rays {
    fn meet(&mut self, ray: usize, radius_mm: f64, at_mm: Vector) {
        let hit = self.0[ray].get_or_insert(Hit { low_mm: radius_mm, high_mm: radius_mm, at_mm });
        hit.low_mm = hit.low_mm.min(radius_mm);
        if radius_mm > hit.high_mm {
            (hit.high_mm, hit.at_mm) = (radius_mm, at_mm);
        }
    }

    /// Every ray that an edge crosses; `local` are its ends with the axis along z.
    fn edge(&mut self, local: [Vector; 2], ends: [Vector; 2]) {
        let [p, q] = local;
        let (mut from, mut to) = (ray_of(p), ray_of(q));
        if from > to {
            (from, to) = (to, from);
        }
        // The short way round: an edge seen from outside turns by less than a half.
        if to - from > RAYS as f64 / 2.0 {
            (from, to) = (to, from + RAYS as f64);
        }
        let mut ray = from.ceil();
        while ray <= to {
            let (sin, cos) = (ray / RAYS as f64 * TAU).sin_cos();
            let [a, b] = [p, q].map(|v| cos * v[1] - sin * v[0]);
            // An edge along the ray has all of itself on it.
            let shares = match (a - b).abs() < ALONG_MM {
                true => [0.0, 1.0],
                false => [(a / (a - b)).clamp(0.0, 1.0); 2],
            };
            for share in shares {
                let on = |[from, to]: [Vector; 2]| {
                    [0, 1, 2].map(|c| from[c] + (to[c] - from[c]) * share)
                };
                let seen = on(local);
                self.meet(number(ray), seen[0].hypot(seen[1]), on(ends));
            }
            ray += 1.0;
        }
    }
}

/// The direction of a point from the axis, counted in rays from that along x.
fn ray_of(point: Vector) -> f64 {
    point[1].atan2(point[0]) / TAU * RAYS as f64
}

/// The index of a ray that was counted on round the axis, either way.
fn number(ray: f64) -> usize {
    ray.rem_euclid(RAYS as f64) as usize % RAYS
}

/// Where a common body reaches farthest across an axis, and whether it goes all round.
fn deepest(shared: &Mesh, axis: &Placement, after_mm: f64) -> Option<Caught> {
    let back = axis.inverse();
    let local: Vec<Vector> = shared.vertices.iter().map(|p| back.point(*p)).collect();
    let mut rays = Rays([None; RAYS]);
    for triangle in &shared.triangles {
        for k in 0..3 {
            let ends = [triangle[k] as usize, triangle[(k + 1) % 3] as usize];
            // Each edge belongs to two triangles.
            if ends[0] < ends[1] {
                rays.edge(ends.map(|v| local[v]), ends.map(|v| shared.vertices[v]));
            }
        }
    }
    // What is so narrow that it lies between two rays.
    for (p, at_mm) in local.iter().zip(&shared.vertices) {
        let ray = number(ray_of(*p).round());
        if rays.0[ray].is_none() {
            rays.meet(ray, p[0].hypot(p[1]), *at_mm);
        }
    }
    let most = rays.0.iter().flatten().max_by(|a, b| a.deep().total_cmp(&b.deep()))?;
    let mut sectors = rays.0.chunks(RAYS / SECTORS);
    let all_round = sectors.all(|sector| sector.iter().any(Option::is_some));
    Some(Caught {
        after_mm,
        at_mm: most.at_mm,
        deep_mm: most.deep(),
        thick_mm: 2.0 * shared.volume_mm3() / shared.area_mm2(),
        round_mm: all_round.then_some((most.low_mm + most.high_mm) / 2.0),
    })
}
