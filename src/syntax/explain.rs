//! What the parser refused, in the author's words.

use super::findings;
use super::grammar::{Grammar, Rule};
use super::outline::{Outline, Slice};
use super::scan::TokenKind;
use super::words;
use crate::diagnostics::Diagnostic;
use crate::source::{FileId, Span};
use pest::Parser;
use pest::error::{Error, ErrorVariant, InputLocation};

/// The place a refusal is about, and what stands around it.
struct Place<'o, 't> {
    file: FileId,
    outline: &'o Outline<'t>,
    slice: &'o Slice,
    /// The significant tokens of the item.
    tokens: Vec<usize>,
    /// Which of them was refused; one past the last at the end of the item.
    at: usize,
    /// Whether a line ends between the token before and the refused one.
    line_ends: bool,
    /// Whether it is the end of the line that was refused.
    at_line_end: bool,
    /// What the grammar would have taken.
    wanted: Vec<Rule>,
}

/// What the parser refused.
pub(super) struct Refusal<'p> {
    /// The text that was parsed.
    pub text: &'p str,
    /// Where it begins in the file.
    pub start: usize,
    pub error: &'p Error<Rule>,
}

/// The finding for a refusal, and the byte around which recovery goes on.
pub(super) fn explain(
    file: FileId,
    outline: &Outline,
    slice: &Slice,
    refusal: &Refusal,
) -> (Diagnostic, usize) {
    let at_byte = refusal.start + place_of(refusal.error);
    let tokens = outline.significant(slice.tokens.clone());
    let at = tokens.partition_point(|i| outline.tokens[*i].range.end <= at_byte);
    let before_end = at.checked_sub(1).map_or(0, |b| outline.tokens[tokens[b]].range.end);
    let next_start = tokens.get(at).map_or(outline.text.len(), |i| outline.tokens[*i].range.start);
    let is_end = |from: usize| {
        at == tokens.len()
            || outline.text.get(from..next_start).is_some_and(|gap| gap.contains('\n'))
    };
    let (line_ends, mut at_line_end) = (is_end(before_end), is_end(at_byte));
    let mut wanted = wanted(refusal.error);
    // The parser looks for an operator on the next line and fails there, while something that
    // cannot be left out is missing on this one.
    if line_ends
        && !at_line_end
        && let Some(missing) = missing_before(refusal, before_end)
    {
        wanted = missing;
        at_line_end = true;
    }
    let place = Place { file, outline, slice, tokens, at, line_ends, at_line_end, wanted };
    place.finding()
}

/// The byte of the parsed text at which the parser gave up.
fn place_of(error: &Error<Rule>) -> usize {
    match error.location {
        InputLocation::Pos(at) => at,
        InputLocation::Span((from, _)) => from,
    }
}

/// The rules that the parser would have taken.
fn wanted(error: &Error<Rule>) -> Vec<Rule> {
    match &error.variant {
        ErrorVariant::ParsingError { positives, .. } => positives.clone(),
        ErrorVariant::CustomError { .. } => Vec::new(),
    }
}

/// What must stand where the line ends that ends at `end`, if anything.
fn missing_before(refusal: &Refusal, end: usize) -> Option<Vec<Rule>> {
    let text = refusal.text.get(..end.checked_sub(refusal.start)?)?;
    let error = Grammar::parse(Rule::one_item, text).err()?;
    let wanted = wanted(&error);
    let must = |rule: &Rule| MUST_FOLLOW.contains(&spoken(*rule).as_str());
    (place_of(&error) == text.len() && wanted.iter().any(must)).then_some(wanted)
}

impl Place<'_, '_> {
    fn word(&self, at: usize) -> &str {
        self.tokens.get(at).map_or("", |i| self.outline.word(*i))
    }

    fn kind(&self, at: usize) -> Option<TokenKind> {
        self.tokens.get(at).map(|i| self.outline.tokens[*i].kind)
    }

    fn span(&self, at: usize) -> Option<Span> {
        self.tokens.get(at).map(|i| Span::new(self.file, self.outline.tokens[*i].range.clone()))
    }

    /// The refused token; where a line ended too early, the last token of that line.
    fn here(&self) -> Span {
        let at = if self.at_line_end { self.at.saturating_sub(1) } else { self.at };
        self.span(at).unwrap_or_else(|| Span::new(self.file, 0..0))
    }

    /// The token before the refused one.
    fn before(&self) -> Option<usize> {
        self.at.checked_sub(1)
    }

