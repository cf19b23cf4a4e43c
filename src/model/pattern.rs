//! From an inlay to strips: its pattern laid out on the developed surface, its sides
//! moved by a gap, its slit cut.
//!
//! A gap is a distance square to a side. Flanks are radial: they move by the angle
//! whose chord at the least radius is the gap. Undersides are level and move by the
//! gap itself. A ceiling leans, so it moves farther along the axis than square to it.

use super::askew;
use super::belly::Seen;
use super::body::{Eased, Inlay, Pattern, Surface};
use super::sides::Sides;
use crate::plane::{
    ChartFrame, InkFrame, Moves, Outline, Strips, chart_strips_with, ink_polygons, polygon_strips,
};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Sides of free-form figures move by this much more than the gap, mm: their flanks
/// twist between the lines at which the surface is cut, and the flat triangles of the
/// two bodies come nearer there than the curves. `gap` promises the least distance.
pub const FACET_ALLOWANCE_MM: f64 = 6e-4;

/// Heights that meet at the end of one repeat and the start of the next are the same
/// when they differ by less, mm.
const WELD_MM: f64 = 1e-5;

/// Why a pattern cannot be laid out.
#[derive(Clone, Debug, PartialEq)]
pub enum PatternError {
    /// The inlay reaches to the axis or beyond it: the least radius of its back.
    TooDeep { least_radius_mm: f64 },
    /// On this cone a ceiling of that angle would never meet the floor of the pocket;
    /// angles from the vertical, rad.
    CeilingAlongCone { angle_rad: f64, least_rad: f64 },
    /// A slit or a gap wider than twice the least radius.
    TooWide { width_mm: f64, least_radius_mm: f64 },
    /// A chart without cells, or with rows of different length.
    UnevenChart,
}

/// How ceilings lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ceilings {
    /// By how much they drop along the axis per mm of level depth below the show face.
    /// 0: flat.
    pub drop_per_depth: f64,
    /// By how much they move along the axis per mm of gap.
    pub per_gap: f64,
    /// True where they are the lower edges.
    pub lower: bool,
}

impl Ceilings {
    /// Nothing is eased.
    const FLAT: Ceilings = Ceilings { drop_per_depth: 0.0, per_gap: 1.0, lower: false };
}

impl Inlay {
    /// How the ceilings of the pocket lie.
    ///
    /// With `a` the angle from the vertical and `c` the change of the host's radius per
    /// mm towards the ceiling, a ceiling drops by cos a / (sin a - c cos a) per mm of
    /// level depth, and moves by 1 / (sin a - c cos a) along the surface's axis per mm
    /// square to it. On a cylinder: cot a and 1 / sin a.
    ///
    /// # Errors
    /// A cone that leans as much as the ceiling.
    pub fn ceilings(&self) -> Result<Ceilings, PatternError> {
        let Some(eased) = self.eased else { return Ok(Ceilings::FLAT) };
        if let Some(seen) = self.seen() {
            return self.bellied_ceilings(&eased, &seen);
        }
        let lean = if eased.lower { -self.lean_rad() } else { self.lean_rad() };
        let (angle_rad, change) = match &self.surface {
            Surface::Round { outward: true, .. } => (eased.angle_rad, lean.tan()),
            Surface::Round { .. } | Surface::Belly { .. } => (eased.angle_rad, -lean.tan()),
            Surface::Flat { .. } if self.is_level() => return Ok(Ceilings::FLAT),
            // On a leaning flat everything turns with the face.
            Surface::Flat { .. } => (eased.angle_rad - lean, 0.0),
        };
        let (sin, cos) = angle_rad.sin_cos();
        let closing = sin - change * cos;
        if closing <= 0.0 || angle_rad <= 0.0 {
            let least_rad = lean.max(0.0);
            return Err(PatternError::CeilingAlongCone { angle_rad: eased.angle_rad, least_rad });
        }
        // A right angle is no easing, whatever the rounding of its cosine.
        let cos = if angle_rad >= FRAC_PI_2 { 0.0 } else { cos };
        let (drop_per_depth, per_gap) = (cos / closing, 1.0 / closing);
        let straight = Ceilings { drop_per_depth, per_gap, lower: eased.lower };
        askew::ceilings(self, straight, change).ok_or_else(|| {
            let (angle_rad, least_rad) = (eased.angle_rad, lean.max(0.0));
            PatternError::CeilingAlongCone { angle_rad, least_rad }
        })
    }

