//! Models with one thing wrong each.

use super::validate;
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::{
    Body, Eased, Enters, GapTable, Inlay, Leaf, Material, Model, Operation, Part, PartId, Pattern,
    Place, Placement, Places, Pose, Printer, Prism, Seat, SeatId, Slit, Surface, TakenFrom, Turned,
};
use crate::plane::{Curve, Edge, Outline, Point, Segment, Track};
use crate::source::{FileId, Span};
use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_4, TAU};
use std::sync::Arc;

fn polygon(points: &[(f64, f64)]) -> Outline {
    let to = |p: &(f64, f64)| Segment { to: Point::new(p.0, p.1), curve: Curve::Line, face: None };
    let start = Point::new(points[0].0, points[0].1);
    let segments = points[1..].iter().chain(&points[..1]).map(to).collect();
    Outline { loops: vec![Track { start, segments }] }
}

/// A cup of 36 mm inside radius, wall 3.6, floor 3, 87 high, its foot bevelled by 1.5.
fn cup() -> Arc<Turned> {
    let outline = polygon(&[
        (0.0, 0.0),
        (38.1, 0.0),
        (39.6, 1.5),
        (39.6, 87.0),
        (36.0, 87.0),
        (36.0, 3.0),
        (0.0, 3.0),
    ]);
    Arc::new(Turned { outline, sides: None })
}

/// The ripple of the button jar.
fn ripple() -> Vec<Vec<bool>> {
    chart(". . # # # . . .\n. # # . # # . .\n# # . . . # # #\n# . . . . . # #")
}

fn chart(text: &str) -> Vec<Vec<bool>> {
    text.lines().map(|l| l.split_whitespace().map(|m| m == "#").collect()).collect()
}

fn belt(host: &Arc<Turned>) -> Inlay {
    Inlay {
        surface: Surface::Round {
            host: host.clone(),
            radius_mm: 39.6,
            slope: 0.0,
            outward: true,
            span_mm: [1.5, 87.0],
            sides: None,
        },
        pattern: Pattern::Chart { rows: ripple(), repeats: 14 },
        level_mm: 46.2,
        height_mm: 24.0,
        bearing: 0.0,
        sink_mm: 2.0,
        proud_mm: 0.0,
        eased: Some(Eased { angle_rad: FRAC_PI_4, lower: false }),
        slit: Some(Slit { width_mm: 0.5, bearing_rad: 0.0 }),
    }
}

fn part(name: &str, body: Body) -> Part {
    Part {
        name: name.into(),
        docs: Vec::new(),
        body: Arc::new(body),
        material: Material {
            name: "chalk".into(),
            colour: [0; 3],
            density_g_cm3: 1.24,
            modulus_mpa: None,
            permitted: None,
            shrink: 0.0,
        },
        pose: Pose::Upright,
        copies: 1,
        spares: 0,
        brim_mm: None,
        assembled: true,
        note: None,
        bought: None,
        cavity: None,
    }
}

fn seat(inlay: usize) -> Seat {
    Seat {
        gap_name: None,
        basic_mm: 10.0,
        inlay: PartId(inlay),
        host: PartId(0),
        gap_mm: 0.1,
        taken_from: TakenFrom::Inlay,
        gap_behind_mm: 0.0,
        enters: Enters::Top,
        meets: Vec::new(),
    }
}

