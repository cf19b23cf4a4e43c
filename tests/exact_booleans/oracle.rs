//! Bodies whose equations are known, and their volumes by lines.

use pipkin::model::{
    Body, Inlay, Leaf, Operation, Pattern, Placement, Prism, Surface, Turned, Vector,
};
use pipkin::plane::{Curve, Edge, Outline, Point, Segment, Track, rect};
use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::sync::Arc;

/// Bodies whose equations are known. All stand on z = 0 about the z axis but the ball
/// and the ring, which are centred.
#[derive(Clone, Copy, Debug)]
pub enum Primitive {
    Tube {
        inner: f64,
        outer: f64,
        height: f64,
    },
    Cone {
        below: f64,
        above: f64,
        height: f64,
    },
    Block {
        x: f64,
        y: f64,
        z: f64,
    },
    Ball {
        radius: f64,
    },
    /// Of round section.
    Ring {
        middle: f64,
        thick: f64,
    },
    /// Wrapped bars, as wide as the gaps between them; the first starts at angle 0.
    Bars {
        outer: f64,
        depth: f64,
        height: f64,
        count: u32,
    },
}

use Primitive::{Ball, Bars, Block, Cone, Ring, Tube};

#[derive(Clone, Debug)]
pub enum Tree {
    One(Primitive, Placement),
    Two(Operation, Box<Tree>, Box<Tree>),
}

pub fn rod(radius: f64, height: f64) -> Primitive {
    Tube { inner: 0.0, outer: radius, height }
}

pub fn one(primitive: Primitive) -> Tree {
    Tree::One(primitive, Placement::IDENTITY)
}

pub fn at(primitive: Primitive, placement: Placement) -> Tree {
    Tree::One(primitive, placement)
}

pub fn less(a: Tree, b: Tree) -> Tree {
    Tree::Two(Operation::Less, Box::new(a), Box::new(b))
}

pub fn join(a: Tree, b: Tree) -> Tree {
    Tree::Two(Operation::Join, Box::new(a), Box::new(b))
}

pub fn meet(a: Tree, b: Tree) -> Tree {
    Tree::Two(Operation::Meet, Box::new(a), Box::new(b))
}

pub fn shift(x: f64, y: f64, z: f64) -> Placement {
    Placement::shifted([x, y, z])
}

/// Laid down along x, then turned about z, then lifted.
pub fn radial(angle: f64, height: f64) -> Placement {
    lying(angle, 0.0, height)
}

/// As [`radial`], tilted up by `tilt` first.
pub fn lying(angle: f64, tilt: f64, height: f64) -> Placement {
    Placement::turned(1, FRAC_PI_2 - tilt)
        .then(&Placement::turned(2, angle))
        .then(&shift(0.0, 0.0, height))
}

fn turned(corners: &[(f64, f64)]) -> Body {
    let to = |c: &(f64, f64)| Segment { to: Point::new(c.0, c.1), curve: Curve::Line, face: None };
    let last = corners[corners.len() - 1];
    let start = Point::new(last.0, last.1);
    let track = Track { start, segments: corners.iter().map(to).collect() };
    Body::Leaf(Leaf::Turned(Arc::new(Turned {
        outline: Outline { loops: vec![track] },
        sides: None,
    })))
}

fn body_of(primitive: Primitive) -> Body {
    match primitive {
        Tube { inner, outer, height } => {
            turned(&[(outer, 0.0), (outer, height), (inner, height), (inner, 0.0)])
        }
        Cone { below, above, height } => {
            turned(&[(below, 0.0), (above, height), (0.0, height), (0.0, 0.0)])
        }
        Block { x, y, z } => {
            let outline = rect(x, y, Edge::None).unwrap();
            let sharp = Edge::None;
            let prism = Prism { outline, height_mm: z, taper_rad: 0.0, top: sharp, bottom: sharp };
            Body::Leaf(Leaf::Prism(Arc::new(prism)))
        }
        Ball { radius } => {
            let curve = Curve::Arc { centre: Point::default(), anticlockwise: true };
            let half = Segment { to: Point::new(0.0, radius), curve, face: None };
            let back = Segment { to: Point::new(0.0, -radius), curve: Curve::Line, face: None };
            let track = Track { start: Point::new(0.0, -radius), segments: vec![half, back] };
            Body::Leaf(Leaf::Turned(Arc::new(Turned {
                outline: Outline { loops: vec![track] },
                sides: None,
            })))
        }
        Ring { middle, thick } => {
            let curve = Curve::Arc { centre: Point::new(middle, 0.0), anticlockwise: true };
            let to = |y: f64| Segment { to: Point::new(middle, y), curve, face: None };
            let start = Point::new(middle, -thick / 2.0);
            let segments = vec![to(thick / 2.0), to(-thick / 2.0)];
            let outline = Outline { loops: vec![Track { start, segments }] };
            Body::Leaf(Leaf::Turned(Arc::new(Turned { outline, sides: None })))
        }
        Bars { outer, depth, height, count } => bars(outer, depth, height, count),
    }
}

