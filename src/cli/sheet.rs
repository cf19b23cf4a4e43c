//! The fit sheet: the manifest's measured values for a person, one thing a line.

use crate::model::Model;
use crate::output::manifest::{
    Form, Gap, LidEntry, Manifest, PartEntry, RequireEntry, RingEntry, SeatEntry, Side, Value,
};
use std::fmt::Write as _;
use std::path::Path;

/// What `check` says of a design without errors.
pub fn outline(model: &Model, sizes: &[String]) -> String {
    let parts: Vec<&str> = model.parts.iter().map(|p| p.name.as_str()).collect();
    let mut text = format!("{}: no errors; parts {}", model.name, parts.join(", "));
    if !sizes.is_empty() {
        text += &format!("; sizes {}", sizes.join(", "));
    }
    text + "\n"
}

/// What `build` says of a set that it wrote into `folder`.
pub fn sheet<'a>(
    name: &str,
    folder: &Path,
    files: impl Iterator<Item = &'a str>,
    manifest: &Manifest,
) -> String {
    let mut text = match &manifest.size {
        Some(size) => format!("{name}, size {size}\n"),
        None => format!("{name}\n"),
    };
    let mut rows: Vec<[String; 6]> = manifest.parts.iter().map(part_row).collect();
    align(&mut rows);
    push_group(&mut text, "part", rows.into_iter().map(|row| row.join("  ")));
    push_group(&mut text, "seat", manifest.seats.iter().map(seat_line));
    push_group(&mut text, "lid", manifest.lids.iter().map(lid_line));
    push_group(&mut text, "ring", manifest.rings.iter().map(ring_line));
    push_group(&mut text, "require", manifest.requires.iter().map(require_line));
    push_group(&mut text, "caution", manifest.cautions.iter().cloned());
    let files: Vec<&str> = files.collect();
    let _ = writeln!(text, "wrote {}: {}", folder.display(), files.join(" "));
    text
}

/// Lines under a word that stands before the first of them.
fn push_group(text: &mut String, word: &str, lines: impl Iterator<Item = String>) {
    for (index, line) in lines.enumerate() {
        let word = if index == 0 { word } else { "" };
        let _ = writeln!(text, "  {word:<8} {}", line.trim_end());
    }
}

/// Pads all cells of a column to the same width.
fn align<const N: usize>(rows: &mut [[String; N]]) {
    for column in 0..N {
        let width = rows.iter().map(|r| r[column].chars().count()).max().unwrap_or(0);
        for row in rows.iter_mut() {
            let missing = width - row[column].chars().count();
            row[column].extend(std::iter::repeat_n(' ', missing));
        }
    }
}

fn part_row(part: &PartEntry) -> [String; 6] {
    let [x, y, z] = part.size_mm.map(|c| number(c, 2));
    let form = match part.form {
        Form::Exact => "exact",
        Form::Mesh => "mesh",
    };
    let mut body = format!("{form}, {}", counted(part.pieces, "piece"));
    if let Some(capacity) = part.capacity_ml {
        body += &format!(", holds {} ml", number(capacity, 1));
    }
    if part.files.is_empty() {
        body += ", no files";
    }
    [
        part.name.clone(),
        format!("{x} x {y} x {z} mm"),
        format!("{} cm3", number(part.volume_mm3 / 1000.0, 2)),
        format!("{} g {}", number(part.mass_g, 1), part.material),
        format!("{} m", number(part.filament_m, 2)),
        body,
    ]
}

fn seat_line(seat: &SeatEntry) -> String {
    let mut line = format!("{} in {}: {}", seat.inlay, seat.host, gap(&seat.gap_mm));
    let _ = write!(line, " from {}", seat.taken_from);
    let (low, high) = (seat.face_step_mm.lowest, seat.face_step_mm.highest);
    let _ = write!(line, "; depth {} mm", number(seat.depth_mm, 3));
    let _ = write!(line, ", face step {} to {} mm", number(low, 3), number(high, 3));
    if let Some(steepest) = seat.ceiling_deg.steepest {
        let _ = write!(line, ", ceiling {} deg", number(steepest, 2));
    }
    push_overlap(&mut line, seat.overlap_mm3);
    line
}

fn lid_line(lid: &LidEntry) -> String {
    let mut line = format!("{} on {}: {}", lid.lid, lid.host, gap(&lid.gap_mm));
    let _ = write!(line, "; engages {} mm", number(lid.engagement_mm, 3));
    push_overlap(&mut line, lid.overlap_mm3);
    line
}

/// Silent where it is nothing: a thousandth of a cubic millimetre is none.
fn push_overlap(line: &mut String, overlap_mm3: f64) {
    if overlap_mm3 >= 0.001 {
        let _ = write!(line, ", OVERLAP {} mm3", number(overlap_mm3, 3));
    }
}

fn ring_line(ring: &RingEntry) -> String {
    let mut line = format!(
        "{}: slit opens {} mm to pass {} mm, strain {} %",
        ring.part,
        number(ring.opening_mm, 2),
        number(ring.over_mm, 2),
        number(ring.strain_percent, 2),
    );
    if let Some(permitted) = ring.permitted_percent {
        let _ = write!(line, " of {} %", number(permitted, 2));
    }
    line
}

fn require_line(rule: &RequireEntry) -> String {
    // A ratio is told as the author wrote it.
    let in_percent = rule.text.trim_end().ends_with('%');
    let side = |side: &Side| {
        let value = match &side.value {
            Value::Number(value) if in_percent && side.unit.is_none() => {
                format!("{} %", number(value * 100.0, 4))
            }
            Value::Number(value) => number(*value, 4),
            Value::Text(text) => format!("\"{text}\""),
            Value::Truth(true) => "yes".to_string(),
            Value::Truth(false) => "no".to_string(),
        };
        side.unit.as_ref().map_or(value.clone(), |unit| format!("{value} {unit}"))
    };
    let measured = rule.left.as_ref().map(|left| format!(": {}", side(left)));
    let verdict = if rule.holds { "" } else { " (does not hold)" };
    format!("{}{}{verdict}", rule.text, measured.unwrap_or_default())
}

fn gap(gap: &Gap) -> String {
    let [least, most, asked] = [gap.least, gap.most, gap.asked].map(|g| number(g, 3));
    format!("gap {least} to {most} mm, asked {asked}")
}

fn counted(n: u64, word: &str) -> String {
    if n == 1 { format!("1 {word}") } else { format!("{n} {word}s") }
}

/// A number with at most `digits` decimals, never `-0`.
fn number(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let text = match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.'),
        false => &text,
    };
    if text == "-0" { "0".to_string() } else { text.to_string() }
}
