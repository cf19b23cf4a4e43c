//! Built-in functions of numbers. Those of solids and lists that build something are
//! with the bodies.

use super::arithmetic::{Fault, Spans, finite};
use super::codes;
use super::value::{EdgeValue, PointValue, Value, is_coordinate};
use crate::plane::Edge;
use crate::quantity::{Dimension, Quantity};

/// What a function computes.
type Body = fn(&[Value], &Spans) -> Result<Value, Fault>;

/// A function of numbers.
#[derive(Clone, Copy)]
pub struct FunctionBody {
    /// Its name.
    pub name: &'static str,
    body: Body,
}

impl std::fmt::Debug for FunctionBody {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

static BODIES: [FunctionBody; 20] = [
    FunctionBody { name: "min", body: |v, s| extreme(v, s, f64::min) },
    FunctionBody { name: "max", body: |v, s| extreme(v, s, f64::max) },
    FunctionBody { name: "abs", body: abs },
    FunctionBody { name: "sqrt", body: sqrt },
    FunctionBody { name: "mod", body: |v, s| stepped(v, s, f64::rem_euclid) },
    FunctionBody { name: "sin", body: |v, s| of_angle(v, s, f64::sin) },
    FunctionBody { name: "cos", body: |v, s| of_angle(v, s, f64::cos) },
    FunctionBody { name: "tan", body: tan },
    FunctionBody { name: "asin", body: |v, s| to_angle("asin", v, s) },
    FunctionBody { name: "acos", body: |v, s| to_angle("acos", v, s) },
    FunctionBody { name: "atan2", body: atan2 },
    FunctionBody { name: "round", body: round },
    FunctionBody {
        name: "floor",
        body: |v, s| stepped(v, s, |x, step| whole(x, step, f64::floor)),
    },
    FunctionBody { name: "ceil", body: |v, s| stepped(v, s, |x, step| whole(x, step, f64::ceil)) },
    FunctionBody { name: "bevel", body: bevel },
    FunctionBody { name: "polar", body: polar },
    FunctionBody { name: "clearance", body: super::fits::clearance },
    // Of a circle of radius r over the angle a (elementary trigonometry):
    // arc r a, chord 2 r sin(a / 2), sagitta r (1 - cos(a / 2)).
    FunctionBody { name: "arc_length", body: |v, s| of_arc(v, s, |r, a| r * a) },
    FunctionBody { name: "chord", body: |v, s| of_arc(v, s, |r, a| 2.0 * r * (a / 2.0).sin()) },
    FunctionBody { name: "sagitta", body: |v, s| of_arc(v, s, |r, a| r * (1.0 - (a / 2.0).cos())) },
];

impl FunctionBody {
    /// The function of this name, when it is one of numbers.
    pub fn find(name: &str) -> Option<FunctionBody> {
        BODIES.iter().copied().find(|f| f.name == name)
    }

