//! The formatter and the parser under texts that nobody writes: pieces of our own texts, cut,
//! mixed and spoilt. Whatever comes, nothing panics or hangs; a text with mistakes is refused;
//! any other comes out with the same tokens and comments, and twice is once.
//!
//! `cargo test --release --bench fuzz -- --seconds 600 --seed 1`
//! prints how many texts were tried. An input that fails is printed whole, with what to type to
//! see it again.
// The one limit of a run is time.
#![allow(clippy::disallowed_methods)]

use pipkin::format::{FormatRefused, format};
use pipkin::syntax::{self, TokenKind};
use std::panic::catch_unwind;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Nothing of this length may take longer than this: issue of a quadratic path, not of a slow
/// machine.
const PATIENCE: Duration = Duration::from_secs(5);

/// Longest text that is tried, bytes.
const LONGEST: usize = 4000;

/// Signs and words that mean something to the language.
const WORDS: [&str; 40] = [
    "{",
    "}",
    "(",
    ")",
    "[",
    "]",
    ",",
    ":",
    "=",
    "..",
    ".",
    "\n",
    "\n\n",
    " ",
    "\t",
    "#",
    "## ",
    "\"",
    "{x}",
    "-",
    "+",
    "*",
    "/",
    "%",
    "mm",
    "deg",
    "1.5",
    "0",
    "given",
    "let",
    "part",
    "when",
    "from",
    "to",
    "chart {\n # . #\n}",
    "\r\n",
    "é",
    "\u{200b}",
    "\0",
    "<=",
];

/// Vigna's splitmix64, from his public-domain description.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let value = |name: &str, default: u64| {
        let at = words.iter().position(|w| w == name);
        at.and_then(|at| words.get(at + 1)?.parse().ok()).unwrap_or(default)
    };
    let (seconds, seed, only) = (value("--seconds", 10), value("--seed", 1), value("--input", 0));
    let seeds = seeds();
    assert!(seeds.len() > 100, "only {} texts to start from", seeds.len());
    std::panic::set_hook(Box::new(|_| {}));
    let start = Instant::now();
    let (mut tried, mut kept, mut slowest) = (0u64, 0u64, Duration::ZERO);
    while only > 0 || start.elapsed() < Duration::from_secs(seconds) {
        tried += 1;
        if only > 0 {
            tried = only;
        }
        // Every input has dice of its own, so that one can be seen again alone.
        let mut dice = Dice(seed.wrapping_mul(1 << 32).wrapping_add(tried));
        let text = mixed(&seeds, &mut dice);
        let begun = Instant::now();
        let fault = match catch_unwind(|| judged(&text)) {
            Ok(Ok(was_kept)) => {
                kept += u64::from(was_kept);
                None
            }
            Ok(Err(why)) => Some(why),
            Err(_) => Some("it panicked".to_string()),
        };
        let taken = begun.elapsed();
        slowest = slowest.max(taken);
        let slow = (taken > PATIENCE).then(|| format!("it took {taken:?}"));
        if let Some(why) = fault.or(slow) {
            println!("{why}; again: --seed {seed} --input {tried}\n{text:?}\n{text}");
            std::process::exit(1);
        }
        if only > 0 {
            break;
        }
    }
    println!(
        "{tried} texts in {} s from {} of ours, seed {seed}: {kept} without mistakes, all kept \
         their tokens and comments; the slowest took {} ms",
        start.elapsed().as_secs(),
        seeds.len(),
        slowest.as_millis()
    );
}

/// Whether the text has no mistakes.
fn judged(text: &str) -> Result<bool, String> {
    let new = match format(text) {
        Ok(new) => new,
        Err(FormatRefused::Mistakes(_)) => return Ok(false),
        Err(FormatRefused::Differs(_)) => return Err("it would not say the same".into()),
    };
    if said(&new) != said(text) {
        return Err(format!("tokens or comments changed: {new:?}"));
    }
    match format(&new) {
        Ok(again) if again == new => Ok(true),
        other => Err(format!("twice is not once: {new:?} and {other:?}")),
    }
}

/// What is written, but for blanks, line ends and commas, which may stand for line ends.
fn said(text: &str) -> [Vec<String>; 2] {
    let tokens = syntax::tokens(text).into_iter().filter(|t| t.kind != TokenKind::Newline);
    let (notes, words): (Vec<_>, Vec<_>) = tokens.partition(|t| t.kind == TokenKind::Comment);
    [words, notes].map(|tokens| {
        let texts = tokens.into_iter().map(|t| text[t.range].trim_end().to_string());
        texts.filter(|t| t != ",").collect()
    })
}

/// Every design, library, example of a page and case of the specification.
fn seeds() -> Vec<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    for folder in ["examples", "stdlib", "tests/conformance", "src/pipeline/pages"] {
        for path in walk(&root.join(folder)) {
            let Ok(text) = std::fs::read_to_string(&path) else { continue };
            match path.extension().and_then(|e| e.to_str()) {
                Some("pkn") => found.push(text),
                Some("md") => {
                    let blocks = text.split("```pkn").skip(1);
                    let inside = blocks.filter_map(|b| Some(b.split_once('\n')?.1));
                    found.extend(inside.filter_map(|b| Some(b.split_once("```")?.0.to_string())));
                }
                _ => {}
            }
        }
    }
    found
}

fn walk(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() { found.extend(walk(&path)) } else { found.push(path) }
    }
    found.sort();
    found
}

/// A text of ours after a few accidents.
fn mixed(seeds: &[String], dice: &mut Dice) -> String {
    let mut text = piece(&seeds[dice.below(seeds.len())], dice);
    for _ in 0..dice.below(5) {
        text = accident(text, seeds, dice);
    }
    let end = boundary(&text, LONGEST);
    text.truncate(end);
    text
}

/// All of it, or some of its lines.
fn piece(text: &str, dice: &mut Dice) -> String {
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    if lines.len() < 4 || dice.below(3) == 0 {
        return text.to_string();
    }
    let from = dice.below(lines.len());
    lines[from..(from + 1 + dice.below(25)).min(lines.len())].concat()
}

fn accident(mut text: String, seeds: &[String], dice: &mut Dice) -> String {
    let at = boundary(&text, dice.below(text.len() + 1));
    let to = boundary(&text, at + dice.below(12));
    match dice.below(8) {
        0 => text.insert_str(at, WORDS[dice.below(WORDS.len())]),
        1 => text.replace_range(at..to, ""),
        2 => text.replace_range(at..to, WORDS[dice.below(WORDS.len())]),
        3 => text.insert_str(at, &piece(&seeds[dice.below(seeds.len())], dice)),
        4 => {
            let again = text[at..to].to_string();
            text.insert_str(to, &again);
        }
        5 => text.insert_str(at, " # a note\n"),
        6 => text = blanks(&text, dice),
        _ => text.truncate(at),
    }
    text
}

/// Other blanks where there are blanks: what a formatter is for.
fn blanks(text: &str, dice: &mut Dice) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match (c, dice.below(6)) {
            (' ', 0) => out.push_str("   "),
            (' ', 1) => out.push('\t'),
            ('\n', 0) => out.push_str("\n\n\n"),
            ('\n', 1) => out.push_str("  \n   "),
            (',', 0) => out.push_str(" ,\n"),
            _ => out.push(c),
        }
    }
    out
}

/// The last boundary of a character at or before `at`.
fn boundary(text: &str, at: usize) -> usize {
    let at = at.min(text.len());
    (0..=at).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0)
}
