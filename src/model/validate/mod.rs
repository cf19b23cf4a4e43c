//! What can be told to be wrong before any geometry is made.
//!
//! In: a model and the places of its declarations. Out: findings, each with both
//! values. After no errors here the engines may still decline, but never panic.

mod band;
mod chart;
mod gap;
mod meet;
mod probe;
mod site;
mod size;
#[cfg(test)]
mod tests;
mod thin;
mod wall;

use super::design::{Model, SeatId};
use super::place::Places;
use crate::diagnostics::Sink;
use site::Site;
pub use wall::has_place;

/// Checks a model. Stages do not stop at the first finding, but what cannot be measured
/// because of one is left out.
pub fn validate(model: &Model, places: &Places) -> Sink {
    let mut sink = Sink::default();
    size::check(model, places, &mut sink);
    if sink.has_errors() {
        return sink;
    }
    let mut sites: Vec<Site> = Vec::new();
    for site in (0..model.parts.len()).filter_map(|part| Site::of(model, places, part)) {
        if band::measures(&site, &mut sink) {
            sites.extend(site.with_strips(&mut sink));
        }
    }
    for site in &sites {
        band::on_face(site, &mut sink);
        band::pattern(site, &mut sink);
        band::slit(site, &mut sink);
        thin::vanishing(site, &mut sink);
        thin::ceilings(site, &mut sink);
        gap::swallowed(site, &mut sink);
        band::walls(site, &mut sink);
    }
    for (index, a) in sites.iter().enumerate() {
        for b in &sites[index + 1..] {
            meet::check(a, b, &mut sink);
        }
    }
    sink
}

/// Whether one of two seats says that their pockets may meet.
fn may_meet(model: &Model, a: SeatId, b: SeatId) -> bool {
    let says = |x: SeatId, y: SeatId| model.seats.get(x.0).is_some_and(|s| s.meets.contains(&y));
    says(a, b) || says(b, a)
}
