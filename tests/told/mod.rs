//! From a text to the values of its manifest.

use pipkin::pipeline::{self, Options, Silent};
use pipkin::source::MemoryWorld;
use serde_json::Value;
use std::path::Path;

/// Builds a text: its manifest, or its findings.
pub fn built(text: String) -> Result<Value, String> {
    let world = MemoryWorld::with("case.pkn", text);
    let built = pipeline::build(&world, Path::new("case.pkn"), &Options::default(), &Silent);
    let findings: Vec<String> =
        built.findings.iter().map(|d| format!("{} {}", d.code.id, d.message)).collect();
    let bundle = built.bundle.ok_or_else(|| findings.join("\n"))?;
    let made = bundle.files.iter().find(|(name, _)| name.ends_with(".manifest.json"));
    let (_, bytes) = made.ok_or("there is no manifest")?;
    serde_json::from_slice(bytes).map_err(|error| error.to_string())
}

/// The manifest's entry of a part.
pub fn part<'a>(manifest: &'a Value, name: &str) -> &'a Value {
    let parts = manifest["parts"].as_array().expect("parts");
    parts.iter().find(|part| part["name"] == name).expect("the part is there")
}
