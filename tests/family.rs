//! Families: every size of a design, what was measured of each, and the sheet that tells it.

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::path::Path;
use std::process::{Command, Output};

const JAR: &str = include_str!("../examples/button-jar/button-jar.pkn");

fn folder(text: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("jar.pkn"), text).expect("a file");
    folder
}

fn pipkin(folder: &Path, threads: &str, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_pipkin"));
    command.current_dir(folder).env("RAYON_NUM_THREADS", threads);
    command.args(arguments).output().expect("the program starts")
}

fn said(output: &Output) -> String {
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout.clone()).expect("UTF-8 is written")
}

/// All files below a folder by their path from there.
fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a name").to_string_lossy().to_string();
        if path.is_dir() {
            let inside = contents(&path).into_iter();
            found.extend(inside.map(|(inner, bytes)| (format!("{name}/{inner}"), bytes)));
        } else {
            found.insert(name, std::fs::read(&path).expect("a file"));
        }
    }
    found
}

/// Values by column of each row of a table of ours; no field of ours holds a comma.
fn rows(csv: &str) -> Vec<BTreeMap<String, String>> {
    let mut lines = csv.lines();
    let heads: Vec<&str> = lines.next().expect("heads").split(',').collect();
    let row = |line: &str| {
        let fields = line.split(',').map(str::to_string);
        heads.iter().map(|h| h.to_string()).zip(fields).collect()
    };
    lines.map(row).collect()
}

#[test]
fn every_size_comes_out_as_if_it_were_built_alone_with_any_number_of_threads() {
    let folder = folder(JAR);
    for threads in ["1", "2", "5"] {
        let out = format!("all{threads}");
        said(&pipkin(folder.path(), threads, &["build", "jar.pkn", "--every-size", "--out", &out]));
    }
    for size in ["thimble", "pantry"] {
        let arguments = ["build", "jar.pkn", "--size", size, "--out", "alone"];
        said(&pipkin(folder.path(), "2", &arguments));
    }
    let alone = contents(&folder.path().join("alone"));
    // Nine files each, and two more plates for the large one.
    assert_eq!(alone.len(), 20, "{:?}", alone.keys());
    for threads in ["1", "2", "5"] {
        let all = contents(&folder.path().join(format!("all{threads}")));
        let differ: Vec<_> = alone.iter().filter(|(k, v)| all.get(*k) != Some(v)).collect();
        assert!(differ.is_empty() && all.len() == alone.len(), "{threads} threads: {differ:?}");
    }
}

#[test]
fn a_size_that_fails_stops_no_other_and_is_named() {
    // 46 mm across and 41 mm deep hold 68 ml, the design asks for 80.
    let text = JAR.replace("  thimble:", "  tiny: bore = 46 mm, deep = 41 mm\n  thimble:");
    let folder = folder(&text);
    let built = pipkin(folder.path(), "2", &["build", "jar.pkn", "--every-size"]);
    assert_eq!(built.status.code(), Some(1));
    let complaint = String::from_utf8_lossy(&built.stderr).to_string();
    assert!(complaint.contains("1 of 3 sizes were not built: tiny\n"), "{complaint}");
    assert!(complaint.contains("E0405 require-fails"), "{complaint}");
    let out = contents(&folder.path().join("out"));
    assert!(out.keys().all(|k| !k.starts_with("tiny/")));
    for size in ["thimble", "pantry"] {
        assert!(out.contains_key(&format!("{size}/jar.manifest.json")), "{size} is missing");
    }
    let table = pipkin(folder.path(), "2", &["sizes", "jar.pkn", "--report", "csv"]);
    assert_eq!(table.status.code(), Some(1));
    let table = rows(&String::from_utf8_lossy(&table.stdout));
    // Beside warnings.
    let failed: Vec<bool> = table.iter().map(|row| row["findings"].contains("E0405")).collect();
    assert_eq!(failed, [false, true, false, false]);
}

// The inside of a `vessel` is a cylinder of its bore and depth: V = pi/4 d^2 h (Archimedes, On
// the Sphere and Cylinder; any table of solids).
#[test]
fn the_table_of_sizes_agrees_with_the_closed_form_of_a_cylinder() {
    let folder = folder(JAR);
    let table = said(&pipkin(folder.path(), "2", &["sizes", "jar.pkn", "--report", "csv"]));
    let table = rows(&table);
    let names: Vec<&str> = table.iter().map(|row| row["size"].as_str()).collect();
    assert_eq!(names, ["as written", "thimble", "pantry"]);
    for row in &table {
        let number = |name: &str| row[name].parse::<f64>().expect("a number");
        let (bore, deep) = (number("bore [mm]"), number("deep [mm]"));
        let expected_ml = PI / 4.0 * bore * bore * deep / 1000.0;
        assert!((number("jar holds [ml]") - expected_ml).abs() < 1e-5 * expected_ml, "{row:?}");
        // Wall of 3.6 mm on both sides; the lid's flange stands 1.2 mm out on each.
        assert!((number("width [mm]") - (bore + 7.2 + 2.4)).abs() < 1e-6, "{row:?}");
    }
}

