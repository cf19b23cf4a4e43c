//! Circles that touch an outline from one side: the medial measure of how thick it is there.

use crate::plane::{Point, region_bounds, region_sides};
use std::ops::Range;

/// Two faces make one wall when their contacts with the circle between them lie farther
/// apart than this, seen from its middle: the cosine of 150 deg. Wedges blunter than 30 deg
/// are corners, in which small circles fit everywhere.
const FACING_COS: f64 = -0.866;

/// A side faces a way when its normal leaves it by less than this: the cosine of 60 deg.
const ALIKE_COS: f64 = 0.5;

/// Radii are known to this, mm.
const RADIUS_MM: f64 = 1e-6;

/// A circle shrinks no more often than this; each time by a contact that was not seen.
const SHRINKS: usize = 64;

/// The sides of a layer's outlines, sorted into square cells.
pub struct Sides {
    sides: Vec<[Point; 2]>,
    /// One over the square of the length of each, 0 where it has none.
    per_square: Vec<f64>,
    low: Point,
    cells_per_mm: f64,
    columns: usize,
    rows: usize,
    /// The sides of cell k are `inside[starts[k]..starts[k + 1]]`.
    starts: Vec<u32>,
    inside: Vec<u32>,
    /// Whether sides in or next to each cell face ways that are a quarter turn apart or more.
    facing: Vec<bool>,
}

impl Sides {
    /// Sorts all sides; circles of up to a cell across are found quickly.
    pub fn new(outlines: &[Vec<Point>], cell_mm: f64) -> Sides {
        let sides: Vec<[Point; 2]> = region_sides(outlines).collect();
        let [low, high] = region_bounds(outlines).unwrap_or_default();
        let cells_per_mm = cell_mm.recip();
        let count = |span: f64| (span * cells_per_mm) as usize + 1;
        let (columns, rows) = (count(high.x - low.x), count(high.y - low.y));
        let cells = columns * rows;
        let per_square = |[a, b]: &[Point; 2]| {
            let square = (*b - *a).dot(*b - *a);
            if square > 0.0 { square.recip() } else { 0.0 }
        };
        let mut grid = Sides {
            per_square: sides.iter().map(per_square).collect(),
            sides,
            low,
            cells_per_mm,
            columns,
            rows,
            starts: vec![0; cells + 1],
            inside: Vec::new(),
            facing: vec![false; cells],
        };
        let entries = grid.entries();
        let mut ways = vec![0u8; cells];
        for (cell, side) in &entries {
            let [from, to] = grid.sides[*side as usize];
            grid.starts[*cell as usize] += 1;
            ways[*cell as usize] |= 1 << eighth((to - from).left());
        }
        // Ends first; each entry that is put in from behind moves its cell's end to its start.
        let mut end = 0;
        for count in &mut grid.starts {
            end += *count;
            *count = end;
        }
        grid.inside = vec![0; entries.len()];
        for (cell, side) in entries.iter().rev() {
            let slot = &mut grid.starts[*cell as usize];
            *slot -= 1;
            grid.inside[*slot as usize] = *side;
        }
        grid.face(&entries, &ways);
        grid
    }

    /// Which side passes which cell, each once.
    fn entries(&self) -> Vec<(u32, u32)> {
        let mut entries = Vec::with_capacity(2 * self.sides.len());
        for (side, [from, to]) in (0..).zip(&self.sides) {
            let own = entries.len();
            let run = *to - *from;
            let steps = (run.dot(run).sqrt() * self.cells_per_mm).ceil().max(1.0);
            for k in 0..steps as usize {
                let at = |k: usize| *from + run * (k as f64 / steps);
                for cell in self.cells([at(k), at(k + 1)]).flatten() {
                    let entry = (cell as u32, side);
                    // A step meets the cells of the step before again.
                    if k == 0 || !entries[own..].contains(&entry) {
                        entries.push(entry);
                    }
                }
            }
        }
        entries
    }

    /// The cells of the box of two points: a range of each row.
    fn cells(&self, [a, b]: [Point; 2]) -> impl Iterator<Item = Range<usize>> + use<> {
        let place = |v: f64, low: f64, count: usize| {
            (((v - low) * self.cells_per_mm).max(0.0) as usize).min(count - 1)
        };
        let column = |v: f64| place(v, self.low.x, self.columns);
        let row = |v: f64| place(v, self.low.y, self.rows);
        let (left, right) = (column(a.x.min(b.x)), column(a.x.max(b.x)));
        let (down, up) = (row(a.y.min(b.y)), row(a.y.max(b.y)));
        let columns = self.columns;
        (down..=up).map(move |row| row * columns + left..row * columns + right + 1)
    }

