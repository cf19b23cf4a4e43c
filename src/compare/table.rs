//! The report as aligned columns.

use super::form::{Fate, PartForm};
use super::meaning::Change;
use super::report::Report;
use super::values::{Moved, Scalar, Weight};
use crate::quantity::decimals;

/// Rows of equal length under a heading.
pub(super) struct Section {
    pub heading: &'static str,
    pub columns: &'static [&'static str],
    pub rows: Vec<Vec<String>>,
    /// Said below the rows.
    pub remark: Option<String>,
}

/// The verdict in one sentence.
pub(super) fn verdict(report: &Report) -> String {
    match (report.changed, report.crossed) {
        (None, _) => "not measured on both sides".to_string(),
        (Some(false), _) => "nothing changed in form or fit".to_string(),
        (Some(true), true) => "form or fit changed, and a limit is newly crossed".to_string(),
        (Some(true), false) => "form or fit changed".to_string(),
    }
}

/// All sections that have something to say.
pub(super) fn sections(report: &Report) -> Vec<Section> {
    [said(report), findings(report), followed(report), form(report)].into_iter().flatten().collect()
}

fn said(report: &Report) -> Option<Section> {
    let renamed = report
        .renamed
        .iter()
        .map(|r| vec![r.kind.clone(), "renamed".to_string(), r.old.clone(), r.new.clone()]);
    let changes = report.meaning.iter().flatten();
    let rows: Vec<Vec<String>> = renamed.chain(changes.map(change)).collect();
    let remark = (report.rewritten > 0)
        .then(|| format!("{} written another way, with the same value", report.rewritten));
    let is_silent = rows.is_empty() && remark.is_none();
    let columns = &["", "what", "old", "new"];
    (!is_silent).then_some(Section { heading: "said", columns, rows, remark })
}

fn change(change: &Change) -> Vec<String> {
    let what = match change.field.as_str() {
        "" => change.name.clone(),
        field if change.name.is_empty() => field.to_string(),
        field => format!("{}, {field}", change.name),
    };
    let shown = |side: &Option<String>| side.clone().unwrap_or_else(|| NONE.to_string());
    vec![change.kind.clone(), what, shown(&change.old), shown(&change.new)]
}

/// Stands where a side has nothing.
const NONE: &str = "-";

/// Sentences have a section of their own: they would widen every column.
fn findings(report: &Report) -> Option<Section> {
    let all = report.followed.iter().flatten().filter(|m| is_finding(m));
    let rows: Vec<Vec<String>> = all
        .map(|m| {
            let word = match (&m.new, m.weight) {
                (Some(_), Weight::Crossed) => "CROSSED",
                (Some(_), _) => "new",
                (None, _) => "gone",
            };
            let text = match m.new.as_ref().or(m.old.as_ref()) {
                Some(Scalar::Text(text)) => text.clone(),
                _ => String::new(),
            };
            let what = if m.what.is_empty() { &m.subject } else { &m.what };
            vec![word.to_string(), what.clone(), text]
        })
        .collect();
    let columns = &["", "what", "sentence"];
    (!rows.is_empty()).then_some(Section { heading: "findings", columns, rows, remark: None })
}

fn is_finding(moved: &Moved) -> bool {
    ["finding", "caution"].contains(&moved.subject.as_str())
}

fn followed(report: &Report) -> Option<Section> {
    let values = report.followed.as_ref()?.iter().filter(|m| !is_finding(m));
    let rows: Vec<Vec<String>> = values.map(moved).collect();
    let values = if report.unchanged == 1 { "value" } else { "values" };
    let remark = Some(format!("{} {values} unchanged", report.unchanged));
    let columns = &["", "what", "old", "new", "by"];
    Some(Section { heading: "followed", columns, rows, remark })
}