#[test]
fn the_sheet_fits_on_a_screen_and_says_the_same_as_markdown() {
    let folder = folder(JAR);
    let text = said(&pipkin(folder.path(), "2", &["build", "jar.pkn"]));
    assert!((12..=24).contains(&text.lines().count()), "{text}");
    let kinds = ["part", "seat", "lid", "ring", "print", "require", "caution"];
    let places: Vec<_> = kinds.map(|k| text.find(&format!("\n  {k:<8} "))).to_vec();
    assert!(places.iter().all(Option::is_some) && places.is_sorted(), "{text}");
    let arguments = ["build", "jar.pkn", "--sheet", "markdown"];
    let markdown = said(&pipkin(folder.path(), "2", &arguments));
    // Without heads and rules, one line of a table for each line of the text.
    let tables: Vec<&str> = markdown.lines().filter(|l| l.starts_with('|')).collect();
    let heads = tables.iter().filter(|l| l.starts_with("| ---")).count();
    assert_eq!(tables.len() - 2 * heads, text.lines().count() - 2, "{markdown}");
    assert!(markdown.contains("| belt in jar | gap 0.1 to 0.139 mm"), "{markdown}");
    // Columns stand under each other.
    let columns: Vec<_> = text.lines().filter_map(|l| l.find(" exact, ")).collect();
    assert!(columns.len() == 3 && columns.iter().all(|c| *c == columns[0]), "{text}");
}

const SWEEP: [&str; 6] =
    ["sweep", "jar.pkn", "--vary", "bore=40mm..60mm/2mm", "--vary", "deep=40mm,60mm"];

/// What a sweep wrote, by name.
fn swept(folder: &Path) -> BTreeMap<String, String> {
    let files = contents(&folder.join("sweep")).into_iter();
    files.map(|(name, bytes)| (name, String::from_utf8(bytes).expect("text"))).collect()
}

#[test]
fn a_sweep_counts_what_fails_and_says_where_limits_are_crossed() {
    let folder = folder(JAR);
    let told = said(&pipkin(folder.path(), "2", &SWEEP));
    // 40, 42 and 44 mm are below what `bore` permits, at both depths; at 40 mm deep the jar holds
    // pi/4 d^2 h >= 80 ml from d = sqrt(4 * 80000 / (40 pi)) = 50.463 mm on.
    assert!(told.contains("22 variants, 16 measured, 9 failed"), "{told}");
    assert!(told.contains(" in 6 of them"), "{told}");
    assert!(told.contains("E0405 in 3 of them"), "{told}");
    assert!(
        told.contains("jar.capacity >= 80 ml crosses 80 ml between bore 50mm and 52mm"),
        "{told}"
    );
    let place = told.split("near ").nth(1).and_then(|t| t.split(' ').next()).expect("a place");
    let place: f64 = place.parse().expect("a number");
    // A straight line between two points of a parabola misses it by less than h^2 / 8 d.
    assert!((place - (4.0 * 80_000.0 / (40.0 * PI)).sqrt()).abs() < 0.02, "{told}");
    let files = swept(folder.path());
    let table = rows(&files["jar.sweep.csv"]);
    assert_eq!(table.len(), 22);
    for row in table.iter().filter(|row| !row["mass [g]"].is_empty()) {
        let [bore, deep] = ["bore", "deep"].map(|n| row[n].trim_end_matches("mm").parse::<f64>());
        let (bore, deep) = (bore.expect("a number"), deep.expect("a number"));
        let expected_ml = PI / 4.0 * bore * bore * deep / 1000.0;
        let found: f64 = row["jar holds [ml]"].parse().expect("a number");
        assert!((found - expected_ml).abs() < 1e-5 * expected_ml, "{row:?}");
    }
    let chart = &files["jar.sweep.svg"];
    assert!(chart.contains("<circle") && chart.contains("jar holds [ml]"), "no crossing is marked");
}

#[test]
fn a_sweep_that_was_stopped_goes_on_and_ends_alike() {
    let folder = folder(JAR);
    said(&pipkin(folder.path(), "2", &SWEEP));
    let whole = swept(folder.path());
    let path = folder.path().join("sweep/jar.sweep.jsonl");
    // As if it had been killed while it wrote the sixth variant.
    let kept: Vec<&str> = whole["jar.sweep.jsonl"].split_inclusive('\n').take(5).collect();
    std::fs::write(&path, kept.concat() + "{\"key\":\"12").expect("a file");
    let told = said(&pipkin(folder.path(), "1", &SWEEP));
    assert!(told.contains("5 variants were known from an earlier run"), "{told}");
    let again = swept(folder.path());
    for ending in ["csv", "md", "svg"] {
        let name = format!("jar.sweep.{ending}");
        assert_eq!(again[&name], whole[&name], "{name}");
    }
    // Another text knows nothing of this one.
    std::fs::write(folder.path().join("jar.pkn"), JAR.replace("3.6 mm", "3.8 mm")).expect("a file");
    let told = said(&pipkin(folder.path(), "2", &SWEEP));
    assert!(!told.contains("earlier run"), "{told}");
}

#[test]
fn sweeps_that_make_no_sense_are_refused() {
    let folder = folder(JAR);
    let refused = [
        (&["--vary", "bore"][..], "bore=40mm..140mm/5mm"),
        (&["--vary", "bohr=1mm,2mm"], "there is no given called `bohr`"),
        (&["--vary", "bore=50mm,60mm", "--set", "bore=50mm"], "E0950 given-twice"),
        (
            &["--vary", "bore=50mm..60mm/0.01mm", "--vary", "deep=50mm..60mm/0.01mm"],
            "E0951 too-many-variants",
        ),
        (&["--vary", "bore=50mm,60mm", "--show", "weight"], "E0952 no-such-value"),
    ];
    for (arguments, complaint) in refused {
        let arguments = [&["sweep", "jar.pkn"], arguments].concat();
        let output = pipkin(folder.path(), "2", &arguments);
        let words = String::from_utf8_lossy(&output.stderr).to_string();
        assert!(words.contains(complaint), "{arguments:?}: {words}");
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    }
}
