//! Springs, hooks and overhangs, from the text to the manifest, against handbooks.

use super::published;
use pipkin::output::manifest::{Manifest, Value};
use pipkin::pipeline::{self, Options, Silent};
use pipkin::source::MemoryWorld;
use std::path::Path;

fn built(text: &str) -> Manifest {
    let world = MemoryWorld::with("trade.pkn", text);
    let built = pipeline::build(&world, Path::new("trade.pkn"), &Options::default(), &Silent);
    let messages: Vec<_> = built.findings.iter().map(|f| f.message.clone()).collect();
    built.bundle.unwrap_or_else(|| panic!("{messages:?}")).manifest
}

/// The left side of a rule.
fn left(manifest: &Manifest, rule: usize) -> f64 {
    match manifest.requires[rule].left.as_ref().map(|side| &side.value) {
        Some(Value::Number(value)) => *value,
        other => panic!("{other:?}"),
    }
}

/// Goetze and others, piston ring handbooks: the strain of opening a ring of even section is
/// 0.424 to 0.425 t d / D^2, D its mean diameter and d the opening; by Castigliano 4 / (3 pi).
/// Its slit grows by 3 pi for each mm that its radius must grow (own derivation).
#[test]
pub fn rings_that_were_worked_out_in_print_come_out() {
    for (bore, sink) in [(60.0, 2.0), (80.0, 1.6), (100.0, 2.4)] {
        let manifest = built(&format!(
            "motif full = chart {{\n  # #\n}}
part jar = vessel {{ bore: {bore} mm, depth: 40 mm, wall: 5 mm, material: pla }}
part belt = inlay {{
  on: jar.outside
  motif: full
  repeats: 8
  level: 20 mm
  height: 10 mm
  sink: {sink} mm
  slit: 0.4 mm
  material: pla
}}
seat belt in jar {{ gap: 0.1 mm }}
"
        ));
        let ring = &manifest.rings[0];
        let mean = bore + 2.0 * 5.0 - sink;
        let factor = ring.uniform_strain_percent / 100.0 * mean * mean / (sink * ring.opening_mm);
        published(factor, 0.4245, 0.0045, "piston ring handbooks");
        published(ring.opening_mm / (sink * 3.0 * std::f64::consts::PI), 1.0, 0.01, "3 pi");
        // Winkler and Bach: the inner fibre of a thick ring bears more, by t / (3 R) and the
        // pull's t / (12 R) (Shigley, Mechanical Engineering Design, section 3-18).
        let thick = 1.0 + (sink / 3.0 + sink / 12.0) / (mean / 2.0);
        let share = ring.strain_percent / ring.uniform_strain_percent;
        published(share, thick, 0.01, "Shigley 3-18");
    }
}

/// Hooks of the design manuals, through `snap_hook` of the standard library.
#[test]
pub fn hooks_come_out_as_in_the_manuals() {
    // Bayer, Snap-Fit Joints for Plastics, example I (from memory): 19 mm long, 9.5 mm wide, to
    // bend by 2.4 mm, of 1815 MPa; half as thick at its end, 3.28 mm at its root it strains by
    // 2 %, takes 32.5 N across and 58.5 N to push in.
    let bayer = built(
        "use std.closures
let hook = snap_hook { long: 19 mm, thick: 3.28 mm, wide: 9.5 mm, reach: 2.4 mm, taper: half, modulus: 1815 MPa, lead: 30 deg, friction: 0.6 }
part plate = solid { form: hook, material: pla, pose: upright }
require hook.strain <= 3 %
require hook.bending_force / 1 MPa <= 100 mm2
require hook.mating_force / 1 MPa <= 100 mm2
",
    );
    published(left(&bayer, 0), 0.02, 0.0002, "Bayer, example I");
    published(left(&bayer, 1), 32.5, 0.4, "Bayer, example I");
    published(left(&bayer, 2), 58.5, 0.7, "Bayer, example I");
    // BASF, Snap-Fit Design Manual, part IV: ABS of 315 000 psi, 0.600 in long, 0.1014 in thick
    // at its root and half that at its end, 0.125 in wide, at 6.5 %: 7.31 lbf across, 1.80
    // times that to push in. Without its Q of 1.20 the deflection is 0.301 in / 1.20.
    let basf = built(
        "use std.closures
let hook = snap_hook { long: 0.6 in, thick: 0.1014 in, wide: 0.125 in, reach: 0.301 in / 1.2, taper: half, modulus: 2171.85 MPa, lead: 30 deg, friction: 0.6 }
part plate = solid { form: hook, material: pla }
require hook.strain <= 10 %
require hook.bending_force / 1 MPa <= 100 mm2
require hook.mating_force / hook.bending_force <= 3
",
    );
    let newton_per_lbf = 4.448_222; // NIST SP 811, table B.8
    published(left(&basf, 0), 0.065, 0.0002, "BASF, part IV");
    published(left(&basf, 1) / newton_per_lbf, 7.31, 0.02, "BASF, part IV");
    published(left(&basf, 2), 1.80, 0.005, "BASF, part IV");
}

/// The overlap of a line with the one below, 1 - h tan(a) / w (own derivation): tables of the
/// trade print 50 % at 45 deg for w = 2 h, and the same at 48.4, 36.9 and 66.0 deg for lines of
/// 0.45 mm in layers of 0.2, 0.3 and 0.1 mm; 13.4 % at 60 deg.
#[test]
pub fn overlaps_of_lines_are_those_of_their_geometry() {
    for (line, layer, angle, percent) in [
        (0.4, 0.2, 45.0, 50.0),
        (0.4, 0.2, 60.0, 13.4),
        (0.45, 0.2, 48.4, 50.0),
        (0.45, 0.3, 36.9, 50.0),
        (0.45, 0.1, 66.0, 50.0),
    ] {
        let manifest = built(&format!(
            "printer bench {{ base: generic_04, line: {line} mm, layer: {layer} mm, overhang: 30 deg }}
part pot = turned {{
  outline: path {{
    start (0 mm, 0 mm)
    line to (10 mm, 0 mm)
    line to (10 mm + 6 mm * tan({angle} deg), 6 mm)
    line to (0 mm, 6 mm)
    close
  }}
  material: pla
}}
"
        ));
        let found = &manifest.print[0].unsupported[0];
        published(found.overlap_percent.unwrap(), percent, 0.4, "overlap of lines");
        published(found.angle_deg.unwrap(), angle, 0.2, "angle from the vertical");
    }
}
