//! Patterns on the surfaces of bodies, from text to measured volumes: each against its
//! closed form, both engines agreeing.

mod told;

use serde_json::Value;
use std::f64::consts::{PI, TAU};
use told::part;

/// What every text starts with.
const HEAD: &str = "material chalk { base: pla, colour: #e8e1d3 }
material moss { base: petg, colour: #5f7a4a }
";

/// Builds a text below the head: its manifest, or its findings.
fn built(text: &str) -> Result<Value, String> {
    told::built(format!("{HEAD}{text}"))
}

/// Volumes of an exact part by both engines, mm3.
fn volumes(manifest: &Value, name: &str) -> [f64; 2] {
    let part = part(manifest, name);
    assert_eq!(part["form"], "exact", "{name}: {}", part["engines"]["reason"]);
    assert_eq!(part["open_edges"], 0);
    assert_eq!(part["self_intersections"], 0);
    ["exact_mm3", "mesh_mm3"].map(|engine| part["engines"][engine].as_f64().expect("a number"))
}

/// That an exact part has a volume, mm3: the exact body to 1e-9 of it, the mesh to 2e-4.
fn assert_volume(manifest: &Value, name: &str, expected: f64) {
    let [exact, mesh] = volumes(manifest, name);
    assert!((exact / expected - 1.0).abs() < 1e-9, "{name}: {exact} exact, {expected} expected");
    assert!((mesh / expected - 1.0).abs() < 2e-4, "{name}: {mesh} mesh, {expected} expected");
}

/// Volume of a tube, mm3.
fn tube_mm3(inner: f64, outer: f64, height: f64) -> f64 {
    PI * (outer * outer - inner * inner) * height
}

/// Simpson's rule over many steps; for smooth sections far below what is asked of volumes.
fn integral(f: impl Fn(f64) -> f64, to: f64) -> f64 {
    const STEPS: usize = 200;
    let h = to / STEPS as f64;
    let part = |k: usize| {
        let a = h * k as f64;
        (f(a) + 4.0 * f(a + h / 2.0) + f(a + h)) * h / 6.0
    };
    (0..STEPS).map(part).sum()
}

/// A rib of the angle w / R goes from R to R + p: h w / R ((R + p)^2 - R^2) / 2. Eased at
/// 45 deg it loses as much of its height as it stands out.
#[test]
fn ribs_on_a_cylinder() {
    let manifest = built(
        "let pipe = tube { bore: 40 mm, wall: 4 mm, height: 50 mm }
part plain = solid { form: pipe join 8 of relief { on: pipe.outside, figure: rect { size: (3 mm, 20 mm) }, level: 25 mm, proud: 1.5 mm } around z, material: chalk, assembled: no }
part eased = solid { form: pipe join 8 of relief { on: pipe.outside, figure: rect { size: (3 mm, 20 mm) }, level: 25 mm, proud: 1.5 mm, ease: 45 deg } around z, material: chalk, assembled: no }
part turned_over = solid { form: pipe join 8 of relief { on: pipe.outside, figure: rect { size: (3 mm, 20 mm) }, level: 25 mm, proud: 1.5 mm, ease: 45 deg } around z, pose: upside_down, material: chalk, assembled: no }
",
    )
    .expect("it builds");
    let (r, w, h, p) = (24.0, 3.0, 20.0, 1.5);
    let pipe = tube_mm3(20.0, r, 50.0);
    let plain = 8.0 * h * w / r * ((r + p) * (r + p) - r * r) / 2.0;
    assert_volume(&manifest, "plain", pipe + plain);
    let eased = 8.0 * w / r * integral(|e| (h - e) * (r + e), p);
    assert_volume(&manifest, "eased", pipe + eased);
    assert_volume(&manifest, "turned_over", pipe + eased);
    // Undersides rise where the part stands, upper sides sink where it is turned over.
    let moment = 8.0 * w / r * integral(|e| (h - e) * (r + e) * e / 2.0, p);
    for (name, sign) in [("eased", 1.0), ("turned_over", -1.0)] {
        let centre = &part(&manifest, name)["engines"]["exact_centre_mm"];
        let height = centre[2].as_f64().expect("a height");
        let expected = 25.0 + sign * moment / (pipe + eased);
        assert!((height - expected).abs() < 2e-6, "{name}: {height}, {expected} expected");
    }
}

/// What a groove takes away: as a rib, inwards.
#[test]
fn grooves_in_a_cylinder() {
    let manifest = built(
        "let pipe = tube { bore: 40 mm, wall: 4 mm, height: 50 mm }
part plain = solid { form: pipe less 8 of relief { on: pipe.outside, figure: rect { size: (3 mm, 20 mm) }, level: 25 mm, sink: 1.5 mm } around z, material: chalk, assembled: no }
part eased = solid { form: pipe less 8 of relief { on: pipe.outside, figure: rect { size: (3 mm, 20 mm) }, level: 25 mm, sink: 1.5 mm, ease: 45 deg } around z, material: chalk, assembled: no }
part windows = solid { form: pipe less 8 of relief { on: pipe.outside, figure: rect { size: (3 mm, 20 mm) }, level: 25 mm, sink: 5 mm } around z, material: chalk, assembled: no }
",
    )
    .expect("it builds");
    let (r, w, h, d) = (24.0, 3.0, 20.0, 1.5);
    let pipe = tube_mm3(20.0, r, 50.0);
    assert_volume(&manifest, "plain", pipe - 8.0 * h * w / r * (r * r - (r - d) * (r - d)) / 2.0);
    assert_volume(&manifest, "eased", pipe - 8.0 * w / r * integral(|e| (h - e) * (r - e), d));
    let windows = 8.0 * h * w / r * (r * r - 20.0 * 20.0) / 2.0;
    assert_volume(&manifest, "windows", pipe - windows);
    // A tube is a ring; each window is one more handle.
    assert_eq!(part(&manifest, "windows")["genus"], 9);
}

/// On a cone R + s z a figure keeps its angle, proud is square to the surface, and an eased
/// underside rises by 1 / (1 - s) per mm of level depth.
#[test]
fn ribs_and_grooves_on_a_cone() {
    let manifest = built(
        "let pot = cone { below: 40 mm, above: 60 mm, height: 40 mm }
part ribbed = solid { form: pot join 6 of relief { on: pot.side, figure: rect { size: (4 mm, 16 mm) }, level: 20 mm, proud: 1.5 mm, ease: 45 deg } around z, material: chalk, assembled: no }
part grooved = solid { form: pot less 6 of relief { on: pot.side, figure: rect { size: (4 mm, 16 mm) }, level: 20 mm, sink: 1.5 mm } around z, material: chalk, assembled: no }
",
    )
    .expect("it builds");
    let (slope, angle) = (0.25, 6.0 * 4.0 / 25.0);
    let radius = |z: f64| 20.0 + slope * z;
    let level = 1.5 * f64::hypot(1.0, slope);
    let pot = PI * 40.0 * (20.0 * 20.0 + 20.0 * 30.0 + 30.0 * 30.0) / 3.0;
    // Over heights from a to b at the depth e: the integral of (R(z) + e) is (b - a) times
    // its value in the middle.
    let over = |a: f64, b: f64, e: f64| (b - a) * (radius((a + b) / 2.0) + e);
    let rib = angle * integral(|e| over(12.0 + e / (1.0 - slope), 28.0, e), level);
    assert_volume(&manifest, "ribbed", pot + rib);
    let groove = angle * integral(|e| over(12.0, 28.0, -e), level);
    assert_volume(&manifest, "grooved", pot - groove);
}

/// A slanted stroke has the area width x length in the developed plane, whatever its slant,
/// and goes round as often as it is long: a thread of two and a half turns.
#[test]
fn slanted_strokes_make_threads() {
    let manifest = built(
        "let core = rod { diameter: 24 mm, height: 40 mm }
let turn = pi * 24 mm
let thread = stroke { along: path {
  start (-turn * 1.25, -7.5 mm)
  line to (turn * 1.25, 7.5 mm)
}, width: 2 mm }
part screw = solid { form: core join relief { on: core.side, figure: thread, level: 20 mm, proud: 1 mm }, material: chalk, assembled: no }
part track = solid { form: core less relief { on: core.side, figure: thread, level: 20 mm, sink: 1 mm }, material: chalk, assembled: no }
",
    )
    .expect("it builds");
    let length = f64::hypot(2.5 * TAU * 12.0, 15.0);
    let core = PI * 144.0 * 40.0;
    let shell = |from: f64, to: f64| 2.0 * length / 12.0 * (to * to - from * from) / 2.0;
    assert_volume(&manifest, "screw", core + shell(12.0, 13.0));
    assert_volume(&manifest, "track", core - shell(11.0, 12.0));
}

/// On flats: a boss and an engraved slot are prisms.
#[test]
fn reliefs_on_flat_faces() {
    let manifest = built(
        "let box = block { size: (60 mm, 40 mm, 30 mm) }
let boss = relief { on: box.front, figure: rect { size: (12 mm, 8 mm) }, at: (0 mm, 0 mm), proud: 1.5 mm, ease: 45 deg }
let slot_ = relief { on: box.top, figure: rect { size: (20 mm, 6 mm) }, at: (3 mm, 5 mm), sink: 1 mm }
part sign = solid { form: box join boss less slot_, material: chalk, assembled: no }
",
    )
    .expect("it builds");
    // The boss loses a wedge of 45 deg below.
    let boss = 12.0 * 8.0 * 1.5 - 12.0 * 1.5 * 1.5 / 2.0;
    assert_volume(&manifest, "sign", 60.0 * 40.0 * 30.0 + boss - 20.0 * 6.0);
}

/// Six pieces of a twelfth of a turn, eased at 45 deg, in each of the faces. In the inside
/// wall depth runs outwards; the show faces are flush and the least gap is the asked one.
fn pieces(host: &str, face: &str, more: &str) -> String {
    format!(
        "motif dashes = chart {{
  . # # .
}}
part pot = {host}
part dash = inlay {{ on: pot.{face}, motif: dashes, repeats: 6, level: 25 mm, height: 12 mm, sink: 1.5 mm, {more} material: moss }}
seat dash in pot {{ gap: 0.1 mm }}
"
    )
}

