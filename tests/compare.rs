//! `pipkin compare` on a scripted history in git: ten kinds of change, each with its report
//! under `tests/compare`. After a change that is meant, `PIPKIN_BLESS=1 cargo test --release
//! --test compare` writes what is said now; read the difference before it is committed.

use std::path::Path;
use std::process::{Command, Output};

const PIPKIN: &str = env!("CARGO_BIN_EXE_pipkin");

/// One commit of the history: its name, what is replaced by what, and whether that changes form
/// or fit.
struct Step {
    name: &'static str,
    edits: &'static [(&'static str, &'static str)],
    exit: i32,
}

const HISTORY: [Step; 10] = [
    Step { name: "given", edits: &[("given bore = 40 mm", "given bore = 44 mm")], exit: 4 },
    Step {
        name: "gap",
        edits: &[("gap: 0.1 mm\n  taken_from: belt", "gap: 0.15 mm\n  taken_from: belt")],
        exit: 4,
    },
    Step { name: "motif-row", edits: &[("# # . # #", "# # # # #")], exit: 4 },
    Step { name: "material", edits: &[("base: petg", "base: abs")], exit: 4 },
    Step { name: "renamed-part", edits: &[("part cap =", "part lid =")], exit: 0 },
    Step { name: "removed-seat", edits: &[], exit: 4 },
    Step { name: "moved-level", edits: &[("level: 28 mm", "level: 26 mm")], exit: 4 },
    Step {
        name: "eased-edge",
        edits: &[("  floor: 3 mm\n", "  floor: 3 mm\n  foot: bevel 1 mm\n")],
        exit: 4,
    },
    Step {
        name: "comment",
        edits: &[(
            "let wall = 3.6 mm",
            "# as thick as the hand expects\nlet wall = 3.6 mm # eight lines",
        )],
        exit: 0,
    },
    Step {
        name: "format",
        edits: &[("{\n  closes: pot\n  gap: 0.15 mm\n", "{ closes: pot,\n    gap:   0.150 mm\n\n")],
        exit: 0,
    },
];

fn git(folder: &Path, arguments: &[&str]) {
    let output = Command::new("git")
        .current_dir(folder)
        .args(["-c", "user.name=A. Potter", "-c", "user.email=potter@example.org"])
        .args(["-c", "core.autocrlf=false", "-c", "init.defaultBranch=main"])
        .args(arguments)
        .env("GIT_AUTHOR_DATE", "2024-05-01T12:00:00Z")
        .env("GIT_COMMITTER_DATE", "2024-05-01T12:00:00Z")
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_SYSTEM", "/dev/null")
        .output()
        .expect("git is installed");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

fn pipkin(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(PIPKIN);
    command.current_dir(folder).args(arguments).output().expect("the program starts")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8 is written")
}

fn base() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/compare/pot.pkn");
    std::fs::read_to_string(path).expect("the design is there")
}

/// The first commit of a design.
fn repository(design: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    git(folder.path(), &["init", "-q"]);
    commit(folder.path(), design, "first");
    folder
}

fn commit(folder: &Path, design: &str, message: &str) {
    std::fs::write(folder.join("pot.pkn"), design).expect("a file can be written");
    git(folder, &["add", "-A"]);
    git(folder, &["commit", "-q", "-m", message]);
}

/// The text of one more commit.
fn edited(text: &str, step: &Step) -> String {
    if step.name == "removed-seat" {
        return without_sash(text);
    }
    let mut text = text.to_string();
    for (from, to) in step.edits {
        assert!(text.contains(from), "{}: there is no `{from}`", step.name);
        text = text.replacen(from, to, 1);
    }
    text
}

/// A seat goes with the part that sat in it: without one, both would claim the same space.
fn without_sash(text: &str) -> String {
    let mut text = text.to_string();
    for head in ["part sash", "seat sash"] {
        let start = text.find(head).expect("there is a sash");
        let end = start + text[start..].find("\n}\n").expect("it ends") + 3;
        text.replace_range(start..end, "");
    }
    text
}

