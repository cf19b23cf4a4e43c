//! What the tests of this binary share.

use pipkin::pipeline::{self, Built, Options, Silent};
use pipkin::source::MemoryWorld;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// Numbers from a fixed seed (xorshift, Marsaglia 2003).
pub struct Dice(pub u64);

impl Dice {
    /// From 0 to `n` - 1.
    pub fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }
}

/// An example's main file.
pub fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("examples/{name}/{name}.pkn"))
}

/// Builds a text in memory.
pub fn build_text(text: &str, options: &Options) -> Built {
    let world = MemoryWorld::with("case.pkn", text);
    pipeline::build(&world, Path::new("case.pkn"), options, &Silent)
}

/// `CODE message` of every finding, a line each.
pub fn findings(built: &Built) -> String {
    let line = |d: &pipkin::diagnostics::Diagnostic| format!("{} {}", d.code.id, d.message);
    built.findings.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// The manifest of a build; a failed test with its findings where there is none.
pub fn manifest(built: &Built) -> Value {
    let Some(bundle) = &built.bundle else { panic!("nothing was built:\n{}", findings(built)) };
    let (_, bytes) = bundle
        .files
        .iter()
        .find(|(name, _)| name.ends_with(".manifest.json"))
        .expect("a manifest is made");
    serde_json::from_slice(bytes).expect("the manifest is JSON")
}

/// Runs the program.
pub fn pipkin(arguments: &[&str], folder: &Path, threads: &str) -> Output {
    Command::new(env!("CARGO_BIN_EXE_pipkin"))
        .args(arguments)
        .current_dir(folder)
        .env("RAYON_NUM_THREADS", threads)
        .output()
        .expect("the program starts")
}

/// Every file below a folder with its bytes, sorted by path.
pub fn contents(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut all = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(next) = folders.pop() {
        for entry in std::fs::read_dir(&next).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let inside = path.strip_prefix(folder).expect("below the folder").to_path_buf();
                all.push((inside, std::fs::read(&path).expect("a file")));
            }
        }
    }
    all.sort();
    all
}
