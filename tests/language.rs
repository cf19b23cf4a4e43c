//! The language from text to model.

use pipkin::diagnostics::Sink;
use pipkin::evaluate::{Choice, Evaluated, evaluate};
use pipkin::resolve::resolve;
use pipkin::source::{MemoryWorld, SourceMap};
use std::path::Path;

/// Everything up to the model, without measuring.
fn run(text: &str, choice: &Choice) -> (Option<Evaluated>, Sink) {
    let world = MemoryWorld::with("/design/probe.pkn", text);
    let mut sources = SourceMap::default();
    let (program, mut sink) = resolve(&world, Path::new("/design/probe.pkn"), &mut sources);
    let Some(program) = program else { return (None, sink) };
    let (found, findings) = evaluate(&program, choice);
    sink.append(findings);
    (found, sink)
}

#[test]
fn the_button_jar_becomes_a_jar_a_belt_and_a_cap() {
    let text = include_str!("../examples/button-jar/button-jar.pkn");
    let (found, sink) = run(text, &Choice::default());
    assert_eq!(sink.iter().count(), 0, "{sink:?}");
    let found = found.unwrap();
    let model = &found.model;
    let names: Vec<&str> = model.parts.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["jar", "belt", "cap"]);
    assert_eq!((model.seats.len(), model.closures.len()), (1, 1));
    assert_eq!(model.seats[0].gap_mm, 0.1);
    // LANGUAGE: a vessel's height is depth + floor, and the lid sits on the rim.
    assert_eq!(model.closures[0].mouth_mm, 87.0);
    assert_eq!(found.sizes, ["thimble", "pantry"]);
    assert_eq!(found.places.parts.len(), 3);
}
