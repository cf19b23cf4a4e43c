//! The house rules that a reviewer should not have to check by eye: one direction of
//! flow between rooms, crates that only one room may name, sizes of files, bans.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Crates that only the listed rooms may name.
const CRATES: [(&str, &[&str]); 12] = [
    ("truck_", &["exact"]),
    ("manifold_rust", &["mesh"]),
    ("i_overlay", &["plane"]),
    ("spade", &["plane", "mesh"]),
    ("pest", &["syntax"]),
    ("roxmltree", &["drawing"]),
    ("zip", &["output"]),
    ("stl_io", &["output"]),
    ("png", &["output"]),
    ("miette", &["cli"]),
    ("clap", &["cli"]),
    ("indicatif", &["cli"]),
];

/// The two engines realise the same model independently.
const STRANGERS: [(&str, &str); 2] = [("mesh", "exact"), ("exact", "mesh")];

/// Lines in a file, tests included; more needs a reason at its head.
const LONGEST_FILE: usize = 550;

struct File {
    room: String,
    path: PathBuf,
    /// Without comments and without the test module at the end.
    code: String,
    lines: usize,
    is_test: bool,
}

fn sources() -> Vec<File> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).expect("src is readable") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                files.push(read(&root, &path));
            }
        }
    }
    files.sort_by(|a, b| a.path.cmp(&b.path));
    assert!(files.len() > 30, "the walk found only {} files", files.len());
    files
}

fn read(root: &Path, path: &Path) -> File {
    let text = std::fs::read_to_string(path).expect("a source file is text");
    let inside = path.strip_prefix(root).expect("below src");
    let room = inside.components().next().map(|c| c.as_os_str().to_string_lossy().to_string());
    let room = room.unwrap_or_default().trim_end_matches(".rs").to_string();
    let product = text.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
    let code: Vec<&str> = product.lines().filter(|l| !l.trim_start().starts_with("//")).collect();
    let name = inside.file_name().unwrap_or_default().to_string_lossy();
    File {
        room,
        path: inside.to_path_buf(),
        code: code.join("\n"),
        lines: text.lines().count(),
        is_test: name == "tests.rs"
            || name.ends_with("_tests.rs")
            || inside.components().any(|c| c.as_os_str() == "tests"),
    }
}

/// The rooms in the order of `lib.rs`.
fn order() -> BTreeMap<String, usize> {
    let lib = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/src/lib.rs"));
    let lib = lib.expect("lib.rs is readable");
    let rooms = lib.lines().filter_map(|l| l.strip_prefix("pub mod ")?.strip_suffix(';'));
    rooms.enumerate().map(|(index, room)| (room.to_string(), index)).collect()
}

/// The rooms that a text names as `crate::ROOM`, also inside `use crate::{…}`.
fn named_rooms<'a>(code: &str, rooms: &'a BTreeMap<String, usize>) -> Vec<&'a String> {
    let grouped: Vec<&str> =
        code.split("use crate::{").skip(1).filter_map(|rest| rest.split("};").next()).collect();
    rooms
        .keys()
        .filter(|room| {
            code.contains(&format!("crate::{room}::"))
                || code.contains(&format!("crate::{room};"))
                || code.contains(&format!("pipkin::{room}"))
                || grouped.iter().any(|g| words(g).any(|w| w == room.as_str()))
        })
        .collect()
}

fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_alphanumeric() && c != '_')
}

/// Whether a text names a crate as the head of a path: `NAME::…`.
fn names_crate(code: &str, name: &str) -> bool {
    code.match_indices("::").any(|(at, _)| {
        let before = &code[..at];
        let start = before
            .rfind(|c: char| !c.is_alphanumeric() && c != '_')
            .map_or(0, |i| i + before[i..].chars().next().map_or(1, char::len_utf8));
        let head = &before[start..];
        let is_head = !before[..start].ends_with("::");
        let same = if name.ends_with('_') { head.starts_with(name) } else { head == name };
        is_head && same
    })
}

#[test]
fn rooms_use_only_rooms_above_them() {
    let rooms = order();
    assert!(rooms.len() >= 16, "lib.rs lists {} rooms", rooms.len());
    let mut wrong = Vec::new();
    for file in sources().iter().filter(|f| rooms.contains_key(&f.room)) {
        for used in named_rooms(&file.code, &rooms) {
            let upwards = rooms[used] > rooms[&file.room];
            let stranger =
                STRANGERS.iter().any(|(room, other)| file.room == *room && used == other);
            if upwards || stranger {
                wrong.push(format!("{} uses {used}", file.path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "against the flow:\n{}", wrong.join("\n"));
}

#[test]
fn every_room_has_a_head() {
    for room in order().keys() {
        let path = format!("{}/src/{room}/mod.rs", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).expect("a room has a mod.rs");
        let head: String = text.lines().take_while(|l| l.starts_with("//!")).collect();
        for word in ["In:", "Out:", "ept out"] {
            assert!(head.contains(word), "the head of {room} does not say `{word}`");
        }
    }
}

#[test]
fn each_outside_crate_stays_behind_its_room() {
    let mut wrong = Vec::new();
    let mut seen = 0;
    for file in sources() {
        for (name, allowed) in CRATES {
            if names_crate(&file.code, name) {
                seen += 1;
                if !allowed.contains(&file.room.as_str()) {
                    wrong.push(format!("{} names {name}", file.path.display()));
                }
            }
        }
    }
    assert!(seen > 5, "the search found only {seen} uses of outside crates");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_shortcuts_outside_tests() {
    let bans = [".unwrap()", ".expect(", "panic!(", "todo!(", "unimplemented!(", "unsafe "];
    let mut wrong = Vec::new();
    for file in sources().iter().filter(|f| !f.is_test) {
        for ban in bans {
            for line in file.code.lines().filter(|l| l.contains(ban)) {
                wrong.push(format!("{}: {}", file.path.display(), line.trim()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn files_stay_short() {
    let long: Vec<_> = sources()
        .iter()
        .filter(|f| f.lines > LONGEST_FILE)
        .map(|f| format!("{}: {} lines", f.path.display(), f.lines))
        .collect();
    assert!(long.is_empty(), "{}", long.join("\n"));
}

#[test]
fn the_core_neither_prints_nor_asks_the_time_nor_touches_files() {
    let bans =
        ["println!(", "Instant::now", "SystemTime::now", "std::env::", "std::fs::", "thread_rng"];
    let mut wrong = Vec::new();
    for file in sources().iter().filter(|f| !f.is_test) {
        let window = file.path.ends_with("source/world.rs");
        let outside = ["cli", "main", "server"].contains(&file.room.as_str());
        let writer = file.path.starts_with("output/replace");
        for ban in bans.iter().filter(|b| file.code.contains(**b)) {
            let may_touch_files = *ban == "std::fs::" && (window || writer);
            if !(outside || may_touch_files) {
                wrong.push(format!("{} has `{ban}`", file.path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
