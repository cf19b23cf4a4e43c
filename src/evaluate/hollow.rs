//! `hollow { profile, wall, floor, foot, rim }`: a turned vessel whose outside is drawn.

use super::calls::Arguments;
use super::codes;
use super::evaluator::Evaluator;
use super::solids::SolidValue;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::{Leaf, Turned};
use crate::plane::{Hollow, HollowError, HollowPlan, PlaneError, hollow};
use crate::quantity::{Dimension, Quantity};
use std::sync::Arc;

impl Evaluator<'_> {
    /// The body with what it answers to: `bore`, `depth`, `height`, `across`, `lean`, `cavity`.
    pub fn hollow(&mut self, arguments: &Arguments) -> Value {
        let Some(found) = self.hollow_of(arguments) else { return Value::Poison };
        let mut solid = turned(found.wall);
        let mut attributes = arguments.attributes();
        let lengths = [
            ("bore", 2.0 * found.mouth_mm),
            ("depth", found.height_mm - found.bottom_mm),
            ("height", found.height_mm),
            ("across", 2.0 * found.across_mm),
        ];
        attributes.extend(lengths.map(|(name, length)| (name.into(), Value::mm(length))));
        attributes.insert("lean".into(), Value::Quantity(Quantity::rad(found.lean_rad)));
        attributes.insert("cavity".into(), Value::Solid(Arc::new(turned(found.cavity))));
        solid.attributes = Arc::new(attributes);
        Value::Solid(Arc::new(solid))
    }

    fn hollow_of(&mut self, arguments: &Arguments) -> Option<Hollow> {
        let Some(Value::Line(line)) = arguments.get("profile") else {
            let at = arguments.place("profile");
            let message = "there is no profile, and a hollow body is made from its profile";
            self.fail(
                Diagnostic::at(codes::UNFIT_PROFILE, at, message)
                    .help("draw it: path { start (20 mm, 0 mm), line to (26 mm, 60 mm) }"),
            );
            return None;
        };
        let plan = HollowPlan {
            profile: line.track.clone(),
            wall_mm: self.above_zero(arguments, "wall")?,
            floor_mm: self.above_zero(arguments, "floor")?,
            foot: self.edge_in(arguments, "foot", Dimension::LENGTH)?,
            rim: self.edge_in(arguments, "rim", Dimension::LENGTH)?,
        };
        match hollow(&plan) {
            Ok(found) => Some(found),
            Err(error) => {
                let finding = Diagnostic::at(
                    codes::UNFIT_PROFILE,
                    arguments.place("profile"),
                    error.to_string(),
                );
                self.fail(finding.help(way_out(&error)));
                None
            }
        }
    }
}

fn turned(outline: crate::plane::Outline) -> SolidValue {
    SolidValue::leaf(Leaf::Turned(Arc::new(Turned { outline, sides: None })))
}

/// What to do about it.
fn way_out(error: &HollowError) -> &'static str {
    match error {
        HollowError::OffGround { .. } | HollowError::BelowGround { .. } => {
            "draw it from the foot upwards: start (20 mm, 0 mm)"
        }
        HollowError::LeftOfAxis { .. } => "x is the radius: keep every point at x = 0 mm or above",
        HollowError::AboveRim { .. } => {
            "end the profile at its highest point, or draw it only so far"
        }
        HollowError::FloorAboveRim { .. } => "lower `floor`, or draw the profile higher",
        HollowError::MissesFloor { .. } => {
            "make `floor` thicker, or start the profile more steeply"
        }
        HollowError::MissesRim { .. } => {
            "end the profile with a straight step up, or make `wall` thinner"
        }
        HollowError::NoRoom { .. } => "make `wall` thinner, or the profile wider",
        HollowError::Plane(PlaneError::BendTooTight { .. }) => {
            "make `wall` thinner than the radius of the bend, or the bend wider"
        }
        HollowError::Plane(_) => "change the profile, or its `foot` and `rim`, so that they fit",
    }
}
