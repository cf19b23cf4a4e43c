//! What a vessel holds, and roughly how long a part takes to print.

use crate::fit::LidFit;
use crate::model::{Body, Leaf, Model, Operation, Placement, Printer, Prism};
use crate::plane::{Edge, rect};
use crate::quantity::decimals;
use crate::realise::{self, Realised, Tolerance};
use std::sync::Arc;

/// ml in a US fluid ounce, exactly: 231 in3 / 128 (NIST Handbook 44, Appendix C).
const ML_PER_FL_OZ: f64 = 29.573_529_562_5;

/// How fast a line is laid, travel included, mm/s. Common practice, no source.
const LINE_MM_PER_S: f64 = 60.0;

/// What each layer costs beside its lines, s. Common practice, no source.
const LAYER_S: f64 = 3.0;

/// US fluid ounces of a volume in ml.
pub fn fl_oz(ml: f64) -> f64 {
    ml / ML_PER_FL_OZ
}

/// Minutes for a body of this volume and number of layers: its lines one behind the other
/// at one speed, and a moment for each layer.
pub fn rough_minutes(volume_mm3: f64, layers: u64, printer: &Printer) -> f64 {
    let laid_mm3_per_s = printer.line_mm * printer.layer_mm * LINE_MM_PER_S;
    (volume_mm3 * printer.fill / laid_mm3_per_s + layers as f64 * LAYER_S) / 60.0
}

/// What [`rough_minutes`] assumes, for people.
pub fn time_assumes(printer: &Printer) -> String {
    format!(
        "{} x {} mm at {LINE_MM_PER_S} mm/s, {LAYER_S} s a layer, {} % filled, each copy alone",
        decimals(printer.line_mm, 3),
        decimals(printer.layer_mm, 3),
        decimals(printer.fill * 100.0, 1)
    )
}

/// What a host holds up to the lowest place of its closed lid, mm3; none where it tells no
/// cavity.
pub fn under_lid_mm3(
    model: &Model,
    realised: &Realised,
    fit: &LidFit,
    tolerance: &Tolerance,
) -> Option<f64> {
    let cavity = model.parts.get(fit.host.0)?.cavity.as_ref()?;
    let host = realised.parts.get(fit.host.0)?.as_ref()?;
    let lid = realised.parts.get(fit.lid.0)?.as_ref()?;
    let lowest_mm = lid.box_mm[0][2];
    let [low, high] = host.box_mm;
    if lowest_mm >= high[2] {
        return realise::volume_mm3(model, cavity, tolerance);
    }
    if lowest_mm <= low[2] {
        return Some(0.0);
    }
    let below = Body::Boolean {
        operation: Operation::Meet,
        left: cavity.clone(),
        right: slab(low, high, lowest_mm)?,
    };
    realise::volume_mm3(model, &below, tolerance)
}

/// Everything about a box that lies below a height, with room to spare around.
fn slab(low: [f64; 3], high: [f64; 3], upto_mm: f64) -> Option<Arc<Body>> {
    const ROOM_MM: f64 = 10.0;
    let side = |axis: usize| high[axis] - low[axis] + 2.0 * ROOM_MM;
    let prism = Prism {
        outline: rect(side(0), side(1), Edge::None).ok()?,
        height_mm: upto_mm - low[2] + ROOM_MM,
        taper_rad: 0.0,
        top: Edge::None,
        bottom: Edge::None,
    };
    let middle = |axis: usize| (low[axis] + high[axis]) / 2.0;
    let placement = Placement::shifted([middle(0), middle(1), low[2] - ROOM_MM]);
    let body = Arc::new(Body::Leaf(Leaf::Prism(Arc::new(prism))));
    Some(Arc::new(Body::Placed { body, placement }))
}
