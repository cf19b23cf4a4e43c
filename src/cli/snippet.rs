//! The lines of a text that a finding is about, with marks under the places.

use crate::diagnostics::{Diagnostic, Label};
use crate::source::{FileId, SourceMap, Span};
use clap::builder::styling::AnsiColor;
use std::collections::BTreeMap;

use super::human::{Look, clean, colour};

/// Blanks for a tab.
const TAB: usize = 4;
/// Of a longer line only so many characters are shown.
const LONGEST_LINE: usize = 120;
/// Of these, so many before the first place.
const LEAD: usize = 40;

/// A place in one line; columns are characters from 0.
struct Mark<'a> {
    line: usize,
    from: usize,
    to: usize,
    text: &'a str,
    is_primary: bool,
}

/// The lines of every file that the finding has places in, the primary's file first.
pub fn snippets(
    finding: &Diagnostic,
    sources: &SourceMap,
    name: &dyn Fn(Span) -> String,
    look: Look,
) -> String {
    let labels = finding.primary.iter().map(|l| (l, true));
    let labels = labels.chain(finding.secondary.iter().map(|l| (l, false)));
    let mut files: Vec<(FileId, Vec<(&Label, bool)>)> = Vec::new();
    for (label, is_primary) in labels {
        match files.iter_mut().find(|(file, _)| *file == label.span.file) {
            Some((_, group)) => group.push((label, is_primary)),
            None => files.push((label.span.file, vec![(label, is_primary)])),
        }
    }
    let mut text = String::new();
    for (_, group) in files {
        let first = group[0].0.span;
        let at = sources.position(clamped(sources, first));
        let title = format!("{}:{}:{}", name(first), at.line, at.column);
        let mut lines: BTreeMap<usize, Vec<Mark<'_>>> = BTreeMap::new();
        for (label, is_primary) in group {
            let mark = mark(sources, label, is_primary);
            lines.entry(mark.line).or_default().push(mark);
        }
        text += &draw(finding, sources.text(first.file), &title, &lines, look);
    }
    text
}

/// The place of a label in its first line.
fn mark<'a>(sources: &SourceMap, label: &'a Label, is_primary: bool) -> Mark<'a> {
    let span = clamped(sources, label.span);
    let start = sources.position(span);
    let snippet = sources.snippet(span);
    let width = snippet.lines().next().map_or(0, |line| line.trim_end().chars().count());
    let from = start.column - 1;
    Mark { line: start.line, from, to: from + width.max(1), text: &label.text, is_primary }
}

/// The span inside its text; a place at the end moves to the last character that shows.
fn clamped(sources: &SourceMap, span: Span) -> Span {
    let text = sources.text(span.file);
    let last = text.trim_end().char_indices().next_back().map_or(0, |(i, _)| i);
    if span.start as usize <= last {
        return span;
    }
    Span::new(span.file, last..text.trim_end().len())
}

/// One file's lines with their marks.
fn draw(
    finding: &Diagnostic,
    text: &str,
    title: &str,
    lines: &BTreeMap<usize, Vec<Mark<'_>>>,
    look: Look,
) -> String {
    let digits = lines.keys().next_back().map_or(1, |line| line.to_string().len()).max(2);
    let (corner, bar, gap) = if look.drawn { ("╭─", "│", "·") } else { (",-", "|", ":") };
    let dim = |text: &str| look.painted(AnsiColor::Blue, text);
    let blank = " ".repeat(digits);
    let mut out = format!("{blank} {}{}{}\n", dim(&format!("{corner}[")), title, dim("]"));
    let mut previous: Option<usize> = None;
    let mut source = text.lines().enumerate();
    for (number, marks) in lines {
        if previous.is_some_and(|p| p + 1 < *number) {
            out += &format!("{blank} {}\n", dim(gap));
        }
        previous = Some(*number);
        let line = source.find(|(index, _)| index + 1 == *number).map_or("", |(_, line)| line);
        let shown = Shown::of(line, marks);
        let head = dim(&format!("{number:>digits$} {bar}"));
        out += format!("{head} {}", shown.text).trim_end();
        out.push('\n');
        for mark in marks {
            let (from, width) = shown.columns(mark);
            let (sign, paint) = match mark.is_primary {
                true => ("^", colour(finding.severity)),
                false => ("-", AnsiColor::Cyan),
            };
            let words = format!("{} {}", sign.repeat(width), clean(mark.text));
            let words = look.painted(paint, words.trim_end());
            out += &format!("{blank} {} {}{words}\n", dim(bar), " ".repeat(from));
        }
    }
    out
}

/// A line as it is shown: tabs as blanks, of long lines a part.
struct Shown {
    text: String,
    /// For each character of the line, and its end, the column at which it is shown.
    columns: Vec<usize>,
}