    /// The flat sides of its host; none where that is round, or the face a single flat.
    pub fn sides(&self) -> Option<Sides> {
        self.surface.sides()
    }

    /// Length of a radian of u for each mm from the axis, mm: 1 on round faces, more along
    /// the sides of a polygon.
    pub fn stretch(&self) -> f64 {
        self.sides().map_or(1.0, Sides::longer)
    }

    /// A bellied face as its ceilings see it; none for other faces and where nothing is eased.
    pub fn seen(&self) -> Option<Seen<'_>> {
        let Surface::Belly { meridian, outward, .. } = &self.surface else { return None };
        let Eased { angle_rad, lower } = self.eased?;
        let sense = if *outward { 1.0 } else { -1.0 };
        Some(Seen { meridian, sense, lower, angle_rad })
    }

    /// On a belly each ceiling drops and moves by its own measure; these are the greatest, for
    /// checks, and for the sides of drawings, whose gap may be more than asked.
    fn bellied_ceilings(&self, eased: &Eased, seen: &Seen) -> Result<Ceilings, PatternError> {
        /// Heights at which the drop is worked out: it has no more than one crest an arc.
        const SAMPLES: usize = 16;
        let (angle_rad, lower) = (eased.angle_rad, eased.lower);
        let [low, high] = self.band_mm();
        let reached = [low - self.sink_mm, high + self.sink_mm];
        let [bottom, top] = self.surface.span_mm();
        let hanging = seen.hanging(reached.map(|z| z.clamp(bottom, top)));
        let (sin, cos) = angle_rad.sin_cos();
        let closing = sin - hanging * cos;
        if closing <= 0.0 || angle_rad <= 0.0 {
            let least_rad = hanging.max(0.0).atan();
            return Err(PatternError::CeilingAlongCone { angle_rad, least_rad });
        }
        if angle_rad >= FRAC_PI_2 {
            return Ok(Ceilings { lower, ..Ceilings::FLAT });
        }
        let heights = (0..=SAMPLES).map(|k| low + (high - low) * k as f64 / SAMPLES as f64);
        let drops = heights.map(|z| {
            let y = seen.turned(z);
            (y - seen.foot(y, self.sink_mm)) / self.sink_mm.max(f64::MIN_POSITIVE)
        });
        let drop_per_depth = drops.fold(0.0, f64::max);
        Ok(Ceilings { drop_per_depth, per_gap: 1.0 / closing, lower })
    }

    /// Length of a radian of u on the surface at the level, by which drawings are measured,
    /// mm; none on flat faces.
    pub fn reference_radius_mm(&self) -> Option<f64> {
        Some(self.radius_at(self.level_mm)? * self.stretch())
    }

    /// Radius of the surface at height `z`, mm; none on flat faces.
    pub fn radius_at(&self, z: f64) -> Option<f64> {
        self.surface.radius_at(z).map(|[radius, _]| radius)
    }

    /// Lowest and highest z of the pattern as drawn, in the developed plane, mm.
    pub fn band_mm(&self) -> [f64; 2] {
        match &self.pattern {
            Pattern::Figure { ink } => match ink.bounds() {
                Some([low, high]) => [self.level_mm + low.y, self.level_mm + high.y],
                None => [self.level_mm; 2],
            },
            _ => [self.level_mm - self.height_mm / 2.0, self.level_mm + self.height_mm / 2.0],
        }
    }

    /// The least radius at which its flanks stand, mm; none on flat faces. Flanks
    /// and slits are measured here, where they are nearest.
    ///
    /// # Errors
    /// An inlay that reaches to the axis.
    pub fn least_radius_mm(&self) -> Result<Option<f64>, PatternError> {
        let inwards = match self.surface.faces_axis() {
            true => self.proud_mm,
            false => self.sink_mm,
        };
        let least_radius_mm = match &self.surface {
            Surface::Flat { .. } => return Ok(None),
            Surface::Belly { meridian, .. } => meridian.least_mm(self.band_mm(), -inwards),
            Surface::Round { .. } => {
                let surface = self.band_mm().into_iter().filter_map(|z| self.radius_at(z));
                surface.fold(f64::INFINITY, f64::min) - self.level_depth_mm(inwards)
            }
        };
        if least_radius_mm > 0.0 {
            Ok(Some(least_radius_mm))
        } else {
            Err(PatternError::TooDeep { least_radius_mm })
        }
    }
}

