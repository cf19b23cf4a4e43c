//! Wrapped inlays and pocketed hosts against closed forms.
//!
//! Volume of a layer on a cylinder of radius R (elementary calculus): a cell of height h
//! that loses k d at depth d has, over an angle w and down to e = min(T, h / k),
//! w [h (R e - e^2 / 2) - k (R e^2 / 2 - e^3 / 3)].

use super::POCKET;
use super::{Opening, inlay, pocketed_turned};
use crate::exact::ExactBody;
use crate::layers::tests::{RIPPLE, chart, ribbon, windows};
use crate::model::{Eased, Inlay, Pattern, Surface, Turned};
use crate::plane::{Curve, Interval, Outline, Point, Segment, Strips, Track};
use std::f64::consts::{FRAC_PI_4, PI, TAU};
use std::sync::Arc;

const RADIUS: f64 = 40.0;

fn host(slope: f64) -> Outline {
    let to = |x: f64, y: f64| Segment { to: Point::new(x, y), curve: Curve::Line, face: None };
    let corners = [(0.0, 0.0), (RADIUS, 0.0), (RADIUS + 90.0 * slope, 90.0)];
    let inner =
        [(RADIUS - 4.0 + 90.0 * slope, 90.0), (RADIUS - 4.0 + 3.0 * slope, 3.0), (0.0, 3.0)];
    let mut segments: Vec<Segment> = corners.iter().skip(1).map(|c| to(c.0, c.1)).collect();
    segments.extend(inner.iter().map(|c| to(c.0, c.1)));
    segments.push(to(0.0, 0.0));
    Outline { loops: vec![Track { start: Point::default(), segments }] }
}

fn pattern(slope: f64, eased: bool) -> Inlay {
    Inlay {
        surface: Surface::Round {
            host: Arc::new(Turned { outline: host(slope), sides: None }),
            radius_mm: RADIUS,
            slope,
            outward: true,
            span_mm: [0.0, 90.0],
            sides: None,
        },
        pattern: Pattern::Chart { rows: vec![vec![true]], repeats: 1 },
        level_mm: 42.0,
        height_mm: 24.0,
        bearing: 0.0,
        sink_mm: 2.0,
        proud_mm: 0.0,
        eased: eased.then_some(Eased { angle_rad: FRAC_PI_4, lower: false }),
        slit: None,
    }
}

/// Nodes and weights on (0, 1) of the two-point Gauss rule, squared up to a fine grid:
/// enough for the cubic polynomials below.
fn gauss(count: usize) -> Vec<(f64, f64)> {
    let off = 0.5 / 3.0_f64.sqrt();
    let cell = 1.0 / count as f64;
    (0..count)
        .flat_map(|i| [0.5 - off, 0.5 + off].map(|x| ((i as f64 + x) * cell, cell / 2.0)))
        .collect()
}

/// The closed form, summed over strips; inclined edges by a fine rule over the angle.
fn layer_volume(strips: &Strips, k: f64, sink: f64) -> f64 {
    let count = strips.strips.len();
    let mut sum = 0.0;
    for (i, cells) in strips.strips.iter().enumerate() {
        let next = if i + 1 < count { strips.lines[i + 1] } else { strips.lines[0] + TAU };
        let width = next - strips.lines[i];
        for cell in cells {
            let height = |t: f64| {
                let at = |ends: [f64; 2]| ends[0] + (ends[1] - ends[0]) * t;
                at(cell.top) - at(cell.bottom)
            };
            let slice = |h: f64| {
                let e = if k > 0.0 { (h / k).min(sink) } else { sink };
                h * (RADIUS * e - e * e / 2.0) - k * (RADIUS * e * e / 2.0 - e.powi(3) / 3.0)
            };
            let level = height(0.0) == height(1.0);
            let nodes = if level { vec![(0.0, 1.0)] } else { gauss(4000) };
            sum += nodes.iter().map(|(t, w)| slice(height(*t)) * w * width).sum::<f64>();
        }
    }
    sum
}

fn near(got: f64, want: f64, share: f64) {
    assert!((got - want).abs() <= share * want.abs(), "got {got}, want {want}");
}

fn sound(body: &ExactBody) {
    assert_eq!(body.check(), Ok(()));
}

