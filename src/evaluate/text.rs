//! Texts with values in them.

use super::arithmetic::{Fault, Spans};
use super::codes;
use super::value::Value;

/// The longest text, in bytes; far above any label, so that doubling ends.
const LONGEST: usize = 10_000;

/// The values one after another, as an author writes them.
pub fn joined(values: &[Value], spans: &Spans) -> Result<Value, Fault> {
    let mut text = String::new();
    for (index, value) in values.iter().enumerate() {
        match value {
            Value::Text(t) => text.push_str(t),
            Value::Quantity(q) => text.push_str(&q.to_string()),
            Value::Truth(t) => text.push_str(if *t { "yes" } else { "no" }),
            other => return Err(Box::new(codes::not_in_text(other, spans[index + 1]))),
        }
        if text.len() > LONGEST {
            let what =
                format!("a text holds at most {LONGEST} letters, and this one would be longer");
            return Err(Box::new(codes::too_much_work(spans[0], &what)));
        }
    }
    Ok(Value::Text(text.into()))
}
