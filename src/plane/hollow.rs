//! The section of a hollow turned body: its outside is drawn, its inside runs beside it.

use super::check::outline_of;
use super::crossing::TOUCH_MM;
use super::error::{PathError, PlaneError};
use super::outline::{Curve, Edge, Outline, Point, Track};
use super::path::{Close, PathCurve, PathStep, path};
use super::stretch::Stretch;
use super::stroke::{Corners, beside};
use std::f64::consts::FRAC_PI_2;

/// What is asked of a hollow body. x is the radius, y the height.
#[derive(Clone, Debug, PartialEq)]
pub struct HollowPlan {
    /// Its outside, from the foot at y = 0 up to the rim.
    pub profile: Track,
    /// How far the inside lies from it, square to it, mm.
    pub wall_mm: f64,
    /// Height of the level floor, mm.
    pub floor_mm: f64,
    /// Treatment of the corner between underside and profile.
    pub foot: Edge,
    /// Treatment of both corners of the rim.
    pub rim: Edge,
}

/// A hollow body. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Hollow {
    /// What is to be turned. Its faces: those of the profile, `under`, `rim`, `inside`, `bed`.
    pub wall: Outline,
    /// What it holds, filled to the rim, to be turned.
    pub cavity: Outline,
    /// Radius of the opening at the rim.
    pub mouth_mm: f64,
    /// Radius of the outside at the rim.
    pub across_mm: f64,
    /// Height of the rim.
    pub height_mm: f64,
    /// Height at which the inside begins.
    pub bottom_mm: f64,
    /// Lean of the inside at the rim from the vertical, rad; above 0 it opens upwards.
    pub lean_rad: f64,
}

/// Why a profile makes no hollow body. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub enum HollowError {
    /// The profile does not start at y = 0.
    OffGround { start: Point },
    /// It reaches to the left of the axis.
    LeftOfAxis { x: f64 },
    /// It dips below y = 0.
    BelowGround { y: f64 },
    /// It rises above its own end.
    AboveRim { y: f64, rim: f64 },
    /// Its end is no higher than the floor.
    FloorAboveRim { floor: f64, rim: f64 },
    /// The inside never comes down to the floor; where it ends.
    MissesFloor { at: Point, floor: f64 },
    /// The inside never comes up to the rim; where it ends.
    MissesRim { at: Point, rim: f64 },
    /// The walls meet before they reach the floor or the rim.
    NoRoom { at: Point },
    /// A step of the section cannot be made.
    Plane(PlaneError),
}

impl std::fmt::Display for HollowError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        use crate::quantity::{Quantity, decimals};
        let mm = |v: &f64| Quantity::mm(*v).to_string();
        let place = |p: &Point| format!("({}, {}) mm", decimals(p.x, 3), decimals(p.y, 3));
        match self {
            Self::OffGround { start } => {
                write!(f, "the profile starts at {}: the foot stands at y = 0 mm", place(start))
            }
            Self::LeftOfAxis { x } => {
                write!(f, "the profile reaches x = {}, left of the axis", mm(x))
            }
            Self::BelowGround { y } => {
                write!(f, "the profile dips to y = {}, below its foot", mm(y))
            }
            Self::AboveRim { y, rim } => write!(
                f,
                "the profile rises to y = {} and ends at {}: its end is the rim",
                mm(y),
                mm(rim)
            ),
            Self::FloorAboveRim { floor, rim } => {
                write!(f, "the floor at {} is no lower than the rim at {}", mm(floor), mm(rim))
            }
            Self::MissesFloor { at, floor } => write!(
                f,
                "the inside of the wall starts at {} and never meets the floor at {}",
                place(at),
                mm(floor)
            ),
            Self::MissesRim { at, rim } => write!(
                f,
                "the inside of the wall ends at {} and never meets the rim at {}",
                place(at),
                mm(rim)
            ),
            Self::NoRoom { at } => {
                write!(f, "the walls meet at {}: nothing is left inside", place(at))
            }
            Self::Plane(reason) => reason.fmt(f),
        }
    }
}

impl From<PlaneError> for HollowError {
    fn from(reason: PlaneError) -> Self {
        HollowError::Plane(reason)
    }
}

