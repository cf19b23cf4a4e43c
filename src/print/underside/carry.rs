//! What one layer has that the layer below does not carry, and of which kind it is.

use crate::plane::{
    Inside, Point, Region, beyond, inner_radius, nearest_on_side, region_area, region_bounds,
    region_sides,
};

/// Regions smaller than this are rounding, mm2.
const SPECK_MM2: f64 = 1e-4;

/// How far beside a line its two sides are looked at, mm: far above the rounding of the
/// polygons, far below what is printed.
const BESIDE_MM: f64 = 1e-4;

/// Lines along a free edge are laid about so far inside it, mm: half a line of 0.4 mm. The
/// edge itself may bend by less and still be bridged.
const LAID_MM: f64 = 0.2;

/// The share of the free edge that must lie between two carried ends for a bridge. Corners
/// where round ends begin may miss one.
const BRIDGED: f64 = 0.95;

/// Points at which a free side is looked at: one for each of this length, mm, but no more
/// than [`MOST_SAMPLES`].
const SAMPLE_MM: f64 = 0.5;
const MOST_SAMPLES: usize = 32;

/// Directions of lines that are tried for a bridge: those of so many sides.
const DIRECTIONS: usize = 8;

/// To what spans are known, mm.
pub const SPAN_MM: f64 = 0.01;

/// How what is not carried hangs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// It starts in the air.
    Island,
    /// It reaches out farther than the layer below carries it.
    Overhang,
    /// Lines across it rest on both ends.
    Bridge,
}

/// A connected region of one layer that the layer below does not carry.
#[derive(Clone, Debug)]
pub struct Patch {
    /// The layer, from 0.
    pub layer: usize,
    /// How it hangs.
    pub kind: Kind,
    /// mm2
    pub area_mm2: f64,
    /// How far its farthest free point is from the layer below, mm; 0 for islands.
    pub step_mm: f64,
    /// The length of lines across a bridge, mm; 0 for others.
    pub span_mm: f64,
    /// Its outlines.
    pub region: Region,
    /// Lowest and highest x and y.
    pub bounds: [Point; 2],
    /// The sides behind which the layer below carries.
    pub carried: Vec<[Point; 2]>,
}

/// What `upper` has that `lower` does not carry with a reach.
pub fn patches(
    layer: usize,
    upper: &[Vec<Point>],
    lower: &[Vec<Point>],
    reach_mm: f64,
) -> Vec<Patch> {
    let regions = beyond(upper, lower, reach_mm);
    if regions.is_empty() {
        return Vec::new();
    }
    let inside = Inside::new(upper);
    regions.into_iter().filter_map(|region| patch(layer, region, &inside, reach_mm)).collect()
}

fn patch(layer: usize, region: Region, upper: &Inside, reach_mm: f64) -> Option<Patch> {
    let area_mm2 = region_area(&region);
    if area_mm2 < SPECK_MM2 {
        return None;
    }
    let bounds = region_bounds(&region)?;
    let sides = Sides::new(&region, upper);
    let (kind, step_mm, span_mm) = if sides.carried.is_empty() {
        (Kind::Island, 0.0, 0.0)
    } else if sides.free.is_empty() {
        (Kind::Bridge, reach_mm, 2.0 * (reach_mm + inner_radius(&region, SPAN_MM / 2.0)))
    } else if let Some(span) = sides.span() {
        (Kind::Bridge, reach_mm, span + 2.0 * reach_mm)
    } else {
        (Kind::Overhang, reach_mm + sides.farthest(), 0.0)
    };
    let carried = sides.carried;
    Some(Patch { layer, kind, area_mm2, step_mm, span_mm, region, bounds, carried })
}

/// The outline of a patch, told apart by what lies on its other side.
struct Sides {
    /// With the layer below behind them.
    carried: Vec<[Point; 2]>,
    /// With nothing behind them.
    free: Vec<[Point; 2]>,
    inside: Inside,
}

