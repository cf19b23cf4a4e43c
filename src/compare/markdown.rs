//! The report as Markdown, for a review comment: tables and lists that common renderers show.

use super::report::Report;
use super::table::{Section, sections, verdict};

/// Rows beyond this many are folded away, so that a comment stays short.
const OPEN_ROWS: usize = 12;

/// The whole report. `pictures` are what each shows and its file.
pub(super) fn markdown(report: &Report, pictures: &[(&str, String)]) -> String {
    let mut text = format!("### {}\n\n", escaped(&verdict(report)));
    text += &format!("`{}` → `{}`\n", ticks(&report.old), ticks(&report.new));
    for section in sections(report) {
        text += &table(&section);
    }
    if !pictures.is_empty() {
        text += "\n#### pictures\n\nadded: hatched; removed: dotted; what stays: plain\n\n";
    }
    for (shows, file) in pictures {
        text += &format!("![{shows}]({file})\n");
    }
    for note in &report.notes {
        text += &format!("\n{}\n", escaped(note));
    }
    text
}

fn table(section: &Section) -> String {
    let mut text = format!("\n#### {}\n\n", section.heading);
    let folded = section.rows.len() > OPEN_ROWS;
    let (open, rest) = section.rows.split_at(section.rows.len().min(OPEN_ROWS));
    if !open.is_empty() {
        text += &rows(section.columns, open);
    }
    if folded {
        text += &format!("\n<details><summary>{} more</summary>\n\n", rest.len());
        text += &rows(section.columns, rest);
        text += "\n</details>\n";
    }
    if let Some(remark) = &section.remark {
        text += &format!("\n{}\n", escaped(remark));
    }
    text
}

fn rows(columns: &[&str], rows: &[Vec<String>]) -> String {
    let line = |cells: Vec<String>| format!("| {} |\n", cells.join(" | "));
    let mut text = line(columns.iter().map(|c| (*c).to_string()).collect());
    text += &line(columns.iter().map(|_| "---".to_string()).collect());
    for row in rows {
        text += &line(row.iter().map(|cell| escaped(cell)).collect());
    }
    text
}

/// Inside of a code span only its own mark would end it.
fn ticks(text: &str) -> String {
    text.replace('`', "'").replace(['\n', '\r'], " ")
}

/// Text that no renderer takes for marks of its own. Names in backticks stay code.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    let mut is_code = false;
    for c in text.chars() {
        match c {
            '`' => {
                is_code = !is_code;
                out.push(c);
            }
            '|' => out.push_str("\\|"),
            '<' if !is_code => out.push_str("&lt;"),
            '&' if !is_code => out.push_str("&amp;"),
            '\\' | '*' | '_' | '[' | ']' | '#' | '@' | '~' if !is_code => {
                out.push('\\');
                out.push(c);
            }
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    if is_code {
        out.push('`');
    }
    out
}
