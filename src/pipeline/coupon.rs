//! The text of a design's coupons: what to print before the whole set.
//!
//! In: a design without errors. Out: a source text of its own that uses `std.coupons`: for
//! each seat a wall of the design's radius with its own motif, one pocket for each of
//! several gaps; for each lid rings of several gaps; for props plates over columns; what
//! tells the printer's overhang and first layer. Kept out: geometry, which the text's own
//! build makes.

mod figure;

use crate::model::{Closure, Inlay, Material, Model, Pose, Printer, Props, Seat, Surface};
use crate::quantity::decimals;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// Steps between the gaps of a ladder, mm: half of what a hand feels as another fit. Common
/// practice, no source.
const STEP_MM: f64 = 0.05;

/// The most gaps in a ladder.
const RUNGS: usize = 5;

/// Wall behind a pocket, mm: four lines of a common nozzle.
const BEHIND_MM: f64 = 1.8;

/// Wall beside a pocket and above it, mm.
const BESIDE_MM: f64 = 5.0;

/// How much of a round wall a ladder may take, deg.
const LONGEST_DEG: f64 = 300.0;

/// The printer that a text has which declares none.
const GENERIC: &str = "generic_04";

/// Columns of a ladder of props are no wider, mm: they stand a line off both legs.
const WIDEST_COLUMN_MM: f64 = 4.0;

/// The name of the coupons' design.
pub fn name(model: &Model) -> String {
    format!("{}-coupon", model.name)
}

/// The text of the coupons that a design needs.
pub fn text(model: &Model) -> String {
    let mut text = head(model);
    printer(&mut text, &model.printer);
    let materials = materials(&mut text, model);
    for (index, seat) in model.seats.iter().enumerate() {
        ladder(&mut text, model, seat, index + 1, &materials);
    }
    for (index, closure) in model.closures.iter().enumerate() {
        rings(&mut text, model, closure, index + 1);
    }
    for (index, props) in model.props.iter().enumerate() {
        prop_gates(&mut text, model, props, index + 1);
    }
    let any = model
        .parts
        .iter()
        .find(|part| part.bought.is_none())
        .map_or("pla", |part| &part.material.name);
    let layer = mm(model.printer.layer_mm);
    let _ = writeln!(
        text,
        "\n# The last clean blade tells how far this printer may overhang.\n\
         part fan = overhang_fan {{ assembled: no, material: {any} }}\n\n\
         # Measure its sides: half of what they are too long is the first layer's spread.\n\
         part square = first_layer_square {{ layer: {layer}, assembled: no, material: {any} }}"
    );
    text
}

fn head(model: &Model) -> String {
    let name = &model.name;
    let mut text = format!("# {name}-coupon.pkn: what to print before {name}\n#\n");
    text += "# Notches count: the pocket or ring with one is the tightest. Try which fits as you\n";
    text += "# like, and write its gap into your printer: measured: gaps { snap: 0.15 mm }.\n";
    text += "# Every gap of that name follows.\n";
    text += "use std.coupons\n\n";
    text
}

/// The printer of the standard library needs no words.
fn printer(text: &mut String, of: &Printer) {
    if of.name == GENERIC {
        return;
    }
    let [x, y, z] = of.bed_mm.map(mm);
    let _ = write!(
        text,
        "printer {} {{\n  base: generic_04\n  line: {}\n  layer: {}\n  first_layer: {}\n  \
         overhang: {} deg\n  bridge: {}\n  bed: ({x}, {y}, {z})\n}}\n\n",
        of.name,
        mm(of.line_mm),
        mm(of.layer_mm),
        mm(of.first_layer_mm),
        decimals(of.overhang_rad.to_degrees(), 4),
        mm(of.bridge_mm),
    );
}

/// Declares every material of the design; gives their names.
fn materials(text: &mut String, model: &Model) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    for Material { name, colour: [red, green, blue], density_g_cm3, .. } in
        model.parts.iter().filter(|part| part.bought.is_none()).map(|part| &part.material)
    {
        if names.insert(name.clone()) {
            let density = decimals(*density_g_cm3, 4);
            let _ = writeln!(
                text,
                "material {name} {{ colour: #{red:02x}{green:02x}{blue:02x}, density: {density} g/cm3 }}"
            );
        }
    }
    names
}