/// Host and inlays, each in a seat.
fn model(host: Body, inlays: Vec<Inlay>) -> Model {
    let seats = (1..=inlays.len()).map(seat).collect();
    let names = ["belt", "second"];
    let bodies = inlays.into_iter().zip(names);
    let parts = bodies.map(|(inlay, name)| part(name, Body::Leaf(Leaf::Inlay(Arc::new(inlay)))));
    Model {
        name: "jar".into(),
        size: None,
        givens: Vec::new(),
        printer: Printer {
            name: "bench".into(),
            line_mm: 0.42,
            layer_mm: 0.2,
            first_layer_mm: 0.2,
            overhang_rad: FRAC_PI_4,
            bridge_mm: 8.0,
            bed_mm: [220.0; 3],
            fill: 1.0,
            elephant_mm: 0.0,
            measured: GapTable { snap_mm: 0.1, slide_mm: 0.2, press_mm: 0.0, free_mm: 0.4 },
            tolerance: None,
        },
        parts: std::iter::once(part("jar", host)).chain(parts).collect(),
        seats,
        closures: Vec::new(),
        fits: Vec::new(),
        plates: Vec::new(),
        props: Vec::new(),
    }
}

fn places(model: &Model) -> Places {
    let place = |k: u32| {
        let span = |n: u32| Span { file: FileId(0), start: 100 * k + n, end: 100 * k + n + 1 };
        let names = ["sink", "level", "height", "motif", "slit", "ease", "gap", "on", "repeats"];
        let fields: BTreeMap<String, Span> =
            names.iter().zip(1..).map(|(name, n)| (name.to_string(), span(n))).collect();
        Place { name: span(0), fields }
    };
    let count = model.parts.len() as u32;
    Places {
        parts: (0..count).map(place).collect(),
        seats: (0..model.seats.len() as u32).map(|s| place(50 + s)).collect(),
        closures: Vec::new(),
        fits: Vec::new(),
        props: Vec::new(),
    }
}

fn jar() -> Body {
    Body::Leaf(Leaf::Turned(cup()))
}

fn findings(model: &Model) -> Vec<Diagnostic> {
    let sink: Sink = validate(model, &places(model));
    sink.into_sorted()
}

/// The names of what is found in the jar when its belt is altered.
fn with_belt(alter: impl FnOnce(&mut Inlay)) -> Vec<(&'static str, String)> {
    let mut inlay = belt(&cup());
    alter(&mut inlay);
    names(&model(jar(), vec![inlay]))
}

fn names(model: &Model) -> Vec<(&'static str, String)> {
    findings(model).into_iter().map(|f| (f.code.name, f.message)).collect()
}