    fn finding(&self) -> (Diagnostic, usize) {
        if let Some(finding) = self.limits() {
            return finding;
        }
        if self.wants_value() {
            return self.value();
        }
        if self.wants_name() {
            return self.name();
        }
        self.behind_value()
    }

    /// `given x = 3 in 2 .. 8`
    fn limits(&self) -> Option<(Diagnostic, usize)> {
        if self.word(0) != "given" {
            return None;
        }
        let before = self.before()?;
        let is_in = |at: usize| self.word(at) == "in";
        let is_number = self.kind(self.at) == Some(TokenKind::Number);
        let first = match self.word(self.at) {
            "in" => self.at + 1,
            ".." => before,
            _ if is_in(before) && is_number => self.at,
            _ => return None,
        };
        let end = self.tokens.len();
        let dots = (self.at..end).find(|at| self.word(*at) == "..");
        let finding = findings::bad_limits(self.here());
        let text = |from: usize, to: usize| {
            let (from, to) = (self.span(from)?, self.span(to)?);
            self.outline.text.get(from.start as usize..to.end as usize)
        };
        let help = match dots {
            Some(dots) if dots > first => text(first, dots - 1).zip(text(dots + 1, end - 1)),
            _ => None,
        };
        let (low, high) = help.unwrap_or(("LOW", "HIGH"));
        Some((finding.help(format!("write `from {low} to {high}`")), self.here().start as usize))
    }

    fn wants_value(&self) -> bool {
        self.wanted.iter().any(|rule| is_value(*rule))
    }

    /// A value is wanted.
    fn value(&self) -> (Diagnostic, usize) {
        let here = self.here();
        let anchor = match self.before().and_then(|b| self.span(b)) {
            Some(before) if self.line_ends => before.start,
            _ => here.start,
        } as usize;
        let closes = matches!(self.kind(self.at), Some(TokenKind::Close | TokenKind::TextTail))
            || self.word(self.at) == ",";
        if (self.line_ends || closes)
            && let Some(finding) = self.missing()
        {
            return (finding, anchor);
        }
        let word = self.word(self.at);
        let alone = words::is_operator(word) && self.ends_behind();
        if alone {
            return (findings::reserved_word(here, word), anchor);
        }
        let finding = findings::unexpected(here, "a value", &self.found());
        let help = sign_help(word).unwrap_or(
            "a value is a number with its unit, a text, a name, a call, a list or something in ( )",
        );
        (finding.help(help), anchor)
    }

    /// Nothing stands where a value is wanted.
    fn missing(&self) -> Option<Diagnostic> {
        let before = self.before()?;
        let end = self.span(before)?;
        let start = match before.checked_sub(1) {
            Some(label) if self.word(before) == ":" => self.span(label)?,
            _ => end,
        };
        let behind = match self.kind(before) {
            Some(TokenKind::TextHead | TokenKind::TextMiddle) => "{",
            _ => self.outline.text.get(start.start as usize..end.end as usize)?,
        };
        let finding = findings::missing_value(start.to(end), behind);
        Some(finding.help(format!("write a value behind `{}`", behind.trim())))
    }

    /// Whether the refused token is the last on its line.
    fn ends_behind(&self) -> bool {
        let Some(here) = self.span(self.at) else { return true };
        let next = self.span(self.at + 1).map_or(self.outline.text.len(), |s| s.start as usize);
        let gap = self.outline.text.get(here.end as usize..next).unwrap_or("");
        gap.contains('\n')
            || self.at + 1 >= self.tokens.len()
            || matches!(self.word(self.at + 1), "," | ")" | "]" | "}")
    }

    fn wants_name(&self) -> bool {
        let name = |rule: &Rule| matches!(rule, Rule::name | Rule::label | Rule::dotted);
        self.wanted.iter().any(name) && !self.wanted.contains(&Rule::field)
    }

    /// A name is wanted.
    fn name(&self) -> (Diagnostic, usize) {
        let here = self.here();
        let word = self.word(self.at);
        if words::is_operator(word) && !self.at_line_end {
            return (findings::reserved_word(here, word), here.start as usize);
        }
        let behind = self.before().map_or("", |b| self.word(b));
        let is_use = self.wanted.contains(&Rule::dotted);
        let expected = match is_use {
            true => "a library or a file".to_string(),
            false => format!("a name behind {}", findings::quote(behind)),
        };
        let finding = findings::unexpected(here, &expected, &self.found());
        let help = match sign_help(word) {
            Some(help) => help,
            None if is_use => "write `use std.closures`, or `use \"feet.pkn\"`",
            None if self.word(0) == "sizes" => "a size is written `name: given = value`",
            None => "a name begins with a letter and goes on with letters, digits and `_`",
        };
        (finding.help(help), here.start as usize)
    }

