//! Where columns are to stand.

use super::column::{Bench, Column, Spot};
use super::net::{Net, Open, Stand};
use super::{Chosen, Turn, feet};
use crate::model::Printer;
use crate::plane::{Inside, Point, grown_region};
use crate::print::underside::{Hanging, Kind, PRINTS_MM, Patch, Survey, distance, will_not_print};
use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::SQRT_2;

/// Points that must be carried lie so far apart, mm.
const SAMPLE_MM: f64 = 0.5;

/// Points on an outline are looked at so far inside it, mm.
const INSIDE_MM: f64 = 0.01;

/// Places for columns that are tried lie so far apart, mm.
const TRIED_MM: f64 = 0.25;

/// Twice as far where a column carries farther than this, mm.
const WIDE_MM: f64 = 2.5;

/// From corner to corner a column is so many times as wide as from flat to flat.
pub const WIDEST: f64 = 1.1;

/// A part gets no more columns; far above any print that is meant.
pub const MOST_COLUMNS: usize = 4000;

/// Columns reach a little less far than what prints, mm: the points between those that are
/// looked at.
const MARGIN_MM: f64 = 0.1;

/// Regions that a turn brings onto each other are apart by less than this, mm, and differ
/// in area by less than this share.
const SAME_MM: f64 = 0.05;
const ALIKE: f64 = 0.02;

/// How far columns carry, mm, from their middle: free edges no farther than what prints, the
/// inside so that no line between neighbours is longer than the printer's bridge.
#[derive(Clone, Copy)]
struct Holds {
    edge_mm: f64,
    inside_mm: f64,
    /// From the middle to the side of a column.
    half_mm: f64,
}

/// Something that must be carried.
struct Task {
    layer: usize,
    area_mm2: f64,
    middle: Point,
    under_mm: [f64; 2],
    /// Points of it that nothing carries yet, those of free edges first.
    points: Vec<Open>,
    /// Middle of its box: places are counted from there.
    origin: Point,
}

/// Columns under everything that will not print.
pub fn chosen(bench: &Bench<'_>, bare: &Survey, printer: &Printer, turns: &[Turn]) -> Chosen {
    let wanted =
        bare.hanging.iter().filter(|h| will_not_print(&bare.measured(h), printer.bridge_mm));
    let reach_mm = printer.layer_mm * printer.overhang_rad.tan();
    let half_mm = bench.props.width_mm / 2.0;
    let prints_mm = (PRINTS_MM - reach_mm.min(PRINTS_MM / 2.0) - MARGIN_MM).max(printer.line_mm);
    let asked_mm = bench.props.spacing_mm.map(|spacing| spacing / SQRT_2);
    let inside_mm = asked_mm.unwrap_or(half_mm.max(printer.bridge_mm / 2.0));
    let holds = Holds { edge_mm: inside_mm.min(half_mm + prints_mm), inside_mm, half_mm };
    let tasks: Vec<Task> = wanted.map(|h| task(bench, bare, h, &holds)).collect();
    let mut work = Work { bench, stand: stand(bench), without_room: 0, too_many: false };
    let mut done = vec![false; tasks.len()];
    let mut repeats = 1;
    for first in 0..tasks.len() {
        if done[first] {
            continue;
        }
        done[first] = true;
        let own = work.carry(&tasks[first], Vec::new());
        for turn in turns {
            let copies = copies(&tasks, &done, first, turn);
            for (steps, other) in &copies {
                done[*other] = true;
                work.copy(&tasks[*other], &own, turn, *steps);
            }
            repeats = repeats.max(copies.len() + 1);
        }
    }
    let Work { stand, without_room, too_many, .. } = work;
    Chosen { columns: stand.into_columns(), repeats, without_room, too_many }
}

/// No columns yet; they are to stand half a line off each other.
pub fn stand(bench: &Bench<'_>) -> Stand {
    Stand::new(bench.props.width_mm * WIDEST + bench.line_mm / 2.0)
}

/// The column of a spot, where it has room beside the part and the other columns.
pub fn fitting(bench: &Bench<'_>, stand: &Stand, spot: &Spot) -> Option<Column> {
    let (ends, _) = bench.ends(spot)?;
    if stand.is_free(spot, ends) { bench.column(spot) } else { None }
}

