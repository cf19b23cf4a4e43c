//! A corpus of cuts, joins and intersections of exact bodies. Every case is either carried
//! with the volume that an independent integration finds, or declined with a reason; the
//! outcomes are committed in `exact_booleans.txt`, so that a change of any is seen.
//!
//! The oracle shares nothing with the engine: it sums the lengths of parallel lines inside
//! the bodies, found from the primitives' equations (quadratics and slabs, elementary
//! algebra; common practice, no source).

use pipkin::exact::{ExactBody, nominal};
use pipkin::model::{Body, Leaf, Operation, Placement, Prism, Turned, Vector};
use pipkin::plane::{Curve, Edge, Outline, Point, Segment, Track, rect};
use std::f64::consts::{FRAC_PI_2, PI};
use std::fmt::Write as _;
use std::sync::Arc;

/// Bodies whose equations are known. All stand on z = 0 about the z axis but the ball,
/// which is centred.
#[derive(Clone, Copy)]
enum Primitive {
    Tube { inner: f64, outer: f64, height: f64 },
    Cone { below: f64, above: f64, height: f64 },
    Block { x: f64, y: f64, z: f64 },
    Ball { radius: f64 },
}

use Primitive::{Ball, Block, Cone, Tube};

#[derive(Clone)]
enum Tree {
    One(Primitive, Placement),
    Two(Operation, Box<Tree>, Box<Tree>),
}

fn rod(radius: f64, height: f64) -> Primitive {
    Tube { inner: 0.0, outer: radius, height }
}

fn one(primitive: Primitive) -> Tree {
    Tree::One(primitive, Placement::IDENTITY)
}

fn at(primitive: Primitive, placement: Placement) -> Tree {
    Tree::One(primitive, placement)
}

fn less(a: Tree, b: Tree) -> Tree {
    Tree::Two(Operation::Less, Box::new(a), Box::new(b))
}

fn join(a: Tree, b: Tree) -> Tree {
    Tree::Two(Operation::Join, Box::new(a), Box::new(b))
}

fn meet(a: Tree, b: Tree) -> Tree {
    Tree::Two(Operation::Meet, Box::new(a), Box::new(b))
}

fn shift(x: f64, y: f64, z: f64) -> Placement {
    Placement::shifted([x, y, z])
}

/// Laid down along x, then turned about z, then lifted.
fn radial(angle: f64, height: f64) -> Placement {
    lying(angle, 0.0, height)
}

/// As [`radial`], tilted up by `tilt` first.
fn lying(angle: f64, tilt: f64, height: f64) -> Placement {
    Placement::turned(1, FRAC_PI_2 - tilt)
        .then(&Placement::turned(2, angle))
        .then(&shift(0.0, 0.0, height))
}

fn turned(corners: &[(f64, f64)]) -> Body {
    let to = |c: &(f64, f64)| Segment { to: Point::new(c.0, c.1), curve: Curve::Line, face: None };
    let last = corners[corners.len() - 1];
    let start = Point::new(last.0, last.1);
    let track = Track { start, segments: corners.iter().map(to).collect() };
    Body::Leaf(Leaf::Turned(Arc::new(Turned { outline: Outline { loops: vec![track] } })))
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
            Body::Leaf(Leaf::Turned(Arc::new(Turned { outline: Outline { loops: vec![track] } })))
        }
    }
}

fn body(tree: &Tree) -> Body {
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
    }
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

