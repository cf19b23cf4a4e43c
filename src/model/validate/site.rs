//! An inlay with everything that a check of it looks at.

use super::wall::extent;
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::codes;
use crate::model::{
    Inlay, Model, Part, PartId, PatternError, Place, Placement, Places, Pose, Seat, SeatId,
    pocket_strips,
};
use crate::plane::Strips;
use crate::quantity::Quantity;
use crate::source::Span;

/// An inlay part, its seat and its host.
#[derive(Clone, Debug)]
pub struct Site<'a> {
    /// The design.
    pub model: &'a Model,
    /// Index of the inlay's part.
    pub part: usize,
    /// The pattern with depth.
    pub inlay: &'a Inlay,
    /// Where its host's leaf stands in the assembly.
    pub placement: Placement,
    /// Its seat.
    pub seat: Option<(SeatId, &'a Seat)>,
    /// What is drawn, nominal, without a slit; filled by [`Site::with_strips`].
    pub strips: Strips,
    places: &'a Places,
}

impl<'a> Site<'a> {
    /// The site of a part, where the part is an inlay.
    pub fn of(model: &'a Model, places: &'a Places, part: usize) -> Option<Self> {
        let (inlay, placement) = model.parts[part].body.as_inlay()?;
        let seats = model.seats.iter().enumerate();
        let seat = seats.map(|(i, s)| (SeatId(i), s)).find(|(_, s)| s.inlay == PartId(part));
        let strips = Strips { lines: Vec::new(), period: None, strips: Vec::new() };
        Some(Site { model, part, inlay, placement, seat, strips, places })
    }

    /// Cuts the strips; a pattern that cannot be cut is a finding.
    pub fn with_strips(mut self, sink: &mut Sink) -> Option<Self> {
        match pocket_strips(self.inlay, 0.0) {
            Ok(strips) => self.strips = strips,
            Err(reason) => {
                sink.push(self.refused(&reason));
                return None;
            }
        }
        if extent(&self.strips).is_none() {
            let message = format!("the motif of `{}` draws nothing", self.name());
            let finding = Diagnostic::at(codes::NOTHING_DRAWN, self.field("motif"), message);
            sink.push(finding.help("draw at least one mark: # is material, . is none"));
            return None;
        }
        Some(self)
    }

    /// A pattern that cannot be laid out on its surface.
    fn refused(&self, reason: &PatternError) -> Diagnostic {
        let mm = Quantity::mm;
        let name = self.name();
        match reason {
            PatternError::TooDeep { least_radius_mm } => {
                let radius = least_radius_mm + self.inlay.level_depth_mm(self.inlay.sink_mm);
                let message = format!(
                    "`{name}` is sunk by {}, the axis of `{}` is only {} below its face",
                    mm(self.inlay.sink_mm),
                    self.host_name(),
                    mm(radius)
                );
                Diagnostic::at(codes::THROUGH_WALL, self.field("sink"), message)
                    .help("say a smaller `sink`")
            }
            PatternError::CeilingAlongCone { angle_rad, least_rad } => {
                let message = format!(
                    "the face of `{}` leans by {} itself, a pocket in it cannot be eased to {}",
                    self.host_name(),
                    Quantity::rad(*least_rad),
                    Quantity::rad(*angle_rad)
                );
                Diagnostic::at(codes::FACE_TOO_STEEP, self.field("ease"), message)
                    .and_at(self.field("on"), "this face")
                    .help("say a larger `ease`, or leave it out")
            }
            PatternError::TooWide { width_mm, least_radius_mm } => {
                let message = format!(
                    "the slit of `{name}` is {} wide, its ring only {} across",
                    mm(*width_mm),
                    mm(2.0 * least_radius_mm)
                );
                Diagnostic::at(codes::SLIT_WIDE, self.field("slit"), message)
                    .help("say a smaller `slit`")
            }
            PatternError::UnevenChart => {
                let message = format!("the rows of the motif of `{name}` are not equally long");
                Diagnostic::at(codes::NOTHING_DRAWN, self.field("motif"), message)
                    .help("give every row the same number of marks")
            }
        }
    }

    /// The part's name.
    pub fn name(&self) -> &'a str {
        &self.model.parts[self.part].name
    }

    /// The part that has the pocket.
    pub fn host(&self) -> Option<&'a Part> {
        self.model.parts.get(self.seat?.1.host.0)
    }

    /// The host's name in a message.
    pub fn host_name(&self) -> &'a str {
        self.host().map_or("its host", |host| &host.name)
    }

    /// The place of a field of the inlay.
    pub fn field(&self, name: &str) -> Span {
        field_of(self.places.parts.get(self.part), name)
    }

    /// The place of a field of the seat, or of the inlay where there is no seat.
    pub fn seat_field(&self, name: &str) -> Span {
        let seat = self.seat.and_then(|(id, _)| self.places.seats.get(id.0));
        seat.map_or_else(|| self.field(name), |place| place.field(name))
    }

    /// The place of a field of the host, or of the inlay where there is no host.
    pub fn host_field(&self, name: &str) -> Span {
        let host = self.seat.and_then(|(_, seat)| self.places.parts.get(seat.host.0));
        host.map_or_else(|| self.field("on"), |place| place.field(name))
    }

    /// Whether its host is printed upside down.
    pub fn host_is_turned_over(&self) -> bool {
        self.host().is_some_and(|host| match &host.pose {
            Pose::UpsideDown => true,
            Pose::On { normal } => normal[2] > 0.999,
            _ => false,
        })
    }

    /// Level depth from the show face to the back, mm.
    pub fn depth_mm(&self) -> f64 {
        self.inlay.level_depth_mm(self.inlay.sink_mm + self.inlay.proud_mm)
    }

    /// Radius of the surface at a height, mm; 1 on flat faces, so that `u` times it is
    /// a length on both.
    pub fn radius_mm(&self, z: f64) -> f64 {
        self.inlay.radius_at(z).map_or(1.0, |radius| radius * self.inlay.stretch())
    }

    /// The least radius at which its flanks stand, mm; 1 on flat faces.
    pub fn least_radius_mm(&self) -> f64 {
        self.inlay.least_radius_mm().ok().flatten().unwrap_or(1.0)
    }
}

fn field_of(place: Option<&Place>, name: &str) -> Span {
    place.map_or_else(
        || Span { file: crate::source::FileId(0), start: 0, end: 0 },
        |place| place.field(name),
    )
}
