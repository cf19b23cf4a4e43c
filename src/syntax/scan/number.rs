//! Numbers and the units behind them.

use super::{Scanner, TokenKind};
use crate::quantity::UNIT_NAMES;
use crate::syntax::{findings, words};

impl Scanner<'_> {
    /// A number, and the unit behind it where there is one.
    pub(super) fn number(&mut self) {
        let rest = &self.text[self.pos..self.end];
        let (len, good) = number_len(rest.as_bytes());
        if !good {
            let here = self.span(self.pos..self.pos + len);
            let finding = findings::bad_number(here, &rest[..len]);
            self.push_bad(len, finding);
            self.skip_known_unit();
            return;
        }
        let behind = &rest[len..];
        let word = unit_word(behind.trim_start_matches([' ', '\t']));
        let blanks = behind.len() - behind.trim_start_matches([' ', '\t']).len();
        let after = behind[blanks + word.len()..].trim_start_matches([' ', '\t']);
        let is_label = after.starts_with(':') && word != "%";
        if word.is_empty() || is_label {
            self.push(TokenKind::Number, len);
        } else if UNIT_NAMES.contains(&word) {
            self.push(TokenKind::Number, len);
            self.pos += blanks;
            self.push(TokenKind::Unit, word.len());
        } else if words::is_operator(word) || words::PLACE_WORDS.contains(&word) {
            self.push(TokenKind::Number, len);
        } else {
            let at = self.pos + len + blanks;
            let here = self.span(at..at + word.len());
            let finding = findings::unknown_unit(here, &rest[..len], word);
            self.push_bad(len + blanks + word.len(), finding);
        }
    }

    /// Takes the unit behind a bad number into it, so that it gives no second finding.
    fn skip_known_unit(&mut self) {
        let rest = &self.text[self.pos..self.end];
        let word = unit_word(rest.trim_start_matches([' ', '\t']));
        if !UNIT_NAMES.contains(&word) {
            return;
        }
        let len = rest.len() - rest.trim_start_matches([' ', '\t']).len() + word.len();
        let range = self.pos..self.pos + len;
        self.out.patches.push((range.clone(), super::Patch::Blank));
        self.pos = range.end;
        if let Some(last) = self.out.tokens.last_mut() {
            last.range.end = range.end;
        }
    }
}

/// How long a number is, and whether it is written as the language wants it: digits, and where
/// there is a point, digits on both sides; no exponent, no `_`.
fn number_len(bytes: &[u8]) -> (usize, bool) {
    let digits =
        |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count() + from;
    let at = |i: usize| bytes.get(i).copied().unwrap_or(0);
    let mut len = digits(0);
    let mut good = len > 0;
    if at(len) == b'.' && at(len + 1).is_ascii_digit() {
        len = digits(len + 1);
    }
    let exponent = matches!(at(len), b'e' | b'E')
        && (at(len + 1).is_ascii_digit()
            || (matches!(at(len + 1), b'+' | b'-') && at(len + 2).is_ascii_digit()));
    let point = at(len) == b'.' && at(len + 1) != b'.';
    if exponent || point || at(len) == b'_' {
        good = false;
        len += 1 + usize::from(exponent);
        while at(len).is_ascii_alphanumeric()
            || at(len) == b'_'
            || (at(len) == b'.' && at(len + 1).is_ascii_digit())
        {
            len += 1;
        }
    }
    (len, good)
}

/// The run of letters and signs that might be meant as a unit, at the start of `rest`.
fn unit_word(rest: &str) -> &str {
    if rest.starts_with('%') {
        return &rest[..1];
    }
    let density = "g/cm3";
    if let Some(behind) = rest.strip_prefix(density)
        && !behind.starts_with(|c: char| c.is_alphanumeric() || c == '_')
    {
        return density;
    }
    let sign = |c: char| matches!(c, '°' | 'º' | '²' | '³' | '″' | '”');
    let starts = |c: char| c.is_alphabetic() || sign(c);
    if !rest.starts_with(starts) {
        return "";
    }
    let part = |c: char| c == '_' || c.is_alphanumeric() || sign(c);
    &rest[..rest.find(|c: char| !part(c)).unwrap_or(rest.len())]
}