    /// The point of any side but `but` that lies nearest to a middle, closer than a radius,
    /// and its side.
    fn nearest(&self, middle: Point, radius_mm: f64, but: Option<usize>) -> Option<(Point, usize)> {
        let reach = Point::new(radius_mm, radius_mm);
        // Squares: roots are most of the work here.
        let mut best = (radius_mm * radius_mm, None);
        for row in self.cells([middle - reach, middle + reach]) {
            // The cells of a row follow each other.
            let range = self.starts[row.start] as usize..self.starts[row.end] as usize;
            for side in &self.inside[range] {
                if but == Some(*side as usize) {
                    continue;
                }
                let [a, b] = self.sides[*side as usize];
                let run = b - a;
                let share = run.dot(middle - a) * self.per_square[*side as usize];
                let point = a + run * share.clamp(0.0, 1.0);
                let off = point - middle;
                let distance = off.dot(off);
                if distance < best.0 {
                    best = (distance, Some((point, *side as usize)));
                }
            }
        }
        best.1
    }

    /// The far contact of the largest circle of up to `most_mm` across that touches the
    /// outline at `at` from the side of `normal`; none where all of that circle is free.
    fn contact(
        &self,
        at: Point,
        normal: Point,
        but: Option<usize>,
        most_mm: f64,
    ) -> Option<Circle> {
        let mut circle = Circle { middle: at + normal * (most_mm / 2.0), radius: most_mm / 2.0 };
        let mut contact = None;
        for _ in 0..SHRINKS {
            let within = circle.radius - RADIUS_MM;
            let Some((near, _)) = self.nearest(circle.middle, within, but) else { break };
            let to = near - at;
            let ahead = normal.dot(to);
            if ahead <= 0.0 {
                return None;
            }
            let radius = (to.dot(to) / (2.0 * ahead)).min(circle.radius);
            circle = Circle { middle: at + normal * radius, radius };
            contact = Some(near);
        }
        let near = contact?;
        let apart = (at - circle.middle).dot(near - circle.middle);
        let facing = apart < FACING_COS * circle.radius * circle.radius;
        facing.then_some(circle)
    }

    /// From the eighths of a turn into which the sides of each cell face, one bit for each.
    fn face(&mut self, entries: &[(u32, u32)], ways: &[u8]) {
        let around = |at: usize, count: usize| at.saturating_sub(1)..(at + 2).min(count);
        let mut before = None;
        for (cell, _) in entries {
            if before.replace(*cell) == Some(*cell) {
                continue;
            }
            let (row, column) = (*cell as usize / self.columns, *cell as usize % self.columns);
            let columns = around(column, self.columns);
            let seen = around(row, self.rows).fold(0u8, |seen, row| {
                let at = row * self.columns;
                let near = &ways[at + columns.start..at + columns.end];
                near.iter().fold(seen, |seen, way| seen | way)
            });
            let apart = seen.rotate_left(2) | seen.rotate_left(3) | seen.rotate_left(4);
            self.facing[*cell as usize] = seen & apart != 0;
        }
    }

    /// Whether a circle of up to a cell across that touches the outline at a point may have
    /// its far contact opposite. That lies on a side, or between two sides, whose normals
    /// together point back; where all sides near the point face about as it does there is
    /// none.
    pub fn may_be_narrow(&self, at: Point) -> bool {
        self.cells([at, at]).flatten().any(|cell| self.facing[cell])
    }

    /// The width, mm, of what lies on the side of `normal` of a point of the outline, where
    /// it is a wall of less than `most_mm`.
    pub fn width(&self, at: Point, normal: Point, but: Option<usize>, most_mm: f64) -> Option<f64> {
        self.contact(at, normal, but, most_mm).map(|circle| 2.0 * circle.radius)
    }

    /// The width towards `normal` from the point of the outline that lies nearest to `at`, no
    /// farther than `within_mm`.
    pub fn width_near(
        &self,
        at: Point,
        normal: Point,
        within_mm: f64,
        most_mm: f64,
    ) -> Option<f64> {
        let (on, own) = self.nearest(at, within_mm, None)?;
        let [a, b] = self.sides[own];
        // A side that runs along `normal` is the end of the wall, not its face.
        if (b - a).unit().left().dot(normal).abs() < ALIKE_COS {
            return None;
        }
        self.width(on, normal, Some(own), most_mm)
    }

    /// The width at a corner that stands into the wall, between the normals of its sides, and
    /// its direction.
    pub fn width_at_corner(
        &self,
        at: Point,
        normals: [Point; 2],
        most_mm: f64,
    ) -> Option<(f64, Point)> {
        let bisector = (normals[0] + normals[1]).unit();
        let start = at + bisector * RADIUS_MM;
        let half = most_mm / 2.0;
        let (near, _) = self.nearest(at + bisector * half, half - RADIUS_MM, None)?;
        let across = (near - at).unit();
        // Only what the corner faces, not its own sides.
        let faces = across.dot(bisector) >= normals[0].dot(bisector) - RADIUS_MM;
        let width = faces.then(|| self.width(start, across, None, most_mm)).flatten();
        width.map(|width| (width, across))
    }
}

/// Into which eighth of a turn a direction points.
fn eighth(direction: Point) -> u32 {
    let Point { x, y } = direction;
    let steep = (y.abs() > x.abs()) as u32;
    match (x >= 0.0, y >= 0.0) {
        (true, true) => steep,
        (false, true) => 3 - steep,
        (false, false) => 4 + steep,
        (true, false) => 7 - steep,
    }
}

/// A circle that touches an outline twice.
#[derive(Clone, Copy, Debug)]
struct Circle {
    middle: Point,
    radius: f64,
}
