//! The main job against published values: text in, manifest and files out, numbers
//! compared with handbooks and standards. Every case names its publication.
//!
//! Exact volumes are held to 8 digits of the closed form; masses and lengths to the
//! digits that the source prints.

use crate::tools::{build_text, manifest};
use pipkin::pipeline::Options;
use serde_json::Value;
use std::f64::consts::PI;

/// Builds a text and gives its manifest and files.
fn build(text: &str) -> (Value, Vec<(String, Vec<u8>)>) {
    let built = build_text(text, &Options::default());
    (manifest(&built), built.bundle.map(|b| b.files).unwrap_or_default())
}

/// The manifest entry of a design with one part `p`.
fn part(form: &str) -> Value {
    let (manifest, _) = build(&format!("material pale {{ base: pla, colour: #dddddd }}\n{form}\n"));
    manifest["parts"][0].clone()
}

/// A part of one form, in PLA.
fn solid(form: &str) -> Value {
    part(&format!("part p = solid {{ form: {form}, material: pale }}"))
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("no number `{key}` in {value:#}"))
}

fn near(found: f64, published: f64, tolerance: f64, source: &str) {
    assert!(
        (found - published).abs() <= tolerance,
        "{source}: {found}, published {published} within {tolerance}"
    );
}

// Volumes of revolution and prisms. CRC Standard Mathematical Tables, mensuration
// formulas; second theorem of Pappus, V = 2 pi r_c A.

#[test]
fn hollow_cylinder_volume_area_mass_and_filament() {
    let p = solid("tube { bore: 76 mm, wall: 2 mm, height: 80 mm }");
    let crc = "CRC Standard Mathematical Tables, hollow cylinder";
    near(number(&p, "volume_mm3"), 39_207.076, 5e-4, crc);
    let area = 2.0 * PI * 80.0 * (40.0 + 38.0) + 2.0 * PI * (40.0f64.powi(2) - 38.0f64.powi(2));
    near(number(&p, "area_mm2"), area, 1e-5, crc);
    near(number(&p, "mass_g"), 48.617, 5e-4, "PLA 1.24 g/cm3, Ingeo 4043D data sheet");
    near(number(&p, "filament_m"), 16.300, 5e-4, "335.28 m/kg at 1.75 mm and 1.24 g/cm3");
    assert_eq!(p["form"], "exact");
    assert_eq!(p["genus"], 1);
}

#[test]
fn torus_volume_and_area() {
    let p = solid("ring { across: 80 mm, thick: 6 mm }");
    near(number(&p, "volume_mm3"), 7106.115, 5e-4, "CRC tables, torus 2 pi^2 R r^2");
    near(number(&p, "area_mm2"), 4737.410, 5e-4, "CRC tables, torus 4 pi^2 R r");
}

#[test]
fn frustum_of_a_cone() {
    let p = solid("cone { below: 80 mm, above: 60 mm, height: 10 mm }");
    near(number(&p, "volume_mm3"), 38_746.309, 5e-4, "CRC tables, frustum of a cone");
    let ends = PI * (40.0f64.powi(2) + 30.0f64.powi(2));
    near(number(&p, "area_mm2") - ends, 3110.018, 5e-4, "CRC tables, lateral area pi (R + r) s");
}

#[test]
fn spherical_cap_and_ball() {
    let cap = solid(
        "turned { outline: path {\n start (0 mm, 0 mm)\n line to (30 mm, 0 mm)\n \
         arc to (0 mm, 10 mm) radius 50 mm left\n close\n } }",
    );
    near(number(&cap, "volume_mm3"), 14_660.766, 5e-4, "CRC tables, cap pi h^2 (3 r - h) / 3");
    let shell = number(&cap, "area_mm2") - PI * 900.0;
    near(shell, 3141.593, 5e-4, "CRC tables, cap area 2 pi r h");
    let ball = solid("ball { diameter: 50 mm }");
    near(number(&ball, "volume_mm3"), PI * 125_000.0 / 6.0, 5e-4, "CRC tables, sphere pi d^3 / 6");
}

