//! One constructor for each finding of this room.

use super::codes;
use super::words;
use crate::diagnostics::Diagnostic;
use crate::quantity::UNIT_NAMES;
use crate::source::Span;

/// At most this much of the author's text is quoted in a sentence.
const QUOTED_CHARS: usize = 24;

/// The author's text, cut short where it is long.
pub(super) fn quote(text: &str) -> String {
    let line = text.lines().next().unwrap_or("").trim();
    if line.chars().count() <= QUOTED_CHARS {
        return format!("`{line}`");
    }
    let start: String = line.chars().take(QUOTED_CHARS).collect();
    format!("`{start}…`")
}

// ---- single tokens

pub(super) fn lone_carriage_return(at: Span) -> Diagnostic {
    let what = "a carriage return stands alone, but a line ends in a line feed, with or without \
                a carriage return before it";
    Diagnostic::at(codes::ODD_CHARACTER, at, what)
        .help("save the file with the line ends of this system")
}

pub(super) fn foreign_letters(at: Span) -> Diagnostic {
    let what = "a name is made of the letters a to z and A to Z, digits and `_`";
    Diagnostic::at(codes::ODD_CHARACTER, at, what)
        .help("leave the marks off the letters; in texts and comments any letter will do")
}

/// What to write for a character that only looks like one of the language's.
pub(super) fn plain_sign(odd: char) -> Option<&'static str> {
    Some(match odd {
        '“' | '”' | '„' | '«' | '»' => "\"",
        '‘' | '’' => "'",
        '−' | '–' | '—' => "-",
        '×' | '·' => "*",
        '÷' => "/",
        '≤' => "<=",
        '≥' => ">=",
        '≠' => "!=",
        '…' => "..",
        _ => return None,
    })
}

pub(super) fn odd_character(at: Span, odd: char) -> Diagnostic {
    let shown = if odd.is_control() || odd.is_whitespace() {
        format!("the character U+{:04X}", u32::from(odd))
    } else {
        format!("`{odd}`")
    };
    let finding = Diagnostic::at(
        codes::ODD_CHARACTER,
        at,
        format!("{shown} is not used outside texts and comments"),
    );
    match plain_sign(odd) {
        Some("'") => finding.help("texts stand between `\"` and `\"`"),
        Some(sign) => finding.help(format!("write `{sign}`")),
        None if odd.is_whitespace() => finding.help("put a plain blank in its place"),
        None => finding.help("take it out"),
    }
}

pub(super) fn bad_text(at: Span, way_out: &str) -> Diagnostic {
    Diagnostic::at(codes::BAD_TEXT, at, "this cannot stand in a text as it is").help(way_out)
}

pub(super) fn unclosed_text(at: Span) -> Diagnostic {
    Diagnostic::at(codes::UNCLOSED_TEXT, at, "this text has no closing quote on its line")
        .help("put a `\"` at its end; a text does not run over a line")
}

pub(super) fn bad_colour(at: Span, word: &str) -> Diagnostic {
    let what =
        format!("a colour is `#` and six hexadecimal digits, not {}", quote(&format!("#{word}")));
    let finding = Diagnostic::at(codes::BAD_COLOUR, at, what);
    let is_hex = word.bytes().all(|b| b.is_ascii_hexdigit());
    let finding = if word.len() == 3 && is_hex {
        let doubled: String = word.chars().flat_map(|c| [c, c]).collect();
        finding.help(format!("write `#{doubled}`"))
    } else {
        finding.help("write one such as `#e8e1d3`")
    };
    finding.help("a comment needs a space after `#`")
}

pub(super) fn colour_for_comment(at: Span, word: &str) -> Diagnostic {
    let what =
        format!("{} is read as a colour, and none can stand here", quote(&format!("#{word}")));
    Diagnostic::at(codes::BAD_COLOUR, at, what).help("a comment needs a space after `#`")
}

pub(super) fn bad_number(at: Span, text: &str) -> Diagnostic {
    let what = format!("{} is not a number as it is written here", quote(text));
    let finding = Diagnostic::at(codes::BAD_NUMBER, at, what);
    if text.starts_with('.') {
        return finding.help(format!("write `0{text}`: digits stand on both sides of the point"));
    }
    if let Some(whole) = text.strip_suffix('.') {
        return finding.help(format!("write `{whole}`, or `{whole}.0`"));
    }
    if text.contains('_') {
        return finding.help(format!("write `{}`", text.replace('_', "")));
    }
    if let Ok(value) = text.parse::<f64>()
        && text.contains(['e', 'E'])
        && (1e-6..1e9).contains(&value.abs())
    {
        return finding.help(format!("write `{value}`: there are no exponents"));
    }
    finding.help("a number is digits, and where needed a point with digits on both sides")
}

