//! The language from text to model: meanings, kinds, limits, bad input.

use pipkin::diagnostics::Sink;
use pipkin::evaluate::{Choice, Evaluated, Measures, PartMeasure, SeatMeasure, evaluate};
use pipkin::model::{Body, Enters, Leaf, PartId, Pattern, Pose, SeatId, Surface, nominal_strips};
use pipkin::quantity::{Dimension, Quantity};
use pipkin::resolve::resolve;
use pipkin::source::{MemoryWorld, SourceMap};
use std::path::Path;
use std::sync::Arc;

/// Everything up to the model, without measuring; `files` are beside the root file.
fn run_files(text: &str, files: &[(&str, &str)], choice: &Choice) -> (Option<Evaluated>, Sink) {
    let mut world = MemoryWorld::with("/design/probe.pkn", text);
    for (name, text) in files {
        world.insert(format!("/design/{name}"), *text);
    }
    let mut sources = SourceMap::default();
    let (program, mut sink) = resolve(&world, Path::new("/design/probe.pkn"), &mut sources);
    let Some(program) = program else { return (None, sink) };
    let (found, findings) = evaluate(&program, choice);
    sink.append(findings);
    (found, sink)
}

fn run(text: &str) -> (Option<Evaluated>, Sink) {
    run_files(text, &[], &Choice::default())
}

/// What a text without findings comes to.
fn clean(text: &str) -> Evaluated {
    let (found, sink) = run(text);
    assert_eq!(sink.iter().count(), 0, "{:?}", sink.iter().map(|d| &d.message).collect::<Vec<_>>());
    found.unwrap()
}

/// The names of all findings, sorted by place.
fn names(sink: Sink) -> Vec<&'static str> {
    sink.into_sorted().iter().map(|d| d.code.name).collect()
}

fn findings(text: &str) -> Vec<&'static str> {
    names(run(text).1)
}

/// The left side of the one rule of a text.
fn value_of(expression: &str, unit: &str) -> f64 {
    let lists =
        "let even = [k * 2 mm each k in 0 .. 5]\nlet tries = [0.05 mm .. 0.3 mm by 0.05 mm]\n";
    let text = format!("{PEG}{lists}require {expression} >= -1000000 {unit}\n");
    let judged = clean(&text).judge(&Nothing).0;
    judged[0].left.unwrap().value
}

const PEG: &str = "part peg = rod { diameter: 8 mm, height: 20 mm, material: pla }\n";
const JAR: &str = "part jar = vessel { bore: 60 mm, depth: 50 mm, wall: 4 mm, material: pla }\n";
const BARS: &str = "motif bars = chart {\n  # # #\n  # . .\n  # # #\n}\n";
const SEAT: &str = "seat belt in jar { gap: 0.1 mm }\n";

/// A belt on the jar with some fields of its own.
fn belt(extra: &str) -> String {
    format!(
        "part belt = inlay {{\n  on: jar.outside\n  motif: bars\n  repeats: 12\n  level: 25 mm\n  \
         height: 12 mm\n  sink: 2 mm\n  material: petg\n{extra}}}\n"
    )
}

/// Nothing is measured.
struct Nothing;

impl Measures for Nothing {
    fn part(&self, _: PartId, _: PartMeasure) -> Option<f64> {
        None
    }
    fn seat(&self, _: SeatId, _: SeatMeasure) -> Option<f64> {
        None
    }
    fn closure(&self, _: usize, _: SeatMeasure) -> Option<f64> {
        None
    }
    fn fit(&self, _: usize, _: SeatMeasure) -> Option<f64> {
        None
    }
    fn volume(&self, _: &Arc<Body>) -> Option<f64> {
        None
    }
}

/// Every part weighs 40 g in 32 ml, every gap is 0.09996 mm, every volume 80 ml.
struct Fixed;

impl Measures for Fixed {
    fn part(&self, _: PartId, what: PartMeasure) -> Option<f64> {
        match what {
            PartMeasure::Mass => Some(40.0),
            PartMeasure::Volume => Some(32_000.0),
            PartMeasure::SpringStrain => Some(0.012),
            _ => None,
        }
    }
    fn seat(&self, _: SeatId, _: SeatMeasure) -> Option<f64> {
        Some(0.09996)
    }
    fn closure(&self, _: usize, _: SeatMeasure) -> Option<f64> {
        Some(0.15)
    }
    fn fit(&self, _: usize, _: SeatMeasure) -> Option<f64> {
        Some(0.2)
    }
    fn volume(&self, _: &Arc<Body>) -> Option<f64> {
        Some(80_000.0)
    }
}