/// The regions, not done yet, onto which a turn brings the first one, with its steps.
fn copies(tasks: &[Task], done: &[bool], first: usize, turn: &Turn) -> Vec<(u32, usize)> {
    let this = &tasks[first];
    let alike = |k: usize, at: Point| {
        let other = &tasks[k];
        !done[k]
            && other.layer == this.layer
            && (other.area_mm2 - this.area_mm2).abs() <= ALIKE * this.area_mm2
            && other.middle.distance(at) <= SAME_MM
    };
    let found = (1..turn.count).filter_map(|steps| {
        let [x, y] = turn.point([this.middle.x, this.middle.y], steps);
        let at = Point::new(x, y);
        let other = (first + 1..tasks.len()).find(|k| alike(*k, at))?;
        Some((steps, other))
    });
    found.collect()
}

fn task(bench: &Bench<'_>, bare: &Survey, hanging: &Hanging, holds: &Holds) -> Task {
    let own: Vec<&Patch> = hanging.patches.iter().map(|p| &bare.patches[*p]).collect();
    let layer = own.iter().map(|p| p.layer).min().unwrap_or(0);
    let last = own.iter().map(|p| p.layer).max().unwrap_or(layer);
    let cuts = &bare.planes.cuts_mm;
    let below = layer.checked_sub(1).map_or(0.0, |below| cuts[below]);
    let under_mm = [below, cuts[last]];
    let first = || own.iter().filter(|p| p.layer == layer);
    let roots: Vec<[Point; 2]> = first().flat_map(|p| p.carried.iter().copied()).collect();
    let (mut area, mut moment) = (0.0, Point::new(0.0, 0.0));
    for polygon in first().flat_map(|p| &p.region) {
        for i in 0..polygon.len() {
            let (p, q) = (polygon[i], polygon[(i + 1) % polygon.len()]);
            let cross = p.cross(q);
            area += cross / 2.0;
            moment = moment + (p + q) * (cross / 6.0);
        }
    }
    let corners = || own.iter().flat_map(|p| p.bounds);
    let middle = |c: fn(Point) -> f64| {
        let low = corners().map(c).fold(f64::INFINITY, f64::min);
        (low + corners().map(c).fold(f64::NEG_INFINITY, f64::max)) / 2.0
    };
    let origin = Point::new(middle(|p| p.x), middle(|p| p.y));
    let hangs = |open: &Open| {
        let p = open.at;
        let spot = Spot { at: [p.x, p.y], turn_rad: 0.0, under_mm };
        let root_mm = open.within_mm - holds.half_mm;
        bench.ends(&spot).is_some() && roots.iter().all(|side| distance(p, *side) > root_mm)
    };
    // Lines along a bridge rest on both its ends: its edges are as good as its inside.
    let mut holds = *holds;
    if hanging.kind == Kind::Bridge {
        holds.edge_mm = holds.inside_mm;
    }
    let points = samples(&own, bare, origin, &holds).into_iter().filter(hangs).collect();
    Task { layer, area_mm2: area, middle: moment * (1.0 / area), under_mm, points, origin }
}

/// Points of a region: along its free edges, then a net of them row by row.
fn samples(own: &[&Patch], bare: &Survey, origin: Point, holds: &Holds) -> Vec<Open> {
    let cell = |p: Point| {
        let at = |x: f64| (x / (SAMPLE_MM / 2.0)).round() as i64;
        (at(p.y - origin.y), at(p.x - origin.x))
    };
    let mut seen: BTreeSet<(i64, i64)> = BTreeSet::new();
    let mut edges = Vec::new();
    for patch in own {
        for polygon in &patch.region {
            for i in 0..polygon.len() {
                let (p, q) = (polygon[i], polygon[(i + 1) % polygon.len()]);
                if patch.carried.contains(&[p, q]) {
                    continue;
                }
                let inwards = (q - p).unit().left() * INSIDE_MM;
                let pieces = ((q - p).length() / SAMPLE_MM).ceil().max(1.0) as usize;
                for k in 0..=pieces {
                    let at = p + (q - p) * (k as f64 / pieces as f64) + inwards;
                    if seen.insert(cell(at)) {
                        edges.push(Open { at, within_mm: holds.edge_mm });
                    }
                }
            }
        }
    }
    let mut net: BTreeMap<(i64, i64), Point> = BTreeMap::new();
    for patch in own {
        // Strips of a slope lie as far apart as a layer carries: grown by half they meet.
        let grown = grown_region(&patch.region, bare.reach_mm[patch.layer] / 2.0 + INSIDE_MM);
        let inside = Inside::new(&grown);
        let [low, high] = patch.bounds;
        let steps = |low: f64, high: f64| {
            ((low / SAMPLE_MM).floor() as i64)..=((high / SAMPLE_MM).ceil() as i64)
        };
        for row in steps(low.y - origin.y, high.y - origin.y) {
            for column in steps(low.x - origin.x, high.x - origin.x) {
                let p = origin + Point::new(column as f64, row as f64) * SAMPLE_MM;
                if inside.holds(p) {
                    net.entry((row, column)).or_insert(p);
                }
            }
        }
    }
    edges.extend(net.into_values().map(|at| Open { at, within_mm: holds.inside_mm }));
    edges
}

