//! The STEP files of one build.

use super::bundle::compiler;
use crate::exact::ExactBody;
use crate::model::Model;
use crate::output::step::{self, StepBody};
use std::collections::BTreeMap;

/// What came of writing exact bodies down.
#[derive(Debug, Default)]
pub struct StepFiles {
    /// File names and contents: `PART.step` for each part with an exact body, and
    /// `NAME.assembly.step` where every part is in it.
    pub files: Vec<(String, Vec<u8>)>,
    /// By part, why its body could not be written.
    pub refused: BTreeMap<String, String>,
}

/// The STEP files of the wanted parts; `bodies` has the exact body of each part of the model,
/// where it has one.
pub fn step_files(
    model: &Model,
    bodies: &[Option<&ExactBody>],
    wanted: &dyn Fn(&str) -> bool,
) -> StepFiles {
    let asked = model.parts.iter().zip(bodies).filter(|(part, _)| wanted(&part.name));
    let asked: Vec<_> = asked.collect();
    let mut made = StepFiles::default();
    let mut written = Vec::new();
    for (part, body) in &asked {
        let Some(body) = body else { continue };
        match step::write(&StepBody { name: &part.name, colour: part.material.colour, body }) {
            Ok(body) => written.push((part, body)),
            Err(why) => {
                made.refused.insert(part.name.clone(), why.reason);
            }
        }
    }
    // What is bought stands in the assembly only.
    for (part, body) in written.iter().filter(|(part, _)| part.bought.is_none()) {
        let bytes = step::encode(&part.name, &compiler(), &[body]);
        made.files.push((format!("{}.step", part.name), bytes));
    }
    if written.len() == asked.len() {
        let all: Vec<_> = written.iter().map(|(_, body)| body).collect();
        let bytes = step::encode(&model.name, &compiler(), &all);
        made.files.push((format!("{}.assembly.step", model.name), bytes));
    }
    made
}
