//! `format`: files into the one layout.

use crate::diagnostics::{BUG, Diagnostic};
use crate::format::{self, FormatRefused};
use crate::output::replace;
use crate::resolve;
use crate::source::{DiskWorld, MAX_SOURCE_BYTES, ReadError, SourceMap, World};
use std::io::Read;
use std::path::Path;

use super::Exit;
use super::args::{Format, FormatArgs, Manner};
use super::findings::Reporter;
use super::terminal::Terminal;

/// `pipkin format`: every file by itself; one with mistakes does not stop the others.
pub fn format(args: &FormatArgs, manner: Manner, terminal: &mut Terminal) -> Exit {
    let mut worst = Exit::Clean;
    for path in &args.files {
        let exit = match one(path, args.check, manner, terminal) {
            Ok(exit) => exit,
            Err((sources, findings)) => {
                let mut reporter = Reporter::new(Format::Human, path);
                reporter.show(terminal, &sources, &findings);
                reporter.close(terminal, false);
                let is_bug = findings.iter().any(|f| f.code == BUG);
                if is_bug { Exit::Bug } else { Exit::Errors }
            }
        };
        if worst != Exit::Bug && exit != Exit::Clean {
            worst = exit;
        }
    }
    worst
}

type Refusal = (SourceMap, Vec<Diagnostic>);

fn one(path: &Path, check: bool, manner: Manner, out: &mut Terminal) -> Result<Exit, Refusal> {
    let is_stdin = path == Path::new("-");
    let name = if is_stdin { "standard input".into() } else { path.to_string_lossy() };
    let nowhere = |finding: Diagnostic| (SourceMap::default(), vec![finding]);
    let read = if is_stdin { standard_input() } else { DiskWorld.read(path) };
    let text = read.map_err(|e| nowhere(resolve::unreadable(&e, &name, None)))?;
    let new = format::format(&text).map_err(|refused| match refused {
        FormatRefused::Mistakes(findings) => {
            let mut sources = SourceMap::default();
            // The reporter puts the file's folder before its name.
            let name = path.file_name().filter(|_| !is_stdin).map(|n| n.to_string_lossy());
            sources.add(name.unwrap_or("standard input".into()), text.as_str());
            (sources, findings)
        }
        FormatRefused::Differs(finding) => nowhere(*finding),
    })?;
    let changes = new != text;
    if check {
        if changes {
            out.result(&format!("{name}\n"));
        }
        return Ok(if changes { Exit::Errors } else { Exit::Clean });
    }
    if is_stdin {
        out.result(&new);
    } else if changes {
        replace::rewrite(path, new.as_bytes()).map_err(|finding| nowhere(*finding))?;
        if !manner.quiet {
            out.result(&format!("formatted {name}\n"));
        }
    }
    Ok(Exit::Clean)
}

/// All of standard input, as far as a file may be read.
fn standard_input() -> Result<String, ReadError> {
    let mut bytes = Vec::new();
    let mut input = std::io::stdin().lock().take(MAX_SOURCE_BYTES + 1);
    input.read_to_end(&mut bytes).map_err(|e| ReadError::System(e.to_string()))?;
    if bytes.len() as u64 > MAX_SOURCE_BYTES {
        return Err(ReadError::TooLarge(bytes.len() as u64));
    }
    String::from_utf8(bytes).map_err(|e| ReadError::NotText(e.utf8_error().valid_up_to()))
}