#[test]
fn chamfer_and_fillet_rings_by_pappus() {
    let sharp = number(&solid("rod { diameter: 80 mm, height: 20 mm }"), "volume_mm3");
    let cut = solid("rod { diameter: 80 mm, height: 20 mm, top: bevel 1 mm }");
    near(
        sharp - number(&cut, "volume_mm3"),
        124.6165,
        5e-5,
        "Pappus: 2 pi (R - c/3) c^2 / 2 at R 40, c 1",
    );
    let bore = |edge: &str| {
        let tube = format!(
            "turned {{ outline: path {{\n start (38 mm, 0 mm)\n line to (48 mm, 0 mm)\n \
             line to (48 mm, 10 mm)\n line to (38 mm, 10 mm){edge}\n close\n }} }}"
        );
        number(&solid(&tube), "volume_mm3")
    };
    near(
        bore("") - bore(" with bevel 1 mm"),
        120.4277,
        5e-5,
        "Pappus: 2 pi (R + c/3) c^2 / 2 at R 38, c 1",
    );
    let cup = |edge: &str| {
        let outline = format!(
            "turned {{ outline: path {{\n start (0 mm, 0 mm)\n line to (40 mm, 0 mm)\n \
             line to (40 mm, 40 mm)\n line to (38 mm, 40 mm)\n line to (38 mm, 3 mm){edge}\n \
             line to (0 mm, 3 mm)\n close\n }} }}"
        );
        number(&solid(&outline), "volume_mm3")
    };
    near(
        cup(" with round 5 mm") - cup(""),
        1243.316,
        5e-4,
        "Pappus: fillet r 5 in a corner R 38, centroid (10 - 3 pi)/(12 - 3 pi) r from each wall",
    );
}

#[test]
fn inscribed_polygon_tubes() {
    let crc = "hollow cylinder 40/38/80 x (n / 2 pi) sin(2 pi / n), regular polygons in CRC tables";
    for (sides, published) in
        [(32, 38_955.636), (64, 39_144.125), (128, 39_191.333), (256, 39_203.140)]
    {
        let flat = |radius: f64| 2.0 * radius * (PI / f64::from(sides)).cos();
        let form = format!(
            "prism {{ outline: regular {{ sides: {sides}, across: {:.12} mm }} less \
             regular {{ sides: {sides}, across: {:.12} mm }}, height: 80 mm }}",
            flat(40.0),
            flat(38.0)
        );
        // Half a unit of the last printed digit, and what printing 12 decimals loses.
        near(number(&solid(&form), "volume_mm3"), published, 5.01e-4, crc);
    }
}

#[test]
fn a_wrapped_block_is_a_sector_of_a_hollow_cylinder() {
    // Ten degrees wide, 5 mm high, 38 to 40 mm: (theta / 2)(Ro^2 - Ri^2) h, CRC tables.
    let (manifest, _) = build(
        "material a { base: pla, colour: #dddddd }\nmaterial b { base: pla, colour: #444444 }\n\
         motif dash = chart {\n  # . . .\n}\n\
         part cup = vessel { bore: 72 mm, depth: 40 mm, wall: 4 mm, material: a }\n\
         part bar = inlay { on: cup.outside, motif: dash, repeats: 9, level: 20 mm, height: 5 mm, \
         sink: 2 mm, material: b }\n\
         seat bar in cup { gap: 0.1 mm, taken_from: cup }\n",
    );
    let bar = &manifest["parts"][1];
    assert_eq!(bar["pieces"], 9);
    near(
        number(bar, "volume_mm3") / 9.0,
        68.067_84,
        5e-6,
        "CRC tables, sector of a hollow cylinder",
    );
}

#[test]
fn sagitta_of_a_facet() {
    // s = r (1 - cos(pi / n)); CRC tables, circular segment. The facet count is the least
    // multiple of 8 that keeps the sagitta of r 40 within the tolerance.
    for (n, published) in
        [(32.0, 0.192_611), (64.0, 0.048_182), (128.0, 0.012_047), (256.0, 0.003_012)]
    {
        let p = solid(&format!(
            "prism {{ outline: regular {{ sides: {n}, across: {:.12} mm }}, height: 1 mm }}",
            80.0 * (PI / n).cos()
        ));
        let flat = number(&p, "volume_mm3") / (n * (PI / n).tan());
        near(40.0 - flat.sqrt(), published, 5e-7, "CRC tables, sagitta of a chord");
    }
}