fn only(found: &[(&'static str, String)], name: &str) -> String {
    let names: Vec<&str> = found.iter().map(|f| f.0).collect();
    assert_eq!(names, [name], "{found:#?}");
    found[0].1.clone()
}

#[test]
fn the_button_jar_is_clean() {
    assert_eq!(with_belt(|_| {}), []);
}

#[test]
fn measures_must_be_above_zero() {
    let found = with_belt(|i| i.sink_mm = 0.0);
    assert!(only(&found, "not-above-zero").contains("`sink` of `belt` must be above 0 mm"));
    only(&with_belt(|i| i.height_mm = -1.0), "not-above-zero");
    only(&with_belt(|i| i.slit = Some(Slit { width_mm: 0.0, bearing_rad: 0.0 })), "not-above-zero");
}

#[test]
fn bands_stay_on_their_face() {
    let low = only(&with_belt(|i| i.level_mm = 13.0), "off-face");
    assert!(low.contains("from 1 mm to 25 mm") && low.contains("below"), "{low}");
    let high = with_belt(|i| i.level_mm = 75.0);
    assert!(only(&high, "off-face").contains("above"));
    // Exactly a layer is left below, then a thousandth less.
    assert_eq!(with_belt(|i| i.level_mm = 13.7), []);
    only(&with_belt(|i| i.level_mm = 13.699), "off-face");
    let tall = with_belt(|i| i.height_mm = 86.0);
    assert!(only(&tall, "taller-than-face").contains("86 mm"));
}

#[test]
fn pockets_leave_two_lines_of_the_wall() {
    // 3.6 - 2 * 0.42 = 2.76 may be sunk; bars of 6 mm stand it.
    assert_eq!(with_belt(|i| i.sink_mm = 2.76), []);
    let thin = only(&with_belt(|i| i.sink_mm = 2.9), "thin-wall");
    assert!(thin.contains("0.7 mm") && thin.contains("0.84 mm"), "{thin}");
    let through = only(&with_belt(|i| i.sink_mm = 3.6), "through-wall");
    assert!(through.contains("3.6 mm deep") && through.contains("only 3.6 mm"), "{through}");
    let mut behind = model(jar(), vec![belt(&cup())]);
    behind.seats[0].gap_behind_mm = 1.0;
    only(&names(&behind), "thin-wall");
}

/// A cone of 10 deg: the wall is measured square to it, so a wall 3.6 thick square to the
/// surface is 3.6 / cos 10 deg across.
#[test]
fn walls_of_cones_are_measured_square_to_them() {
    let slope = 10f64.to_radians().tan();
    let across = 3.6 / 10f64.to_radians().cos();
    let outer = |z: f64| 30.0 + slope * z;
    let outline = polygon(&[
        (0.0, 0.0),
        (outer(0.0), 0.0),
        (outer(90.0), 90.0),
        (outer(90.0) - across, 90.0),
        (outer(3.0) - across, 3.0),
        (0.0, 3.0),
    ]);
    let host = Arc::new(Turned { outline, sides: None });
    let on_cone = |sink_mm: f64| {
        let mut inlay = belt(&host);
        inlay.surface = Surface::Round {
            host: host.clone(),
            radius_mm: 30.0,
            slope,
            outward: true,
            span_mm: [0.0, 90.0],
            sides: None,
        };
        inlay.sink_mm = sink_mm;
        model(Body::Leaf(Leaf::Turned(host.clone())), vec![inlay])
    };
    assert_eq!(names(&on_cone(2.759)), []);
    only(&names(&on_cone(2.761)), "thin-wall");
    let steep = on_cone(2.0);
    let mut leaning = steep.clone();
    let mut inlay = belt(&host);
    inlay.surface = Surface::Round {
        host: host.clone(),
        radius_mm: 30.0,
        slope: 1.1,
        outward: true,
        span_mm: [0.0, 90.0],
        sides: None,
    };
    leaning.parts[1].body = Arc::new(Body::Leaf(Leaf::Inlay(Arc::new(inlay))));
    only(&names(&leaning), "face-too-steep");
}

#[test]
fn bars_outlast_their_easing() {
    // Rows of 1.9 mm lose 2 mm.
    let found = with_belt(|i| i.height_mm = 7.6);
    let message = only(&found, "bar-vanishes");
    assert!(message.contains("row 1") && message.contains("1.9 mm high"), "{message}");
    assert!(message.contains("it loses 2 mm"), "{message}");
    assert_eq!(with_belt(|i| i.height_mm = 8.0), [], "a bar that ends on the floor is whole");
    // A wave of one thickness: a stroke 1.5 mm high all the way round.
    let wave = with_belt(|i| {
        let half = TAU * 39.6 / 14.0 / 2.0;
        let ink = polygon(&[
            (0.0, -3.0),
            (half, 1.5),
            (2.0 * half, -3.0),
            (2.0 * half, -1.5),
            (half, 3.0),
            (0.0, -1.5),
        ]);
        i.pattern = Pattern::Tile { ink, width_mm: 2.0 * half, repeats: 14 };
        i.height_mm = 6.0;
    });
    let message = only(&wave, "bar-vanishes");
    assert!(message.contains("the lowest bar of `belt` is 1.5 mm high"), "{message}");
}

#[test]
fn gaps_leave_something_of_every_bar() {
    let gap = |gap_mm: f64, taken_from: TakenFrom| {
        let mut inlay = belt(&cup());
        inlay.pattern = Pattern::Chart { rows: chart("# . .\n# # #\n. . #\n# # #"), repeats: 60 };
        let mut model = model(jar(), vec![inlay]);
        model.seats[0].gap_mm = gap_mm;
        model.seats[0].taken_from = taken_from;
        names(&model)
    };
    // A column is 2 pi (39.6 - 2) / 180 = 1.3125 mm wide.
    let message = only(&gap(0.66, TakenFrom::Inlay), "gap-swallows");
    assert!(message.contains("1.312 mm wide") && message.contains("takes 1.32 mm"), "{message}");
    assert!(only(&gap(0.5, TakenFrom::Inlay), "thin-bar").contains("0.312 mm wide"));
    let walls = gap(1.4, TakenFrom::Host);
    assert!(
        walls.iter().any(|f| f.0 == "gap-swallows" && f.1.contains("wall beside")),
        "{walls:?}"
    );
    assert_eq!(gap(0.1, TakenFrom::Both), []);
}

#[test]
fn pockets_do_not_meet_unless_they_may() {
    let two = |level: f64| {
        let mut second = belt(&cup());
        second.level_mm = level;
        second.height_mm = 8.0;
        model(jar(), vec![belt(&cup()), second])
    };
    assert_eq!(names(&two(63.0)), []);
    assert_eq!(names(&two(62.0)), [], "their bars reach between each other");
    let message = only(&names(&two(57.0)), "pockets-meet");
    assert!(message.contains("34.2 mm to 58.2 mm"), "{message}");
    let mut allowed = two(57.0);
    allowed.seats[1].meets = vec![SeatId(0)];
    assert_eq!(names(&allowed), []);
}

#[test]
fn slits_are_for_rings() {
    let loose = chart(". . . .\n. # # .\n. # # .\n. . . .");
    let found = with_belt(|i| i.pattern = Pattern::Chart { rows: loose.clone(), repeats: 10 });
    assert!(only(&found, "slit-no-ring").contains("10 pieces"));
    let found = with_belt(|i| {
        i.pattern = Pattern::Chart { rows: loose, repeats: 10 };
        i.slit = None;
    });
    assert_eq!(found, []);
    only(&with_belt(|i| i.slit = Some(Slit { width_mm: 40.0, bearing_rad: 0.0 })), "slit-wide");
    only(&with_belt(|i| i.slit = None), "closed-ring");
}

#[test]
fn motifs_do_not_touch_themselves_in_a_point() {
    let lozenge = |half: f64| {
        let width = TAU * 39.6 / 12.0;
        let middle = width / 2.0;
        let ink =
            polygon(&[(middle - half, 0.0), (middle, -8.0), (middle + half, 0.0), (middle, 8.0)]);
        with_belt(|i| {
            i.pattern = Pattern::Tile { ink, width_mm: width, repeats: 12 };
            i.slit = None;
        })
    };
    assert_eq!(lozenge(9.0), []);
    let message = only(&lozenge(TAU * 39.6 / 24.0), "motif-pinch");
    assert!(message.contains("46.2 mm up"), "{message}");
}

#[test]
fn uneased_ceilings_are_bridged() {
    // A bar three columns long: 3 * 2 pi 39.6 / 112 = 6.66 mm; the bridge is 8 mm.
    assert_eq!(with_belt(|i| i.eased = None), []);
    let found = with_belt(|i| {
        i.eased = None;
        i.pattern = Pattern::Chart { rows: ripple(), repeats: 10 };
    });
    assert!(only(&found, "wide-ceiling").contains("9.331 mm wide"), "{found:?}");
}

#[test]
fn work_has_a_limit() {
    let found =
        with_belt(|i| i.pattern = Pattern::Chart { rows: ripple(), repeats: 1_000_000_000 });
    assert!(only(&found, "too-much").contains("32000000000 cells"));
    let mut many = model(jar(), Vec::new());
    let mut body = Arc::new(jar());
    for _ in 0..5 {
        body = Arc::new(Body::Many(vec![body; 10]));
    }
    many.parts[0].body = body;
    only(&names(&many), "too-much");
    let mut deep = model(jar(), Vec::new());
    let mut body = Arc::new(jar());
    for _ in 0..600 {
        let (left, right) = (body, Arc::new(Body::Empty));
        body = Arc::new(Body::Boolean { operation: Operation::Join, left, right });
    }
    deep.parts[0].body = body;
    only(&names(&deep), "too-much");
}

/// A box 60 by 40 by 30 with walls of 3 mm and a figure in its front.
fn on_box(cavity: f64, figure: &[(f64, f64)], hole: bool) -> Model {
    let block = |half: [f64; 2], height_mm: f64| {
        let [x, y] = half;
        let outline = polygon(&[(-x, -y), (x, -y), (x, y), (-x, y)]);
        let (taper_rad, top, bottom) = (0.0, Edge::None, Edge::None);
        Arc::new(Body::Leaf(Leaf::Prism(Arc::new(Prism {
            outline,
            height_mm,
            taper_rad,
            top,
            bottom,
        }))))
    };
    let less = |left: Arc<Body>, right: Arc<Body>, by: [f64; 3]| {
        let right = Arc::new(Body::Placed { body: right, placement: Placement::shifted(by) });
        Arc::new(Body::Boolean { operation: Operation::Less, left, right })
    };
    let shell = block([30.0, 20.0], 30.0);
    let mut body = less(shell.clone(), block(cavity_half(cavity), 40.0), [0.0, 0.0, 3.0]);
    if hole {
        body = less(body, block([2.0, 30.0], 4.0), [4.0, 0.0, 13.0]);
    }
    let inlay = Inlay {
        surface: Surface::Flat {
            host: shell,
            origin: [0.0, -20.0, 0.0],
            right: [1.0, 0.0, 0.0],
            up: [0.0, 0.0, 1.0],
            normal: [0.0, -1.0, 0.0],
            width_mm: [-30.0, 30.0],
            span_mm: [0.0, 30.0],
        },
        pattern: Pattern::Figure { ink: polygon(figure) },
        level_mm: 15.0,
        height_mm: 10.0,
        bearing: 0.0,
        sink_mm: 1.2,
        proud_mm: 0.0,
        eased: Some(Eased { angle_rad: FRAC_PI_4, lower: false }),
        slit: None,
    };
    model((*body).clone(), vec![inlay])
}

fn cavity_half(wall: f64) -> [f64; 2] {
    [30.0 - wall, 20.0 - wall]
}

#[test]
fn walls_of_boxes_and_openings_in_them_are_seen() {
    let figure = [(-8.0, -5.0), (8.0, -5.0), (8.0, 5.0), (-8.0, 5.0)];
    assert_eq!(names(&on_box(3.0, &figure, false)), []);
    let message = only(&names(&on_box(2.0, &figure, false)), "thin-wall");
    assert!(message.contains("0.8 mm"), "{message}");
    let message = only(&names(&on_box(3.0, &figure, true)), "face-not-free");
    assert!(message.contains("cut away"), "{message}");
    let wide = [(-31.0, -5.0), (8.0, -5.0), (8.0, 5.0), (-31.0, 5.0)];
    assert!(names(&on_box(3.0, &wide, false)).iter().any(|f| f.0 == "off-face"));
}

/// Findings point at a field of the declaration that they are about.
#[test]
fn findings_have_places() {
    let mut inlay = belt(&cup());
    (inlay.sink_mm, inlay.level_mm) = (3.6, 13.0);
    let model = model(jar(), vec![inlay]);
    let found = findings(&model);
    assert_eq!(found.len(), 2);
    let places = places(&model);
    for finding in found {
        let field = if finding.code.name == "off-face" { "level" } else { "sink" };
        let span = finding.primary.as_ref().map(|l| l.span);
        assert_eq!(span, Some(places.parts[1].field(field)));
        assert!(!finding.secondary.is_empty() && !finding.help.is_empty());
    }
}