/// A band of two cells a repeat, ink and none, without its seat.
fn bars(outer: f64, depth: f64, height: f64, count: u32) -> Body {
    let Body::Leaf(Leaf::Turned(host)) = body_of(rod(outer, height)) else {
        unreachable!("a rod is turned")
    };
    Body::Leaf(Leaf::Inlay(Arc::new(Inlay {
        surface: Surface::Round {
            host,
            radius_mm: outer,
            slope: 0.0,
            outward: true,
            span_mm: [0.0, height],
            sides: None,
        },
        pattern: Pattern::Chart { rows: vec![vec![true, false]], repeats: count },
        level_mm: height / 2.0,
        height_mm: height,
        bearing: 0.0,
        sink_mm: depth,
        proud_mm: 0.0,
        eased: None,
        slit: None,
    })))
}

pub fn body(tree: &Tree) -> Body {
    match tree {
        Tree::One(primitive, placement) => {
            Body::Placed { body: Arc::new(body_of(*primitive)), placement: *placement }
        }
        Tree::Two(operation, left, right) => Body::Boolean {
            operation: *operation,
            left: Arc::new(body(left)),
            right: Arc::new(body(right)),
        },
    }
}

type Spans = Vec<(f64, f64)>;

/// Where a t^2 + 2 b t + c <= 0.
fn below_nought(a: f64, b: f64, c: f64) -> Spans {
    if a.abs() < 1e-12 {
        return match (b.abs() < 1e-12, c <= 0.0) {
            (true, true) => vec![(f64::NEG_INFINITY, f64::INFINITY)],
            (true, false) => vec![],
            _ if b > 0.0 => vec![(f64::NEG_INFINITY, -c / (2.0 * b))],
            _ => vec![(-c / (2.0 * b), f64::INFINITY)],
        };
    }
    let root = b * b - a * c;
    if root <= 0.0 {
        return if a > 0.0 { vec![] } else { vec![(f64::NEG_INFINITY, f64::INFINITY)] };
    }
    let (p, q) = ((-b - root.sqrt()) / a, (-b + root.sqrt()) / a);
    if a > 0.0 { vec![(p, q)] } else { vec![(f64::NEG_INFINITY, q), (p, f64::INFINITY)] }
}

/// Where both hold.
fn both(a: &Spans, b: &Spans) -> Spans {
    let mut out = Spans::new();
    for p in a {
        for q in b {
            let span = (p.0.max(q.0), p.1.min(q.1));
            if span.0 < span.1 {
                out.push(span);
            }
        }
    }
    out
}

fn outside(a: &Spans) -> Spans {
    let mut sorted = a.clone();
    sorted.sort_by(|p, q| p.0.total_cmp(&q.0));
    let mut out = Spans::new();
    let mut from = f64::NEG_INFINITY;
    for (low, high) in sorted {
        if low > from {
            out.push((from, low));
        }
        from = from.max(high);
    }
    if from < f64::INFINITY {
        out.push((from, f64::INFINITY));
    }
    out
}

/// Where low <= p + d t <= high.
fn slab(p: f64, d: f64, low: f64, high: f64) -> Spans {
    both(&below_nought(0.0, d / 2.0, p - high), &below_nought(0.0, -d / 2.0, low - p))
}

fn spans_of(primitive: Primitive, p: Vector, d: Vector) -> Spans {
    let round = |r: f64| {
        below_nought(
            d[0] * d[0] + d[1] * d[1],
            p[0] * d[0] + p[1] * d[1],
            p[0] * p[0] + p[1] * p[1] - r * r,
        )
    };
    match primitive {
        Tube { inner, outer, height } => {
            let wall = both(&round(outer), &slab(p[2], d[2], 0.0, height));
            if inner > 0.0 { both(&wall, &outside(&round(inner))) } else { wall }
        }
        Cone { below, above, height } => {
            let s = (above - below) / height;
            let (r, e) = (below + s * p[2], s * d[2]);
            let side = below_nought(
                d[0] * d[0] + d[1] * d[1] - e * e,
                p[0] * d[0] + p[1] * d[1] - r * e,
                p[0] * p[0] + p[1] * p[1] - r * r,
            );
            both(&side, &slab(p[2], d[2], 0.0, height))
        }
        Block { x, y, z } => {
            let level =
                both(&slab(p[0], d[0], -x / 2.0, x / 2.0), &slab(p[1], d[1], -y / 2.0, y / 2.0));
            both(&level, &slab(p[2], d[2], 0.0, z))
        }
        Ball { radius } => {
            let dot = |a: Vector, b: Vector| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
            below_nought(dot(d, d), dot(p, d), dot(p, p) - radius * radius)
        }
        Ring { middle, thick } => ring_spans(middle, thick / 2.0, p, d),
        Bars { outer, depth, height, count } => {
            let wall = both(&round(outer), &slab(p[2], d[2], 0.0, height));
            let wall = both(&wall, &outside(&round(outer - depth)));
            let right_of = |angle: f64| {
                let (sin, cos) = angle.sin_cos();
                below_nought(0.0, (sin * d[0] - cos * d[1]) / 2.0, sin * p[0] - cos * p[1])
            };
            let period = TAU / f64::from(count);
            (0..count)
                .flat_map(|k| {
                    let start = period * f64::from(k);
                    let end = start + period / 2.0 + PI;
                    both(&wall, &both(&right_of(start), &right_of(end)))
                })
                .collect()
        }
    }
}