impl From<PathError> for HollowError {
    fn from(error: PathError) -> Self {
        HollowError::Plane(error.reason)
    }
}

/// The hollow body with this outside.
///
/// # Errors
/// See [`HollowError`].
pub fn hollow(plan: &HollowPlan) -> Result<Hollow, HollowError> {
    let rim = on_ground(plan)?;
    let run = beside(&plan.profile, plan.wall_mm, Corners::Mitre)?;
    let run = up_to(from_floor(run, plan.floor_mm)?, rim.y)?;
    let (Some(first), Some(last)) = (run.first(), run.last()) else {
        return Err(HollowError::NoRoom { at: rim });
    };
    let tightest = run.iter().map(|s| s.bounds()[0]).min_by(|a, b| a.x.total_cmp(&b.x));
    if let Some(at) = tightest.filter(|at| at.x < -TOUCH_MM) {
        return Err(HollowError::NoRoom { at: Point::new(0.0, at.y) });
    }
    let direction = last.direction(1.0);
    Ok(Hollow {
        wall: outline_of(section(plan, &run, rim)?)?,
        cavity: outline_of(contents(&run)?)?,
        mouth_mm: last.to.x,
        across_mm: rim.x,
        height_mm: rim.y,
        bottom_mm: first.from.y,
        lean_rad: FRAC_PI_2 - direction.y.atan2(direction.x),
    })
}

/// Whether the profile stands on the ground, right of the axis and below its end, which is
/// given back.
fn on_ground(plan: &HollowPlan) -> Result<Point, HollowError> {
    let start = plan.profile.start;
    let rim = plan.profile.segments.last().map_or(start, |s| s.to);
    if start.y.abs() > TOUCH_MM {
        return Err(HollowError::OffGround { start });
    }
    let boxes = plan.profile.stretches().map(|s| s.bounds());
    for [low, high] in boxes {
        if low.x < -TOUCH_MM {
            return Err(HollowError::LeftOfAxis { x: low.x });
        }
        if low.y < -TOUCH_MM {
            return Err(HollowError::BelowGround { y: low.y });
        }
        if high.y > rim.y + TOUCH_MM {
            return Err(HollowError::AboveRim { y: high.y, rim: rim.y });
        }
    }
    if plan.floor_mm >= rim.y - TOUCH_MM {
        return Err(HollowError::FloorAboveRim { floor: plan.floor_mm, rim: rim.y });
    }
    Ok(rim)
}

/// Where a stretch passes through a height, by share of its length: on the stretch itself,
/// or with `beyond` on its whole line or circle.
fn at_height(stretch: &Stretch, y: f64, beyond: bool) -> Vec<(f64, Point)> {
    let points = match (stretch.curve, stretch.radius()) {
        (Curve::Arc { centre, .. }, Some(radius)) => {
            let rise = y - centre.y;
            if rise.abs() > radius {
                return Vec::new();
            }
            let half = ((radius - rise) * (radius + rise)).sqrt();
            vec![Point::new(centre.x - half, y), Point::new(centre.x + half, y)]
        }
        _ => {
            let along = stretch.to - stretch.from;
            if along.y.abs() <= TOUCH_MM {
                return Vec::new();
            }
            let share = (y - stretch.from.y) / along.y;
            vec![Point::new(stretch.from.x + along.x * share, y)]
        }
    };
    // An end within rounding of the height is on it.
    let slack = TOUCH_MM / stretch.length().max(TOUCH_MM);
    let mut found: Vec<(f64, Point)> = points
        .into_iter()
        .map(|p| (stretch.share(p), p))
        .filter(|(share, _)| beyond || (-slack..=1.0 + slack).contains(share))
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found
}

