//! Bodies of the model as exact bodies: what can be done on profiles is done there, the
//! rest by booleans in space.

use super::boolean;
use super::layered::{self, Carried, Opening, pocketed_turned};
use super::prism::prism;
use super::{Declined, ExactBody};
use crate::model::{
    Body, Inlay, Leaf, Operation, Placement, Relief, Sides, Surface, has_place, nominal_strips,
};
use crate::plane::{Combine, Curve, Outline, Point, Strips, combine};
use std::sync::Arc;

/// Two axes that are nearer than this (mm, and rad times 1 mm) are one: placements are
/// products of sines and cosines, which round far below.
const COAXIAL: f64 = 1e-9;

/// A pocket to be cut into a body.
#[derive(Clone, Copy, Debug)]
pub struct Pocket<'a> {
    /// The pattern whose form it has.
    pub inlay: &'a Inlay,
    /// From the pattern's axes to those of the body.
    pub placement: &'a Placement,
    /// Section at the pattern's show face, grown as the seat asks.
    pub strips: &'a Strips,
    /// How much deeper than the inlay it is, mm.
    pub gap_behind_mm: f64,
}

/// The exact body of a body of the model, before any seat.
///
/// # Errors
/// The reason why it is not carried.
pub fn nominal(body: &Body) -> Result<ExactBody, Declined> {
    pocketed(body, &[])
}

/// The exact body of a body of the model with pockets cut into it.
///
/// # Errors
/// The reason why it is not carried.
pub fn pocketed(body: &Body, pockets: &[Pocket]) -> Result<ExactBody, Declined> {
    let mut assembly = Assembly { pockets, cut: vec![false; pockets.len()] };
    let shapes = assembly.shapes(body, &Placement::IDENTITY, true)?;
    let mut solid = assembly.united(shapes, true)?;
    for (pocket, cut) in pockets.iter().zip(&assembly.cut) {
        if let (false, Surface::Flat { .. }) = (cut, &pocket.inlay.surface) {
            let Pocket { inlay, strips, gap_behind_mm, .. } = *pocket;
            let opening = Opening { inlay, strips, gap_behind_mm, ends: layered::POCKET };
            solid = layered::splice(&solid, &opening, pocket.placement)?;
        } else if !cut {
            return Err(Declined::new("a pocket reaches the end of the straight wall it lies in"));
        }
    }
    Ok(solid)
}

/// The exact body of an inlay whose section at its show face is `strips`, in the
/// pattern's own axes.
///
/// # Errors
/// The reason why it is not carried.
pub fn inlay(inlay: &Inlay, strips: &Strips) -> Result<ExactBody, Declined> {
    layered::inlay(inlay, strips)
}

/// A body on its way: as a profile as long as that says all.
enum Shape {
    /// A profile swept round z, then placed.
    Turned { outline: Outline, sides: Option<Sides>, placement: Placement, reliefs: Vec<Carried> },
    /// A pattern that is to be joined, or taken away.
    Relief { relief: Arc<Relief>, placement: Placement },
    /// Faces.
    Solid(ExactBody),
}

/// Walks a body of the model; remembers which pockets have been cut.
struct Assembly<'a> {
    pockets: &'a [Pocket<'a>],
    cut: Vec<bool>,
}

