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

/// A side of a comparison is a revision or a file in it that git does not give; raised by the
/// command line, as are the next four.
pub const NO_REVISION: Code = Code::new("E0940", "no-such-revision");
/// A side of a comparison is a folder that does not hold just one design.
pub const WHICH_DESIGN: Code = Code::new("E0941", "which-design");
/// A side of a comparison is a `.json` file that is no manifest of a build.
pub const NOT_A_MANIFEST: Code = Code::new("E0942", "not-a-manifest");
/// `tell` was given a file that no build wrote.
pub const NOT_TOLD: Code = Code::new("E0943", "not-a-built-file");
/// `setup-git` was run where there is no git work tree.
pub const NO_WORK_TREE: Code = Code::new("E0944", "no-work-tree");

/// A given of `sweep` is named twice; the command line raises it, as the next two.
pub const GIVEN_TWICE: Code = Code::new("E0950", "given-twice");
/// A `sweep` over more variants than anybody meant.
pub const TOO_MANY_VARIANTS: Code = Code::new("E0951", "too-many-variants");
/// A `sweep` is to show a value that no variant has.
pub const NO_SUCH_VALUE: Code = Code::new("E0952", "no-such-value");

/// Codes that the command line raises.
const COMMANDS: &[Code] = &[
    NO_SIZES,
    NO_REVISION,
    WHICH_DESIGN,
    NOT_A_MANIFEST,
    NOT_TOLD,
    NO_WORK_TREE,
    GIVEN_TWICE,
    TOO_MANY_VARIANTS,
    NO_SUCH_VALUE,
];

/// All codes, sorted.
pub fn codes() -> Vec<Code> {
    let rooms: [&[Code]; 11] = [
        syntax::codes::CODES,
        resolve::codes::CODES,
        evaluate::codes::CODES,
        model::codes::CODES,
        realise::codes::CODES,
        fit::codes::CODES,
        print::codes::CODES,
        output::codes::CODES,
        &[bundle::UNKNOWN_PART, CANNOT_LISTEN, FORMULA_DEFAULT],
        COMMANDS,
        &[diagnostics::BUG],
    ];
    let mut all: Vec<Code> = rooms.concat();
    all.sort();
    all
}