pub(super) fn number_too_large(at: Span) -> Diagnostic {
    Diagnostic::at(codes::BAD_NUMBER, at, "this number is too large to be reckoned with")
        .help("write fewer digits")
}

pub(super) fn unknown_unit(at: Span, number: &str, word: &str) -> Diagnostic {
    let what = format!("{} is not a unit", quote(word));
    let finding = Diagnostic::at(codes::UNKNOWN_UNIT, at, what);
    let known = words::FOREIGN_UNITS.iter().find(|(w, _)| w.eq_ignore_ascii_case(word));
    let meant = known
        .map(|(_, unit)| *unit)
        .or_else(|| UNIT_NAMES.into_iter().find(|u| u.eq_ignore_ascii_case(word)))
        .or_else(|| if word.len() > 1 { words::nearest(word, UNIT_NAMES) } else { None });
    if let Some(unit) = meant {
        return finding.help(format!("did you mean `{number} {unit}`?"));
    }
    let place = words::PLACE_WORDS.into_iter().chain(words::OPERATOR_WORDS);
    if let Some(place_word) = words::nearest(word, place.filter(|_| word.len() > 2)) {
        return finding.help(format!("did you mean `{number} {place_word}`?"));
    }
    if word == "x" || word == "X" {
        return finding.help("write `*` to multiply, and `(a, b)` for a size of two numbers");
    }
    finding.help(format!("units are {}", UNIT_NAMES.join(" ")))
}

// ---- charts

pub(super) fn brace_in_row(at: Span) -> Diagnostic {
    Diagnostic::at(codes::BAD_MARK, at, "the closing brace of a chart stands in a row")
        .help("put it on a line of its own")
}

pub(super) fn row_beside_brace(at: Span) -> Diagnostic {
    Diagnostic::at(codes::BAD_MARK, at, "the rows of a chart begin on the line after its brace")
        .help("begin a new line after `{`; a chart has no comments inside")
}

pub(super) fn bad_mark(at: Span, mark: &str) -> Diagnostic {
    let what = format!("{} is not a mark: a row of a chart has `#` and `.` only", quote(mark));
    let finding = Diagnostic::at(codes::BAD_MARK, at, what);
    if mark.chars().all(|c| matches!(c, '#' | '.')) {
        let apart: Vec<String> = mark.chars().map(String::from).collect();
        finding.help(format!("put blanks between the marks: {}", quote(&apart.join(" "))))
    } else {
        finding.help("`#` is material, `.` is none; a chart has no comments inside")
    }
}

pub(super) fn empty_chart(at: Span) -> Diagnostic {
    Diagnostic::at(codes::EMPTY_CHART, at, "this chart has no rows")
        .help("write a line of `#` and `.` with blanks between them")
}

pub(super) fn chart_too_large(at: Span, marks: usize, most: usize) -> Diagnostic {
    let what = format!("this chart has {marks} marks, and {most} is the most there may be");
    Diagnostic::at(codes::TOO_LONG, at, what).help("draw one repeat only: a band repeats it")
}

pub(super) fn uneven_chart(at: Span, len: usize, model: Span, meant: usize) -> Diagnostic {
    let what = format!("this row has {len} marks, other rows of the chart have {meant}");
    let way = if len < meant {
        format!("add {} to this row", counted(meant - len, "mark"))
    } else {
        format!("take {} out of this row", counted(len - meant, "mark"))
    };
    Diagnostic::at(codes::UNEVEN_CHART, at, what)
        .label(counted(len, "mark"))
        .and_at(model, counted(meant, "mark"))
        .help(way)
}

/// `1 mark`, `3 marks`
fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

// ---- brackets, depth, lines

/// A bracket as it is to be shown.
pub(super) fn spoken_bracket(bracket: &str) -> &'static str {
    match bracket {
        "(" => "(",
        "[" => "[",
        "{" => "{",
        ")" => ")",
        "]" => "]",
        _ => "}",
    }
}

pub(super) fn unclosed_bracket(at: Span, open: &str, close: &str) -> Diagnostic {
    let what = format!("this `{open}` is never closed");
    Diagnostic::at(codes::UNCLOSED_BRACKET, at, what).help(format!("put a `{close}` where it ends"))
}

pub(super) fn crossed_bracket(
    at: Span,
    open: (Span, &str),
    close: &str,
    right: &str,
) -> Diagnostic {
    let what = format!("this `{close}` closes a `{}`", open.1);
    Diagnostic::at(codes::UNCLOSED_BRACKET, at, what)
        .and_at(open.0, "opened here")
        .help(format!("write `{right}`"))
}

