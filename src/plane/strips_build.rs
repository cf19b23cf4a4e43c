//! Charts and polygons cut into strips.

use super::outline::Point;
use super::strips::{EdgeId, Interval, SAME_HEIGHT_MM, SAME_LINE, Strips};

/// Where a chart is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartFrame {
    /// u of the left end of the first repeat.
    pub start: f64,
    /// Width of all repeats in u; a full turn where the chart closes on itself.
    pub width: f64,
    /// Whether the right end meets the left one.
    pub closes: bool,
    /// How often the chart is repeated.
    pub repeats: u32,
    /// Lowest and highest z, mm.
    pub span_mm: [f64; 2],
}

/// By how much the sides of a pattern move, out of the material above 0.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moves {
    /// Upright flanks, in u.
    pub flank: f64,
    /// Undersides, mm.
    pub under_mm: f64,
    /// Upper sides, mm.
    pub ceiling_mm: f64,
}

/// A chart with its sides moved: exact, boxes stay boxes. Rows run from the top; all
/// must be equally long.
pub fn chart_strips(rows: &[Vec<bool>], frame: &ChartFrame, moves: &Moves) -> Strips {
    let even = moves.flank.abs();
    chart_strips_with(rows, frame, moves, &|_| [even; 2])
}

/// As [`chart_strips`], where a flank at u moves by as much to the left and to the right as
/// `reach` says; never by more than [`Moves::flank`].
pub fn chart_strips_with(
    rows: &[Vec<bool>],
    frame: &ChartFrame,
    moves: &Moves,
    reach: &dyn Fn(f64) -> [f64; 2],
) -> Strips {
    let columns = rows.first().map_or(0, Vec::len);
    let period = frame.closes.then_some(frame.width);
    let count = columns * frame.repeats as usize;
    if count == 0 {
        return Strips::empty(period);
    }
    let chart = Chart { rows, columns, count, frame, moves, reach };
    chart.strips().merged()
}

struct Chart<'a> {
    rows: &'a [Vec<bool>],
    columns: usize,
    count: usize,
    frame: &'a ChartFrame,
    moves: &'a Moves,
    reach: &'a dyn Fn(f64) -> [f64; 2],
}

impl Chart<'_> {
    /// u of the left side of column `index`, which may lie beyond the ends.
    fn left_side(&self, index: i64) -> f64 {
        self.frame.start + self.frame.width * (index as f64 / self.count as f64)
    }

    fn is_material(&self, row: usize, column: i64) -> bool {
        let count = self.count as i64;
        if !self.frame.closes && !(0..count).contains(&column) {
            return false;
        }
        self.rows[row][column.rem_euclid(count) as usize % self.columns]
    }

    fn strips(&self) -> Strips {
        let shift = self.moves.flank.abs();
        let column_width = self.frame.width / self.count as f64;
        let reach = (shift / column_width).ceil() as i64;
        let mut lines = Vec::with_capacity(2 * self.count + 2);
        // On a closed chart sides move over the seam, from either end.
        let over = if self.frame.closes { reach } else { 0 };
        for index in -over..=self.count as i64 + over {
            let side = self.left_side(index);
            let [left, right] = (self.reach)(side);
            lines.push(side - left);
            lines.push(side + right);
        }
        lines.sort_by(f64::total_cmp);
        lines.dedup_by(|b, a| *b - *a <= SAME_LINE);
        if self.frame.closes {
            // The right end is the left one: keep one turn.
            let side = self.left_side(0);
            let first = side - (self.reach)(side)[0] - SAME_LINE / 2.0;
            let end = first + self.frame.width - SAME_LINE / 2.0;
            lines.retain(|line| (first..end).contains(line));
        }
        let mut result = Strips {
            lines,
            period: self.frame.closes.then_some(self.frame.width),
            strips: Vec::new(),
        };
        let strips = if self.frame.closes { result.lines.len() } else { result.lines.len() - 1 };
        for index in 0..strips {
            let [left, right] = result.span(index);
            let middle = (left + right) / 2.0;
            let near = ((middle - self.frame.start) / column_width).floor() as i64;
            let seen: Vec<i64> = (near - reach - 1..=near + reach + 1)
                .filter(|&c| {
                    let (from, to) = (self.left_side(c), self.left_side(c + 1));
                    let (left, right) = ((self.reach)(from)[0], (self.reach)(to)[1]);
                    from < middle + left - SAME_LINE / 4.0 && to > middle - right + SAME_LINE / 4.0
                })
                .collect();
            result.strips.push(self.intervals(&seen));
        }
        result
    }

    /// The runs of rows that are material in all (sides moving in) or any (out) of the
    /// columns within reach.
    fn intervals(&self, columns: &[i64]) -> Vec<Interval> {
        let inwards = self.moves.flank <= 0.0;
        let filled = |row: usize| match inwards {
            true => columns.iter().all(|&c| self.is_material(row, c)),
            false => columns.iter().any(|&c| self.is_material(row, c)),
        };
        let count = self.rows.len();
        let [low, high] = self.frame.span_mm;
        let level = |row: usize| high - (high - low) * (row as f64 / count as f64);
        let mut intervals: Vec<Interval> = Vec::new();
        let mut row = count;
        while row > 0 {
            if !filled(row - 1) {
                row -= 1;
                continue;
            }
            let lower = row;
            while row > 0 && filled(row - 1) {
                row -= 1;
            }
            let (bottom, top) =
                (level(lower) - self.moves.under_mm, level(row) + self.moves.ceiling_mm);
            let edges = [EdgeId(2 * lower as u64), EdgeId(2 * row as u64 + 1)];
            match intervals.last_mut() {
                Some(below) if bottom - below.top[0] <= SAME_HEIGHT_MM => {
                    (below.top, below.top_edge) = ([top; 2], edges[1]);
                }
                _ if top - bottom > SAME_HEIGHT_MM => intervals.push(Interval {
                    bottom: [bottom; 2],
                    top: [top; 2],
                    bottom_edge: edges[0],
                    top_edge: edges[1],
                }),
                _ => {}
            }
        }
        intervals
    }
}

