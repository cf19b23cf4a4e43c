//! How finished parts go together, measured.
//!
//! In: the design and its finished parts. Out: [`Fits`]: gaps, overlaps, flushness,
//! ceilings, engagement, the strain of slit rings; findings where parts collide or a
//! promise of the text is not kept. Every number is taken from the finished bodies; what
//! was asked stands beside it. Kept out: changing any body; how a single part prints.

mod apart;
mod chain;
mod clear;
pub mod codes;
mod facet;
mod judge;
mod lid;
mod limits;
mod linear;
mod measured;
mod pair;
mod press;
mod ring;
mod seat;
mod section;
mod side;
mod slide;
#[cfg(test)]
mod slide_tests;
mod snap;
mod spread;
mod spring;
#[cfg(test)]
mod spring_tests;
mod surface;
#[cfg(test)]
mod tests;
mod tree;
mod turn;
mod way;
#[cfg(test)]
mod way_tests;
mod ways;

pub use apart::{Apart, farthest_apart, without_skins};
pub use judge::{FLUSH_MM, SHARED_MM3, STEEPER_DEG, TOLD_MM};
pub use measured::{CeilingFit, Fits, GapFit, LidFit, PairFit, RingFit, SeatFit};
pub use turn::Turn;
pub use way::{Caught, Snap, WayFit};

use crate::diagnostics::Sink;
use crate::mesh::{Mesh, Obstacle, overlap_mm3};
use crate::model::{Inlay, Model, PartId, Placement, Places, Seat, SeatId, Surface};
use crate::realise::Realised;
pub use facet::{Facet, distance, nearest_point};
use judge::Judge;
use limits::Asked;
use rayon::prelude::*;
use surface::HostSurface;

/// Measures all seats, closures and slit rings, and looks for parts that collide.
pub fn measure(model: &Model, realised: &Realised, places: &Places) -> (Fits, Sink) {
    let bench = Bench { model, realised, judge: Judge { model, places } };
    // Side by side: most designs have one or two of each.
    let ((seats, rings), (lids, (ways, on_ways))) = rayon::join(
        || {
            let seats = (0..model.seats.len()).into_par_iter().map(|k| bench.seat(SeatId(k)));
            let rings = model.seats.par_iter().map(|seat| bench.ring(seat));
            rayon::join(|| seats.collect::<Vec<_>>(), || rings.collect::<Vec<_>>())
        },
        || {
            let lids = (0..model.closures.len()).into_par_iter().map(|k| bench.lid(k));
            rayon::join(|| lids.collect::<Vec<_>>(), || bench.ways())
        },
    );
    let mut fits = Fits::default();
    let mut sink = Sink::default();
    for (seat, findings) in seats {
        fits.seats.push(seat);
        sink.append(findings);
    }
    for (lid, findings) in lids {
        fits.lids.push(lid);
        sink.append(findings);
    }
    for (ring, findings) in rings {
        fits.rings.extend(ring);
        sink.append(findings);
    }
    fits.rings.sort_by_key(|ring| ring.part);
    fits.ways = ways;
    sink.append(on_ways);
    let pairs = (0..model.fits.len()).into_par_iter().map(|k| bench.pair(k));
    for (pair, way, findings) in pairs.collect::<Vec<_>>() {
        fits.pairs.extend(pair);
        fits.ways.extend(way);
        sink.append(findings);
    }
    sink.append(bench.collisions());
    (fits, sink)
}

/// What is measured, and who says whether it will do.
struct Bench<'a> {
    model: &'a Model,
    realised: &'a Realised,
    judge: Judge<'a>,
}

