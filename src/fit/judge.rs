//! Whether what was measured keeps what the text promises.

use super::codes;
use super::measured::{LidFit, PairFit, RingFit, SeatFit};
use super::way::WayFit;
use crate::diagnostics::{Code, Diagnostic, Sink};
use crate::mesh::MeshFault;
use crate::model::{Model, PartId, Place, Places, Seat, SeatId};
use crate::quantity::{Quantity, decimals};

/// Distances are told to this much, mm: a gap that falls short by less is kept.
pub const TOLD_MM: f64 = 1e-3;

/// Common volumes below this are rounding of faces that touch, mm3.
pub const SHARED_MM3: f64 = 1e-3;

/// A ceiling may be steeper by this much, deg: what facets of sloped ceilings add.
pub const STEEPER_DEG: f64 = 0.05;

/// A show face may stand off its host's by this much, mm: the coarsest chord.
pub const FLUSH_MM: f64 = 5e-3;

/// Says what is wrong with a fit, at its place in the text.
pub struct Judge<'a> {
    /// The design.
    pub model: &'a Model,
    /// Its places.
    pub places: &'a Places,
}

impl Judge<'_> {
    fn name(&self, part: PartId) -> &str {
        self.model.parts.get(part.0).map_or("", |p| &p.name)
    }

    fn finding(
        &self,
        code: Code,
        place: Option<&Place>,
        field: &str,
        message: String,
    ) -> Diagnostic {
        match place {
            Some(place) => Diagnostic::at(code, place.field(field), message),
            None => Diagnostic::nowhere(code, message),
        }
    }

    fn at_seat(&self, seat: SeatId, code: Code, field: &str, message: String) -> Diagnostic {
        self.finding(code, self.places.seats.get(seat.0), field, message)
    }

    fn at_part(&self, part: PartId, code: Code, field: &str, message: String) -> Diagnostic {
        self.finding(code, self.places.parts.get(part.0), field, message)
    }

    /// A seat that is not as asked.
    pub fn seat(&self, fit: &SeatFit, sink: &mut Sink) {
        let (inlay, host) = (self.name(fit.inlay), self.name(fit.host));
        let report = "change a measure of it a little, and please report the design";
        if fit.gap.least_mm < fit.gap.asked_mm - TOLD_MM {
            let message = format!(
                "between `{inlay}` and `{host}` the gap is only {} at its least, {} was asked",
                Quantity::mm(fit.gap.least_mm),
                Quantity::mm(fit.gap.asked_mm)
            );
            sink.push(self.at_seat(fit.seat, codes::GAP_MISSED, "gap", message).help(report));
        }
        if fit.overlap_mm3 > SHARED_MM3 {
            let message = format!(
                "`{inlay}` and `{host}` share {} mm3 of space",
                decimals(fit.overlap_mm3, 4)
            );
            sink.push(self.at_seat(fit.seat, codes::SEAT_OVERLAPS, "gap", message).help(report));
        }
        if let Some(ceiling) = fit.ceiling
            && ceiling.steepest_deg > ceiling.asked_deg + STEEPER_DEG
        {
            let message = format!(
                "the pocket of `{inlay}` has a ceiling of {}, {} was asked",
                Quantity::deg(ceiling.steepest_deg),
                Quantity::deg(ceiling.asked_deg)
            );
            let finding = self.at_part(fit.inlay, codes::CEILING_MISSED, "ease", message);
            sink.push(finding.help(report));
        }
        let proud = self.model.parts[fit.inlay.0].body.as_inlay().map_or(0.0, |(i, _)| i.proud_mm);
        let off = fit.face_step_mm.map(|step| step - proud);
        if let Some(step) = off.into_iter().find(|step| step.abs() > FLUSH_MM) {
            let message = format!(
                "the face of `{inlay}` stands {} off the surface of `{host}`, {} was asked",
                Quantity::mm(step + proud),
                Quantity::mm(proud)
            );
            let finding = self.at_part(fit.inlay, codes::FACE_NOT_FLUSH, "proud", message);
            sink.push(finding.help(report));
        }
    }

    /// A lid that is not as asked.
    pub fn lid(&self, fit: &LidFit, sink: &mut Sink) {
        let (lid, host) = (self.name(fit.lid), self.name(fit.host));
        if fit.overlap_mm3 > SHARED_MM3 {
            let message = format!(
                "`{lid}` and `{host}` share {} mm3 of space when closed",
                decimals(fit.overlap_mm3, 3)
            );
            let finding = self.at_part(fit.lid, codes::PARTS_OVERLAP, "closes", message);
            sink.push(finding.help("change the lid so that it passes into or over the mouth"));
        } else if fit.gap.least_mm < fit.gap.asked_mm - TOLD_MM {
            let message = format!(
                "`{lid}` has {} play in `{host}` at its tightest, {} was asked",
                Quantity::mm(fit.gap.least_mm),
                Quantity::mm(fit.gap.asked_mm)
            );
            let finding = self.at_part(fit.lid, codes::LID_TIGHT, "gap", message);
            sink.push(finding.help("make what enters smaller, or what it enters wider"));
        }
    }

    /// A ring that may break, or may after some times.
    pub fn ring(&self, fit: &RingFit, sink: &mut Sink) {
        let (Some(once), Some(often)) = (fit.permitted_percent, fit.repeated_percent()) else {
            return;
        };
        // Over flat sides a ring that is let go may bend more in one place.
        let riding = fit.riding_percent.zip(fit.riding_opening_mm);
        let riding = riding.filter(|(strain, _)| *strain > fit.strain_percent);
        let strain = riding.map_or(fit.strain_percent, |(strain, _)| strain);
        if strain <= often {
            return;
        }
        let (name, material) = (self.name(fit.part), &self.model.parts[fit.part.0].material.name);
        let opened = match riding {
            None => format!(
                "opening `{name}` by {} to put it on strains it by {} %",
                Quantity::mm(fit.opening_mm),
                decimals(strain, 2),
            ),
            Some((_, opening)) => format!(
                "on the way to its pocket `{name}` is open by {} and strained by {} %",
                Quantity::mm(opening),
                decimals(strain, 2),
            ),
        };
        let finding = if strain > once {
            let message = format!("{opened}, `{material}` stands {} %", decimals(once, 2));
            self.at_part(fit.part, codes::RING_STRAINED, "sink", message)
                .help("say a smaller `sink`, or a material that bends further")
        } else {
            let (once, often) = (decimals(once, 2), decimals(often, 2));
            let message =
                format!("{opened}; `{material}` stands {once} % once, {often} % again and again");
            self.at_part(fit.part, codes::RING_ONCE, "sink", message)
                .help("put it on once and leave it there, or say a smaller `sink`")
        };
        sink.push(finding);
    }

    /// A ring over flat sides whose way over its host is not known.
    pub fn not_opened(&self, seat: &Seat) -> Diagnostic {
        let message = format!(
            "no pull across its slit was found that brings `{}` over the flat sides of `{}`: its strain is not told",
            self.name(seat.inlay),
            self.name(seat.host)
        );
        self.at_part(seat.inlay, codes::RING_NOT_OPENED, "slit", message)
            .help("say a smaller `sink`, or give the host more sides")
    }

    /// A lid, or loose pieces, that something holds back; for a snap that is what it is for.
    pub fn way(&self, fit: &WayFit, sink: &mut Sink) {
        let Some(caught) = &fit.caught else { return };
        let (name, host) = (self.name(fit.part), self.name(fit.host));
        let [x, y, z] = caught.at_mm;
        let place = format!(
            "at a height of {}, {} round from the x axis",
            Quantity::mm(z),
            Quantity::deg(y.atan2(x).to_degrees().rem_euclid(360.0))
        );
        if fit.along.is_none() {
            let message = format!(
                "a piece of `{name}` does not go straight into `{host}`: {place} it would pass through {} mm of it",
                decimals(caught.thick_mm, 2)
            );
            let finding = self.at_part(fit.part, codes::PIECE_CAUGHT, "", message);
            sink.push(finding.help("rock or spring it in if it bends that far; else make it narrower, or the gap of its seat larger"));
            return;
        }
        let Some(snap) = &fit.snap else {
            let message = format!(
                "`{name}` does not come off `{host}`: {place} it is caught by {}, not all round",
                Quantity::mm(caught.deep_mm)
            );
            let finding = self.at_part(fit.part, codes::LID_CAUGHT, "closes", message);
            sink.push(
                finding.help("leave a way out along the axis, on a thread or through a track, or a bead all round to snap over"),
            );
            return;
        };
        let Some(permitted) = snap.permitted_percent else { return };
        if snap.strain_percent > permitted {
            let message = format!(
                "`{name}` must stretch by {} % to come off `{host}` {place}, `{}` stands {} %",
                decimals(snap.strain_percent, 2),
                self.model.parts[fit.part.0].material.name,
                decimals(permitted, 2)
            );
            let finding = self.at_part(fit.part, codes::SNAP_STRAINED, "closes", message);
            sink.push(
                finding.help("make the bead lower, or take a material that stretches further"),
            );
        }
    }

    /// Two bodies that are not as far apart as asked.
    pub fn pair(&self, fit: &PairFit, sink: &mut Sink) {
        let (inner, outer) = (self.name(fit.inner), self.name(fit.outer));
        let place = self.places.fits.get(fit.fit);
        if fit.overlap_mm3 > SHARED_MM3 {
            let message = format!(
                "`{inner}` and `{outer}` share {} mm3 of space",
                decimals(fit.overlap_mm3, 3)
            );
            let finding = self.finding(codes::PARTS_OVERLAP, place, "gap", message);
            sink.push(finding.help("make what moves smaller, or what it goes into wider"));
        } else if fit.gap.least_mm < fit.gap.asked_mm - TOLD_MM {
            let [x, y, z] = fit.gap.least_at_mm.map(|c| decimals(c, 1));
            let message = format!(
                "`{inner}` has {} to `{outer}` at ({x}, {y}, {z}) mm, {} was asked",
                Quantity::mm(fit.gap.least_mm),
                Quantity::mm(fit.gap.asked_mm)
            );
            let finding = self.finding(codes::FIT_TIGHT, place, "gap", message);
            let help = "draw it farther off, or say moves: along y, so that what it rests against at its end does not count";
            sink.push(finding.help(help));
        }
    }

    /// What moves in a fit and does not come out.
    pub fn pair_way(&self, fit: usize, way: &WayFit, sink: &mut Sink) {
        let Some(caught) = &way.caught else { return };
        let [x, y, z] = caught.at_mm.map(|c| decimals(c, 1));
        let message = format!(
            "`{}` does not come out of `{}`: after {} it is caught at ({x}, {y}, {z}) mm by {} mm",
            self.name(way.part),
            self.name(way.host),
            Quantity::mm(caught.after_mm),
            decimals(caught.thick_mm, 2)
        );
        let finding = self.finding(codes::FIT_CAUGHT, self.places.fits.get(fit), "moves", message);
        sink.push(finding.help("leave its way free, or let it move the other way, as in along -y"));
    }

    /// Two bodies of a fit that are nowhere near each other.
    pub fn far_apart(&self, fit: usize) -> Diagnostic {
        let pair = &self.model.fits[fit];
        let message = format!(
            "no side of `{}` faces a side of `{}` nearby",
            self.name(pair.inner),
            self.name(pair.outer)
        );
        self.finding(codes::FIT_APART, self.places.fits.get(fit), "", message)
            .help("place one in the other, as in form: slab at (0 mm, 0 mm, 20 mm)")
    }

    /// Two parts that are in no seat or closure with each other.
    pub fn collision(
        &self,
        a: PartId,
        b: PartId,
        shared: Result<f64, MeshFault>,
    ) -> Option<Diagnostic> {
        let volume = match shared {
            Ok(volume) => volume,
            Err(fault) => return Some(self.not_compared(a, b, &fault)),
        };
        if volume <= SHARED_MM3 {
            return None;
        }
        let message = format!(
            "`{}` and `{}` share {} mm3 of space and are in no seat with each other",
            self.name(b),
            self.name(a),
            decimals(volume, 3)
        );
        let finding = self.at_part(b, codes::PARTS_OVERLAP, "", message);
        let finding = match self.places.parts.get(a.0) {
            Some(place) => finding.and_at(place.name, "the other part"),
            None => finding,
        };
        Some(finding.help("move one of them, or say assembled: no in one that is shown elsewhere"))
    }

    /// Two bodies that the boolean engine does not take.
    pub fn not_compared(&self, a: PartId, b: PartId, fault: &MeshFault) -> Diagnostic {
        let message =
            format!("`{}` and `{}` could not be compared: {fault}", self.name(a), self.name(b));
        self.at_part(a, codes::NOT_MEASURED, "", message)
            .help("change a measure of one of them a little")
    }

    /// A seat without facing flanks.
    pub fn nothing_faces(&self, seat: SeatId) -> Diagnostic {
        let pair = &self.model.seats[seat.0];
        let message = format!(
            "no side of `{}` faces a side of its pocket in `{}`",
            self.name(pair.inlay),
            self.name(pair.host)
        );
        self.at_seat(seat, codes::NOTHING_FACES, "", message)
            .help("move the inlay to where it reaches into its host")
    }

    /// A lid that slides on nothing.
    pub fn unguided(&self, closure: usize) -> Diagnostic {
        let pair = &self.model.closures[closure];
        let message = format!(
            "nothing guides `{}` on `{}`: no upright faces come near each other",
            self.name(pair.lid),
            self.name(pair.host)
        );
        self.at_part(pair.lid, codes::LID_UNGUIDED, "skirt", message)
            .help("give the lid a longer skirt, or a smaller gap")
    }
}