const PIPE: &str = "tube { bore: 60 mm, wall: 4 mm, height: 50 mm, material: chalk }";

/// The only seat of a manifest: least gap as asked, nothing in common, its show face where
/// it should be.
fn assert_seat(manifest: &Value, step: f64, ceiling: Option<f64>) {
    let seat = &manifest["seats"][0];
    let number = |value: &Value| value.as_f64().expect("a number");
    let least = number(&seat["gap_mm"]["least"]);
    // 0.0006 mm is what facets are allowed of free-form sides.
    assert!((0.0995..=0.1015).contains(&least), "least gap {least}");
    assert!(number(&seat["overlap_mm3"]) < 1e-6, "overlap {}", seat["overlap_mm3"]);
    for end in ["lowest", "highest"] {
        let found = number(&seat["face_step_mm"][end]);
        assert!((found - step).abs() < 1e-3, "face step {found}");
    }
    if let Some(asked) = ceiling {
        let steepest = number(&seat["ceiling_deg"]["steepest"]);
        assert!((steepest - asked).abs() < 0.01, "ceiling {steepest}");
    }
}

#[test]
fn pieces_in_an_inside_wall() {
    let manifest = built(&pieces(PIPE, "inside", "ease: 45 deg,")).expect("it builds");
    let (r, h, d) = (30.0, 12.0, 1.5);
    let pockets = 6.0 * TAU / 12.0 * integral(|e| (h - e) * (r + e), d);
    assert_volume(&manifest, "pot", tube_mm3(30.0, 34.0, 50.0) - pockets);
    // Flanks move in by the angle of the gap at the least radius, undersides by the gap,
    // ceilings by the gap / sin 45 deg.
    let angle = TAU / 12.0 - 2.0 * (0.1_f64 / r).asin();
    let low = h - 0.1 - 0.1 * f64::sqrt(2.0);
    assert_volume(&manifest, "dash", 6.0 * angle * integral(|e| (low - e) * (r + e), d));
    assert_seat(&manifest, 0.0, Some(45.0));
}

