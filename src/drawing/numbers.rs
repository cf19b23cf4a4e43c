//! Numbers and lengths as SVG writes them.

/// A pixel, mm: 96 to the inch (CSS Values and Units, absolute lengths).
pub(super) const PIXEL_MM: f64 = 25.4 / 96.0;

/// Reads numbers one after another, separated as in path data: by blanks, a comma, or a
/// sign.
pub(super) struct Numbers<'t> {
    text: &'t str,
    at: usize,
}

impl<'t> Numbers<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        Numbers { text, at: 0 }
    }

    /// Where it stands, bytes.
    pub(super) fn place(&self) -> usize {
        self.at
    }

    fn rest(&self) -> &'t str {
        self.text.get(self.at..).unwrap_or("")
    }

    pub(super) fn skip(&mut self) {
        let blank = |c: char| c.is_ascii_whitespace();
        self.at += self.rest().len() - self.rest().trim_start_matches(blank).len();
    }

    pub(super) fn skip_comma(&mut self) {
        self.skip();
        if self.rest().starts_with(',') {
            self.at += 1;
            self.skip();
        }
    }

    /// Whether nothing is left.
    pub(super) fn done(&mut self) -> bool {
        self.skip();
        self.rest().is_empty()
    }

    /// The letter that stands next, taken.
    pub(super) fn letter(&mut self) -> Option<char> {
        self.skip();
        let letter = self.rest().chars().next().filter(char::is_ascii_alphabetic)?;
        self.at += 1;
        Some(letter)
    }

    /// 0 or 1, which need no separator behind them.
    pub(super) fn flag(&mut self) -> Option<bool> {
        self.skip_comma();
        let flag = match self.rest().as_bytes().first() {
            Some(b'0') => false,
            Some(b'1') => true,
            _ => return None,
        };
        self.at += 1;
        Some(flag)
    }

    /// The number that stands next, a comma before it taken with it.
    pub(super) fn number(&mut self) -> Option<f64> {
        let before = self.at;
        self.skip_comma();
        let rest = self.rest();
        let length = number_length(rest);
        let value = rest.get(..length).and_then(|t| t.parse::<f64>().ok());
        match value.filter(|v| v.is_finite()) {
            Some(value) => {
                self.at += length;
                Some(value)
            }
            None => {
                self.at = before;
                None
            }
        }
    }

    /// What is left.
    pub(super) fn remainder(&self) -> &'t str {
        self.rest().trim()
    }
}

/// Bytes of the number at the start of a text; 0 where there is none.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits = |from: usize| {
        bytes.get(from..).unwrap_or(&[]).iter().take_while(|b| b.is_ascii_digit()).count()
    };
    let mut at = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let whole = digits(at);
    at += whole;
    let mut any = whole > 0;
    if bytes.get(at) == Some(&b'.') {
        let part = digits(at + 1);
        any |= part > 0;
        at += 1 + part;
    }
    if !any {
        return 0;
    }
    if matches!(bytes.get(at), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(at + 1), Some(b'+' | b'-')));
        let power = digits(at + 1 + sign);
        if power > 0 {
            at += 1 + sign + power;
        }
    }
    at
}

/// All numbers of a list.
pub(super) fn list(text: &str) -> Option<Vec<f64>> {
    let mut numbers = Numbers::new(text);
    let mut found = Vec::new();
    while !numbers.done() {
        found.push(numbers.number()?);
    }
    Some(found)
}

/// A length in user units, which are pixels where they stand on the sheet itself.
pub(super) fn length(text: &str) -> Option<f64> {
    let mut numbers = Numbers::new(text);
    let value = numbers.number()?;
    let pixels = match numbers.remainder() {
        "" | "px" => 1.0,
        "mm" => 1.0 / PIXEL_MM,
        "cm" => 10.0 / PIXEL_MM,
        "in" => 96.0,
        "pt" => 96.0 / 72.0,
        "pc" => 16.0,
        "Q" => 0.25 / PIXEL_MM,
        _ => return None,
    };
    Some(value * pixels)
}
