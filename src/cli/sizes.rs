//! `sizes`: the whole family in one table.

use crate::diagnostics::{Diagnostic, Severity};
use crate::output::manifest::{GivenEntry, Origin, Value};
use crate::output::number;
use crate::pipeline::{self, Care, Figure, FigureKind, Options, Variant};
use crate::source::DiskWorld;
use std::collections::BTreeMap;

use super::Exit;
use super::args::{SizesArgs, TableForm};
use super::build::{no_sizes, verdict};
use super::findings::Reporter;
use super::parallel;
use super::table::Table;
use super::terminal::Terminal;
use crate::quantity::decimals as short;

/// What the row of the defaults is called.
const AS_WRITTEN: &str = "as written";

/// `pipkin sizes`
pub fn sizes(args: &SizesArgs, terminal: &mut Terminal) -> Exit {
    let mut reporter = Reporter::new(args.findings.message_format, &args.file);
    let reading = pipeline::read(&DiskWorld, &args.file);
    let sizes = reading.sizes();
    if sizes.is_empty() {
        let exit = no_sizes(&args.file, &mut reporter, terminal);
        reporter.close(terminal, false);
        return exit;
    }
    let all: Vec<Option<String>> =
        std::iter::once(None).chain(sizes.into_iter().map(Some)).collect();
    let measure = |size: &Option<String>| {
        let options = Options { size: size.clone(), sets: args.set.clone(), ..Options::default() };
        reading.measure(&options, Care::Full)
    };
    let mut family = Vec::new();
    parallel::in_order(&all, measure, |index, variant| {
        let name = all[index].as_deref().unwrap_or(AS_WRITTEN);
        family.push((name.to_string(), variant));
    });
    let mut worst = Exit::Clean;
    let mut failed = Vec::new();
    for (name, variant) in &family {
        reporter.show(terminal, reading.sources(), &variant.findings);
        let exit = verdict(&variant.findings, args.findings.deny.is_some());
        if exit != Exit::Clean {
            failed.push(name.as_str());
            worst = if worst == Exit::Clean { exit } else { worst };
        }
    }
    terminal.result(&match args.report {
        TableForm::Text => overview(&family).text(),
        TableForm::Markdown => overview(&family).markdown(),
        TableForm::Csv => in_full(&family).csv(),
    });
    if !failed.is_empty() {
        let (some, count) = (failed.len(), family.len());
        let names = failed.join(", ");
        terminal.tell(&format!("{some} of {count} sizes have errors: {names}\n"));
    }
    reporter.close(terminal, args.findings.deny.is_some());
    worst
}

/// One row a size, for people: the tightest gap and the most strained ring stand for all.
fn overview(family: &[(String, Variant)]) -> Table {
    let mut heads = vec!["size".to_string()];
    heads.extend(given_names(family));
    let fixed = ["outside", "holds", "mass", "tightest gap", "ring strain", "findings"];
    heads.extend(fixed.map(str::to_string));
    let rows = family.iter().map(|(name, variant)| {
        let mut row = vec![name.clone()];
        row.extend(variant.givens.iter().map(|(_, given)| given_in_words(given)));
        // Givens of a size whose text has errors are not known.
        row.resize(heads.len() - fixed.len(), String::new());
        let of = |kind| variant.figures.iter().filter(move |f| f.kind == kind);
        let outside: Vec<String> = of(FigureKind::Size).map(|f| short(f.value, 2)).collect();
        row.push(if outside.is_empty() { String::new() } else { outside.join(" x ") + " mm" });
        let joined = |kind: FigureKind, digits: usize| {
            let each: Vec<String> =
                of(kind).map(|f| format!("{} {}", short(f.value, digits), f.unit)).collect();
            each.join(" + ")
        };
        row.push(joined(FigureKind::Capacity, 1));
        row.push(joined(FigureKind::Mass, 1));
        row.push(worst(of(FigureKind::Gap)).map_or(String::new(), |f| against_limit(f, 3)));
        row.push(worst(of(FigureKind::Strain)).map_or(String::new(), |f| against_limit(f, 2)));
        row.push(counted(&variant.findings));
        row
    });
    let rows = rows.collect();
    Table { heads, rows }
}

