//! The ways out of a design: of each lid along its axis or its thread, of loose pieces
//! straight out.

use super::Bench;
use super::judge::FLUSH_MM;
use super::turn::{relief_axis, turned_off};
use super::way::{Caught, Snap, WayFit, caught, travel};
use crate::diagnostics::Sink;
use crate::mesh::{Mesh, MeshFault, Obstacle};
use crate::model::vector;
use crate::model::{Enters, Inlay, Part, Placement, Seat, Surface, Vector};
use rayon::prelude::*;

/// Gaps below this leave faces that touch, and slide without a way to tell; mm.
const TOUCHING_MM: f64 = 0.01;

/// A piece that has come so much of its depth is out.
const OUT: f64 = 1.2;

/// What holds a lid is measured across its axis.
fn deep(caught: &Caught) -> f64 {
    caught.deep_mm
}

/// What holds a piece, or anything that slides, lies anywhere round it.
pub fn thick(caught: &Caught) -> f64 {
    caught.thick_mm
}

impl Bench<'_> {
    /// Lids first, then loose pieces, in the order of the model.
    pub fn ways(&self) -> (Vec<WayFit>, Sink) {
        let lids: Vec<_> =
            (0..self.model.closures.len()).into_par_iter().map(|k| self.lid_way(k)).collect();
        let seats: Vec<_> = self.model.seats.par_iter().map(|s| self.pieces_way(s)).collect();
        let mut ways = Vec::new();
        let mut sink = Sink::default();
        for (way, findings) in lids.into_iter().chain(seats) {
            if let Some(way) = &way {
                self.judge.way(way, &mut sink);
            }
            ways.extend(way);
            sink.append(findings);
        }
        (ways, sink)
    }

    /// Straight up: a lid's axis is the upright of the assembly.
    fn lid_way(&self, index: usize) -> (Option<WayFit>, Sink) {
        let mut sink = Sink::default();
        let closure = &self.model.closures[index];
        let parts = [closure.lid, closure.host].map(|p| &self.model.parts[p.0]);
        let Some([lid, host]) = self.both(closure.lid, closure.host) else { return (None, sink) };
        let along = [0.0, 0.0, 1.0];
        let travel_mm = travel(lid.mesh(), host.mesh(), along);
        let found = match caught(&lid, &host, along, travel_mm, &Placement::IDENTITY, deep) {
            Ok(found) => found.filter(|c| c.deep_mm > FLUSH_MM),
            Err(fault) => {
                sink.push(self.judge.not_compared(closure.lid, closure.host, &fault));
                return (None, sink);
            }
        };
        let snap = found.as_ref().and_then(|c| snap(c, [lid.mesh(), host.mesh()], parts));
        let mut way = WayFit {
            part: closure.lid,
            host: closure.host,
            along: Some(along),
            travel_mm,
            turn: None,
            caught: found,
            snap,
        };
        // What stands out of one and into the other may be a thread or a track.
        let axes = parts.map(|p| relief_axis(&p.body, &Placement::IDENTITY));
        if let (Some(_), [Some(axis), Some(_)]) = (way.caught, axes)
            && let Some(turn) = turned_off(&lid, &host, &axis, travel_mm)
        {
            (way.turn, way.caught, way.snap) = (Some(turn), None, None);
        }
        (Some(way), sink)
    }

    /// Each loose piece straight out of its pocket.
    fn pieces_way(&self, seat: &Seat) -> (Option<WayFit>, Sink) {
        let mut sink = Sink::default();
        if seat.enters != Enters::Surface || seat.gap_mm < TOUCHING_MM {
            return (None, sink);
        }
        let Some([mesh, host]) = self.both(seat.inlay, seat.host) else { return (None, sink) };
        let Some((inlay, at)) = self.model.parts[seat.inlay.0].body.as_inlay() else {
            return (None, sink);
        };
        let travel_mm = inlay.sink_mm * OUT;
        let mesh = mesh.mesh();
        let pieces = mesh.pieces();
        let found: Result<Vec<Option<Caught>>, MeshFault> = pieces
            .par_iter()
            .map(|piece| piece_caught(&mesh.part(piece), &host, inlay, &at, travel_mm))
            .collect();
        let caught = match found {
            Ok(found) => found.into_iter().flatten().filter(|c| c.thick_mm > FLUSH_MM),
            Err(fault) => {
                sink.push(self.judge.not_compared(seat.inlay, seat.host, &fault));
                return (None, sink);
            }
        };
        let caught = caught.max_by(|a, b| a.thick_mm.total_cmp(&b.thick_mm));
        let (part, host) = (seat.inlay, seat.host);
        (Some(WayFit { part, host, along: None, travel_mm, turn: None, caught, snap: None }), sink)
    }
}

/// A piece may go square to the surface or straight away from the axis; one is enough.
fn piece_caught(
    piece: &Mesh,
    obstacle: &Obstacle,
    inlay: &Inlay,
    at: &Placement,
    travel_mm: f64,
) -> Result<Option<Caught>, MeshFault> {
    let back = at.inverse();
    let sum = piece.vertices.iter().map(|p| back.point(*p)).fold([0.0; 3], vector::add);
    let directions: Vec<Vector> = match &inlay.surface {
        Surface::Flat { normal, .. } => vec![*normal],
        turned => {
            let outward = !turned.faces_axis();
            let count = piece.vertices.len().max(1) as f64;
            let slope = turned.radius_at(sum[2] / count).map_or(0.0, |[_, slope]| slope);
            let across = sum[0].hypot(sum[1]).max(f64::MIN_POSITIVE);
            let sign = if outward { 1.0 } else { -1.0 } / across;
            let radial = [sum[0] * sign, sum[1] * sign, 0.0];
            let lean = 1.0 / (1.0 + slope * slope).sqrt();
            let rise = if outward { -slope } else { slope };
            let square = [radial[0] * lean, radial[1] * lean, rise * lean];
            if slope == 0.0 { vec![radial] } else { vec![square, radial] }
        }
    };
    let piece = Obstacle::of(piece);
    let mut least: Option<Caught> = None;
    for direction in directions {
        match caught(&piece, obstacle, at.direction(direction), travel_mm, at, thick)? {
            None => return Ok(None),
            Some(c) if least.is_none_or(|l| c.thick_mm < l.thick_mm) => least = Some(c),
            Some(_) => {}
        }
    }
    Ok(least)
}

/// What a caught lid is as a snap: the outer of both stretches, and the weaker must stand it.
fn snap(caught: &Caught, [lid, host]: [&Mesh; 2], parts: [&Part; 2]) -> Option<Snap> {
    let level = caught.at_mm[2];
    let reach = [reach(lid, level - caught.after_mm), reach(host, level)];
    let outer = usize::from(reach[1] > reach[0]);
    let permitted = parts.iter().filter_map(|p| p.material.permitted).reduce(f64::min);
    Snap::of(caught, reach[outer], permitted, parts[outer].material.modulus_mpa)
}

/// The largest radius of a body about the upright at a height, mm; 0 where it has none.
fn reach(mesh: &Mesh, level: f64) -> f64 {
    let mut most: f64 = 0.0;
    for t in 0..mesh.triangles.len() {
        let corners = mesh.corners(t);
        for k in 0..3 {
            let (p, q) = (corners[k], corners[(k + 1) % 3]);
            if (p[2] > level) != (q[2] > level) {
                let share = (level - p[2]) / (q[2] - p[2]);
                let at = [0, 1].map(|c| p[c] + (q[c] - p[c]) * share);
                most = most.max(at[0].hypot(at[1]));
            }
        }
    }
    most
}
