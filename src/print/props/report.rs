//! What to tell the author of the columns.

use super::super::codes;
use super::Propped;
use super::feet::SLENDER;
use super::places::MOST_COLUMNS;
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::{Model, Places};
use crate::quantity::decimals;

/// A gap is a whole number of layers to this share of one.
const WHOLE: f64 = 1e-6;

/// Warns of gaps that do not print as asked, of columns that sway, of what has none.
pub fn report(model: &Model, places: &Places, asked: usize, propped: &Propped, sink: &mut Sink) {
    let (props, Some(place)) = (&model.props[asked], places.props.get(asked)) else { return };
    let name = &model.parts[props.under.0].name;
    let gaps = [
        ("gap_above", props.gap_above_mm, true),
        ("gap_below", props.gap_below_mm, propped.on_part > 0),
    ];
    for (field, gap, _) in gaps.into_iter().filter(|(_, _, is_used)| *is_used) {
        let layers = gap / model.printer.layer_mm;
        if (layers - layers.round()).abs() > WHOLE || layers < 0.5 {
            let message = format!(
                "`{field}` of {} mm is no whole number of layers of {} mm: it prints as {} or {} mm",
                decimals(gap, 3),
                decimals(model.printer.layer_mm, 3),
                decimals(layers.floor() * model.printer.layer_mm, 3),
                decimals(layers.ceil() * model.printer.layer_mm, 3),
            );
            let finding = Diagnostic::at(codes::PROP_GAP, place.field(field), message);
            sink.push(finding.help("say one layer, or two where it does not break away"));
        }
    }
    if propped.count == 0 && propped.without_room == 0 {
        let message = format!("nothing of `{name}` hangs in this pose so that it needs props");
        let finding = Diagnostic::at(codes::NO_PROPS_NEEDED, place.name, message);
        sink.push(finding.help("leave `props` out, or say places by `at`"));
    }
    if propped.without_room > 0 {
        let message = format!(
            "there is no room for a column under `{name}` {}",
            match propped.without_room {
                1 => "at one place".to_string(),
                n => format!("at {n} places"),
            }
        );
        let finding = Diagnostic::at(codes::NO_ROOM_FOR_PROP, place.name, message);
        sink.push(finding.help(
            "say a lesser `width` or lesser gaps, another place, or another `pose` of the part",
        ));
    }
    if propped.too_many {
        let message =
            format!("`{name}` would need more than {MOST_COLUMNS} props: the rest is left out");
        let finding = Diagnostic::at(codes::TOO_MANY_PROPS, place.field("spacing"), message);
        sink.push(finding.help("say a wider `spacing`, or another `pose` of the part"));
    }
    if let Some([height, foot]) = propped.slender_mm.filter(|[h, foot]| *h > SLENDER * foot) {
        let message = format!(
            "props under `{name}` sway: one is {} mm tall on a foot of {} mm, and there is no room \
             for a wider one",
            decimals(height, 1),
            decimals(foot, 2)
        );
        let finding = Diagnostic::at(codes::SLENDER_PROP, place.field("width"), message);
        sink.push(
            finding.help("say a greater `width` or `spacing`, or another `pose` of the part"),
        );
    }
}