fn turned(body: &Body) -> &pipkin::model::Turned {
    match body {
        Body::Leaf(Leaf::Turned(turned)) => turned,
        Body::Placed { body, .. } => turned_of(body),
        other => panic!("no turned body: {other:?}"),
    }
}

fn turned_of(body: &Arc<Body>) -> &pipkin::model::Turned {
    turned(body)
}

fn inlay(body: &Body) -> &pipkin::model::Inlay {
    match body {
        Body::Leaf(Leaf::Inlay(inlay)) => inlay,
        Body::Placed { body, .. } => inlay(body),
        other => panic!("no inlay: {other:?}"),
    }
}

#[test]
fn the_button_jar_becomes_a_jar_a_belt_and_a_cap() {
    let found = clean(include_str!("../examples/button-jar/button-jar.pkn"));
    let model = &found.model;
    let names: Vec<&str> = model.parts.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["jar", "belt", "cap"]);
    assert_eq!((model.seats.len(), model.closures.len()), (1, 1));
    assert_eq!(model.seats[0].gap_mm, 0.1);
    // LANGUAGE: a vessel's height is depth + floor, and the lid sits on the rim.
    assert_eq!(model.closures[0].mouth_mm, 87.0);
    assert_eq!(model.closures[0].gap_mm, 0.15);
    assert_eq!(found.sizes, ["thimble", "pantry"]);
    assert_eq!(found.places.parts.len(), 3);
    // LANGUAGE: level is the height of the middle above the underside: 84 mm * 55 %.
    let belt = inlay(&model.parts[1].body);
    assert!((belt.level_mm - 46.2).abs() < 1e-12);
    assert!((belt.eased.unwrap().angle_rad - 45f64.to_radians()).abs() < 1e-12);
    assert!(!belt.eased.unwrap().lower);
    let Surface::Round { radius_mm, slope, .. } = &belt.surface else { panic!() };
    assert!((radius_mm - 39.6).abs() < 1e-12 && *slope == 0.0);
}

#[test]
fn a_vessel_has_the_volumes_of_its_frustums() {
    // Frustum: pi h (R^2 + R r + r^2) / 3 (any table of mensuration). Inside diameter at
    // the rim, wall square to its surface.
    let text = "part cup = vessel { bore: 60 mm, depth: 50 mm, wall: 3 mm, floor: 4 mm, taper: 10 deg, material: pla }\n";
    let found = clean(text);
    let (sin, cos) = 10f64.to_radians().sin_cos();
    let lean = sin / cos;
    let frustum = |low: f64, high: f64, h: f64| {
        std::f64::consts::PI * h * (low * low + low * high + high * high) / 3.0
    };
    let cavity = found.model.parts[0].cavity.as_ref().unwrap();
    let inside = frustum(30.0 - 50.0 * lean, 30.0, 50.0);
    assert!((turned(cavity).outline.turned_volume() - inside).abs() < 1e-9 * inside);
    let outer = 30.0 + 3.0 / cos;
    let outside = frustum(outer - 54.0 * lean, outer, 54.0);
    let body = turned(&found.model.parts[0].body).outline.turned_volume();
    assert!((body - (outside - inside)).abs() < 1e-9 * outside, "{body}");
}

#[test]
fn numbers_follow_their_units() {
    // The inch is exactly 25.4 mm (international yard and pound agreement, 1959).
    assert!((value_of("2.5 in", "mm") - 63.5).abs() < 1e-12);
    assert!((value_of("84 mm * 55 %", "mm") - 46.2).abs() < 1e-12);
    assert!((value_of("arc_length(40 mm, 90 deg)", "mm") - 62.831_853_071_795_86).abs() < 1e-9);
    assert!((value_of("sqrt(9 mm2)", "mm") - 3.0).abs() < 1e-12);
    assert!((value_of("max([1 mm, 4 mm, 2 mm])", "mm") - 4.0).abs() < 1e-12);
    assert!((value_of("even.at(3)", "mm") - 6.0).abs() < 1e-12);
    assert!((value_of("tries.count * 1 mm", "mm") - 6.0).abs() < 1e-12);
    assert!((value_of("polar(10 mm, 90 deg).y", "mm") - 10.0).abs() < 1e-12);
    assert!(
        (value_of("(if 2 > 1 and not (3 == 4) then 5 mm else 6 mm)", "mm") - 5.0).abs() < 1e-12
    );
    assert!((value_of("1 l", "ml") - 1e6).abs() < 1e-6);
}

