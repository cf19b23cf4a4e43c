//! Narrow spots joined to places.

use super::two_lines_mm;
use crate::mesh::Groups;
use crate::model::Printer;
use crate::plane::Point;
use crate::print::slices::Planes;
use std::collections::BTreeMap;

/// A place of fewer layers is where two slopes meet, or a graze.
const LEAST_LAYERS: usize = 2;

/// A narrow spot of one layer.
#[derive(Clone, Copy, Debug)]
pub struct Sample {
    /// Which of the measured layers it is in.
    pub rank: usize,
    /// On the outline, mm.
    pub at: Point,
    /// Towards its other side.
    pub normal: Point,
    /// Free space, not material.
    pub slot: bool,
    /// mm
    pub width_mm: f64,
}

/// What is narrow, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NarrowKind {
    /// Material of less than a line: it may not be printed at all.
    Lost,
    /// Material of less than two lines.
    Thin,
    /// Free space of less than a line: its sides run together.
    Slot,
}

/// Narrow places of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Narrow {
    /// What is narrow.
    pub kind: NarrowKind,
    /// How many places.
    pub count: usize,
    /// Least width of them all, mm.
    pub width_mm: f64,
    /// Where that is on the posed copy, mm.
    pub at_mm: [f64; 2],
    /// From the lowest to the highest of them, mm above the bed.
    pub height_mm: [f64; 2],
}

/// One place: what hangs together.
struct Place {
    slot: bool,
    width_mm: f64,
    at: Point,
    /// First and last of the measured layers.
    ranks: [usize; 2],
}

/// Places of all kinds; `looked` are the measured layers, `samples` in their order.
pub fn told(
    samples: &[Sample],
    looked: &[usize],
    planes: &Planes,
    printer: &Printer,
) -> Vec<Narrow> {
    let mut out: BTreeMap<NarrowKind, Narrow> = BTreeMap::new();
    for place in joined(samples, two_lines_mm(printer)) {
        let [first, last] = place.ranks;
        // A measured layer stands for those above it up to the next one.
        let end = looked.get(last + 1).copied().unwrap_or(planes.cuts_mm.len());
        if end < looked[first] + LEAST_LAYERS {
            continue;
        }
        let kind = match (place.slot, place.width_mm < printer.line_mm) {
            (true, _) => NarrowKind::Slot,
            (false, true) => NarrowKind::Lost,
            (false, false) => NarrowKind::Thin,
        };
        let height_mm = [planes.sides_mm(looked[first])[0], planes.sides_mm(end - 1)[1]];
        let (width_mm, at_mm) = (place.width_mm, [place.at.x, place.at.y]);
        let one = Narrow { kind, count: 1, width_mm, at_mm, height_mm };
        let Some(all) = out.get_mut(&kind) else {
            out.insert(kind, one);
            continue;
        };
        all.count += 1;
        let [low, high] = &mut all.height_mm;
        (*low, *high) = (low.min(height_mm[0]), high.max(height_mm[1]));
        if width_mm < all.width_mm {
            (all.width_mm, all.at_mm) = (width_mm, at_mm);
        }
    }
    out.into_values().collect()
}

/// A square cell of the spots of one kind in one measured layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Cell {
    slot: bool,
    rank: usize,
    x: i64,
    y: i64,
}

/// Spots no farther apart than `near_mm`, in one measured layer or in two that follow.
fn joined(samples: &[Sample], near_mm: f64) -> Vec<Place> {
    let mut groups = Groups::new(samples.len());
    // All of a cell are near each other: one of them stands for all.
    let across = near_mm / 2f64.sqrt();
    let mut cells: BTreeMap<Cell, Vec<u32>> = BTreeMap::new();
    for (index, sample) in (0..).zip(samples) {
        let [x, y] = [sample.at.x, sample.at.y].map(|v| (v / across).floor() as i64);
        let cell = Cell { slot: sample.slot, rank: sample.rank, x, y };
        let own = cells.entry(cell).or_default();
        if let Some(first) = own.first() {
            groups.join(*first, index);
        }
        own.push(index);
    }
    let near = |a: &u32, b: &u32| {
        let [a, b] = [a, b].map(|k| samples[*k as usize].at);
        a.distance(b) <= near_mm
    };
    for (cell, own) in &cells {
        for rank in cell.rank.saturating_sub(1)..=cell.rank {
            for x in cell.x - 2..=cell.x + 2 {
                let row = Cell { rank, x, y: cell.y - 2, ..*cell }..=Cell {
                    rank,
                    x,
                    y: cell.y + 2,
                    ..*cell
                };
                for (_, others) in cells.range(row) {
                    let apart = groups.leader(own[0]) != groups.leader(others[0]);
                    if apart && own.iter().any(|a| others.iter().any(|b| near(a, b))) {
                        groups.join(own[0], others[0]);
                    }
                }
            }
        }
    }
    let mut places: BTreeMap<u32, Place> = BTreeMap::new();
    for (index, sample) in (0..).zip(samples) {
        let (width_mm, at) = (sample.width_mm, sample.at);
        let ranks = [sample.rank; 2];
        let place = places.entry(groups.leader(index)).or_insert(Place {
            slot: sample.slot,
            width_mm,
            at,
            ranks,
        });
        place.ranks[1] = sample.rank;
        if width_mm < place.width_mm {
            (place.width_mm, place.at) = (width_mm, at);
        }
    }
    places.into_values().collect()
}
