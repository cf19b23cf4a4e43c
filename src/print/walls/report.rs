//! What to tell the author: one warning for each part and kind.

use super::{Narrow, NarrowKind, two_lines_mm};
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::{Model, Places};
use crate::print::codes;
use crate::quantity::decimals;

/// Warns of what is too narrow for the printer's line.
pub fn report(model: &Model, places: &Places, index: usize, narrow: &[Narrow], sink: &mut Sink) {
    let Some(place) = places.parts.get(index) else { return };
    let name = &model.parts[index].name;
    let line = decimals(model.printer.line_mm, 2);
    let two = decimals(two_lines_mm(&model.printer), 2);
    for all in narrow {
        let where_from = match all.count {
            1 => "at one place".to_string(),
            n => format!("at {n} places"),
        };
        let heights = format!(
            "{where_from} from {} to {} mm above the bed",
            decimals(all.height_mm[0], 2),
            decimals(all.height_mm[1], 2)
        );
        let width = decimals(all.width_mm, 2);
        let (code, message, help) = match all.kind {
            NarrowKind::Lost => (
                codes::WALL_LOST,
                format!(
                    "`{name}` is {width} mm thin {heights}, less than a line of {line} mm: it may not be printed"
                ),
                format!("make it {two} mm thick, which is two lines"),
            ),
            NarrowKind::Thin => (
                codes::WALL_THIN,
                format!("`{name}` is {width} mm thin {heights}, less than two lines, {two} mm"),
                format!("make it {two} mm thick, or choose a printer with a narrower line"),
            ),
            NarrowKind::Slot => (
                codes::SLOT_CLOSES,
                format!(
                    "a slot of `{name}` is {width} mm wide {heights}, less than a line of {line} mm: its sides may run together"
                ),
                format!("widen it to {line} mm, or close it"),
            ),
        };
        let finding = Diagnostic::at(code, place.field("pose"), message)
            .help(help)
            .fact("width", all.width_mm, "mm")
            .fact("line", model.printer.line_mm, "mm");
        sink.push(finding);
    }
}