/// The pattern as drawn, with its slit.
///
/// # Errors
/// See [`PatternError`].
pub fn nominal_strips(inlay: &Inlay) -> Result<Strips, PatternError> {
    inset_strips(inlay, 0.0)
}

/// The pattern with all its sides moved into the material by `gap_mm`, with its slit,
/// which stays as wide as asked. What is too thin has vanished.
///
/// # Errors
/// See [`PatternError`].
pub fn inset_strips(inlay: &Inlay, gap_mm: f64) -> Result<Strips, PatternError> {
    let strips = moved_strips(inlay, 0.0 - gap_mm)?;
    match slit_angle(inlay)? {
        Some((middle, width)) => Ok(strips.slit(middle, width)),
        None => Ok(strips),
    }
}

/// The section of the pocket: the pattern without its slit, with all its sides moved
/// out of the material by `gap_mm`.
///
/// # Errors
/// See [`PatternError`].
pub fn pocket_strips(inlay: &Inlay, gap_mm: f64) -> Result<Strips, PatternError> {
    moved_strips(inlay, gap_mm)
}

/// Middle and width of the slit in u.
fn slit_angle(inlay: &Inlay) -> Result<Option<(f64, f64)>, PatternError> {
    let Some(slit) = inlay.slit else { return Ok(None) };
    let middle = inlay.bearing + slit.bearing_rad;
    let Some(least) = inlay.least_radius_mm()? else {
        return Ok(Some((middle, slit.width_mm)));
    };
    let Some(sides) = inlay.sides() else {
        return Ok(Some((middle, 2.0 * half_chord_angle(slit.width_mm, least)?)));
    };
    let [from, to] = slit_walls(slit.width_mm, sides.angle_rad(middle), least, Some(sides))?;
    let [from, to] = [from, to].map(|angle| sides.place_rad(angle));
    Ok(Some(((from + to) / 2.0, to - from)))
}

impl Inlay {
    /// What lengths along u count for, for each mm from the axis, where flanks are nearest:
    /// on flat sides a flank near a corner stands askew by half of the turn there.
    fn squeeze(&self) -> f64 {
        self.sides().map_or(1.0, |sides| sides.longer() / sides.corner())
    }

    /// The angles of the walls of its slit round the axis, rad; none where it has no slit.
    ///
    /// # Errors
    /// See [`PatternError`].
    pub fn slit_rad(&self) -> Result<Option<[f64; 2]>, PatternError> {
        let (Some(slit), Some(least)) = (self.slit, self.least_radius_mm()?) else {
            return Ok(None);
        };
        let middle = self.bearing + slit.bearing_rad;
        let middle = self.sides().map_or(middle, |sides| sides.angle_rad(middle));
        slit_walls(slit.width_mm, middle, least, self.sides()).map(Some)
    }
}

/// The angles of two walls that are `width_mm` apart where they are nearest to the axis.
fn slit_walls(
    width_mm: f64,
    middle: f64,
    least_mm: f64,
    sides: Option<Sides>,
) -> Result<[f64; 2], PatternError> {
    let half = half_chord_angle(width_mm, least_mm)?;
    let out = |angle: f64| sides.map_or(1.0, |s| 1.0 / (angle - s.middle_rad(angle)).cos());
    let wall = |sign: f64| -> Result<f64, PatternError> {
        let mut by = half;
        // Farther out on its side a wall stands at a lesser angle.
        for _ in 0..3 {
            by = half_chord_angle(width_mm, least_mm * out(middle + sign * by))?;
        }
        Ok(middle + sign * by)
    };
    Ok([wall(-1.0)?, wall(1.0)?])
}

/// The angle under which half of a chord is seen from the centre.
fn half_chord_angle(chord_mm: f64, radius_mm: f64) -> Result<f64, PatternError> {
    let sine = chord_mm / (2.0 * radius_mm);
    if sine.abs() < 1.0 {
        Ok(sine.asin())
    } else {
        Err(PatternError::TooWide { width_mm: chord_mm, least_radius_mm: radius_mm })
    }
}