#[test]
fn dimensions_do_not_mix() {
    for mixed in
        ["72 mm + 2 deg", "3 mm + 4", "0 + 1 mm", "min(1 mm, 2)", "(1 mm, 2)", "sqrt(2 mm)"]
    {
        let text = format!("let a = {mixed}\n{PEG}");
        assert_eq!(findings(&text), ["unit-mismatch"], "{mixed}");
    }
}

#[test]
fn arithmetic_never_leaves_the_numbers() {
    let cases = [
        ("0 / 0", "division-by-zero"),
        ("1 mm / (2 - 2)", "division-by-zero"),
        ("mod(1, 0)", "division-by-zero"),
        ("sqrt(-1)", "outside-domain"),
        ("asin(2)", "outside-domain"),
        ("tan(90 deg)", "outside-domain"),
    ];
    for (expression, name) in cases {
        assert_eq!(findings(&format!("let a = {expression}\n{PEG}")), [name], "{expression}");
    }
    let huge = format!("let a = {}\nlet b = a * a * a * a\n{PEG}", "9".repeat(100));
    assert_eq!(findings(&huge), ["not-finite"]);
}

#[test]
fn one_mistake_gives_one_finding_and_several_come_together() {
    // `b` and the rod only carry the poison on.
    let text = "let a = 1 mm + 1 deg\nlet b = a * 2\npart one = rod { diameter: b, height: b + 1, material: pla }\n";
    assert_eq!(findings(text), ["unit-mismatch"]);
    let text = "part a = rod { diameter: wat, height: 2 deg, material: pla }\n\
                part b = rod { diameter: 2 mm, material: pla, color: 3 }\n\
                part c = rodd { diameter: 2 mm }\n";
    let expected =
        ["unknown-name", "unit-mismatch", "missing-field", "unknown-field", "unknown-name"];
    assert_eq!(findings(text), expected);
}

#[test]
fn good_parts_are_still_built_beside_bad_ones() {
    let text = format!("{PEG}part bad = rod {{ diameter: 2 deg, height: 2 mm, material: pla }}\n");
    let (found, sink) = run(&text);
    assert!(sink.has_errors());
    let model = found.unwrap().model;
    assert_eq!(model.parts.len(), 1);
    assert_eq!(model.parts[0].name, "peg");
}

#[test]
fn american_spellings_are_led_home() {
    let (_, sink) = run(&format!("material bone {{ base: pla, color: #ffffff }}\n{PEG}"));
    let help: Vec<String> = sink.iter().flat_map(|d| d.help.clone()).collect();
    assert_eq!(help, ["did you mean `colour`?"]);
}

#[test]
fn circles_are_shown_with_every_link() {
    let (_, sink) = run(&format!("let a = b\nlet b = c\nlet c = a\n{PEG}"));
    let all = sink.into_sorted();
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].message, "`a` depends on itself: `a` reads `b` reads `c` reads `a`");
    assert_eq!(all[0].secondary.len(), 2);
    let shapes = format!("shape a() = b()\nshape b() = a()\n{PEG}");
    assert_eq!(findings(&shapes), ["endless-cycle"]);
    let lines =
        format!("shape s() {{\n  let q = r\n  let r = q\n  make ball {{ diameter: q }}\n}}\n{PEG}");
    assert_eq!(findings(&lines), ["endless-cycle"]);
    let own = "part a = rod { diameter: 2 mm, height: a.diameter, material: pla }\n";
    assert_eq!(findings(own), ["endless-cycle"]);
}

#[test]
fn order_in_the_text_does_not_matter() {
    let up: String = (1..2_000).map(|i| format!("let a{i} = a{} + 1 mm\n", i - 1)).collect();
    let down: String =
        (1..2_000).rev().map(|i| format!("let a{i} = a{} + 1 mm\n", i - 1)).collect();
    for chain in [up, down] {
        let text = format!("{chain}let a0 = 1 mm\n{PEG}require a1999 == 2000 mm\n");
        assert_eq!(findings(&text), [] as [&str; 0]);
    }
}

