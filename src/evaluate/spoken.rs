//! What expressions come to, for people: no model is made.

use super::evaluator::{Choice, Evaluator, Scope};
use super::settings::written;
use super::value::Value;
use crate::quantity::{Dimension, Quantity, decimals};
use crate::resolve::Program;
use crate::syntax::Expr;

/// What each expression, with the number of its file, comes to, as an author would write it.
/// None for bodies, outlines and other things without a short text, and for what cannot be
/// told; findings about that are the model's business.
pub fn spoken_values(
    program: &Program,
    choice: &Choice,
    expressions: &[(usize, &Expr)],
) -> Vec<Option<String>> {
    let mut evaluator = Evaluator::new(program);
    evaluator.all_givens(choice);
    evaluator.declarations();
    let told = expressions.iter().map(|(file, expr)| {
        let value = evaluator.eval(&Scope::of_file(*file), expr);
        spoken(&value)
    });
    told.collect()
}

/// Lengths and angles to a millionth: two values that say the same are the same for any printer.
fn spoken(value: &Value) -> Option<String> {
    match value {
        Value::Quantity(q) => Some(quantity(*q)),
        Value::Text(_) | Value::Truth(_) => Some(written(value)),
        Value::Colour([r, g, b]) => Some(format!("#{r:02x}{g:02x}{b:02x}")),
        Value::Point(point) => {
            let each =
                point.coordinates.iter().map(|c| quantity(Quantity::new(*c, point.dimension)));
            Some(format!("({})", each.collect::<Vec<_>>().join(", ")))
        }
        _ => None,
    }
}

fn quantity(q: Quantity) -> String {
    let (factor, unit) = match q.dimension {
        Dimension::ANGLE => (1f64.to_radians(), "deg".to_string()),
        Dimension::VOLUME => (1000.0, "ml".to_string()),
        Dimension::DENSITY => (1e-3, "g/cm3".to_string()),
        other => (1.0, other.symbol()),
    };
    format!("{} {unit}", decimals(q.value / factor, 6)).trim_end().to_string()
}