#[test]
fn ripple_has_the_volume_of_its_cells() {
    for (eased, k) in [(false, 0.0), (true, 1.0)] {
        let strips = chart(&RIPPLE, 14, 30.0, 54.0);
        let body = inlay(&pattern(0.0, eased), &strips).unwrap();
        sound(&body);
        near(body.volume_mm3(), layer_volume(&strips, k, 2.0), 1e-11);
        let told = strips.section(0.0);
        assert_eq!((body.pieces(), body.genus()), (told.pieces.len(), Some(told.loops())));
    }
}

#[test]
fn inlay_and_pocketed_host_make_the_whole_host() {
    let outline = host(0.0);
    let whole = PI * (1600.0 * 90.0 - 36.0 * 36.0 * 87.0);
    let gap = chart(&["#.#.", "####"], 6, 30.0, 42.0);
    let mut slit = chart(&["####", "####"], 6, 30.0, 42.0);
    slit.strips[0].clear();
    let patterns = [
        chart(&RIPPLE, 14, 30.0, 54.0),
        gap,
        slit,
        windows(20, 20.0, 40.0, 0.1),
        ribbon(120, 6.0, 40.0, 5.0, 6.0),
    ];
    for (number, strips) in patterns.iter().enumerate() {
        println!("pattern {number}");
        let inlay_of = pattern(0.0, true);
        let piece = inlay(&inlay_of, strips).unwrap();
        sound(&piece);
        let opening = Opening { inlay: &inlay_of, strips, gap_behind_mm: 0.0, ends: POCKET };
        let rest = pocketed_turned(&outline, None, &[opening]).unwrap();
        sound(&rest);
        near(piece.volume_mm3(), layer_volume(strips, 1.0, 2.0), 1e-7);
        near(piece.volume_mm3() + rest.volume_mm3(), whole, 1e-12);
        assert_eq!(rest.pieces(), 1);
        assert_eq!(piece.pieces(), strips.section(0.0).pieces.len());
    }
}

#[test]
fn loose_pieces_are_shells_of_their_own() {
    let strips = chart(&["#.#."], 5, 30.0, 33.0);
    let body = inlay(&pattern(0.0, false), &strips).unwrap();
    sound(&body);
    assert_eq!((body.pieces(), body.genus()), (10, Some(0)));
}

#[test]
fn cones_as_hosts() {
    let outline = host(0.1);
    let strips = chart(&RIPPLE, 14, 30.0, 54.0);
    let inlay_of = pattern(0.1, true);
    let piece = inlay(&inlay_of, &strips).unwrap();
    sound(&piece);
    let opening = Opening { inlay: &inlay_of, strips: &strips, gap_behind_mm: 0.0, ends: POCKET };
    let rest = pocketed_turned(&outline, None, &[opening]).unwrap();
    sound(&rest);
    // Frusta: pi h (R^2 + R r + r^2) / 3.
    let frustum = |a: f64, b: f64, h: f64| PI * h * (a * a + a * b + b * b) / 3.0;
    let whole = frustum(40.0, 49.0, 90.0) - frustum(36.3, 45.0, 87.0);
    near(piece.volume_mm3() + rest.volume_mm3(), whole, 1e-12);
    let kinds = piece.face_kinds();
    assert!(kinds.contains_key("cone") && kinds.contains_key("plane"), "{kinds:?}");
}

#[test]
fn two_bands_in_one_wall() {
    let outline = host(0.0);
    let inlay_of = pattern(0.0, true);
    let patterns = [chart(&RIPPLE, 14, 50.0, 70.0), chart(&RIPPLE, 9, 20.0, 44.0)];
    let openings: Vec<Opening> = patterns
        .iter()
        .map(|strips| Opening { inlay: &inlay_of, strips, gap_behind_mm: 0.0, ends: POCKET })
        .collect();
    let rest = pocketed_turned(&outline, None, &openings).unwrap();
    sound(&rest);
    let lost: f64 = patterns.iter().map(|s| layer_volume(s, 1.0, 2.0)).sum();
    near(rest.volume_mm3(), PI * (1600.0 * 90.0 - 36.0 * 36.0 * 87.0) - lost, 1e-11);
    let high = chart(&RIPPLE, 14, 50.0, 90.0);
    let opening = Opening { inlay: &inlay_of, strips: &high, gap_behind_mm: 0.0, ends: POCKET };
    assert!(pocketed_turned(&outline, None, &[opening]).is_err());
}

#[test]
fn the_same_strips_give_the_same_bytes() {
    let strips = chart(&RIPPLE, 14, 30.0, 54.0);
    let once = format!("{:?}", inlay(&pattern(0.0, true), &strips).unwrap());
    assert_eq!(once, format!("{:?}", inlay(&pattern(0.0, true), &strips).unwrap()));
}