/// All sides moved out of the material by `by_mm`.
fn moved_strips(inlay: &Inlay, by_mm: f64) -> Result<Strips, PatternError> {
    let ceilings = inlay.ceilings()?;
    match &inlay.pattern {
        Pattern::Chart { rows, repeats } => chart(inlay, rows, *repeats, by_mm, &ceilings),
        Pattern::Tile { ink, width_mm, repeats } => {
            tile(inlay, ink, *width_mm, *repeats, by_mm, &ceilings)
        }
        Pattern::Figure { ink } => figure(inlay, ink, by_mm, &ceilings),
    }
}

fn chart(
    inlay: &Inlay,
    rows: &[Vec<bool>],
    repeats: u32,
    by_mm: f64,
    ceilings: &Ceilings,
) -> Result<Strips, PatternError> {
    let columns = rows.first().map_or(0, Vec::len);
    if columns == 0 || repeats == 0 || rows.iter().any(|row| row.len() != columns) {
        return Err(PatternError::UnevenChart);
    }
    let (width, closes) = match &inlay.surface {
        Surface::Round { .. } | Surface::Belly { .. } => (TAU, true),
        Surface::Flat { width_mm: [low, high], .. } => (high - low, false),
    };
    let flank = match inlay.least_radius_mm()? {
        // The distance of a point from a radial plane at the angle `flank`.
        Some(least) => half_chord_angle(2.0 * by_mm, least)?,
        None => by_mm,
    };
    let seen = inlay.seen();
    // On a belly each ceiling moves by its own measure, afterwards.
    let leaning = if seen.is_some() { 0.0 } else { by_mm * ceilings.per_gap };
    let (under_mm, ceiling_mm) = if ceilings.lower { (leaning, by_mm) } else { (by_mm, leaning) };
    let frame =
        ChartFrame { start: inlay.bearing, width, closes, repeats, span_mm: inlay.band_mm() };
    let Some((sides, least)) = inlay.sides().zip(inlay.least_radius_mm()?) else {
        let moves = Moves { flank, under_mm, ceiling_mm };
        let strips = chart_strips_with(rows, &frame, &moves, &|_| [flank.abs(); 2]);
        return Ok(match seen {
            Some(seen) if by_mm != 0.0 => cones_moved(&strips, &seen, by_mm, inlay.level_mm),
            _ => strips,
        });
    };
    let moves = Moves { flank: flank * MOST_MOVE, under_mm, ceiling_mm };
    let to = |u: f64, apart_mm: f64| {
        let angle = sides.angle_rad(u);
        let by = sides.turned_by(angle, least, apart_mm).unwrap_or(0.0);
        (sides.place_rad(angle + by) - u).abs().min(moves.flank.abs())
    };
    let reach = |u: f64| [to(u, -by_mm.abs()), to(u, by_mm.abs())];
    Ok(chart_strips_with(rows, &frame, &moves, &reach))
}

/// All ceilings moved by `by_mm` square to themselves: counted along the cones that they lie
/// on they move evenly.
fn cones_moved(strips: &Strips, seen: &Seen, by_mm: f64, level_mm: f64) -> Strips {
    let turned = if seen.lower { strips.mirrored() } else { strips.clone() };
    let along = turned.reshaped(|y| seen.cone_mm(y));
    let moved =
        if by_mm < 0.0 { along.ceilings_lowered(-by_mm) } else { along.ceilings_raised(by_mm) };
    let near = seen.turned(level_mm);
    let back = moved.reshaped(|cone| seen.of_cone(cone, near));
    if seen.lower { back.mirrored() } else { back }
}

/// Flanks on flat sides move in u by up to this many times their angle at the least radius:
/// w / sin w of a side that turns by w, at its most for three of them.
const MOST_MOVE: f64 = 2.5;

