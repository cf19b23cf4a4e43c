//! The findings of this room.

use crate::diagnostics::{Code, Diagnostic};
use crate::source::Span;

/// A name that nothing declares.
pub const UNKNOWN_NAME: Code = Code::new("E0201", "unknown-name");
/// One name declared twice.
pub const DUPLICATE_NAME: Code = Code::new("E0202", "duplicate-name");
/// A name that two `use`d files declare.
pub const AMBIGUOUS_NAME: Code = Code::new("E0203", "ambiguous-name");
/// A field that is not there.
pub const UNKNOWN_FIELD: Code = Code::new("E0204", "unknown-field");
/// Fields that must be given are not.
pub const MISSING_FIELD: Code = Code::new("E0205", "missing-field");
/// A field given twice.
pub const DOUBLED_FIELD: Code = Code::new("E0206", "doubled-field");
/// Too many or too few arguments.
pub const WRONG_ARGUMENTS: Code = Code::new("E0207", "wrong-arguments");
/// A given or a part read inside a shape.
pub const NOT_IN_SHAPE: Code = Code::new("E0208", "not-in-shape");
/// A name where only constants may stand.
pub const NOT_CONSTANT: Code = Code::new("E0209", "not-constant");
/// A kind that is not there.
pub const UNKNOWN_KIND: Code = Code::new("E0210", "unknown-kind");
/// A shape or a function used without a call.
pub const NEEDS_CALL: Code = Code::new("E0211", "needs-call");
/// A call of what is no shape.
pub const NOT_A_SHAPE: Code = Code::new("E0212", "not-a-shape");
/// Declarations that read each other.
pub const CYCLE: Code = Code::new("E0213", "endless-cycle");
/// Files that use each other.
pub const USE_CYCLE: Code = Code::new("E0214", "use-cycle");
/// A library file that is not there.
pub const UNKNOWN_LIBRARY: Code = Code::new("E0215", "unknown-library");
/// A used file outside the root file's folder.
pub const OUTSIDE_FOLDER: Code = Code::new("E0216", "outside-folder");
/// A used file that holds more than a library may.
pub const NOT_A_LIBRARY: Code = Code::new("E0217", "not-a-library");
/// A field of parts used elsewhere.
pub const PART_FIELD: Code = Code::new("E0218", "part-field");
/// A name that makes no good file name.
pub const BAD_FILE_NAME: Code = Code::new("E0219", "bad-file-name");
/// A default that reads a parameter written after it.
pub const PARAMETER_ORDER: Code = Code::new("E0220", "parameter-order");
/// A shape with two `make` lines.
pub const TWO_MAKES: Code = Code::new("E0221", "two-makes");
/// More than one printer in the root file.
pub const TWO_PRINTERS: Code = Code::new("E0222", "two-printers");
/// Something of the language that is not built yet.
pub const NOT_BUILT_YET: Code = Code::new("E0290", "not-built-yet");
/// An own name that hides a built-in one.
pub const HIDES_BUILT_IN: Code = Code::new("W0201", "hides-built-in");
/// No such file.
pub const FILE_MISSING: Code = Code::new("E0931", "file-missing");
/// A file above 4 MiB.
pub const FILE_TOO_LARGE: Code = Code::new("E0932", "file-too-large");
/// A file that is not UTF-8 text.
pub const FILE_NOT_TEXT: Code = Code::new("E0933", "file-not-text");
/// A file that the system refuses to read.
pub const FILE_UNREADABLE: Code = Code::new("E0934", "file-unreadable");
/// More files than a design can hold.
pub const TOO_MANY_FILES: Code = Code::new("E0935", "too-many-files");

/// Every code of this room.
pub const CODES: &[Code] = &[
    UNKNOWN_NAME,
    DUPLICATE_NAME,
    AMBIGUOUS_NAME,
    UNKNOWN_FIELD,
    MISSING_FIELD,
    DOUBLED_FIELD,
    WRONG_ARGUMENTS,
    NOT_IN_SHAPE,
    NOT_CONSTANT,
    UNKNOWN_KIND,
    NEEDS_CALL,
    NOT_A_SHAPE,
    CYCLE,
    USE_CYCLE,
    UNKNOWN_LIBRARY,
    OUTSIDE_FOLDER,
    NOT_A_LIBRARY,
    PART_FIELD,
    BAD_FILE_NAME,
    PARAMETER_ORDER,
    TWO_MAKES,
    TWO_PRINTERS,
    NOT_BUILT_YET,
    HIDES_BUILT_IN,
    FILE_MISSING,
    FILE_TOO_LARGE,
    FILE_NOT_TEXT,
    FILE_UNREADABLE,
    TOO_MANY_FILES,
];

/// `what` belongs to the language, but nothing makes it yet.
pub fn not_built_yet(span: Span, what: &str) -> Diagnostic {
    Diagnostic::at(NOT_BUILT_YET, span, format!("{what} cannot be built yet"))
        .help("leave it out for now; the language keeps the word for it")
}
