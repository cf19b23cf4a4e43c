//! A pattern brought into the axes of the profile that carries it.

use super::super::nominal::along_axis;
use super::POCKET;
use super::wall::Opening;
use crate::layers::{Motion, moved};
use crate::model::{Eased, Inlay, Placement, Surface};
use crate::plane::Strips;

/// A round pattern in other axes with the same z line.
#[derive(Clone)]
pub(in crate::exact) struct Carried {
    inlay: Inlay,
    strips: Strips,
}

impl Carried {
    /// Takes up a pattern of the same form beside it; says whether it could.
    pub(in crate::exact) fn take(&mut self, other: &Carried) -> bool {
        let same = self.inlay.surface == other.inlay.surface
            && self.inlay.eased == other.inlay.eased
            && self.inlay.sink_mm == other.inlay.sink_mm;
        let both = if same { self.strips.beside(&other.strips) } else { None };
        match both {
            Some(strips) => {
                self.strips = strips;
                true
            }
            None => false,
        }
    }

    /// As a pocket, so much deeper (mm) than the inlay.
    pub(in crate::exact) fn opening(&self, gap_behind_mm: f64) -> Opening<'_> {
        Opening { inlay: &self.inlay, strips: &self.strips, gap_behind_mm, ends: POCKET }
    }

    /// As a relief.
    pub(in crate::exact) fn relief(&self) -> Opening<'_> {
        Opening { ends: None, ..self.opening(0.0) }
    }
}

/// The pattern after `placement`, if that keeps the z line; none for flat patterns.
pub(in crate::exact) fn carried(
    inlay: &Inlay,
    strips: &Strips,
    placement: &Placement,
) -> Option<Carried> {
    let Surface::Round { host, radius_mm, slope, outward, span_mm, sides } = &inlay.surface else {
        return None;
    };
    let (rise, over) = along_axis(placement)?;
    if sides.is_some_and(|sides| !sides.keep(placement)) {
        return None;
    }
    let sign = if over { -1.0 } else { 1.0 };
    let [x, y] = [placement.matrix[0], placement.matrix[1]].map(|row| [row[0], row[1]]);
    // Where the direction of angle 0 goes, and whether angles then run the other way.
    let motion = Motion {
        mirror_u: x[0] * y[1] - x[1] * y[0] < 0.0,
        mirror_z: over,
        turn: y[0].atan2(x[0]),
        rise_mm: rise,
    };
    let height = |z: f64| sign * z + rise;
    let mut span_mm = span_mm.map(height);
    span_mm.sort_by(f64::total_cmp);
    let surface = Surface::Round {
        host: host.clone(),
        // r = R + s z with z = sign (z' - rise)
        radius_mm: radius_mm - slope * sign * rise,
        slope: slope * sign,
        outward: *outward,
        span_mm,
        sides: *sides,
    };
    let eased = inlay.eased.map(|e| Eased { lower: e.lower != over, ..e });
    let strips =
        if *placement == Placement::IDENTITY { strips.clone() } else { moved(strips, &motion) };
    Some(Carried { inlay: Inlay { surface, eased, ..inlay.clone() }, strips })
}
