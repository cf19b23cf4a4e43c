//! `relief`: a motif or a figure on a face as a plain solid, to join or to take away.

use super::calls::Arguments;
use super::codes;
use super::easing::{ease_pose, eases_lower_edges};
use super::evaluator::Evaluator;
use super::solids::SolidValue;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::{
    Body, Eased, Inlay, Leaf, Operation, PatternError, Placement, Pose, Relief, Surface,
    nominal_strips,
};
use crate::quantity::Quantity;
use crate::source::Span;
use std::sync::Arc;

/// How far a relief goes on beyond the surface on which it is drawn, mm: more than facets
/// leave of any arc, less than any wall.
const BEYOND_MM: f64 = 0.5;

impl Evaluator<'_> {
    /// `relief {…}`
    pub fn relief(&mut self, arguments: &Arguments) -> Value {
        let Some((face, drawn)) = self.laid(arguments, "a relief") else { return Value::Poison };
        if !self.stands_or_sinks(arguments, &drawn) {
            return Value::Poison;
        }
        let relief = if drawn.sink_mm == 0.0 {
            Relief { pattern: turned_round(drawn), beyond_mm: BEYOND_MM, stands: true }
        } else {
            let beyond_mm = if drawn.proud_mm > 0.0 { 0.0 } else { BEYOND_MM };
            Relief { pattern: drawn, beyond_mm, stands: false }
        };
        match nominal_strips(&relief.pattern) {
            Ok(strips) if strips.strips.iter().any(|s| !s.is_empty()) => {}
            Ok(_) => {
                let field = if arguments.get("motif").is_some() { "motif" } else { "figure" };
                let message = format!("`{field}` of a relief draws nothing");
                return self.bad_measure(arguments.place(field), message, "give it a mark");
            }
            Err(error) => return self.fail(unlaid(&error, arguments, relief.stands)),
        }
        let mut solid = SolidValue::leaf(Leaf::Relief(Arc::new(relief)));
        solid.attributes = Arc::new(arguments.attributes());
        Value::Solid(Arc::new(solid.placed(&face.here)))
    }

    /// Its measures are none below 0, and it has some depth.
    fn stands_or_sinks(&mut self, arguments: &Arguments, drawn: &Inlay) -> bool {
        let slit_mm = drawn.slit.map(|slit| slit.width_mm);
        let measures = [
            ("sink", drawn.sink_mm, drawn.sink_mm >= 0.0),
            ("proud", drawn.proud_mm, drawn.proud_mm >= 0.0),
            ("height", drawn.height_mm, drawn.height_mm > 0.0),
            ("slit", slit_mm.unwrap_or(0.0), slit_mm.is_none_or(|width| width > 0.0)),
        ];
        if let Some((field, value, _)) = measures.iter().find(|(_, _, sound)| !sound) {
            let message = format!("`{field}` of a relief cannot be {}", Quantity::mm(*value));
            self.bad_measure(arguments.place(field), message, "give it a length above 0 mm");
            return false;
        }
        if drawn.sink_mm == 0.0 && drawn.proud_mm == 0.0 {
            let message = "a relief stands out of its face by `proud` or goes into it by `sink`";
            self.bad_measure(
                arguments.callee,
                message.to_string(),
                "say proud: 1 mm and join it, or sink: 1 mm and take it away with less",
            );
            return false;
        }
        true
    }

    /// `join` wants what stands, `less` what is sunk.
    pub fn reliefs_fit(&mut self, operation: Operation, right: &Body, span: Span) -> bool {
        let (other, message, help) = match operation {
            Operation::Join => (
                Operation::Less,
                "this relief has only `sink`: joined to its body it would add nothing that was asked for",
                "take it away with less, or give it proud: 1 mm",
            ),
            Operation::Less => (
                Operation::Join,
                "this relief has only `proud`: taken from its body it would leave nothing that was asked for",
                "add it with join, or give it sink: 1 mm",
            ),
            Operation::Meet => return true,
        };
        if !any_relief(right, &|relief| relief.only_for() == Some(other)) {
            return true;
        }
        self.fail(Diagnostic::at(codes::RELIEF_WRONG_WAY, span, message).help(help));
        false
    }

    /// The body of a part with its reliefs eased for the pose in which it is printed.
    pub fn reliefs_eased(
        &mut self,
        solid: SolidValue,
        pose: &Pose,
        span: Span,
    ) -> Option<SolidValue> {
        if !any_relief(&solid.body, &|relief| relief.pattern.eased.is_some()) {
            return Some(solid);
        }
        match eased_for(&solid.body, &Placement::IDENTITY, pose) {
            Some(body) => Some(SolidValue { body, ..solid }),
            None => {
                self.fail(ease_pose(span, "this part"));
                None
            }
        }
    }
}

