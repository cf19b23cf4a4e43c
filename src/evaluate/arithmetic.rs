//! Operators on values: dimensions checked exactly, numbers finite or an error where
//! they arise.

use super::codes;
use super::functions::FunctionBody;
use super::measured::{Measured, Recipe, Sort};
use super::text;
use super::value::{PointValue, Value};
use crate::diagnostics::Diagnostic;
use crate::quantity::{Dimension, Quantity};
use crate::source::Span;
use crate::syntax::Binary;
use std::sync::Arc;

/// What is done with values.
#[derive(Clone, Debug)]
pub enum Operator {
    /// `a + b`, `a <= b`, `a and b`
    Binary(Binary),
    /// A comparison of which a side was measured: both are rounded to what measuring
    /// can tell.
    Rounded(Binary),
    /// `-a`
    Negate,
    /// `not a`
    Not,
    /// `f(a, …)`
    Function(FunctionBody),
    /// `if a then b else c`
    If,
    /// `"… {a} …"`: values joined to a text.
    Text,
}

/// The places of an operation: the whole of it, then each operand.
pub type Spans = Arc<[Span]>;

/// What went wrong; boxed, for it is rare and large.
pub type Fault = Box<Diagnostic>;

/// Applies an operator. What holds a measured value becomes measured; poison stays.
///
/// # Errors
/// Dimensions or kinds that do not go together, a division by zero, a number that is
/// not finite or outside a function's domain.
pub fn apply(operator: &Operator, values: Vec<Value>, spans: &Spans) -> Result<Value, Fault> {
    if values.iter().any(Value::is_poison) {
        return Ok(Value::Poison);
    }
    if !values.iter().any(|v| matches!(v, Value::Measured(_))) {
        return known(operator, &values, spans);
    }
    let samples: Vec<Value> = values
        .iter()
        .map(|v| if let Value::Measured(m) = v { m.sample() } else { v.clone() })
        .collect();
    if matches!(operator, Operator::If) {
        alike(&samples[1], &samples[2], spans)?;
    }
    let sort = match known(operator, &samples, spans)? {
        Value::Quantity(q) => Sort::Number(q.dimension),
        Value::Truth(_) => Sort::Truth,
        Value::Text(_) => Sort::Text,
        Value::Poison => return Ok(Value::Poison),
        other => return Err(Box::new(codes::measured_too_early(spans[0], &other.spoken()))),
    };
    let operator = match operator {
        Operator::Binary(op) if is_comparison(*op) => Operator::Rounded(*op),
        other => other.clone(),
    };
    let recipe = Recipe::Apply { operator, values, spans: spans.clone() };
    Ok(Value::Measured(Arc::new(Measured { sort, recipe })))
}

/// Whether it compares.
pub fn is_comparison(op: Binary) -> bool {
    use Binary::{Above, Below, Equal, GreaterEqual, LessEqual, NotEqual};
    matches!(op, Below | Above | LessEqual | GreaterEqual | Equal | NotEqual)
}

/// How an operator is written.
pub fn sign(op: Binary) -> &'static str {
    match op {
        Binary::Or => "or",
        Binary::And => "and",
        Binary::LessEqual => "<=",
        Binary::GreaterEqual => ">=",
        Binary::Equal => "==",
        Binary::NotEqual => "!=",
        Binary::Below => "<",
        Binary::Above => ">",
        Binary::Join => "join",
        Binary::Less => "less",
        Binary::Meet => "meet",
        Binary::Add => "+",
        Binary::Subtract => "-",
        Binary::Multiply => "*",
        Binary::Divide => "/",
    }
}

