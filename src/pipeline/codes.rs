//! Every code that any stage can raise.

use crate::diagnostics::{self, Code};
use crate::output;

/// All codes, sorted.
pub fn codes() -> Vec<Code> {
    let rooms: [&[Code]; 2] = [output::codes::CODES, &[diagnostics::BUG]];
    let mut all: Vec<Code> = rooms.concat();
    all.sort();
    all
}
