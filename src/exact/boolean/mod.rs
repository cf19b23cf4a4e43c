//! Booleans in space.

use super::{Declined, ExactBody};

/// What is in `body` and not in `tool`.
pub(super) fn less(body: ExactBody, tool: ExactBody) -> Result<ExactBody, Declined> {
    let _ = (body, tool);
    Err(Declined::new("booleans in space are not carried yet"))
}

/// What is in both.
pub(super) fn meet(a: ExactBody, b: ExactBody) -> Result<ExactBody, Declined> {
    let _ = (a, b);
    Err(Declined::new("booleans in space are not carried yet"))
}

/// What is in any of several bodies.
pub(super) fn join(bodies: Vec<ExactBody>) -> Result<ExactBody, Declined> {
    let _ = bodies;
    Err(Declined::new("booleans in space are not carried yet"))
}