/// The run of the inside from where it leaves the floor for the last time; where it starts
/// above the floor, its first stretch is drawn out downwards.
fn from_floor(mut run: Vec<Stretch>, floor: f64) -> Result<Vec<Stretch>, HollowError> {
    for index in (0..run.len()).rev() {
        if let Some((_, at)) = at_height(&run[index], floor, false).pop() {
            run.drain(..index);
            run[0].from = at;
            if at.distance(run[0].to) <= TOUCH_MM {
                run.remove(0);
            }
            return Ok(run);
        }
    }
    let Some(first) = run.first_mut() else { return Ok(run) };
    let start = first.from;
    // On the axis, square to it: a round bottom needs no floor.
    if start.x.abs() <= TOUCH_MM && start.y >= floor && first.direction(0.0).y.abs() <= TOUCH_MM {
        return Ok(run);
    }
    let mut below = at_height(first, floor, true).into_iter().filter(|(share, _)| *share < 0.0);
    match below.next_back() {
        Some((_, at)) if start.y > floor && at.x > 0.0 => first.from = at,
        _ => return Err(HollowError::MissesFloor { at: start, floor }),
    }
    Ok(run)
}

/// The run of the inside up to the rim: cut there, or its last stretch drawn out upwards.
fn up_to(mut run: Vec<Stretch>, rim: f64) -> Result<Vec<Stretch>, HollowError> {
    for index in 0..run.len() {
        if let Some((_, at)) = at_height(&run[index], rim, false).into_iter().next() {
            run.truncate(index + 1);
            run[index].to = at;
            if at.distance(run[index].from) <= TOUCH_MM {
                run.pop();
            }
            return Ok(run);
        }
    }
    let Some(last) = run.last_mut() else { return Ok(run) };
    let end = last.to;
    let above = at_height(last, rim, true).into_iter().find(|(share, _)| *share > 1.0);
    match above {
        Some((_, at)) if end.y < rim => last.to = at,
        _ => return Err(HollowError::MissesRim { at: end, rim }),
    }
    Ok(run)
}

fn step(stretch: &Stretch, edge: Edge, face: Option<&str>) -> PathStep {
    let curve = match stretch.curve {
        Curve::Line => PathCurve::Line,
        Curve::Arc { .. } => PathCurve::Through(stretch.at(0.5)),
    };
    PathStep { to: stretch.to, curve, edge, face: face.map(Into::into) }
}

/// The closed section: underside, profile, rim, inside, floor.
fn section(plan: &HollowPlan, run: &[Stretch], rim: Point) -> Result<Track, PathError> {
    let line = |to: Point, edge: Edge, face: &str| PathStep {
        to,
        curve: PathCurve::Line,
        edge,
        face: Some(face.into()),
    };
    let foot = plan.profile.start;
    let mut steps = Vec::new();
    let (first, last) = (run[0].from, run[run.len() - 1].to);
    if foot.x > TOUCH_MM {
        steps.push(line(foot, plan.foot, "under"));
    }
    let count = plan.profile.segments.len();
    for (index, (from, segment)) in plan.profile.iter().enumerate() {
        let stretch = Stretch { from, to: segment.to, curve: segment.curve };
        let edge = if index + 1 == count { plan.rim } else { Edge::None };
        steps.push(step(&stretch, edge, Some(segment.face.as_deref().unwrap_or("outside"))));
    }
    if rim.x - last.x <= TOUCH_MM {
        return Err(PathError { step: count, reason: PlaneError::NoLength { at: last } });
    }
    steps.push(line(last, plan.rim, "rim"));
    let back = run.iter().rev().map(Stretch::reversed);
    steps.extend(back.map(|s| step(&s, Edge::None, Some("inside"))));
    if first.x > TOUCH_MM {
        steps.push(line(Point::new(0.0, first.y), Edge::None, "bed"));
    }
    let start = Point::new(0.0, if foot.x > TOUCH_MM { 0.0 } else { foot.y });
    path(start, &steps, Some(&Close::default()))
}

/// What is inside, to the rim.
fn contents(run: &[Stretch]) -> Result<Track, PathError> {
    let (first, last) = (run[0].from, run[run.len() - 1].to);
    let line = |to| PathStep { to, curve: PathCurve::Line, edge: Edge::None, face: None };
    let mut steps = Vec::new();
    if first.x > TOUCH_MM {
        steps.push(line(first));
    }
    steps.extend(run.iter().map(|s| step(s, Edge::None, None)));
    if last.x > TOUCH_MM {
        steps.push(line(Point::new(0.0, last.y)));
    }
    path(Point::new(0.0, first.y), &steps, Some(&Close::default()))
}

#[cfg(test)]
#[path = "hollow_tests.rs"]
mod tests;
