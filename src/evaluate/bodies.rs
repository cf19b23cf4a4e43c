//! Built-in bodies: each becomes one leaf with an exact profile and named faces.

use super::calls::Arguments;
use super::codes;
use super::evaluator::Evaluator;
use super::solids::SolidValue;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::{Leaf, Prism, Sides, Turned};
use crate::plane::{
    Close, Curve, Edge, Outline, PathCurve, PathStep, PlaneError, Point, Segment, Track,
    outline_of, path, rect,
};
use crate::quantity::{Dimension, Quantity, decimals};
use std::f64::consts::FRAC_PI_2;
use std::sync::Arc;

/// How far left of the axis rounding may put a point of a profile, mm.
const AXIS_MM: f64 = 1e-9;

/// A corner of a profile: where, its treatment, and the face of the step to it.
type Corner<'a> = (f64, f64, Edge, &'a str);

impl Evaluator<'_> {
    /// The work of a built-in body.
    pub fn build_body(&mut self, name: &str, arguments: &Arguments) -> Value {
        let made = match name {
            "turned" => self.turned(arguments),
            "prism" => self.prism(arguments),
            "block" => self.block(arguments),
            "rod" => self.rod(arguments),
            "tube" => self.tube(arguments),
            "cone" => self.cone(arguments),
            "ball" => self.ball(arguments),
            "ring" => self.ring(arguments),
            "hollow" => return self.hollow(arguments),
            _ => return self.solid_call(arguments),
        };
        match made {
            Some(leaf) => {
                let mut solid = SolidValue::leaf(leaf);
                solid.attributes = Arc::new(arguments.attributes());
                Value::Solid(Arc::new(solid))
            }
            None => Value::Poison,
        }
    }

    /// `solid { form: … }`: the form as it is, which goes on answering to what it did.
    fn solid_call(&mut self, arguments: &Arguments) -> Value {
        let Some(form) = arguments.get("form").and_then(Value::solid) else {
            return Value::Poison;
        };
        let mut solid = (**form).clone();
        let mut attributes = arguments.attributes();
        attributes.extend(form.attributes.iter().map(|(k, v)| (k.clone(), v.clone())));
        solid.attributes = Arc::new(attributes);
        Value::Solid(Arc::new(solid))
    }

    /// A measure that must be above 0.
    pub(super) fn above_zero(&mut self, arguments: &Arguments, field: &str) -> Option<f64> {
        let value = arguments.number(field)?;
        if value > 0.0 {
            return Some(value);
        }
        let shown = Quantity::mm(value);
        let message = format!("`{field}` must be above 0 mm, it is {shown}");
        self.bad_measure(arguments.place(field), message, "give it a length above 0 mm");
        None
    }

    fn profile(
        &mut self,
        arguments: &Arguments,
        made: Result<Outline, PlaneError>,
    ) -> Option<Leaf> {
        match made {
            Ok(outline) => Some(Leaf::Turned(Arc::new(Turned { outline, sides: None }))),
            Err(error) => {
                self.bad_outline(arguments.callee.to(arguments.span), &error);
                None
            }
        }
    }

    fn turned(&mut self, arguments: &Arguments) -> Option<Leaf> {
        let Some(Value::Outline(value)) = arguments.get("outline") else { return None };
        let outline = value.outline.as_ref()?;
        let least = outline.bounds().map_or(0.0, |[low, _]| low.x);
        if least < -AXIS_MM {
            let message = format!(
                "a turned outline lies right of the axis, this one reaches x = {}",
                Quantity::mm(least)
            );
            self.fail(
                Diagnostic::at(codes::BAD_OUTLINE, arguments.place("outline"), message)
                    .help("x is the radius: keep every point at x = 0 mm or above"),
            );
            return None;
        }
        let outline = (**outline).clone();
        let sides = self.sides(arguments)?;
        Some(Leaf::Turned(Arc::new(Turned { outline, sides })))
    }

    /// `facets` of a turned body; 0 is round.
    fn sides(&mut self, arguments: &Arguments) -> Option<Option<Sides>> {
        let count = arguments.number("facets").unwrap_or(0.0);
        let sides = Sides::new(count.clamp(0.0, 1e6) as u32);
        if count == 0.0 || sides.is_some() {
            return Some(sides);
        }
        let message = format!(
            "`facets` is 0 for round, or from {} to {}, it is {}",
            Sides::FEWEST,
            Sides::MOST,
            decimals(count, 0)
        );
        self.bad_measure(arguments.place("facets"), message, "give it a whole number, as in 8");
        None
    }

    fn prism(&mut self, arguments: &Arguments) -> Option<Leaf> {
        let Some(Value::Outline(value)) = arguments.get("outline") else { return None };
        let height_mm = self.above_zero(arguments, "height")?;
        let taper_rad = arguments.number("taper").unwrap_or(0.0);
        if taper_rad.abs() >= FRAC_PI_2 {
            let message = format!(
                "`taper` must lie between -90 deg and 90 deg, it is {}",
                Quantity::rad(taper_rad)
            );
            self.bad_measure(
                arguments.place("taper"),
                message,
                "give it the lean from the vertical, as in 5 deg",
            );
            return None;
        }
        let top = self.edge_in(arguments, "top", Dimension::LENGTH)?;
        let bottom = self.edge_in(arguments, "bottom", Dimension::LENGTH)?;
        if let Err(reason) = side(height_mm, taper_rad, top, bottom) {
            let field = if top == Edge::None { "bottom" } else { "top" };
            self.bad_outline(arguments.place(field), &reason);
            return None;
        }
        let outline = (**value.outline.as_ref()?).clone();
        Some(Leaf::Prism(Arc::new(Prism { outline, height_mm, taper_rad, top, bottom })))
    }

    fn block(&mut self, arguments: &Arguments) -> Option<Leaf> {
        let Some(Value::Point(size)) = arguments.get("size") else { return None };
        let [x, y, z] = size.coordinates[..] else {
            let message = "`size` of a block wants width, depth and height, this has two";
            self.bad_measure(
                arguments.place("size"),
                message.to_string(),
                "write (30 mm, 20 mm, 10 mm)",
            );
            return None;
        };
        if size.dimension != Dimension::LENGTH || z <= 0.0 {
            let message = "`size` of a block wants three lengths above 0 mm".to_string();
            self.bad_measure(arguments.place("size"), message, "write (30 mm, 20 mm, 10 mm)");
            return None;
        }
        let corner = self.edge_in(arguments, "corner", Dimension::LENGTH)?;
        match rect(x, y, corner) {
            Ok(outline) => Some(Leaf::Prism(Arc::new(Prism {
                outline,
                height_mm: z,
                taper_rad: 0.0,
                top: Edge::None,
                bottom: Edge::None,
            }))),
            Err(error) => {
                self.bad_outline(arguments.callee.to(arguments.span), &error);
                None
            }
        }
    }

    fn rod(&mut self, arguments: &Arguments) -> Option<Leaf> {
        let r = self.above_zero(arguments, "diameter")? / 2.0;
        let h = self.above_zero(arguments, "height")?;
        let top = self.edge_in(arguments, "top", Dimension::LENGTH)?;
        let bottom = self.edge_in(arguments, "bottom", Dimension::LENGTH)?;
        let corners =
            [(r, 0.0, bottom, "bottom"), (r, h, top, "side"), (0.0, h, Edge::None, "top")];
        self.profile(arguments, profile((0.0, 0.0), &corners, None))
    }

    fn tube(&mut self, arguments: &Arguments) -> Option<Leaf> {
        let inner = self.above_zero(arguments, "bore")? / 2.0;
        let outer = inner + self.above_zero(arguments, "wall")?;
        let h = self.above_zero(arguments, "height")?;
        let corners = [
            (outer, 0.0, Edge::None, "bottom"),
            (outer, h, Edge::None, "outside"),
            (inner, h, Edge::None, "top"),
        ];
        self.profile(arguments, profile((inner, 0.0), &corners, Some("inside")))
    }

    fn cone(&mut self, arguments: &Arguments) -> Option<Leaf> {
        let below = arguments.number("below")? / 2.0;
        let above = arguments.number("above")? / 2.0;
        let h = self.above_zero(arguments, "height")?;
        if below < 0.0 || above < 0.0 || below + above == 0.0 {
            let message = format!(
                "a cone wants two diameters of 0 mm or above, not both 0: these are {} and {}",
                Quantity::mm(below * 2.0),
                Quantity::mm(above * 2.0)
            );
            self.bad_measure(arguments.callee, message, "give `below` and `above` their diameters");
            return None;
        }
        let corners = [
            (below, 0.0, Edge::None, "bottom"),
            (above, h, Edge::None, "side"),
            (0.0, h, Edge::None, "top"),
        ];
        let corners: Vec<Corner<'_>> = corners
            .into_iter()
            .filter(|(x, y, ..)| !(*x == 0.0 && *y == 0.0))
            .filter(|(x, _, _, face)| !(above == 0.0 && *face == "top" && *x == 0.0))
            .collect();
        self.profile(arguments, profile((0.0, 0.0), &corners, None))
    }

    fn ball(&mut self, arguments: &Arguments) -> Option<Leaf> {
        let r = self.above_zero(arguments, "diameter")? / 2.0;
        let steps = [PathStep {
            to: Point::new(0.0, r),
            curve: PathCurve::Through(Point::new(r, 0.0)),
            edge: Edge::None,
            face: None,
        }];
        let track = path(Point::new(0.0, -r), &steps, Some(&Close::default()));
        self.profile(arguments, track.map_err(|e| e.reason).and_then(outline_of))
    }

    fn ring(&mut self, arguments: &Arguments) -> Option<Leaf> {
        let centre = self.above_zero(arguments, "across")? / 2.0;
        let r = self.above_zero(arguments, "thick")? / 2.0;
        if r > centre {
            let message = format!(
                "a ring {} across cannot be {} thick: it would close over the axis",
                Quantity::mm(centre * 2.0),
                Quantity::mm(r * 2.0)
            );
            self.bad_measure(arguments.place("thick"), message, "make `thick` less than `across`");
            return None;
        }
        let curve = Curve::Arc { centre: Point::new(centre, 0.0), anticlockwise: true };
        let half = |x: f64| Segment { to: Point::new(centre + x, 0.0), curve, face: None };
        let track = Track { start: Point::new(centre + r, 0.0), segments: vec![half(-r), half(r)] };
        self.profile(arguments, Ok(Outline { loops: vec![track] }))
    }
}

