//! Strips by hand, and what must hold of the cells made of them.

use super::*;
use crate::model::Drop;
use crate::plane::{EdgeId, Interval, Strips};
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// A fixed sequence of numbers in 0..1 (xorshift, Marsaglia 2003).
pub(crate) struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.roll()
    }
}

fn level(bottom: f64, top: f64) -> Interval {
    let id = |z: f64| EdgeId((z * 1e6).round() as i64 as u64);
    Interval { bottom: [bottom; 2], top: [top; 2], bottom_edge: id(bottom), top_edge: id(top) }
}

/// A chart as strips: rows of marks, top row first, from `low` to `high`.
pub(crate) fn chart(rows: &[&str], repeats: usize, low: f64, high: f64) -> Strips {
    let marks: Vec<Vec<char>> =
        rows.iter().map(|r| r.chars().filter(|c| *c != ' ').collect()).collect();
    let columns = marks[0].len();
    let count = columns * repeats;
    let row = (high - low) / rows.len() as f64;
    let column = |c: usize| {
        let mut cells: Vec<Interval> = vec![];
        for r in (0..rows.len()).rev().filter(|r| marks[*r][c % columns] == '#') {
            let top = high - row * r as f64;
            match cells.last_mut() {
                Some(below) if (below.top[0] - (top - row)).abs() < 1e-9 => {
                    *below = level(below.bottom[0], top);
                }
                _ => cells.push(level(top - row, top)),
            }
        }
        cells
    };
    Strips {
        lines: (0..count).map(|c| TAU * c as f64 / count as f64).collect(),
        period: Some(TAU),
        strips: (0..count).map(column).collect(),
    }
}

pub(crate) const RIPPLE: [&str; 4] = ["..###...", ".##.##..", "##...###", "#.....##"];

/// A ribbon that swings up and down `waves` times, cut at `points` lines.
pub(crate) fn ribbon(points: usize, waves: f64, middle: f64, swing: f64, high: f64) -> Strips {
    let at = |i: usize| TAU * (i % points) as f64 / points as f64;
    let z = |i: usize| middle + swing * (waves * at(i)).sin();
    let cell = |i: usize| {
        let ends = [z(i), z(i + 1)];
        vec![Interval {
            bottom: ends,
            top: ends.map(|z| z + high),
            bottom_edge: EdgeId(2 * i as u64),
            top_edge: EdgeId(2 * i as u64 + 1),
        }]
    };
    Strips {
        lines: (0..points).map(at).collect(),
        period: Some(TAU),
        strips: (0..points).map(cell).collect(),
    }
}

/// A band with `count` windows in the form of lozenges, their height swaying with `sway`.
pub(crate) fn windows(count: usize, low: f64, high: f64, sway: f64) -> Strips {
    let (mut lines, mut strips) = (vec![], vec![]);
    let pitch = TAU / count as f64;
    for w in 0..count {
        let half = (high - low) * (0.3 + sway * (w as f64 * 2.0).sin());
        let middle = (low + high) / 2.0;
        let reach = [0.0, half, 0.0, 0.0];
        for q in 0..3 {
            lines.push(pitch * (w as f64 + [0.1, 0.5, 0.9][q]));
            let id = |n: u64| EdgeId((w * 16 + q * 4) as u64 + n);
            let edge =
                |sign: f64| [middle + sign * reach[q] / 2.0, middle + sign * reach[q + 1] / 2.0];
            let (floor, roof) = ([low; 2], [high; 2]);
            strips.push(if q == 2 {
                vec![Interval {
                    bottom: floor,
                    top: roof,
                    bottom_edge: EdgeId(u64::MAX),
                    top_edge: EdgeId(u64::MAX - 1),
                }]
            } else {
                vec![
                    Interval {
                        bottom: floor,
                        top: edge(-1.0),
                        bottom_edge: EdgeId(u64::MAX),
                        top_edge: id(0),
                    },
                    Interval {
                        bottom: edge(1.0),
                        top: roof,
                        bottom_edge: id(1),
                        top_edge: EdgeId(u64::MAX - 1),
                    },
                ]
            });
        }
    }
    Strips { lines, period: Some(TAU), strips }
}

pub(crate) fn layer(sink: f64, k: f64) -> Layer {
    let drop = Drop { upper: k, lower: 0.0 };
    Layer { from_mm: 0.0, kink_mm: 0.0, to_mm: sink, origin_mm: 0.0, drop }
}

/// Directed edges that have no partner, and edges used twice in one direction.
fn unmatched(cells: &Cells) -> usize {
    let mut count: BTreeMap<(u32, u32), i32> = BTreeMap::new();
    for face in &cells.faces {
        let corners = face.corners();
        for i in 0..corners.len() {
            *count.entry((corners[i], corners[(i + 1) % corners.len()])).or_default() += 1;
        }
    }
    count.iter().filter(|((a, b), n)| count.get(&(*b, *a)) != Some(n) || **n != 1).count()
}

/// Volume in (u, z, depth) as if all were flat, by fans about the first corner and columns
/// along z, which the seam does not disturb: exact where no face is twisted.
fn volume(cells: &Cells) -> f64 {
    let n = cells.lines.len();
    let point = |face: &CellFace, v: u32| {
        let c = cells.vertices[v as usize];
        // A strip over the seam is laid out beyond it.
        let wraps = face.strip as usize == n - 1
            && c.line == 0
            && !matches!(face.side, FaceSide::LeftOf(_) | FaceSide::RightOf(_));
        let at_seam = matches!(face.side, FaceSide::LeftOf(0));
        let turn = if wraps || at_seam { cells.period.unwrap_or(0.0) } else { 0.0 };
        [cells.lines[c.line as usize] + turn, -c.depth_mm, c.z_mm]
    };
    let mut sum = 0.0;
    for face in &cells.faces {
        let corners: Vec<[f64; 3]> = face.corners().iter().map(|v| point(face, *v)).collect();
        for i in 1..corners.len() - 1 {
            let [a, b, c] = [corners[0], corners[i], corners[i + 1]];
            let seen = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
            sum += seen / 2.0 * (a[2] + b[2] + c[2]) / 3.0;
        }
    }
    // (u, outwards, z) is left-handed.
    -sum
}

