//! What a size and the command set: values as typed, checked against the givens.

use super::codes;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::quantity::{Dimension, Quantity, UNIT_NAMES, Unit, decimals};
use crate::resolve::did_you_mean;

/// A value as typed on the command line, for a given whose default is `default`.
///
/// # Errors
/// In words, when it is none of the default's kind.
pub fn typed(text: &str, default: &Value) -> Result<Value, String> {
    let text = text.trim();
    match default {
        Value::Text(_) => Ok(Value::Text(text.into())),
        Value::Truth(_) => match text {
            "yes" => Ok(Value::Truth(true)),
            "no" => Ok(Value::Truth(false)),
            _ => Err(format!("it is yes or no, not `{text}`")),
        },
        Value::Quantity(q) => quantity(text, q.dimension).map(Value::Quantity),
        _ => Err("its default has no value that could be set".to_string()),
    }
}

fn quantity(text: &str, wants: Dimension) -> Result<Quantity, String> {
    let split = text
        .char_indices()
        .find(|(i, c)| !(c.is_ascii_digit() || *c == '.' || (*i == 0 && (*c == '-' || *c == '+'))))
        .map_or(text.len(), |(i, _)| i);
    let (number, unit) = (&text[..split], text[split..].trim());
    let plain = !number.is_empty() && !number.ends_with('.') && !number.starts_with('.');
    let value = number.parse::<f64>().ok().filter(|v| plain && v.is_finite());
    let Some(value) = value else { return Err(format!("`{text}` is not a number with a unit")) };
    let (factor, dimension) = match (unit, Unit::find(unit)) {
        ("", _) => (1.0, Dimension::NONE),
        (_, Some(unit)) => (unit.factor, unit.dimension),
        (_, None) => {
            let help = did_you_mean(unit, UNIT_NAMES).unwrap_or_default();
            return Err(format!("there is no unit `{unit}` {help}").trim_end().to_string());
        }
    };
    if dimension != wants {
        return Err(format!("it is {}, not {}", wants.spoken(), dimension.spoken()));
    }
    Ok(Quantity::new(value * factor, dimension))
}

/// What a given permits, as values.
#[derive(Clone, Debug)]
pub enum Permitted {
    /// Anything of the default's kind.
    Anything,
    /// From low to high, in steps from low.
    Span { low: Quantity, high: Quantity, step: Option<Quantity> },
    /// One of these.
    Among(Vec<Value>),
}

/// How far from a bound or a step rounding may carry a value, relative.
const ROUNDING: f64 = 1e-9;

impl Permitted {
    /// Why a value is not permitted, in words; nothing when it is.
    pub fn refusal(&self, value: &Value) -> Option<String> {
        match (self, value) {
            (Permitted::Span { low, high, step }, Value::Quantity(q)) => {
                let slack = ROUNDING * low.value.abs().max(high.value.abs());
                if q.value < low.value - slack || q.value > high.value + slack {
                    return Some(format!("{q} is outside {low} to {high}"));
                }
                let step = step.as_ref()?;
                let steps = (q.value - low.value) / step.value;
                let off = (steps - steps.round()).abs() > ROUNDING * steps.abs().max(1.0);
                off.then(|| format!("{q} is not in steps of {step} from {low}"))
            }
            (Permitted::Among(values), value) => {
                let found = values.iter().any(|v| same(v, value));
                (!found).then(|| format!("{} is none of {}", written(value), self.shown()))
            }
            _ => None,
        }
    }

    /// What is permitted, in words: `46 mm to 140 mm`.
    pub fn shown(&self) -> String {
        match self {
            Permitted::Anything => "anything".to_string(),
            Permitted::Span { low, high, step: None } => format!("{low} to {high}"),
            Permitted::Span { low, high, step: Some(step) } => {
                format!("{low} to {high} by {step}")
            }
            Permitted::Among(values) => values.iter().map(written).collect::<Vec<_>>().join(", "),
        }
    }
}

