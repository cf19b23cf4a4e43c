//! Booleans in space: cuts and joins that cross. The one place that names the truck
//! crates, over our own surfaces and curves.
//!
//! Nothing is believed: how two bodies lie is told first, corners and curves are made
//! exact again, the result is checked, and the volumes of difference, sum and
//! intersection have to agree.

mod convert;
mod guard;
mod meeting;
mod patch;
mod relation;
mod strand;
mod touch;

use super::geometry::Curve;
use super::geometry::vector::{cross, dot, length, sub, unit};
use super::measure::box_distance;
use super::{Declined, ExactBody};
use convert::{Solid, to_body, to_solid};
use guard::guarded;
use relation::{Relation, relation};
use touch::{ONE_SURFACE_MM, OVERSHOOT_MM, contacts, extended, reaches_past};

/// Tolerances with which the crate is tried, mm: as coarse as triangles may be to tell
/// where faces cross, then coarser, then finer.
const LADDER_MM: [f64; 3] = [0.05, 0.1, 0.02];

/// The crate looks at every pair of faces; more than this would take longer than anybody
/// waits. A number of pairs, unlike a time, is the same on every machine.
const MOST_PAIRS: usize = 100_000;

/// By how much volumes that must agree may differ, as a share: what rounding leaves of
/// sums over many faces.
const AGREE: f64 = 1e-8;

/// The reason that other sector lines do not change: with them the crate might miss the
/// shallow crossing altogether.
pub(super) const TOO_SHALLOW: &str = "two bodies cross at too small an angle somewhere";

/// A body of one shell: a piece, or a hollow in one.
#[derive(Clone, Debug)]
struct Part {
    shell: ExactBody,
    hollow: bool,
}

fn parts(body: &ExactBody) -> Vec<Part> {
    let part = |shell: usize| {
        let hollow = body.shell_volume_mm3(shell) < 0.0;
        let only = body.only(&[shell]);
        // A hollow is handled as the solid that fills it.
        Part { shell: if hollow { only.inside_out() } else { only }, hollow }
    };
    (0..body.shells().len()).map(part).collect()
}

fn together(parts: Vec<Part>) -> ExactBody {
    let shell = |part: Part| if part.hollow { part.shell.inside_out() } else { part.shell };
    parts.into_iter().map(shell).fold(ExactBody::default(), ExactBody::beside)
}

/// What is in `body` and not in `tool`.
///
/// # Errors
/// The reason why it is not carried.
pub(super) fn less(body: &ExactBody, tool: &ExactBody) -> Result<ExactBody, Declined> {
    let mut left = parts(body);
    for tool in parts(tool) {
        if tool.hollow {
            return Err(Declined::new("a body with a hollow inside is taken away"));
        }
        left = less_part(left, &tool.shell)?;
    }
    Ok(together(left))
}

fn less_part(parts: Vec<Part>, tool: &ExactBody) -> Result<Vec<Part>, Declined> {
    let mut left = Vec::with_capacity(parts.len() + 1);
    let (mut around, mut in_hollow) = (false, false);
    for part in parts {
        let tool = out_of_the_way(&part.shell, tool)?;
        match (relation_of(&part.shell, &tool)?, part.hollow) {
            (Relation::Apart, _) => left.push(part),
            (Relation::Inside, _) => {}
            (Relation::Crossing, false) => {
                let cut = carried(Ask::Difference, &part.shell, &tool)?;
                left.extend(self::parts(&cut));
            }
            (Relation::Around, hollow) => {
                around |= !hollow;
                in_hollow |= hollow;
                left.push(part);
            }
            (Relation::Crossing, true) => {
                return Err(Declined::new("a cut opens a hollow inside a body"));
            }
            (Relation::Unclear, _) => return Err(too_near()),
        }
    }
    if around && !in_hollow {
        left.push(Part { shell: tool.clone(), hollow: true });
    }
    Ok(left)
}

/// Whether two bodies keep clear of each other.
///
/// # Errors
/// Where that cannot be told.
pub(super) fn apart(a: &ExactBody, b: &ExactBody) -> Result<bool, Declined> {
    for first in parts(a) {
        for second in parts(b) {
            if relation_of(&first.shell, &second.shell)? != Relation::Apart {
                return Ok(false);
            }
        }
    }
    Ok(true)
}

