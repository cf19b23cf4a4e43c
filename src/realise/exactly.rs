//! A finished part as an exact body.

use crate::exact::{self, Declined, ExactBody};
use crate::model::{
    Body, Leaf, Model, Operation, PartId, Prism, Seat, inset_strips, pocket_strips,
};
use crate::plane::{Corners, Strips, grown};
use std::sync::Arc;

/// The exact body of a part: gaps taken, pockets cut.
///
/// # Errors
/// The reason why there is none.
pub fn finished(model: &Model, part: usize) -> Result<ExactBody, Declined> {
    let body = &model.parts[part].body;
    let seated = model.seats.iter().find(|s| s.inlay == PartId(part));
    let solid = match (seated, body.as_inlay()) {
        (Some(seat), Some((inlay, placement))) => {
            let strips = strips_of(inset_strips(inlay, seat.shares_mm()[0]))?;
            exact::inlay(inlay, &strips)?.placed(&placement)
        }
        (Some(seat), None) => exact::nominal(&*moved(body, -seat.shares_mm()[0])?)?,
        (None, _) => pocketed(model, part)?,
    };
    match solid.check() {
        Ok(()) => Ok(solid),
        Err(fault) => Err(declined(format!("its exact body is not sound ({fault:?})"))),
    }
}

/// A host without its pockets, and one pocket after the other.
fn pocketed(model: &Model, part: usize) -> Result<ExactBody, Declined> {
    let mut body = model.parts[part].body.clone();
    let mut cut = Vec::new();
    for seat in model.seats.iter().filter(|s| s.host == PartId(part)) {
        let inlay_body = &model.parts[seat.inlay.0].body;
        match inlay_body.as_inlay() {
            Some((inlay, placement)) => {
                let strips = strips_of(pocket_strips(inlay, seat.shares_mm()[1]))?;
                cut.push((inlay, placement, strips, seat.gap_behind_mm));
            }
            None => body = less(body, inlay_body, seat)?,
        }
    }
    let pockets: Vec<exact::Pocket> = cut
        .iter()
        .map(|(inlay, placement, strips, gap_behind_mm)| exact::Pocket {
            inlay,
            placement,
            strips,
            gap_behind_mm: *gap_behind_mm,
        })
        .collect();
    exact::pocketed(&body, &pockets)
}

fn less(host: Arc<Body>, inlay: &Body, seat: &Seat) -> Result<Arc<Body>, Declined> {
    if seat.gap_behind_mm > 0.0 {
        return Err(declined("a gap behind a prism is cut by the mesh only"));
    }
    let tool = moved(inlay, seat.shares_mm()[1])?;
    Ok(Arc::new(Body::Boolean { operation: Operation::Less, left: host, right: tool }))
}

/// A prism, or several, with all sides moved out by `by_mm`.
fn moved(body: &Body, by_mm: f64) -> Result<Arc<Body>, Declined> {
    let moved = match body {
        Body::Leaf(Leaf::Prism(prism)) => {
            let outline = grown(&prism.outline, by_mm, Corners::Mitre)
                .map_err(|error| declined(format!("its sides cannot be moved: {error}")))?;
            Body::Leaf(Leaf::Prism(Arc::new(Prism { outline, ..(**prism).clone() })))
        }
        Body::Placed { body, placement } => {
            Body::Placed { body: moved(body, by_mm)?, placement: *placement }
        }
        Body::Many(bodies) => {
            let all: Result<_, _> = bodies.iter().map(|b| moved(b, by_mm)).collect();
            Body::Many(all?)
        }
        Body::Empty => Body::Empty,
        Body::Leaf(_) | Body::Boolean { .. } => {
            return Err(declined("only inlays and prisms can be moved by a gap"));
        }
    };
    Ok(Arc::new(moved))
}

fn strips_of(strips: Result<Strips, crate::model::PatternError>) -> Result<Strips, Declined> {
    strips.map_err(|error| declined(format!("its pattern cannot be laid out ({error:?})")))
}

fn declined(reason: impl Into<String>) -> Declined {
    Declined { reason: reason.into() }
}