/// Gaps round the one that is asked for, mm, the least first.
fn gaps_mm(asked: f64, rungs: usize) -> Vec<f64> {
    let first = ((asked / STEP_MM).round() - (rungs / 2) as f64).max(1.0);
    (0..rungs).map(|k| (first + k as f64) * STEP_MM).collect()
}

/// The ladder of a seat: its motif once for each gap, in a piece of its wall.
fn ladder(
    text: &mut String,
    model: &Model,
    seat: &Seat,
    number: usize,
    materials: &BTreeSet<String>,
) {
    let part = &model.parts[seat.inlay.0];
    let host = &model.parts[seat.host.0];
    let Some((inlay, _)) = part.body.as_inlay() else {
        let _ = writeln!(text, "\n# `{}` is no inlay: no coupon tells its gap.", part.name);
        return;
    };
    let Some(figure) = figure::of(inlay) else {
        let _ = writeln!(text, "\n# `{}` leaves no figure for a coupon.", part.name);
        return;
    };
    let motif = free_name(&format!("motif_{number}"), materials);
    let wall = format!("wall_{number}");
    let _ = writeln!(
        text,
        "\n# Of {} in {}: one pocket for each gap, the pieces are alike.\nlet {motif} = {}",
        part.name, host.name, figure.text
    );
    let strip = strip(inlay, seat, figure.width_mm);
    let upside_down = inlay.eased.is_some_and(|eased| eased.lower);
    let _ = writeln!(
        text,
        "part {wall} = {} {{\n{}{}  assembled: no\n  material: {}\n}}",
        strip.shape,
        strip.fields,
        if upside_down { "  pose: upside_down\n" } else { "" },
        host.material.name
    );
    for (k, gap) in gaps_mm(seat.gap_mm, strip.rungs).into_iter().enumerate() {
        let piece = format!("piece_{number}_{}", k + 1);
        let _ = write!(
            text,
            "part {piece} = inlay {{\n  on: {wall}.{}\n  figure: {motif}\n  level: {}\n  \
             bearing: {}\n  sink: {}\n{}{}{}  assembled: no\n  material: {}\n}}\n\
             seat {piece} in {wall} {{ gap: {}, taken_from: {wall} }}\n",
            strip.face,
            mm(strip.height_mm / 2.0),
            strip.bearing(k),
            mm(inlay.sink_mm),
            optional("proud", inlay.proud_mm),
            inlay.eased.map_or(String::new(), |eased| format!(
                "  ease: {} deg\n",
                decimals(eased.angle_rad.to_degrees(), 4)
            )),
            pose(&part.pose),
            part.material.name,
            mm(gap),
        );
    }
}

/// The wall of a ladder.
struct Strip {
    shape: &'static str,
    face: &'static str,
    fields: String,
    height_mm: f64,
    rungs: usize,
    /// Between the middles of two pockets: deg on round walls, mm on flat ones.
    pitch: f64,
    round: bool,
}

impl Strip {
    /// Where the k-th pocket is, as a field's value.
    fn bearing(&self, k: usize) -> String {
        if self.round {
            format!("{} deg", decimals(self.pitch * k as f64, 4))
        } else {
            mm(self.pitch * (k as f64 - (self.rungs - 1) as f64 / 2.0))
        }
    }
}

