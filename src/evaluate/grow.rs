//! `grown`: offsets of outlines and of bodies whose profile is known.

use super::codes;
use super::evaluator::{DEEPEST_SOLID, Evaluator};
use super::solids::SolidValue;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::{Body, Leaf, Placement, Prism, Turned};
use crate::plane::{Combine, Corners, Edge, Outline, PlaneError, Point, combine, grown, rect};
use crate::quantity::Quantity;
use crate::source::Span;
use std::f64::consts::FRAC_PI_4;
use std::sync::Arc;

/// Why a body does not grow.
enum NoGrowth {
    /// Its profile is not known.
    NoProfile,
    /// Nothing is left of it, or it was nothing.
    Nothing,
    /// Its profile cannot be offset.
    Plane(PlaneError),
}

impl Evaluator<'_> {
    /// `a grown 0.2 mm`
    pub fn grow(&mut self, value: &Value, by_mm: f64, span: Span) -> Value {
        if by_mm == 0.0 {
            return value.clone();
        }
        match value {
            Value::Poison => Value::Poison,
            Value::None => Value::None,
            Value::Outline(outline) if outline.depth >= DEEPEST_SOLID => {
                let what = format!(
                    "at most {DEEPEST_SOLID} operations stand inside each other, and here are more"
                );
                self.fail(codes::too_much_work(span, &what))
            }
            Value::Outline(outline) => match outline.grown(by_mm) {
                Ok(outline) => Value::Outline(outline),
                Err(error) => self.bad_outline(span, &error),
            },
            other => match other.solid() {
                Some(solid) => self.grow_solid(solid, by_mm, span),
                None => {
                    let message = format!(
                        "only solids and outlines can be grown, this is {}",
                        codes::shown(other)
                    );
                    self.fail(
                        Diagnostic::at(codes::WRONG_KIND, span, message)
                            .help("write OUTLINE grown 0.2 mm"),
                    )
                }
            },
        }
    }

    fn grow_solid(&mut self, solid: &Arc<SolidValue>, by_mm: f64, span: Span) -> Value {
        match grown_body(&solid.body, by_mm) {
            Ok((leaf, placement)) => {
                let made = SolidValue::leaf(leaf).placed(&placement);
                Value::Solid(Arc::new(SolidValue {
                    body: made.body,
                    faces: made.faces,
                    inlay: None,
                    ..(**solid).clone()
                }))
            }
            Err(NoGrowth::Plane(error)) => self.bad_outline(span, &error),
            Err(NoGrowth::NoProfile) => self.fail(
                Diagnostic::at(
                    codes::CANNOT_GROW,
                    span,
                    "this body has no single profile that could be grown",
                )
                .help("grow the outlines or the turned bodies and prisms of which it is made"),
            ),
            Err(NoGrowth::Nothing) => self.fail(
                Diagnostic::at(
                    codes::CANNOT_GROW,
                    span,
                    format!("grown by {}, nothing is left of this body", Quantity::mm(by_mm)),
                )
                .help("grow it by more, or start from a larger body"),
            ),
        }
    }
}

fn grown_body(body: &Body, by_mm: f64) -> Result<(Leaf, Placement), NoGrowth> {
    match body {
        Body::Leaf(leaf) => grown_leaf(leaf, by_mm),
        Body::Placed { body, placement } => {
            let (leaf, inner) = grown_body(body, by_mm)?;
            Ok((leaf, inner.then(placement)))
        }
        Body::Empty => Err(NoGrowth::Nothing),
        Body::Boolean { .. } | Body::Many(_) => Err(NoGrowth::NoProfile),
    }
}

fn grown_leaf(leaf: &Leaf, by_mm: f64) -> Result<(Leaf, Placement), NoGrowth> {
    match leaf {
        Leaf::Turned(turned) => {
            let outline = right_of_axis(&turned.outline, by_mm).map_err(NoGrowth::Plane)?;
            if outline.is_empty() {
                return Err(NoGrowth::Nothing);
            }
            let sides = turned.sides;
            Ok((Leaf::Turned(Arc::new(Turned { outline, sides })), Placement::IDENTITY))
        }
        Leaf::Prism(prism) => grown_prism(prism, by_mm),
        Leaf::Inlay(_) | Leaf::Relief(_) => Err(NoGrowth::NoProfile),
    }
}

/// The profile grown, and what has grown beyond the axis cut off. A profile that
/// touches the axis is doubled over it first: there is no wall along an axis that
/// could move.
fn right_of_axis(outline: &Outline, by_mm: f64) -> Result<Outline, PlaneError> {
    let Some([low, high]) = outline.bounds() else { return Ok(Outline::default()) };
    let doubled = if low.x <= 0.0 {
        combine(Combine::Join, outline, &outline.mirrored(true))?
    } else {
        outline.clone()
    };
    let large = grown(&doubled, by_mm, Corners::Mitre)?;
    // Twice the size of everything, so that its own sides never count.
    let reach = 2.0 * (high.x.abs() + high.y.abs() + low.y.abs() + by_mm.abs() + 1.0);
    let half = rect(reach, 2.0 * reach, Edge::None)?.shifted(Point::new(reach / 2.0, 0.0));
    let cut = combine(Combine::Meet, &large, &unnamed(&half))?;
    Ok(cut)
}

/// The outline without names of faces.
fn unnamed(outline: &Outline) -> Outline {
    let mut outline = outline.clone();
    for segment in outline.loops.iter_mut().flat_map(|track| &mut track.segments) {
        segment.face = None;
    }
    outline
}

/// A prism grown: its sides square to themselves, both ends moved out. On leaning
/// sides the outline at the new lower end follows from the lean.
fn grown_prism(prism: &Prism, by_mm: f64) -> Result<(Leaf, Placement), NoGrowth> {
    let height_mm = prism.height_mm + 2.0 * by_mm;
    if height_mm <= 0.0 {
        return Err(NoGrowth::Nothing);
    }
    let (sin, cos) = prism.taper_rad.sin_cos();
    let sideways = by_mm / cos - by_mm * sin / cos;
    let outline = grown(&prism.outline, sideways, Corners::Mitre).map_err(NoGrowth::Plane)?;
    if outline.is_empty() {
        return Err(NoGrowth::Nothing);
    }
    let treat = |edge| grown_edge(edge, by_mm, prism.taper_rad);
    let (Some(top), Some(bottom)) = (treat(prism.top), treat(prism.bottom)) else {
        return Err(NoGrowth::NoProfile);
    };
    let taper_rad = prism.taper_rad;
    let made = Prism { outline, height_mm, taper_rad, top, bottom };
    Ok((Leaf::Prism(Arc::new(made)), Placement::shifted([0.0, 0.0, -by_mm])))
}

/// The treatment of a grown edge; nothing where it would not be of the same kind.
fn grown_edge(edge: Edge, by_mm: f64, taper_rad: f64) -> Option<Edge> {
    match edge {
        Edge::None => Some(Edge::None),
        Edge::Round(radius) if radius + by_mm > 0.0 => Some(Edge::Round(radius + by_mm)),
        Edge::Round(_) => Some(Edge::None),
        // Both sides and the cut move by d: of legs b in a right angle remain
        // b + d (2 - sqrt 2).
        Edge::Bevel { leg, angle } if (angle - FRAC_PI_4).abs() < 1e-12 && taper_rad == 0.0 => {
            let leg = leg + by_mm * (2.0 - 2f64.sqrt());
            Some(if leg > 0.0 { Edge::Bevel { leg, angle } } else { Edge::None })
        }
        Edge::Bevel { .. } => None,
    }
}
