//! The codes of this room, E01xx and W01xx.

use crate::diagnostics::Code;

/// Text that does not belong where it stands.
pub const UNEXPECTED_TEXT: Code = Code::new("E0101", "unexpected-text");
/// A value is wanted and nothing is there.
pub const MISSING_VALUE: Code = Code::new("E0102", "missing-value");
/// A bracket is never closed, or by one of another kind.
pub const UNCLOSED_BRACKET: Code = Code::new("E0103", "unclosed-bracket");
/// A closing bracket closes nothing.
pub const UNOPENED_BRACKET: Code = Code::new("E0104", "unopened-bracket");
/// A text has no closing quote on its line.
pub const UNCLOSED_TEXT: Code = Code::new("E0105", "unclosed-text");
/// Something inside a text cannot stand there.
pub const BAD_TEXT: Code = Code::new("E0106", "bad-text");
/// Not six hexadecimal digits, or a colour where a comment was meant.
pub const BAD_COLOUR: Code = Code::new("E0107", "bad-colour");
/// A number written in a form the language does not have.
pub const BAD_NUMBER: Code = Code::new("E0108", "bad-number");
/// A word behind a number that is no unit.
pub const UNKNOWN_UNIT: Code = Code::new("E0109", "unknown-unit");
/// Rows of a chart of different lengths.
pub const UNEVEN_CHART: Code = Code::new("E0110", "uneven-chart");
/// Something in a chart that is no mark.
pub const BAD_MARK: Code = Code::new("E0111", "bad-mark");
/// A chart without rows.
pub const EMPTY_CHART: Code = Code::new("E0112", "empty-chart");
/// Too many open brackets, or too many `if`.
pub const TOO_DEEP: Code = Code::new("E0113", "too-deep");
/// Too many operators in one expression.
pub const TOO_LONG: Code = Code::new("E0114", "too-long");
/// A line that begins with no item word.
pub const UNKNOWN_ITEM: Code = Code::new("E0115", "unknown-item");
/// A reserved word used as a name.
pub const RESERVED_WORD: Code = Code::new("E0116", "reserved-word");
/// `in LOW .. HIGH` where `from LOW to HIGH` is meant.
pub const BAD_LIMITS: Code = Code::new("E0117", "bad-limits");
/// A character the language does not use.
pub const ODD_CHARACTER: Code = Code::new("E0118", "odd-character");
/// `a < b < c`.
pub const CHAINED_COMPARISON: Code = Code::new("E0119", "chained-comparison");
/// `a join b meet c`.
pub const MIXED_MEET: Code = Code::new("E0120", "mixed-meet");
/// More than three coordinates.
pub const BAD_POINT: Code = Code::new("E0121", "bad-point");
/// A positional argument behind a named one.
pub const LATE_ARGUMENT: Code = Code::new("E0122", "late-argument");
/// A path that does not begin with `start`, or goes on behind `close`.
pub const BAD_PATH: Code = Code::new("E0123", "bad-path");
/// A doc line that documents nothing.
pub const STRAY_DOC: Code = Code::new("W0101", "stray-doc");

/// All of them.
pub const CODES: &[Code] = &[
    UNEXPECTED_TEXT,
    MISSING_VALUE,
    UNCLOSED_BRACKET,
    UNOPENED_BRACKET,
    UNCLOSED_TEXT,
    BAD_TEXT,
    BAD_COLOUR,
    BAD_NUMBER,
    UNKNOWN_UNIT,
    UNEVEN_CHART,
    BAD_MARK,
    EMPTY_CHART,
    TOO_DEEP,
    TOO_LONG,
    UNKNOWN_ITEM,
    RESERVED_WORD,
    BAD_LIMITS,
    ODD_CHARACTER,
    CHAINED_COMPARISON,
    MIXED_MEET,
    BAD_POINT,
    LATE_ARGUMENT,
    BAD_PATH,
    STRAY_DOC,
];
