//! Every letter of the alphabet let into a wall, eased, on cylinder and cones: both bodies
//! exact, the gap kept, nothing wrong.

use crate::tools::{build_text, findings, manifest};
use pipkin::diagnostics::Severity;
use pipkin::pipeline::Options;
use rayon::prelude::*;

/// A word goes about half round the cup.
const WORDS: [&str; 10] = [
    "Zoë",
    "Jürgen",
    "Øyvind",
    "ABCDEFGHI",
    "KLMNOPQRST",
    "UVWXYZÅÆß",
    "abcdefghijkl",
    "mnopqrstuvwxz",
    "0123456789",
    "éèêñçõ&?!+",
];

/// Gap, mm, and taper, deg.
const KINDS: [(f64, i32); 3] = [(0.1, 4), (0.2, 0), (0.05, -3)];

fn wrong(word: &str, (gap, taper): (f64, i32)) -> Option<String> {
    let text = format!(
        "material a {{ base: pla, colour: #dddddd }}\nmaterial b {{ base: pla, colour: #446644 }}\n\
         let word = lettering {{ text: \"{word}\", height: 15 mm, weight: 2.4 mm }}\n\
         part cup = vessel {{\n  bore: 76 mm\n  depth: 90 mm\n  wall: 3.6 mm\n  \
         taper: {taper} deg\n  material: a\n}}\n\
         part name = inlay {{\n  on: cup.outside\n  figure: word\n  level: 50 mm\n  \
         sink: 1.6 mm\n  ease: 45 deg\n  material: b\n}}\n\
         seat name in cup {{ gap: {gap} mm, taken_from: name }}\n"
    );
    let built = build_text(&text, &Options::default());
    if built.findings.iter().any(|d| d.severity == Severity::Error) {
        return Some(format!("{word} {gap} {taper}: {}", findings(&built)));
    }
    let manifest = manifest(&built);
    let told = |part: usize| &manifest["parts"][part];
    let least = manifest["seats"][0]["gap_mm"]["least"].as_f64();
    let exact = (0..2).all(|part| told(part)["form"] == "exact");
    let kept = least.is_some_and(|least| least >= gap - 0.001);
    let engines = [0, 1].map(|part| told(part)["engines"].clone());
    (!exact || !kept).then(|| format!("{word} {gap} {taper}: least {least:?}, {engines:?}"))
}

#[test]
fn every_letter_goes_into_a_wall() {
    let names = WORDS[..3].iter().flat_map(|w| KINDS.map(|kind| (*w, kind)));
    let others = WORDS.iter().enumerate().skip(3).map(|(i, w)| (*w, KINDS[i % 3]));
    let cases: Vec<_> = names.chain(others).collect();
    let wrong: Vec<String> = cases.par_iter().filter_map(|(w, kind)| wrong(w, *kind)).collect();
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}
