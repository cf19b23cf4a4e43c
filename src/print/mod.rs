//! What the printer will make of a part.
//!
//! In: the design and its finished parts. Out: [`Printed`]: the posed copies that go
//! into files, how they are set out on the bed, what to know before printing.
//! Kept out: changing any body; file formats.

mod base;
mod cautions;
mod check;
pub mod codes;
mod foot;
mod layout;
mod pose;
mod posed;
mod props;
mod slices;
#[cfg(test)]
mod tests;
mod underside;
mod walls;

pub use base::Base;
pub use foot::{Brim, DrawnIn};
pub use posed::{Item, Layout, Posed, PosedPiece, PrintCheck, Printed};
pub use props::Propped;
pub use underside::{Kind, Unsupported};
pub use walls::{Narrow, NarrowKind};

use crate::diagnostics::Sink;
use crate::model::{Model, PartId, Places};
use crate::realise::Realised;
use slices::Slices;
use underside::Survey;

/// Poses all parts and sets them out on plates.
pub fn print(model: &Model, realised: &Realised, places: &Places) -> (Printed, Sink) {
    let mut sink = Sink::default();
    let mut parts = Vec::new();
    for (index, part) in model.parts.iter().enumerate() {
        let made = realised.parts.get(index).and_then(Option::as_ref);
        let Some(finished) = made.filter(|_| part.bought.is_none()) else {
            parts.push(None);
            continue;
        };
        let between_mm = pose::BETWEEN_MM + 2.0 * part.brim_mm.unwrap_or(0.0);
        let (mut mesh, mut pieces) =
            pose::posed(&finished.mesh, &part.pose, model.printer.bed_mm[0], between_mm);
        let nominal_mm = pose::size_mm(&mesh);
        pose::grow_for(part.material.shrink, &mut mesh, &mut pieces);
        let cautions = cautions::cautions(model, PartId(index), &mesh, &pieces);
        let slices = Slices::new(&mesh, &model.printer);
        let bare = Survey::new(&slices, None, &model.printer);
        let asked = model.props.iter().position(|props| props.under == PartId(index));
        let props = asked.map(|k| {
            let props = props::propped(model, k, &slices, &pieces, &bare);
            props::report(model, places, k, &props, &mut sink);
            props
        });
        let unsupported = match &props {
            Some(props) => props.left.clone(),
            None => bare.told(),
        };
        let mut check = check::look(&slices, &pieces, &model.printer, unsupported, cautions);
        check::report(model, places, index, &check, &mut sink);
        underside::report(model, places, index, &check.unsupported, &mut sink);
        walls::report(model, places, index, &check.narrow, &mut sink);
        // What was looked at is the copy as it comes out: its first layer spreads again.
        let drawn_in = foot::drawn_in(&mut mesh, &mut pieces, &model.printer);
        let drawn_in = foot::told(model, places, index, drawn_in, &mut sink);
        check.size_mm = pose::size_mm(&mesh);
        let columns = props.as_ref().map(|props| &props.mesh);
        let brim = part.brim_mm.map(|width| foot::brim(&mesh, columns, &model.printer, width));
        let brim = foot::laid(&part.name, brim, &mut sink);
        let part = PartId(index);
        parts.push(Some(Posed { part, mesh, nominal_mm, pieces, drawn_in, brim, check, props }));
    }
    let layouts = layout::layouts(model, places, &parts, &mut sink);
    (Printed { parts, layouts }, sink)
}
