//! The region inside runs that may cross themselves and each other.

use super::arrange::{Input, arrange};
use super::error::PlaneError;
use super::outline::{Outline, Track};
use super::stretch::Stretch;

/// What lies inside, by how often the runs go round it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Filling {
    /// What they go round at all, turns against each other taken off.
    NonZero,
    /// What they go round an odd number of times.
    EvenOdd,
}

/// The region inside closed tracks; open ones must not be among them.
///
/// # Errors
/// As [`super::combine`].
pub fn filled(tracks: &[Track], rule: Filling) -> Result<Outline, PlaneError> {
    let mut inputs = Vec::new();
    for (from, segment) in tracks.iter().flat_map(Track::iter) {
        let stretch = Stretch { from, to: segment.to, curve: segment.curve };
        inputs.push(Input { stretch, face: None, group: 1 });
    }
    arrange(&inputs, |[_, turns]| match rule {
        Filling::NonZero => turns != 0,
        Filling::EvenOdd => turns % 2 != 0,
    })
}