fn strip(inlay: &Inlay, seat: &Seat, width_mm: f64) -> Strip {
    let wall = inlay.sink_mm + seat.gap_behind_mm + BEHIND_MM;
    let height_mm = inlay.height_mm + 2.0 * BESIDE_MM;
    let apart_mm = width_mm + BESIDE_MM;
    match &inlay.surface {
        turned @ (Surface::Round { sides: None, .. } | Surface::Belly { .. }) => {
            // A belly is a cone over the height of a strip.
            let [radius, slope] = turned.radius_at(inlay.level_mm).unwrap_or_default();
            let pitch = (apart_mm / radius).to_degrees();
            let rungs = ((LONGEST_DEG / pitch) as usize).clamp(1, RUNGS);
            let fields = format!(
                "  radius: {}\n  wall: {}\n  height: {}\n  pitch: {} deg\n  pockets: {rungs}\n  \
                 lean: {} deg\n",
                mm(radius),
                mm(wall),
                mm(height_mm),
                decimals(pitch, 4),
                decimals(slope.atan().to_degrees(), 4)
            );
            let (shape, face) = ("gap_strip", "outside");
            let pitch = decimals(pitch, 4).parse().unwrap_or(pitch);
            Strip { shape, face, fields, height_mm, rungs, pitch, round: true }
        }
        // One repeat of a band on flat sides lies on one of them.
        Surface::Flat { .. } | Surface::Round { .. } => {
            let lying = inlay.is_level();
            let fields = format!(
                "  wall: {}\n  height: {}\n  pitch: {}\n  pockets: {RUNGS}\n{}",
                mm(wall),
                mm(height_mm),
                mm(apart_mm),
                if lying { "  lying: yes\n" } else { "" }
            );
            let (shape, face) = ("gap_slab", if lying { "top" } else { "front" });
            // The plane of a level face has its origin in the face's middle.
            let height_mm = if lying { 0.0 } else { height_mm };
            Strip { shape, face, fields, height_mm, rungs: RUNGS, pitch: apart_mm, round: false }
        }
    }
}

/// A lid's rings, and a mouth to try them in.
fn rings(text: &mut String, model: &Model, closure: &Closure, number: usize) {
    let [lid, host] = [closure.lid, closure.host].map(|part| &model.parts[part.0]);
    let [Some(bore), Some(across)] = closure.across_mm else {
        let _ = writeln!(text, "\n# The mouth of `{}` tells no diameters.", host.name);
        return;
    };
    let into = figure::skirt_radius_mm(&lid.body).is_none_or(|radius| radius < bore / 2.0);
    let mouth = format!("mouth_{number}");
    let _ = writeln!(
        text,
        "\n# Of {} on {}: rings in place of the whole lid.\npart {mouth} = mouth_ring {{\n  \
         bore: {}\n  across: {}\n{}  assembled: no\n  material: {}\n}}",
        lid.name,
        host.name,
        mm(bore),
        mm(across),
        match closure.facets {
            0 => String::new(),
            facets => format!("  facets: {facets}\n"),
        },
        host.material.name
    );
    for (k, gap) in gaps_mm(closure.gap_mm, RUNGS).into_iter().enumerate() {
        let _ = write!(
            text,
            "part ring_{number}_{} = lid_ring {{\n  closes: {mouth}\n  gap: {}\n  notches: {}\n  \
             enters: {}\n  assembled: no\n  material: {}\n}}\n",
            k + 1,
            mm(gap),
            k + 1,
            if into { "into" } else { "onto" },
            lid.material.name
        );
    }
}

/// Plates over columns as wide as the props of a part, in its material.
fn prop_gates(text: &mut String, model: &Model, props: &Props, number: usize) {
    let part = &model.parts[props.under.0];
    let _ = writeln!(
        text,
        "\n# Of the props under {}: break the columns out. The first that comes off clean has as\n\
         # many layers of air as notches: gap_above.\n\
         part gates_{number} = prop_ladder {{\n  layer: {}\n  width: {}\n  assembled: no\n  \
         material: {}\n}}",
        part.name,
        mm(model.printer.layer_mm),
        mm(props.width_mm.min(WIDEST_COLUMN_MM)),
        part.material.name
    );
}

fn mm(value: f64) -> String {
    format!("{} mm", decimals(value, 4))
}

fn optional(field: &str, value_mm: f64) -> String {
    if value_mm == 0.0 { String::new() } else { format!("  {field}: {}\n", mm(value_mm)) }
}

/// The pose of a piece as a field; upright ones need none, faces are of the design.
fn pose(pose: &Pose) -> String {
    match pose {
        Pose::Upright | Pose::On { .. } => String::new(),
        Pose::UpsideDown => "  pose: upside_down\n".to_string(),
        Pose::Tipped { angle_rad, axis } => {
            let axis = ["x", "y", "z"][*axis];
            let angle = decimals(angle_rad.to_degrees(), 4);
            format!("  pose: tipped({angle} deg, {axis})\n")
        }
    }
}

/// A name that no material has.
fn free_name(wish: &str, taken: &BTreeSet<String>) -> String {
    let mut name = wish.to_string();
    while taken.contains(&name) {
        name.push('_');
    }
    name
}