fn moved(moved: &Moved) -> Vec<String> {
    let word = match moved.weight {
        Weight::Crossed => "CROSSED",
        _ if moved.mended => "mended",
        Weight::Fit => "fit",
        Weight::Finding => "finding",
        Weight::Rule => "rule",
        Weight::Part => "part",
        Weight::Print => "print",
    };
    let by = match (&moved.old, &moved.new) {
        (Some(Scalar::Number(a)), Some(Scalar::Number(b))) => {
            let sign = if b > a { "+" } else { "" };
            format!("{sign}{}", number(b - a))
        }
        _ => String::new(),
    };
    let shown = |side: &Option<Scalar>| match side {
        Some(Scalar::Number(value)) => format!("{} {}", number(*value), moved.unit),
        Some(Scalar::Text(text)) => text.clone(),
        Some(Scalar::Truth(truth)) => if *truth { "yes" } else { "no" }.to_string(),
        None => NONE.to_string(),
    };
    let limit = moved.limit.filter(|_| moved.weight == Weight::Crossed || moved.mended);
    let by = match limit {
        Some(limit) => format!("{by} (limit {})", number(limit)),
        None => by,
    };
    let what = format!("{}: {}", moved.subject, moved.what);
    [word.to_string(), what, shown(&moved.old), shown(&moved.new), by]
        .map(|cell| cell.trim().to_string())
        .to_vec()
}

/// Four decimals: what counts as the same is below.
fn number(value: f64) -> String {
    decimals(value, 4)
}

fn form(report: &Report) -> Option<Section> {
    let parts = report.form.as_ref()?;
    let kept = parts.iter().filter(|p| p.fate == Fate::Kept).count();
    let rows = parts.iter().filter(|p| p.fate != Fate::Kept).map(part).collect();
    let word = if kept == 1 { "part" } else { "parts" };
    let remark = Some(format!("{kept} {word} of the same form"));
    let columns = &["part", "added", "removed", "surface moved", "pieces", "holes"];
    Some(Section { heading: "form", columns, rows, remark })
}

fn part(part: &PartForm) -> Vec<String> {
    let cm3 = |mm3: f64| format!("{} mm3", decimals(mm3, 3));
    let moved = match (part.fate, &part.moved, &part.refused) {
        (Fate::Added, ..) => "new part".to_string(),
        (Fate::Removed, ..) => "part is gone".to_string(),
        (_, _, Some(why)) => format!("not compared: {why}"),
        (_, Some(shift), _) => {
            let [x, y, z] = shift.at_mm.map(|c| decimals(c, 2));
            format!("{} mm at ({x}, {y}, {z})", decimals(shift.distance_mm, 3))
        }
        _ => String::new(),
    };
    let pair = |[old, new]: [Option<String>; 2]| match (old, new) {
        (Some(a), Some(b)) if a != b => format!("{a} to {b}"),
        (a, b) => b.or(a).unwrap_or_default(),
    };
    vec![
        part.name.clone(),
        cm3(part.added_mm3),
        cm3(part.removed_mm3),
        moved,
        pair(part.pieces.map(|p| p.map(|n| n.to_string()))),
        pair(part.genus.map(|g| g.map(|n| n.to_string()))),
    ]
}

/// Texts of a side longer than this are cut short on terminals.
const LONGEST: usize = 120;

pub(super) fn text(report: &Report) -> String {
    let mut text = format!("{} -> {}: {}\n", report.old, report.new, verdict(report));
    for section in sections(report) {
        text += &format!("\n{}\n", section.heading);
        let mut rows: Vec<Vec<String>> = section.rows;
        if !rows.is_empty() {
            rows.insert(0, section.columns.iter().map(|c| (*c).to_string()).collect());
        }
        text += &aligned(rows);
        if let Some(remark) = section.remark {
            text += &format!("  {remark}\n");
        }
    }
    if !report.notes.is_empty() {
        text.push('\n');
    }
    report.notes.iter().for_each(|note| text += &format!("{note}\n"));
    text
}

fn aligned(rows: Vec<Vec<String>>) -> String {
    let cut = |cell: &String| match cell.char_indices().nth(LONGEST) {
        Some((at, _)) => format!("{}…", &cell[..at]),
        None => cell.clone(),
    };
    let rows: Vec<Vec<String>> = rows.iter().map(|row| row.iter().map(cut).collect()).collect();
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |c: usize| {
        let cells = rows.iter().filter_map(|row| row.get(c));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut text = String::new();
    for row in &rows {
        let cells = row.iter().zip(&widths).map(|(cell, width)| format!("{cell:<width$}"));
        text += format!("  {}", cells.collect::<Vec<_>>().join("  ")).trim_end();
        text.push('\n');
    }
    text
}