impl Assembly<'_> {
    /// The parts of a body, not yet joined. Only what adds material (`keeps`) may be the
    /// host of a pocket.
    fn shapes(&mut self, body: &Body, at: &Placement, keeps: bool) -> Result<Vec<Shape>, Declined> {
        match body {
            Body::Empty => Ok(Vec::new()),
            Body::Leaf(Leaf::Turned(it)) => {
                let (outline, sides, reliefs) = (it.outline.clone(), it.sides, Vec::new());
                Ok(vec![Shape::Turned { outline, sides, placement: *at, reliefs }])
            }
            Body::Leaf(Leaf::Prism(it)) => Ok(vec![Shape::Solid(prism(it)?.placed(at))]),
            Body::Leaf(Leaf::Inlay(it)) => {
                Ok(vec![Shape::Solid(layered::inlay(it, &laid_out(it)?)?.placed(at))])
            }
            Body::Leaf(Leaf::Relief(it)) => {
                Ok(vec![Shape::Relief { relief: it.clone(), placement: *at }])
            }
            Body::Placed { body, placement } => self.shapes(body, &placement.then(at), keeps),
            Body::Many(bodies) => {
                let mut all = Vec::new();
                for body in bodies {
                    for shape in self.shapes(body, at, keeps)? {
                        join_in(&mut all, shape)?;
                    }
                }
                Ok(all)
            }
            Body::Boolean { operation: Operation::Join, left, right } => {
                let mut all = self.shapes(left, at, keeps)?;
                for shape in self.shapes(right, at, keeps)? {
                    match flat_relief(&shape, Operation::Join, (left.as_ref(), at)) {
                        Some(relief) => all = vec![self.laid(all, relief, keeps)?],
                        None => join_in(&mut all, shape)?,
                    }
                }
                Ok(all)
            }
            Body::Boolean { operation: Operation::Less, left, right } => {
                let mut rest = self.shapes(left, at, keeps)?;
                let mut tools = Vec::new();
                for tool in self.shapes(right, at, false)? {
                    match flat_relief(&tool, Operation::Less, (left.as_ref(), at)) {
                        Some(relief) => rest = vec![self.laid(rest, relief, keeps)?],
                        None => tools.push(tool),
                    }
                }
                self.less(rest, tools, keeps)
            }
            Body::Boolean { operation: Operation::Meet, left, right } => {
                let left = self.shapes(left, at, keeps)?;
                let right = self.shapes(right, at, false)?;
                self.meet(left, right, keeps)
            }
        }
    }

    /// Sets a relief into the flat face on which it lies; where that is not one whole face,
    /// by a boolean.
    fn laid(
        &mut self,
        body: Vec<Shape>,
        (relief, placement): (&Relief, &Placement),
        keeps: bool,
    ) -> Result<Shape, Declined> {
        let solid = self.united(body, keeps)?;
        let strips = laid_out(&relief.pattern)?;
        let opening =
            Opening { inlay: &relief.pattern, strips: &strips, gap_behind_mm: 0.0, ends: None };
        let laid = match layered::splice(&solid, &opening, placement) {
            Ok(laid) => laid,
            Err(_) if relief.stands => boolean::join(&[solid, relief_body(relief, placement)?])?,
            Err(_) => boolean::less(&solid, &relief_body(relief, placement)?)?,
        };
        Ok(Shape::Solid(laid))
    }

    fn less(
        &mut self,
        left: Vec<Shape>,
        right: Vec<Shape>,
        keeps: bool,
    ) -> Result<Vec<Shape>, Declined> {
        let Some(mut rest) = self.single(left, keeps)? else { return Ok(Vec::new()) };
        for tool in right {
            if on_wall(&mut rest, Operation::Less, &tool)? {
                continue;
            }
            rest = match coaxial(Combine::Less, &rest, &tool)? {
                Some(shape) => shape,
                None => {
                    let both = [self.ready(rest, keeps)?, self.ready(tool, false)?];
                    Shape::Solid(tried(&both, |solids| boolean::less(&solids[0], &solids[1]))?)
                }
            };
        }
        Ok(vec![rest])
    }

    fn meet(
        &mut self,
        left: Vec<Shape>,
        right: Vec<Shape>,
        keeps: bool,
    ) -> Result<Vec<Shape>, Declined> {
        let (left, right) = (self.single(left, keeps)?, self.single(right, false)?);
        let (Some(left), Some(right)) = (left, right) else { return Ok(Vec::new()) };
        if let Some(shape) = coaxial(Combine::Meet, &left, &right)? {
            return Ok(vec![shape]);
        }
        let both = [self.ready(left, keeps)?, self.ready(right, false)?];
        let met = tried(&both, |solids| boolean::meet(&solids[0], &solids[1]))?;
        Ok(vec![Shape::Solid(met)])
    }

    /// All shapes as one; none where there are none.
    fn single(&mut self, mut shapes: Vec<Shape>, keeps: bool) -> Result<Option<Shape>, Declined> {
        if shapes.len() < 2 {
            return Ok(shapes.pop());
        }
        let mut ready = Vec::with_capacity(shapes.len());
        for shape in shapes {
            ready.push(self.ready(shape, keeps)?);
        }
        clear_of_pockets(&ready)?;
        Ok(Some(Shape::Solid(tried(&ready, boolean::join)?)))
    }

    fn united(&mut self, shapes: Vec<Shape>, keeps: bool) -> Result<ExactBody, Declined> {
        match self.single(shapes, keeps)? {
            Some(shape) => self.ready(shape, keeps)?.solid(0.0),
            None => Ok(ExactBody::default()),
        }
    }

    /// A shape with the pockets that belong into its walls.
    fn ready(&mut self, shape: Shape, keeps: bool) -> Result<Ready, Declined> {
        let mut pockets = Vec::new();
        if let Shape::Turned { reliefs, .. } = &shape {
            let cut = |it: &Carried| Cut { pattern: it.clone(), gap_behind_mm: 0.0, seat: false };
            pockets.extend(reliefs.iter().map(cut));
        }
        if let (Shape::Turned { outline, sides, placement, .. }, true) = (&shape, keeps) {
            for (number, pocket) in self.pockets.iter().enumerate() {
                let relative = pocket.placement.then(&placement.inverse());
                let carried = layered::carried(pocket.inlay, pocket.strips, &relative);
                let fits = pocket.inlay.sides() == *sides && !self.cut[number];
                let Some(carried) = carried.filter(|_| fits) else { continue };
                if layered::has_wall(outline, &carried.opening(pocket.gap_behind_mm))? {
                    self.cut[number] = true;
                    add_pocket(&mut pockets, carried, pocket.gap_behind_mm);
                }
            }
        }
        Ok(Ready { shape, pockets })
    }
}

