//! What a chart's marks say before any strip is cut: the thinnest bars, by their cells.

/// A cell of a chart: row and column, from 0, the first row on top.
pub type Cell = (usize, usize);

/// Marks in a row or a column that follow each other without a hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bar {
    /// Its first cell.
    pub first: Cell,
    /// Its last cell.
    pub last: Cell,
    /// How many cells long it is.
    pub cells: usize,
}

impl Bar {
    /// As a message names it: `row 2, columns 3 to 5`.
    pub fn name(&self) -> String {
        let range = |word: &str, a: usize, b: usize| match a == b {
            true => format!("{word} {}", a + 1),
            false => format!("{word}s {} to {}", a + 1, b + 1),
        };
        let rows = range("row", self.first.0, self.last.0);
        format!("{rows}, {}", range("column", self.first.1, self.last.1))
    }
}

/// The stretches of equal marks in a line that hold `mark`; a ring of them has none.
fn runs(line: &[bool], mark: bool, wraps: bool) -> Vec<(usize, usize)> {
    let n = line.len();
    let Some(start) = (if wraps { (0..n).find(|i| line[*i] != mark) } else { Some(0) }) else {
        return Vec::new();
    };
    let mut out: Vec<(usize, usize)> = Vec::new();
    let mut open = None;
    for k in start..start + n {
        match (open, line[k % n] == mark) {
            (None, true) => open = Some(k),
            (Some(from), false) => {
                out.push((from, k));
                open = None;
            }
            _ => {}
        }
    }
    out.extend(open.map(|from| (from, start + n)));
    out
}

fn column(rows: &[Vec<bool>], c: usize) -> Vec<bool> {
    rows.iter().map(|row| row[c]).collect()
}

/// Every bar that runs up a column.
pub fn upright_bars(rows: &[Vec<bool>]) -> Vec<Bar> {
    let columns = rows.first().map_or(0, Vec::len);
    let bars = |c: usize| {
        let bar =
            move |(a, b): (usize, usize)| Bar { first: (a, c), last: (b - 1, c), cells: b - a };
        runs(&column(rows, c), true, false).into_iter().map(bar)
    };
    (0..columns).flat_map(bars).collect()
}

/// The shortest bar up a column, or the shortest joint of two bars side by side.
pub fn lowest(rows: &[Vec<bool>], wraps: bool) -> Option<Bar> {
    let columns = rows.first().map_or(0, Vec::len);
    let mut best = upright_bars(rows).into_iter().min_by_key(|b| b.cells);
    let last = if wraps { columns } else { columns.saturating_sub(1) };
    for c in 0..last {
        let (here, there) = (column(rows, c), column(rows, (c + 1) % columns));
        let both: Vec<bool> = here.iter().zip(&there).map(|(a, b)| *a && *b).collect();
        for (a, b) in runs(&both, true, false) {
            let joint = Bar { first: (a, c), last: (b - 1, (c + 1) % columns), cells: b - a };
            best = keep_shorter(best, joint);
        }
    }
    best
}

/// The shortest bar along a row, or the shortest joint of two bars one above the other.
pub fn narrowest(rows: &[Vec<bool>], wraps: bool) -> Option<Bar> {
    let columns = rows.first().map_or(0, Vec::len);
    let mut best = None;
    let mut look = |line: &[bool], first: usize, last: usize| {
        for (a, b) in runs(line, true, wraps) {
            let bar =
                Bar { first: (first, a % columns), last: (last, (b - 1) % columns), cells: b - a };
            best = keep_shorter(best, bar);
        }
    };
    for (r, row) in rows.iter().enumerate() {
        look(row, r, r);
    }
    for (r, pair) in rows.windows(2).enumerate() {
        let both: Vec<bool> = pair[0].iter().zip(&pair[1]).map(|(a, b)| *a && *b).collect();
        look(&both, r, r + 1);
    }
    best
}

/// The lowest hole between two bars of a column, in cells.
pub fn lowest_hole(rows: &[Vec<bool>]) -> Option<Bar> {
    let columns = rows.first().map_or(0, Vec::len);
    let mut best = None;
    for c in 0..columns {
        for (a, b) in runs(&column(rows, c), false, false) {
            if a > 0 && b < rows.len() {
                best = keep_shorter(best, Bar { first: (a, c), last: (b - 1, c), cells: b - a });
            }
        }
    }
    best
}

/// The narrowest hole between two bars of a row, in cells.
pub fn narrowest_hole(rows: &[Vec<bool>], wraps: bool) -> Option<Bar> {
    let columns = rows.first().map_or(0, Vec::len);
    let mut best = None;
    for (r, row) in rows.iter().enumerate() {
        for (a, b) in runs(row, false, wraps) {
            if wraps || (a > 0 && b < columns) {
                let bar =
                    Bar { first: (r, a % columns), last: (r, (b - 1) % columns), cells: b - a };
                best = keep_shorter(best, bar);
            }
        }
    }
    best
}

fn keep_shorter(best: Option<Bar>, bar: Bar) -> Option<Bar> {
    match best {
        Some(kept) if kept.cells <= bar.cells => Some(kept),
        _ => Some(bar),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chart(text: &str) -> Vec<Vec<bool>> {
        let row = |line: &str| line.split_whitespace().map(|mark| mark == "#").collect();
        text.lines().filter(|l| !l.trim().is_empty()).map(row).collect()
    }

    #[test]
    fn the_thinnest_bars_count_joints() {
        // Two bars two cells high that share one row: the joint is one cell high.
        let rows = chart("# .\n# #\n. #");
        assert_eq!(lowest(&rows, false).map(|b| b.cells), Some(1));
        assert_eq!(upright_bars(&rows).iter().map(|b| b.cells).min(), Some(2));
        let ring = chart("# # # #");
        assert_eq!(narrowest(&ring, true), None);
        assert_eq!(narrowest(&ring, false).map(|b| b.cells), Some(4));
        let seam = chart("# . . #");
        assert_eq!(narrowest(&seam, true).map(|b| (b.first, b.cells)), Some(((0, 3), 2)));
        assert_eq!(narrowest_hole(&seam, true).map(|b| b.cells), Some(2));
        assert_eq!(lowest_hole(&chart("#\n.\n#")).map(|b| b.cells), Some(1));
        assert_eq!(rows.len(), 3);
    }

    #[test]
    fn bars_are_named_as_people_count() {
        let bar = Bar { first: (1, 2), last: (1, 4), cells: 3 };
        assert_eq!(bar.name(), "row 2, columns 3 to 5");
    }
}