/// Whether the treated edges of a prism find room on its side, seen from the end. How
/// far they reach inwards over its faces is seen with the outline.
fn side(height_mm: f64, taper_rad: f64, top: Edge, bottom: Edge) -> Result<(), PlaneError> {
    /// Far more than any treated edge takes of a face, mm.
    const INWARDS_MM: f64 = 1e6;
    let lean = height_mm * taper_rad.tan();
    let step = |x: f64, y: f64, edge| PathStep {
        to: Point::new(x, y),
        curve: PathCurve::Line,
        edge,
        face: None,
    };
    let steps = [
        step(0.0, 0.0, bottom),
        step(lean, height_mm, top),
        step(lean - INWARDS_MM, height_mm, Edge::None),
    ];
    path(Point::new(0.0 - INWARDS_MM, 0.0), &steps, None).map(|_| ()).map_err(|error| error.reason)
}

/// The outline through these corners and back to the start.
fn profile(
    start: (f64, f64),
    corners: &[Corner<'_>],
    closing: Option<&str>,
) -> Result<Outline, PlaneError> {
    let steps: Vec<PathStep> = corners
        .iter()
        .map(|(x, y, edge, face)| PathStep {
            to: Point::new(*x, *y),
            curve: PathCurve::Line,
            edge: *edge,
            face: Some((*face).into()),
        })
        .collect();
    let close = Close { edge: Edge::None, face: closing.map(Into::into) };
    let track = path(Point::new(start.0, start.1), &steps, Some(&close));
    track.map_err(|e| e.reason).and_then(outline_of)
}