// Capacity. NIST SP 811 / Handbook 44 appendix C (from memory): 1 ml = 1000 mm3, US fluid
// ounce 29.5735295625 ml, imperial fluid ounce 28.4130625 ml.

#[test]
fn capacity_in_millilitres_and_fluid_ounces() {
    let jar = |depth: f64| {
        let p = part(&format!(
            "part p = vessel {{ bore: 76 mm, depth: {depth} mm, wall: 3 mm, material: pale }}"
        ));
        number(&p, "capacity_ml")
    };
    near(jar(76.0), 344.771, 5e-4, "pi r^2 h, 1 ml = 1000 mm3 (NIST SP 811)");
    near(jar(66.0), 299.406, 5e-4, "pi r^2 h, 10 mm headspace");
    near(jar(76.0) / 29.573_529_562_5, 11.658, 5e-4, "US fluid ounce, NIST Handbook 44 app. C");
    near(jar(76.0) / 28.413_062_5, 12.134, 5e-4, "imperial fluid ounce, NIST Handbook 44 app. C");
}

// Filament: L = 1000 / (rho pi d^2 / 4) m/kg at 1.75 mm; densities of the data sheets
// named in the standard library.

#[test]
fn metres_of_filament_in_a_kilogram() {
    let published = [
        ("pla", 335.28),
        ("petg", 327.36),
        ("abs", 399.76),
        ("asa", 388.55),
        ("pa12", 411.64),
        ("pp", 461.95),
        ("tpu", 343.60),
    ];
    for (base, metres) in published {
        let (manifest, _) = build(&format!(
            "material m {{ base: {base}, colour: #dddddd }}\n\
             part p = solid {{ form: block {{ size: (50 mm, 50 mm, 50 mm) }}, material: m }}\n"
        ));
        let p = &manifest["parts"][0];
        let found = number(p, "filament_m") / number(p, "mass_g") * 1000.0;
        near(found, metres, 5e-3, &format!("{base} at 1.75 mm, density of its data sheet"));
    }
}

// Files.

#[test]
fn the_cube_of_the_3mf_specification_and_the_size_of_its_stl() {
    let (manifest, files) = build(
        "material pale { base: pla, colour: #dddddd }\n\
         part cube = solid { form: block { size: (39.998 mm, 40 mm, 39.998 mm) }, material: pale }\n",
    );
    let cube = &manifest["parts"][0];
    near(number(cube, "volume_mm3"), 63_993.600_16, 1e-5, "3MF Core Specification 1.4.0, B.2");
    let (_, stl) = files.iter().find(|(name, _)| name == "cube.stl").expect("an STL is made");
    assert_eq!(stl.len(), 84 + 50 * 12, "binary STL: 84 + 50 n bytes, 684 for 12 triangles");
    assert!(!stl.starts_with(b"solid"), "binary STL: the header does not begin with `solid`");
    assert_eq!(stl[80..84], 12u32.to_le_bytes(), "binary STL: count of triangles at byte 80");
}

// Inches: exactly 25.4 mm (international yard and pound agreement, 1959).

#[test]
fn an_inch_is_25_4_millimetres() {
    let p = solid("block { size: (1 in, 1 in, 1 in) }");
    near(number(&p, "volume_mm3"), 16_387.064, 1e-6, "cubic inch, NIST SP 811 (from memory)");
    assert_eq!(p["size_mm"], serde_json::json!([25.4, 25.4, 25.4]));
}

// Geometry of spinning and repeating: a helix-free check of arc, chord and sagitta.

#[test]
fn arc_chord_and_sagitta_of_thirty_degrees() {
    let crc = "CRC tables, circle r 40, 30 deg";
    for (function, published) in
        [("arc_length", 20.943_95), ("chord", 20.705_52), ("sagitta", 1.362_97)]
    {
        let p = solid(&format!("block {{ size: ({function}(40 mm, 30 deg), 10 mm, 10 mm) }}"));
        near(number(&p, "volume_mm3") / 100.0, published, 5e-6, crc);
    }
}
