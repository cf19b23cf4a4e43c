//! The three steps of `examples/spice-jar`: coupon, measured value, rebuilt jar.

use pipkin::output::manifest::Manifest;
use pipkin::pipeline::{self, Options, Silent};
use pipkin::source::MemoryWorld;
use std::path::Path;

const JAR: &str = include_str!("../../examples/spice-jar/spice-jar.pkn");

fn built(name: &str, text: &str) -> Manifest {
    let world = MemoryWorld::with(name, text);
    let built = pipeline::build(&world, Path::new(name), &Options::default(), &Silent);
    let errors: Vec<_> =
        built.findings.iter().filter(|f| f.code.id.starts_with('E')).map(|f| &f.message).collect();
    built.bundle.unwrap_or_else(|| panic!("{name}: {errors:?}")).manifest
}

#[test]
fn what_a_coupon_tells_is_what_the_jar_gets() {
    // As it stands: the belt's gap is the table's.
    let first = &built("spice-jar.pkn", JAR).seats[0].gap_mm;
    assert!((first.asked - 0.1).abs() < 1e-9 && (first.least - 0.1).abs() < 1e-3);
    assert_eq!(first.called.as_deref(), Some("snap"));
    // 1. The coupon: five pockets with the design's own motif, and five rings.
    let world = MemoryWorld::with("spice-jar.pkn", JAR);
    let checked = pipeline::check(&world, Path::new("spice-jar.pkn"), &Options::default());
    let model = checked.model.unwrap();
    let text = pipeline::coupon::text(&model);
    let coupon = built("spice-jar-coupon.pkn", &text);
    let gaps: Vec<f64> = coupon.seats.iter().map(|s| s.gap_mm.asked).collect();
    assert_eq!(gaps.len(), 5);
    for (seat, k) in coupon.seats.iter().zip(1..) {
        let expected = 0.05 * f64::from(k);
        assert!((seat.gap_mm.asked - expected).abs() < 1e-9, "{gaps:?}");
        assert!((seat.gap_mm.least - expected).abs() < 1e-3, "pocket {k}");
        assert!(seat.overlap_mm3 < 1e-3);
    }
    let rings: Vec<f64> = coupon.lids.iter().map(|l| l.gap_mm.least).collect();
    assert_eq!(rings.len(), 5);
    for (ring, expected) in rings.iter().zip([0.1, 0.15, 0.2, 0.25, 0.3]) {
        assert!((ring - expected).abs() < 1e-3, "{rings:?}");
    }
    // Every piece of it is exact: there is a STEP file of each.
    assert_eq!(coupon.parts.len(), 14);
    for part in &coupon.parts {
        assert!(part.engines.exact_mm3.is_some(), "{}: {:?}", part.name, part.engines.reason);
        assert!(coupon.files.contains(&format!("{}.step", part.name)), "{}", part.name);
    }
    // 2. The pocket with three notches fitted: its gap goes into the printer's table.
    let told = JAR.replace("gaps { snap: 0.1 mm,", "gaps { snap: 0.15 mm,");
    assert_ne!(told, JAR);
    // 3. The jar again: every gap of that name has followed.
    let last = built("spice-jar.pkn", &told);
    assert!((last.seats[0].gap_mm.least - gaps[2]).abs() < 1e-3);
    assert!((last.lids[0].gap_mm.least - 0.2).abs() < 1e-3);
}