/// What is in both.
///
/// # Errors
/// The reason why it is not carried.
pub(super) fn meet(a: &ExactBody, b: &ExactBody) -> Result<ExactBody, Declined> {
    let (first, second) = (parts(a), parts(b));
    if first.iter().chain(&second).any(|part| part.hollow) {
        return Err(Declined::new("a body with a hollow inside meets another one"));
    }
    let mut common = Vec::new();
    for a in &first {
        for b in &second {
            let tool = out_of_the_way(&a.shell, &b.shell)?;
            match relation_of(&a.shell, &tool)? {
                Relation::Apart => {}
                Relation::Inside => common.push(a.clone()),
                Relation::Around => common.push(b.clone()),
                Relation::Crossing => {
                    common.extend(parts(&carried(Ask::Common, &a.shell, &tool)?));
                }
                Relation::Unclear => return Err(too_near()),
            }
        }
    }
    Ok(together(common))
}

/// What is in any of several bodies.
///
/// # Errors
/// The reason why it is not carried.
pub(super) fn join(bodies: &[ExactBody]) -> Result<ExactBody, Declined> {
    let mut all: Vec<Part> = Vec::new();
    for body in bodies {
        let mut added = parts(body);
        if added.iter().any(|part| part.hollow) && !all.is_empty() {
            return Err(Declined::new("a body with a hollow inside is joined to another one"));
        }
        if all.is_empty() {
            all = added;
            continue;
        }
        for part in added.drain(..) {
            all = join_part(all, part)?;
        }
    }
    Ok(together(all))
}

fn join_part(parts: Vec<Part>, added: Part) -> Result<Vec<Part>, Declined> {
    let mut rest = Vec::with_capacity(parts.len() + 1);
    let mut sum = added.shell;
    let (mut swallowed, mut in_hollow) = (false, false);
    for part in parts {
        if let (false, Some(touching)) = (part.hollow, joined_at_contact(&part.shell, &sum)?) {
            sum = touching;
            continue;
        }
        match (relation_of(&part.shell, &sum)?, part.hollow) {
            (Relation::Apart, _) => rest.push(part),
            (Relation::Inside, _) => {}
            (Relation::Around, hollow) => {
                swallowed |= !hollow;
                in_hollow |= hollow;
                rest.push(part);
            }
            (Relation::Crossing, false) => sum = carried(Ask::Sum, &part.shell, &sum)?,
            (Relation::Crossing, true) => {
                return Err(Declined::new("a body reaches into the hollow of another one"));
            }
            (Relation::Unclear, _) => return Err(too_near()),
        }
    }
    if !swallowed || in_hollow {
        rest.extend(self::parts(&sum));
    }
    Ok(rest)
}

fn too_near() -> Declined {
    Declined::new("two bodies touch or nearly touch without crossing")
}

fn relation_of(a: &ExactBody, b: &ExactBody) -> Result<Relation, Declined> {
    if far(a, b) {
        return Ok(Relation::Apart);
    }
    limited(a, b)?;
    guarded(|| relation(a, b)).ok_or_else(not_carried)
}

/// Whether the boxes of two bodies do not even touch.
fn far(a: &ExactBody, b: &ExactBody) -> bool {
    match (a.bounds(), b.bounds()) {
        (Some(a), Some(b)) => box_distance(&a, &b) > ONE_SURFACE_MM,
        _ => true,
    }
}

fn limited(a: &ExactBody, b: &ExactBody) -> Result<(), Declined> {
    if a.faces().len() * b.faces().len() > MOST_PAIRS {
        return Err(Declined::new("two bodies have too many faces to be combined in space"));
    }
    Ok(())
}

fn not_carried() -> Declined {
    Declined::new("two bodies cross in a way that is not carried")
}

/// The tool with its faces moved outwards where they lie in a face of the body, and beyond
/// it there is nothing.
fn out_of_the_way(body: &ExactBody, tool: &ExactBody) -> Result<ExactBody, Declined> {
    if far(body, tool) {
        return Ok(tool.clone());
    }
    limited(body, tool)?;
    let mut tool = tool.clone();
    for _ in 0..tool.faces().len() {
        let Some(contact) = contacts(body, &tool).into_iter().next() else { return Ok(tool) };
        let stuck = || Declined::new("two bodies have faces in one surface");
        if !contact.same_side || reaches_past(body, &tool, contact.second) {
            return Err(stuck());
        }
        tool = extended(&tool, contact.second, OVERSHOOT_MM).ok_or_else(stuck)?;
    }
    Err(Declined::new("two bodies have faces in one surface"))
}

