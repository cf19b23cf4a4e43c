//! `tell`: a manifest or an STL file in a few lines, for people and for git's differences.

use crate::compare;
use crate::diagnostics::Diagnostic;
use crate::output::stl;
use crate::pipeline;
use crate::quantity::decimals;
use crate::resolve::unreadable;
use crate::source::ReadError;
use std::io::Read;
use std::path::Path;

use super::Exit;
use super::sides;
use super::terminal::Terminal;

/// The largest file that is told of, 512 MiB: far above any part.
const MOST_BYTES: u64 = 512 << 20;

/// `pipkin tell`
pub fn tell(path: &Path, terminal: &mut Terminal) -> Exit {
    match told(path) {
        Ok(text) => {
            terminal.result(&text);
            Exit::Clean
        }
        Err(finding) => {
            super::compare::tell(terminal, &finding);
            Exit::Errors
        }
    }
}

fn told(path: &Path) -> Result<String, Box<Diagnostic>> {
    let name = path.to_string_lossy();
    let bytes = read(path).map_err(|e| Box::new(unreadable(&e, &name, None)))?;
    // git hands over files of other names, so what is in it decides.
    if bytes.iter().find(|b| !b.is_ascii_whitespace()) == Some(&b'{') {
        let text = String::from_utf8_lossy(&bytes);
        return Ok(compare::manifest_text(&sides::manifest(&text, &name)?));
    }
    let Some(facts) = stl::facts(&bytes) else {
        let message = format!("`{name}` is neither a manifest nor a binary STL file");
        let finding = Diagnostic::nowhere(pipeline::NOT_TOLD, message);
        return Err(Box::new(finding.help("name a file that a build wrote")));
    };
    let [x, y, z] = facts.size_mm.map(|c| decimals(c, 3));
    let hash = blake3::hash(&bytes).to_hex();
    Ok(format!(
        "triangles: {}\nsize: {x} x {y} x {z} mm\nvolume: {} mm3\narea: {} mm2\nblake3: {hash}\n",
        facts.triangles,
        decimals(facts.volume_mm3, 2),
        decimals(facts.area_mm2, 2),
    ))
}

fn read(path: &Path) -> Result<Vec<u8>, ReadError> {
    let system = |e: std::io::Error| match e.kind() {
        std::io::ErrorKind::NotFound => ReadError::Missing,
        _ => ReadError::System(e.to_string()),
    };
    let file = std::fs::File::open(path).map_err(system)?;
    let mut bytes = Vec::new();
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(system)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(ReadError::TooLarge(bytes.len() as u64));
    }
    Ok(bytes)
}
