//! `N of X …`: repetition.

use super::codes;
use super::coerce::not_whole;
use super::evaluator::{Evaluator, LONGEST_LIST, MOST_INK, MOST_LEAVES, Scope};
use super::ink::{Move, OutlineValue};
use super::placing::{axis_index, wrong_place};
use super::solids::SolidValue;
use super::value::{Value, whole};
use crate::diagnostics::Diagnostic;
use crate::model::Placement;
use crate::plane::Point;
use crate::quantity::Dimension;
use crate::source::Span;
use crate::syntax::{Expr, Spread};
use std::f64::consts::TAU;

impl Evaluator<'_> {
    /// `N of X around z`, `N of X along (…)`
    pub fn copies(
        &mut self,
        scope: &Scope<'_>,
        count: &Expr,
        body: &Expr,
        spread: &Spread,
        span: Span,
    ) -> Value {
        let number = self.eval(scope, count);
        let value = self.eval(scope, body);
        let wanted = match &number {
            Value::Poison => return Value::Poison,
            Value::Quantity(q) if q.dimension == Dimension::NONE => match whole(*q) {
                Some(n) => n,
                None => return self.fail(not_whole("`of`", q.value, count.span)),
            },
            other => {
                return self.fail(codes::wants_dimension(
                    "`of`",
                    Dimension::NONE,
                    other,
                    count.span,
                ));
            }
        };
        if wanted < 1 {
            return self.fail(no_copies(wanted, count.span));
        }
        if wanted > LONGEST_LIST as i64 {
            let what =
                format!("at most {LONGEST_LIST} copies are made, and this asks for {wanted}");
            return self.fail(codes::too_much_work(count.span, &what));
        }
        let Some(places) = self.places(scope, spread, wanted as u32) else { return Value::Poison };
        match &value {
            Value::Poison => Value::Poison,
            Value::None => Value::None,
            Value::Outline(outline) => self.outline_copies(outline, &places, span),
            other => match other.solid() {
                Some(solid) => {
                    let leaves = solid.leaves.saturating_mul(places.len() as u64);
                    if leaves > MOST_LEAVES {
                        return self.too_many_leaves(leaves, span);
                    }
                    let copies: Vec<SolidValue> =
                        places.iter().map(|p| solid.placed(&p.placement())).collect();
                    self.sized(SolidValue::many(&copies), span)
                }
                None => {
                    let message = format!(
                        "only solids and outlines can be repeated, this is {}",
                        codes::shown(other)
                    );
                    self.fail(
                        Diagnostic::at(codes::WRONG_KIND, body.span, message)
                            .label(other.spoken())
                            .help("a list of values is written [x each k in 1 .. 5]"),
                    )
                }
            },
        }
    }

    /// Where the copies go.
    fn places(&mut self, scope: &Scope<'_>, spread: &Spread, count: u32) -> Option<Vec<CopyPlace>> {
        match spread {
            Spread::Around { axis, over } => {
                let step = match over {
                    None => TAU / f64::from(count),
                    Some(over) => {
                        let angle = self.argument_number(scope, "over", Dimension::ANGLE, over)?;
                        if count > 1 { angle / f64::from(count - 1) } else { 0.0 }
                    }
                };
                let axis = axis_index(*axis);
                Some((0..count).map(|k| CopyPlace::Spin(axis, step * f64::from(k))).collect())
            }
            Spread::Along { step } => {
                let value = self.eval(scope, step);
                let by = match &value {
                    Value::Poison => return None,
                    Value::Point(p) => match p.coordinates.as_slice() {
                        [x, y] => Some(([*x, *y, 0.0], p.dimension)),
                        [x, y, z] => Some(([*x, *y, *z], p.dimension)),
                        _ => None,
                    },
                    _ => None,
                };
                let Some((by, _)) = by else {
                    let message =
                        format!("`along` wants a point, this is {}", codes::shown(&value));
                    self.fail(
                        Diagnostic::at(codes::WRONG_KIND, step.span, message)
                            .label(value.spoken())
                            .help("write the step between neighbours: along (10 mm, 0 mm)"),
                    );
                    return None;
                };
                Some((0..count).map(|k| CopyPlace::Shift(by.map(|c| c * f64::from(k)))).collect())
            }
        }
    }

    fn outline_copies(
        &mut self,
        outline: &OutlineValue,
        places: &[CopyPlace],
        span: Span,
    ) -> Value {
        let leaves = outline.leaves.saturating_mul(places.len() as u64);
        if leaves > MOST_INK {
            return self.too_much_ink(leaves, span);
        }
        let mut copies = Vec::with_capacity(places.len());
        for place in places {
            let Some(by) = place.in_plane() else {
                let words = "outlines are repeated around z, or along (dx, dy)";
                return self.fail(wrong_place(words, span));
            };
            copies.push(outline.moved(by));
        }
        self.joined_outlines(copies, span)
    }
}

/// Where one copy goes.
enum CopyPlace {
    Spin(usize, f64),
    Shift([f64; 3]),
}

impl CopyPlace {
    fn placement(&self) -> Placement {
        match self {
            CopyPlace::Spin(axis, angle) => Placement::turned(*axis, *angle),
            CopyPlace::Shift(by) => Placement::shifted(*by),
        }
    }

    /// The move of an outline; nothing where it leaves the plane.
    fn in_plane(&self) -> Option<Move> {
        match self {
            CopyPlace::Spin(2, angle) => Some(Move::Spin(*angle)),
            CopyPlace::Shift([x, y, 0.0]) => Some(Move::Shift(Point::new(*x, *y))),
            _ => None,
        }
    }
}

fn no_copies(count: i64, span: Span) -> Diagnostic {
    Diagnostic::at(
        codes::OUTSIDE_DOMAIN,
        span,
        format!("at least 1 copy is wanted, this asks for {count}"),
    )
    .help("write if n > 0 then n of X … else none")
}
