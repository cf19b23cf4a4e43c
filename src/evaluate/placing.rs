//! Placement, repetition, and the booleans of solids and outlines.

use super::arithmetic::{Spans, sign};
use super::codes;
use super::coerce::{lengths, not_whole, pair};
use super::evaluator::{DEEPEST_SOLID, Evaluator, LONGEST_LIST, MOST_LEAVES, Scope};
use super::ink::{Move, OutlineValue};
use super::measured::{Measured, Recipe, Sort};
use super::solids::SolidValue;
use super::value::{LineValue, Value, whole};
use crate::diagnostics::Diagnostic;
use crate::model::{Operation, Placement};
use crate::plane::{Combine, PlaneError, Point};
use crate::quantity::Dimension;
use crate::source::Span;
use crate::syntax::{Axis, Binary, Expr, ExprKind, Placing, Spread};
use std::f64::consts::TAU;
use std::sync::Arc;

/// The number of an axis: 0, 1, 2.
pub fn axis_index(axis: Axis) -> usize {
    match axis {
        Axis::X => 0,
        Axis::Y => 1,
        Axis::Z => 2,
    }
}

impl Evaluator<'_> {
    /// Placements one after another, in the order written, without going deeper.
    pub fn placings(&mut self, scope: &Scope<'_>, expr: &Expr) -> Value {
        let mut steps = Vec::new();
        let mut body = expr;
        while let ExprKind::Placed { body: inner, placing } = &body.kind {
            steps.push((&**placing, body.span));
            body = inner;
        }
        let mut value = self.eval(scope, body);
        for (placing, span) in steps.into_iter().rev() {
            value = self.place(scope, value, placing, span);
        }
        value
    }

    fn place(&mut self, scope: &Scope<'_>, value: Value, placing: &Placing, span: Span) -> Value {
        if let (Value::Measured(_), _) = (&value, placing) {
            return self.fail(codes::measured_too_early(span, "what is placed here"));
        }
        match placing {
            Placing::At(to) => {
                let by = self.eval(scope, to);
                self.at(&value, &by, to.span, span)
            }
            Placing::Raised(by) => {
                match self.argument_number(scope, "raised", Dimension::LENGTH, by) {
                    Some(height) => {
                        self.solid_moved(&value, &Placement::shifted([0.0, 0.0, height]), span)
                    }
                    None => Value::Poison,
                }
            }
            Placing::Grown(by) => match self.argument_number(scope, "grown", Dimension::LENGTH, by)
            {
                Some(by_mm) => self.grow(&value, by_mm, span),
                None => Value::Poison,
            },
            Placing::Spun { by, about } => {
                match self.argument_number(scope, "spun", Dimension::ANGLE, by) {
                    Some(angle) => self.spin(&value, angle, *about, span),
                    None => Value::Poison,
                }
            }
            Placing::Mirrored { along } => self.mirror(&value, *along, span),
        }
    }

    /// The number that stands behind a word of placement.
    fn argument_number(
        &mut self,
        scope: &Scope<'_>,
        word: &str,
        wants: Dimension,
        expr: &Expr,
    ) -> Option<f64> {
        let kind = crate::resolve::Kind::Number(wants);
        self.argument(scope, word, &kind, expr).number(wants)
    }

    fn at(&mut self, value: &Value, by: &Value, by_span: Span, span: Span) -> Value {
        match (value, by) {
            (Value::Poison, _) | (_, Value::Poison) => Value::Poison,
            (Value::Quantity(length), Value::Quantity(angle))
                if length.dimension == Dimension::LENGTH && angle.dimension == Dimension::ANGLE =>
            {
                Value::LengthAt { length_mm: length.value, angle_rad: angle.value }
            }
            (Value::Outline(outline), Value::Point(_)) => match pair(by) {
                Some(([x, y], d)) if d == outline.dimension || outline.outline_is_empty() => {
                    Value::Outline(outline.moved(Move::Shift(Point::new(x, y))))
                }
                Some((_, d)) => {
                    let spans: Spans = Arc::from([span, span, by_span]);
                    let a = Value::Quantity(crate::quantity::Quantity::new(0.0, outline.dimension));
                    let b = Value::Quantity(crate::quantity::Quantity::new(0.0, d));
                    self.fail(codes::mixed_units("at", &a, &b, &spans))
                }
                None => self.fail(wrong_place("an outline moves by a point of two", by_span)),
            },
            (Value::Line(line), Value::Point(_)) => match pair(by) {
                Some(([x, y], d)) if d == line.dimension => {
                    moved_line(line, Move::Shift(Point::new(x, y)))
                }
                _ => self.fail(wrong_place("a path moves by a point of its own unit", by_span)),
            },
            (_, Value::Point(_)) => match lengths(by) {
                Some(shift) => self.solid_moved(value, &Placement::shifted(shift), span),
                None => self.fail(codes::wants_dimension(
                    "`at`",
                    Dimension::LENGTH,
                    &Value::Quantity(crate::quantity::Quantity::plain(0.0)),
                    by_span,
                )),
            },
            (_, other) => {
                let message = format!("`at` wants a point, this is {}", codes::shown(other));
                self.fail(
                    Diagnostic::at(codes::WRONG_KIND, by_span, message)
                        .label(other.spoken())
                        .help("write at (10 mm, 0 mm, 5 mm)"),
                )
            }
        }
    }

    fn spin(&mut self, value: &Value, angle: f64, about: Axis, span: Span) -> Value {
        match value {
            Value::Outline(outline) if about == Axis::Z => {
                Value::Outline(outline.moved(Move::Spin(angle)))
            }
            Value::Line(line) if about == Axis::Z => moved_line(line, Move::Spin(angle)),
            Value::Outline(_) | Value::Line(_) => {
                self.fail(wrong_place("an outline can be spun about z only", span))
            }
            _ => self.solid_moved(value, &Placement::turned(axis_index(about), angle), span),
        }
    }

    fn mirror(&mut self, value: &Value, along: Axis, span: Span) -> Value {
        let flat = Move::Mirror { along_x: along == Axis::X };
        match value {
            Value::Outline(_) | Value::Line(_) if along == Axis::Z => {
                self.fail(wrong_place("an outline can be mirrored along x or y only", span))
            }
            Value::Outline(outline) => Value::Outline(outline.moved(flat)),
            Value::Line(line) => moved_line(line, flat),
            _ => self.solid_moved(value, &Placement::mirrored(axis_index(along)), span),
        }
    }

    fn solid_moved(&mut self, value: &Value, placement: &Placement, span: Span) -> Value {
        match (value, value.solid()) {
            (Value::Poison, _) => Value::Poison,
            (Value::None, _) => Value::None,
            (_, Some(solid)) => Value::Solid(Arc::new(solid.placed(placement))),
            (other, None) => {
                let message =
                    format!("only a solid can be placed here, this is {}", codes::shown(other));
                self.fail(
                    Diagnostic::at(codes::WRONG_KIND, span, message).help(
                        "outlines take at (x, y), spun and mirrored; solids take all of them",
                    ),
                )
            }
        }
    }

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
            let what = format!("{wanted} copies, more than {LONGEST_LIST},");
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
        let mut all: Option<OutlineValue> = None;
        for place in places {
            let Some(by) = place.in_plane() else {
                return self
                    .fail(wrong_place("outlines are repeated around z, or along (dx, dy)", span));
            };
            let copy = outline.moved(by);
            all = match all {
                None => Some(copy),
                Some(sum) => match OutlineValue::combined(Combine::Join, &sum, &copy) {
                    Ok(sum) => Some(sum),
                    Err(error) => return self.bad_outline(span, &error),
                },
            };
        }
        Value::Outline(all.unwrap_or_else(OutlineValue::empty))
    }

    /// `a join b`, `a less b`, `a meet b`
    pub fn combine(&mut self, op: Binary, a: &Value, b: &Value, spans: &Spans) -> Value {
        if a.is_poison() || b.is_poison() {
            return Value::Poison;
        }
        let (operation, how) = match op {
            Binary::Join => (Operation::Join, Combine::Join),
            Binary::Less => (Operation::Less, Combine::Less),
            _ => (Operation::Meet, Combine::Meet),
        };
        let as_outline = |value: &Value| match value {
            Value::Outline(outline) => Some(outline.clone()),
            Value::None => Some(OutlineValue::empty()),
            _ => None,
        };
        let as_solid = |value: &Value| match value {
            Value::None => Some(Arc::new(SolidValue::empty())),
            other => other.solid().cloned(),
        };
        match (as_solid(a), as_solid(b), as_outline(a), as_outline(b)) {
            (Some(_), Some(_), Some(_), Some(_)) => Value::None,
            (Some(a), Some(b), _, _) => self.sized(a.combined(operation, &b), spans[0]),
            (_, _, Some(a), Some(b)) => self.combine_outlines(how, a, b, spans),
            _ => self.fail(codes::wrong_operands(sign(op), a, b, spans)),
        }
    }

    fn combine_outlines(
        &mut self,
        how: Combine,
        mut a: OutlineValue,
        mut b: OutlineValue,
        spans: &Spans,
    ) -> Value {
        // Nothing has no unit of its own.
        if a.outline_is_empty() {
            a.dimension = b.dimension;
        } else if b.outline_is_empty() {
            b.dimension = a.dimension;
        }
        if a.dimension != b.dimension {
            let of = |d| Value::Quantity(crate::quantity::Quantity::new(0.0, d));
            let (a, b) = (of(a.dimension), of(b.dimension));
            return self.fail(codes::mixed_units("of outlines, this,", &a, &b, spans));
        }
        if a.ink.depth().max(b.ink.depth()) > DEEPEST_SOLID {
            let what = format!("an outline of more than {DEEPEST_SOLID} nested operations");
            return self.fail(codes::too_much_work(spans[0], &what));
        }
        match OutlineValue::combined(how, &a, &b) {
            Ok(outline) => Value::Outline(outline),
            Err(error) => self.bad_outline(spans[0], &error),
        }
    }

    /// The solid, unless it has grown beyond what is ever built.
    pub fn sized(&mut self, solid: SolidValue, span: Span) -> Value {
        if solid.leaves > MOST_LEAVES {
            return self.too_many_leaves(solid.leaves, span);
        }
        if solid.depth > DEEPEST_SOLID {
            let what = format!("a body of more than {DEEPEST_SOLID} operations inside each other");
            return self.fail(
                codes::too_much_work(span, &what).help("join many bodies with joined([a, b, …])"),
            );
        }
        Value::Solid(Arc::new(solid))
    }

    fn too_many_leaves(&mut self, leaves: u64, span: Span) -> Value {
        let what = format!("a body of {leaves} pieces, more than {MOST_LEAVES},");
        self.fail(codes::too_much_work(span, &what))
    }

    /// `joined(list)`
    pub fn joined(&mut self, list: &Value, spans: &Spans) -> Value {
        let Value::List(items) = list else {
            let message = format!("`joined` wants a list, this is {}", codes::shown(list));
            return self.fail(
                Diagnostic::at(codes::WRONG_KIND, spans[1], message)
                    .label(list.spoken())
                    .help("write joined([a, b, c])"),
            );
        };
        if items.iter().any(|i| matches!(i, Value::Outline(_))) {
            let join = |evaluator: &mut Self, sum: Value, item: &Value| {
                let at: Spans = Arc::from([spans[1]; 3]);
                evaluator.combine(Binary::Join, &sum, item, &at)
            };
            return items.iter().fold(Value::None, |sum, item| join(self, sum, item));
        }
        let mut solids = Vec::new();
        for item in items.iter() {
            match (item, item.solid()) {
                (Value::None, _) => {}
                (_, Some(solid)) => solids.push((**solid).clone()),
                (other, None) => {
                    let message =
                        format!("`joined` takes solids, this list holds {}", other.spoken());
                    return self.fail(
                        Diagnostic::at(codes::WRONG_KIND, spans[1], message)
                            .help("keep only solids in the list"),
                    );
                }
            }
        }
        self.sized(SolidValue::many(&solids), spans[0])
    }

    /// `volume(solid)`: measured.
    pub fn volume(&mut self, solid: &Value, spans: &Spans) -> Value {
        match solid.solid() {
            Some(found) => Value::Measured(Arc::new(Measured {
                sort: Sort::Number(Dimension::VOLUME),
                recipe: Recipe::Volume(found.body.clone()),
            })),
            None => {
                let message = format!("`volume` wants a solid, this is {}", codes::shown(solid));
                self.fail(
                    Diagnostic::at(codes::WRONG_KIND, spans[1], message)
                        .label(solid.spoken())
                        .help("write volume(SOLID)"),
                )
            }
        }
    }

    /// An outline that cannot be, with the builder's reason.
    pub fn bad_outline(&mut self, span: Span, error: &PlaneError) -> Value {
        self.fail(
            Diagnostic::at(codes::BAD_OUTLINE, span, error.to_string()).help(
                "change one of the measures so that the outline closes without crossing itself",
            ),
        )
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

fn moved_line(line: &LineValue, by: Move) -> Value {
    Value::Line(Arc::new(LineValue { track: by.track(&line.track), dimension: line.dimension }))
}

fn wrong_place(message: &str, span: Span) -> Diagnostic {
    Diagnostic::at(codes::WRONG_KIND, span, message)
        .help("outlines lie in the plane of x and y: at (x, y), spun ANGLE, mirrored along x")
}

fn no_copies(count: i64, span: Span) -> Diagnostic {
    Diagnostic::at(
        codes::OUTSIDE_DOMAIN,
        span,
        format!("at least 1 copy is wanted, this asks for {count}"),
    )
    .help("write if n > 0 then n of X … else none")
}