/// Adds the pocket of a seat: to one of the same depth beside it, or by itself.
fn add_pocket(pockets: &mut Vec<Cut>, pattern: Carried, gap_behind_mm: f64) {
    let alike = |cut: &&mut Cut| cut.seat && cut.gap_behind_mm == gap_behind_mm;
    if !pockets.iter_mut().filter(alike).any(|cut| cut.pattern.take(&pattern)) {
        pockets.push(Cut { pattern, gap_behind_mm, seat: true });
    }
}

/// Where the sectors of turned bodies start, one after the other, until a boolean is
/// carried: an edge of one body on a sector line of the other may be in its way, rad.
const SEAMS_RAD: [f64; 3] = [0.0, 0.35, 0.8];

/// The first answer of a boolean with any of the [`SEAMS_RAD`].
fn tried(
    shapes: &[Ready],
    combine: impl Fn(&[ExactBody]) -> Result<ExactBody, Declined>,
) -> Result<ExactBody, Declined> {
    let turns = shapes.iter().any(|it| matches!(it.shape, Shape::Turned { .. }));
    let seams = if turns { &SEAMS_RAD[..] } else { &SEAMS_RAD[..1] };
    let mut answer = Err(Declined::new("nothing was combined"));
    for seam in seams {
        let solids: Result<Vec<ExactBody>, Declined> =
            shapes.iter().map(|it| it.solid(*seam)).collect();
        answer = combine(&solids?);
        if answer.as_ref().map_or_else(|e| e.reason == boolean::TOO_SHALLOW, |_| true) {
            break;
        }
    }
    answer
}