#[test]
fn too_much_work_ends_at_once() {
    let body = |form: &str| format!("part x = solid {{ form: {form}, material: pla }}\n");
    let cases = [
        body("1000000000 of rod { diameter: 1 mm, height: 1 mm } along (2 mm, 0 mm)"),
        body(
            "5000 of (5000 of rod { diameter: 1 mm, height: 1 mm } along (2 mm, 0 mm)) along (0 mm, 2 mm)",
        ),
        format!("let n = [[k * j each k in 0 .. 9999] each j in 0 .. 9999]\n{PEG}"),
        format!("let n = [0 .. 1000000000]\n{PEG}"),
    ];
    for text in cases {
        assert_eq!(findings(&text), ["too-much-work"]);
    }
    let doubled = |first: &str, next: &dyn Fn(usize) -> String| {
        let lines: String = (1..60).map(|i| format!("let b{i} = {}\n", next(i - 1))).collect();
        format!("let b0 = {first}\n{lines}{PEG}")
    };
    let solids = doubled("ball { diameter: 2 mm }", &|i| format!("b{i} join b{i} raised 1 mm"));
    let inks = doubled("disc { diameter: 2 mm }", &|i| format!("b{i} join (b{i} at (1 mm, 0 mm))"));
    let texts = doubled("\"ab\"", &|i| format!("\"{{b{i}}}{{b{i}}}\""));
    for text in [solids, inks, texts] {
        assert_eq!(findings(&text), ["too-much-work"]);
    }
    let nested: String =
        (1..3_000).map(|i| format!("shape s{i}(x: length) = s{}(x)\n", i - 1)).collect();
    let text = format!("shape s0(x: length) = ball(x)\n{nested}{}", body("s2999(2 mm)"));
    assert_eq!(findings(&text), ["too-much-work"]);
}

#[test]
fn used_files_give_their_names_and_nothing_else() {
    let feet =
        "let high = 4 mm\nshape foot(across: length) = rod { diameter: across, height: high }\n";
    let text =
        "use \"feet.pkn\"\npart one = solid { form: foot(8 mm) raised feet.high, material: pla }\n";
    let (found, sink) = run_files(text, &[("feet.pkn", feet)], &Choice::default());
    assert_eq!(names(sink), [] as [&str; 0]);
    assert!(found.is_some());

    let both = "use \"a.pkn\"\nuse \"b.pkn\"\nlet x = size\nlet y = a.size + b.size\n";
    let files = [("a.pkn", "let size = 1 mm\n"), ("b.pkn", "let size = 2 mm\n")];
    let (_, sink) = run_files(&format!("{both}{PEG}"), &files, &Choice::default());
    assert_eq!(names(sink), ["ambiguous-name"]);

    let parts = [("a.pkn", PEG)];
    let (_, sink) = run_files(&format!("use \"a.pkn\"\n{PEG}"), &parts, &Choice::default());
    assert_eq!(names(sink), ["not-a-library"]);

    let ring = [("a.pkn", "use \"b.pkn\"\n"), ("b.pkn", "use \"a.pkn\"\n")];
    let (_, sink) = run_files(&format!("use \"a.pkn\"\n{PEG}"), &ring, &Choice::default());
    assert_eq!(names(sink), ["use-cycle"]);

    let mut world = MemoryWorld::with("/design/probe.pkn", format!("use \"../other.pkn\"\n{PEG}"));
    world.insert("/other.pkn", "");
    let mut sources = SourceMap::default();
    let (_, sink) = resolve(&world, Path::new("/design/probe.pkn"), &mut sources);
    assert_eq!(names(sink), ["outside-folder"]);
    let (_, sink) = run_files(&format!("use \"none.pkn\"\n{PEG}"), &[], &Choice::default());
    assert_eq!(names(sink), ["file-missing"]);

    let large = [("a.pkn", &*"#".repeat(5 << 20))];
    let (_, sink) = run_files(&format!("use \"a.pkn\"\n{PEG}"), &large, &Choice::default());
    assert_eq!(names(sink), ["file-too-large"]);
}

