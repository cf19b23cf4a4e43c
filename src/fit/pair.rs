//! Two bodies that go together without a pocket: a drawer in its chest, a lug in its track,
//! a coin in its hole.

use super::Bench;
use super::judge::FLUSH_MM;
use super::lid::slide;
use super::limits::Asked;
use super::measured::PairFit;
use super::way::{WayFit, caught, travel};
use super::ways::thick;
use crate::diagnostics::Sink;
use crate::mesh::{Mesh, Obstacle, overlap_mm3};
use crate::model::{Fit, Placement, Vector};

impl Bench<'_> {
    /// The gap of a fit, and its way out where the text says one.
    pub fn pair(&self, index: usize) -> (Option<PairFit>, Option<WayFit>, Sink) {
        let mut sink = Sink::default();
        let fit = &self.model.fits[index];
        let Some([inner, outer]) = self.both(fit.inner, fit.outer) else {
            return (None, None, sink);
        };
        let found = self.pair_fit(index, fit, [&inner, &outer], &mut sink);
        let way =
            fit.along.and_then(|along| self.pair_way(fit, along, [&inner, &outer], &mut sink));
        if let Some(way) = &way {
            self.judge.pair_way(index, way, &mut sink);
        }
        (found, way, sink)
    }

    fn pair_fit(
        &self,
        index: usize,
        fit: &Fit,
        [inner, outer]: [&Obstacle; 2],
        sink: &mut Sink,
    ) -> Option<PairFit> {
        let overlap_mm3 = match overlap_mm3(inner, outer) {
            Ok(volume) => volume,
            Err(fault) => {
                sink.push(self.judge.not_compared(fit.inner, fit.outer, &fault));
                return None;
            }
        };
        let Some((mut gap, engagement_mm)) =
            slide(inner.mesh(), outer.mesh(), fit.gap_mm, fit.along)
        else {
            sink.push(self.judge.far_apart(index));
            return None;
        };
        let place = self.judge.places.fits.get(index);
        let basic_mm = across(inner.mesh(), fit.along);
        Asked::of_fit(self.model, fit, basic_mm, place).add_to(&mut gap, sink);
        let engagement_mm = fit.along.map(|_| engagement_mm);
        let found = PairFit {
            fit: index,
            inner: fit.inner,
            outer: fit.outer,
            gap,
            engagement_mm,
            overlap_mm3,
        };
        self.judge.pair(&found, sink);
        Some(found)
    }

    fn pair_way(
        &self,
        fit: &Fit,
        along: Vector,
        [inner, outer]: [&Obstacle; 2],
        sink: &mut Sink,
    ) -> Option<WayFit> {
        let travel_mm = travel(inner.mesh(), outer.mesh(), along);
        match caught(inner, outer, along, travel_mm, &Placement::IDENTITY, thick) {
            Ok(found) => Some(WayFit {
                part: fit.inner,
                host: fit.outer,
                along: Some(along),
                travel_mm,
                turn: None,
                caught: found.filter(|c| c.thick_mm > FLUSH_MM),
                snap: None,
            }),
            Err(fault) => {
                sink.push(self.judge.not_compared(fit.inner, fit.outer, &fault));
                None
            }
        }
    }
}

/// The size for which tolerances are read, mm: the largest extent across the way, which
/// scatters most.
fn across(mesh: &Mesh, along: Option<Vector>) -> f64 {
    let size = mesh.bounds().size();
    let counts = |axis: &usize| along.is_none_or(|a| a[*axis] == 0.0);
    (0..3).filter(counts).map(|axis| size[axis]).fold(0.0, f64::max)
}
