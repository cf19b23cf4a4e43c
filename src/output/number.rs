//! How a number is written, in every text output: rounded once, to 1e-6, half away
//! from zero, without an exponent and never `-0`.

/// Steps per unit: numbers are written to 1e-6 of it. A millionth of a millimetre is
/// far below what any printer can do and far above what a double cannot hold.
pub const STEPS: f64 = 1e6;

/// Below this the rounded value has at most 15 significant digits, so its decimal
/// text is also the shortest one that reads back as the same double.
const EXACT_BELOW: f64 = 1e9;

/// `value` in whole steps of 1e-6, half away from zero; `None` when it is too large to
/// be rounded (1e9 and more: a double has no such digits to round) or not finite.
pub fn steps(value: f64) -> Option<i64> {
    (value.abs() < EXACT_BELOW).then(|| (value * STEPS).round() as i64)
}

/// `value` rounded to 1e-6, never `-0`.
pub fn rounded(value: f64) -> f64 {
    match steps(value) {
        Some(0) => 0.0,
        Some(n) => n as f64 / STEPS,
        None => value,
    }
}

/// Appends the text of `value` to `out`. Values that are not finite have no text in
/// any of our formats; they are written as `0`, and the stages before refuse them.
pub fn push(out: &mut String, value: f64) {
    use std::fmt::Write;
    // Writing to a text cannot fail.
    let _ = match steps(value) {
        Some(n) => {
            let (whole, part) = (n.unsigned_abs() / 1_000_000, n.unsigned_abs() % 1_000_000);
            let sign = if n < 0 { "-" } else { "" };
            if part == 0 {
                write!(out, "{sign}{whole}")
            } else {
                let digits = format!("{part:06}");
                write!(out, "{sign}{whole}.{}", digits.trim_end_matches('0'))
            }
        }
        None if value.is_finite() => write!(out, "{value}"),
        None => write!(out, "0"),
    };
}

/// The text of `value`.
pub fn text(value: f64) -> String {
    let mut out = String::new();
    push(&mut out, value);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn numbers_are_rounded_half_away_from_zero() {
        let cases = [
            (0.1, "0.1"),
            (72.0, "72"),
            (-0.0, "0"),
            (-1e-9, "0"),
            (0.000_000_5, "0.000001"),
            (-0.000_000_5, "-0.000001"),
            (2.000_000_4, "2"),
            (1.0 / 3.0, "0.333333"),
            (-20.0 / 3.0, "-6.666667"),
            (1e-6, "0.000001"),
            (63_993.600_16, "63993.60016"),
            (999_999_999.999_999, "999999999.999999"),
            (1e21, "1000000000000000000000"),
        ];
        for (value, expected) in cases {
            assert_eq!(text(value), expected, "{value:?}");
        }
    }

    proptest! {
        #[test]
        fn the_text_is_the_shortest_of_the_rounded_value(value in -1e6..1e6f64) {
            // The standard library's printer knows nothing of ours.
            prop_assert_eq!(text(value), format!("{}", rounded(value)));
            prop_assert!((rounded(value) - value).abs() <= 0.5e-6 + 1e-10);
        }
    }
}