#[test]
fn a_copy_of_the_library_works_as_well_as_the_library() {
    let closures = include_str!("../stdlib/closures.pkn");
    let vessels = include_str!("../stdlib/vessels.pkn")
        .replace("shape vessel(", "shape pot(")
        .replace("shape lipped_vessel(", "shape lipped_pot(")
        .replace("mouth_of(", "mouth_record(")
        .replace("bore_depth(", "inner_record(");
    let text = "use \"lids.pkn\"\nuse \"pots.pkn\"\n\
        part jar = pot { bore: 60 mm, depth: 50 mm, wall: 4 mm, material: pla }\n\
        part cap = lids.sleeve_lid { closes: jar, gap: 0.2 mm, material: pla }\n";
    let files = [("lids.pkn", closures), ("pots.pkn", &*vessels)];
    let (found, sink) = run_files(text, &files, &Choice::default());
    assert_eq!(names(sink), [] as [&str; 0]);
    assert_eq!(found.unwrap().model.closures.len(), 1);
}

#[test]
fn givens_take_default_then_size_then_command() {
    let text = "given bore = 72 mm from 46 mm to 140 mm\ngiven lid = yes\n\
        sizes {\n  small: bore = 48 mm\n}\n\
        part peg = rod { diameter: bore, height: 20 mm, material: pla }\n";
    let with = |size: Option<&str>, sets: &[(&str, &str)]| {
        let choice = Choice {
            size: size.map(String::from),
            sets: sets.iter().map(|(n, v)| (n.to_string(), v.to_string())).collect(),
        };
        let (found, sink) = run_files(text, &[], &choice);
        let value = found.map(|f| f.model.givens[0].value.clone());
        (value, names(sink))
    };
    let mm = |v| Some(pipkin::model::Filling::Quantity(Quantity::mm(v)));
    assert_eq!(with(None, &[]), (mm(72.0), vec![]));
    assert_eq!(with(Some("small"), &[]), (mm(48.0), vec![]));
    assert_eq!(with(None, &[("bore", "80mm"), ("lid", "no")]), (mm(80.0), vec![]));
    assert_eq!(with(Some("small"), &[("bore", "80 mm")]).1, ["given-fixed-by-size"]);
    assert_eq!(with(None, &[("bore", "200 mm")]).1, ["set-refused"]);
    assert_eq!(with(None, &[("bore", "80")]).1, ["set-refused"]);
    assert_eq!(with(None, &[("boar", "80 mm")]).1, ["unknown-given"]);
    assert_eq!(with(Some("smal"), &[]).1, ["unknown-size"]);
}

#[test]
fn what_is_measured_is_judged_when_it_is() {
    let text = format!(
        "{JAR}{BARS}{}{SEAT}let twice = belt.mass * 2\n\
         require belt.seat.least_gap >= 0.1 mm and jar.capacity >= 80 ml\n\
         require twice <= 79 g else \"too heavy\"\n",
        belt("  slit: 0.5 mm\n  note: \"weighs {belt_mass}\"\n").replace("{belt_mass}", "a little")
    );
    let found = clean(&text);
    let (judged, sink) = found.judge(&Fixed);
    let held: Vec<(&str, bool)> = judged.iter().map(|j| (j.text.as_str(), j.holds)).collect();
    let expected = [
        ("belt.seat.least_gap >= 0.1 mm", true),
        ("jar.capacity >= 80 ml", true),
        ("twice <= 79 g", false),
    ];
    assert_eq!(held, expected);
    assert_eq!(judged[2].left, Some(Quantity::new(80.0, Dimension::MASS)));
    let all = sink.into_sorted();
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].message, "too heavy: 80 g <= 79 g does not hold");
    let (judged, sink) = found.judge(&Nothing);
    assert!(judged.is_empty());
    assert_eq!(names(sink), ["not-measured"; 3]);
}

#[test]
fn measured_values_stay_out_of_shapes() {
    let uses = [
        "rod { diameter: 2 mm, height: v.volume / (1 mm2), material: pla }",
        "solid { form: peg raised peg.width, material: pla }",
        "rod { diameter: 2 mm, height: peg.width, material: pla }",
        "solid { form: ball { diameter: 2 mm } at (peg.width, 0 mm), material: pla }",
    ];
    for used in &uses[1..] {
        assert_eq!(findings(&format!("{PEG}part x = {used}\n")), ["measured-too-early"], "{used}");
    }
    let noted = format!(
        "{PEG}part x = rod {{ diameter: 2 mm, height: 5 mm, material: pla, note: \"beside {{peg.mass}}\" }}\n"
    );
    let notes = clean(&noted).notes(&Fixed);
    assert_eq!(notes, [(PartId(1), "beside 40 g".to_string())]);
}