fn known(operator: &Operator, values: &[Value], spans: &Spans) -> Result<Value, Fault> {
    match (operator, values) {
        (Operator::Binary(op), [a, b]) => binary(*op, a, b, false, spans),
        (Operator::Rounded(op), [a, b]) => binary(*op, a, b, true, spans),
        (Operator::Negate, [a]) => negate(a, spans),
        (Operator::Not, [a]) => Ok(Value::Truth(!truth(a, "not", spans[1])?)),
        (Operator::Function(body), values) => body.call(values, spans),
        (Operator::If, [condition, then, otherwise]) => {
            let holds = truth(condition, "if", spans[1])?;
            Ok(if holds { then.clone() } else { otherwise.clone() })
        }
        (Operator::Text, values) => text::joined(values, spans),
        _ => Ok(Value::Poison),
    }
}

fn binary(op: Binary, a: &Value, b: &Value, rounded: bool, spans: &Spans) -> Result<Value, Fault> {
    match op {
        Binary::And => Ok(Value::Truth(truth(a, "and", spans[1])? & truth(b, "and", spans[2])?)),
        Binary::Or => Ok(Value::Truth(truth(a, "or", spans[1])? | truth(b, "or", spans[2])?)),
        op if is_comparison(op) => compare(op, a, b, rounded, spans),
        Binary::Add | Binary::Subtract => sum(op, a, b, spans),
        Binary::Multiply | Binary::Divide => product(op, a, b, spans),
        _ => Err(Box::new(codes::wrong_operands(sign(op), a, b, spans))),
    }
}

/// The truth of a value.
pub fn truth(value: &Value, word: &str, span: Span) -> Result<bool, Fault> {
    match value {
        Value::Truth(t) => Ok(*t),
        other => Err(Box::new(codes::wants_truth(word, other, span))),
    }
}

fn negate(a: &Value, spans: &Spans) -> Result<Value, Fault> {
    match a {
        Value::Quantity(q) => Ok(Value::Quantity(Quantity::new(-q.value, q.dimension))),
        Value::Point(p) => {
            let coordinates = p.coordinates.iter().map(|c| 0.0 - c).collect();
            Ok(Value::Point(PointValue { coordinates, dimension: p.dimension }))
        }
        other => Err(Box::new(codes::wrong_operand("-", other, spans[1]))),
    }
}

fn sum(op: Binary, a: &Value, b: &Value, spans: &Spans) -> Result<Value, Fault> {
    let with = |x: f64, y: f64| if op == Binary::Add { x + y } else { x - y };
    match (a, b) {
        (Value::Quantity(x), Value::Quantity(y)) => {
            if x.dimension != y.dimension {
                return Err(Box::new(codes::mixed_units(sign(op), a, b, spans)));
            }
            finite(with(x.value, y.value), x.dimension, spans[0])
        }
        (Value::Point(p), Value::Point(q)) => {
            if p.dimension != q.dimension || p.coordinates.len() != q.coordinates.len() {
                return Err(Box::new(codes::mixed_units(sign(op), a, b, spans)));
            }
            let pairs = p.coordinates.iter().zip(&q.coordinates);
            point(pairs.map(|(x, y)| with(*x, *y)).collect(), p.dimension, spans[0])
        }
        _ => Err(Box::new(codes::wrong_operands(sign(op), a, b, spans))),
    }
}

fn product(op: Binary, a: &Value, b: &Value, spans: &Spans) -> Result<Value, Fault> {
    let divides = op == Binary::Divide;
    let scaled = |p: &PointValue, by: f64| {
        let by = if divides { 1.0 / by } else { by };
        point(p.coordinates.iter().map(|c| c * by).collect(), p.dimension, spans[0])
    };
    match (a, b) {
        (_, Value::Quantity(y)) if divides && y.value == 0.0 => {
            Err(Box::new(codes::division_by_zero(spans)))
        }
        (Value::Quantity(x), Value::Quantity(y)) => {
            let (value, dimension) = if divides {
                (x.value / y.value, x.dimension.over(y.dimension))
            } else {
                (x.value * y.value, x.dimension.times(y.dimension))
            };
            let Some(dimension) = dimension else {
                return Err(Box::new(codes::not_finite(spans[0])));
            };
            finite(value, dimension, spans[0])
        }
        (Value::Point(p), Value::Quantity(q)) if q.dimension == Dimension::NONE => {
            scaled(p, q.value)
        }
        (Value::Quantity(q), Value::Point(p)) if q.dimension == Dimension::NONE && !divides => {
            scaled(p, q.value)
        }
        _ => Err(Box::new(codes::wrong_operands(sign(op), a, b, spans))),
    }
}

