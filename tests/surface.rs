//! Patterns on the surfaces of bodies, from text to measured volumes: each against its
//! closed form, both engines agreeing.

use pipkin::pipeline::{self, Options, Silent};
use pipkin::source::MemoryWorld;
use serde_json::Value;
use std::f64::consts::{PI, TAU};
use std::path::Path;

/// What every text starts with.
const HEAD: &str = "material chalk { base: pla, colour: #e8e1d3 }
material moss { base: petg, colour: #5f7a4a }
";

/// Builds a text: its manifest, or its findings.
fn built(text: &str) -> Result<Value, String> {
    let world = MemoryWorld::with("case.pkn", &format!("{HEAD}{text}"));
    let built = pipeline::build(&world, Path::new("case.pkn"), &Options::default(), &Silent);
    let findings: Vec<String> =
        built.findings.iter().map(|d| format!("{} {}", d.code.id, d.message)).collect();
    let bundle = built.bundle.ok_or_else(|| findings.join("\n"))?;
    let made = bundle.files.iter().find(|(name, _)| name.ends_with(".manifest.json"));
    let (_, bytes) = made.ok_or("there is no manifest")?;
    serde_json::from_slice(bytes).map_err(|error| error.to_string())
}

/// The manifest's entry of a part.
fn part<'a>(manifest: &'a Value, name: &str) -> &'a Value {
    let parts = manifest["parts"].as_array().expect("parts");
    parts.iter().find(|part| part["name"] == name).expect("the part is there")
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