/// One row a size, one column a value, for programs.
fn in_full(family: &[(String, Variant)]) -> Table {
    let mut heads = vec!["size".to_string()];
    let givens: Vec<String> = given_names(family);
    let units = |name: &String| {
        let mut entries = family.iter().flat_map(|(_, variant)| &variant.givens);
        entries.find(|(n, _)| n == name).and_then(|(_, given)| given.unit.clone())
    };
    heads.extend(givens.iter().map(|name| headed(name, &units(name).unwrap_or_default())));
    let columns = figure_columns(family.iter().map(|(_, variant)| &variant.figures[..]));
    heads.extend(columns.iter().map(|(name, unit)| headed(name, unit)));
    heads.push("findings".to_string());
    let rows = family.iter().map(|(name, variant)| {
        let mut row = vec![name.clone()];
        let given = |name: &String| variant.givens.iter().find(|(n, _)| n == name);
        row.extend(givens.iter().map(|g| given(g).map_or(String::new(), |(_, g)| bare(&g.value))));
        row.extend(cells(&columns, &variant.figures));
        row.push(counted(&variant.findings));
        row
    });
    let rows = rows.collect();
    Table { heads, rows }
}

/// `bore [mm]`
pub fn headed(name: &str, unit: &str) -> String {
    if unit.is_empty() { name.to_string() } else { format!("{name} [{unit}]") }
}

/// Names and units of all values that any of several variants has, in their order.
pub fn figure_columns<'a>(variants: impl Iterator<Item = &'a [Figure]>) -> Vec<(String, String)> {
    let mut columns: Vec<(String, String)> = Vec::new();
    for figure in variants.flatten() {
        let column = (figure.name.clone(), figure.unit.clone());
        if !columns.contains(&column) {
            columns.push(column);
        }
    }
    columns
}

/// The values under their columns; empty where there is none.
pub fn cells(columns: &[(String, String)], figures: &[Figure]) -> Vec<String> {
    let cell = |(name, unit): &(String, String)| {
        let found = figures.iter().find(|f| f.name == *name && f.unit == *unit);
        found.map_or(String::new(), |figure| number::text(figure.value))
    };
    columns.iter().map(cell).collect()
}

/// The value that comes nearest to its limit; of several, the first.
pub fn worst<'a>(figures: impl Iterator<Item = &'a Figure>) -> Option<&'a Figure> {
    figures.fold(None, |worst: Option<&Figure>, figure| {
        let share = |f: &Figure| f.share().unwrap_or(0.0);
        match worst {
            // Shares of gaps that were kept differ by rounding only.
            Some(known) if share(figure) <= share(known) + 1e-3 => Some(known),
            _ => Some(figure),
        }
    })
}

/// `belt in jar: 0.1 of 0.1 mm`
fn against_limit(figure: &Figure, digits: usize) -> String {
    let limit = figure.limit.map(|limit| format!(" of {}", short(limit, digits)));
    let missed = if figure.holds { "" } else { ", MISSED" };
    let value = short(figure.value, digits);
    format!("{}: {value}{} {}{missed}", figure.name, limit.unwrap_or_default(), figure.unit)
}

fn given_names(family: &[(String, Variant)]) -> Vec<String> {
    let longest = family.iter().map(|(_, variant)| &variant.givens).max_by_key(|g| g.len());
    longest.into_iter().flatten().map(|(name, _)| name.clone()).collect()
}

/// What a size or a setting changed is told apart from what is as written.
fn given_in_words(given: &GivenEntry) -> String {
    let unit = given.unit.as_ref().map(|unit| format!(" {unit}")).unwrap_or_default();
    let mark = if given.from == Origin::Set { " (set)" } else { "" };
    format!("{}{unit}{mark}", bare(&given.value))
}

fn bare(value: &Value) -> String {
    match value {
        Value::Number(number) => number::text(*number),
        Value::Text(text) => text.clone(),
        Value::Truth(true) => "yes".to_string(),
        Value::Truth(false) => "no".to_string(),
    }
}

/// `none`, or each code with how often it was found, errors first: `E0608, 2 x W1003`.
pub fn counted(findings: &[Diagnostic]) -> String {
    let mut counts: BTreeMap<(Severity, &str), usize> = BTreeMap::new();
    for finding in findings {
        *counts.entry((finding.severity, finding.code.id)).or_default() += 1;
    }
    let each: Vec<String> = counts
        .iter()
        .map(|((_, code), n)| if *n == 1 { code.to_string() } else { format!("{n} x {code}") })
        .collect();
    if each.is_empty() { "none".to_string() } else { each.join(", ") }
}