#[test]
fn a_ripple_is_closed_and_has_the_volume_of_its_cells() {
    let strips = chart(&RIPPLE, 14, 30.0, 54.0);
    for k in [0.0, 0.5, 1.0, 1.7] {
        let made = cells(&strips, &layer(2.0, k));
        assert_eq!(unmatched(&made), 0);
        // Closed form: each cell of height h loses k d at depth d.
        let expected: f64 = (0..strips.strips.len())
            .flat_map(|i| strips.strips[i].iter().map(move |v| (i, v)))
            .map(|(_, v)| TAU / 112.0 * 2.0 * (v.top[0] - v.bottom[0] - k))
            .sum();
        assert!((volume(&made) - expected).abs() < 1e-9, "{} {expected}", volume(&made));
    }
}

#[test]
fn proud_and_overshooting_layers_are_closed() {
    let strips = chart(&RIPPLE, 7, 30.0, 54.0);
    let mut proud = layer(2.0, 1.0);
    proud.from_mm = -0.5;
    proud.kink_mm = 0.0;
    assert_eq!(unmatched(&cells(&strips, &proud)), 0);
    proud.origin_mm = -0.7;
    assert_eq!(unmatched(&cells(&strips, &proud)), 0);
    proud.drop = Drop { upper: 0.0, lower: 1.0 };
    assert_eq!(unmatched(&cells(&strips, &proud)), 0);
}

#[test]
fn easing_the_lower_edges_is_the_mirror_image() {
    let strips = ribbon(90, 5.0, 20.0, 3.0, 2.5);
    let over = Motion { mirror_u: false, mirror_z: true, turn: 0.0, rise_mm: 50.0 };
    let mut lower = layer(2.0, 1.0);
    lower.drop = Drop { upper: 0.0, lower: 1.0 };
    let (a, b) = (cells(&strips, &layer(2.0, 1.0)), cells(&moved(&strips, &over), &lower));
    assert_eq!(unmatched(&b), 0);
    assert!((volume(&a) - volume(&b)).abs() < 1e-9);
}

#[test]
fn a_pocket_has_two_rims_and_no_other_open_edge() {
    let strips = chart(&RIPPLE, 14, 30.0, 54.0);
    let made = pocket(&strips, &layer(2.0, 1.0), [20.0, 60.0]);
    assert_eq!(unmatched(&made), 2 * strips.lines.len());
}

#[test]
fn bars_that_vanish_leave_closed_ridges() {
    let mut dice = Dice(7);
    for round in 0..60 {
        let high = dice.between(0.3, 4.0);
        let strips = match round % 3 {
            0 => ribbon(40 + round, 4.0, 20.0, 4.0, high),
            1 => windows(12 + round, 10.0, 10.0 + 2.0 * high, 0.2),
            _ => chart(&RIPPLE, 5, 10.0, 10.0 + 2.0 * high),
        };
        let made = cells(&strips, &layer(2.0, dice.between(0.2, 1.7)));
        assert_eq!(unmatched(&made), 0, "round {round}");
    }
}

#[test]
fn bars_as_high_as_the_drop_end_exactly_at_the_back() {
    for off in [-9e-5, -1e-5, -1e-9, 0.0, 1e-12, 3e-5, 9e-5] {
        let strips = chart(&["##..", ".##.", "..##", "#..#"], 6, 20.0, 28.0 + 4.0 * off);
        let made = cells(&strips, &layer(2.0, 1.0));
        assert_eq!(unmatched(&made), 0, "{off}");
        let deepest = made.vertices.iter().map(|v| v.depth_mm).fold(0.0, f64::max);
        assert_eq!(deepest, 2.0);
        let bad = made.vertices.windows(2).any(|w| {
            w[0].line == w[1].line
                && w[0].depth_mm == w[1].depth_mm
                && (w[1].z_mm - w[0].z_mm).abs() < WELD_MM
        });
        assert!(!bad);
    }
}

#[test]
fn cutting_moves_near_lines_and_keeps_the_section() {
    let strips = chart(&RIPPLE, 14, 30.0, 54.0);
    let cuts: Vec<f64> = (0..200).map(|i| TAU * i as f64 / 200.0 + 1e-9).collect();
    let cut = cut_at(&strips, &cuts, 1e-6);
    // 112 and 200 lines have 8 in common.
    assert_eq!(cut.lines.len(), 112 + 200 - 8);
    assert_eq!(unmatched(&cells(&cut, &layer(2.0, 1.0))), 0);
    let (a, b) = (cells(&strips, &layer(2.0, 1.0)), cells(&cut, &layer(2.0, 1.0)));
    assert!((volume(&a) - volume(&b)).abs() < 1e-6);
    let turned = moved(&cut, &Motion { mirror_u: true, mirror_z: false, turn: 1.0, rise_mm: 0.0 });
    assert!(turned.lines.is_sorted());
    assert!((volume(&cells(&turned, &layer(2.0, 1.0))) - volume(&b)).abs() < 1e-9);
}

#[test]
fn a_slit_opens_the_ring() {
    let mut strips = chart(&["####", "####"], 6, 0.0, 6.0);
    strips.strips[0].clear();
    assert_eq!(strips.section(0.0).loops(), 0);
    assert_eq!(unmatched(&cells(&strips, &layer(2.0, 1.0))), 0);
}
