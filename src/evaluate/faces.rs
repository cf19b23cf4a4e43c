//! Faces that carry an inlay: from a name to a surface in the frame of its leaf.

use super::codes;
use super::evaluator::Evaluator;
use super::solids::FaceValue;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::{Body, Leaf, Meridian, Pose, Prism, Surface, Turned, Vector};
use crate::plane::{Curve, Edge, Outline, Point, Stretch};
use crate::resolve::not_built_yet;
use crate::source::Span;
use std::sync::Arc;

/// Coordinates closer than this are the same, mm: far below any printer, far above
/// rounding.
const SAME_MM: f64 = 1e-7;

/// A straight step of a profile that sweeps a face.
#[derive(Clone, Copy)]
struct Straight {
    from: Point,
    to: Point,
}

impl Evaluator<'_> {
    /// The surface of a face, when it can carry an inlay.
    pub fn surface(&mut self, face: &FaceValue, span: Span) -> Option<Surface> {
        if face.here.flips() {
            let finding = Unfit::Mirrored.finding(&face.name, span);
            self.fail(finding);
            return None;
        }
        let found = match &*face.leaf {
            Body::Leaf(Leaf::Turned(turned)) => turned_surface(face, turned),
            Body::Leaf(Leaf::Prism(prism)) => prism_surface(face, prism),
            _ => Err(Unfit::NoFace),
        };
        match found {
            Ok(surface) => Some(surface),
            Err(unfit) => {
                let finding = unfit.finding(&face.name, span);
                self.fail(finding);
                None
            }
        }
    }

    /// `tipped(ANGLE, AXIS)`, `on(FACE)`
    pub fn pose_call(&mut self, name: &str, arguments: &super::calls::Arguments) -> Value {
        if name == "tipped" {
            let Some(angle_rad) = arguments.number("by") else { return Value::Poison };
            let axis = match arguments.word("about") {
                Some("x") => 0,
                Some("y") => 1,
                _ => 2,
            };
            return Value::Pose(Pose::Tipped { angle_rad, axis });
        }
        let Some(Value::Face(face)) = arguments.get("face") else { return Value::Poison };
        let flat = match &*face.leaf {
            Body::Leaf(Leaf::Turned(turned)) => turned_surface(face, turned),
            Body::Leaf(Leaf::Prism(prism)) => prism_surface(face, prism),
            _ => Err(Unfit::NoFace),
        };
        match flat {
            Ok(Surface::Flat { normal, .. }) => {
                Value::Pose(Pose::On { normal: face.here.direction(normal) })
            }
            _ => self.fail(
                Diagnostic::at(
                    codes::POSE_FACE,
                    arguments.place("face"),
                    format!("a part can lie on a flat face only, and `{}` is none", face.name),
                )
                .help("name a flat face, or write tipped(90 deg, x)"),
            ),
        }
    }
}

/// Why a face cannot carry an inlay.
enum Unfit {
    NoFace,
    /// It belongs to a mirror image.
    Mirrored,
    /// Several steps of a prism.
    Bellied,
    /// Steps of a profile that are no smooth line that rises.
    Broken,
    /// A leaning side of a prism.
    Leaning,
    /// A side of a prism that is an arc.
    Arc,
}

impl Unfit {
    fn finding(&self, name: &str, span: Span) -> Diagnostic {
        match self {
            Unfit::Bellied => {
                not_built_yet(span, &format!("an inlay on a bellied face such as `{name}`"))
            }
            Unfit::Broken => Diagnostic::at(
                codes::UNFIT_FACE,
                span,
                format!(
                    "the steps of `{name}` do not run smoothly into each other, or lie level \
                     somewhere: a pattern cannot be laid over them"
                ),
            )
            .help("give the smooth part of the profile a name of its own: arc to … as belly"),
            Unfit::Leaning => {
                not_built_yet(span, &format!("an inlay on a leaning flat such as `{name}`"))
            }
            Unfit::Arc => {
                not_built_yet(span, &format!("an inlay on a rounded side such as `{name}`"))
            }
            Unfit::Mirrored => Diagnostic::at(
                codes::UNFIT_FACE,
                span,
                format!("`{name}` is on a mirror image: what is drawn there would read backwards"),
            )
            .help("make the body itself the other way round"),
            Unfit::NoFace => Diagnostic::at(
                codes::UNFIT_FACE,
                span,
                format!("nothing of `{name}` is left to carry an inlay"),
            )
            .help("name another face, or treat its edges less"),
        }
    }
}

