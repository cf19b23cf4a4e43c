//! Seats that are no bands: a prism let into its host, inlays in level faces.

use crate::tools::{build_text, findings, manifest};
use pipkin::pipeline::Options;
use serde_json::Value;

const MATERIALS: &str = "material a { base: pla, colour: #dddddd }\n\
                         material b { base: petg, colour: #446644 }\n";

fn seat(text: &str) -> (Value, Value) {
    let manifest = manifest(&build_text(&format!("{MATERIALS}{text}"), &Options::default()));
    (manifest["seats"][0].clone(), manifest)
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or(f64::NAN)
}

/// Least gap as asked, no common volume, both bodies closed.
fn fits(seat: &Value, manifest: &Value) {
    let gap = &seat["gap_mm"];
    assert!((number(&gap["least"]) - number(&gap["asked"])).abs() <= 0.001, "{gap}");
    assert!(number(&seat["overlap_mm3"]) <= 1e-6, "{}", seat["overlap_mm3"]);
    for part in manifest["parts"].as_array().into_iter().flatten() {
        assert_eq!(part["open_edges"], 0, "{}", part["name"]);
        assert_eq!(part["self_intersections"], 0, "{}", part["name"]);
    }
}

#[test]
fn a_prism_let_into_a_block_leaves_a_pocket_of_its_own_form() {
    let text = |taken: &str| {
        format!(
            "part tray = block {{ size: (60 mm, 60 mm, 20 mm) }}\n\
             part badge = solid {{\n  form: prism {{ outline: regular {{ sides: 6, across: 24 mm }}, \
             height: 4 mm }} raised 16 mm\n  material: b\n}}\n\
             seat badge in tray {{\n  gap: 0.15 mm\n  taken_from: {taken}\n}}\n"
        )
        .replace("(60 mm, 60 mm, 20 mm) }", "(60 mm, 60 mm, 20 mm), material: a }")
    };
    // A regular hexagon 24 mm across flats: sqrt(3) / 2 d^2 (CRC Standard Mathematical
    // Tables, regular polygons); an offset by g changes d by 2 g.
    let hexagon = |across: f64| 3f64.sqrt() / 2.0 * across.powi(2) * 4.0;
    for (taken, badge, pocket) in
        [("badge", 23.7, 24.0), ("tray", 24.0, 24.3), ("both", 23.85, 24.15)]
    {
        let (seat, manifest) = seat(&text(taken));
        fits(&seat, &manifest);
        assert_eq!(seat["surface"]["kind"], "prism");
        let [tray, made] = [0, 1].map(|k| number(&manifest["parts"][k]["volume_mm3"]));
        assert!((made - hexagon(badge)).abs() < 1e-6, "{taken}: badge {made}");
        assert!((72_000.0 - tray - hexagon(pocket)).abs() < 1e-6, "{taken}: tray {tray}");
    }
}

#[test]
fn an_inlay_in_a_level_face_lies_flush() {
    let (seat, manifest) = seat(
        "part tray = block { size: (60 mm, 40 mm, 10 mm), material: a }\n\
         part sign = inlay {\n  on: tray.top\n  figure: slot { size: (30 mm, 8 mm) }\n  \
         at: (0 mm, 0 mm)\n  sink: 1.2 mm\n  material: b\n}\n\
         seat sign in tray {\n  gap: 0.1 mm\n  taken_from: sign\n}\n",
    );
    fits(&seat, &manifest);
    // A slot is a rectangle and a disc: (l - d) d + pi d^2 / 4, CRC tables.
    let slot = |g: f64| {
        let (l, d) = (30.0 - 2.0 * g, 8.0 - 2.0 * g);
        (l - d) * d + std::f64::consts::PI * d * d / 4.0
    };
    let volume = number(&manifest["parts"][1]["volume_mm3"]);
    // Arcs of a figure are flattened to the chord tolerance before they are cut to strips.
    assert!((volume / (1.2 * slot(0.1)) - 1.0).abs() < 1e-3, "{volume}");
    for key in ["lowest", "highest"] {
        assert!(number(&seat["face_step_mm"][key]).abs() <= 0.005, "{}", seat["face_step_mm"]);
    }
}

#[test]
fn easing_a_level_face_says_what_it_would_come_to() {
    let text = |face: &str, pose: &str| {
        format!(
            "{MATERIALS}part tray = block {{ size: (60 mm, 40 mm, 10 mm), pose: {pose}, \
             material: a }}\npart sign = inlay {{\n  on: tray.{face}\n  \
             figure: slot {{ size: (30 mm, 8 mm) }}\n  at: (0 mm, 0 mm)\n  sink: 1.2 mm\n  \
             ease: 45 deg\n  material: b\n}}\nseat sign in tray {{ gap: 0.1 mm }}\n"
        )
    };
    for (face, pose, told) in [
        ("top", "upright", "facing up"),
        ("top", "upside_down", "facing down"),
        ("bottom", "upright", "facing down"),
        ("bottom", "upside_down", "facing up"),
        ("top", "tipped(90 deg, x)", "no wall"),
    ] {
        let built = build_text(&text(face, pose), &Options::default());
        let found = findings(&built);
        assert!(found.contains("E0508") && found.contains(told), "{face} {pose}: {found}");
    }
}
