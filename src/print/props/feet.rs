//! Wider feet for tall columns, which would sway otherwise. The top stays as narrow as asked, so
//! that it breaks there.

use super::column::{Bench, Column, Reach, Spot, corner_rad, even, section};
use super::net::Stand;
use super::places::WIDEST;
use crate::plane::Point;

/// Columns more times as tall as wide at the foot sway under the nozzle; common practice, no
/// source.
pub const SLENDER: f64 = 25.0;

/// Feet are made for a little less: on a leaning face a wider one reaches farther down.
const AIMED: f64 = 24.0;

/// Shares of what a foot lacks that are tried, the widest first.
const TRIED: [f64; 4] = [1.0, 0.75, 0.5, 0.25];

/// Feet that others cut off reach out farther on the other sides: in so many steps ...
const STEPS: u32 = 10;

/// ... to so many times what they would without them.
const FARTHEST: f64 = 2.0;

/// How sharply feet are cut off: with the power of a sum, so that no three corners are in a
/// line, which the cut of a leaning face could not tell apart.
const SHARP: i32 = 6;

/// Whether a column here is slender, and a foot as wide as it needs has room beside the part
/// and feet of the same width.
pub fn has_room(bench: &Bench<'_>, stand: &Stand, spot: &Spot) -> bool {
    let Some(([foot, top], _)) = bench.ends(spot) else { return false };
    let height_mm = top - foot;
    let wanted_mm = height_mm / AIMED;
    height_mm > SLENDER * bench.props.width_mm
        && stand.is_roomy(spot, wanted_mm * WIDEST + bench.line_mm / 2.0)
        && bench.has_room(spot, &even(wanted_mm))
}

/// The columns, slender ones on feet as wide as they need, as far as the part and the others
/// leave room: each has what is on its side of the middle between two, so that columns under
/// the repeats of a motif stay alike. Feet that would meet there are cut off, and reach out
/// farther where nothing is.
pub fn widened(bench: &Bench<'_>, columns: &[Column]) -> Vec<Column> {
    let widened = |(k, column): (usize, &Column)| {
        let (width_mm, wanted_mm) = (bench.props.width_mm, column.height_mm / AIMED);
        let ends = ends(bench, columns, k);
        let is_wedged = ends.iter().any(|end| end.at_mm <= even(width_mm)[0]);
        if column.height_mm <= SLENDER * width_mm || is_wedged {
            return column.clone();
        }
        let foot = |width_mm: f64| cut_off(&column.spot, even(width_mm), &ends);
        let is_wide = |width_mm: &f64| {
            let least_mm = section(&column.spot, &foot(*width_mm)).least_width_mm();
            least_mm >= wanted_mm * (1.0 - 1e-9)
        };
        let farther =
            |step| wanted_mm * (1.0 + (FARTHEST - 1.0) * f64::from(step) / f64::from(STEPS));
        let aimed_mm = (0..=STEPS).map(farther).find(is_wide).unwrap_or(wanted_mm * FARTHEST);
        TRIED
            .iter()
            .map(|share| width_mm + (aimed_mm - width_mm) * share)
            .filter_map(|width_mm| bench.column_on(&column.spot, &foot(width_mm)))
            .find(|wider| wider.foot_mm > column.foot_mm)
            .unwrap_or_else(|| column.clone())
    };
    columns.iter().enumerate().map(widened).collect()
}

/// Where a column's own room ends.
struct End {
    /// Towards another column; of length 1.
    towards: Point,
    /// From the column's middle, mm.
    at_mm: f64,
}

/// Half a line of air lies between what two columns have for themselves.
fn ends(bench: &Bench<'_>, columns: &[Column], own: usize) -> Vec<End> {
    let at = |column: &Column| Point::new(column.spot.at[0], column.spot.at[1]);
    let here = at(&columns[own]);
    let others = columns.iter().enumerate().filter(|(k, _)| *k != own);
    let end = |other: &Column| {
        let way = at(other) - here;
        End { towards: way.unit(), at_mm: way.length() / 2.0 - bench.line_mm / 4.0 }
    };
    others.map(|(_, other)| end(other)).collect()
}

/// A foot on the near side of all ends. Those that it does not reach leave it as it is.
fn cut_off(spot: &Spot, mut foot: Reach, ends: &[End]) -> Reach {
    let whole_mm = foot[0];
    let met: Vec<&End> = ends.iter().filter(|end| end.at_mm < whole_mm).collect();
    if met.is_empty() {
        return foot;
    }
    for (k, reach) in foot.iter_mut().enumerate() {
        let (sin, cos) = corner_rad(spot, k).sin_cos();
        let share = |end: &&End| end.towards.dot(Point::new(cos, sin)).max(0.0) / end.at_mm;
        let sum: f64 = met.iter().map(share).map(|share| (share * whole_mm).powi(SHARP)).sum();
        *reach = whole_mm / (1.0 + sum).powf(1.0 / f64::from(SHARP));
    }
    foot
}