    /// Something stands behind what could have been the end.
    fn behind_value(&self) -> (Diagnostic, usize) {
        let here = self.here();
        let word = self.word(self.at);
        let anchor = match self.before().and_then(|b| self.span(b)) {
            Some(before) if self.at_line_end => before.end,
            _ => here.start,
        } as usize;
        if is_comparison(word) && self.has_comparison() {
            return (findings::chained_comparison(here), anchor);
        }
        let finding = findings::unexpected(here, &self.expected(), &self.found());
        (finding.help(self.way_out()), anchor)
    }

    /// What to type where something stands behind what could have been the end.
    fn way_out(&self) -> String {
        let word = self.word(self.at);
        let before = self.before().map_or("", |b| self.word(b));
        let wants = |rule| self.wanted.contains(&rule);
        let in_parens = self.enclosing() == Some("(");
        if wants(Rule::params) {
            return format!("write `{before}(…)` with the parameters in the brackets");
        }
        if self.at_line_end {
            return format!("write {} behind `{before}`", self.expected());
        }
        if wants(Rule::open_brace) || wants(Rule::block) {
            return format!("write `{{` before `{word}`");
        }
        if self.word(self.at + 1) == ":" {
            return match in_parens {
                true => format!("put a comma before `{word}:`"),
                false => format!("put `{word}:` on a line of its own, or a comma before it"),
            };
        }
        if wants(Rule::colon) && word == "=" {
            return format!("a field is written `{before}: value`");
        }
        if wants(Rule::colon) {
            return format!("write `{before}: {word}`");
        }
        let wants_equals = wants(Rule::equals) || wants(Rule::value);
        if wants_equals && matches!(word, "==" | ":") {
            return format!("write `{before} = …`");
        }
        if wants_equals && word == "-" {
            return "a name has no `-` in it: write `_`".to_string();
        }
        if wants(Rule::limits) && word == "to" {
            return "write `from LOW to HIGH`".to_string();
        }
        let is_number = |at: usize| self.kind(at) == Some(TokenKind::Number);
        let behind_number = self.before().is_some_and(is_number);
        if (word == "," && behind_number) || (before == "," && is_number(self.at)) {
            return "the decimal sign is a point: `0.6`, not `0,6`".to_string();
        }
        if word == "=" && !wants(Rule::equals) {
            return "write `==` to compare".to_string();
        }
        match sign_help(word) {
            Some(help) => help.to_string(),
            None if self.expected().contains("an operator") => {
                "two values do not stand side by side: write an operator between them, or begin \
                 another line"
                    .to_string()
            }
            None => format!("write {} before {}", self.expected(), self.found()),
        }
    }

    /// Whether a comparison stands before the refused token in the same bracket and line.
    fn has_comparison(&self) -> bool {
        let mut depth = 0;
        for at in (0..self.at).rev() {
            match self.word(at) {
                ")" | "]" | "}" => depth += 1,
                "(" | "[" | "{" if depth == 0 => return false,
                "(" | "[" | "{" => depth -= 1,
                "and" | "or" | "," | "=" | ":" | "if" | "then" | "else" if depth == 0 => {
                    return false;
                }
                word if depth == 0 && is_comparison(word) => return true,
                _ => {}
            }
        }
        false
    }

    /// What was found, for a sentence.
    fn found(&self) -> String {
        match self.tokens.get(self.at) {
            None => "the end of the line".to_string(),
            Some(_) if self.at_line_end => "the end of the line".to_string(),
            Some(i) => findings::quote(self.outline.word(*i)),
        }
    }