/// A quantity, when its number is finite.
pub fn finite(value: f64, dimension: Dimension, span: Span) -> Result<Value, Fault> {
    if value.is_finite() {
        Ok(Value::Quantity(Quantity::new(value, dimension)))
    } else {
        Err(Box::new(codes::not_finite(span)))
    }
}

fn point(coordinates: Vec<f64>, dimension: Dimension, span: Span) -> Result<Value, Fault> {
    if coordinates.iter().all(|c| c.is_finite()) {
        Ok(Value::Point(PointValue { coordinates, dimension }))
    } else {
        Err(Box::new(codes::not_finite(span)))
    }
}

/// What rounding in double precision can make of values that are equal: relative.
const EQUAL: f64 = 1e-12;

fn compare(op: Binary, a: &Value, b: &Value, rounded: bool, spans: &Spans) -> Result<Value, Fault> {
    let same = match (a, b) {
        (Value::Quantity(x), Value::Quantity(y)) => {
            if x.dimension != y.dimension {
                return Err(Box::new(codes::mixed_units(sign(op), a, b, spans)));
            }
            let round = |q: &Quantity| if rounded { measurable(*q) } else { q.value };
            return Ok(Value::Truth(ordered(op, round(x), round(y))));
        }
        (Value::Text(x), Value::Text(y)) => x == y,
        (Value::Truth(x), Value::Truth(y)) => x == y,
        (one, Value::None) | (Value::None, one) => match is_nothing(one) {
            Some(nothing) => nothing,
            None => return Err(Box::new(codes::wrong_operands(sign(op), a, b, spans))),
        },
        _ => return Err(Box::new(codes::wrong_operands(sign(op), a, b, spans))),
    };
    match op {
        Binary::Equal => Ok(Value::Truth(same)),
        Binary::NotEqual => Ok(Value::Truth(!same)),
        _ => Err(Box::new(codes::wrong_operands(sign(op), a, b, spans))),
    }
}

/// Whether a value is what `none` stands for; nothing for values that are never `none`.
fn is_nothing(value: &Value) -> Option<bool> {
    match value {
        Value::None => Some(true),
        Value::Line(_) => Some(false),
        Value::Solid(solid) => Some(solid.is_empty()),
        Value::Outline(outline) => Some(outline.outline_is_empty()),
        Value::Edge(edge) => Some(edge.edge == crate::plane::Edge::None),
        _ => None,
    }
}

fn ordered(op: Binary, x: f64, y: f64) -> bool {
    let same = (x - y).abs() <= EQUAL * x.abs().max(y.abs());
    match op {
        Binary::Below => x < y && !same,
        Binary::Above => x > y && !same,
        Binary::LessEqual => x < y || same,
        Binary::GreaterEqual => x > y || same,
        Binary::NotEqual => !same,
        _ => same,
    }
}

/// The value rounded to what measuring can tell: 0.001 mm, 0.01 deg, 0.0001 in a plain
/// number, four significant digits of everything else.
fn measurable(quantity: Quantity) -> f64 {
    let value = quantity.value;
    let step = match quantity.dimension {
        Dimension::LENGTH => 0.001,
        Dimension::ANGLE => 0.01f64.to_radians(),
        Dimension::NONE => 0.0001,
        _ if value == 0.0 => return 0.0,
        _ => 10f64.powf(value.abs().log10().floor() - 3.0),
    };
    (value / step).round() * step
}