#[test]
fn proud_pieces_stand_out_by_as_much() {
    let manifest = built(&pieces(PIPE, "outside", "proud: 1 mm,")).expect("it builds");
    let (r, h) = (34.0, 12.0);
    let shell = |from: f64, to: f64| (to * to - from * from) / 2.0;
    let pockets = 6.0 * TAU / 12.0 * h * shell(r - 1.5, r);
    assert_volume(&manifest, "pot", tube_mm3(30.0, 34.0, 50.0) - pockets);
    let angle = TAU / 12.0 - 2.0 * (0.1_f64 / (r - 1.5)).asin();
    assert_volume(&manifest, "dash", 6.0 * angle * (h - 0.2) * shell(r - 1.5, r + 1.0));
    assert_seat(&manifest, 1.0, None);
}

/// A motif reads from left to right as seen: its first quarter lies anticlockwise of angle 0
/// outside, clockwise inside.
#[test]
fn patterns_read_as_drawn_from_inside() {
    for (face, sign) in [("outside", 1.0), ("inside", -1.0)] {
        let manifest = built(&format!(
            "motif quarter = chart {{
  # . . .
}}
part pot = {PIPE}
part dash = inlay {{ on: pot.{face}, motif: quarter, repeats: 1, level: 25 mm, height: 12 mm, sink: 1 mm, material: moss }}
seat dash in pot {{ gap: 0.1 mm }}
"
        ))
        .expect("it builds");
        let centre = &part(&manifest, "dash")["engines"]["exact_centre_mm"];
        let [x, y] = [0, 1].map(|axis| centre[axis].as_f64().expect("a number"));
        assert!(x > 0.0 && (y * sign / x - 1.0).abs() < 1e-6, "{face}: {x}, {y}");
    }
}

