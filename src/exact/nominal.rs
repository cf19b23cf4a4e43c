//! Bodies of the model as exact bodies: what can be done on profiles is done there, the
//! rest by booleans in space.

use super::boolean;
use super::layered::{self, Opening, pocketed_turned};
use super::prism::prism;
use super::{Declined, ExactBody};
use crate::model::{Body, Inlay, Leaf, Operation, Placement, Surface, nominal_strips};
use crate::plane::{Combine, Outline, Point, Strips, combine};

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
    let mut solid = assembly.united(shapes)?;
    for (pocket, cut) in pockets.iter().zip(&assembly.cut) {
        if let (false, Surface::Flat { .. }) = (cut, &pocket.inlay.surface) {
            let Pocket { inlay, strips, gap_behind_mm, .. } = *pocket;
            let opening = Opening { inlay, strips, gap_behind_mm };
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
    Turned { outline: Outline, placement: Placement },
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
                Ok(vec![Shape::Turned { outline: it.outline.clone(), placement: *at }])
            }
            Body::Leaf(Leaf::Prism(it)) => Ok(vec![Shape::Solid(prism(it)?.placed(at))]),
            Body::Leaf(Leaf::Inlay(it)) => {
                let strips = nominal_strips(it)
                    .map_err(|_| Declined::new("a pattern cannot be laid out on its face"))?;
                Ok(vec![Shape::Solid(layered::inlay(it, &strips)?.placed(at))])
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
                    join_in(&mut all, shape)?;
                }
                Ok(all)
            }
            Body::Boolean { operation: Operation::Less, left, right } => {
                let left = self.shapes(left, at, keeps)?;
                let right = self.shapes(right, at, false)?;
                self.less(left, right, keeps)
            }
            Body::Boolean { operation: Operation::Meet, left, right } => {
                let left = self.shapes(left, at, keeps)?;
                let right = self.shapes(right, at, false)?;
                self.meet(left, right, keeps)
            }
        }
    }

    fn less(
        &mut self,
        left: Vec<Shape>,
        right: Vec<Shape>,
        keeps: bool,
    ) -> Result<Vec<Shape>, Declined> {
        let Some(mut rest) = self.single(left, keeps)? else { return Ok(Vec::new()) };
        for tool in right {
            rest = match coaxial(Combine::Less, &rest, &tool)? {
                Some(shape) => shape,
                None => {
                    let (from, tool) = (self.solid(rest, keeps)?, self.solid(tool, false)?);
                    Shape::Solid(boolean::less(&from, &tool)?)
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
        let (left, right) = (self.solid(left, keeps)?, self.solid(right, false)?);
        Ok(vec![Shape::Solid(boolean::meet(&left, &right)?)])
    }

    /// All shapes as one; none where there are none.
    fn single(&mut self, mut shapes: Vec<Shape>, keeps: bool) -> Result<Option<Shape>, Declined> {
        if shapes.len() < 2 {
            return Ok(shapes.pop());
        }
        let mut solids = Vec::with_capacity(shapes.len());
        for shape in shapes {
            solids.push(self.solid(shape, keeps)?);
        }
        Ok(Some(Shape::Solid(boolean::join(&solids)?)))
    }

    fn united(&mut self, shapes: Vec<Shape>) -> Result<ExactBody, Declined> {
        match self.single(shapes, true)? {
            Some(shape) => self.solid(shape, true),
            None => Ok(ExactBody::default()),
        }
    }

    /// The faces of a shape, pockets in its walls cut.
    fn solid(&mut self, shape: Shape, keeps: bool) -> Result<ExactBody, Declined> {
        let (outline, placement) = match shape {
            Shape::Solid(solid) => return Ok(solid),
            Shape::Turned { outline, placement } => (outline, placement),
        };
        let mut found = Vec::new();
        for (number, pocket) in self.pockets.iter().enumerate().filter(|_| keeps) {
            let relative = pocket.placement.then(&placement.inverse());
            let Some(on_axis) = layered::carried(pocket.inlay, pocket.strips, &relative) else {
                continue;
            };
            let fits = layered::has_wall(&outline, &on_axis.opening(pocket.gap_behind_mm))?;
            if fits && !self.cut[number] {
                self.cut[number] = true;
                found.push((on_axis, pocket.gap_behind_mm));
            }
        }
        let openings: Vec<Opening> = found.iter().map(|(it, gap)| it.opening(*gap)).collect();
        Ok(pocketed_turned(&outline, &openings)?.placed(&placement))
    }
}

/// Adds a shape to others: into the profile of one with the same axis, or beside them.
fn join_in(shapes: &mut Vec<Shape>, shape: Shape) -> Result<(), Declined> {
    for other in shapes.iter_mut() {
        if let Some(both) = coaxial(Combine::Join, other, &shape)? {
            *other = both;
            return Ok(());
        }
    }
    shapes.push(shape);
    Ok(())
}

/// Two profiles with the same axis, combined; none where that is not what they are.
fn coaxial(how: Combine, a: &Shape, b: &Shape) -> Result<Option<Shape>, Declined> {
    let (
        Shape::Turned { outline: first, placement },
        Shape::Turned { outline: second, placement: other },
    ) = (a, b)
    else {
        return Ok(None);
    };
    let Some((rise, over)) = along_axis(&other.then(&placement.inverse())) else {
        return Ok(None);
    };
    let upright = if over { second.mirrored(false) } else { second.clone() };
    let outline = combine(how, first, &upright.shifted(Point::new(0.0, rise)))
        .map_err(|_| Declined::new("two profiles hug each other too closely to be combined"))?;
    Ok(Some(Shape::Turned { outline, placement: *placement }))
}

/// How a placement moves the z axis along itself: rise (mm), and whether it is turned
/// over. None where the axis leaves its line.
pub(super) fn along_axis(placement: &Placement) -> Option<(f64, bool)> {
    let [x, y, rise] = placement.shift;
    let stays = x.hypot(y) <= COAXIAL && placement.matrix[2][2].abs() > 0.5;
    let leans = placement.matrix[0][2].hypot(placement.matrix[1][2]) > COAXIAL;
    (stays && !leans).then_some((rise, placement.matrix[2][2] < 0.0))
}