/// A pattern that stands out by `proud`, as one that goes the other way by `sink`.
fn turned_round(drawn: Inlay) -> Inlay {
    let surface = match drawn.surface {
        Surface::Round { host, radius_mm, slope, outward, span_mm, sides } => {
            Surface::Round { host, radius_mm, slope, outward: !outward, span_mm, sides }
        }
        Surface::Belly { host, meridian, outward } => {
            Surface::Belly { host, meridian, outward: !outward }
        }
        Surface::Flat { host, origin, right, up, normal, width_mm, span_mm } => {
            let normal = normal.map(|c| 0.0 - c);
            Surface::Flat { host, origin, right, up, normal, width_mm, span_mm }
        }
    };
    let eased = drawn.eased.map(|e| Eased { lower: !e.lower, ..e });
    Inlay { surface, eased, sink_mm: drawn.proud_mm, proud_mm: 0.0, ..drawn }
}

/// Whether any relief of a body is so.
fn any_relief(body: &Body, is: &impl Fn(&Relief) -> bool) -> bool {
    match body {
        Body::Leaf(Leaf::Relief(relief)) => is(relief),
        Body::Empty | Body::Leaf(_) => false,
        Body::Placed { body, .. } => any_relief(body, is),
        Body::Boolean { left, right, .. } => any_relief(left, is) || any_relief(right, is),
        Body::Many(bodies) => bodies.iter().any(|body| any_relief(body, is)),
    }
}

/// A body with its reliefs eased for a pose; none where one of them lies so that easing
/// has no meaning.
fn eased_for(body: &Arc<Body>, at: &Placement, pose: &Pose) -> Option<Arc<Body>> {
    Some(match &**body {
        Body::Leaf(Leaf::Relief(relief)) if relief.pattern.eased.is_some() => {
            let lower = eases_lower_edges(pose, at)? != relief.stands;
            let eased = relief.pattern.eased.map(|e| Eased { lower, ..e });
            let pattern = Inlay { eased, ..relief.pattern.clone() };
            Arc::new(Body::Leaf(Leaf::Relief(Arc::new(Relief { pattern, ..(**relief).clone() }))))
        }
        Body::Empty | Body::Leaf(_) => body.clone(),
        Body::Placed { body, placement } => {
            let body = eased_for(body, &placement.then(at), pose)?;
            Arc::new(Body::Placed { body, placement: *placement })
        }
        Body::Boolean { operation, left, right } => Arc::new(Body::Boolean {
            operation: *operation,
            left: eased_for(left, at, pose)?,
            right: eased_for(right, at, pose)?,
        }),
        Body::Many(bodies) => {
            let all: Option<Vec<_>> = bodies.iter().map(|b| eased_for(b, at, pose)).collect();
            Arc::new(Body::Many(all?))
        }
    })
}

/// Why a relief cannot be laid out.
fn unlaid(error: &PatternError, arguments: &Arguments, stands: bool) -> Diagnostic {
    let depth = if stands { "proud" } else { "sink" };
    let (field, message, help) = match error {
        PatternError::TooDeep { .. } => {
            (depth, format!("a relief of this `{depth}` reaches the axis"), "make it less")
        }
        PatternError::CeilingAlongCone { angle_rad, .. } => (
            "ease",
            format!(
                "the face leans so far that a ceiling of {} would never end",
                Quantity::rad(*angle_rad)
            ),
            "say a larger angle for ease, or leave it out",
        ),
        PatternError::TooWide { width_mm, least_radius_mm } => (
            "slit",
            format!(
                "a slit {} wide does not fit a radius of {}",
                Quantity::mm(*width_mm),
                Quantity::mm(*least_radius_mm)
            ),
            "make it narrower",
        ),
        PatternError::UnevenChart => {
            ("motif", "a chart needs rows of one length".to_string(), "fill up the short rows")
        }
    };
    Diagnostic::at(codes::RELIEF_UNLAID, arguments.place(field), message).help(help)
}