/// The steps of an outline that sweep `name`; none of them when one is an arc.
fn steps(outline: &Outline, name: &str) -> Result<Vec<Straight>, Unfit> {
    let mut found = Vec::new();
    for track in &outline.loops {
        for (from, segment) in track.iter().filter(|(_, s)| s.face.as_deref() == Some(name)) {
            if segment.curve != Curve::Line {
                return Err(Unfit::Arc);
            }
            found.push(Straight { from, to: segment.to });
        }
    }
    Ok(found)
}

fn turned_surface(face: &FaceValue, turned: &Arc<Turned>) -> Result<Surface, Unfit> {
    let found = steps(&turned.outline, &face.name).unwrap_or_default();
    let [step] = found[..] else { return bellied(face, turned) };
    let (rise, run) = (step.to.y - step.from.y, step.to.x - step.from.x);
    if rise.abs() <= SAME_MM {
        return Ok(turned_level(face, step));
    }
    let slope = if run.abs() <= SAME_MM { 0.0 } else { run / rise };
    Ok(Surface::Round {
        host: turned.clone(),
        radius_mm: step.from.x - slope * step.from.y,
        slope,
        // Material lies to the left of a step: going up, its outside is away from the axis.
        outward: rise > 0.0,
        span_mm: [step.from.y.min(step.to.y), step.from.y.max(step.to.y)],
        sides: turned.sides,
    })
}

/// One of the flat sides of a turned face: the one at an angle. Its developed plane has its
/// origin in the middle of the side at z = 0, and `up` along the side; `reach_mm` are the
/// lowest and highest z, along the axis, between which the side is as wide as is told.
pub fn one_side(round: &Surface, leaf: &Arc<Body>, angle_rad: f64, reach_mm: [f64; 2]) -> Surface {
    let Surface::Round { radius_mm, slope, outward, span_mm, sides: Some(sides), .. } = round
    else {
        return round.clone();
    };
    let (sin, cos) = sides.middle_rad(angle_rad).sin_cos();
    let long = (1.0 + slope * slope).sqrt();
    let sense = if *outward { 1.0 } else { -1.0 };
    let narrow = reach_mm.map(|z| radius_mm + slope * z.clamp(span_mm[0], span_mm[1]));
    let half = narrow[0].min(narrow[1]) * sides.half_width();
    Surface::Flat {
        host: leaf.clone(),
        origin: [radius_mm * cos, radius_mm * sin, 0.0],
        right: [-sin * sense, cos * sense, 0.0],
        up: [slope * cos / long, slope * sin / long, 1.0 / long],
        normal: [cos * sense / long, sin * sense / long, -slope * sense / long],
        width_mm: [-half, half],
        span_mm: span_mm.map(|z| z * long),
    }
}

/// A face of arcs, or of several steps.
fn bellied(face: &FaceValue, turned: &Arc<Turned>) -> Result<Surface, Unfit> {
    let named = turned.outline.loops.iter().flat_map(|track| {
        let segments = track.stretches().zip(&track.segments);
        segments.filter(|(_, s)| s.face.as_deref() == Some(&*face.name)).map(|(stretch, _)| stretch)
    });
    let found: Vec<Stretch> = named.collect();
    let Some(first) = found.first() else { return Err(Unfit::NoFace) };
    let outward = first.to.y > first.from.y;
    let meridian = Arc::new(Meridian::of(&found).ok_or(Unfit::Broken)?);
    Ok(Surface::Belly { host: turned.clone(), meridian, outward })
}

