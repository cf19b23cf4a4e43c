//! Measured values, handed to the design's rules.

use super::record;
use crate::evaluate::{Measures, PartMeasure, SeatMeasure};
use crate::fit::Fits;
use crate::model::{Body, Model, PartId, SeatId};
use crate::realise::{self, Realised, Tolerance};
use std::sync::Arc;

/// Everything that was measured in this build.
pub(super) struct Measured<'a> {
    pub(super) model: &'a Model,
    pub(super) realised: &'a Realised,
    pub(super) fits: &'a Fits,
    pub(super) tolerance: &'a Tolerance,
}

impl Measures for Measured<'_> {
    fn part(&self, part: PartId, what: PartMeasure) -> Option<f64> {
        let finished = self.realised.parts.get(part.0)?.as_ref()?;
        let material = &self.model.parts.get(part.0)?.material;
        let fill = self.model.printer.fill;
        Some(match what {
            PartMeasure::Volume => finished.volume_mm3,
            PartMeasure::Mass => record::mass_and_filament(material, finished.volume_mm3, fill).0,
            PartMeasure::Width => finished.size_mm()[0],
            PartMeasure::Length => finished.size_mm()[1],
            PartMeasure::Height => finished.size_mm()[2],
            PartMeasure::Pieces => finished.pieces as f64,
            PartMeasure::SpringStrain => {
                let ring = self.fits.rings.iter().find(|ring| ring.part == part)?;
                ring.strain_percent / 100.0
            }
        })
    }

    fn seat(&self, seat: SeatId, what: SeatMeasure) -> Option<f64> {
        let fit = self.fits.seats.get(seat.0)?.as_ref()?;
        Some(match what {
            SeatMeasure::LeastGap => fit.gap.least_mm,
        })
    }

    fn closure(&self, closure: usize, what: SeatMeasure) -> Option<f64> {
        let fit = self.fits.lids.iter().flatten().find(|lid| lid.closure == closure)?;
        Some(match what {
            SeatMeasure::LeastGap => fit.gap.least_mm,
        })
    }

    fn fit(&self, fit: usize, what: SeatMeasure) -> Option<f64> {
        let found = self.fits.pairs.iter().find(|pair| pair.fit == fit)?;
        Some(match what {
            SeatMeasure::LeastGap => found.gap.least_mm,
        })
    }

    fn volume(&self, body: &Arc<Body>) -> Option<f64> {
        realise::volume_mm3(self.model, body, self.tolerance)
    }
}