/// The torus (x^2 + y^2 + z^2 + R^2 - r^2)^2 = 4 R^2 (x^2 + y^2) along a line.
fn ring_spans(middle: f64, radius: f64, p: Vector, d: Vector) -> Spans {
    let dot = |a: Vector, b: Vector| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let around = (middle + radius).powi(2);
    let reach = below_nought(dot(d, d), dot(p, d), dot(p, p) - around);
    let [(low, high)] = reach[..] else { return vec![] };
    let all = [dot(p, p) + middle * middle - radius * radius, 2.0 * dot(p, d), dot(d, d)];
    let level = |a: Vector, b: Vector| a[0] * b[0] + a[1] * b[1];
    let flat = [level(p, p), 2.0 * level(p, d), level(d, d)];
    let by = 4.0 * middle * middle;
    let quartic = [
        all[0] * all[0] - by * flat[0],
        2.0 * all[0] * all[1] - by * flat[1],
        all[1] * all[1] + 2.0 * all[0] * all[2] - by * flat[2],
        2.0 * all[1] * all[2],
        all[2] * all[2],
    ];
    let mut ends = vec![low];
    ends.extend(roots(&quartic, low, high));
    ends.push(high);
    let inside = |pair: &&[f64]| value(&quartic, (pair[0] + pair[1]) / 2.0) <= 0.0;
    ends.windows(2).filter(inside).map(|pair| (pair[0], pair[1])).collect()
}

/// A polynomial, lowest power first.
fn value(of: &[f64], t: f64) -> f64 {
    of.iter().rev().fold(0.0, |sum, c| sum * t + c)
}

/// Where a polynomial changes its sign, sorted: between the extremes by bisection.
fn roots(of: &[f64], low: f64, high: f64) -> Vec<f64> {
    if of.len() < 2 {
        return vec![];
    }
    let slope: Vec<f64> = of.iter().enumerate().skip(1).map(|(n, c)| n as f64 * c).collect();
    let mut ends = vec![low];
    ends.extend(roots(&slope, low, high));
    ends.push(high);
    let mut found = vec![];
    for pair in ends.windows(2) {
        let (mut a, mut b) = (pair[0], pair[1]);
        let rises = value(of, b) > 0.0;
        if (value(of, a) > 0.0) == rises {
            continue;
        }
        for _ in 0..60 {
            let middle = (a + b) / 2.0;
            if (value(of, middle) > 0.0) == rises { b = middle } else { a = middle }
        }
        found.push((a + b) / 2.0);
    }
    found
}

fn spans(tree: &Tree, p: Vector, d: Vector) -> Spans {
    match tree {
        Tree::One(primitive, placement) => {
            let back = placement.inverse();
            spans_of(*primitive, back.point(p), back.direction(d))
        }
        Tree::Two(operation, left, right) => {
            let (a, b) = (spans(left, p, d), spans(right, p, d));
            match operation {
                Operation::Join => outside(&both(&outside(&a), &outside(&b))),
                Operation::Less => both(&a, &outside(&b)),
                Operation::Meet => both(&a, &b),
            }
        }
    }
}

/// How far from the origin a body may reach, mm.
fn reach(tree: &Tree) -> f64 {
    match tree {
        Tree::Two(Operation::Join, left, right) => reach(left).max(reach(right)),
        Tree::Two(Operation::Less, left, _) => reach(left),
        Tree::Two(Operation::Meet, left, right) => reach(left).min(reach(right)),
        Tree::One(primitive, placement) => {
            let own = match *primitive {
                Tube { outer, height, .. } | Bars { outer, height, .. } => outer.hypot(height),
                Cone { below, above, height } => below.max(above).hypot(height),
                Block { x, y, z } => (x / 2.0).hypot(y / 2.0).hypot(z),
                Ball { radius } => radius,
                Ring { middle, thick } => middle + thick / 2.0,
            };
            own + placement.point([0.0; 3]).iter().map(|c| c * c).sum::<f64>().sqrt()
        }
    }
}

/// Volume by lines along an inclined direction through a square round the body.
pub fn volume(tree: &Tree) -> f64 {
    const LINES: i32 = 420;
    let reach = reach(tree);
    let turn = Placement::turned(0, 0.37).then(&Placement::turned(2, 0.23));
    let width = 2.0 * reach / f64::from(LINES);
    let place = |i: i32| -reach + width * (f64::from(i) + 0.5);
    let d = turn.direction([1.0, 0.0, 0.0]);
    let mut sum = 0.0;
    for i in 0..LINES {
        for j in 0..LINES {
            let p = turn.point([0.0, place(i), place(j)]);
            let found = spans(tree, p, d);
            sum += found.iter().map(|(low, high)| high - low).sum::<f64>();
        }
    }
    sum * width * width
}