#[test]
fn vanishing_bars_end_in_closed_ridges() {
    let bar = |bottom: [f64; 2], top: [f64; 2], id: u64| Interval {
        bottom,
        top,
        bottom_edge: crate::plane::EdgeId(id),
        top_edge: crate::plane::EdgeId(id + 1),
    };
    for high in [0.5, 1.3, 2.0, 2.5] {
        let strips = Strips {
            lines: (0..12).map(|i| TAU * f64::from(i) / 12.0).collect(),
            period: Some(TAU),
            strips: (0..12_u64)
                .map(|i| match i % 2 {
                    0 => vec![bar([20.0; 2], [20.0 + high, 22.0], 4 * i)],
                    _ => vec![bar([20.0; 2], [22.0, 20.0 + high], 4 * i)],
                })
                .collect(),
        };
        let body = inlay(&pattern(0.0, true), &strips).unwrap();
        sound(&body);
        near(body.volume_mm3(), layer_volume(&strips, 1.0, 2.0), 1e-6);
    }
}

/// A pattern on the front (-y) of a block 60 wide, 40 deep, 30 high.
fn on_front(host: Arc<crate::model::Body>) -> Inlay {
    Inlay {
        surface: Surface::Flat {
            host,
            origin: [0.0, -20.0, 0.0],
            right: [1.0, 0.0, 0.0],
            up: [0.0, 0.0, 1.0],
            normal: [0.0, -1.0, 0.0],
            width_mm: [-30.0, 30.0],
            span_mm: [0.0, 30.0],
        },
        ..pattern(0.0, true)
    }
}

#[test]
fn pocket_in_the_flat_side_of_a_block() {
    use crate::exact::{Pocket, nominal, pocketed};
    use crate::model::{Body, Leaf, Placement, Prism};
    use crate::plane::{Edge, EdgeId, rect};
    let outline = rect(60.0, 40.0, Edge::None).unwrap();
    let prism =
        Prism { outline, height_mm: 30.0, taper_rad: 0.0, top: Edge::None, bottom: Edge::None };
    let block = Arc::new(Body::Leaf(Leaf::Prism(Arc::new(prism))));
    let inlay_of = on_front(block.clone());
    let bar = |bottom: f64, top: f64| Interval {
        bottom: [bottom; 2],
        top: [top; 2],
        bottom_edge: EdgeId(bottom as u64),
        top_edge: EdgeId(top as u64),
    };
    // A frame 20 wide and 16 high with a window 8 x 6, and a dot 4 x 4 in the window.
    let side = vec![bar(5.0, 21.0)];
    let window = vec![bar(5.0, 10.0), bar(17.0, 21.0)];
    let dot = vec![bar(5.0, 10.0), bar(11.0, 15.0), bar(17.0, 21.0)];
    let strips = Strips {
        lines: vec![-10.0, -4.0, -2.0, 2.0, 4.0, 10.0],
        period: None,
        strips: vec![side.clone(), window.clone(), dot, window, side],
    };
    let piece = inlay(&inlay_of, &strips).unwrap();
    sound(&piece);
    assert_eq!((piece.pieces(), piece.genus()), (2, Some(1)));
    // Each cell of width w and height h holds w (h T - k T^2 / 2), T = 2, k = 1.
    let cell = |w: f64, h: f64| w * (2.0 * h - 2.0);
    let want = 2.0 * cell(6.0, 16.0) + cell(8.0, 5.0) + cell(8.0, 4.0) + cell(4.0, 4.0);
    near(piece.volume_mm3(), want, 1e-12);
    let turn = Placement::turned(2, 0.3).then(&Placement::shifted([5.0, 1.0, 2.0]));
    let body = Body::Placed { body: block.clone(), placement: turn };
    let pocket = Pocket { inlay: &inlay_of, placement: &turn, strips: &strips, gap_behind_mm: 0.0 };
    let rest = pocketed(&body, &[pocket]).unwrap();
    sound(&rest);
    near(rest.volume_mm3(), 72_000.0 - want, 1e-12);
    assert_eq!((rest.pieces(), rest.genus()), (1, Some(0)));
    let far = Placement::shifted([25.0, 0.0, 0.0]);
    let pocket = Pocket { placement: &far, ..pocket };
    assert!(pocketed(&block, &[pocket]).is_err());
    assert!(nominal(&block).is_ok());
}