/// How many values did not move grows with every key of the manifest.
fn counted_away(said: &str) -> String {
    let line = |line: &str| match line.trim().strip_suffix(" values unchanged") {
        Some(count) if count.parse::<usize>().is_ok_and(|n| n > 50) => {
            "  [N] values unchanged\n".to_string()
        }
        _ => format!("{line}\n"),
    };
    said.lines().map(line).collect()
}

#[test]
fn each_kind_of_change_is_told_as_written() {
    let mut design = base();
    let folder = repository(&design);
    let bless = std::env::var_os("PIPKIN_BLESS").is_some();
    let mut wrong = Vec::new();
    for step in &HISTORY {
        design = edited(&design, step);
        commit(folder.path(), &design, step.name);
        let output = pipkin(folder.path(), &["compare", "HEAD~1:pot.pkn", "HEAD:pot.pkn"]);
        let said = counted_away(&(text(&output.stdout) + &text(&output.stderr)));
        assert_eq!(output.status.code(), Some(step.exit), "{}: {said}", step.name);
        let path = format!("{}/tests/compare/{}.txt", env!("CARGO_MANIFEST_DIR"), step.name);
        let written = std::fs::read_to_string(&path).unwrap_or_default();
        if bless {
            std::fs::write(&path, &said).expect("a report can be written");
        } else if said != written {
            wrong.push(format!("{}, written:\n{written}\nsaid:\n{said}", step.name));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The work tree against the last commit; a comment says that nothing changed, in these words.
#[test]
fn a_file_alone_is_compared_with_the_last_commit() {
    let design = base();
    let folder = repository(&design);
    std::fs::write(folder.path().join("pot.pkn"), format!("# new\n\n{design}")).expect("a file");
    let output = pipkin(folder.path(), &["compare", "pot.pkn"]);
    let said = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert!(said.contains("HEAD:pot.pkn -> pot.pkn: nothing changed in form or fit"), "{said}");
    assert!(!said.contains("\nsaid\n"), "{said}");
}

/// A pot that no longer holds what its rule wants; only `--fail-on fit` fails for it.
#[test]
fn a_limit_that_is_crossed_stands_first_and_can_fail_the_run() {
    let folder = repository(&base());
    let small = base().replace("given bore = 40 mm", "given bore = 36 mm");
    std::fs::write(folder.path().join("pot.pkn"), &small).expect("a file");
    let output = pipkin(folder.path(), &["compare", "pot.pkn"]);
    let said = text(&output.stdout);
    assert_eq!(output.status.code(), Some(4), "{said}");
    let followed = said.split("followed\n").nth(1).expect("values moved");
    assert!(followed.lines().nth(1).is_some_and(|l| l.contains("CROSSED")), "{said}");
    let strict = ["compare", "pot.pkn", "--fail-on", "fit"];
    assert_eq!(pipkin(folder.path(), &strict).status.code(), Some(1));
}

/// Files that a design uses come from its own revision, and a folder stands for its design.
#[test]
fn used_files_come_from_the_revision() {
    let folder = tempfile::tempdir().expect("a folder");
    let inside = folder.path().join("pots/pot");
    std::fs::create_dir_all(&inside).expect("folders");
    git(folder.path(), &["init", "-q"]);
    std::fs::write(inside.join("size.pkn"), "let high = 8 mm\n").expect("a file");
    let root = "use \"size.pkn\"\n\
        part peg = rod { diameter: 8 mm, height: size.high, material: pla }\n";
    commit(&inside, root, "first");
    std::fs::write(inside.join("size.pkn"), "let high = 9 mm\n").expect("a file");
    commit(&inside, root, "higher");
    for (at, side) in [(folder.path(), "pots/pot"), (inside.as_path(), ".")] {
        let sides = [format!("HEAD~1:{side}"), format!("HEAD:{side}")];
        let output = pipkin(at, &["compare", &sides[0], &sides[1], "--report", "json"]);
        let said = text(&output.stdout);
        assert_eq!(output.status.code(), Some(4), "{said}{}", text(&output.stderr));
        let report: serde_json::Value = serde_json::from_str(&said).expect("it is JSON");
        assert_eq!(report["meaning"][0]["name"], "size.high", "{said}");
        assert_eq!(report["meaning"][0]["old"], "8 mm");
        assert_eq!(report["meaning"][0]["new"], "9 mm");
        // A round of 8 mm and 1 mm: pi / 4 d2 h (closed form), to the chords of the facets.
        let added = report["form"][0]["added_mm3"].as_f64().expect("a number");
        assert!((added - std::f64::consts::PI * 16.0).abs() < 0.05, "{added}");
        assert_eq!(report["form"][0]["removed_mm3"], 0.0);
        assert_eq!(report["form"][0]["moved"]["distance_mm"], 1.0);
    }
}

/// Of a manifest its values are known, and no form.
#[test]
fn a_manifest_is_compared_by_its_values() {
    let folder = repository(&base());
    let built = pipkin(folder.path(), &["build", "-q", "pot.pkn"]);
    assert!(built.status.success());
    let sides = ["out/pot.manifest.json", "pot.pkn"];
    let output = pipkin(folder.path(), &["compare", sides[0], sides[1]]);
    let said = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert!(said.contains("form not compared, no source"), "{said}");
    let larger = ["compare", sides[0], sides[1], "--set", "bore=50mm"];
    let output = pipkin(folder.path(), &larger);
    let said = text(&output.stdout);
    assert_eq!(output.status.code(), Some(4), "{said}");
    assert!(said.contains("given  bore  40 mm  50 mm"), "{said}");
}

#[test]
fn sides_that_are_none_are_refused_by_name() {
    let folder = repository(&base());
    let path = folder.path();
    std::fs::write(path.join("a.json"), "{}").expect("a file");
    std::fs::create_dir(path.join("empty")).expect("a folder");
    let cases = [
        ("v9:pot.pkn", "E0940"),
        ("--:pot.pkn", "E0940"),
        ("HEAD:jar.pkn", "E0931"),
        ("HEAD:../../jar.pkn", "E0931"),
        ("jar.pkn", "E0931"),
        ("empty", "E0941"),
        ("a.json", "E0942"),
    ];
    for (side, code) in cases {
        let output = pipkin(path, &["compare", "--", side, "pot.pkn"]);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{side}: {said}");
        assert!(said.contains(code), "{side}: {said}");
    }
}

/// All forms of a report, twice into one folder; the page needs nothing else.
#[test]
fn a_report_is_written_in_all_forms() {
    let folder = repository(&base());
    let changed = base().replace("level: 28 mm", "level: 26 mm");
    std::fs::write(folder.path().join("pot.pkn"), &changed).expect("a file");
    let arguments = ["compare", "pot.pkn", "--out", "seen", "--report", "markdown"];
    let read = |name: &str| std::fs::read(folder.path().join("seen").join(name)).expect("a file");
    let names = ["comparison.html", "comparison.json", "comparison.md"];
    let pictures = ["before.png", "after.png", "difference.png", "section.svg"];
    let mut first: Vec<Vec<u8>> = Vec::new();
    for _ in 0..2 {
        let output = pipkin(folder.path(), &arguments);
        let said = text(&output.stdout);
        assert_eq!(output.status.code(), Some(4), "{said}{}", text(&output.stderr));
        assert!(said.starts_with("### form or fit changed\n"), "{said}");
        assert!(said.contains("| part | belt, level | 28 mm | 26 mm |"), "{said}");
        let all = names.iter().chain(&pictures).map(|name| read(&format!("pot.{name}")));
        let all: Vec<Vec<u8>> = all.collect();
        assert!(first.is_empty() || first == all, "the same sides give the same bytes");
        first = all;
    }
    let page = text(&read("pot.comparison.html"));
    assert_eq!(page.matches("src=\"data:image/").count(), pictures.len());
    assert_eq!(page.matches("src=").count(), pictures.len());
    assert!(!page.contains("href=") && !page.contains("<script"), "the page asks for something");
    let markdown = text(&read("pot.comparison.md"));
    for picture in pictures {
        assert!(markdown.contains(&format!("(pot.{picture})")), "{markdown}");
    }
    // Added and removed are drawn in lines and in dots: other colours are not needed.
    let section = text(&read("pot.section.svg"));
    assert!(section.contains("class=\"lines\"") && section.contains("class=\"dots\""));
    let report: serde_json::Value =
        serde_json::from_slice(&read("pot.comparison.json")).expect("it is JSON");
    assert_eq!(report["changed"], true);
    assert_eq!(report["files"].as_array().map(Vec::len), Some(names.len() + pictures.len()));
    // Somebody else's file of such a name is not touched.
    std::fs::create_dir(folder.path().join("mine")).expect("a folder");
    std::fs::write(folder.path().join("mine/pot.before.png"), "mine").expect("a file");
    let output = pipkin(folder.path(), &["compare", "pot.pkn", "--out", "mine"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("E0913"));
}

/// A side with errors: what the texts say is told all the same, and the run fails.
#[test]
fn a_side_with_errors_is_told_as_far_as_it_can_be_read() {
    let folder = repository(&base());
    let changed = base().replace("level: 28 mm", "level: 28 deg");
    std::fs::write(folder.path().join("pot.pkn"), &changed).expect("a file");
    let output = pipkin(folder.path(), &["compare", "pot.pkn"]);
    let said = text(&output.stdout);
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(said.contains("part  belt, level  28 mm  28 deg"), "{said}");
    assert!(said.contains("pot.pkn has errors: values and form not compared"), "{said}");
    assert!(text(&output.stderr).contains("E0301 unit-mismatch"));
}

/// git's own differences, once it is told: the declaration above a change, and values of built
/// files instead of bytes.
#[cfg(unix)]
#[test]
fn git_is_set_up_and_then_tells_declarations_and_values() {
    let folder = repository(&base());
    let path = folder.path();
    let shown = text(&pipkin(path, &["setup-git"]).stdout);
    assert!(shown.contains("nothing is written yet"), "{shown}");
    assert!(!path.join(".gitattributes").exists());
    std::fs::write(path.join(".gitattributes"), "*.png binary").expect("a file");
    assert!(pipkin(path, &["setup-git", "--write"]).status.success());
    let attributes = std::fs::read_to_string(path.join(".gitattributes")).expect("it is there");
    assert!(attributes.starts_with("*.png binary\n*.pkn text eol=lf diff=pkn\n"), "{attributes}");
    let again = text(&pipkin(path, &["setup-git", "--write"]).stdout);
    assert_eq!(again, "git knows all of it already\n");

    assert!(pipkin(path, &["build", "-q", "pot.pkn"]).status.success());
    git(path, &["add", "-A"]);
    git(path, &["commit", "-q", "-m", "built"]);
    let changed =
        base().replace("level: 28 mm", "level: 27 mm").replace("gap: 0.15 mm", "gap: 0.2 mm");
    std::fs::write(path.join("pot.pkn"), changed).expect("a file");
    assert!(pipkin(path, &["build", "-q", "pot.pkn"]).status.success());
    let programs = Path::new(PIPKIN).parent().expect("a folder").display().to_string();
    let system = std::env::var_os("PATH").unwrap_or_default();
    let search = format!("{programs}:{}", system.to_string_lossy());
    let output = Command::new("git")
        .current_dir(path)
        .args(["diff", "-U0", "--", "pot.pkn", "out/cap.stl", "out/pot.manifest.json"])
        .env("PATH", search)
        .output()
        .expect("git is installed");
    let said = text(&output.stdout);
    assert!(said.contains("@@ part belt = inlay {"), "{said}");
    assert!(said.contains("@@ part cap = plug_lid {"), "{said}");
    for line in ["-cap on pot, gap, asked: 0.15 mm", "+cap on pot, gap, asked: 0.2 mm"] {
        assert!(said.lines().any(|l| l == line), "{said}");
    }
    assert!(said.contains("\n+volume: "), "{said}");
    assert!(!said.contains("Binary files"), "{said}");

    let stranger = pipkin(path, &["tell", "pot.pkn"]);
    assert_eq!(stranger.status.code(), Some(1));
    assert!(text(&stranger.stderr).contains("E0943"));
    let outside = tempfile::tempdir().expect("a folder");
    let refused = pipkin(outside.path(), &["setup-git"]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(text(&refused.stderr).contains("E0944"));
}