#[test]
fn cones_carry_bands_and_rings_enter_over_the_narrow_end() {
    let jar = JAR.replace("wall: 4 mm", "wall: 4 mm, taper: 6 deg");
    let found = clean(&format!("{jar}{BARS}{}{SEAT}", belt("  slit: 0.5 mm at 90 deg\n")));
    let belt_of = inlay(&found.model.parts[1].body);
    let Surface::Round { slope, radius_mm, .. } = &belt_of.surface else { panic!() };
    assert!((slope - 6f64.to_radians().tan()).abs() < 1e-12);
    // Rim radius 30 + 4 / cos(taper), 54 mm above the underside.
    let expected = 30.0 + 4.0 / 6f64.to_radians().cos() - 54.0 * 6f64.to_radians().tan();
    assert!((radius_mm - expected).abs() < 1e-9);
    assert!((belt_of.slit.unwrap().bearing_rad - std::f64::consts::FRAC_PI_2).abs() < 1e-12);
    assert_eq!(found.model.seats[0].enters, Enters::Bottom);
}

#[test]
fn hosts_printed_upside_down_have_their_lower_edges_eased() {
    let jar = JAR.replace("material", "pose: upside_down, material");
    let found = clean(&format!("{jar}{BARS}{}{SEAT}", belt("  ease: 45 deg\n")));
    assert_eq!(found.model.parts[0].pose, Pose::UpsideDown);
    assert!(inlay(&found.model.parts[1].body).eased.unwrap().lower);
    let jar = JAR.replace("material", "pose: tipped(90 deg, x), material");
    assert_eq!(findings(&format!("{jar}{BARS}{}{SEAT}", belt("  ease: 45 deg\n"))), ["ease-pose"]);
}

#[test]
fn a_body_turned_over_in_the_assembly_is_eased_at_its_other_edges() {
    let text = format!(
        "let cup = vessel {{ bore: 60 mm, depth: 50 mm, wall: 4 mm }} spun 180 deg about x\n\
         part jar = solid {{ form: cup, material: pla }}\n{BARS}{}{SEAT}",
        belt("  ease: 45 deg\n")
    );
    assert!(inlay(&clean(&text).model.parts[1].body).eased.unwrap().lower);
    let lying = text.replace("180 deg about x", "90 deg about x");
    assert_eq!(findings(&lying), ["ease-pose"]);
    let mirrored = text.replace("spun 180 deg about x", "mirrored along x");
    assert_eq!(findings(&mirrored), ["unfit-face"]);
}

#[test]
fn a_material_gone_wrong_is_not_missed_as_well() {
    let text = "material bone { base: pla, density: 3 mm }\npart peg = rod { diameter: 8 mm, height: 20 mm }\n";
    assert_eq!(findings(text), ["unit-mismatch"]);
}

#[test]
fn level_counts_from_the_shape_that_made_the_face() {
    let text = format!(
        "let cup = vessel {{ bore: 60 mm, depth: 50 mm, wall: 4 mm }}\n\
         part jar = solid {{ form: cup raised 4 mm, material: pla }}\n{BARS}{}{SEAT}",
        belt("")
    );
    let found = clean(&text);
    let Body::Placed { placement, body } = &*found.model.parts[1].body else { panic!() };
    assert_eq!(placement.shift, [0.0, 0.0, 4.0]);
    assert_eq!(inlay(body).level_mm, 25.0);
    // Read off the body before it is raised, the face is not where the part has it.
    let text = text.replace("on: jar.outside", "on: cup.outside");
    assert_eq!(findings(&text), ["wrong-host"]);
    // Within a shape, z = 0 of that shape counts.
    let text = format!(
        "shape tall(bore: length) = vessel {{ bore: bore, depth: 50 mm, wall: 4 mm }} raised 7 mm\n\
         part jar = tall {{ bore: 60 mm, material: pla }}\n{BARS}{}{SEAT}",
        belt("")
    );
    let found = clean(&text);
    assert_eq!(inlay(&found.model.parts[1].body).level_mm, 25.0);
}