/// Volume by lines along an inclined direction through a square of 110 mm.
fn volume(tree: &Tree) -> f64 {
    const LINES: i32 = 420;
    const REACH: f64 = 110.0;
    let turn = Placement::turned(0, 0.37).then(&Placement::turned(2, 0.23));
    let width = 2.0 * REACH / f64::from(LINES);
    let place = |i: i32| -REACH + width * (f64::from(i) + 0.5);
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

/// The corpus.
fn cases() -> Vec<(String, Tree)> {
    let mut cases = Vec::new();
    ports(&mut cases);
    joins(&mut cases);
    blocks(&mut cases);
    cones_and_balls(&mut cases);
    awkward(&mut cases);
    cases
}

type Cases = Vec<(String, Tree)>;

fn jar() -> Tree {
    less(one(rod(40.0, 60.0)), at(rod(36.0, 60.0), shift(0.0, 0.0, 3.0)))
}

fn ports(cases: &mut Cases) {
    for degrees in (0..360).step_by(15) {
        let angle = f64::from(degrees).to_radians();
        let port = at(rod(5.0, 60.0), radial(angle, 30.0));
        cases.push((format!("jar less port at {degrees}"), less(jar(), port)));
    }
    for radius in [1.0, 2.0, 8.0, 12.0] {
        let port = at(rod(radius, 60.0), radial(0.4, 30.0));
        cases.push((format!("jar less port of radius {radius}"), less(jar(), port)));
    }
    for degrees in [-30, -15, 10, 35] {
        let port = at(rod(4.0, 70.0), lying(1.0, f64::from(degrees).to_radians(), 30.0));
        cases.push((format!("jar less port tilted by {degrees}"), less(jar(), port)));
    }
    for degrees in [0, 20, 90, 135] {
        let angle = f64::from(degrees).to_radians();
        let slot = at(Block { x: 12.0, y: 6.0, z: 60.0 }, radial(angle, 25.0));
        cases.push((format!("jar less square port at {degrees}"), less(jar(), slot)));
    }
    let through = at(rod(4.0, 120.0), shift(0.0, 0.0, -60.0).then(&radial(0.7, 40.0)));
    cases.push(("jar less bore right through".into(), less(jar(), through)));
    let floor = at(rod(3.0, 20.0), shift(15.0, 5.0, -5.0));
    cases.push(("jar less hole in the floor".into(), less(jar(), floor)));
    let two = less(
        less(jar(), at(rod(4.0, 60.0), radial(0.3, 20.0))),
        at(rod(4.0, 60.0), radial(2.0, 40.0)),
    );
    cases.push(("jar less two ports".into(), two));
}

fn joins(cases: &mut Cases) {
    for degrees in [0, 45, 100, 180, 300] {
        let angle = f64::from(degrees).to_radians();
        let spout = at(rod(6.0, 60.0), radial(angle, 40.0));
        let spout = less(spout, one(rod(38.0, 60.0)));
        cases.push((format!("jar join spout at {degrees}"), join(jar(), spout)));
    }
    let plate = one(rod(40.0, 4.0));
    for (x, y) in [(0.0, 0.0), (10.0, 0.0), (20.0, 11.0)] {
        let knob = at(Ball { radius: 8.0 }, shift(x, y, 9.0));
        cases.push((format!("plate join ball at {x} {y}"), join(plate.clone(), knob)));
        let foot = at(rod(5.0, 8.0), shift(x + 5.0, y, 4.0));
        cases.push((format!("plate join rod on it at {x} {y}"), join(plate.clone(), foot)));
        let sunk = at(Block { x: 9.0, y: 7.0, z: 9.0 }, shift(x, y, 2.0));
        cases.push((format!("plate join block let in at {x} {y}"), join(plate.clone(), sunk)));
    }
    let bar = at(Block { x: 60.0, y: 8.0, z: 8.0 }, shift(50.0, 0.0, 20.0));
    cases.push(("rod join bar".into(), join(one(rod(30.0, 60.0)), bar)));
    let arm = at(rod(5.0, 100.0), shift(0.0, 0.0, -50.0).then(&radial(0.9, 30.0)));
    cases.push(("rod join crossbar".into(), join(one(rod(20.0, 60.0)), arm)));
}

fn blocks(cases: &mut Cases) {
    let block = one(Block { x: 60.0, y: 40.0, z: 30.0 });
    let flush = at(Block { x: 52.0, y: 32.0, z: 27.0 }, shift(0.0, 0.0, 3.0));
    cases.push(("block less block flush with its top".into(), less(block.clone(), flush)));
    let beyond = at(Block { x: 52.0, y: 32.0, z: 40.0 }, shift(0.0, 0.0, 3.0));
    let open = less(block.clone(), beyond);
    cases.push(("block less block beyond its top".into(), open.clone()));
    let port = at(rod(6.0, 80.0), lying(0.0, 0.0, 15.0));
    cases.push(("open box less port".into(), less(open.clone(), port)));
    for degrees in [0, 30, 90] {
        let angle = f64::from(degrees).to_radians();
        let hole = at(rod(5.0, 100.0), shift(0.0, 0.0, -50.0).then(&lying(angle, 0.2, 15.0)));
        cases.push((format!("block less tilted bore at {degrees}"), less(block.clone(), hole)));
    }
    let drill = at(rod(6.0, 30.0), shift(8.0, 3.0, 0.0));
    cases.push(("block less bore flush at both ends".into(), less(block.clone(), drill)));
    let spun = at(
        Block { x: 30.0, y: 30.0, z: 30.0 },
        Placement::turned(0, 0.6).then(&Placement::turned(2, 0.4)).then(&shift(15.0, 5.0, 12.0)),
    );
    cases.push(("block less spun block".into(), less(block.clone(), spun.clone())));
    cases.push(("block join spun block".into(), join(block.clone(), spun.clone())));
    cases.push(("block meet spun block".into(), meet(block.clone(), spun)));
    let foot = |x, y| at(rod(5.0, 6.0), shift(x, y, -6.0));
    let feet = join(join(block.clone(), foot(20.0, 10.0)), foot(-20.0, -10.0));
    cases.push(("block join two feet under it".into(), feet));
    let hollow = at(Ball { radius: 8.0 }, shift(0.0, 0.0, 15.0));
    cases.push(("block less ball inside".into(), less(block, hollow)));
}

fn cones_and_balls(cases: &mut Cases) {
    let tumbler = one(Cone { below: 25.0, above: 35.0, height: 60.0 });
    for degrees in [0, 50, 130, 250] {
        let angle = f64::from(degrees).to_radians();
        let port = at(rod(5.0, 60.0), radial(angle, 30.0));
        cases.push((format!("cone less port at {degrees}"), less(tumbler.clone(), port.clone())));
        cases.push((format!("cone meet rod at {degrees}"), meet(tumbler.clone(), port)));
    }
    let ball = at(Ball { radius: 20.0 }, shift(10.0, 3.0, 30.0));
    cases.push(("cone join ball".into(), join(tumbler.clone(), ball.clone())));
    cases.push(("cone less ball".into(), less(tumbler, ball)));
    let bead = one(Ball { radius: 20.0 });
    for offset in [3.0, 8.0, 14.0] {
        let bore = at(rod(4.0, 60.0), shift(offset, 1.0, -30.0));
        cases.push((format!("ball less bore {offset} off its middle"), less(bead.clone(), bore)));
    }
    let other = at(Ball { radius: 15.0 }, shift(12.0, 9.0, 8.0));
    cases.push(("ball meet ball".into(), meet(bead.clone(), other.clone())));
    cases.push(("ball join ball".into(), join(bead.clone(), other.clone())));
    cases.push(("ball less ball".into(), less(bead, other)));
}

fn awkward(cases: &mut Cases) {
    let post = one(rod(20.0, 60.0));
    let same = at(rod(20.0, 100.0), shift(0.0, 0.0, -50.0).then(&radial(0.0, 30.0)));
    cases.push(("two equal cylinders meet".into(), meet(post.clone(), same)));
    let tangent = at(rod(10.0, 100.0), shift(0.0, 30.0, -50.0).then(&radial(0.0, 30.0)));
    cases.push(("cylinder join a touching one".into(), join(post.clone(), tangent.clone())));
    cases.push(("cylinder less a touching one".into(), less(post.clone(), tangent)));
    let graze = at(rod(10.0, 100.0), shift(0.0, 29.99, -50.0).then(&radial(0.0, 30.0)));
    cases.push(("cylinder less one that grazes it".into(), less(post.clone(), graze)));
    let beside = at(rod(10.0, 60.0), shift(30.0, 0.0, 0.0));
    cases.push(("cylinder join parallel touching one".into(), join(post.clone(), beside)));
    let apart = at(rod(5.0, 10.0), shift(60.0, 0.0, 0.0));
    cases.push(("cylinder join one far off".into(), join(post.clone(), apart.clone())));
    cases.push(("cylinder less one far off".into(), less(post.clone(), apart.clone())));
    cases.push(("cylinder meet one far off".into(), meet(post.clone(), apart)));
    let within = at(Block { x: 10.0, y: 10.0, z: 10.0 }, shift(3.0, 0.0, 20.0));
    cases.push(("cylinder join block inside".into(), join(post.clone(), within.clone())));
    cases.push(("cylinder meet block inside".into(), meet(post.clone(), within.clone())));
    cases.push(("block inside less cylinder".into(), less(within, post.clone())));
    let flush = at(Block { x: 30.0, y: 10.0, z: 10.0 }, shift(25.0, 0.0, 0.0));
    cases.push(("cylinder join block flush below".into(), join(post.clone(), flush.clone())));
    cases.push(("cylinder less block flush below".into(), less(post.clone(), flush)));
    let key = at(Block { x: 8.0, y: 40.0, z: 70.0 }, shift(0.0, 30.0, -5.0));
    cases.push(("cylinder less keyway".into(), less(post.clone(), key)));
    let half = at(Block { x: 100.0, y: 100.0, z: 100.0 }, shift(0.0, 50.0, -10.0));
    cases.push(("cylinder less block through its axis".into(), less(post.clone(), half)));
    let slice = Placement::turned(0, 0.5).then(&shift(0.0, 0.0, 30.0));
    let slice = at(Block { x: 100.0, y: 100.0, z: 60.0 }, slice);
    cases.push(("cylinder cut off at a slant".into(), less(post, slice)));
}

/// One line of the table, after the checks that every carried body must pass.
fn outcome(name: &str, tree: &Tree) -> String {
    match nominal(&body(tree)) {
        Err(declined) => format!("{name}: declined, {}", declined.reason),
        Ok(made) => {
            let (got, want) = (made.volume_mm3(), volume(tree));
            match made.check() {
                Ok(()) if (got - want).abs() <= 4e-4 * want + 2.0 => {
                    format!("{name}: exact, {}", counts(&made))
                }
                found => format!("{name}: WRONG, {got} by lines {want}, {found:?}"),
            }
        }
    }
}

fn counts(made: &ExactBody) -> String {
    let genus = made.genus().map_or("none".into(), |g| g.to_string());
    format!("pieces {}, genus {genus}, faces {}", made.pieces(), made.faces().len())
}

#[test]
fn every_case_is_carried_rightly_or_declined() {
    let mut table = String::new();
    for (name, tree) in cases() {
        writeln!(table, "{}", outcome(&name, &tree)).unwrap();
    }
    let committed = include_str!("exact_booleans.txt");
    let differing: Vec<String> = table
        .lines()
        .filter(|line| !committed.lines().any(|known| known == *line))
        .map(str::to_string)
        .collect();
    assert!(differing.is_empty(), "outcomes not in the table:\n{}", differing.join("\n"));
    assert!(!table.contains("WRONG"));
    assert_eq!(committed.lines().count(), table.lines().count());
}

#[test]
fn the_oracle_knows_closed_forms() {
    // CRC Standard Mathematical Tables: cylinder, frustum, sphere; and the common body of
    // two equal cylinders at right angles, 16 r^3 / 3 (Archimedes).
    let near = |tree: Tree, want: f64| {
        let got = volume(&tree);
        assert!((got - want).abs() < 3e-4 * want, "{got} {want}");
    };
    near(one(rod(40.0, 60.0)), PI * 1600.0 * 60.0);
    near(one(Ball { radius: 20.0 }), 4.0 / 3.0 * PI * 8000.0);
    let frustum = Cone { below: 25.0, above: 35.0, height: 60.0 };
    near(one(frustum), PI * 60.0 * (625.0 + 875.0 + 1225.0) / 3.0);
    let cross = at(rod(20.0, 100.0), shift(0.0, 0.0, -50.0).then(&radial(0.0, 30.0)));
    near(meet(one(rod(20.0, 60.0)), cross), 16.0 * 8000.0 / 3.0);
}

#[test]
fn the_same_bodies_give_the_same_faces_in_the_same_order() {
    // The boolean crate orders by addresses; nothing of that may be left.
    let cases = cases();
    for (name, tree) in cases.iter().step_by(9) {
        let (once, again) = (nominal(&body(tree)), nominal(&body(tree)));
        let (once, again) = (format!("{once:?}"), format!("{again:?}"));
        let differs = once.chars().zip(again.chars()).position(|(a, b)| a != b);
        let near = |text: &str, at: usize| -> String {
            text.chars().skip(at.saturating_sub(200)).take(400).collect()
        };
        let told = differs.map(|at| (near(&once, at), near(&again, at)));
        assert!(told.is_none() && once.len() == again.len(), "{name}: {told:?}");
    }
}
