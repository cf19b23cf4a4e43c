//! Outline builders and paths.

use super::calls::Arguments;
use super::codes;
use super::coerce::pair;
use super::evaluator::{Evaluator, Scope};
use super::ink::{Ink, OutlineValue, Pen};
use super::value::{EdgeValue, LineValue, Value};
use crate::diagnostics::Diagnostic;
use crate::plane::{
    Close, Corners, Edge, Ends, Outline, PathCurve, PathError, PathStep, PlaneError, Point, Side,
    Track, disc, outline_of, path, polygon, rect, regular, slot,
};
use crate::quantity::Dimension;
use crate::source::Span;
use crate::syntax::{Expr, Step, StepKind};
use std::sync::Arc;

impl Evaluator<'_> {
    /// The work of an outline builder.
    pub fn build_outline(&mut self, name: &str, arguments: &Arguments) -> Value {
        if name == "stroke" {
            return self.stroke(arguments);
        }
        if name == "polygon" {
            return self.polygon(arguments);
        }
        let size = arguments.get("size").and_then(pair);
        let number = |name: &str| match arguments.get(name) {
            Some(Value::Quantity(q)) => Some((q.value, q.dimension)),
            _ => None,
        };
        let (made, dimension) = match name {
            "rect" => {
                let Some(([x, y], dimension)) = size else { return Value::Poison };
                let Some(corner) = self.edge_in(arguments, "corner", dimension) else {
                    return Value::Poison;
                };
                (rect(x, y, corner), dimension)
            }
            "slot" => {
                let Some(([x, y], dimension)) = size else { return Value::Poison };
                (slot(x, y), dimension)
            }
            "disc" => {
                let Some((diameter, dimension)) = number("diameter") else { return Value::Poison };
                (disc(diameter), dimension)
            }
            _ => {
                let (Some((sides, _)), Some((across, dimension))) =
                    (number("sides"), number("across"))
                else {
                    return Value::Poison;
                };
                (regular(sides.clamp(0.0, 1e6) as u32, across), dimension)
            }
        };
        self.outline(made, dimension, arguments)
    }

    /// The edge treatment of a field, which must be measured as the outline is.
    pub fn edge_in(
        &mut self,
        arguments: &Arguments,
        field: &str,
        dimension: Dimension,
    ) -> Option<Edge> {
        match arguments.get(field) {
            None => Some(Edge::None),
            Some(Value::Edge(edge)) => self.matching(*edge, dimension, arguments.place(field)),
            Some(_) => None,
        }
    }

    fn matching(&mut self, edge: EdgeValue, dimension: Dimension, span: Span) -> Option<Edge> {
        if edge.edge == Edge::None || edge.dimension == dimension {
            return Some(edge.edge);
        }
        let value = Value::Quantity(crate::quantity::Quantity::new(0.0, edge.dimension));
        self.fail(codes::wants_dimension("the treated corner", dimension, &value, span));
        None
    }

    fn outline(
        &mut self,
        made: Result<Outline, PlaneError>,
        dimension: Dimension,
        arguments: &Arguments,
    ) -> Value {
        match made.and_then(|outline| OutlineValue::of(Ink::Fixed(outline), dimension)) {
            Ok(mut outline) => {
                outline.attributes = Arc::new(arguments.attributes());
                Value::Outline(outline)
            }
            Err(error) => self.bad_outline(arguments.callee.to(arguments.span), &error),
        }
    }

    fn polygon(&mut self, arguments: &Arguments) -> Value {
        let Some(Value::List(list)) = arguments.get("points") else { return Value::Poison };
        let span = arguments.place("points");
        let mut points = Vec::with_capacity(list.len());
        let mut dimension = None;
        for item in list.iter() {
            let Some(([x, y], d)) = pair(item) else {
                let message = format!(
                    "`points` wants points of two coordinates, this list holds {}",
                    item.spoken()
                );
                return self.fail(
                    Diagnostic::at(codes::WRONG_KIND, span, message)
                        .help("write [(0 mm, 0 mm), (10 mm, 0 mm), (5 mm, 8 mm)]"),
                );
            };
            if *dimension.get_or_insert(d) != d {
                let message = "these points are partly lengths and partly plain numbers";
                return self.fail(
                    Diagnostic::at(codes::UNIT_MISMATCH, span, message)
                        .help("give all of them the same unit"),
                );
            }
            points.push(Point::new(x, y));
        }
        self.outline(polygon(&points), dimension.unwrap_or(Dimension::LENGTH), arguments)
    }

    fn stroke(&mut self, arguments: &Arguments) -> Value {
        let (track, dimension) = match arguments.get("along") {
            Some(Value::Line(line)) => (line.track.clone(), line.dimension),
            Some(Value::Outline(outline)) => match &*outline.ink {
                Ink::Fixed(fixed) if fixed.loops.len() == 1 => {
                    (fixed.loops[0].clone(), outline.dimension)
                }
                _ => return self.fail(no_line(arguments.place("along"))),
            },
            _ => return Value::Poison,
        };
        let Some(width_mm) = arguments.number("width") else { return Value::Poison };
        let pen = Pen {
            width_mm,
            side: match arguments.word("side") {
                Some("left") => Side::Left,
                Some("right") => Side::Right,
                _ => Side::Middle,
            },
            ends: match arguments.word("ends") {
                Some("round") => Ends::Round,
                _ => Ends::Flat,
            },
            corners: match arguments.word("corners") {
                Some("round") => Corners::Round,
                _ => Corners::Mitre,
            },
        };
        match OutlineValue::of(Ink::Stroke { track, pen }, dimension) {
            Ok(mut outline) => {
                outline.attributes = Arc::new(arguments.attributes());
                Value::Outline(outline)
            }
            Err(error) => self.bad_outline(arguments.callee.to(arguments.span), &error),
        }
    }

    /// `path {…}`: an outline when it closes, else a line.
    pub fn path(&mut self, scope: &Scope<'_>, steps: &[Step], span: Span) -> Value {
        let Some(plan) = self.path_plan(scope, steps) else { return Value::Poison };
        let Some(start) = plan.start else { return self.fail(no_start(span)) };
        let dimension = plan.dimension.unwrap_or(Dimension::LENGTH);
        let made = path(start, &plan.steps, plan.close.as_ref());
        let track = match made {
            Ok(track) => track,
            Err(PathError { step, reason }) => {
                let at = plan.spans.get(step).or(plan.spans.last()).copied().unwrap_or(span);
                return self.bad_outline(at, &reason);
            }
        };
        if plan.close.is_none() {
            return Value::Line(Arc::new(LineValue { track, dimension }));
        }
        self.closed(track, dimension, span)
    }

    fn closed(&mut self, track: Track, dimension: Dimension, span: Span) -> Value {
        match outline_of(track).and_then(|o| OutlineValue::of(Ink::Fixed(o), dimension)) {
            Ok(outline) => Value::Outline(outline),
            Err(error) => self.bad_outline(span, &error),
        }
    }

    fn path_plan(&mut self, scope: &Scope<'_>, steps: &[Step]) -> Option<PathPlan> {
        let mut plan = PathPlan::default();
        let mut at = Point::default();
        let mut sound = true;
        for step in steps {
            match self.path_step(scope, step, &mut plan, at) {
                Some(next) => at = next,
                None => sound = false,
            }
        }
        sound.then_some(plan)
    }

    /// Adds one step to the plan; gives where it ends.
    fn path_step(
        &mut self,
        scope: &Scope<'_>,
        step: &Step,
        plan: &mut PathPlan,
        at: Point,
    ) -> Option<Point> {
        let (to, curve) = match &step.kind {
            StepKind::Start(to) => {
                let start = self.path_point(scope, to, plan)?;
                plan.start = Some(start);
                return Some(start);
            }
            StepKind::LineTo(to) => (self.path_point(scope, to, plan)?, PathCurve::Line),
            StepKind::LineBy(by) => (at + self.path_point(scope, by, plan)?, PathCurve::Line),
            StepKind::ArcThrough { to, through } => {
                let to = self.path_point(scope, to, plan)?;
                (to, PathCurve::Through(self.path_point(scope, through, plan)?))
            }
            StepKind::ArcRadius { to, radius, left, long } => {
                let to = self.path_point(scope, to, plan)?;
                let radius = self.path_radius(scope, radius, plan)?;
                (to, PathCurve::Radius { radius, left: *left, long: *long })
            }
            StepKind::Close => {
                let edge = self.path_edge(scope, step, plan)?;
                let face = step.face.as_ref().map(|f| f.text.clone());
                plan.close = Some(Close { edge, face });
                plan.spans.push(step.span);
                return plan.start;
            }
        };
        let edge = self.path_edge(scope, step, plan)?;
        let face = step.face.as_ref().map(|f| f.text.clone());
        plan.steps.push(PathStep { to, curve, edge, face });
        plan.spans.push(step.span);
        Some(to)
    }

    fn path_point(&mut self, scope: &Scope<'_>, expr: &Expr, plan: &mut PathPlan) -> Option<Point> {
        let value = self.eval(scope, expr);
        if value.is_poison() {
            return None;
        }
        let Some(([x, y], dimension)) = pair(&value) else {
            let message =
                format!("a step wants a point of two coordinates, this is {}", value.spoken());
            self.fail(
                Diagnostic::at(codes::WRONG_KIND, expr.span, message)
                    .label(value.spoken())
                    .help("write (10 mm, 0 mm)"),
            );
            return None;
        };
        self.same_unit(dimension, expr.span, plan)?;
        Some(Point::new(x, y))
    }

    fn path_radius(&mut self, scope: &Scope<'_>, expr: &Expr, plan: &mut PathPlan) -> Option<f64> {
        let value = self.argument(scope, "radius", &crate::resolve::Kind::Coordinate, expr);
        let Value::Quantity(q) = value else { return None };
        self.same_unit(q.dimension, expr.span, plan)?;
        Some(q.value)
    }

    /// All points of a path are lengths, or all plain numbers.
    fn same_unit(&mut self, dimension: Dimension, span: Span, plan: &mut PathPlan) -> Option<()> {
        let wants = *plan.dimension.get_or_insert(dimension);
        if wants == dimension {
            return Some(());
        }
        let value = Value::Quantity(crate::quantity::Quantity::new(0.0, dimension));
        self.fail(codes::wants_dimension("this step", wants, &value, span));
        None
    }

    fn path_edge(&mut self, scope: &Scope<'_>, step: &Step, plan: &PathPlan) -> Option<Edge> {
        let Some(expr) = &step.with else { return Some(Edge::None) };
        let value = self.argument(scope, "with", &crate::resolve::Kind::Edge, expr);
        let edge = self.edge_of(&value, "`with`", expr.span)?;
        self.matching(edge, plan.dimension.unwrap_or(Dimension::LENGTH), expr.span)
    }
}

/// A path as far as it has been read.
#[derive(Default)]
struct PathPlan {
    start: Option<Point>,
    steps: Vec<PathStep>,
    close: Option<Close>,
    /// The place of each step and of the closing one.
    spans: Vec<Span>,
    dimension: Option<Dimension>,
}

fn no_start(span: Span) -> Diagnostic {
    Diagnostic::at(codes::BAD_OUTLINE, span, "this path starts nowhere")
        .help("make its first step start (0 mm, 0 mm)")
}

fn no_line(span: Span) -> Diagnostic {
    Diagnostic::at(
        codes::WRONG_KIND,
        span,
        "a stroke follows one line, and this outline is composed",
    )
    .help("give it a path, or a simple outline such as a disc")
}