/// Patterns in every kind of face that carries them, with gaps and depths by a fixed rule:
/// exact, agreeing, gaps as asked.
#[test]
fn seats_in_every_kind_of_face() {
    const CUP: &str =
        "vessel { bore: 60 mm, depth: 50 mm, wall: 4 mm, floor: 5 mm, material: chalk }";
    const WIDE: &str =
        "vessel { bore: 60 mm, depth: 50 mm, wall: 4 mm, taper: 7 deg, material: chalk }";
    const NARROW: &str =
        "vessel { bore: 60 mm, depth: 50 mm, wall: 4 mm, taper: -5 deg, material: chalk }";
    const BOX: &str = "block { size: (60 mm, 40 mm, 50 mm), material: chalk }";
    let hosts = [(CUP, "outside"), (CUP, "inside"), (WIDE, "outside"), (WIDE, "inside")];
    let more = [(NARROW, "outside"), (NARROW, "inside"), (BOX, "front"), (BOX, "left")];
    for (host, face) in hosts.into_iter().chain(more) {
        for ease in ["", "ease: 45 deg,", "ease: 35 deg,"] {
            let text = pieces(host, face, ease);
            let manifest = built(&text).unwrap_or_else(|why| panic!("{face} {ease} {host}: {why}"));
            let asked = [("45", 45.0), ("35", 35.0)];
            let ceiling =
                asked.iter().find(|(word, _)| ease.contains(word)).map(|(_, angle)| *angle);
            volumes(&manifest, "pot");
            volumes(&manifest, "dash");
            assert_seat(&manifest, 0.0, ceiling);
        }
    }
    for face in ["bed", "under"] {
        let manifest = built(&format!(
            "part pot = {CUP}
part dash = inlay {{ on: pot.{face}, figure: regular {{ sides: 6, across: 20 mm }}, at: (12 mm, 3 mm), sink: 1.5 mm, material: moss }}
seat dash in pot {{ gap: 0.1 mm }}
"
        ))
        .expect("it builds");
        volumes(&manifest, "pot");
        volumes(&manifest, "dash");
        assert_seat(&manifest, 0.0, None);
    }
}