#[test]
fn tiles_are_stretched_and_strokes_are_not() {
    let tile = "motif bars = tile { size: (10, 10), ink: stroke { along: path { start (-2, 5), line to (12, 5) }, width: 3 mm } }\n";
    let found = clean(&format!("{JAR}{tile}{}{SEAT}", belt("")));
    let Pattern::Tile { ink, width_mm, repeats } = &inlay(&found.model.parts[1].body).pattern
    else {
        panic!()
    };
    let around = 2.0 * std::f64::consts::PI * 34.0;
    assert_eq!(*repeats, 12);
    assert!((width_mm - around / 12.0).abs() < 1e-9);
    let [low, high] = ink.bounds().unwrap();
    assert!((low.y + 1.5).abs() < 1e-9 && (high.y - 1.5).abs() < 1e-9);
    assert!((high.x - low.x - 1.4 * width_mm).abs() < 1e-9);
    assert_eq!(found.model.seats[0].enters, Enters::Top);
}

#[test]
fn flat_faces_carry_bands_and_figures() {
    let text = "part box = block { size: (40 mm, 20 mm, 30 mm), corner: 3 mm, material: pla }\n\
        motif dots = chart {\n  # .\n}\n\
        part row = inlay { on: box.front, motif: dots, repeats: 4, height: 6 mm, sink: 1 mm, material: petg }\n\
        part spot = inlay { on: box.top, figure: disc { diameter: 6 mm }, at: (5 mm, 2 mm), sink: 1 mm, material: petg }\n\
        seat row in box { gap: 0.1 mm }\nseat spot in box { gap: 0.1 mm }\n";
    let found = clean(text);
    let row = inlay(&found.model.parts[1].body);
    let Surface::Flat { origin, right, normal, width_mm, span_mm, .. } = &row.surface else {
        panic!()
    };
    assert_eq!((*origin, *right, *normal), ([0.0, -10.0, 0.0], [1.0, 0.0, 0.0], [0.0, -1.0, 0.0]));
    assert_eq!((*width_mm, *span_mm), ([-17.0, 17.0], [0.0, 30.0]));
    assert_eq!((row.level_mm, row.bearing), (15.0, -17.0));
    let spot = inlay(&found.model.parts[2].body);
    assert_eq!((spot.bearing, spot.level_mm), (5.0, 2.0));
    let Surface::Flat { normal, up, origin, .. } = &spot.surface else { panic!() };
    assert_eq!((*normal, *up, *origin), ([0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [0.0, 0.0, 30.0]));
    assert!(found.model.seats.iter().all(|seat| seat.enters == Enters::Surface));
}

#[test]
fn what_is_not_built_yet_says_so() {
    let text = "let bowed = prism { outline: path {\n  start (-10 mm, 0 mm)\n  line to (10 mm, 0 mm) as \
                front\n  arc to (-10 mm, 0 mm) through (0 mm, 10 mm) as back\n  close\n}, height: 12 mm }\n\
                part mark = solid { form: bowed less relief { on: bowed.back, figure: disc { \
                diameter: 4 mm }, level: 6 mm, bearing: 0 mm, sink: 0.6 mm }, material: pla }\n";
    assert_eq!(findings(text), ["not-built-yet"], "{text}");
}

#[test]
fn a_shape_says_who_called_it() {
    let text = "part jar = vessel { bore: 60 mm, depth: 50 mm, wall: 0 mm, material: pla }\n";
    let (_, sink) = run(text);
    let all = sink.into_sorted();
    assert_eq!(all[0].code.name, "require-fails");
    assert_eq!(all[0].message, "a vessel has a wall and a floor: 0 mm > 0 mm does not hold");
    let primary = all[0].primary.as_ref().unwrap();
    assert_eq!(&text[primary.span.range()], "vessel");
    let text = "shape twice(x: length) = rod { diameter: x, height: x / 0 }\n\
        part a = solid { form: twice(2 mm), material: pla }\n";
    let (_, sink) = run(text);
    let all = sink.into_sorted();
    assert_eq!(all[0].code.name, "division-by-zero");
    assert_eq!(&text[all[0].trace[0].span.range()], "twice");
}

#[test]
fn lids_go_where_their_host_has_gone() {
    let text = "use std.closures\n\
        let cup = vessel { bore: 60 mm, depth: 50 mm, wall: 4 mm }\n\
        part jar = solid { form: cup raised 6 mm, material: pla }\n\
        part cap = plug_lid { closes: jar, gap: 0.2 mm, top: plain, material: pla }\n";
    let found = clean(text);
    assert_eq!(found.model.closures[0].mouth_mm, 60.0);
    let Body::Placed { placement, .. } = &*found.model.parts[1].body else { panic!() };
    assert_eq!(placement.shift, [0.0, 0.0, 60.0]);
    assert_eq!(found.model.parts[1].pose, Pose::UpsideDown);
}

#[test]
fn lids_leave_the_gap_they_were_asked_for() {
    // The skirt's wall stands `gap` off the bore, square to it.
    for (lid, taper) in [("plug_lid", 0), ("plug_lid", 5), ("sleeve_lid", 0), ("sleeve_lid", -5)] {
        let text = format!(
            "use std.closures\npart jar = vessel {{ bore: 60 mm, depth: 50 mm, wall: 4 mm, taper: {taper} deg, material: pla }}\n\
             part cap = {lid} {{ closes: jar, gap: 0.2 mm, top: plain, material: pla }}\n"
        );
        let found = clean(&text.replace("taper: -", "taper: 0 deg - "));
        let face = |part: usize, name: &str| {
            let outline = &turned(&found.model.parts[part].body).outline;
            let track = &outline.loops[0];
            let (from, segment) =
                track.iter().find(|(_, s)| s.face.as_deref() == Some(name)).unwrap();
            (from, segment.to)
        };
        let wall = face(0, if lid == "plug_lid" { "inside" } else { "outside" });
        let (a, b) = face(1, "skirt");
        let along = (wall.1 - wall.0).unit();
        for point in [a, b] {
            let raised = pipkin::plane::Point::new(point.x, point.y + 54.0);
            let off = (raised - wall.0).cross(along).abs();
            assert!((off - 0.2).abs() < 1e-9, "{lid} {taper} {off}");
        }
    }
}

#[test]
fn edges_and_names_of_a_seat_are_checked() {
    let two = format!("{JAR}{BARS}{}{SEAT}{SEAT}", belt(""));
    assert_eq!(findings(&two), ["two-seats"]);
    let none = format!("{JAR}{BARS}{}", belt(""));
    assert_eq!(findings(&none), ["no-seat"]);
    let unknown = format!("{JAR}{BARS}{}{SEAT}seat bel in jar\n", belt(""));
    assert_eq!(findings(&unknown), ["unknown-name"]);
    let side =
        format!("{JAR}{BARS}{}seat belt in jar {{ taken_from: both, enters: top }}\n", belt(""));
    let found = clean(&side);
    // Without `gap`, the printer's `snap`.
    assert_eq!(found.model.seats[0].gap_mm, 0.1);
}

#[test]
fn the_library_motifs_go_all_the_way_round() {
    for motif in ["meander { line: 1.6 mm }", "wave()", "lozenges()"] {
        for repeats in [6, 10, 14] {
            let belt = belt("").replace("motif: bars", &format!("motif: {motif}"));
            let belt = belt.replace("repeats: 12", &format!("repeats: {repeats}"));
            let found = clean(&format!("use std.motifs\n{JAR}{belt}{SEAT}"));
            let strips = nominal_strips(inlay(&found.model.parts[1].body)).unwrap();
            assert!(strips.section(0.0).is_ring(), "{motif} {repeats}");
            assert_eq!(found.model.seats[0].enters, Enters::Top);
        }
    }
}

#[test]
fn a_face_comes_before_a_parameter_where_a_face_is_wanted() {
    let text = "use std.closures\n\
        part jar = vessel { bore: 60 mm, depth: 50 mm, wall: 4 mm, material: pla }\n\
        part cap = sleeve_lid { closes: jar, gap: 0.2 mm, top: plain, material: pla }\n\
        part spot = inlay { on: cap.top, figure: disc { diameter: 20 mm }, sink: 1 mm, material: petg }\n\
        seat spot in cap { gap: 0.1 mm }\nrequire cap.top == \"plain\"\n";
    let found = clean(text);
    let Body::Placed { placement, .. } = &*found.model.parts[2].body else { panic!() };
    assert_eq!(placement.shift, [0.0, 0.0, 54.0]);
}