/// A level face of a turned body: a disc or an annulus round the axis.
fn turned_level(face: &FaceValue, step: Straight) -> Surface {
    // Running inwards, material is below.
    let up = step.to.x < step.from.x;
    let reach = step.from.x.max(step.to.x);
    level(&face.leaf, [0.0, 0.0, step.from.y], up, [[-reach, reach], [-reach, reach]])
}

/// A level face. From above x is right and y up; from below x right and y down.
fn level(leaf: &Arc<Body>, origin: Vector, up: bool, [width, span]: [[f64; 2]; 2]) -> Surface {
    let sense = if up { 1.0 } else { -1.0 };
    let flip = |[low, high]: [f64; 2]| if up { [low, high] } else { [0.0 - high, 0.0 - low] };
    Surface::Flat {
        host: leaf.clone(),
        origin,
        right: [1.0, 0.0, 0.0],
        up: [0.0, sense, 0.0],
        normal: [0.0, 0.0, sense],
        width_mm: width,
        span_mm: flip(span),
    }
}

fn prism_surface(face: &FaceValue, prism: &Arc<Prism>) -> Result<Surface, Unfit> {
    let found = steps(&prism.outline, &face.name)?;
    match (&found[..], &*face.name) {
        ([], "top" | "bottom") => prism_level(face, prism),
        ([], _) => Err(Unfit::NoFace),
        ([step], _) if prism.taper_rad == 0.0 => prism_side(face, prism, *step),
        ([_], _) => Err(Unfit::Leaning),
        _ => Err(Unfit::Bellied),
    }
}

fn prism_side(face: &FaceValue, prism: &Prism, step: Straight) -> Result<Surface, Unfit> {
    let along = step.to - step.from;
    let width = along.length();
    let span = [edge_reach(prism.bottom)[1], prism.height_mm - edge_reach(prism.top)[0]];
    if width <= SAME_MM || span[1] - span[0] <= SAME_MM {
        return Err(Unfit::NoFace);
    }
    // Outer loops run anticlockwise: seen from outside, along the step is to the right.
    let (x, y) = (along.x / width, along.y / width);
    let middle = (step.from + step.to) * 0.5;
    Ok(Surface::Flat {
        host: face.leaf.clone(),
        origin: [middle.x, middle.y, 0.0],
        right: [x, y, 0.0],
        up: [0.0, 0.0, 1.0],
        normal: [y, 0.0 - x, 0.0],
        width_mm: [-width / 2.0, width / 2.0],
        span_mm: span,
    })
}

/// How far a treated edge reaches along its two sides, mm: the one that comes first as
/// the profile runs from the lower face up and inwards, and the second.
fn edge_reach(edge: Edge) -> [f64; 2] {
    match edge {
        Edge::None => [0.0; 2],
        Edge::Round(radius) => [radius; 2],
        Edge::Bevel { leg, angle } => [leg, leg * angle.tan()],
    }
}

fn prism_level(face: &FaceValue, prism: &Prism) -> Result<Surface, Unfit> {
    let up = &*face.name == "top";
    let Some([low, high]) = prism.outline.bounds() else { return Err(Unfit::NoFace) };
    let (z, reach) = if up {
        (prism.height_mm, edge_reach(prism.top)[1])
    } else {
        (0.0, edge_reach(prism.bottom)[0])
    };
    // A lean moves every side of the upper end outwards by as much.
    let lean = if up { prism.taper_rad.tan() * prism.height_mm } else { 0.0 };
    let inset = reach - lean;
    let middle = (low + high) * 0.5;
    let half = (high - low) * 0.5;
    let (width, depth) = (half.x - inset, half.y - inset);
    if width <= SAME_MM || depth <= SAME_MM {
        return Err(Unfit::NoFace);
    }
    let boxes = [[-width, width], [-depth, depth]];
    Ok(level(&face.leaf, [middle.x, middle.y, z], up, boxes))
}