/// An edge of a polygon between two lines, from left to right.
struct Side {
    u: [f64; 2],
    z: [f64; 2],
    id: u64,
}

impl Side {
    fn at(&self, u: f64) -> f64 {
        let ([left, right], [a, b]) = (self.u, self.z);
        if u <= left || a == b {
            a
        } else if u >= right {
            b
        } else {
            a + (b - a) * ((u - left) / (right - left))
        }
    }
}

/// A region, given by polygons that do not cross each other, between u = `from` and
/// `to`, open at both ends. Edges are numbered through all polygons in order.
pub fn polygon_strips(polygons: &[Vec<Point>], [from, to]: [f64; 2]) -> Strips {
    let lines = distinct_lines(polygons, [from, to]);
    let mut sides = sides_between(polygons, &lines);
    sides.sort_by(|a, b| a.u[0].total_cmp(&b.u[0]).then(a.id.cmp(&b.id)));
    let mut waiting = sides.iter().peekable();
    let mut active: Vec<&Side> = Vec::new();
    let mut fresh = polygons.iter().map(|p| p.len() as u64).sum();
    let mut result = Strips { lines: Vec::new(), period: None, strips: Vec::new() };
    for pair in lines.windows(2) {
        let [left, right] = [pair[0], pair[1]];
        while let Some(side) = waiting.next_if(|side| side.u[0] <= left) {
            active.push(side);
        }
        active.retain(|side| side.u[1] >= right);
        if left < from || right > to {
            continue;
        }
        let height = |side: &Side| side.at(left) + side.at(right);
        active.sort_by(|a, b| height(a).total_cmp(&height(b)).then(a.id.cmp(&b.id)));
        let mut intervals = Vec::with_capacity(active.len() / 2);
        for couple in active.chunks_exact(2) {
            let (below, above) = (couple[0], couple[1]);
            let bottom = [below.at(left), below.at(right)];
            let (bottom_edge, top_edge) = (EdgeId(below.id), EdgeId(above.id));
            let top = [above.at(left), above.at(right)];
            let mut interval = Interval { bottom, top, bottom_edge, top_edge };
            // Snapping may have made sides cross by a hair.
            interval.hold_top(|side, z| z.max(bottom[side]), &mut fresh);
            if interval.heights().iter().any(|h| *h > SAME_HEIGHT_MM) {
                intervals.push(interval);
            }
        }
        result.lines.push(left);
        result.strips.push(intervals);
    }
    result.lines.push(to);
    result
}

/// The u of all vertices and of both ends, ascending, no two within [`SAME_LINE`].
fn distinct_lines(polygons: &[Vec<Point>], ends: [f64; 2]) -> Vec<f64> {
    let mut all: Vec<f64> = polygons.iter().flatten().map(|p| p.x).collect();
    all.extend(ends);
    all.sort_by(f64::total_cmp);
    let mut lines: Vec<f64> = Vec::with_capacity(all.len());
    for u in all {
        if lines.last().is_none_or(|last| u - last > SAME_LINE) {
            lines.push(u);
        }
    }
    for end in ends {
        for line in &mut lines {
            if (*line - end).abs() <= 2.0 * SAME_LINE {
                *line = end;
            }
        }
    }
    lines.dedup();
    lines
}

/// All edges that are not upright, their ends on lines.
fn sides_between(polygons: &[Vec<Point>], lines: &[f64]) -> Vec<Side> {
    let snap = |u: f64| {
        let after = lines.partition_point(|line| *line < u).min(lines.len() - 1);
        let before = after.saturating_sub(1);
        if (lines[before] - u).abs() < (lines[after] - u).abs() {
            lines[before]
        } else {
            lines[after]
        }
    };
    let mut sides = Vec::new();
    let mut id = 0;
    for polygon in polygons {
        for (i, a) in polygon.iter().enumerate() {
            let b = polygon[(i + 1) % polygon.len()];
            let (u, v) = (snap(a.x), snap(b.x));
            if u < v {
                sides.push(Side { u: [u, v], z: [a.y, b.y], id });
            } else if v < u {
                sides.push(Side { u: [v, u], z: [b.y, a.y], id });
            }
            id += 1;
        }
    }
    sides
}

