//! How an assembly comes apart: each ring off the end over which it is put on, lids
//! upwards, loose pieces outwards, what slides the way it moves, so that a picture shows how
//! it is put together.

use super::scene::{Apart, SceneBody};
use crate::model::{Body, Enters, Leaf, Model, PartId, Surface, Vector};
use crate::realise::Realised;

/// Free space between bodies that are apart, as a share of the tallest body.
const FREE: f64 = 0.22;

/// How far loose pieces go outwards, as a share of the tallest body.
const OUT: f64 = 0.28;

/// All parts of the assembly that could be made, in the order of the model, and how
/// they come apart.
pub(super) fn assembly<'a>(model: &'a Model, realised: &'a Realised) -> Vec<SceneBody<'a>> {
    let ways = Ways::of(model, realised);
    let parts = model.parts.iter().zip(&realised.parts).zip(ways.apart);
    parts
        .filter(|((part, _), _)| part.assembled)
        .filter_map(|((part, finished), apart)| {
            let mesh = &*finished.as_ref()?.mesh;
            Some(SceneBody { name: &part.name, colour: part.material.colour, mesh, apart })
        })
        .collect()
}

struct Ways<'a> {
    model: &'a Model,
    /// Lowest and highest z of each part, mm.
    spans: Vec<[f64; 2]>,
    free_mm: f64,
    out_mm: f64,
    apart: Vec<Apart>,
}

impl<'a> Ways<'a> {
    fn of(model: &'a Model, realised: &Realised) -> Self {
        let spans: Vec<[f64; 2]> = realised
            .parts
            .iter()
            .map(|f| f.as_ref().map_or([0.0; 2], |f| [f.box_mm[0][2], f.box_mm[1][2]]))
            .collect();
        let tallest = spans.iter().map(|s| s[1] - s[0]).fold(0.0, f64::max);
        let apart = vec![Apart::STAYS; model.parts.len()];
        let mut ways = Ways { model, spans, free_mm: tallest * FREE, out_mm: tallest * OUT, apart };
        for base in 0..model.parts.len() {
            let sits = model.seats.iter().any(|s| s.inlay == PartId(base));
            let closes = model.closures.iter().any(|c| c.lid == PartId(base));
            if !sits && !closes {
                ways.take_apart(PartId(base));
            }
        }
        for fit in &model.fits {
            let Some(along) = fit.along else { continue };
            let Some([inner, outer]) = boxes(realised, [fit.inner, fit.outer]) else { continue };
            let reach = |point: Vector| (0..3).map(|c| point[c] * along[c]).sum::<f64>();
            let far = reach(outer[0]).max(reach(outer[1])) - reach(inner[0]).min(reach(inner[1]));
            let by_mm = far.max(0.0) + ways.free_mm;
            ways.carry(fit.inner, along.map(|c| c * by_mm), 0);
        }
        ways
    }

    /// Moves a part with all that sits in it, closes it, or slides in it.
    fn carry(&mut self, part: PartId, by: Vector, depth: usize) {
        if depth > self.model.parts.len() {
            return;
        }
        let add = |shift: Vector| [0, 1, 2].map(|c| shift[c] + by[c]);
        self.apart[part.0] = match self.apart[part.0] {
            Apart::Along(shift) => Apart::Along(add(shift)),
            Apart::Outwards { shift, by_mm } => Apart::Outwards { shift: add(shift), by_mm },
        };
        let model = self.model;
        let seats = model.seats.iter().filter(|s| s.host == part).map(|s| s.inlay);
        let lids = model.closures.iter().filter(|c| c.host == part).map(|c| c.lid);
        let fits = model.fits.iter().filter(|f| f.outer == part).map(|f| f.inner);
        for other in seats.chain(lids).chain(fits) {
            self.carry(other, by, depth + 1);
        }
    }

    /// Everything that sits in or on `base`, set out along z above and below it.
    fn take_apart(&mut self, base: PartId) {
        let mut stack = Vec::new();
        self.stack(base, &mut stack, 0);
        let Some(middle) = stack.iter().position(|p| *p == base) else { return };
        let mut top = self.spans[base.0][1];
        for part in &stack[middle + 1..] {
            let [low, high] = self.spans[part.0];
            let by = (top + self.free_mm - low).max(0.0);
            self.apart[part.0] = Apart::Along([0.0, 0.0, by]);
            top = high + by;
        }
        let mut bottom = self.spans[base.0][0];
        for part in stack[..middle].iter().rev() {
            let [low, high] = self.spans[part.0];
            let by = (bottom - self.free_mm - high).min(0.0);
            self.apart[part.0] = Apart::Along([0.0, 0.0, by]);
            bottom = low + by;
        }
        for part in stack {
            self.push_out(part);
        }
    }

    /// From below upwards: rings put on from below, the part, rings, lids.
    fn stack(&self, part: PartId, stack: &mut Vec<PartId>, depth: usize) {
        // A chain longer than there are parts would be a ring of closures.
        if depth > self.model.parts.len() || stack.contains(&part) {
            return;
        }
        let rings = |end: Enters| {
            let seats = self.model.seats.iter();
            seats.filter(move |s| s.host == part && s.enters == end).map(|s| s.inlay)
        };
        stack.extend(rings(Enters::Bottom));
        stack.push(part);
        stack.extend(rings(Enters::Top));
        for closure in self.model.closures.iter().filter(|c| c.host == part) {
            self.stack(closure.lid, stack, depth + 1);
        }
    }

    /// What is laid into faces of `host` goes with it, then square to the face.
    fn push_out(&mut self, host: PartId) {
        let Apart::Along(shift) = self.apart[host.0] else { return };
        let model = self.model;
        let laid = model.seats.iter().filter(|s| s.host == host && s.enters == Enters::Surface);
        for seat in laid {
            let Some(part) = model.parts.get(seat.inlay.0) else { continue };
            self.apart[seat.inlay.0] = match flat_normal(&part.body) {
                Some(n) => Apart::Along([0, 1, 2].map(|i| shift[i] + n[i] * self.out_mm)),
                None => Apart::Outwards { shift, by_mm: self.out_mm },
            };
        }
    }
}

/// Lowest and highest corners of two finished parts, mm.
fn boxes(realised: &Realised, parts: [PartId; 2]) -> Option<[[Vector; 2]; 2]> {
    let of = |part: PartId| Some(realised.parts.get(part.0)?.as_ref()?.box_mm);
    Some([of(parts[0])?, of(parts[1])?])
}

/// The normal of the flat face on which an inlay lies, in assembly axes; none for
/// other bodies.
fn flat_normal(body: &Body) -> Option<Vector> {
    match body {
        Body::Placed { body, placement } => flat_normal(body).map(|n| placement.direction(n)),
        Body::Leaf(Leaf::Inlay(inlay)) => match &inlay.surface {
            Surface::Flat { normal, .. } => Some(*normal),
            Surface::Round { .. } | Surface::Belly { .. } => None,
        },
        _ => None,
    }
}
