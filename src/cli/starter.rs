//! A starter file that builds.

use crate::diagnostics::Diagnostic;
use crate::output::replace;
use crate::source::SourceMap;
use std::path::{Path, PathBuf};

use super::Exit;
use super::args::{Format, Manner};
use super::findings::Reporter;
use super::terminal::Terminal;

/// What the file says, with NAME for the design's name.
const STARTER: &str = include_str!("starter.pkn");

/// Writes NAME.pkn; never over an existing file.
pub fn write(name: &Path, manner: Manner, terminal: &mut Terminal) -> Exit {
    let path = file_of(name);
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    // The name stands in a comment, which ends with its line.
    let stem: String = stem.chars().filter(|c| !c.is_control()).collect();
    let text = STARTER.replace("NAME", &stem);
    match replace::create(&path, text.as_bytes()) {
        Ok(()) => {
            if !manner.quiet {
                let shown = path.display();
                terminal.result(&format!("wrote {shown}; next: pipkin build {shown}\n"));
            }
            Exit::Clean
        }
        Err(finding) => refuse(&path, &finding, terminal),
    }
}

fn refuse(path: &Path, finding: &Diagnostic, terminal: &mut Terminal) -> Exit {
    let mut reporter = Reporter::new(Format::Human, path);
    reporter.show(terminal, &SourceMap::default(), std::slice::from_ref(finding));
    Exit::Usage
}

/// `mug` and `mug.pkn` are both mug.pkn.
fn file_of(name: &Path) -> PathBuf {
    if name.extension().is_some_and(|e| e == "pkn") {
        return name.to_path_buf();
    }
    let mut file = name.as_os_str().to_os_string();
    file.push(".pkn");
    PathBuf::from(file)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_is_added_once() {
        for (name, file) in [("mug", "mug.pkn"), ("a/mug.pkn", "a/mug.pkn"), ("v1.2", "v1.2.pkn")] {
            assert_eq!(file_of(Path::new(name)), Path::new(file));
        }
    }
}