impl Sides {
    fn new(region: &Region, upper: &Inside) -> Sides {
        let inside = Inside::new(region);
        let mut sides = Sides { carried: Vec::new(), free: Vec::new(), inside };
        for side in region_sides(region) {
            let [from, to] = side;
            let outwards = (to - from).unit().left() * -BESIDE_MM;
            let behind = (from + to) * 0.5 + outwards;
            match upper.holds(behind) {
                true => sides.carried.push(side),
                false => sides.free.push(side),
            }
        }
        sides
    }

    /// The greatest distance of a point of the free sides from the carried ones, mm.
    fn farthest(&self) -> f64 {
        let nearest = |p: Point| {
            self.carried.iter().map(|side| distance(p, *side)).fold(f64::INFINITY, f64::min)
        };
        self.free.iter().flat_map(|[a, _]| [nearest(*a)]).fold(0.0, f64::max)
    }

    /// The longest line across, mm, in the direction in which it is shortest, where lines
    /// of one direction rest on carried sides with both ends.
    fn span(&self) -> Option<f64> {
        let samples = self.samples();
        let spans = self.directions().into_iter().filter_map(|along| {
            let (mut bridged, mut all, mut longest) = (0.0, 0.0, 0f64);
            let total: f64 = samples.iter().map(|(_, weight)| weight).sum();
            for (point, weight) in &samples {
                all += weight;
                if let Some(length) = self.across(*point, along) {
                    bridged += weight;
                    longest = longest.max(length);
                }
                if all - bridged > (1.0 - BRIDGED) * total {
                    return None;
                }
            }
            Some(longest)
        });
        spans.min_by(f64::total_cmp)
    }

    /// Points inside the free sides, where lines are laid if there is room for any, and the
    /// length for which each stands.
    fn samples(&self) -> Vec<(Point, f64)> {
        let mut out = Vec::new();
        for [from, to] in &self.free {
            let run = *to - *from;
            let length = run.length();
            let inwards = run.unit().left();
            let count = ((length / SAMPLE_MM).ceil() as usize).clamp(1, MOST_SAMPLES);
            for k in 0..count {
                let share = (k as f64 + 0.5) / count as f64;
                let on = *from + run * share;
                let laid = on + inwards * LAID_MM;
                let near = on + inwards * BESIDE_MM;
                let point = if self.inside.holds(laid) { laid } else { near };
                out.push((point, length / count as f64));
            }
        }
        out
    }

    /// Along the longest free sides and square to the longest carried ones.
    fn directions(&self) -> Vec<Point> {
        let longest = |sides: &[[Point; 2]]| {
            let mut runs: Vec<Point> = sides.iter().map(|[a, b]| *b - *a).collect();
            runs.sort_by(|a, b| b.length().total_cmp(&a.length()));
            runs.truncate(DIRECTIONS);
            runs
        };
        let mut out: Vec<Point> = longest(&self.free).into_iter().map(Point::unit).collect();
        out.extend(longest(&self.carried).into_iter().map(|run| run.unit().left()));
        out
    }

    /// The length of the line through a point, mm, where it ends on carried sides.
    fn across(&self, point: Point, along: Point) -> Option<f64> {
        let mut length = 0.0;
        for direction in [along, -along] {
            let hit = |sides: &[[Point; 2]]| {
                let hits = sides.iter().filter_map(|side| ray(point, direction, *side));
                hits.fold(f64::INFINITY, f64::min)
            };
            let carried = hit(&self.carried);
            if !carried.is_finite() || hit(&self.free) < carried {
                return None;
            }
            length += carried;
        }
        Some(length)
    }
}

/// Distance of a point from a side, mm.
pub fn distance(point: Point, side: [Point; 2]) -> f64 {
    point.distance(nearest_on_side(point, side))
}

/// How far along a ray it meets a side, mm.
fn ray(from: Point, along: Point, [a, b]: [Point; 2]) -> Option<f64> {
    let run = b - a;
    let across = along.cross(run);
    if across == 0.0 {
        return None;
    }
    let to = a - from;
    let (far, share) = (to.cross(run) / across, to.cross(along) / across);
    (far >= 0.0 && (0.0..=1.0).contains(&share)).then_some(far)
}
