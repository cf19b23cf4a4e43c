//! The pocketed wall of a body of revolution, built directly.

use super::super::Declined;
use super::super::body::ExactBody;
use super::super::turned::{Ring, Step, Sweep, even_seams, profile};
use super::chart::Chart;
use super::complex::complex;
use super::merged::merged;
use super::{Ends, NEAR, Sheet, slopes, too_steep, twisted};
use crate::layers::{Cells, Layer, WELD_MM, cut_at, finer_pocket, pocket};
use crate::model::{Inlay, Sides, Surface};
use crate::plane::{self, Combine, Outline, Point, Strips, combine, polygon};
use std::f64::consts::TAU;

/// A pattern's line this near to where a sector would start is taken instead, rad.
const SNAP_RAD: f64 = TAU / 24.0;

/// A straight profile within this distance of the pattern's surface is that surface, mm:
/// profiles pass through placements and 2D booleans, which round far below.
const ON_WALL_MM: f64 = 1e-7;

/// A pocket to be cut into a wall.
#[derive(Clone, Debug)]
pub(in crate::exact) struct Opening<'a> {
    /// The pattern, in the axes of the profile.
    pub(in crate::exact) inlay: &'a Inlay,
    /// Its section at the show face, grown as the seat asks.
    pub(in crate::exact) strips: &'a Strips,
    /// How much deeper than the inlay the pocket is, mm.
    pub(in crate::exact) gap_behind_mm: f64,
    /// The names of its ends.
    pub(in crate::exact) ends: Ends,
}

/// Where sectors start so that they follow the lines of a pattern as far as possible.
pub(super) fn seam_angles(strips: &Strips) -> Vec<f64> {
    let (Some(period), Some(first)) = (strips.period, strips.lines.first()) else {
        return Vec::new();
    };
    let snapped = |target: f64| {
        let off = |line: &f64| (line - target - ((line - target) / period).round() * period).abs();
        let nearest = strips.lines.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
        nearest.filter(|line| off(line) <= SNAP_RAD).copied().unwrap_or(target)
    };
    let mut seams: Vec<f64> = even_seams(*first).into_iter().map(snapped).collect();
    seams.sort_by(f64::total_cmp);
    seams
}

/// The body swept by `outline` with pockets in its walls.
///
/// # Errors
/// Where a pocket has no wall of its own, reaches its ends, or is not carried.
pub(in crate::exact) fn pocketed_turned(
    outline: &Outline,
    sides: Option<Sides>,
    openings: &[Opening],
) -> Result<ExactBody, Declined> {
    if sides.is_some() && openings.iter().any(|o| slopes(o.strips)) {
        return Err(twisted());
    }
    let seams = match openings.first() {
        _ if sides.is_some() => sides.map(Sides::corners).unwrap_or_default(),
        Some(first) if !first.strips.lines.is_empty() => seam_angles(first.strips),
        _ => even_seams(0.0),
    };
    let mut loops = profile(outline)?;
    for opening in openings {
        part_walls(&mut loops, opening, openings)?;
    }
    let mut walls = Vec::new();
    for opening in openings {
        walls.push(find_wall(&loops, opening)?);
    }
    let mut sweep = match sides {
        Some(sides) => Sweep::along(sides),
        None => Sweep::new(seams.clone()),
    };
    let mut rings = Vec::new();
    for (number, steps) in loops.iter().enumerate() {
        rings.push(sweep.add(steps, |step| !walls.contains(&(number, step))));
    }
    for (opening, (number, step)) in openings.iter().zip(walls) {
        let ends = [&rings[number][step], &rings[number][(step + 1) % rings[number].len()]];
        sweep = cut(sweep, opening, &loops[number][step], ends, &seams)?;
    }
    Ok(ExactBody::new(sweep.points, sweep.edges, sweep.faces))
}

/// Whether the profile has a straight wall round a pattern.
///
/// # Errors
/// Where the profile runs to the other side of the axis.
pub(in crate::exact) fn has_wall(outline: &Outline, opening: &Opening) -> Result<bool, Declined> {
    Ok(profile(outline)?.iter().flatten().any(|step| carries(step, opening)))
}

/// What keeps clear of other profiles and of the back of a wall, mm.
const CLEAR_MM: f64 = 1e-3;

/// Whether two patterns lie one above the other with room between them.
pub(in crate::exact) fn apart(one: &Opening, other: &Opening) -> bool {
    let ([low, high], [from, to]) = (reach(one.strips), reach(other.strips));
    from - high > 2.0 * WELD_MM || low - to > 2.0 * WELD_MM
}

/// Whether the ring in which a pattern lies is free: of voids where the pattern goes into
/// the body, of the body where it stands on it.
pub(in crate::exact) fn is_clear(outline: &Outline, opening: &Opening) -> bool {
    let inlay = opening.inlay;
    let Surface::Round { radius_mm, slope, .. } = inlay.surface else { return false };
    let [low, high] = reach(opening.strips);
    let deep = inlay.level_depth_mm(inlay.sink_mm + opening.gap_behind_mm) + CLEAR_MM;
    let at =
        |z: f64, depth: f64| Point::new(radius_mm + slope * z - inlay.depth_sense() * depth, z);
    let mut corners = [at(low, CLEAR_MM), at(low, deep), at(high, deep), at(high, CLEAR_MM)];
    if corners.iter().any(|p| p.x <= 0.0) {
        return false;
    }
    if inlay.depth_sense() > 0.0 {
        corners.reverse();
    }
    let Ok(ring) = polygon(&corners) else { return false };
    let stands = !outline.contains(at((low + high) / 2.0, CLEAR_MM));
    let how = if stands { Combine::Meet } else { Combine::Less };
    combine(how, &ring, outline).is_ok_and(|rest| rest.is_empty())
}

