//! The specification of the language, run: every block of `tests/conformance/*.md` is checked,
//! and gives exactly the findings that are marked in it.
//!
//! - ```` ```pkn ```` is a file. ```` ```pkn prelude ```` stands before each block that follows in its
//!   chapter. ```` ```pkn file=feet.pkn ```` is another file beside the blocks that follow in its section.
//! - `#! E0301 unit-mismatch` at the end of a line: that finding on that line. Several are parted
//!   by commas. `#!^ …` means the line before, `#!^3 …` the third line before.

use pipkin::diagnostics::Diagnostic;
use pipkin::pipeline::{Options, check};
use pipkin::source::MemoryWorld;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The path under which a block is checked.
const ROOT: &str = "/design/block.pkn";

/// One block of a chapter.
struct Block {
    /// Its first line in the chapter, from 1.
    line: usize,
    text: String,
    /// Lines of the prelude before it.
    prelude: String,
    files: BTreeMap<String, String>,
}

/// A finding: its line in the chapter (0 without a place), its code and its name.
type Mark = (usize, String);

/// The blocks of a chapter.
fn blocks(chapter: &str) -> Vec<Block> {
    let mut found = Vec::new();
    let mut prelude = String::new();
    let mut files = BTreeMap::new();
    let mut open: Option<(String, usize, String)> = None;
    for (i, line) in chapter.lines().enumerate() {
        match (&mut open, line.strip_prefix("```")) {
            (Some((info, start, text)), Some(_)) => {
                let text = std::mem::take(text);
                if info == "pkn prelude" {
                    prelude = text;
                } else if let Some(name) = info.strip_prefix("pkn file=") {
                    files.insert(name.to_string(), text);
                } else if info == "pkn" {
                    let (prelude, files) = (prelude.clone(), files.clone());
                    found.push(Block { line: *start, text, prelude, files });
                } else {
                    assert!(!info.starts_with("pkn"), "line {start}: what is `{info}`?");
                }
                open = None;
            }
            (Some((_, _, text)), None) => {
                text.push_str(line);
                text.push('\n');
            }
            (None, Some(info)) => open = Some((info.trim().to_string(), i + 2, String::new())),
            (None, None) => {
                if line.starts_with('#') {
                    files.clear();
                }
            }
        }
    }
    assert!(open.is_none(), "a block is never closed");
    found
}

/// The findings that a block says it gives.
fn marked(block: &Block) -> BTreeSet<Mark> {
    let mut marks = BTreeSet::new();
    for (i, line) in block.text.lines().enumerate() {
        let Some((_, mark)) = line.split_once("#!") else { continue };
        let here = block.line + i;
        let digits = |text: &str| text.chars().take_while(char::is_ascii_digit).count();
        let (at, list) = if let Some(rest) = mark.strip_prefix('^') {
            let count = rest[..digits(rest)].parse().unwrap_or(1);
            (here - count, &rest[digits(rest)..])
        } else {
            (here, mark)
        };
        for one in list.split(',') {
            marks.insert((at, one.trim().to_string()));
        }
    }
    marks
}

/// All findings about a text.
fn findings(block: &Block) -> Vec<(usize, Diagnostic)> {
    let mut world = MemoryWorld::with(ROOT, format!("{}{}", block.prelude, block.text));
    for (name, text) in &block.files {
        let path = match name.strip_prefix("../") {
            Some(name) => Path::new("/").join(name),
            None => Path::new("/design").join(name),
        };
        world.insert(path, text.clone());
    }
    let checked = check(&world, Path::new(ROOT), &Options::default());
    let place = |finding: &Diagnostic| {
        let Some(primary) = &finding.primary else { return 0 };
        let line = checked.sources.position(primary.span).line;
        // Findings in the prelude or in another file get a line that no mark can have.
        match line.checked_sub(block.prelude.lines().count()) {
            Some(line)
                if line > 0 && checked.sources.name(primary.span.file).ends_with("block.pkn") =>
            {
                block.line + line - 1
            }
            _ => usize::MAX - line,
        }
    };
    checked.findings.iter().map(|finding| (place(finding), finding.clone())).collect()
}

/// What is wrong with a block, a line each.
fn complaints(block: &Block) -> Vec<String> {
    let marked = marked(block);
    let mut given = BTreeSet::new();
    let mut wrong = Vec::new();
    for (line, finding) in findings(block) {
        let mark = (line, format!("{} {}", finding.code.id, finding.code.name));
        if !marked.contains(&mark) {
            let (code, message) = (&mark.1, &finding.message);
            wrong.push(format!("line {line}: not marked: {code}: {message}"));
        }
        given.insert(mark);
    }
    for (line, code) in marked.difference(&given) {
        wrong.push(format!("line {line}: marked, but not given: {code}"));
    }
    wrong
}

fn chapters() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/conformance");
    let mut chapters: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "md"))
        .map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, std::fs::read_to_string(path).unwrap())
        })
        .collect();
    chapters.sort();
    chapters
}

#[test]
fn every_block_gives_exactly_the_findings_that_are_marked() {
    let mut wrong = Vec::new();
    let mut count = 0;
    for (name, text) in chapters() {
        for block in blocks(&text) {
            count += 1;
            wrong.extend(complaints(&block).into_iter().map(|w| format!("{name} {w}")));
        }
    }
    assert!(count > 0);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_code_of_the_syntax_is_in_the_specification() {
    let all: BTreeSet<String> = chapters()
        .iter()
        .flat_map(|(_, text)| blocks(text))
        .flat_map(|block| marked(&block))
        .map(|(_, code)| code)
        .collect();
    for code in pipkin::syntax::codes::CODES {
        let mark = format!("{} {}", code.id, code.name);
        assert!(all.contains(&mark), "{mark} is in no chapter");
    }
}

/// The harness itself: it sees a mark too many, one too few, and one on the wrong line.
#[test]
fn a_wrong_mark_does_not_pass() {
    let complaints_of = |text: &str| {
        let chapter = format!("```pkn\n{text}\n```\n");
        blocks(&chapter).iter().flat_map(complaints).count()
    };
    let part =
        "material clay { base: pla, colour: #b5623f }\npart a = block { size: (1 mm, 1 mm, 1 mm) }";
    assert_eq!(complaints_of(part), 0);
    assert_eq!(complaints_of(&format!("{part}\nlet a1 = 1.")), 1);
    assert_eq!(complaints_of(&format!("{part}\nlet a1 = 1. #! E0108 bad-number")), 0);
    assert_eq!(complaints_of(&format!("{part}\nlet a1 = 1. #! E0107 bad-colour")), 2);
    assert_eq!(complaints_of(&format!("{part} #! E0108 bad-number\nlet a1 = 1.")), 2);
    assert_eq!(complaints_of(&format!("{part}\nlet a1 = 1 #! E0108 bad-number")), 1);
}