/// Columns in the making.
struct Work<'a> {
    bench: &'a Bench<'a>,
    stand: Stand,
    without_room: usize,
    too_many: bool,
}

impl Work<'_> {
    /// Puts columns under a region until all its points are carried, beside those that
    /// stand there already; gives all of them.
    fn carry(&mut self, task: &Task, standing: Vec<Spot>) -> Vec<Spot> {
        let mut spots = standing;
        let mut net = Net::new(task.points.clone());
        for spot in &spots {
            net.carried(spot);
        }
        let mut refused = BTreeSet::new();
        while let Some(point) = net.first() {
            if self.stand.count() >= MOST_COLUMNS {
                self.too_many = true;
                break;
            }
            match self.best(task, &net, point, &mut refused) {
                Some(column) => {
                    net.carried(&column.spot);
                    spots.push(column.spot);
                    self.stand.add(column);
                }
                // Between two columns that leave no room for a third: they carry nearly as far.
                None if self.stand.is_near(point) => net.skip(),
                None => {
                    self.without_room += 1;
                    net.given_up(point);
                }
            }
        }
        spots
    }

    /// The columns of one region under another onto which a turn brings it.
    fn copy(&mut self, task: &Task, own: &[Spot], turn: &Turn, steps: u32) {
        let mut spots = Vec::new();
        for spot in own {
            let spot = Spot {
                at: turn.point(spot.at, steps),
                turn_rad: spot.turn_rad + turn.angle(steps),
                under_mm: task.under_mm,
            };
            if let Some(column) = fitting(self.bench, &self.stand, &spot) {
                spots.push(spot);
                self.stand.add(column);
            }
        }
        if spots.len() < own.len() {
            self.carry(task, spots);
        }
    }

    /// The column that carries a point and most of the others, the nearest to their middle
    /// among equals.
    fn best(
        &self,
        task: &Task,
        net: &Net,
        point: Open,
        refused: &mut BTreeSet<(bool, i64, i64)>,
    ) -> Option<Column> {
        let within_mm = point.within_mm;
        // Others of its kind: the inside is looked at once the edges are carried.
        let near = net.alike(point, 2.0 * within_mm);
        let from = point.at - task.origin;
        let is_wide = within_mm > WIDE_MM;
        let tried_mm = if is_wide { 2.0 * TRIED_MM } else { TRIED_MM };
        let step = |x: f64| (x / tried_mm).floor() as i64;
        let around = |x: f64| step(x - within_mm)..=step(x + within_mm) + 1;
        let mut tried = Vec::new();
        for row in around(from.y) {
            for column in around(from.x) {
                let key = (is_wide, row, column);
                let at = task.origin + Point::new(column as f64, row as f64) * tried_mm;
                if at.distance(point.at) > within_mm || refused.contains(&key) {
                    continue;
                }
                let held = near.iter().map(|p| p.distance(at)).filter(|d| *d <= within_mm);
                let (count, away) = held.fold((0usize, 0.0), |(n, sum), d| (n + 1, sum + d * d));
                tried.push((count, away, key, at));
            }
        }
        tried.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
        let spot = |at: Point| Spot { at: [at.x, at.y], turn_rad: 0.0, under_mm: task.under_mm };
        // Tall ones stand where a wide foot has room, as far as there is such a place.
        let all = tried.iter().map(|(_, _, _, at)| spot(*at));
        let mut steady = all.filter(|spot| feet::has_room(self.bench, &self.stand, spot));
        if let Some(column) = steady.find_map(|spot| fitting(self.bench, &self.stand, &spot)) {
            return Some(column);
        }
        for (_, _, key, at) in tried {
            let spot = spot(at);
            let column = fitting(self.bench, &self.stand, &spot);
            if column.is_some() {
                return column;
            }
            refused.insert(key);
        }
        None
    }
}
