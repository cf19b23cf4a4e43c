//! Strips cut, moved and shrunk.

use super::layer::Layer;
use super::{THIN_MM, WELD_MM};
use crate::plane::{Interval, Strips};

/// A motion of the developed plane that keeps the axis upright.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// `u` becomes `-u`, first.
    pub mirror_u: bool,
    /// z becomes `-z`, first.
    pub mirror_z: bool,
    /// Added to `u`.
    pub turn: f64,
    /// Added to z, mm.
    pub rise_mm: f64,
}

/// The part of an interval between two fractions of its strip.
fn part(interval: &Interval, from: f64, to: f64) -> Interval {
    let at = |ends: [f64; 2], t: f64| {
        if t <= 0.0 || ends[0] == ends[1] {
            ends[0]
        } else if t >= 1.0 {
            ends[1]
        } else {
            ends[0] + (ends[1] - ends[0]) * t
        }
    };
    let both = |ends| [at(ends, from), at(ends, to)];
    Interval { bottom: both(interval.bottom), top: both(interval.top), ..*interval }
}

/// Rebuilds strips from pieces: (strip, fractions where it is cut), and where lines go.
fn rebuilt(strips: &Strips, lines: &[f64], cuts: &[Vec<f64>], least: f64) -> Strips {
    let mut out = Strips { lines: vec![], period: strips.period, strips: vec![] };
    let count = strips.strips.len();
    for i in 0..count {
        let [a, b] = strips.span(i);
        let end = if i + 1 < lines.len() {
            lines[i + 1]
        } else {
            lines[0] + strips.period.unwrap_or(0.0)
        };
        let mut marks = vec![(lines[i], 0.0)];
        marks.extend(cuts[i].iter().map(|u| (*u, (u - a) / (b - a))));
        marks.push((end, 1.0));
        for pair in marks.windows(2) {
            if pair[1].0 - pair[0].0 <= least {
                continue;
            }
            out.lines.push(pair[0].0);
            let cells = strips.strips[i].iter().map(|v| part(v, pair[0].1, pair[1].1));
            out.strips.push(cells.collect());
        }
    }
    if strips.period.is_none() {
        out.lines.extend(lines.last());
    }
    out
}

/// The strips cut at more places. `cuts` need no order; on round hosts they count modulo
/// the period. Lines nearer than `near` to a cut move onto it. On flat hosts cuts outside
/// the strips do nothing.
pub fn cut_at(strips: &Strips, cuts: &[f64], near: f64) -> Strips {
    if strips.strips.is_empty() {
        return strips.clone();
    }
    let first = strips.lines[0];
    let mut sorted: Vec<f64> = match strips.period {
        Some(p) => {
            let at_home = |c: &f64| (c - first + near).rem_euclid(p) + first - near;
            cuts.iter().map(at_home).collect()
        }
        None => cuts.to_vec(),
    };
    sorted.sort_by(f64::total_cmp);
    sorted.dedup_by(|a, b| *a - *b <= near);
    let snapped = |u: f64| {
        let at = sorted.partition_point(|c| *c < u - near);
        sorted.get(at).copied().filter(|c| (c - u).abs() <= near).unwrap_or(u)
    };
    let lines: Vec<f64> = strips.lines.iter().map(|u| snapped(*u)).collect();
    let inside = |i: usize| {
        let [a, b] = strips.span(i);
        let from = sorted.partition_point(|c| *c <= a + near);
        let to = sorted.partition_point(|c| *c < b - near);
        sorted[from..to.max(from)].to_vec()
    };
    let inner: Vec<Vec<f64>> = (0..strips.strips.len()).map(inside).collect();
    rebuilt(strips, &lines, &inner, 0.0)
}

/// Strips narrower than `near` left out, bars no higher than [`THIN_MM`] too, and voids
/// narrower than [`WELD_MM`] closed.
pub fn settled(strips: &Strips, near: f64) -> Strips {
    let none: Vec<Vec<f64>> = vec![vec![]; strips.strips.len()];
    let mut out = if strips.strips.is_empty() {
        strips.clone()
    } else {
        rebuilt(strips, &strips.lines.clone(), &none, near)
    };
    for cells in &mut out.strips {
        cells.retain(|v| v.heights().into_iter().fold(0.0, f64::max) > THIN_MM);
        let mut joined: Vec<Interval> = vec![];
        for cell in cells.iter() {
            match joined.last_mut() {
                Some(below) if (0..2).all(|e| cell.bottom[e] - below.top[e] < WELD_MM) => {
                    below.top = cell.top;
                    below.top_edge = cell.top_edge;
                }
                _ => joined.push(*cell),
            }
        }
        *cells = joined;
    }
    out
}