/// Designs at the edge of what there is: bars as high as their drop, or nearly; cells that
/// meet at a corner; a slit beside a corner; from 3 to 400 repeats. Each is built with both
/// engines agreeing, or refused before any geometry with a finding.
#[test]
fn degenerate_designs_agree_or_say_why() {
    let band = |rows: &str, more: &str| {
        format!(
            "motif m = chart {{
{rows}
}}
part pot = tube {{ bore: 60 mm, wall: 4 mm, height: 50 mm, material: chalk }}
part band = inlay {{ on: pot.outside, motif: m, level: 25 mm, {more}, material: moss }}
seat band in pot {{ gap: 0.1 mm }}
"
        )
    };
    let mut texts = Vec::new();
    // One row of bars that drop 1.5 mm at 45 deg, and lose 0.1 (1 + sqrt 2) by the gap.
    for off in [0.0, 1e-9, 1e-7, 1e-5, 1e-3, -1e-9, -1e-5, -1e-3] {
        for height in [1.5, 1.5 + 0.1 * (1.0 + f64::sqrt(2.0))] {
            let height = height + off;
            texts.push(band(
                "  # .",
                &format!("repeats: 8, height: {height:.12} mm, sink: 1.5 mm, ease: 45 deg"),
            ));
        }
    }
    for height in ["0.001", "0.000001", "0.000000001"] {
        texts.push(band("  # .", &format!("repeats: 8, height: {height} mm, sink: 1.5 mm")));
    }
    texts.push(band("  # .\n  . #", "repeats: 8, height: 10 mm, sink: 1.5 mm"));
    texts.push(band(
        "  # # . .\n  . # # .\n  . . # #\n  # . . #",
        "repeats: 8, height: 20 mm, sink: 1.5 mm, ease: 45 deg, slit: 0.5 mm at 22.5 deg",
    ));
    texts.push(band(
        "  # # # #\n  # . . #\n  # # # #",
        "repeats: 8, height: 20 mm, sink: 1.5 mm, ease: 45 deg, slit: 0.5 mm at 11.25 deg",
    ));
    for repeats in [3, 7, 31, 100, 200, 400] {
        texts.push(band(
            "  # # # #\n  # . . #\n  # # # #",
            &format!("repeats: {repeats}, height: 20 mm, sink: 1.2 mm, ease: 45 deg, slit: 0.3 mm"),
        ));
    }
    let (mut made, mut refused) = (0, 0);
    for text in &texts {
        match built(text) {
            Ok(manifest) => {
                volumes(&manifest, "pot");
                volumes(&manifest, "band");
                made += 1;
            }
            Err(why) => {
                // Refused by the model (E05..) and never by the engines (E07..).
                assert!(why.contains("E05") && !why.contains("E07"), "{why}\n{text}");
                refused += 1;
            }
        }
    }
    // Refused: the three that are nearly nothing, the cells that meet at a corner, and the
    // two bars that are lower than their drop by more than rounding.
    assert_eq!((made, refused), (22, 6));
}

/// A sphere of 40 about (0, 30), its back a sphere of 40 - d: a cell between two heights and two
/// angles takes u (z2 - z1) (R^2 - (R - d)^2) / 2, whatever its heights (the ring between two
/// spheres has the same area on every level: elementary, no source).
const BALL: &str = "let ball = turned {
  outline: path {
    start (0 mm, 0 mm)
    line to (26.457513110645906 mm, 0 mm)
    arc to (26.457513110645906 mm, 60 mm) through (40 mm, 30 mm) as belly
    line to (0 mm, 60 mm)
    close
  }
}
";

/// The body of a bellied ball without its patterns, mm3: a zone of a sphere.
fn ball_mm3() -> f64 {
    PI * (1600.0 * 60.0 - 2.0 * 30.0_f64.powi(3) / 3.0)
}