/// Two bodies that touch face to face, joined: one is let into the other a little way.
/// None where they do not touch.
fn joined_at_contact(a: &ExactBody, b: &ExactBody) -> Result<Option<ExactBody>, Declined> {
    if far(a, b) {
        return Ok(None);
    }
    limited(a, b)?;
    let found = contacts(a, b);
    let Some(contact) = found.first() else { return Ok(None) };
    let stuck = || Declined::new("two joined bodies have faces in one surface");
    if found.len() > 1 || contact.same_side {
        return Err(stuck());
    }
    let sum = a.volume_mm3() + b.volume_mm3();
    let longer = [
        (extended(b, contact.second, OVERSHOOT_MM), a),
        (extended(a, contact.first, OVERSHOOT_MM), b),
    ];
    for (grown, other) in longer {
        let Some(grown) = grown else { continue };
        if !contacts(&grown, other).is_empty() {
            continue;
        }
        if let Ok(joined) = carried(Ask::Sum, other, &grown)
            && (joined.volume_mm3() - sum).abs() <= AGREE * sum
        {
            return Ok(Some(joined));
        }
    }
    Err(stuck())
}

/// What the crate can be asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ask {
    Sum,
    Difference,
    Common,
}

/// The crate's answer, if it holds: checked, and in agreement with what the bodies have in
/// common.
fn carried(ask: Ask, a: &ExactBody, b: &ExactBody) -> Result<ExactBody, Declined> {
    limited(a, b)?;
    let (first, second) = (a.volume_mm3(), b.volume_mm3());
    for tolerance in LADDER_MM {
        let Some(common) = answer(Ask::Common, a, b, tolerance) else { continue };
        let shared = common.volume_mm3();
        let other = if ask == Ask::Common { Ask::Difference } else { ask };
        let Some(made) = answer(other, a, b, tolerance) else { continue };
        // Another tolerance might miss a crossing as shallow as this one altogether.
        if !crosses_clearly(&common) || !crosses_clearly(&made) {
            return Err(Declined::new(TOO_SHALLOW));
        }
        let want = match other {
            Ask::Sum => first + second - shared,
            _ => first - shared,
        };
        let agrees = (made.volume_mm3() - want).abs() <= AGREE * (first + second);
        let within = shared > 0.0 && shared < first.min(second) && made.volume_mm3() > 0.0;
        if agrees && within {
            return Ok(if ask == Ask::Common { common } else { made });
        }
    }
    Err(not_carried())
}

/// The crate's answer, if it is sound.
fn answer(ask: Ask, a: &ExactBody, b: &ExactBody, tolerance: f64) -> Option<ExactBody> {
    let made = guarded(|| {
        let (first, mut second) = (to_solid(a)?, to_solid(b)?);
        let made: Option<Solid> = match ask {
            Ask::Sum => truck_shapeops::or(&first, &second, tolerance),
            Ask::Common => truck_shapeops::and(&first, &second, tolerance),
            Ask::Difference => {
                second.not();
                truck_shapeops::and(&first, &second, tolerance)
            }
        };
        Some(to_body(&made?))
    })?;
    (made.check().is_ok() && !made.is_empty()).then_some(made)
}

/// Surfaces that meet at a smaller angle than this (its sine) may branch nearby, where
/// triangles do not show which way the curve goes.
const LEAST_SINE: f64 = 0.1;

/// Chords of a curve turn by less than this from one to the next (its cosine: 45 deg);
/// more is a corner, where the curve has gone over from one branch to another.
const LEAST_COSINE: f64 = 0.7;

/// Whether the curves in which surfaces meet are smooth and clear of branches. Volumes
/// cannot tell: a curve that cuts a corner takes from one body what it gives the other.
fn crosses_clearly(body: &ExactBody) -> bool {
    body.edges().iter().all(|edge| {
        let Curve::Trace(trace) = &edge.curve else { return true };
        let [a, b] = trace.surfaces();
        let knots: Vec<f64> = trace.knots().collect();
        let middles = knots.windows(2).map(|pair| (pair[0] + pair[1]) / 2.0);
        let steep = knots.iter().copied().chain(middles).all(|t| {
            let at = trace.at(t);
            length(cross(a.normal_near(at), b.normal_near(at))) > LEAST_SINE
        });
        let smooth = trace.leader().windows(3).all(|run| {
            let (first, second) = (unit(sub(run[1], run[0])), unit(sub(run[2], run[1])));
            dot(first, second) > LEAST_COSINE
        });
        steep && smooth
    })
}