/// A shape whose faces can be made.
struct Ready {
    shape: Shape,
    /// What is cut into its walls, or stands on them.
    pockets: Vec<Cut>,
}

/// A pattern in or on a wall, in the axes of its profile.
struct Cut {
    pattern: Carried,
    /// How much deeper than the inlay it is, mm.
    gap_behind_mm: f64,
    /// Whether it is the pocket of a seat: what is joined later must not fill it.
    seat: bool,
}

impl Cut {
    fn opening(&self) -> Opening<'_> {
        match self.seat {
            true => self.pattern.opening(self.gap_behind_mm),
            false => self.pattern.relief(),
        }
    }
}

impl Ready {
    /// Its faces; on turned shapes the first sector starts at `seam_rad`.
    fn solid(&self, seam_rad: f64) -> Result<ExactBody, Declined> {
        let (outline, sides, placement) = match &self.shape {
            Shape::Solid(solid) => return Ok(solid.clone()),
            Shape::Relief { relief, placement } => return relief_body(relief, placement),
            Shape::Turned { outline, sides, placement, .. } => (outline, *sides, placement),
        };
        let openings: Vec<Opening> = self.pockets.iter().map(Cut::opening).collect();
        let spun = Placement::turned(2, seam_rad);
        if openings.is_empty() && sides.is_none() {
            let upright = tilted_ball(outline, seam_rad).unwrap_or(spun).then(placement);
            return Ok(pocketed_turned(outline, None, &[])?.placed(&upright));
        }
        Ok(pocketed_turned(outline, sides, &openings)?.placed(placement))
    }
}

/// A ball may be turned any way: so its poles get out of the way too. None for anything
/// but a ball.
fn tilted_ball(outline: &Outline, seam_rad: f64) -> Option<Placement> {
    let mut centre = None;
    for stretch in outline.stretches() {
        match stretch.curve {
            Curve::Arc { centre: at, .. } if at.x == 0.0 && centre.is_none_or(|c| c == at) => {
                centre = Some(at);
            }
            Curve::Line if stretch.from.x == 0.0 && stretch.to.x == 0.0 => {}
            _ => return None,
        }
    }
    let centre = [0.0, 0.0, centre?.y];
    let down = Placement::shifted(centre.map(|c| 0.0 - c));
    let tilt = Placement::turned(0, seam_rad).then(&Placement::turned(1, 2.0 * seam_rad));
    Some(down.then(&tilt).then(&Placement::shifted(centre)))
}

/// Whatever is joined to a pocketed body must keep clear of its pockets, for it would fill
/// them.
fn clear_of_pockets(shapes: &[Ready]) -> Result<(), Declined> {
    for (number, shape) in shapes.iter().enumerate() {
        let Shape::Turned { placement, .. } = &shape.shape else { continue };
        for pocket in shape.pockets.iter().filter(|it| it.seat) {
            let plug = layered::plug(&pocket.opening())?.placed(placement);
            for (other, joined) in shapes.iter().enumerate() {
                if other != number && !boolean::apart(&plug, &joined.solid(0.0)?)? {
                    return Err(Declined::new("a body is joined to another one over its pocket"));
                }
            }
        }
    }
    Ok(())
}

/// Adds a shape to others: into the profile of one with the same axis, or beside them.
fn join_in(shapes: &mut Vec<Shape>, shape: Shape) -> Result<(), Declined> {
    for other in shapes.iter_mut() {
        if on_wall(other, Operation::Join, &shape)? {
            return Ok(());
        }
        if let Some(both) = coaxial(Combine::Join, other, &shape)? {
            *other = both;
            return Ok(());
        }
    }
    shapes.push(shape);
    Ok(())
}

fn laid_out(inlay: &Inlay) -> Result<Strips, Declined> {
    nominal_strips(inlay).map_err(|_| Declined::new("a pattern cannot be laid out on its face"))
}