fn same(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Quantity(x), Value::Quantity(y)) => {
            x.dimension == y.dimension
                && (x.value - y.value).abs() <= ROUNDING * x.value.abs().max(y.value.abs())
        }
        (Value::Text(x), Value::Text(y)) => x == y,
        (Value::Truth(x), Value::Truth(y)) => x == y,
        _ => false,
    }
}

/// A value as an author writes it.
pub fn written(value: &Value) -> String {
    match value {
        Value::Quantity(q) if q.dimension == Dimension::NONE => decimals(q.value, 6),
        Value::Quantity(q) => q.to_string(),
        Value::Text(text) => format!("\"{text}\""),
        Value::Truth(true) => "yes".to_string(),
        Value::Truth(false) => "no".to_string(),
        other => other.spoken(),
    }
}

/// `--set` of what is no given.
pub fn unknown_given(name: &str, givens: &[String]) -> Diagnostic {
    let finding =
        Diagnostic::nowhere(codes::UNKNOWN_GIVEN, format!("there is no given called `{name}`"));
    match did_you_mean(name, givens.iter().map(String::as_str)) {
        Some(help) => finding.help(help),
        None if givens.is_empty() => finding.help("this design has no givens"),
        None => finding.help(format!("its givens are {}", givens.join(", "))),
    }
}

/// `--set` of a given that the chosen size fixes.
pub fn fixed_by_size(name: &str, size: &str) -> Diagnostic {
    Diagnostic::nowhere(
        codes::GIVEN_FIXED,
        format!("the size `{size}` fixes `{name}`, it cannot be set as well"),
    )
    .help("leave out --size, or this --set")
}

/// `--set` with a value that the given does not take.
pub fn set_refused(name: &str, why: &str, permitted: &Permitted) -> Diagnostic {
    let finding =
        Diagnostic::nowhere(codes::SET_REFUSED, format!("`{name}` cannot be set so: {why}"));
    match permitted {
        Permitted::Anything => {
            finding.help(format!("write --set {name}=VALUE with the unit of its default"))
        }
        other => finding.help(format!("it takes {}", other.shown())),
    }
}

/// `--size` of a size that is not there.
pub fn unknown_size(name: &str, sizes: &[String]) -> Diagnostic {
    let finding =
        Diagnostic::nowhere(codes::UNKNOWN_SIZE, format!("there is no size called `{name}`"));
    match did_you_mean(name, sizes.iter().map(String::as_str)) {
        Some(help) => finding.help(help),
        None if sizes.is_empty() => finding.help("this design has no sizes"),
        None => finding.help(format!("its sizes are {}", sizes.join(", "))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typed_values_take_their_unit_with_or_without_a_blank() {
        let mm = Value::mm(1.0);
        let read = |text| match typed(text, &mm) {
            Ok(Value::Quantity(q)) => Ok(q.value),
            Ok(_) => Err("not a quantity".to_string()),
            Err(why) => Err(why),
        };
        assert_eq!(read("80mm"), Ok(80.0));
        assert_eq!(read("2.5 in"), Ok(63.5));
        assert_eq!(read(" -3 cm "), Ok(-30.0));
        assert_eq!(read("80"), Err("it is a length, not a plain number".to_string()));
        assert_eq!(read("80 deg"), Err("it is a length, not an angle".to_string()));
        assert!(read("80mmm").unwrap_err().contains("did you mean"));
        assert!(read("nan").is_err());
        assert!(read("1e9mm").is_err());
        assert!(read("").is_err());
    }

    #[test]
    fn ranges_and_steps_forgive_rounding_only() {
        let mm = Quantity::mm;
        let range = Permitted::Span { low: mm(0.1), high: mm(0.4), step: Some(mm(0.1)) };
        assert_eq!(range.refusal(&Value::mm(0.1 + 0.2)), None);
        assert!(range.refusal(&Value::mm(0.25)).is_some());
        assert!(range.refusal(&Value::mm(0.5)).is_some());
        let among = Permitted::Among(vec![Value::Text("a".into()), Value::Text("b".into())]);
        assert_eq!(among.refusal(&Value::Text("b".into())), None);
        assert_eq!(
            among.refusal(&Value::Text("c".into())),
            Some("\"c\" is none of \"a\", \"b\"".to_string())
        );
    }
}
