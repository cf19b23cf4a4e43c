//! Every code that any stage can raise.

use super::bundle;
use crate::diagnostics::{self, Code};
use crate::{evaluate, fit, model, output, print, realise, resolve, syntax};

/// `--every-size` of a design that has no sizes; the command line raises it.
pub const NO_SIZES: Code = Code::new("E0925", "no-sizes");

/// `watch` gets no port; the server raises it.
pub const CANNOT_LISTEN: Code = Code::new("E0960", "cannot-listen");

/// A default that `watch` is to write down is worked out by a formula; the server raises it.
pub const FORMULA_DEFAULT: Code = Code::new("E0961", "formula-default");

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
        &[bundle::UNKNOWN_PART, NO_SIZES, CANNOT_LISTEN, FORMULA_DEFAULT],
        &[diagnostics::BUG],
    ];
    let mut all: Vec<Code> = rooms.concat();
    all.sort();
    all
}
