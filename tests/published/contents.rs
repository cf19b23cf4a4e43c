//! Contents, filament, shrinkage, worst cases: closed forms and published factors.

use pipkin::output::manifest::Manifest;
use pipkin::pipeline::{self, Options, Silent};
use pipkin::source::MemoryWorld;
use std::f64::consts::PI;
use std::path::Path;

fn built(text: &str) -> (Manifest, Vec<(String, Vec<u8>)>) {
    let world = MemoryWorld::with("pot.pkn", text);
    let built = pipeline::build(&world, Path::new("pot.pkn"), &Options::default(), &Silent);
    let messages: Vec<_> = built.findings.iter().map(|f| f.message.clone()).collect();
    let bundle = built.bundle.unwrap_or_else(|| panic!("{messages:?}"));
    (bundle.manifest, bundle.files)
}

use super::published as near;

const POT: &str = "use std.closures
material chalk { base: pla }
part pot = vessel { bore: 40 mm, depth: 30 mm, wall: 2 mm, floor: 2 mm, material: chalk }
part cap = plug_lid { closes: pot, gap: slide, skirt: 8 mm, top: plain, material: chalk }
";

#[test]
pub fn contents_are_told_to_the_rim_and_to_the_lid() {
    let (manifest, _) = built(POT);
    let pot = &manifest.parts[0];
    let ml = PI * 20.0 * 20.0 * 30.0 / 1000.0;
    near(pot.capacity_ml.unwrap(), ml, 1e-4 * ml, "cylinder");
    // NIST Handbook 44, Appendix C: 1 US fluid ounce is 29.573 529 562 5 ml exactly.
    near(pot.capacity_fl_oz.unwrap(), ml / 29.573_529_562_5, 1e-4, "NIST HB 44");
    // NIST Handbook 44, Appendix C: 8 fluid ounces, a cup, are 236.588 ml.
    near(236.588 * pot.capacity_fl_oz.unwrap() / 8.0, ml, 1e-3, "NIST HB 44");
    // The skirt reaches 8 mm down: what is below it is a cylinder of 22 mm.
    let below = PI * 20.0 * 20.0 * 22.0 / 1000.0;
    near(manifest.lids[0].capacity_ml.unwrap(), below, 1e-4 * below, "cylinder below the lid");
}

#[test]
fn filament_and_time_follow_from_the_volume() {
    let (manifest, _) = built(POT);
    let pot = &manifest.parts[0];
    // 1000 / (rho pi d^2 / 4): of PLA, 1.24 g/cm3, 335.28 m of 1.75 mm weigh a kilogram.
    near(pot.filament_m / pot.mass_g * 1000.0, 335.28, 0.01, "length of a kilogram of PLA");
    // A plain sum: volume over line, layer and speed, and 3 s for each of 160 layers.
    let print = manifest.print.iter().find(|p| p.part == "pot").unwrap();
    let seconds = pot.volume_mm3 / (0.42 * 0.2 * 60.0) + 160.0 * 3.0;
    assert_eq!(print.layers, 160);
    near(print.rough_minutes, seconds / 60.0, 1e-6, "rough time");
}

#[test]
fn a_shrinking_material_is_printed_larger_once() {
    let (plain, _) = built(POT);
    let (manifest, files) = built(&POT.replace("base: pla", "base: pla, shrink: 0.5 %"));
    for (before, after) in plain.print.iter().zip(&manifest.print) {
        for axis in 0..3 {
            let nominal = before.size_mm[axis];
            near(after.nominal_mm[axis], nominal, 1e-9, "nominal size");
            near(after.size_mm[axis] * (1.0 - 0.005), nominal, 1e-9, "size times 1 - s");
        }
        near(after.shrink_percent, 0.5, 1e-12, "shrink");
    }
    // Bodies of the assembly, and with them fits and volumes, stay as the text says.
    assert_eq!(plain.parts[0].volume_mm3, manifest.parts[0].volume_mm3);
    assert_eq!(plain.lids[0].gap_mm.least, manifest.lids[0].gap_mm.least);
    // And the file holds the larger copy: the greatest x of its corners.
    let stl = &files.iter().find(|(name, _)| name == "pot.stl").unwrap().1;
    let corner = |at: usize| f32::from_le_bytes(stl[at..at + 4].try_into().unwrap());
    let xs = (0..(stl.len() - 84) / 50)
        .flat_map(|t| (1..4).map(move |k| 84 + 50 * t + 12 * k))
        .map(|at| f64::from(corner(at)));
    let widest = xs.fold(f64::MIN, f64::max);
    near(2.0 * widest, manifest.print[0].size_mm[0], 0.02, "width in the file");
}

/// Two sizes that both lie in a zone of IT13 at 80 mm, 0.46 mm (ISO 286-1 Table 1): a play
/// of 0.30 mm per side becomes 0.07 to 0.53 (arithmetic stack-up).
#[test]
pub fn worst_cases_are_stacked_up() {
    let text = "use std.closures
printer bench { base: generic_04, tolerance: it13 }
part pot = vessel { bore: 80 mm, depth: 20 mm, wall: 2 mm, material: pla }
part cap = plug_lid { closes: pot, gap: 0.3 mm, top: plain, material: pla }
";
    let (manifest, _) = built(text);
    let gap = &manifest.lids[0].gap_mm;
    near(gap.worst_least.unwrap(), gap.least - 0.23, 1e-9, "ISO 286-1, IT13 at 80 mm");
    near(gap.worst_most.unwrap(), gap.most + 0.23, 1e-9, "ISO 286-1, IT13 at 80 mm");
    near(gap.worst_least.unwrap(), 0.07, 1e-3, "stack-up");
    assert_eq!(manifest.printer.tolerance_grade.as_deref(), Some("it13"));
    // By name: 80H11/c11 has 150 to 530 um of clearance, drawn in the middle.
    let (manifest, _) = built(&text.replace("gap: 0.3 mm", "fit: \"H11/c11\""));
    let gap = &manifest.lids[0].gap_mm;
    near(gap.least, 0.17, 1e-3, "a quarter of 150 + 530 um");
    let limits = gap.limits.as_ref().unwrap();
    near(limits.basic, 80.0, 1e-9, "the bore");
    near(limits.clearance[0], 0.15, 1e-9, "ISO 286-1, H11/c11 at 80 mm");
    near(limits.clearance[1], 0.53, 1e-9, "ISO 286-1, H11/c11 at 80 mm");
}

/// A shape that two bodies share, aligned so that none of their faces cross: 0.01 mm of
/// 20 x 20 mm.
#[test]
fn a_slice_of_a_hundredth_is_an_overlap() {
    let text = |x: &str| {
        format!(
            "part a = block {{ size: (20 mm, 20 mm, 20 mm), material: pla }}
part b = solid {{ form: block {{ size: (20 mm, 20 mm, 20 mm) }} at ({x} mm, 0 mm, 0 mm), material: pla }}
"
        )
    };
    for (x, shared) in [("19.99", true), ("20", false), ("20.01", false), ("15", true)] {
        let world = MemoryWorld::with("two.pkn", text(x));
        let built = pipeline::build(&world, Path::new("two.pkn"), &Options::default(), &Silent);
        let found = built.findings.iter().any(|f| f.code.id == "E0601");
        assert_eq!(found, shared, "{x}");
    }
}
