//! What a sweep has measured so far: one line of JSON for each variant, added as soon as it is
//! there, so that a sweep that was stopped goes on where it was.

use crate::diagnostics::Diagnostic;
use crate::output::replace;
use crate::pipeline::{Figure, Variant};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};

/// What is kept of a variant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Outcome {
    /// Which variant: a digest of the source, the compiler and all values.
    key: String,
    /// How often each code was found; errors are those that do not begin with W.
    pub codes: BTreeMap<String, usize>,
    /// What was measured.
    pub figures: Vec<Figure>,
}

impl Outcome {
    /// Of a variant that was measured now.
    pub fn of(key: &str, variant: &Variant) -> Self {
        let mut codes = BTreeMap::new();
        for finding in &variant.findings {
            *codes.entry(finding.code.id.to_string()).or_default() += 1;
        }
        Outcome { key: key.to_string(), codes, figures: variant.figures.clone() }
    }

    /// The errors among its codes.
    pub fn errors(&self) -> impl Iterator<Item = &str> {
        self.codes.keys().map(String::as_str).filter(|code| !code.starts_with('W'))
    }
}

/// The file of a sweep.
#[derive(Debug)]
pub struct State {
    path: PathBuf,
    file: File,
    known: BTreeMap<String, Outcome>,
}

impl State {
    /// Opens the file, or makes it. A line that a killed run left unfinished is passed over.
    ///
    /// # Errors
    /// A finding when it cannot be read or written.
    pub fn open(path: &Path) -> Result<Self, Box<Diagnostic>> {
        let unwritten = |e: std::io::Error| Box::new(replace::unwritten(path, &e));
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).map_err(unwritten)?;
        }
        let mut options = OpenOptions::new();
        let mut file = options.append(true).create(true).open(path).map_err(unwritten)?;
        let text = String::from_utf8_lossy(&std::fs::read(path).map_err(unwritten)?).to_string();
        if !text.is_empty() && !text.ends_with('\n') {
            file.write_all(b"\n").map_err(unwritten)?;
        }
        let lines = text.lines().filter_map(|line| serde_json::from_str(line).ok());
        let known = lines.map(|outcome: Outcome| (outcome.key.clone(), outcome)).collect();
        Ok(State { path: path.to_path_buf(), file, known })
    }

    /// What is known of a variant.
    pub fn known(&self, key: &str) -> Option<&Outcome> {
        self.known.get(key)
    }

    /// Adds a line.
    ///
    /// # Errors
    /// A finding when it cannot be written.
    pub fn add(&mut self, outcome: &Outcome) -> Result<(), Box<Diagnostic>> {
        let unwritten = |e: std::io::Error| Box::new(replace::unwritten(&self.path, &e));
        let line = serde_json::to_string(outcome).map_err(|e| unwritten(e.into()))?;
        self.file.write_all(format!("{line}\n").as_bytes()).map_err(unwritten)
    }
}
