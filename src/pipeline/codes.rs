//! Every code that any stage can raise.

use super::bundle;
use crate::diagnostics::{self, Code};
use crate::{evaluate, fit, model, output, print, realise, resolve, syntax};

/// All codes, sorted.
pub fn codes() -> Vec<Code> {
    let rooms: [&[Code]; 10] = [
        syntax::codes::CODES,
        resolve::codes::CODES,
        evaluate::codes::CODES,
        model::codes::CODES,
        realise::codes::CODES,
        fit::codes::CODES,
        print::codes::CODES,
        output::codes::CODES,
        &[bundle::UNKNOWN_PART],
        &[diagnostics::BUG],
    ];
    let mut all: Vec<Code> = rooms.concat();
    all.sort();
    all
}