fn relief_body(relief: &Relief, placement: &Placement) -> Result<ExactBody, Declined> {
    Ok(layered::relief(relief, &laid_out(&relief.pattern)?)?.placed(placement))
}

/// A relief for this operation on a flat face of a body where it has its place to itself.
fn flat_relief<'a>(
    shape: &'a Shape,
    operation: Operation,
    (body, at): (&Body, &Placement),
) -> Option<(&'a Relief, &'a Placement)> {
    let Shape::Relief { relief, placement } = shape else { return None };
    let Surface::Flat { .. } = relief.pattern.surface else { return None };
    let strips = nominal_strips(&relief.pattern).ok()?;
    let relative = placement.then(&at.inverse());
    let has_place = has_place(body, relief, &relative, &strips);
    (relief.only_for() == Some(operation) && has_place).then_some((relief.as_ref(), placement))
}

/// Puts a relief on a wall of a profile where it has a place of its own there; says
/// whether it could. Else it is a body like others.
fn on_wall(host: &mut Shape, operation: Operation, part: &Shape) -> Result<bool, Declined> {
    let Shape::Relief { relief, placement: at } = part else { return Ok(false) };
    let Shape::Turned { outline, sides, placement, reliefs } = host else { return Ok(false) };
    if relief.only_for() != Some(operation) || relief.pattern.sides() != *sides {
        return Ok(false);
    }
    let relative = at.then(&placement.inverse());
    let strips = laid_out(&relief.pattern)?;
    let Some(carried) = layered::carried(&relief.pattern, &strips, &relative) else {
        return Ok(false);
    };
    let opening = carried.relief();
    if !layered::has_wall(outline, &opening)? || !layered::is_clear(outline, &opening) {
        return Ok(false);
    }
    if reliefs.iter_mut().any(|other| other.take(&carried)) {
        return Ok(true);
    }
    let apart = reliefs.iter().all(|other| layered::apart(&other.relief(), &opening));
    if apart {
        reliefs.push(carried);
    }
    Ok(apart)
}

/// Two profiles with the same axis, combined; none where that is not what they are.
fn coaxial(how: Combine, a: &Shape, b: &Shape) -> Result<Option<Shape>, Declined> {
    let (
        Shape::Turned { outline: first, sides, placement, reliefs },
        Shape::Turned { outline: second, sides: flats, placement: other, reliefs: others },
    ) = (a, b)
    else {
        return Ok(None);
    };
    if !others.is_empty() || sides != flats {
        return Ok(None);
    }
    let relative = other.then(&placement.inverse());
    let Some((rise, over)) = along_axis(&relative) else {
        return Ok(None);
    };
    if sides.is_some_and(|sides| !sides.keep(&relative)) {
        return Ok(None);
    }
    let upright = if over { second.mirrored(false) } else { second.clone() };
    let outline = combine(how, first, &upright.shifted(Point::new(0.0, rise)))
        .map_err(|_| Declined::new("two profiles hug each other too closely to be combined"))?;
    for relief in reliefs {
        let opening = relief.relief();
        let free = layered::is_clear(&outline, &opening);
        if !free || !layered::has_wall(&outline, &opening)? {
            return Ok(None);
        }
    }
    let (sides, reliefs) = (*sides, reliefs.clone());
    Ok(Some(Shape::Turned { outline, sides, placement: *placement, reliefs }))
}

/// How a placement moves the z axis along itself: rise (mm), and whether it is turned
/// over. None where the axis leaves its line.
pub(super) fn along_axis(placement: &Placement) -> Option<(f64, bool)> {
    let [x, y, rise] = placement.shift;
    let stays = x.hypot(y) <= COAXIAL && placement.matrix[2][2].abs() > 0.5;
    let leans = placement.matrix[0][2].hypot(placement.matrix[1][2]) > COAXIAL;
    (stays && !leans).then_some((rise, placement.matrix[2][2] < 0.0))
}
