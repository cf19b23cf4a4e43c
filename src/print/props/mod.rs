//! Props: columns under what the layers do not carry, to be broken away afterwards.
//!
//! They stand on the bed or on the part. Their tops follow the face above and their feet
//! the one below at a distance square to it, so that no place is nearer than asked; on a
//! level face that is the air between two layers. What stands under one repeat of a motif
//! stands under all of them. Then the layers are looked at again.

mod column;
mod feet;
mod net;
mod overhead;
mod places;
mod repeats;
mod report;
mod sheet;
#[cfg(test)]
mod tests;

pub use report::report;

use super::posed::PosedPiece;
use super::slices::Slices;
use super::underside::{Survey, Unsupported};
use crate::mesh::{Mesh, Tree};
use crate::model::{Model, Printer, PropPlace};
use column::{Bench, Column, Spot};
use overhead::Overhead;
use std::f64::consts::TAU;

/// The columns under a part and what they come to, measured on the finished bodies.
#[derive(Clone, Debug)]
pub struct Propped {
    /// All columns, in the axes of the posed part; closed bodies that touch neither it nor
    /// each other.
    pub mesh: Mesh,
    /// How many there are.
    pub count: usize,
    /// How many of them stand on the part, not on the bed.
    pub on_part: usize,
    /// Under how many repeats of the motif the same columns stand; 1 where there is none.
    pub repeats: usize,
    /// Least and most of the distances by which tops stay off the part, mm; none without
    /// columns.
    pub above_mm: Option<[f64; 2]>,
    /// The same of feet that stand on the part.
    pub below_mm: Option<[f64; 2]>,
    /// Least distance of any column from the part, mm.
    pub clear_mm: Option<f64>,
    /// Height of the tallest, mm.
    pub tallest_mm: f64,
    /// Least width of the widest foot, mm; 0 without columns.
    pub foot_mm: f64,
    /// Height and least width of the foot of the most slender, mm.
    pub slender_mm: Option<[f64; 2]>,
    /// Of all of them, mm3.
    pub volume_mm3: f64,
    /// Places that should be carried and have no room for a column.
    pub without_room: usize,
    /// Whether there would have to be more than are made.
    pub too_many: bool,
    /// What would hang without them.
    pub before: Vec<Unsupported>,
    /// What still does.
    pub left: Vec<Unsupported>,
}

/// The columns that a `props` of the model comes to.
pub fn propped(
    model: &Model,
    asked: usize,
    slices: &Slices,
    pieces: &[PosedPiece],
    bare: &Survey,
) -> Propped {
    let (props, printer, mesh) = (&model.props[asked], &model.printer, slices.mesh());
    let (overhead, tree) = (Overhead::new(mesh), Tree::over(mesh));
    let bench = Bench {
        overhead: &overhead,
        tree: &tree,
        props,
        line_mm: printer.line_mm,
        layer_mm: printer.layer_mm,
    };
    let mut chosen = match &props.at {
        Some(places) => by_hand(&bench, places, pieces),
        None => {
            let turns = repeats::turns(&model.parts[props.under.0].body, pieces);
            places::chosen(&bench, bare, printer, &turns)
        }
    };
    chosen.columns = feet::widened(&bench, &chosen.columns);
    finished(chosen, slices, bare, printer)
}

/// The columns of a part and what could not be carried.
#[derive(Default)]
pub struct Chosen {
    columns: Vec<Column>,
    repeats: usize,
    without_room: usize,
    too_many: bool,
}

/// Columns at places of the text, in the axes of the assembly.
fn by_hand(bench: &Bench<'_>, places: &[PropPlace], pieces: &[PosedPiece]) -> Chosen {
    let mut chosen = Chosen { repeats: 1, ..Chosen::default() };
    let Some(piece) = pieces.first() else { return chosen };
    let mut stand = places::stand(bench);
    for place in places {
        let [x, y] = place.across;
        let at = piece.placement.point([x, y, place.height.unwrap_or(0.0)]);
        let over = bench.overhead.crossings([at[0], at[1]]);
        let down = over.iter().filter(|c| c.down && c.z > bench.layer_mm).map(|c| c.z);
        let under = match place.height {
            None => down.reduce(f64::min),
            Some(_) => down.min_by(|a, b| (a - at[2]).abs().total_cmp(&(b - at[2]).abs())),
        };
        let spot = under.map(|z| Spot {
            at: [at[0], at[1]],
            turn_rad: 0.0,
            under_mm: [z - bench.layer_mm / 2.0, z],
        });
        match spot.and_then(|spot| places::fitting(bench, &stand, &spot)) {
            Some(column) => stand.add(column),
            None => chosen.without_room += 1,
        }
    }
    chosen.columns = stand.into_columns();
    chosen
}

fn finished(chosen: Chosen, part: &Slices, bare: &Survey, printer: &Printer) -> Propped {
    let Chosen { columns, repeats, without_room, too_many } = chosen;
    let (mut mesh, mut raised) = (Mesh::default(), Mesh::default());
    for column in &columns {
        mesh.take(&column.mesh);
        raised.take(&column.raised);
    }
    let spread = |values: &mut dyn Iterator<Item = f64>| {
        values.map(|v| [v, v]).reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])])
    };
    let before = bare.told();
    let left = match columns.is_empty() {
        true => before.clone(),
        false => Survey::new(part, Some(&raised), printer).told(),
    };
    Propped {
        count: columns.len(),
        on_part: columns.iter().filter(|c| c.below_mm.is_some()).count(),
        repeats,
        above_mm: spread(&mut columns.iter().map(|c| c.above_mm)),
        below_mm: spread(&mut columns.iter().filter_map(|c| c.below_mm)),
        clear_mm: columns.iter().map(|c| c.clear_mm).reduce(f64::min),
        tallest_mm: columns.iter().map(|c| c.height_mm).fold(0.0, f64::max),
        foot_mm: columns.iter().map(|c| c.foot_mm).fold(0.0, f64::max),
        slender_mm: columns
            .iter()
            .map(|c| [c.height_mm, c.foot_mm])
            .max_by(|a, b| (a[0] / a[1]).total_cmp(&(b[0] / b[1]))),
        volume_mm3: columns.iter().map(|c| c.mesh.volume_mm3()).sum(),
        without_room,
        too_many,
        before,
        left,
        mesh,
    }
}

/// A turn about an upright axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// Where the axis stands, mm.
    pub axis: [f64; 2],
    /// Of how many to the full circle.
    pub count: u32,
}

impl Turn {
    /// A point turned by some of its steps.
    pub fn point(&self, p: [f64; 2], steps: u32) -> [f64; 2] {
        let (sin, cos) = self.angle(steps).sin_cos();
        let [x, y] = [p[0] - self.axis[0], p[1] - self.axis[1]];
        [self.axis[0] + x * cos - y * sin, self.axis[1] + x * sin + y * cos]
    }

    /// rad
    pub fn angle(&self, steps: u32) -> f64 {
        TAU * f64::from(steps) / f64::from(self.count)
    }
}
