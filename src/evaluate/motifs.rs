//! Motifs: charts and tiles.

use super::calls::Arguments;
use super::codes;
use super::coerce::pair;
use super::evaluator::Evaluator;
use super::ink::{Ink, OutlineValue};
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::quantity::{Dimension, Quantity};
use crate::source::Span;
use crate::syntax::Chart;
use std::sync::Arc;

/// A motif as a value.
#[derive(Clone, Debug)]
pub enum Motif {
    /// A chart of marks.
    Chart {
        /// Top row first.
        rows: Vec<Vec<bool>>,
        /// The place of each mark.
        spans: Vec<Vec<Span>>,
    },
    /// A tile.
    Tile {
        /// Width and height, in its own units.
        size: [f64; 2],
        /// Length, or none in tile units.
        dimension: Dimension,
        /// What is drawn.
        ink: Arc<Ink>,
        /// Where the tile is written.
        span: Span,
    },
}

/// Two cells that touch at a corner only: row and column of each.
pub type Touch = [(usize, usize); 2];

/// Cells that touch at a corner only, each pair once. With `wraps` the last column is
/// next to the first.
pub fn touching(rows: &[Vec<bool>], wraps: bool) -> Vec<Touch> {
    let mut found = Vec::new();
    for (upper, pair) in rows.windows(2).enumerate() {
        let width = pair[0].len().min(pair[1].len());
        let last = if wraps { width } else { width.saturating_sub(1) };
        for left in 0..last {
            let right = (left + 1) % width;
            // One column next to itself has no corners.
            if right == left {
                continue;
            }
            let cells = [pair[0][left], pair[0][right], pair[1][left], pair[1][right]];
            match cells {
                [true, false, false, true] => found.push([(upper, left), (upper + 1, right)]),
                [false, true, true, false] => found.push([(upper, right), (upper + 1, left)]),
                _ => {}
            }
        }
    }
    found
}

impl Evaluator<'_> {
    /// `chart {…}`
    pub fn chart(&mut self, chart: &Chart, span: Span) -> Value {
        let touches = touching(&chart.rows, false);
        if let Some(touch) = touches.first() {
            let finding = cells_touch(&chart.spans, *touch, touches.len(), span);
            return self.fail(finding);
        }
        Value::Motif(Arc::new(Motif::Chart {
            rows: chart.rows.clone(),
            spans: chart.spans.clone(),
        }))
    }

    /// `tile { size, ink }`
    pub fn tile(&mut self, arguments: &Arguments) -> Value {
        let Some((size, dimension)) = arguments.get("size").and_then(pair) else {
            return Value::Poison;
        };
        let Some(Value::Outline(ink)) = arguments.get("ink") else { return Value::Poison };
        if size.iter().any(|s| *s <= 0.0) {
            let message = "`size` of a tile must be above 0 both ways".to_string();
            return self.bad_measure(
                arguments.place("size"),
                message,
                "write (10, 6), or (20 mm, 12 mm)",
            );
        }
        if ink.outline_is_empty() {
            let message = "`ink` of a tile draws nothing".to_string();
            return self.bad_measure(
                arguments.place("ink"),
                message,
                "give it an outline or a stroke",
            );
        }
        if !same_units(ink, dimension) {
            let value = Value::Quantity(Quantity::new(0.0, ink.dimension));
            let finding = codes::wants_dimension(
                "`ink`, like `size`,",
                dimension,
                &value,
                arguments.place("ink"),
            );
            return self.fail(finding);
        }
        Value::Motif(Arc::new(Motif::Tile {
            size,
            dimension,
            ink: ink.ink.clone(),
            span: arguments.callee,
        }))
    }
}

fn same_units(ink: &OutlineValue, dimension: Dimension) -> bool {
    ink.dimension == dimension
}

/// Two cells that touch at a corner only.
pub fn cells_touch(spans: &[Vec<Span>], touch: Touch, count: usize, chart: Span) -> Diagnostic {
    let place = |(row, column): (usize, usize)| {
        spans.get(row).and_then(|r| r.get(column)).copied().unwrap_or(chart)
    };
    let [(a, b), (c, d)] = touch;
    let more = match count {
        0 | 1 => String::new(),
        n => format!(", and so do {} other pairs", n - 1),
    };
    Diagnostic::at(
        codes::CELLS_TOUCH,
        place(touch[0]),
        format!(
            "the cells in row {} column {} and row {} column {} touch at a corner only{more}",
            a + 1,
            b + 1,
            c + 1,
            d + 1
        ),
    )
    .label("this cell")
    .and_at(place(touch[1]), "and this one")
    .help("fill one of the two cells between them, or empty one of these")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &[&str]) -> Vec<Vec<bool>> {
        text.iter().map(|row| row.chars().map(|c| c == '#').collect()).collect()
    }

    #[test]
    fn corners_are_found_across_the_seam_too() {
        assert_eq!(touching(&rows(&["#.", ".#"]), false), [[(0, 0), (1, 1)]]);
        assert_eq!(touching(&rows(&["#..", "..#"]), false), [] as [Touch; 0]);
        assert_eq!(touching(&rows(&["#..", "..#"]), true), [[(0, 0), (1, 2)]]);
        assert_eq!(touching(&rows(&["#", "."]), true), [] as [Touch; 0]);
        let ripple = rows(&["..###...", ".##.##..", "##...###", "#.....##"]);
        assert_eq!(touching(&ripple, true), [] as [Touch; 0]);
    }
}