/// The strips after a motion.
pub fn moved(strips: &Strips, motion: &Motion) -> Strips {
    let mut out = strips.clone();
    if motion.mirror_z {
        for cells in &mut out.strips {
            cells.reverse();
            for v in cells.iter_mut() {
                *v = Interval {
                    bottom: v.top.map(|z| -z),
                    top: v.bottom.map(|z| -z),
                    bottom_edge: v.top_edge,
                    top_edge: v.bottom_edge,
                };
            }
        }
    }
    if motion.mirror_u {
        out.lines = strips.lines.iter().rev().map(|u| -u).collect();
        out.strips.reverse();
        if strips.period.is_some() {
            // The strip that ran over the seam still does.
            out.strips.rotate_left(1);
        }
        for v in out.strips.iter_mut().flatten() {
            v.bottom.reverse();
            v.top.reverse();
        }
    }
    out.lines.iter_mut().for_each(|u| *u += motion.turn);
    for v in out.strips.iter_mut().flatten() {
        v.bottom = v.bottom.map(|z| z + motion.rise_mm);
        v.top = v.top.map(|z| z + motion.rise_mm);
    }
    out
}

/// Where in a strip (fraction) a height passes through `level`, if it does so inside.
fn crossing(v: &Interval, level: f64, weld_mm: f64) -> Option<f64> {
    let [a, b] = v.heights().map(|h| h - level);
    let through = (a > weld_mm && b < -weld_mm) || (a < -weld_mm && b > weld_mm);
    through.then(|| a / (a - b))
}

/// The strips cut where a bar is exactly `drop` high, so that each part of it either
/// vanishes or stands altogether.
pub(super) fn split_ridges(strips: &Strips, drop: f64, weld_mm: f64) -> Strips {
    let mut any = false;
    let cuts: Vec<Vec<f64>> = (0..strips.strips.len())
        .map(|i| {
            let [a, b] = strips.span(i);
            let mut at: Vec<f64> =
                strips.strips[i].iter().filter_map(|v| crossing(v, drop, weld_mm)).collect();
            at.sort_by(f64::total_cmp);
            at.dedup_by(|x, y| (*x - *y) * (b - a) < f64::EPSILON * 16.0);
            any |= !at.is_empty();
            at.into_iter().map(|t| a + (b - a) * t).collect()
        })
        .collect();
    if any { rebuilt(strips, &strips.lines.clone(), &cuts, 0.0) } else { strips.clone() }
}

/// The section after upper edges have sunk by `upper` and lower ones risen by `lower`.
pub(super) fn sunk(strips: &Strips, upper: f64, lower: f64, weld_mm: f64) -> Strips {
    if upper + lower <= 0.0 {
        return strips.clone();
    }
    let mut out = split_ridges(strips, upper + lower, weld_mm);
    for cells in &mut out.strips {
        cells.retain(|v| v.heights().iter().any(|h| *h > upper + lower + weld_mm));
        for v in cells.iter_mut() {
            for end in 0..2 {
                v.bottom[end] += lower;
                v.top[end] = (v.top[end] - upper).max(v.bottom[end]);
            }
        }
    }
    out
}

/// The layer with its easing changed by less than can be measured, so that a bar which
/// would end within [`THIN_MM`] of the inner end ends exactly there.
pub(super) fn fitted(strips: &Strips, layer: &Layer) -> Layer {
    let whole = layer.closing() * (layer.to_mm - layer.kink_mm);
    let mut best = f64::INFINITY;
    let count = strips.strips.len();
    for i in 0..if whole > 0.0 { count } else { 0 } {
        let here = &strips.strips[i];
        let before = match (i, strips.period) {
            (0, None) => &vec![],
            (0, Some(_)) => &strips.strips[count - 1],
            _ => &strips.strips[i - 1],
        };
        let own = here.iter().flat_map(Interval::heights);
        let joints = here.iter().flat_map(|b| {
            before.iter().flat_map(|a| [a.top[1] - b.bottom[0], b.top[0] - a.bottom[1]])
        });
        for off in own.chain(joints).map(|h| h - whole) {
            if off.abs() < best.abs() {
                best = off;
            }
        }
    }
    let mut out = *layer;
    if best.abs() < THIN_MM {
        let factor = (whole + best) / whole;
        out.drop.upper *= factor;
        out.drop.lower *= factor;
    }
    out
}