/// Lowest and highest z of a pattern, mm.
fn reach(strips: &Strips) -> [f64; 2] {
    let mut reach = [f64::INFINITY, f64::NEG_INFINITY];
    for interval in strips.strips.iter().flatten() {
        for end in 0..2 {
            reach[0] = reach[0].min(interval.bottom[end]);
            reach[1] = reach[1].max(interval.top[end]);
        }
    }
    reach
}

/// Lowest and highest z of a step, mm.
fn heights(step: &Step) -> [f64; 2] {
    [step.start.y.min(step.end.y), step.start.y.max(step.end.y)]
}

/// Whether a step is part of the wall on which a pattern sits and reaches past it.
fn carries(step: &Step, opening: &Opening) -> bool {
    let Surface::Round { radius_mm, slope, .. } = opening.inlay.surface else { return false };
    let on_wall = |p: Point| (p.x - radius_mm - slope * p.y).abs() <= ON_WALL_MM;
    let [low, high] = reach(opening.strips);
    let [lower, upper] = heights(step);
    let clear = low - lower > WELD_MM && upper - high > WELD_MM;
    step.curve == plane::Curve::Line && on_wall(step.start) && on_wall(step.end) && clear
}

/// Where the pattern's wall is: loop and step.
fn find_wall(loops: &[Vec<Step>], opening: &Opening) -> Result<(usize, usize), Declined> {
    for (number, steps) in loops.iter().enumerate() {
        if let Some(step) = steps.iter().position(|step| carries(step, opening)) {
            return Ok((number, step));
        }
    }
    Err(Declined::new("a pocket reaches the end of the straight wall in which it lies"))
}

/// Divides a wall between a pattern and the next one above it in the same wall.
fn part_walls(loops: &mut [Vec<Step>], opening: &Opening, all: &[Opening]) -> Result<(), Declined> {
    let (number, step) = find_wall(loops, opening)?;
    let wall = loops[number][step];
    let top = reach(opening.strips)[1];
    let others = all.iter().filter(|o| !std::ptr::eq(*o, opening) && carries(&wall, o));
    let mut lowest_above = f64::INFINITY;
    for other in others {
        let [low, high] = reach(other.strips);
        if low > top + 2.0 * WELD_MM {
            lowest_above = lowest_above.min(low);
        } else if high + 2.0 * WELD_MM >= reach(opening.strips)[0] {
            return Err(Declined::new("two pockets lie side by side in one wall"));
        }
    }
    if lowest_above.is_finite() {
        let share = ((top + lowest_above) / 2.0 - wall.start.y) / (wall.end.y - wall.start.y);
        let middle = wall.start + (wall.end - wall.start) * share;
        let (from, to) = (Step { end: middle, ..wall }, Step { start: middle, ..wall });
        loops[number][step] = from;
        loops[number].insert(step + 1, to);
    }
    Ok(())
}

/// Fills the open wall between two rings with what the pocket leaves of it.
fn cut(
    sweep: Sweep,
    opening: &Opening,
    wall: &Step,
    ends: [&Ring; 2],
    seams: &[f64],
) -> Result<Sweep, Declined> {
    let layer =
        Layer::of_pocket(opening.inlay, opening.gap_behind_mm, 0.0).ok_or_else(too_steep)?;
    let strips = cut_at(opening.strips, seams, NEAR);
    let span_mm = heights(wall);
    let mut cells =
        complex(|| pocket(&strips, &layer, span_mm), || finer_pocket(&strips, &layer, span_mm))?;
    // Walls that run down face the axis.
    if wall.end.y < wall.start.y {
        cells.turn_round();
    }
    let chart = Chart::new(opening.inlay, seams.to_vec());
    let mut sheet = Sheet::new(&chart, &cells, opening.ends);
    let mut next = sweep;
    std::mem::swap(&mut sheet.points, &mut next.points);
    std::mem::swap(&mut sheet.edges, &mut next.edges);
    std::mem::swap(&mut sheet.faces, &mut next.faces);
    for (ring, height) in ends.into_iter().zip([wall.start.y, wall.end.y]) {
        join_ring(&mut sheet, &cells, ring, height, seams)?;
    }
    for face in merged(&chart, &cells) {
        sheet.add(&face);
    }
    std::mem::swap(&mut sheet.points, &mut next.points);
    std::mem::swap(&mut sheet.edges, &mut next.edges);
    std::mem::swap(&mut sheet.faces, &mut next.faces);
    Ok(next)
}

/// Ties the rim of a pocketed wall to the ring that the profile swept there.
fn join_ring(
    sheet: &mut Sheet,
    cells: &Cells,
    ring: &Ring,
    height: f64,
    seams: &[f64],
) -> Result<(), Declined> {
    let missing = || Declined::new("a pocketed wall does not meet the rest of its body");
    let Ring::Circle { corners, arcs } = ring else { return Err(missing()) };
    let mut vertices = Vec::with_capacity(seams.len());
    for seam in seams {
        let found = cells.vertices.iter().position(|v| {
            let off = cells.lines[v.line as usize] - seam;
            let off = off - (off / TAU).round() * TAU;
            off.abs() <= NEAR && v.z_mm == height && v.depth_mm == 0.0
        });
        vertices.push(found.ok_or_else(missing)? as u32);
    }
    for (k, vertex) in vertices.iter().enumerate() {
        sheet.join_corner(*vertex, corners[k]);
        sheet.join_edge([*vertex, vertices[(k + 1) % vertices.len()]], arcs[k]);
    }
    Ok(())
}