    /// What the grammar wants, for a sentence.
    fn expected(&self) -> String {
        let mut words: Vec<String> = Vec::new();
        for rule in &self.wanted {
            let word = spoken(*rule);
            if !word.is_empty() && !words.contains(&word) {
                words.push(word);
            }
        }
        let operator = "an operator".to_string();
        // What must come next is said alone, without all that could have come before it.
        if words.iter().any(|w| MUST_FOLLOW.contains(&w.as_str())) {
            words.retain(|w| MUST_FOLLOW.contains(&w.as_str()));
        }
        if words.contains(&operator) || words.is_empty() {
            let ends: &[&str] = match self.enclosing() {
                Some("(") => &["a comma", "`)`"],
                Some("[") => &["a comma", "`]`"],
                Some(text) if text.ends_with('{') && text != "{" => &["`}`"],
                _ => &["the end of the line"],
            };
            words.retain(|w| *w != operator && w != "the end of the line");
            words.insert(0, operator);
            words.extend(ends.iter().map(|end| end.to_string()));
        }
        words.truncate(5);
        match words.pop() {
            Some(last) if words.is_empty() => last,
            Some(last) => format!("{} or {last}", words.join(", ")),
            None => "something else".to_string(),
        }
    }

    /// The innermost bracket that is open at the refused token.
    fn enclosing(&self) -> Option<&str> {
        let here = self.tokens.get(self.at).copied().unwrap_or(self.slice.tokens.end);
        let open =
            self.tokens.iter().take(self.at).rev().find(|i| {
                self.outline.partner[**i].is_some_and(|close| close >= here && close > **i)
            });
        open.map(|i| self.outline.word(*i))
    }
}

/// What cannot be left out where it is wanted.
const MUST_FOLLOW: [&str; 15] = [
    "`=`",
    "`:`",
    "`{`",
    "`(`",
    "`to`",
    "`then`",
    "`else`",
    "`in`",
    "`along`",
    "`under`",
    "`through`",
    "`radius`",
    "`left`",
    "`right`",
    "`around` or `along`",
];

fn is_comparison(word: &str) -> bool {
    matches!(word, "<" | ">" | "<=" | ">=" | "==" | "!=")
}

/// Rules that begin a value.
fn is_value(rule: Rule) -> bool {
    matches!(
        rule,
        Rule::expr
            | Rule::choice
            | Rule::either
            | Rule::both
            | Rule::inverse
            | Rule::comparison
            | Rule::made
            | Rule::placed
            | Rule::range
            | Rule::sum
            | Rule::term
            | Rule::unary
            | Rule::quantity
            | Rule::number
            | Rule::arg
            | Rule::reference
            | Rule::group
            | Rule::list
            | Rule::prefix
    )
}

/// What a rule is called in a sentence; nothing for what is never missed.
fn spoken(rule: Rule) -> String {
    let text = format!("{rule:?}");
    if let Some(word) = text.strip_prefix("k_") {
        let operators = ["and", "or", "of", "at", "join", "less", "meet", "by", "each"];
        return if operators.contains(&word) {
            "an operator".to_string()
        } else {
            format!("`{word}`")
        };
    }
    match rule {
        Rule::equals => "`=`",
        Rule::colon => "`:`",
        Rule::open_brace | Rule::block | Rule::body => "`{`",
        Rule::params => "`(`",
        Rule::axis => "an axis (`x`, `y` or `z`)",
        Rule::spread => "`around` or `along`",
        Rule::text => "a text",
        Rule::field | Rule::size => "a field (`name: value`)",
        Rule::step => "a step",
        Rule::line => "`let`, `require`, `offer` or `make`",
        Rule::limits => "`from`",
        Rule::among => "`among`",
        Rule::kind => "a kind",
        Rule::param => "a parameter",
        Rule::corner => "`with`",
        Rule::face => "`as`",
        Rule::through => "`through`",
        Rule::bend => "`radius`",
        Rule::value => "`=`",
        Rule::EOI => "the end of the line",
        Rule::add_sign
        | Rule::multiply_sign
        | Rule::compare_sign
        | Rule::made_word
        | Rule::copies
        | Rule::placing
        | Rule::why
        | Rule::each => "an operator",
        _ => "",
    }
    .to_string()
}

/// A way out for signs and words that other notations have.
fn sign_help(sign: &str) -> Option<&'static str> {
    Some(match sign {
        ";" => "a line needs no `;` at its end",
        "&&" | "&" => "write `and`",
        "||" | "|" => "write `or`",
        "!" => "write `not`",
        "^" | "**" => "there are no powers: write `a * a`",
        "%" => "`%` is percent and stands behind a number; a remainder is `mod(a, b)`",
        "//" => "a comment begins with `#` and a blank",
        "'" => "texts stand between `\"` and `\"`",
        "true" => "write `yes`",
        "false" => "write `no`",
        _ => return None,
    })
}
