//! `ease`: which edges of an inlay become ceilings of its pocket.

use super::calls::Arguments;
use super::codes;
use super::evaluator::Evaluator;
use super::solids::FaceValue;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::{Eased, Placement, Pose, Surface};
use crate::source::Span;
use std::f64::consts::FRAC_PI_2;

impl Evaluator<'_> {
    /// Easing: which edges become ceilings is decided by the pose of the host.
    pub(super) fn ease(
        &mut self,
        arguments: &Arguments,
        face: &FaceValue,
        surface: &Surface,
    ) -> Option<Option<Eased>> {
        let Some(Value::Quantity(angle)) = arguments.get("ease") else { return Some(None) };
        let angle_rad = angle.value;
        if !(angle_rad > 0.0 && angle_rad < FRAC_PI_2) {
            let message = format!("`ease` lies between 0 deg and 90 deg, it is {angle}");
            self.bad_measure(
                arguments.place("ease"),
                message,
                "give the steepest ceiling that prints, from the vertical: 45 deg",
            );
            return None;
        }
        if let Surface::Flat { normal, .. } = surface
            && is_level(surface)
        {
            self.fail(level_ease(arguments.place("ease"), face, normal[2]));
            return None;
        }
        let pose = face.pose.as_ref().unwrap_or(&Pose::Upright);
        let Some(lower) = eases_lower_edges(pose, &face.here) else {
            let host = face.part.as_deref().unwrap_or("the host");
            self.fail(ease_pose(arguments.place("ease"), host));
            return None;
        };
        Some(Some(Eased { angle_rad, lower }))
    }
}

/// Why a pocket in a level face is not eased: all sides of it stand upright in the usual
/// poses, so that it has no ceiling, or its whole back is one.
fn level_ease(span: Span, face: &FaceValue, normal: f64) -> Diagnostic {
    let pose = face.pose.as_ref().unwrap_or(&Pose::Upright);
    let host = face.part.as_deref().unwrap_or("the host");
    let (why, help) = match eases_lower_edges(pose, &face.here) {
        None => ("has no wall to run along".to_string(), "leave it out".to_string()),
        Some(over) if (normal > 0.0) != over => (
            format!("{host} prints with it facing up: nothing in it hangs over"),
            "leave it out".to_string(),
        ),
        Some(_) => (
            format!(
                "{host} prints with it facing down: the whole back of a pocket in it is a bridge"
            ),
            "leave it out, and draw nothing wider than the printer's `bridge`; or print it the \
             other way up"
                .to_string(),
        ),
    };
    let message =
        format!("`ease` slopes ceilings that run along a wall; this face is level, and {why}");
    Diagnostic::at(codes::INLAY_FIELDS, span, message).help(help)
}

/// Whether a face is level in the frame of its leaf.
pub fn is_level(surface: &Surface) -> bool {
    matches!(surface, Surface::Flat { up, .. } if up[2] == 0.0)
}

/// Whether the lower edges, in the frame of a leaf, become ceilings when its part is
/// printed in this pose; nothing when its axis does not stand upright then.
pub fn eases_lower_edges(pose: &Pose, here: &Placement) -> Option<bool> {
    let turned_over = match pose {
        Pose::Upright => false,
        Pose::UpsideDown => true,
        Pose::Tipped { .. } | Pose::On { .. } => return None,
    };
    let up = here.matrix[2][2];
    if (up.abs() - 1.0).abs() > 1e-9 {
        return None;
    }
    Some(turned_over != (up < 0.0))
}

/// A host in a pose for which easing has no meaning.
pub fn ease_pose(span: Span, host: &str) -> Diagnostic {
    Diagnostic::at(
        codes::EASE_POSE,
        span,
        format!(
            "`ease` works along the axis, and {host} is printed neither upright nor upside down"
        ),
    )
    .help("leave `ease` out, or give the host pose: upright or upside_down")
}
