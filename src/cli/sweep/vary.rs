//! Which values a given takes in a sweep: `bore=40mm..140mm/5mm` or `motif=ripple,wave`.

use crate::quantity::{Dimension, Unit, decimals};

/// More steps of one given than this are a slip of the pen.
const MOST_STEPS: f64 = 10_000.0;

/// How far rounding may carry the last step beyond the end, in steps.
const ROUNDING: f64 = 1e-6;

/// A given and the values that it takes, in order.
#[derive(Clone, Debug, PartialEq)]
pub struct Vary {
    /// Its name.
    pub name: String,
    /// As they would be typed for `--set`.
    pub values: Vec<String>,
    /// Where they lie on an axis, in `unit`; none where they are texts.
    pub places: Option<Vec<f64>>,
    /// The unit of the places; empty for counts and texts.
    pub unit: String,
}

/// Reads `NAME=FROM..TO/STEP` or `NAME=A,B,C`.
///
/// # Errors
/// In words.
pub fn parse(text: &str) -> Result<Vary, String> {
    let how = "write it as NAME=FROM..TO/STEP, like bore=40mm..140mm/5mm, or as NAME=A,B,C";
    let Some((name, values)) = text.split_once('=') else { return Err(how.to_string()) };
    let (name, values) = (name.trim(), values.trim());
    if name.is_empty() || values.is_empty() {
        return Err(how.to_string());
    }
    match values.split_once("..") {
        Some((from, rest)) => {
            let (to, step) = rest.split_once('/').ok_or(how)?;
            steps(name, [from, to, step])
        }
        None => listed(name, values),
    }
}

fn steps(name: &str, texts: [&str; 3]) -> Result<Vary, String> {
    let mut numbers = [(0.0, "", Dimension::NONE); 3];
    for (number, text) in numbers.iter_mut().zip(texts) {
        *number = read(text)?;
    }
    let [from, to, step] = numbers;
    if from.2 != to.2 || from.2 != step.2 {
        return Err(format!(
            "`{}`, `{}` and `{}` are not of one kind",
            texts[0], texts[1], texts[2]
        ));
    }
    if step.0 <= 0.0 || to.0 < from.0 {
        return Err("it goes from the smaller value to the larger one, by a step above 0".into());
    }
    let count = (to.0 - from.0) / step.0 + ROUNDING;
    if count > MOST_STEPS {
        return Err(format!("these are more than {MOST_STEPS} values: take larger steps"));
    }
    // In the author's unit, so that 0.1 in stays 0.1 in.
    let unit = Unit::find(from.1);
    let factor = unit.map_or(1.0, |u| u.factor);
    let place = |k: usize| ((from.0 + step.0 * k as f64) / factor * 1e9).round() / 1e9;
    let places: Vec<f64> = (0..=count as usize).map(place).collect();
    let values = places.iter().map(|p| format!("{}{}", decimals(*p, 9), from.1)).collect();
    Ok(Vary { name: name.into(), values, places: Some(places), unit: from.1.into() })
}

fn listed(name: &str, text: &str) -> Result<Vary, String> {
    let values: Vec<String> = text.split(',').map(|v| v.trim().to_string()).collect();
    if values.iter().any(String::is_empty) {
        return Err("a value is missing between two commas".to_string());
    }
    let numbers: Option<Vec<_>> = values.iter().map(|v| read(v).ok()).collect();
    let unit = numbers.as_ref().and_then(|n| n.first()).map_or("", |first| first.1).to_string();
    let same = |n: &Vec<(f64, &str, Dimension)>| n.iter().all(|n| n.1 == unit);
    let places = numbers.filter(same).map(|numbers| {
        let factor = Unit::find(&unit).map_or(1.0, |u| u.factor);
        numbers.iter().map(|n| n.0 / factor).collect()
    });
    let unit = if places.is_some() { unit } else { String::new() };
    Ok(Vary { name: name.into(), values, places, unit })
}

/// A number in base units, its unit as typed, its dimension.
fn read(text: &str) -> Result<(f64, &str, Dimension), String> {
    let text = text.trim();
    let is_digit = |c: char| c.is_ascii_digit() || ".+-".contains(c);
    let split = text.find(|c| !is_digit(c)).unwrap_or(text.len());
    let (number, unit) = (&text[..split], text[split..].trim());
    let number = number.parse::<f64>().ok().filter(|n| n.is_finite());
    let number = number.ok_or(format!("`{text}` is not a number with a unit"))?;
    if unit.is_empty() {
        return Ok((number, unit, Dimension::NONE));
    }
    let known = Unit::find(unit).ok_or(format!("there is no unit `{unit}`"))?;
    Ok((number * known.factor, unit, known.dimension))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_keep_the_unit_and_reach_the_end() {
        let bore = parse("bore=40mm..41mm/0.1mm").unwrap();
        assert_eq!(bore.values.len(), 11);
        assert_eq!((bore.values[3].as_str(), bore.values[10].as_str()), ("40.3mm", "41mm"));
        let inches = parse("wall = 0.1in .. 0.5in / 0.1in").unwrap();
        assert_eq!(inches.values, ["0.1in", "0.2in", "0.3in", "0.4in", "0.5in"]);
        // What does not divide ends before the end; kinds of units may differ.
        assert_eq!(parse("a=0mm..1cm/4mm").unwrap().values, ["0mm", "4mm", "8mm"]);
        assert_eq!(parse("n=2..4/1").unwrap().places, Some(vec![2.0, 3.0, 4.0]));
    }

    #[test]
    fn lists_are_numbers_or_texts() {
        assert_eq!(parse("wall=2mm,3mm").unwrap().places, Some(vec![2.0, 3.0]));
        let words = parse("look=plain, ribbed").unwrap();
        assert_eq!((words.values, words.places), (vec!["plain".into(), "ribbed".into()], None));
    }

    #[test]
    fn nonsense_is_refused_in_words() {
        let refused = [
            "bore",
            "bore=",
            "=1mm..2mm/1mm",
            "bore=1mm..2mm",
            "bore=1mm..2deg/1mm",
            "bore=2mm..1mm/1mm",
            "bore=1mm..2mm/0mm",
            "bore=0mm..1e9mm/1mm",
            "bore=0mm..9999999mm/1mm",
            "bore=amm..2mm/1mm",
            "bore=1mm,,2mm",
        ];
        for text in refused {
            assert!(parse(text).is_err(), "{text}");
        }
    }
}
