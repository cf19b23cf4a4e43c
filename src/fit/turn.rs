//! Ways out that turn: off a thread, or out of a track after a turn in place.

use super::facet::Facet;
use super::spread::median_and_most;
use super::way::{STEP_MM, STEPS, stops};
use crate::mesh::{Mesh, Obstacle};
use crate::model::vector::dot;
use crate::model::{Body, Leaf, Placement, Surface, Vector};
use std::f64::consts::TAU;

/// The largest turn in one step on a thread, rad.
const STEP_RAD: f64 = TAU / 24.0;

/// The turn in one step in place, rad: less than the play of a pin in its track.
const FINE_RAD: f64 = TAU / 720.0;

/// A lid turns no farther in place than this, rad.
const MOST_RAD: f64 = TAU / 3.0;

/// What rises by less in a turn is no thread, mm.
const LEAST_LEAD_MM: f64 = 0.2;

/// A face is a flank of a thread where more than this share of its normal lies round the
/// axis, and less than along it: ends of a thread face along it. Its edges go round by more
/// than this, rad.
const LEANS: f64 = 1e-3;

/// How a lid turns on its way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// How far, anticlockwise from above, rad.
    pub by_rad: f64,
    /// How far it rises meanwhile, mm: all of its way on a thread, nothing in a track.
    pub rise_mm: f64,
}

/// The upright axis of what stands round a body or is cut into it: where the first relief on
/// a turned face has its axis.
pub fn relief_axis(body: &Body, at: &Placement) -> Option<Placement> {
    match body {
        Body::Leaf(Leaf::Relief(relief)) => {
            let turned = !matches!(relief.pattern.surface, Surface::Flat { .. });
            let upright = at.direction([0.0, 0.0, 1.0])[2].abs() > 1.0 - 1e-12;
            (turned && upright).then(|| Placement::shifted(at.shift))
        }
        Body::Empty | Body::Leaf(_) => None,
        Body::Placed { body, placement } => relief_axis(body, &placement.then(at)),
        Body::Boolean { left, right, .. } => {
            relief_axis(left, at).or_else(|| relief_axis(right, at))
        }
        Body::Many(all) => all.iter().find_map(|body| relief_axis(body, at)),
    }
}

/// A turn with which a body comes off another one: on a thread as both rise, or in place until
/// the straight way is free. None where neither is.
pub fn turned_off(
    body: &Obstacle,
    host: &Obstacle,
    axis: &Placement,
    travel_mm: f64,
) -> Option<Turn> {
    let leads = [host, body].map(|o| lead_mm(o.mesh(), axis));
    let unscrewed = leads.into_iter().flatten().find_map(|lead| {
        let turn = Turn { by_rad: travel_mm / lead * TAU, rise_mm: travel_mm };
        is_free(body, host, axis, turn).then_some(turn)
    });
    unscrewed.or_else(|| released(body, host, axis, travel_mm))
}

/// By how much a thread rises in a turn, mm; below 0 for a left-handed one. Told by the edges
/// of its flanks that keep their distance from the axis: between their ends a screw goes on
/// round the axis and along it in this ratio. The median by area; none where there are no
/// flanks.
fn lead_mm(mesh: &Mesh, axis: &Placement) -> Option<f64> {
    let back = axis.inverse();
    let mut leads: Vec<(f64, f64)> = Vec::new();
    for triangle in 0..mesh.triangles.len() {
        let facet = Facet::new(mesh.corners(triangle).map(|p| back.point(p)));
        let [a, b, c] = facet.corners;
        let middle = [0, 1].map(|k| a[k] + b[k] + c[k]);
        let radius = middle[0].hypot(middle[1]);
        if radius == 0.0 {
            continue;
        }
        let round = dot(facet.normal, [-middle[1] / radius, middle[0] / radius, 0.0]).abs();
        if round <= LEANS || round >= facet.normal[2].abs() {
            continue;
        }
        let edges = [(a, b), (b, c), (c, a)].into_iter().filter_map(|(p, q)| screwed(p, q));
        let keeps = edges.min_by(|a, b| a.0.total_cmp(&b.0));
        leads.extend(keeps.map(|(_, lead)| (lead, facet.area)));
    }
    median_and_most(leads).map(|[median, _]| median).filter(|lead| lead.abs() >= LEAST_LEAD_MM)
}

/// By how much an edge leaves its distance from the z axis, mm, and the rise in a turn of a
/// screw that takes one of its ends to the other; none where it does not go round.
fn screwed(p: Vector, q: Vector) -> Option<(f64, f64)> {
    let by = (p[0] * q[1] - p[1] * q[0]).atan2(p[0] * q[0] + p[1] * q[1]);
    let away = (p[0].hypot(p[1]) - q[0].hypot(q[1])).abs();
    (by.abs() > LEANS).then(|| (away, TAU * (q[2] - p[2]) / by))
}

/// Whether a body passes nothing of another one on its way.
fn is_free(body: &Obstacle, host: &Obstacle, axis: &Placement, turn: Turn) -> bool {
    let steps = (turn.rise_mm / STEP_MM).max(turn.by_rad.abs() / STEP_RAD).ceil() as usize;
    let steps = steps.clamp(1, 4 * STEPS);
    (1..=steps).all(|k| {
        let share = k as f64 / steps as f64;
        let by = [0.0, 0.0, turn.rise_mm * share];
        let moved = turned(body.mesh(), axis, turn.by_rad * share);
        !host.crossed_by(&Obstacle::of(&moved), by)
    })
}

/// The least turn in place, either way, after which a body comes straight off.
fn released(body: &Obstacle, host: &Obstacle, axis: &Placement, travel_mm: f64) -> Option<Turn> {
    let steps = (MOST_RAD / FINE_RAD).round() as usize;
    let mut free = [true; 2];
    for k in 1..=steps {
        for (side, sign) in [1.0, -1.0].into_iter().enumerate() {
            if !free[side] {
                continue;
            }
            let by_rad = sign * FINE_RAD * k as f64;
            let moved = turned(body.mesh(), axis, by_rad);
            let moved = Obstacle::of(&moved);
            free[side] = !host.crossed_by(&moved, [0.0; 3]);
            let rises = || stops(travel_mm).all(|mm| !host.crossed_by(&moved, [0.0, 0.0, mm]));
            if free[side] && rises() {
                return Some(Turn { by_rad, rise_mm: 0.0 });
            }
        }
    }
    None
}

fn turned(mesh: &Mesh, axis: &Placement, by_rad: f64) -> Mesh {
    mesh.placed(&axis.inverse().then(&Placement::turned(2, by_rad)).then(axis))
}