impl Strips {
    /// `self`, which is one repeat between its first and last line, `count` times in
    /// a row from u = `start`, closed to a ring where the repeats make a full turn.
    /// Heights that meet from repeat to repeat within `weld_mm` are made the same.
    #[must_use]
    pub fn repeated(&self, start: f64, count: u32, closed: bool, weld_mm: f64) -> Strips {
        let (Some(first), Some(last)) = (self.lines.first(), self.lines.last()) else {
            return Strips::empty(closed.then_some(0.0));
        };
        let width = last - first;
        let mut one = self.clone();
        if closed || count > 1 {
            one.weld_ends(weld_mm);
        }
        let edges = one.fresh_edge();
        let mut result = Strips {
            lines: Vec::new(),
            period: closed.then_some(width * f64::from(count)),
            strips: Vec::new(),
        };
        for repeat in 0..count {
            let shift = start + width * f64::from(repeat) - first;
            let offset = edges * u64::from(repeat);
            let moved = |edge: EdgeId| EdgeId(edge.0 + offset);
            for (line, strip) in one.lines.iter().zip(&one.strips) {
                result.lines.push(line + shift);
                result.strips.push(
                    strip
                        .iter()
                        .map(|i| Interval {
                            bottom_edge: moved(i.bottom_edge),
                            top_edge: moved(i.top_edge),
                            ..*i
                        })
                        .collect(),
                );
            }
        }
        if !closed {
            result.lines.push(start + width * f64::from(count));
        }
        result
    }

    /// Edges that run on straight over a line given one id, the lowest: drawings are cut
    /// between repeats, where nothing ends.
    #[must_use]
    pub fn edges_joined(&self) -> Strips {
        let mut ids: Vec<u64> = Vec::new();
        for interval in self.strips.iter().flatten() {
            ids.extend([interval.bottom_edge.0, interval.top_edge.0]);
        }
        ids.sort_unstable();
        ids.dedup();
        let mut parent: Vec<usize> = (0..ids.len()).collect();
        let place = |edge: EdgeId| ids.binary_search(&edge.0).unwrap_or(0);
        for line in 0..self.strips.len() {
            let Some(left) = self.left_of(line) else { continue };
            let widths = [self.width(left), self.width(line)];
            for a in &self.strips[left] {
                for b in &self.strips[line] {
                    if runs_on(a.bottom, b.bottom, widths) {
                        join(&mut parent, place(a.bottom_edge), place(b.bottom_edge));
                    }
                    if runs_on(a.top, b.top, widths) {
                        join(&mut parent, place(a.top_edge), place(b.top_edge));
                    }
                }
            }
        }
        let mut result = self.clone();
        for interval in result.strips.iter_mut().flatten() {
            interval.bottom_edge = EdgeId(ids[root(&parent, place(interval.bottom_edge))]);
            interval.top_edge = EdgeId(ids[root(&parent, place(interval.top_edge))]);
        }
        result
    }

    /// Heights at the right end set to those at the left one, where nearly the same.
    fn weld_ends(&mut self, weld_mm: f64) {
        let left: Vec<f64> = self
            .strips
            .first()
            .into_iter()
            .flatten()
            .flat_map(|i| [i.bottom[0], i.top[0]])
            .collect();
        for interval in self.strips.last_mut().into_iter().flatten() {
            for z in [&mut interval.bottom[1], &mut interval.top[1]] {
                let best = left.iter().min_by(|a, b| (*a - *z).abs().total_cmp(&(*b - *z).abs()));
                if let Some(near) = best.filter(|near| (**near - *z).abs() <= weld_mm) {
                    *z = *near;
                }
            }
        }
    }
}

/// Whether the edge `a` of one strip goes on as `b` in the next, in one straight line.
fn runs_on(a: [f64; 2], b: [f64; 2], widths: [f64; 2]) -> bool {
    let bend = (a[1] - a[0]) / widths[0] - (b[1] - b[0]) / widths[1];
    a[1] == b[0] && bend.abs() * widths[0].max(widths[1]) <= SAME_HEIGHT_MM
}

fn root(parent: &[usize], mut at: usize) -> usize {
    while parent[at] != at {
        at = parent[at];
    }
    at
}

/// Makes two groups one under the lower root.
fn join(parent: &mut [usize], a: usize, b: usize) {
    let (a, b) = (root(parent, a), root(parent, b));
    parent[a.max(b)] = a.min(b);
}

#[cfg(test)]
#[path = "strips_build_tests.rs"]
mod tests;
