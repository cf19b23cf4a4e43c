//! The preview page and the server that shows it while a design is edited.

use pipkin::output::pictures::viewer_size;
use pipkin::pipeline::{self, Options, Silent};
use pipkin::source::DiskWorld;
use serde_json::Value;
use std::path::Path;

/// The most that a viewer may weigh, without the meshes.
const MOST_BYTES: usize = 60_000;

struct Example {
    page: String,
    manifest: Value,
}

fn built(name: &str) -> Example {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("examples/{name}/{name}.pkn"));
    let options = Options { pictures: true, ..Options::default() };
    let built = pipeline::build(&DiskWorld, &file, &options, &Silent);
    let files = built.bundle.expect("the example builds").files;
    let text = |ending: &str| {
        let (_, bytes) =
            files.iter().find(|(n, _)| n == &format!("{name}.{ending}")).expect(ending);
        String::from_utf8(bytes.clone()).expect("text")
    };
    let manifest = serde_json::from_str(&text("manifest.json")).expect("JSON");
    Example { page: text("html"), manifest }
}

/// The design that a page holds.
fn design(page: &str) -> &str {
    let (_, rest) = page.split_once("id=\"design\"").expect("the design's element");
    let (_, rest) = rest.split_once('>').expect("the end of its tag");
    rest.split_once("</script>").expect("the end of the element").0
}

#[test]
fn the_viewer_is_small_and_asks_for_nothing() {
    assert!(viewer_size() < MOST_BYTES, "{} bytes", viewer_size());
    let page = built("button-jar").page;
    let (before, rest) = page.split_once("base64,").expect("a still picture");
    let still = rest.find('"').expect("its end");
    let own = page.len() - design(&page).len() - still;
    assert!(own < MOST_BYTES, "{own} bytes without design and still picture");
    assert!(before.contains("default-src 'none'"), "the page may ask for things");
    // No address of anything outside: neither whole nor without a scheme.
    for address in ["://", "src=\"//", "href=\"//", "url(", "@import", "import("] {
        assert!(!page.contains(address), "{address}");
    }
    for policy in ["script-src 'unsafe-inline'", "unsafe-eval", "connect-src"] {
        assert!(!page.contains(policy), "{policy}");
    }
}

#[test]
fn the_page_has_the_same_bytes_on_every_run() {
    assert!(built("seed-tumbler").page == built("seed-tumbler").page);
}

/// Read by nothing but this test: base64, 16-bit steps of the box, triangles; their
/// enclosed volume (divergence theorem) is that of the mesh in the manifest.
#[test]
fn the_meshes_of_the_page_are_those_that_are_printed() {
    let Example { page, manifest } = built("button-jar");
    let design: Value = serde_json::from_str(design(&page)).expect("JSON");
    let bodies = design["scene"]["bodies"].as_array().expect("bodies");
    let parts = manifest["parts"].as_array().expect("parts");
    assert_eq!(bodies.len(), parts.len());
    for (body, part) in bodies.iter().zip(parts) {
        assert_eq!(body["name"], part["name"]);
        let (volume, triangles) = volume_mm3(body);
        let expected = part["engines"]["mesh_mm3"].as_f64().expect("a volume");
        assert_eq!(triangles as u64, part["triangles"].as_u64().expect("a count"));
        // Corners move by up to half of a step of 1.3e-3 mm: some 1e-4 of a wall of 3.6 mm.
        let off = (volume - expected).abs() / expected;
        assert!(off < 2e-4, "{}: {volume} for {expected} mm3", body["name"]);
    }
}

fn volume_mm3(body: &Value) -> (f64, usize) {
    let number = |v: &Value| v.as_f64().expect("a number");
    let steps = shorts(&body["places"]);
    let corner = |c: u16| -> [f64; 3] {
        std::array::from_fn(|i| {
            let (low, high) = (number(&body["low"][i]), number(&body["high"][i]));
            low + (high - low) * f64::from(steps[3 * usize::from(c) + i]) / 65535.0
        })
    };
    assert_eq!(body["wide"], Value::Bool(false));
    let corners = shorts(&body["triangles"]);
    let six: f64 = corners
        .chunks(3)
        .map(|t| {
            let [a, b, c] = [corner(t[0]), corner(t[1]), corner(t[2])];
            a[0] * (b[1] * c[2] - b[2] * c[1])
                + a[1] * (b[2] * c[0] - b[0] * c[2])
                + a[2] * (b[0] * c[1] - b[1] * c[0])
        })
        .sum();
    (six / 6.0, corners.len() / 3)
}

fn shorts(text: &Value) -> Vec<u16> {
    const LETTERS: &str = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut bits = Vec::new();
    for letter in text.as_str().expect("a text").trim_end_matches('=').chars() {
        let value = LETTERS.find(letter).expect("a letter of base64");
        bits.extend((0..6).rev().map(|i| value >> i & 1 == 1));
    }
    let byte = |b: &[bool]| b.iter().fold(0u16, |n, bit| n << 1 | u16::from(*bit));
    let bytes: Vec<u16> = bits.chunks_exact(8).map(byte).collect();
    bytes.chunks_exact(2).map(|two| two[0] | two[1] << 8).collect()
}

/// What is told of a fit in the page is what was measured: two points as far apart as the
/// least gap.
#[test]
fn least_gaps_have_their_place() {
    let Example { page, manifest } = built("button-jar");
    let design: Value = serde_json::from_str(design(&page)).expect("JSON");
    let least = [&manifest["seats"][0], &manifest["lids"][0]].map(|fit| &fit["gap_mm"]["least"]);
    for (fit, least) in design["fits"].as_array().expect("fits").iter().zip(least) {
        let across = |i: usize| fit["across"][i].as_f64().expect("a number");
        let length = (0..3).map(|i| across(i) * across(i)).sum::<f64>().sqrt();
        let least = least.as_f64().expect("a gap");
        assert!((length - least).abs() < 3e-6, "{}: {length} for {least}", fit["title"]);
        let at = |i: usize| fit["at"][i].as_f64().expect("a number");
        // In the wall of the jar, 36 to 39.6 mm from the axis.
        let radius = at(0).hypot(at(1));
        assert!((35.8..39.8).contains(&radius), "{}: {radius}", fit["title"]);
    }
}
