//! Prisms: an outline drawn up, its sides leaning, its upper and lower edges treated.
//!
//! The shape is a stack of sections: a path in (growth, z) says by how much the outline
//! has grown at which height, and every corner of the outline moves along its mitre.

mod footprint;
mod path;
mod sides;
#[cfg(test)]
mod tests;

use super::Declined;
use super::body::ExactBody;
use crate::model::Prism;
use footprint::Footprint;

/// The exact body of a prism.
///
/// # Errors
/// Where a treated edge does not fit, or would meet another in a curve that is neither
/// straight nor circular nor elliptic.
pub(super) fn prism(prism: &Prism) -> Result<ExactBody, Declined> {
    let path = path::path(prism)?;
    let grows = path.iter().any(|step| step.from.x != 0.0 || step.to.x != 0.0);
    let footprint = Footprint::new(&prism.outline, grows)?;
    let heights = path.iter().map(|step| step.from).chain(path.last().map(|step| step.to));
    for at in heights {
        footprint.check_growth(at.x)?;
    }
    Ok(sides::build(&footprint, &path))
}