/// Grooves and ribs on a belly by the mesh engine: level edges lie in planes, upright ones in
/// planes through the axis.
#[test]
fn grooves_and_ribs_on_a_belly() {
    let manifest = built(&format!(
        "{BALL}motif bars = chart {{
  # .
}}
part sunk = solid {{ form: ball less relief {{ on: ball.belly, motif: bars, repeats: 8, level: 38 mm, height: 16 mm, sink: 2 mm }}, material: chalk, assembled: no }}
part proud = solid {{ form: ball join relief {{ on: ball.belly, motif: bars, repeats: 8, level: 20 mm, height: 16 mm, proud: 2 mm }}, material: chalk, assembled: no }}
"
    ))
    .expect("it builds");
    let half = PI * 16.0;
    for (name, taken) in [
        ("sunk", -half * (1600.0 - 38.0 * 38.0) / 2.0),
        ("proud", half * (42.0 * 42.0 - 1600.0) / 2.0),
    ] {
        let found = part(&manifest, name)["engines"]["mesh_mm3"].as_f64().expect("a number");
        let expected = ball_mm3() + taken;
        assert!((found - expected).abs() < 2e-3 * taken.abs(), "{name}: {found}, {expected}");
        assert_eq!(part(&manifest, name)["self_intersections"], 0);
    }
}

/// An eased band in its seat, on the upper and the lower half and all over, with the ceilings up and down: gaps
/// as asked, ceilings as steep as asked, and the pocket takes what its own integral says (the
/// build fails otherwise).
#[test]
fn seats_on_a_belly_keep_their_gap_and_their_ceilings() {
    for (level, pose) in [(44, "upright"), (16, "upright"), (30, "upside_down")] {
        let manifest = built(&format!(
            "part jar = vessel {{
  profile: path {{
    start (26.457513110645906 mm, 0 mm)
    arc to (26.457513110645906 mm, 60 mm) through (40 mm, 30 mm) as belly
  }}
  wall: 4 mm
  pose: {pose}
  material: chalk
}}
motif bars = chart {{
  # # .
  # # .
}}
part bits = inlay {{ on: jar.belly, motif: bars, repeats: 9, level: {level} mm, height: 14 mm, sink: 1.4 mm, ease: 50 deg, material: moss }}
seat bits in jar {{ gap: 0.12 mm }}
"
        ))
        .expect("it builds");
        let seat = &manifest["seats"][0];
        let number = |v: &Value| v.as_f64().expect("a number");
        let least = number(&seat["gap_mm"]["least"]);
        assert!((0.119..0.1215).contains(&least), "{level} {pose}: least {least}");
        let steepest = number(&seat["ceiling_deg"]["steepest"]);
        assert!((49.9..50.05).contains(&steepest), "{level} {pose}: {steepest}");
        assert!(number(&seat["overlap_mm3"]) < 1e-3);
        assert!((number(&seat["depth_mm"]) - 1.4).abs() < 0.01);
        assert_eq!(part(&manifest, "bits")["pieces"], 9);
    }
}

/// A profile drawn as a straight line gives the vessel that its bore and depth give.
#[test]
fn a_straight_profile_is_the_plain_vessel() {
    let manifest = built(
        "part drawn = vessel { profile: path { start (24 mm, 0 mm), line to (24 mm, 50 mm) }, wall: 4 mm, foot: bevel 1 mm, rim: round 0.5 mm, material: chalk, assembled: no }
part plain = vessel { bore: 40 mm, depth: 46 mm, wall: 4 mm, foot: bevel 1 mm, rim: round 0.5 mm, material: chalk, assembled: no }
",
    )
    .expect("it builds");
    let [drawn, _] = volumes(&manifest, "drawn");
    let [plain, _] = volumes(&manifest, "plain");
    assert!((drawn / plain - 1.0).abs() < 1e-12, "{drawn} {plain}");
    let ml = |name: &str| part(&manifest, name)["capacity_ml"].as_f64();
    assert!(
        ml("drawn").is_some() && ml("drawn") == ml("plain"),
        "{:?} {:?}",
        ml("drawn"),
        ml("plain")
    );
}
