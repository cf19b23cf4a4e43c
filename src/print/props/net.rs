//! Points that want a column, and columns, each found by where they are.

use super::column::{Column, Spot};
use crate::plane::Point;
use std::collections::BTreeMap;

/// A point that wants a column no farther away than this.
#[derive(Clone, Copy, Debug)]
pub struct Open {
    pub at: Point,
    pub within_mm: f64,
}

/// Cells of a plane and what lies in them.
struct Cells {
    size_mm: f64,
    cells: BTreeMap<(i64, i64), Vec<u32>>,
}

impl Cells {
    fn new(size_mm: f64) -> Cells {
        Cells { size_mm, cells: BTreeMap::new() }
    }

    fn cell(&self, x: f64) -> i64 {
        (x / self.size_mm).floor() as i64
    }

    fn add(&mut self, at: Point, index: u32) {
        let key = (self.cell(at.y), self.cell(at.x));
        self.cells.entry(key).or_default().push(index);
    }

    /// What may lie within a distance, row by row.
    fn near(&self, at: Point, within_mm: f64) -> impl Iterator<Item = u32> + '_ {
        let around = |x: f64| self.cell(x - within_mm)..=self.cell(x + within_mm);
        let columns = around(at.x);
        around(at.y).flat_map(move |row| {
            let (from, to) = ((row, *columns.start()), (row, *columns.end()));
            self.cells.range(from..=to).flat_map(|(_, held)| held.iter().copied())
        })
    }
}

/// The points of one region, in the order in which they are to be carried.
pub struct Net {
    points: Vec<Open>,
    is_open: Vec<bool>,
    cells: Cells,
    /// All points before this one are carried or given up.
    next: usize,
    widest_mm: f64,
}

impl Net {
    /// All points open.
    pub fn new(points: Vec<Open>) -> Net {
        let widest_mm = points.iter().map(|p| p.within_mm).fold(0.0, f64::max);
        let mut cells = Cells::new(widest_mm.max(1.0));
        for (index, point) in points.iter().enumerate() {
            cells.add(point.at, index as u32);
        }
        Net { is_open: vec![true; points.len()], points, cells, next: 0, widest_mm }
    }

    /// The first open point.
    pub fn first(&mut self) -> Option<Open> {
        while self.next < self.points.len() && !self.is_open[self.next] {
            self.next += 1;
        }
        self.points.get(self.next).copied()
    }

    /// Open points of the same kind within a distance.
    pub fn alike(&self, point: Open, within_mm: f64) -> Vec<Point> {
        let near = self.cells.near(point.at, within_mm).map(|k| k as usize);
        let near =
            near.filter(|k| self.is_open[*k] && self.points[*k].within_mm == point.within_mm);
        let near = near.map(|k| self.points[k].at);
        near.filter(|at| at.distance(point.at) <= within_mm).collect()
    }

    /// A column stands here.
    pub fn carried(&mut self, spot: &Spot) {
        let at = Point::new(spot.at[0], spot.at[1]);
        let near: Vec<u32> = self.cells.near(at, self.widest_mm).collect();
        for k in near.into_iter().map(|k| k as usize) {
            if self.points[k].at.distance(at) <= self.points[k].within_mm {
                self.is_open[k] = false;
            }
        }
    }

    /// The first open point is left as it is.
    pub fn skip(&mut self) {
        self.next += 1;
    }

    /// Nothing can stand near a point: its neighbours would be told for the same reason.
    pub fn given_up(&mut self, point: Open) {
        let near: Vec<u32> = self.cells.near(point.at, point.within_mm).collect();
        for k in near.into_iter().map(|k| k as usize) {
            if self.points[k].at.distance(point.at) <= point.within_mm {
                self.is_open[k] = false;
            }
        }
    }
}

/// Columns that stand already.
pub struct Stand {
    columns: Vec<Column>,
    cells: Cells,
    apart_mm: f64,
}

impl Stand {
    /// None yet; their middles are to be so far apart.
    pub fn new(apart_mm: f64) -> Stand {
        Stand { columns: Vec::new(), cells: Cells::new(apart_mm), apart_mm }
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.columns.len()
    }

    /// One more.
    pub fn add(&mut self, column: Column) {
        let [x, y] = column.spot.at;
        self.cells.add(Point::new(x, y), self.columns.len() as u32);
        self.columns.push(column);
    }

    /// Whether one from `foot` to `top` can stand here beside all others.
    pub fn is_free(&self, spot: &Spot, [foot, top]: [f64; 2]) -> bool {
        let at = Point::new(spot.at[0], spot.at[1]);
        let near = self.cells.near(at, self.apart_mm).map(|k| &self.columns[k as usize]);
        let mut near =
            near.filter(|c| Point::new(c.spot.at[0], c.spot.at[1]).distance(at) < self.apart_mm);
        near.all(|c| c.span_mm[1] < foot || top < c.span_mm[0])
    }

    /// Whether no other column has its middle nearer than that, mm.
    pub fn is_roomy(&self, spot: &Spot, apart_mm: f64) -> bool {
        let at = Point::new(spot.at[0], spot.at[1]);
        let mut near = self.cells.near(at, apart_mm).map(|k| self.columns[k as usize].spot.at);
        near.all(|[x, y]| Point::new(x, y).distance(at) >= apart_mm)
    }

    /// Whether a column stands so near a point that none could stand nearer beside it.
    pub fn is_near(&self, point: Open) -> bool {
        let near_mm = point.within_mm + self.apart_mm;
        let mut near = self.cells.near(point.at, near_mm).map(|k| self.columns[k as usize].spot.at);
        near.any(|[x, y]| Point::new(x, y).distance(point.at) <= near_mm)
    }

    /// All of them.
    pub fn into_columns(self) -> Vec<Column> {
        self.columns
    }
}
