//! The side of a prism, seen from the end: (growth of the outline, height).

use super::super::Declined;
use crate::model::Prism;
use crate::plane::{Curve, PathCurve, PathStep, Point, Stretch, path as treated_path};

/// How far the level faces reach inwards in the drawing of the side, mm: only room for
/// the treated edges, more than any of them takes.
const INWARDS_MM: f64 = 1e4;

/// The side from the lower face up to the upper one. Each step goes up.
pub(super) fn path(prism: &Prism) -> Result<Vec<Stretch>, Declined> {
    let lean = prism.height_mm * prism.taper_rad.tan();
    let step =
        |x, y, edge| PathStep { to: Point::new(x, y), curve: PathCurve::Line, edge, face: None };
    let steps = [
        step(0.0, 0.0, prism.bottom),
        step(lean, prism.height_mm, prism.top),
        step(lean - INWARDS_MM, prism.height_mm, Default::default()),
    ];
    let track = treated_path(Point::new(-INWARDS_MM, 0.0), &steps, None)
        .map_err(|_| Declined::new("the treated edges of a prism do not fit its height"))?;
    let mut side: Vec<Stretch> = track.stretches().collect();
    side.remove(0);
    side.pop();
    let up = |s: &Stretch| s.to.y > s.from.y && bends_once(s);
    if side.is_empty() || !side.iter().all(up) {
        return Err(Declined::new("a treated edge of a prism does not lead from face to face"));
    }
    Ok(side)
}

/// Whether an arc goes up all the way.
fn bends_once(stretch: &Stretch) -> bool {
    match stretch.curve {
        Curve::Line => true,
        Curve::Arc { .. } => {
            let rounding = -1e-9;
            stretch.direction(0.0).y >= rounding && stretch.direction(1.0).y >= rounding
        }
    }
}
