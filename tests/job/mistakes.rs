//! Bad input: each has its own finding, exit code 1, and nothing is written.

use crate::tools::pipkin;
use std::path::Path;

/// A text with one mistake, the name of the finding, and words that must be in it.
const MISTAKES: [(&str, &str, &str); 16] = [
    ("", "nothing-to-make", ""),
    ("let x = 1 mm", "nothing-to-make", ""),
    ("let x = 0 / 0", "division-by-zero", ""),
    ("let x = 5 mm / (2 mm - 2 mm)", "division-by-zero", ""),
    ("let x = sqrt(-1)", "outside-domain", "-1"),
    ("let x = 1 mm + 2 deg", "unit-mismatch", "an angle"),
    ("let x = bor", "unknown-name", "bor"),
    ("let a = b\nlet b = a", "cycle", "a"),
    ("shape s(x) = t(x)\nshape t(x) = s(x)\nlet v = s(1)", "cycle", "s"),
    ("let x = 1000000000 of rod { diameter: 1 mm, height: 1 mm } along (2 mm, 0 mm)", "", "10000"),
    ("let x = [0 .. 1000000000]", "", "10000"),
    ("given bore = 300 mm from 10 mm to 20 mm", "", "20 mm"),
    ("use std.nothing", "unknown-library", "nothing"),
    ("use \"missing.pkn\"", "file-missing", "missing.pkn"),
    ("use \"../outside.pkn\"", "outside-folder", ""),
    ("use \"self.pkn\"", "cycle", ""),
];

/// Runs a build of `text` in a fresh folder; gives exit code and standard error, and
/// checks that nothing was left behind.
fn build(text: &[u8]) -> (Option<i32>, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let inside = folder.path().join("work");
    std::fs::create_dir(&inside).expect("a folder");
    std::fs::write(folder.path().join("outside.pkn"), "let x = 1").expect("a file");
    std::fs::write(inside.join("self.pkn"), "use \"self.pkn\"\n").expect("a file");
    std::fs::write(inside.join("case.pkn"), text).expect("a file");
    let done = pipkin(&["build", "--message-format", "short", "case.pkn"], &inside, "2");
    let mut left: Vec<_> = std::fs::read_dir(&inside)
        .expect("a folder")
        .map(|e| e.expect("an entry").file_name().to_string_lossy().to_string())
        .collect();
    left.sort();
    assert_eq!(left, ["case.pkn", "self.pkn"], "something was written");
    (done.status.code(), String::from_utf8_lossy(&done.stderr).to_string())
}

#[test]
fn each_mistake_has_its_finding_and_nothing_is_written() {
    let mut wrong = Vec::new();
    for (text, name, words) in MISTAKES {
        let (code, said) = build(text.as_bytes());
        if code != Some(1) || !said.contains(name) || !said.contains(words) {
            wrong.push(format!("{text:?}: wanted {name} {words:?}, exit {code:?}, said:\n{said}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn monstrous_files_are_refused_at_once() {
    let cases: [(&str, Vec<u8>, &str); 5] = [
        ("binary", vec![0xff, 0xfe, 0x00, 0x80, 0xc3], "not-text"),
        ("10 MB", vec![b'a'; 10_000_000], "file-too-large"),
        ("parentheses", "(".repeat(100_000).into_bytes(), "too-deep"),
        (
            "closed",
            format!("let x = {}1{}", "(".repeat(100_000), ")".repeat(100_000)).into(),
            "too-deep",
        ),
        ("a null byte", b"let x = 1\0".to_vec(), ""),
    ];
    for (what, text, name) in cases {
        let (code, said) = build(&text);
        assert_eq!(code, Some(1), "{what}: {said}");
        assert!(said.contains(name), "{what}: wanted {name}, said:\n{said}");
    }
}

#[test]
fn several_mistakes_come_out_of_one_run() {
    let text = "let a = 1 mm + 2 deg\nlet b = nobody\nlet c = \nlet d = 1 / 0\n\
                part p = solid { form: blok { size: (1 mm, 1 mm, 1 mm) } }\n";
    let (code, said) = build(text.as_bytes());
    assert_eq!(code, Some(1));
    for line in 1..=5 {
        assert!(
            said.contains(&format!("case.pkn:{line}:")),
            "nothing about line {line} in\n{said}"
        );
    }
}

#[test]
fn missing_and_unreadable_files_are_findings() {
    let folder = tempfile::tempdir().expect("a folder");
    let done = pipkin(&["build", "nobody.pkn"], folder.path(), "1");
    assert_eq!(done.status.code(), Some(1), "{}", String::from_utf8_lossy(&done.stderr));
    let said = String::from_utf8_lossy(&done.stderr);
    assert!(said.contains("nobody.pkn"), "{said}");
    assert!(Path::new(folder.path()).read_dir().expect("a folder").next().is_none());
}