impl<'a> Bench<'a> {
    fn mesh(&self, part: PartId) -> Option<&'a Mesh> {
        self.realised.parts.get(part.0)?.as_ref().map(|finished| finished.mesh.as_ref())
    }

    fn body(&self, part: PartId) -> Option<Obstacle<'a>> {
        let finished = self.realised.parts.get(part.0)?.as_ref()?;
        Some(Obstacle::sorted(&finished.mesh, &finished.sorted))
    }

    fn both(&self, a: PartId, b: PartId) -> Option<[Obstacle<'a>; 2]> {
        Some([self.body(a)?, self.body(b)?])
    }

    fn seat(&self, id: SeatId) -> (Option<SeatFit>, Sink) {
        let mut sink = Sink::default();
        let seat = &self.model.seats[id.0];
        let fit = self.seat_fit(id, seat, &mut sink);
        if let Some(fit) = &fit {
            self.judge.seat(fit, &mut sink);
        }
        (fit, sink)
    }

    fn seat_fit(&self, id: SeatId, seat: &Seat, sink: &mut Sink) -> Option<SeatFit> {
        let [inlay_body, host_body] = self.both(seat.inlay, seat.host)?;
        let [inlay_mesh, host] = [inlay_body.mesh(), host_body.mesh()];
        let owner = seat.inlay.0;
        let inlay = self.model.parts[owner].body.as_inlay();
        let in_slit = inlay.as_ref().map(|(inlay, at)| seat::slit_of(inlay, at));
        let in_slit = |f: &Facet| in_slit.as_ref().is_some_and(|slit| slit(f));
        let (gap, overlap) = rayon::join(
            || seat::gap(inlay_mesh, host, owner, seat.gap_mm, in_slit),
            || overlap_mm3(&inlay_body, &host_body),
        );
        let Some(mut gap) = gap else {
            sink.push(self.judge.nothing_faces(id));
            return None;
        };
        let place = self.judge.places.seats.get(id.0);
        Asked::of_seat(self.model, seat, place).add_to(&mut gap, sink);
        let shared_mm3 = match overlap {
            Ok(volume) => volume,
            Err(fault) => {
                sink.push(self.judge.not_compared(seat.inlay, seat.host, &fault));
                return None;
            }
        };
        let mut fit = SeatFit {
            seat: id,
            inlay: seat.inlay,
            host: seat.host,
            taken_from: seat.taken_from,
            gap,
            overlap_mm3: shared_mm3,
            depth_mm: 0.0,
            face_step_mm: [0.0; 2],
            ceiling: None,
        };
        if let Some((inlay, placement)) = inlay {
            self.on_surface(&mut fit, inlay, &placement, [inlay_mesh, host]);
        }
        Some(fit)
    }

    /// What only inlays have: a surface that they must meet.
    fn on_surface(
        &self,
        fit: &mut SeatFit,
        inlay: &Inlay,
        placement: &Placement,
        [inlay_mesh, host]: [&Mesh; 2],
    ) {
        let owner = fit.inlay.0;
        let surface = HostSurface::of(inlay, placement, host);
        fit.depth_mm = seat::depth(host, owner, &surface);
        fit.face_step_mm = seat::face_step(inlay_mesh, owner, &surface);
        let level = matches!(&inlay.surface, Surface::Flat { up, .. } if placement.direction(*up)[2].abs() < 1e-9);
        if let Some(eased) = inlay.eased.filter(|_| !level) {
            let turn = self.model.parts[fit.host.0].pose.turn();
            fit.ceiling = Some(seat::ceiling(host, owner, eased.angle_rad, &turn));
        }
    }

    fn lid(&self, index: usize) -> (Option<LidFit>, Sink) {
        let mut sink = Sink::default();
        let closure = &self.model.closures[index];
        let Some([lid, host]) = self.both(closure.lid, closure.host) else { return (None, sink) };
        let (slide, overlap) = rayon::join(
            || lid::slide(lid.mesh(), host.mesh(), closure.gap_mm, Some([0.0, 0.0, 1.0])),
            || overlap_mm3(&lid, &host),
        );
        let shared_mm3 = match overlap {
            Ok(volume) => volume,
            Err(fault) => {
                sink.push(self.judge.not_compared(closure.lid, closure.host, &fault));
                return (None, sink);
            }
        };
        let Some((mut gap, engagement_mm)) = slide else {
            sink.push(self.judge.unguided(index));
            return (None, sink);
        };
        let place = self.judge.places.closures.get(index);
        Asked::of_lid(self.model, closure, gap.least_at_mm, place).add_to(&mut gap, &mut sink);
        let fit = LidFit {
            closure: index,
            lid: closure.lid,
            host: closure.host,
            gap,
            engagement_mm,
            overlap_mm3: shared_mm3,
        };
        self.judge.lid(&fit, &mut sink);
        (Some(fit), sink)
    }

    fn ring(&self, seat: &Seat) -> (Option<RingFit>, Sink) {
        let mut sink = Sink::default();
        let part = &self.model.parts[seat.inlay.0];
        let found = self.mesh(seat.inlay).zip(self.mesh(seat.host)).and_then(|(mesh, host)| {
            let (inlay, placement) = part.body.as_inlay()?;
            ring::ring(&ring::Ring {
                part: seat.inlay,
                mesh,
                inlay,
                placement: &placement,
                host,
                enters: seat.enters,
                permitted: part.material.permitted,
                turn: &part.pose.turn(),
            })
        });
        match &found {
            Some(Ok(fit)) => self.judge.ring(fit, &mut sink),
            Some(Err(ring::NotOpened)) => sink.push(self.judge.not_opened(seat)),
            None => {}
        }
        (found.and_then(Result::ok), sink)
    }

    /// Parts that overlap and are in no seat or closure with each other.
    fn collisions(&self) -> Sink {
        let together = |a: PartId, b: PartId| {
            let pair = |x: PartId, y: PartId| (x, y) == (a, b) || (y, x) == (a, b);
            self.model.seats.iter().any(|s| pair(s.inlay, s.host))
                || self.model.closures.iter().any(|c| pair(c.lid, c.host))
                || self.model.fits.iter().any(|f| pair(f.inner, f.outer))
        };
        let assembled: Vec<PartId> = (0..self.model.parts.len())
            .filter(|k| self.model.parts[*k].assembled)
            .map(PartId)
            .collect();
        let pairs: Vec<[PartId; 2]> = assembled
            .iter()
            .enumerate()
            .flat_map(|(i, a)| assembled[i + 1..].iter().map(move |b| [*a, *b]))
            .filter(|[a, b]| !together(*a, *b))
            .collect();
        let found: Vec<Option<_>> = pairs
            .par_iter()
            .map(|[a, b]| {
                let [left, right] = self.both(*a, *b)?;
                self.judge.collision(*a, *b, overlap_mm3(&left, &right))
            })
            .collect();
        let mut sink = Sink::default();
        found.into_iter().flatten().for_each(|finding| sink.push(finding));
        sink
    }
}