    /// What it gives.
    pub fn call(&self, values: &[Value], spans: &Spans) -> Result<Value, Fault> {
        (self.body)(values, spans)
    }
}

/// The quantity that argument number `index` must be.
fn quantity(values: &[Value], index: usize, spans: &Spans) -> Result<Quantity, Fault> {
    match values.get(index) {
        Some(Value::Quantity(q)) => Ok(*q),
        Some(other) => Err(Box::new(codes::wants_number(other, spans[index + 1]))),
        None => Ok(Quantity::plain(0.0)),
    }
}

/// The number of argument `index`, which must have this dimension.
fn number(values: &[Value], index: usize, wants: Dimension, spans: &Spans) -> Result<f64, Fault> {
    let q = quantity(values, index, spans)?;
    if q.dimension == wants {
        Ok(q.value)
    } else {
        let value = Value::Quantity(q);
        Err(Box::new(codes::wants_dimension("this argument", wants, &value, spans[index + 1])))
    }
}

fn extreme(values: &[Value], spans: &Spans, pick: fn(f64, f64) -> f64) -> Result<Value, Fault> {
    let first = quantity(values, 0, spans)?;
    let mut found = first.value;
    for index in 1..values.len() {
        found = pick(found, number(values, index, first.dimension, spans)?);
    }
    finite(found, first.dimension, spans[0])
}

fn abs(values: &[Value], spans: &Spans) -> Result<Value, Fault> {
    let q = quantity(values, 0, spans)?;
    finite(q.value.abs(), q.dimension, spans[0])
}

fn sqrt(values: &[Value], spans: &Spans) -> Result<Value, Fault> {
    let q = quantity(values, 0, spans)?;
    if q.value < 0.0 {
        return Err(Box::new(codes::outside_domain("sqrt", q, "0 or above", spans[1])));
    }
    let halved = |power: i8| (power % 2 == 0).then_some(power / 2);
    let d = q.dimension;
    let dimension = (halved(d.length), halved(d.angle), halved(d.mass), halved(d.stress));
    let (Some(length), Some(angle), Some(mass), Some(stress)) = dimension else {
        return Err(Box::new(codes::no_root(q, spans[1])));
    };
    finite(q.value.sqrt(), Dimension { length, angle, mass, stress }, spans[0])
}

fn of_angle(values: &[Value], spans: &Spans, f: fn(f64) -> f64) -> Result<Value, Fault> {
    finite(f(number(values, 0, Dimension::ANGLE, spans)?), Dimension::NONE, spans[0])
}

/// A tangent beyond this belongs to an angle that is a quarter turn but for rounding.
const STEEPEST: f64 = 1e15;

fn tan(values: &[Value], spans: &Spans) -> Result<Value, Fault> {
    let angle = number(values, 0, Dimension::ANGLE, spans)?;
    let value = angle.tan();
    if value.abs() > STEEPEST {
        let angle = Quantity::rad(angle);
        return Err(Box::new(codes::outside_domain("tan", angle, "off a quarter turn", spans[1])));
    }
    finite(value, Dimension::NONE, spans[0])
}

/// How far beyond 1 rounding may carry a sine or cosine.
const ROUNDING: f64 = 1e-12;

fn to_angle(name: &str, values: &[Value], spans: &Spans) -> Result<Value, Fault> {
    let ratio = number(values, 0, Dimension::NONE, spans)?;
    if ratio.abs() > 1.0 + ROUNDING {
        let ratio = Quantity::plain(ratio);
        return Err(Box::new(codes::outside_domain(name, ratio, "from -1 to 1", spans[1])));
    }
    let ratio = ratio.clamp(-1.0, 1.0);
    let angle = if name == "asin" { ratio.asin() } else { ratio.acos() };
    finite(angle, Dimension::ANGLE, spans[0])
}

fn atan2(values: &[Value], spans: &Spans) -> Result<Value, Fault> {
    let y = quantity(values, 0, spans)?;
    let x = number(values, 1, y.dimension, spans)?;
    finite(y.value.atan2(x), Dimension::ANGLE, spans[0])
}

/// The step of `mod`, `round`, `floor`, `ceil`, and what it makes of the value.
fn stepped(values: &[Value], spans: &Spans, f: fn(f64, f64) -> f64) -> Result<Value, Fault> {
    let x = quantity(values, 0, spans)?;
    let step = number(values, 1, x.dimension, spans)?;
    if step == 0.0 {
        return Err(Box::new(codes::division_by_zero(&spans.iter().copied().collect())));
    }
    finite(f(x.value, step), x.dimension, spans[0])
}

/// `x` in whole steps. A count that is whole but for rounding counts as whole.
fn whole(x: f64, step: f64, f: fn(f64) -> f64) -> f64 {
    let count = x / step;
    let near = count.round();
    let rounding = 1e-9 * near.abs().max(1.0);
    (if (count - near).abs() <= rounding { near } else { f(count) }) * step
}

fn round(values: &[Value], spans: &Spans) -> Result<Value, Fault> {
    if values.len() == 1 {
        let radius = quantity(values, 0, spans)?;
        return edge("round", radius, spans, Edge::Round(radius.value));
    }
    stepped(values, spans, |x, step| whole(x, step, f64::round))
}

fn bevel(values: &[Value], spans: &Spans) -> Result<Value, Fault> {
    let leg = quantity(values, 0, spans)?;
    let angle = match values.len() {
        1 => std::f64::consts::FRAC_PI_4,
        _ => number(values, 1, Dimension::ANGLE, spans)?,
    };
    if values.len() > 1 && !(angle > 0.0 && angle < std::f64::consts::FRAC_PI_2) {
        let angle = Quantity::rad(angle);
        return Err(Box::new(codes::outside_domain(
            "bevel",
            angle,
            "between 0 deg and 90 deg",
            spans[2],
        )));
    }
    edge("bevel", leg, spans, Edge::Bevel { leg: leg.value, angle })
}

/// An edge treated by `size`; a size of 0 leaves it sharp.
fn edge(word: &str, size: Quantity, spans: &Spans, edge: Edge) -> Result<Value, Fault> {
    if !is_coordinate(size.dimension) {
        let value = Value::Quantity(size);
        let what = format!("`{word}`");
        return Err(Box::new(codes::wants_dimension(&what, Dimension::LENGTH, &value, spans[1])));
    }
    if size.value < 0.0 {
        return Err(Box::new(codes::outside_domain(word, size, "0 mm or above", spans[1])));
    }
    let edge = if size.value == 0.0 { Edge::None } else { edge };
    Ok(Value::Edge(EdgeValue { edge, dimension: size.dimension }))
}

fn polar(values: &[Value], spans: &Spans) -> Result<Value, Fault> {
    let radius = quantity(values, 0, spans)?;
    let angle = number(values, 1, Dimension::ANGLE, spans)?;
    if !is_coordinate(radius.dimension) {
        let value = Value::Quantity(radius);
        return Err(Box::new(codes::wants_dimension(
            "`polar`",
            Dimension::LENGTH,
            &value,
            spans[1],
        )));
    }
    let coordinates = vec![radius.value * angle.cos(), radius.value * angle.sin()];
    Ok(Value::Point(PointValue { coordinates, dimension: radius.dimension }))
}

fn of_arc(values: &[Value], spans: &Spans, f: fn(f64, f64) -> f64) -> Result<Value, Fault> {
    let radius = number(values, 0, Dimension::LENGTH, spans)?;
    let angle = number(values, 1, Dimension::ANGLE, spans)?;
    finite(f(radius, angle), Dimension::LENGTH, spans[0])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{FileId, Span};
    use std::sync::Arc;

    fn call(name: &str, values: &[Quantity]) -> Result<Value, Fault> {
        let spans: Spans = Arc::from(vec![Span::new(FileId(0), 0..1); values.len() + 1]);
        let values: Vec<Value> = values.iter().map(|q| Value::Quantity(*q)).collect();
        FunctionBody::find(name).unwrap().call(&values, &spans)
    }

    fn near(name: &str, values: &[Quantity], expected: Quantity) {
        let Ok(Value::Quantity(found)) = call(name, values) else { panic!("{name}") };
        assert_eq!(found.dimension, expected.dimension, "{name}");
        assert!((found.value - expected.value).abs() < 1e-9, "{name} {}", found.value);
    }

    #[test]
    fn arcs_become_lengths_by_the_textbook() {
        // r 40 mm over 90 deg: arc 62.832, chord 56.569, sagitta 11.716 (elementary
        // trigonometry: r a, 2 r sin(a/2), r (1 - cos(a/2)))
        let arc = [Quantity::mm(40.0), Quantity::deg(90.0)];
        near("arc_length", &arc, Quantity::mm(20.0 * std::f64::consts::PI));
        near("chord", &arc, Quantity::mm(40.0 * 2f64.sqrt()));
        near("sagitta", &arc, Quantity::mm(40.0 - 20.0 * 2f64.sqrt()));
    }

    #[test]
    fn rounding_goes_to_whole_steps() {
        near("floor", &[Quantity::mm(0.3), Quantity::mm(0.1)], Quantity::mm(0.3));
        near("ceil", &[Quantity::mm(0.31), Quantity::mm(0.1)], Quantity::mm(0.4));
        near("round", &[Quantity::mm(7.6), Quantity::mm(0.5)], Quantity::mm(7.5));
        near("mod", &[Quantity::plain(-1.0), Quantity::plain(3.0)], Quantity::plain(2.0));
        near("sqrt", &[Quantity::new(9.0, Dimension::AREA)], Quantity::mm(3.0));
    }

    #[test]
    fn what_is_outside_a_domain_is_refused() {
        let code = |r: Result<Value, Fault>| r.unwrap_err().code;
        assert_eq!(code(call("sqrt", &[Quantity::plain(-1.0)])), codes::OUTSIDE_DOMAIN);
        assert_eq!(code(call("asin", &[Quantity::plain(2.0)])), codes::OUTSIDE_DOMAIN);
        assert_eq!(code(call("tan", &[Quantity::deg(90.0)])), codes::OUTSIDE_DOMAIN);
        assert_eq!(code(call("sqrt", &[Quantity::mm(4.0)])), codes::UNIT_MISMATCH);
        let zero = [Quantity::mm(4.0), Quantity::mm(0.0)];
        assert_eq!(code(call("mod", &zero)), codes::DIVISION_BY_ZERO);
    }
}
