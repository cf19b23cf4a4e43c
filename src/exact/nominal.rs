//! Bodies of the model as exact bodies.

use super::prism::prism;
use super::turned::turned;
use super::{Declined, ExactBody};
use crate::model::{Body, Leaf};

/// The exact body of a body of the model, before any seat.
///
/// # Errors
/// The reason why it is not carried.
pub fn nominal(body: &Body) -> Result<ExactBody, Declined> {
    match body {
        Body::Empty => Ok(ExactBody::default()),
        Body::Leaf(leaf) => nominal_leaf(leaf),
        Body::Placed { body, placement } => Ok(nominal(body)?.placed(placement)),
        Body::Boolean { .. } | Body::Many(_) => Err(Declined::new("booleans are not carried yet")),
    }
}

fn nominal_leaf(leaf: &Leaf) -> Result<ExactBody, Declined> {
    match leaf {
        Leaf::Turned(it) => turned(&it.outline),
        Leaf::Prism(it) => prism(it),
        Leaf::Inlay(_) => Err(Declined::new("inlays are not carried yet")),
    }
}