pub(super) fn unopened_bracket(at: Span, close: &str) -> Diagnostic {
    let what = format!("this `{close}` closes nothing");
    Diagnostic::at(codes::UNOPENED_BRACKET, at, what).help("take it out, or open it before")
}

pub(super) fn too_deep(at: Span, what: &str, most: usize) -> Diagnostic {
    let sentence = format!("{what} are nested more than {most} deep");
    Diagnostic::at(codes::TOO_DEEP, at, sentence).help("give the inner parts names with `let`")
}

pub(super) fn too_long(at: Span, most: usize) -> Diagnostic {
    let what = format!("this expression is built of more than {most} operations");
    Diagnostic::at(codes::TOO_LONG, at, what).help("give parts of it names with `let`")
}

pub(super) fn file_too_long(at: Span, most: usize) -> Diagnostic {
    let what = format!("this file has more than {most} words and signs");
    Diagnostic::at(codes::TOO_LONG, at, what)
        .help("put parts of it into files of their own and `use` them")
}

pub(super) fn stray_doc(at: Span) -> Diagnostic {
    let what = "this `##` line documents nothing: what it documents stands on the next line";
    Diagnostic::at(codes::STRAY_DOC, at, what)
        .help("write `#` for a comment, or move it before an item, a field, a parameter, a size or a step")
}

pub(super) fn unknown_item(at: Span, word: &str) -> Diagnostic {
    let what = format!("nothing of a file begins with {}", quote(word));
    let finding = Diagnostic::at(codes::UNKNOWN_ITEM, at, what);
    match words::nearest(word, words::ITEM_WORDS) {
        Some(item) => finding.help(format!("did you mean `{item}`?")),
        None => finding.help(format!("a file is made of {}", words::ITEM_WORDS.join(", "))),
    }
}

// ---- what the grammar refuses

pub(super) fn unexpected(at: Span, expected: &str, found: &str) -> Diagnostic {
    Diagnostic::at(codes::UNEXPECTED_TEXT, at, format!("expected {expected}, found {found}"))
}

pub(super) fn missing_value(at: Span, behind: &str) -> Diagnostic {
    let what = format!("{} has no value behind it", quote(behind));
    Diagnostic::at(codes::MISSING_VALUE, at, what)
}

pub(super) fn reserved_word(at: Span, word: &str) -> Diagnostic {
    let what = format!("`{word}` is a word of the language and cannot be a name");
    Diagnostic::at(codes::RESERVED_WORD, at, what).help("choose another name")
}

pub(super) fn bad_limits(at: Span) -> Diagnostic {
    Diagnostic::at(codes::BAD_LIMITS, at, "the limits of a given are not written with `in` or `..`")
}

pub(super) fn chained_comparison(at: Span) -> Diagnostic {
    let what = "comparisons are not chained: a comparison has two sides";
    Diagnostic::at(codes::CHAINED_COMPARISON, at, what).help("write `a < b and b < c`")
}

pub(super) fn mixed_meet(at: Span, first: Span, other: &str, word: &str) -> Diagnostic {
    let what = format!("`{word}` behind `{other}`: which of the two comes first cannot be seen");
    Diagnostic::at(codes::MIXED_MEET, at, what)
        .and_at(first, format!("`{other}` is here"))
        .help("put ( ) around the part that comes first")
}

pub(super) fn bad_point(at: Span, count: usize) -> Diagnostic {
    let what = format!("a point has two or three coordinates, this has {count}");
    Diagnostic::at(codes::BAD_POINT, at, what).help("write `[a, b, …]` for a list")
}

pub(super) fn late_argument(at: Span, named: Span) -> Diagnostic {
    let what = "an argument without a name stands behind one with a name";
    Diagnostic::at(codes::LATE_ARGUMENT, at, what)
        .and_at(named, "the named one")
        .help("give it its name, or move it to the front")
}

pub(super) fn path_without_start(at: Span) -> Diagnostic {
    Diagnostic::at(codes::BAD_PATH, at, "a path begins with `start` and a point")
        .help("write `start (0 mm, 0 mm)` as its first step")
}

pub(super) fn second_start(at: Span) -> Diagnostic {
    Diagnostic::at(codes::BAD_PATH, at, "a path has one `start`, and it comes first")
        .help("write another path for another line")
}

pub(super) fn step_behind_close(at: Span) -> Diagnostic {
    Diagnostic::at(codes::BAD_PATH, at, "nothing stands behind `close` in a path")
        .help("move `close` to the end")
}
