//! Values that only geometry can tell: how each is worked out once it can.

use super::arithmetic::{Operator, Spans, apply};
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::{Body, PartId, SeatId};
use crate::quantity::{Dimension, Quantity};
use std::sync::Arc;

/// What can be measured of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartMeasure {
    /// mm3
    Volume,
    /// g
    Mass,
    /// Extent along x as placed, mm.
    Width,
    /// Extent along y as placed, mm.
    Length,
    /// Extent along z as placed, mm.
    Height,
    /// How many pieces it has.
    Pieces,
    /// Greatest strain while a slit ring is sprung over its host, a ratio.
    SpringStrain,
}

/// What can be measured of a seat or a closure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SeatMeasure {
    /// Least distance of facing flanks, mm.
    LeastGap,
}

/// Who measures. Values are in base units: mm, mm3, g, plain; none where there is
/// nothing to measure.
pub trait Measures {
    /// Of a finished part.
    fn part(&self, part: PartId, what: PartMeasure) -> Option<f64>;
    /// Of a seat, between the finished bodies.
    fn seat(&self, seat: SeatId, what: SeatMeasure) -> Option<f64>;
    /// Of a closure, by its index in the model.
    fn closure(&self, closure: usize, what: SeatMeasure) -> Option<f64>;
    /// Of two bodies that go together, by their index in the model.
    fn fit(&self, fit: usize, what: SeatMeasure) -> Option<f64>;
    /// The volume of a body, mm3.
    fn volume(&self, body: &Arc<Body>) -> Option<f64>;
}

/// A value that is not known yet.
#[derive(Clone, Debug)]
pub struct Measured {
    /// What it will be.
    pub sort: Sort,
    /// How it is worked out.
    pub recipe: Recipe,
}

/// What a measured value will be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sort {
    /// A number of this dimension.
    Number(Dimension),
    /// yes or no
    Truth,
    /// A text.
    Text,
}

/// How a measured value is worked out.
#[derive(Clone, Debug)]
pub enum Recipe {
    /// Of a part, by its number in the text.
    Part(usize, PartMeasure),
    /// Of the seat or closure of a part, by its number in the text.
    Fit(usize, SeatMeasure),
    /// Volume of a body, mm3.
    Volume(Arc<Body>),
    /// An operation on values, some of them measured.
    Apply { operator: Operator, values: Vec<Value>, spans: Spans },
}

/// The number that stands for a measured one while its dimension is worked out: it
/// is in the domain of every function.
const SAMPLE: f64 = 0.5;

impl Measured {
    /// What the author would call it.
    pub fn spoken(&self) -> String {
        match self.sort {
            Sort::Number(dimension) => dimension.spoken(),
            Sort::Truth => "yes or no".to_string(),
            Sort::Text => "a text".to_string(),
        }
    }

    /// A value of its sort, for working out what an operation on it gives.
    pub fn sample(&self) -> Value {
        match self.sort {
            Sort::Number(dimension) => Value::Quantity(Quantity::new(SAMPLE, dimension)),
            Sort::Truth => Value::Truth(true),
            Sort::Text => Value::Text("".into()),
        }
    }
}

/// What a measuring needs to know: who measures, and which parts became which.
pub struct Gauge<'a> {
    /// Who measures.
    pub measures: &'a dyn Measures,
    /// The part of the model for each part of the text.
    pub parts: &'a [Option<PartId>],
    /// The seat of each part of the text.
    pub seats: &'a [Option<SeatId>],
    /// The closure of each part of the text.
    pub closures: &'a [Option<usize>],
    /// The fit in which each part of the text moves.
    pub fits: &'a [Option<usize>],
}

/// A measured value that could not be told.
#[derive(Clone, Debug)]
pub enum Untold {
    /// There was nothing to measure.
    Nothing,
    /// The operation failed on the measured values.
    Failed(Box<Diagnostic>),
}

impl Gauge<'_> {
    /// The value with everything measured in it.
    pub fn tell(&self, value: &Value) -> Result<Value, Untold> {
        let Value::Measured(measured) = value else { return Ok(value.clone()) };
        let number = match &measured.recipe {
            Recipe::Part(part, what) => {
                self.parts.get(*part).copied().flatten().and_then(|p| self.measures.part(p, *what))
            }
            Recipe::Fit(part, what) => self.fit(*part, *what),
            Recipe::Volume(body) => self.measures.volume(body),
            Recipe::Apply { operator, values, spans } => {
                let told: Vec<Value> =
                    values.iter().map(|v| self.tell(v)).collect::<Result<_, _>>()?;
                return apply(operator, told, spans).map_err(Untold::Failed);
            }
        };
        match (number, measured.sort) {
            (Some(n), Sort::Number(d)) if n.is_finite() => Ok(Value::Quantity(Quantity::new(n, d))),
            _ => Err(Untold::Nothing),
        }
    }

    fn fit(&self, part: usize, what: SeatMeasure) -> Option<f64> {
        if let Some(seat) = self.seats.get(part).copied().flatten() {
            return self.measures.seat(seat, what);
        }
        if let Some(closure) = self.closures.get(part).copied().flatten() {
            return self.measures.closure(closure, what);
        }
        self.measures.fit(self.fits.get(part).copied().flatten()?, what)
    }
}