fn tile(
    inlay: &Inlay,
    ink: &Outline,
    width_mm: f64,
    repeats: u32,
    by_mm: f64,
    ceilings: &Ceilings,
) -> Result<Strips, PatternError> {
    let half = inlay.height_mm / 2.0;
    let round = inlay.least_radius_mm()?.zip(inlay.reference_radius_mm());
    let mut frame = InkFrame {
        pitch_mm: Some(width_mm),
        window_x: [0.0, width_mm],
        window_y: [-half, half],
        endless: true,
        squeeze: 1.0,
        by_mm: outwards(by_mm),
    };
    let Some((least, reference)) = round else {
        frame.endless = false;
        frame.window_x = [0.0, width_mm * f64::from(repeats)];
        return Ok(flat(inlay, ink, &frame, by_mm, ceilings));
    };
    frame.squeeze = least * inlay.squeeze() / reference;
    let turn = TAU / f64::from(repeats);
    let one = round_strips(inlay, ink, &frame, turn / width_mm, by_mm, ceilings);
    Ok(one.repeated(inlay.bearing, repeats, true, WELD_MM).edges_joined().merged())
}

fn figure(
    inlay: &Inlay,
    ink: &Outline,
    by_mm: f64,
    ceilings: &Ceilings,
) -> Result<Strips, PatternError> {
    let everywhere = [f64::NEG_INFINITY, f64::INFINITY];
    let mut frame = InkFrame {
        pitch_mm: None,
        window_x: everywhere,
        window_y: everywhere,
        endless: false,
        squeeze: 1.0,
        by_mm: outwards(by_mm),
    };
    let Some((least, reference)) = inlay.least_radius_mm()?.zip(inlay.reference_radius_mm()) else {
        return Ok(flat(inlay, ink, &frame, by_mm, ceilings));
    };
    // Once round, its seam opposite the origin.
    let half = TAU / 2.0 * reference;
    frame.squeeze = least * inlay.squeeze() / reference;
    frame.pitch_mm = Some(2.0 * half);
    frame.window_x = [-half, half];
    frame.endless = true;
    let one = round_strips(inlay, ink, &frame, 1.0 / reference, by_mm, ceilings);
    Ok(one.repeated(inlay.bearing - TAU / 2.0, 1, true, WELD_MM).edges_joined().merged())
}

/// The move of a free-form side: the gap and what facets take of it.
fn outwards(by_mm: f64) -> f64 {
    if by_mm == 0.0 { 0.0 } else { by_mm + FACET_ALLOWANCE_MM.copysign(by_mm) }
}

/// One window of a drawn pattern on a round face, u from its left end in rad.
fn round_strips(
    inlay: &Inlay,
    ink: &Outline,
    frame: &InkFrame,
    rad_per_mm: f64,
    by_mm: f64,
    ceilings: &Ceilings,
) -> Strips {
    let mut polygons = ink_polygons(ink, frame);
    let [left, right] = frame.window_x.map(|x| x * rad_per_mm);
    for point in polygons.iter_mut().flatten() {
        point.x *= rad_per_mm;
    }
    leaned(polygon_strips(&polygons, [left, right]), by_mm, ceilings).raised(inlay.level_mm)
}

/// A drawn pattern on a flat face.
fn flat(inlay: &Inlay, ink: &Outline, frame: &InkFrame, by_mm: f64, ceilings: &Ceilings) -> Strips {
    let mut polygons = ink_polygons(ink, frame);
    let mut ends = [f64::INFINITY, f64::NEG_INFINITY];
    for point in polygons.iter_mut().flatten() {
        point.x += inlay.bearing;
        ends = [ends[0].min(point.x), ends[1].max(point.x)];
    }
    if ends[0] >= ends[1] {
        return Strips::empty(None);
    }
    leaned(polygon_strips(&polygons, ends), by_mm, ceilings).raised(inlay.level_mm).merged()
}

/// Ceilings moved on by what they lean: all sides have moved by the gap already.
fn leaned(strips: Strips, by_mm: f64, ceilings: &Ceilings) -> Strips {
    let more_mm = by_mm.abs() * (ceilings.per_gap - 1.0);
    if more_mm <= 0.0 {
        return strips;
    }
    let turned = if ceilings.lower { strips.mirrored() } else { strips };
    let moved = if by_mm < 0.0 {
        turned.ceilings_lowered(more_mm)
    } else {
        turned.ceilings_raised(more_mm)
    };
    if ceilings.lower { moved.mirrored() } else { moved }
}

#[cfg(test)]
#[path = "pattern_tests.rs"]
mod tests;
