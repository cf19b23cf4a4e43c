//! An inlay with everything that a check of it looks at.

use super::wall::extent;
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::codes;
use crate::model::pattern::nominal_strips;
use crate::model::{
    Body, Inlay, Leaf, Model, Part, PartId, Place, Placement, Places, Pose, Seat, SeatId, Surface,
};
use crate::plane::Strips;
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
    /// What is drawn, nominal; filled by [`Site::with_strips`].
    pub strips: Strips,
    places: &'a Places,
}

impl<'a> Site<'a> {
    /// The site of a part, where the part is an inlay.
    pub fn of(model: &'a Model, places: &'a Places, part: usize) -> Option<Self> {
        let (inlay, placement) = inlay_of(&model.parts[part].body)?;
        let seats = model.seats.iter().enumerate();
        let seat = seats.map(|(i, s)| (SeatId(i), s)).find(|(_, s)| s.inlay == PartId(part));
        let strips = Strips { lines: Vec::new(), period: None, strips: Vec::new() };
        Some(Site { model, part, inlay, placement, seat, strips, places })
    }

    /// Cuts the strips; a pattern that cannot be cut is a finding.
    pub fn with_strips(mut self, sink: &mut Sink) -> Option<Self> {
        match nominal_strips(self.inlay) {
            Ok(strips) => self.strips = strips,
            Err(reason) => {
                let message = format!("the motif of `{}` cannot be made: {reason}", self.name());
                sink.push(Diagnostic::at(codes::BAD_PATTERN, self.field("motif"), message));
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
        match &self.inlay.surface {
            Surface::Round { radius_mm, slope, .. } => radius_mm + slope * z,
            Surface::Flat { .. } => 1.0,
        }
    }

    /// The least radius at which the inlay has material, mm; 1 on flat faces.
    pub fn least_radius_mm(&self) -> f64 {
        let Surface::Round { outward, .. } = &self.inlay.surface else { return 1.0 };
        let [low, high] = self.inlay.reach_mm();
        let surface = self.radius_mm(low).min(self.radius_mm(high));
        if *outward { surface - self.inlay.level_depth_mm(self.inlay.sink_mm) } else { surface }
    }
}

impl Inlay {
    /// Lowest and highest z of a band, mm.
    pub fn reach_mm(&self) -> [f64; 2] {
        [self.level_mm - self.height_mm / 2.0, self.level_mm + self.height_mm / 2.0]
    }
}

fn field_of(place: Option<&Place>, name: &str) -> Span {
    place.map_or_else(
        || Span { file: crate::source::FileId(0), start: 0, end: 0 },
        |place| place.field(name),
    )
}

/// The inlay that a body is, and where its leaf stands.
pub fn inlay_of(body: &Body) -> Option<(&Inlay, Placement)> {
    let (mut body, mut placement) = (body, Placement::IDENTITY);
    loop {
        match body {
            Body::Leaf(Leaf::Inlay(inlay)) => return Some((inlay, placement)),
            Body::Placed { body: inner, placement: outer } => {
                // The outermost placement acts last.
                placement = outer.then(&placement);
                body = inner;
            }
            _ => return None,
        }
    }
}
