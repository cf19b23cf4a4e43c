//! Walls and slots: how thick each layer is, against the width of a printed line.
//!
//! At points all along a layer's outline the largest circle that touches it from within
//! is found, up to two lines across; its diameter is the thickness there, the medial
//! measure. From outside it is the width of a slot. What gets thinner from layer to layer,
//! as every slope does at its end, is no wall.

mod circle;
mod places;
mod report;
mod runs;
#[cfg(test)]
mod tests;

pub use places::{Narrow, NarrowKind};
pub use report::report;

use super::slices::Slices;
use crate::model::Printer;
use crate::plane::Point;
use circle::{Sides, Touch};
use places::Sample;
use rayon::prelude::*;
use runs::Near;
use std::f64::consts::FRAC_PI_4;
use std::sync::OnceLock;

/// Layers between which no face moves by more than this share of a line are measured once.
const MOVED: f64 = 0.05;

/// Thickness that changes by more than this from layer to layer, as a share of the rise, is
/// the end of a slope: half as much as a face of 45 deg makes it.
const STEADY: f64 = 0.5;

/// Corners that turn by less are curves, whose sides say enough: the sine of 20 deg.
const TURN: f64 = 0.34;

/// What two lines side by side are wide, mm: a line is a strip with round edges, and the
/// next one lies in its edge (two lines of width w and height h: 2 w - h (1 - pi / 4);
/// common practice, no source).
pub fn two_lines_mm(printer: &Printer) -> f64 {
    2.0 * printer.line_mm - printer.layer_mm * (1.0 - FRAC_PI_4)
}

/// Walls of less than two lines and slots of less than one, in a posed body.
pub fn narrow(slices: &Slices, printer: &Printer) -> Vec<Narrow> {
    let looked = Looked::new(slices, printer);
    let samples: Vec<Vec<Sample>> = (0..looked.layers.len())
        .into_par_iter()
        .map(|rank| looked.steady(rank, looked.samples(rank)))
        .collect();
    places::told(&samples.concat(), &looked.layers, slices.planes(), printer)
}

/// The layers that are measured.
struct Looked<'a> {
    slices: &'a Slices<'a>,
    printer: &'a Printer,
    /// Their numbers, upwards.
    layers: Vec<usize>,
    /// The sides of each, sorted when they are first asked for.
    sides: Vec<OnceLock<Sides>>,
}

impl Looked<'_> {
    fn new<'a>(slices: &'a Slices, printer: &'a Printer) -> Looked<'a> {
        let layers = slices.changed(MOVED * printer.line_mm);
        let sides = layers.iter().map(|_| OnceLock::new()).collect();
        Looked { slices, printer, layers, sides }
    }

    fn sides(&self, rank: usize) -> &Sides {
        let outlines = || self.slices.outlines(self.layers[rank]);
        self.sides[rank].get_or_init(|| Sides::new(outlines(), two_lines_mm(self.printer)))
    }

    /// Those of a measured layer's spots that are about as narrow in the one above or below.
    fn steady(&self, rank: usize, spots: Vec<Sample>) -> Vec<Sample> {
        let planes = self.slices.planes();
        let own = self.layers[rank];
        let next = self.layers.get(rank + 1).copied();
        if spots.is_empty() || next.unwrap_or(planes.cuts_mm.len()) > own + 1 {
            // The layers above are like this one.
            return spots;
        }
        let below = rank.checked_sub(1).map(|below| (below, planes.rise_mm(own)));
        let above = next.map(|above| (rank + 1, planes.rise_mm(above)));
        let beside: Vec<(&Sides, f64)> = [below, above]
            .into_iter()
            .flatten()
            .map(|(rank, rise)| (self.sides(rank), rise))
            .collect();
        let stays = |spot: &Sample| {
            beside.iter().any(|(sides, rise)| {
                let most = spot.width_mm + STEADY * rise;
                let within = self.printer.line_mm / 2.0;
                let width = sides.width_near(spot.at, spot.normal, within, most);
                width.is_some_and(|width| width >= spot.width_mm - STEADY * rise)
            })
        };
        spots.into_iter().filter(stays).collect()
    }

    /// All narrow spots of a layer.
    fn samples(&self, rank: usize) -> Vec<Sample> {
        layer_samples(rank, self.sides(rank), self.printer)
    }
}

/// All narrow spots along outlines.
fn layer_samples(rank: usize, sides: &Sides, printer: &Printer) -> Vec<Sample> {
    let mut out = Vec::new();
    let wall = two_lines_mm(printer);
    sides.runs().each_near(wall, |near| run_samples(rank, sides, near, printer, &mut out));
    out
}

/// The narrow spots along a run of sides.
fn run_samples(rank: usize, sides: &Sides, near: &Near, printer: &Printer, out: &mut Vec<Sample>) {
    let (wall, slot) = (two_lines_mm(printer), printer.line_mm);
    let mut found = |at: Point, slot: bool, narrow: Option<(f64, Point)>| {
        let sample = |(width_mm, normal)| Sample { rank, at, normal, slot, width_mm };
        out.extend(narrow.map(sample));
    };
    let mut before = near.before;
    for number in near.sides.clone() {
        let (earlier, side) = (sides.runs().side(before), sides.runs().side(number));
        before = number;
        if near.may_face(side) {
            let count = (side.run.dot(side.run).sqrt() / printer.line_mm).ceil().max(1.0);
            let normal = side.run.unit().left();
            for k in 0..count as usize {
                let at = side.from + side.run * ((k as f64 + 0.5) / count);
                let across = |normal: Point, most: f64| {
                    let touch = Touch { at, normal, side: Some(number) };
                    sides.width(near, touch, most).map(|width| (width, normal))
                };
                found(at, false, across(normal, wall));
                found(at, true, across(-normal, slot));
            }
        }
        let (from, earlier, later) = (side.from, earlier.run, side.run);
        let turn = earlier.cross(later) / (earlier.dot(earlier) * later.dot(later)).sqrt();
        let normals = || [earlier, later].map(|side| side.unit().left());
        if turn < -TURN {
            found(from, false, sides.width_at_corner(near, from, normals(), wall));
        } else if turn > TURN {
            let outwards = normals().map(|n| -n);
            found(from, true, sides.width_at_corner(near, from, outwards, slot));
        }
    }
}
