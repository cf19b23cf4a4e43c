//! Wider feet for tall columns, which would sway otherwise. The top stays as narrow as asked, so
//! that it breaks there.

use super::column::{Bench, Column, Spot};
use super::net::Stand;
use super::places::WIDEST;
use crate::plane::Point;
use std::f64::consts::FRAC_PI_8;

/// Columns more times as tall as wide at the foot sway under the nozzle; common practice, no
/// source.
pub const SLENDER: f64 = 25.0;

/// Feet are made for a little less: on a leaning face a wider one reaches farther down.
const AIMED: f64 = 24.0;

/// Shares of what a foot lacks that are tried, the widest first.
const TRIED: [f64; 4] = [1.0, 0.75, 0.5, 0.25];

/// Whether a column here is slender, and a foot as wide as it needs has room beside the part
/// and feet of the same width.
pub fn has_room(bench: &Bench<'_>, stand: &Stand, spot: &Spot) -> bool {
    let Some(([foot, top], _)) = bench.ends(spot) else { return false };
    let height_mm = top - foot;
    let wanted_mm = height_mm / AIMED;
    height_mm > SLENDER * bench.props.width_mm
        && stand.is_roomy(spot, wanted_mm * WIDEST + bench.line_mm / 2.0)
        && bench.has_room(spot, wanted_mm)
}

/// The columns, slender ones on feet as wide as they need, as far as the part and the others
/// leave room: half of what lies between two is each one's own, so that columns under the
/// repeats of a motif stay alike.
pub fn widened(bench: &Bench<'_>, columns: &[Column]) -> Vec<Column> {
    let widened = |(k, column): (usize, &Column)| {
        let width_mm = bench.props.width_mm;
        if column.height_mm <= SLENDER * width_mm {
            return column.clone();
        }
        let free_mm = nearest(columns, k) - bench.line_mm / 2.0;
        let wanted_mm = (column.height_mm / AIMED).min(free_mm * FRAC_PI_8.cos());
        let lacks_mm = wanted_mm - width_mm;
        let tried = TRIED.iter().filter(|_| lacks_mm > 0.0);
        tried
            .map(|share| width_mm + lacks_mm * share)
            .find_map(|foot_mm| bench.column_on(&column.spot, foot_mm))
            .unwrap_or_else(|| column.clone())
    };
    columns.iter().enumerate().map(widened).collect()
}

/// How far the middle of the nearest other column is away, mm.
fn nearest(columns: &[Column], own: usize) -> f64 {
    let at = |column: &Column| Point::new(column.spot.at[0], column.spot.at[1]);
    let here = at(&columns[own]);
    let others = columns.iter().enumerate().filter(|(k, _)| *k != own);
    others.map(|(_, other)| at(other).distance(here)).fold(f64::INFINITY, f64::min)
}
