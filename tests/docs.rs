//! What the documents claim is true: rooms, files, commands and codes that they name
//! exist, the two commands of the README are the ones that are tested, and no document
//! or source leads away from the repository.

use pipkin::pipeline::codes;
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn text(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// Everything between backticks on one line, outside fenced blocks.
fn quoted(document: &str) -> Vec<String> {
    let mut inside = false;
    let mut found = Vec::new();
    for line in document.lines() {
        if line.trim_start().starts_with("```") {
            inside = !inside;
        } else if !inside {
            found.extend(line.split('`').skip(1).step_by(2).map(str::to_string));
        }
    }
    found
}

/// Every Markdown file of the repository.
fn documents() -> Vec<PathBuf> {
    walk(root(), &|p| p.extension().is_some_and(|e| e == "md"))
}

fn walk(folder: &Path, wanted: &dyn Fn(&Path) -> bool) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().to_string();
        if path.is_dir() {
            if !["target", ".git", "out"].contains(&name.as_str()) {
                found.extend(walk(&path, wanted));
            }
        } else if wanted(&path) {
            found.push(path);
        }
    }
    found.sort();
    found
}

#[test]
fn files_and_folders_named_in_the_guide_exist() {
    let roots = ["src/", "tests/", "grammar/", "stdlib/", "examples/", ".ci/", "benches/"];
    let mut seen = 0;
    for document in ["DEVELOPERS.md", "README.md"] {
        for word in quoted(&text(document)) {
            let is_path =
                roots.iter().any(|r| word.starts_with(r)) && !word.contains([' ', '*', '<']);
            if is_path && !word.contains("NAME") {
                seen += 1;
                let path = word.split('#').next().unwrap_or(&word);
                assert!(root().join(path).exists(), "{document} names `{word}`");
            }
        }
    }
    assert!(seen > 20, "only {seen} paths are named");
}

#[test]
fn the_guide_names_every_room_in_order() {
    let guide = text("DEVELOPERS.md");
    let lib = text("src/lib.rs");
    let rooms: Vec<&str> =
        lib.lines().filter_map(|l| l.strip_prefix("pub mod ")?.strip_suffix(';')).collect();
    let places: Vec<usize> = rooms
        .iter()
        .map(|room| {
            let row = format!("| `{room}` |");
            guide.find(&row).unwrap_or_else(|| panic!("DEVELOPERS.md has no row {row}"))
        })
        .collect();
    assert!(places.is_sorted(), "the rows of the rooms are not in the order of lib.rs");
}

#[test]
fn commands_named_in_the_documents_exist() {
    let help = std::process::Command::new(env!("CARGO_BIN_EXE_pipkin"))
        .arg("--help")
        .output()
        .expect("the program starts");
    let help = String::from_utf8_lossy(&help.stdout).to_string();
    let mut seen = 0;
    for document in ["DEVELOPERS.md", "README.md"] {
        for word in quoted(&text(document)) {
            if let Some(rest) = word.strip_prefix("pipkin ") {
                let command = rest.split_whitespace().next().unwrap_or_default();
                let known = command.starts_with('-')
                    || help.lines().any(|l| l.trim_start().starts_with(&format!("{command} ")));
                assert!(known, "{document} names `{word}`, which the program does not know");
                seen += 1;
            }
        }
    }
    assert!(seen >= 3, "only {seen} commands are named");
}

#[test]
fn codes_named_in_the_documents_exist() {
    let codes = codes();
    for path in documents() {
        let document = std::fs::read_to_string(&path).expect("a document");
        for word in document.split(|c: char| !c.is_ascii_alphanumeric()) {
            let digits = word.get(1..).unwrap_or_default();
            let is_code = word.len() == 5
                && word.starts_with(['E', 'W', 'B'])
                && digits.bytes().all(|b| b.is_ascii_digit());
            assert!(
                !is_code || codes.iter().any(|c| c.id == word),
                "{} names {word}, which nothing raises",
                path.display()
            );
        }
    }
}

#[test]
fn the_readme_gives_two_commands_and_they_are_the_tested_ones() {
    let readme = text("README.md");
    let script = text(".ci/run");
    for command in
        ["cargo run --release -- build examples/button-jar/button-jar.pkn", "cargo test --release"]
    {
        assert!(readme.lines().any(|l| l == command), "README.md does not give `{command}`");
        assert!(script.lines().any(|l| l == command), ".ci/run does not run `{command}`");
    }
}

#[test]
fn every_example_stands_alone_and_is_described() {
    let mut count = 0;
    for entry in std::fs::read_dir(root().join("examples")).expect("examples") {
        let folder = entry.expect("an entry").path();
        let name = folder.file_name().unwrap_or_default().to_string_lossy().to_string();
        assert!(folder.join(format!("{name}.pkn")).exists(), "{name} has no {name}.pkn");
        assert!(folder.join("README.md").exists(), "{name} has no README.md");
        assert!(text("README.md").contains(&format!("examples/{name}")), "README.md: {name}");
        count += 1;
    }
    assert!(count >= 5);
}

#[test]
fn nothing_leads_out_of_the_repository() {
    let wanted = |p: &Path| {
        p.extension().is_some_and(|e| {
            ["md", "rs", "pkn", "toml", "py", "json", "pest"].iter().any(|w| e == *w)
        })
    };
    // Put together so that this file does not contain what it looks for.
    let bans = [["/wo", "rk/"].concat(), ["../sha", "red"].concat(), ["/ro", "ot/"].concat()];
    for path in walk(root(), &wanted) {
        let content = std::fs::read_to_string(&path).expect("text");
        for ban in &bans {
            assert!(!content.contains(ban.as_str()), "{} has {ban}", path.display());
        }
    }
}