impl Shown {
    fn of(line: &str, marks: &[Mark<'_>]) -> Self {
        let length = line.chars().count();
        let first = marks.iter().map(|m| m.from).min().unwrap_or(0);
        let from = if length > LONGEST_LINE { first.saturating_sub(LEAD) } else { 0 };
        let mut text = String::new();
        let mut columns = Vec::new();
        let mut width = 0;
        if from > 0 {
            text += "...";
            width = 3;
        }
        for (index, c) in line.chars().enumerate() {
            columns.push(width);
            if index < from || index >= from + LONGEST_LINE {
                continue;
            }
            let shown = if c == '\t' { " ".repeat(TAB) } else { clean(&c.to_string()) };
            width += shown.chars().count();
            text += &shown;
        }
        if length > from + LONGEST_LINE {
            text += "...";
        }
        columns.push(width);
        Shown { text, columns }
    }

    /// Where a mark begins and how wide it is.
    fn columns(&self, mark: &Mark<'_>) -> (usize, usize) {
        let at = |index: usize| self.columns[index.min(self.columns.len() - 1)];
        (at(mark.from), (at(mark.to) - at(mark.from)).max(1))
    }
}

#[cfg(test)]
mod tests {
    use super::super::human;
    use super::*;
    use crate::diagnostics::Code;

    const PLAIN: Look = Look { drawn: false, colour: false };
    const MISMATCH: Code = Code::new("E0301", "unit-mismatch");

    /// A text and its places by the words at them.
    struct Text {
        sources: SourceMap,
        file: FileId,
    }

    impl Text {
        fn new(text: &str) -> Self {
            let mut sources = SourceMap::default();
            let file = sources.add("jar.pkn", text);
            Text { sources, file }
        }

        fn at(&self, words: &str) -> Span {
            let start = self.sources.text(self.file).find(words).unwrap();
            Span::new(self.file, start..start + words.len())
        }

        fn shown(&self, finding: &Diagnostic, look: Look) -> String {
            let name = |span: Span| self.sources.name(span.file).to_string();
            human::finding(finding, &self.sources, &name, look)
        }
    }

    #[test]
    fn a_finding_looks_as_the_language_page_shows_it() {
        let text = Text::new(&format!("{}  sink: 2 deg\n", "\n".repeat(45)));
        let finding =
            Diagnostic::at(MISMATCH, text.at("2 deg"), "`sink` wants a length, this is an angle")
                .label("an angle")
                .help("write 2 mm, or say sagitta(jar.outside, 2 deg) if an angle was meant");
        let expected = "\
error E0301 unit-mismatch: `sink` wants a length, this is an angle
   ,-[jar.pkn:46:9]
46 |   sink: 2 deg
   |         ^^^^^ an angle
   help: write 2 mm, or say sagitta(jar.outside, 2 deg) if an angle was meant

";
        assert_eq!(text.shown(&finding, PLAIN), expected);
    }

    #[test]
    fn several_places_stand_in_the_order_of_the_text() {
        let text = Text::new("part a = inlay {\n  on: jar\n  size: 1 + 2 deg\n\tx: é é\n}\n");
        let mut finding = Diagnostic::at(MISMATCH, text.at("+"), "sides differ")
            .label("these do not add up")
            .and_at(text.at("2 deg"), "an angle")
            .and_at(text.at("inlay {\n  on"), "of this part")
            .and_at(text.at("é é"), "")
            .note("background");
        finding.trace.push(Label { span: text.at("a ="), text: "a".to_string() });
        let expected = "\
error E0301 unit-mismatch: sides differ
   ,-[jar.pkn:3:11]
 1 | part a = inlay {
   |          ------- of this part
   :
 3 |   size: 1 + 2 deg
   |           ^ these do not add up
   |             ----- an angle
 4 |     x: é é
   |        ---
   in a at jar.pkn:1:6
   note: background

";
        assert_eq!(text.shown(&finding, PLAIN), expected);
    }

    #[test]
    fn a_place_at_the_end_moves_to_the_last_character() {
        let text = Text::new("part a = b {\n}\n\n");
        let end = Span::new(text.file, 16..16);
        let drawn = Look { drawn: true, colour: false };
        let shown = text.shown(&Diagnostic::at(MISMATCH, end, "no end").label("here"), drawn);
        let expected =
            "error E0301 unit-mismatch: no end\n   ╭─[jar.pkn:2:1]\n 2 │ }\n   │ ^ here\n\n";
        assert_eq!(shown, expected);
        let empty = Text::new("");
        let start = Span::new(empty.file, 0..0);
        let shown = empty.shown(&Diagnostic::at(MISMATCH, start, "nothing"), PLAIN);
        assert!(shown.contains("jar.pkn:1:1"), "{shown}");
    }

    #[test]
    fn long_lines_are_cut_and_control_characters_do_nothing() {
        let long = format!("{}!\u{1b}[31m{}", "a".repeat(500), "b".repeat(500));
        let text = Text::new(&long);
        let shown = text.shown(&Diagnostic::at(MISMATCH, text.at("!"), "bad \u{7}"), PLAIN);
        let lines: Vec<&str> = shown.lines().collect();
        assert_eq!(lines[0], "error E0301 unit-mismatch: bad \u{fffd}");
        assert_eq!(lines[2].find('!'), lines[3].find('^'), "{shown}");
        assert!(lines[2].chars().count() < 140, "{shown}");
        assert!(!shown.contains('\u{1b}'));
    }

    #[test]
    fn colour_is_only_where_it_is_wanted() {
        let text = Text::new("x\n");
        let finding = Diagnostic::at(MISMATCH, text.at("x"), "m").help("h");
        let coloured = text.shown(&finding, Look { drawn: false, colour: true });
        assert!(coloured.contains("\u{1b}[1m\u{1b}[31merror E0301"), "{coloured:?}");
        assert!(!text.shown(&finding, PLAIN).contains('\u{1b}'));
    }
}