/// Both branches of an `if` on a measured condition must give the same sort.
fn alike(a: &Value, b: &Value, spans: &Spans) -> Result<(), Fault> {
    let same = match (a, b) {
        (Value::Quantity(x), Value::Quantity(y)) => x.dimension == y.dimension,
        (Value::Truth(_), Value::Truth(_)) | (Value::Text(_), Value::Text(_)) => true,
        _ => false,
    };
    if same { Ok(()) } else { Err(Box::new(codes::wrong_operands("else", a, b, &branches(spans)))) }
}

fn branches(spans: &Spans) -> Spans {
    Arc::from([spans[0], spans[2], spans[3]])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn q(value: f64, dimension: Dimension) -> Value {
        Value::Quantity(Quantity::new(value, dimension))
    }

    fn spans() -> Spans {
        let span = Span::new(crate::source::FileId(0), 0..1);
        Arc::from([span, span, span])
    }

    fn run(op: Binary, a: Value, b: Value) -> Result<Value, Fault> {
        apply(&Operator::Binary(op), vec![a, b], &spans())
    }

    #[test]
    fn dimensions_are_checked_and_combined() {
        let mm = |v| q(v, Dimension::LENGTH);
        let area = run(Binary::Multiply, mm(2.0), mm(3.0));
        assert!(matches!(area, Ok(Value::Quantity(x)) if x == Quantity::new(6.0, Dimension::AREA)));
        let mixed = run(Binary::Add, mm(2.0), q(1.0, Dimension::ANGLE));
        assert_eq!(mixed.unwrap_err().code, codes::UNIT_MISMATCH);
        let plain = run(Binary::Add, mm(2.0), q(0.0, Dimension::NONE));
        assert_eq!(plain.unwrap_err().code, codes::UNIT_MISMATCH);
    }

    #[test]
    fn zero_and_infinity_are_findings_of_their_own() {
        let one = || q(1.0, Dimension::NONE);
        let zero = run(Binary::Divide, one(), q(0.0, Dimension::NONE));
        assert_eq!(zero.unwrap_err().code, codes::DIVISION_BY_ZERO);
        let huge = run(Binary::Multiply, q(1e300, Dimension::NONE), q(1e300, Dimension::NONE));
        assert_eq!(huge.unwrap_err().code, codes::NOT_FINITE);
        assert!(matches!(run(Binary::Add, Value::Poison, one()), Ok(Value::Poison)));
    }

    #[test]
    fn comparing_forgives_rounding_only() {
        let sum = q(0.1 + 0.2, Dimension::LENGTH);
        let three = q(0.3, Dimension::LENGTH);
        let same = run(Binary::Equal, sum.clone(), three.clone());
        assert!(matches!(same, Ok(Value::Truth(true))));
        let above = run(Binary::Above, sum, three);
        assert!(matches!(above, Ok(Value::Truth(false))));
        let apart = run(Binary::Equal, q(0.3, Dimension::LENGTH), q(0.3001, Dimension::LENGTH));
        assert!(matches!(apart, Ok(Value::Truth(false))));
    }

    #[test]
    fn measured_sides_are_rounded_to_what_measuring_tells() {
        // LANGUAGE: `least_gap >= 0.1 mm` holds at 0.09996
        let hold = |x: f64, y: f64, dimension| {
            let rounded = Operator::Rounded(Binary::GreaterEqual);
            let found = apply(&rounded, vec![q(x, dimension), q(y, dimension)], &spans());
            matches!(found, Ok(Value::Truth(true)))
        };
        assert!(hold(0.09996, 0.1, Dimension::LENGTH));
        assert!(!hold(0.0994, 0.1, Dimension::LENGTH));
        assert!(hold(79_996.0, 80_000.0, Dimension::VOLUME));
        assert!(!hold(79_940.0, 80_000.0, Dimension::VOLUME));
        assert!(!hold(0.0, 80_000.0, Dimension::VOLUME));
    }
}
