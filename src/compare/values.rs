//! What moved among the measured values, taken from two manifests. Every number of a manifest
//! that tells of parts, fits and prints is compared, whatever its key: the unit is the key's
//! last word.

use super::spell::{Names, renamed};
use serde::Serialize;
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// How much a value matters, first what matters most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Weight {
    /// A fit or a rule no longer keeps its limit.
    Crossed,
    /// How parts go together.
    Fit,
    /// A finding or a caution that came or went.
    Finding,
    /// A rule of the design.
    Rule,
    /// What a part is.
    Part,
    /// How it is printed.
    Print,
}

/// A value that moved.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Moved {
    /// How much it matters.
    pub weight: Weight,
    /// `belt in jar`
    pub subject: String,
    /// `least gap`
    pub what: String,
    /// `mm`; empty for counts and words.
    pub unit: String,
    /// None where the old side has no such value.
    pub old: Option<Scalar>,
    /// None where the new side has no such value.
    pub new: Option<Scalar>,
    /// The limit that it keeps or crosses, in the same unit.
    pub limit: Option<f64>,
    /// Whether the old value crossed the limit, and the new one does not.
    pub mended: bool,
}

/// One value of a manifest.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Scalar {
    /// A number in the unit that stands beside it.
    Number(f64),
    /// A text.
    Text(String),
    /// yes is true.
    Truth(bool),
}

/// What moved, and how much did not.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Followed {
    pub moved: Vec<Moved>,
    pub unchanged: usize,
}

/// Values that differ by less are the same: a ten-thousandth of a mm, a degree, a gram is
/// below what any print or scale shows, and above the rounding of bodies that are cut anew.
const SAME: f64 = 1e-4;

/// Gaps are told to a micrometre: one that is short by less keeps its limit. As the fits are
/// judged by the build.
const TOLD_MM: f64 = crate::fit::TOLD_MM;

/// Keys that say how and from what a manifest was made, not what: and those that are told
/// of elsewhere or mean nothing by themselves.
const PASSED_OVER: [&str; 15] = [
    "manifest",
    "compiler",
    "about",
    "source",
    "given",
    "files",
    "only",
    "docs",
    "note",
    "triangles",
    "engines",
    "plates",
    "transform",
    "cautions",
    "findings",
];

/// A value before comparison.
#[derive(Clone, Debug, PartialEq)]
struct Measure {
    weight: Weight,
    unit: String,
    value: Scalar,
    limit: Option<f64>,
    crossed: bool,
}

/// By subject and what it is.
type Table = BTreeMap<(String, String), Measure>;

/// What moved from one manifest to another; `names` are new names of old things.
pub(super) fn between(old: &Value, new: &Value, names: &Names) -> Followed {
    let (before, after) = (table(old, names), table(new, &Names::new()));
    let mut followed = Followed::default();
    let keys: std::collections::BTreeSet<_> = before.keys().chain(after.keys()).collect();
    for key in keys {
        let (a, b) = (before.get(key), after.get(key));
        // A rule that was written anew is told of where the texts are compared.
        if is_rule_of_one_side(a, b) {
            continue;
        }
        match moved(key, a, b) {
            Some(moved) => followed.moved.push(moved),
            None => followed.unchanged += 1,
        }
    }
    followed.moved = gathered(followed.moved, &before, &after);
    findings(old, new, names, &mut followed);
    followed.moved.sort_by(|a, b| {
        let order = (a.weight, &a.subject, &a.what).cmp(&(b.weight, &b.subject, &b.what));
        let by_size = share(b).total_cmp(&share(a));
        a.weight.cmp(&b.weight).then(by_size).then(order)
    });
    followed
}

/// Values of a thing that only one side has in one row, but for limits that it crosses.
fn gathered(moved: Vec<Moved>, before: &Table, after: &Table) -> Vec<Moved> {
    let has = |table: &Table, subject: &str| table.keys().any(|(s, _)| s == subject);
    let mut rows: Vec<Moved> = Vec::new();
    let mut counts: BTreeMap<(bool, String, Weight), usize> = BTreeMap::new();
    for value in moved {
        let (was, is) = (has(before, &value.subject), has(after, &value.subject));
        if (was && is) || value.weight == Weight::Crossed {
            rows.push(value);
        } else {
            *counts.entry((is, value.subject, value.weight)).or_default() += 1;
        }
    }
    rows.extend(counts.into_iter().map(|((is, subject, weight), count)| {
        let text = Some(Scalar::Text(format!("{count} values")));
        Moved {
            weight,
            subject,
            what: if is { "new" } else { "gone" }.to_string(),
            unit: String::new(),
            old: text.clone().filter(|_| !is),
            new: text.filter(|_| is),
            limit: None,
            mended: false,
        }
    }));
    rows
}

/// Every value of a manifest, a line each: findings and cautions last.
pub(super) fn lines(manifest: &Value) -> String {
    let names = Names::new();
    let mut text = String::new();
    for ((subject, what), measure) in table(manifest, &names) {
        let value = match &measure.value {
            Scalar::Number(number) => crate::output::number::text(*number),
            Scalar::Text(text) => text.clone(),
            Scalar::Truth(truth) => if *truth { "yes" } else { "no" }.to_string(),
        };
        text += format!("{subject}, {what}: {value} {}", measure.unit).trim_end();
        text.push('\n');
    }
    for (code, message) in told(manifest, &names) {
        let code = if code.is_empty() { "caution" } else { code.as_str() };
        text += &format!("{code}: {message}\n");
    }
    text
}

fn is_rule_of_one_side(old: Option<&Measure>, new: Option<&Measure>) -> bool {
    let one = match (old, new) {
        (Some(only), None) | (None, Some(only)) => only,
        _ => return false,
    };
    one.weight == Weight::Rule && !one.crossed
}

/// By which share of itself a value moved; what came or went moved by all of it.
fn share(moved: &Moved) -> f64 {
    match (&moved.old, &moved.new) {
        (Some(Scalar::Number(a)), Some(Scalar::Number(b))) => {
            (a - b).abs() / a.abs().max(b.abs()).max(f64::MIN_POSITIVE)
        }
        _ => 1.0,
    }
}

fn moved(
    (subject, what): &(String, String),
    old: Option<&Measure>,
    new: Option<&Measure>,
) -> Option<Moved> {
    let crossed = |m: Option<&Measure>| m.is_some_and(|m| m.crossed);
    let newly = crossed(new) && !crossed(old);
    let same = match (old.map(|m| &m.value), new.map(|m| &m.value)) {
        (Some(Scalar::Number(a)), Some(Scalar::Number(b))) => (a - b).abs() < SAME,
        (a, b) => a == b,
    };
    if same && !newly {
        return None;
    }
    let known = new.or(old)?;
    Some(Moved {
        weight: if newly { Weight::Crossed } else { known.weight },
        subject: subject.clone(),
        what: what.clone(),
        unit: known.unit.clone(),
        old: old.map(|m| m.value.clone()),
        new: new.map(|m| m.value.clone()),
        limit: known.limit,
        mended: crossed(old) && !crossed(new),
    })
}

fn table(manifest: &Value, names: &Names) -> Table {
    let mut table = Table::new();
    let Some(all) = manifest.as_object() else { return table };
    for (key, value) in all {
        if PASSED_OVER.contains(&key.as_str()) {
            continue;
        }
        let weight = match key.as_str() {
            "parts" => Weight::Part,
            "print" | "printer" => Weight::Print,
            "requires" => Weight::Rule,
            _ => Weight::Fit,
        };
        match value {
            Value::Array(entries) => {
                for entry in entries.iter().filter_map(Value::as_object) {
                    let subject = subject(key, entry, names);
                    if weight == Weight::Rule {
                        rule(&mut table, &subject, entry);
                        continue;
                    }
                    walk(&mut table, &subject, weight, &[], entry, names);
                }
            }
            Value::Object(entry) => walk(&mut table, key, weight, &[], entry, names),
            _ => {}
        }
    }
    table
}

/// What an entry is about: the names of the parts in it.
fn subject(key: &str, entry: &Map<String, Value>, names: &Names) -> String {
    let name = |key: &str| Some(renamed(names, entry.get(key)?.as_str()?).to_string());
    let pair = |a: &str, word: &str, b: &str| Some(format!("{} {word} {}", name(a)?, name(b)?));
    pair("inlay", "in", "host")
        .or_else(|| pair("lid", "on", "host"))
        .or_else(|| pair("inner", "in", "outer"))
        .or_else(|| name("part"))
        .or_else(|| name("name"))
        .or_else(|| Some(entry.get("text")?.as_str()?.to_string()))
        .unwrap_or_else(|| key.to_string())
}

/// Whether a rule holds. What was measured for it is told of where it belongs.
fn rule(table: &mut Table, subject: &str, entry: &Map<String, Value>) {
    let holds = entry.get("holds") == Some(&Value::Bool(true));
    let measure = Measure {
        weight: Weight::Rule,
        unit: String::new(),
        value: Scalar::Truth(holds),
        limit: None,
        crossed: !holds,
    };
    table.insert((subject.to_string(), "holds".to_string()), measure);
}

/// Keys that say what an entry is about.
const SUBJECTS: [&str; 8] = ["inlay", "host", "lid", "inner", "outer", "part", "name", "text"];

fn walk(
    table: &mut Table,
    subject: &str,
    weight: Weight,
    path: &[&str],
    entry: &Map<String, Value>,
    names: &Names,
) {
    for (key, value) in entry {
        let is_subject = path.is_empty() && SUBJECTS.contains(&key.as_str());
        // The size of a printed copy is that of its part, in the pose.
        let is_twice = weight == Weight::Print && key == "size_mm";
        if is_subject || is_twice || PASSED_OVER.contains(&key.as_str()) {
            continue;
        }
        let path: Vec<&str> = path.iter().copied().chain([key.as_str()]).collect();
        let mut put = |axis: &str, value: Scalar| {
            let (what, unit) = label(&path, axis);
            let limit = limit(key, entry);
            let crossed = limit.is_some_and(|limit| limit.is_crossed(&value));
            let limit = limit.map(|l| l.value);
            let measure = Measure { weight, unit, value, limit, crossed };
            table.insert((subject.to_string(), what), measure);
        };
        match value {
            Value::Object(inner) => walk(table, subject, weight, &path, inner, names),
            Value::Array(items) => {
                for (axis, item) in ["x", "y", "z"].iter().zip(items) {
                    if let Some(number) = item.as_f64() {
                        put(axis, Scalar::Number(number));
                    }
                }
            }
            Value::Number(number) => put("", Scalar::Number(number.as_f64().unwrap_or(0.0))),
            Value::Bool(truth) => put("", Scalar::Truth(*truth)),
            Value::String(text) => put("", Scalar::Text(renamed(names, text).to_string())),
            Value::Null => {}
        }
    }
}

/// Units as keys end in them.
const UNITS: [&str; 8] = ["mm", "mm2", "mm3", "deg", "g", "m", "ml", "percent"];

/// `gap_mm`, `least` is the `gap, least` in mm.
fn label(path: &[&str], axis: &str) -> (String, String) {
    let mut unit = String::new();
    let mut words = Vec::new();
    for key in path {
        let mut key = (*key).to_string();
        if let Some((stem, last)) = key.rsplit_once('_')
            && UNITS.contains(&last)
        {
            unit = if last == "percent" { "%".into() } else { last.into() };
            key = stem.to_string();
        }
        words.push(key.replace('_', " "));
    }
    if !axis.is_empty() {
        words.push(axis.to_string());
    }
    (words.join(", "), unit)
}

/// What a value must keep to.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Limit {
    value: f64,
    /// Whether it must not fall below.
    is_least: bool,
    slack: f64,
}

impl Limit {
    fn is_crossed(&self, value: &Scalar) -> bool {
        let Scalar::Number(number) = value else { return false };
        if self.is_least {
            *number < self.value - self.slack
        } else {
            *number > self.value + self.slack
        }
    }
}

/// The limit of a value: what was asked for it, or what its material stands.
fn limit(key: &str, entry: &Map<String, Value>) -> Option<Limit> {
    let beside = |key: &str| entry.get(key).and_then(Value::as_f64);
    let most = |value, slack| Some(Limit { value, is_least: false, slack });
    match key {
        "least" => Some(Limit { value: beside("asked")?, is_least: true, slack: TOLD_MM }),
        "steepest" => most(beside("asked")?, crate::fit::STEEPER_DEG),
        "strain_percent" => most(beside("permitted_percent")?, 0.0),
        "overlap_mm3" => most(0.0, crate::fit::SHARED_MM3),
        _ => None,
    }
}

/// Findings and cautions that came or went. One about a fit that came is a limit crossed.
fn findings(old: &Value, new: &Value, names: &Names, followed: &mut Followed) {
    let (before, after) = (told(old, names), told(new, &Names::new()));
    let mut all: Vec<&(String, String)> = before.iter().chain(&after).collect();
    all.sort();
    all.dedup();
    for finding in all {
        let (was, is) = (before.contains(finding), after.contains(finding));
        if was && is {
            followed.unchanged += 1;
            continue;
        }
        let (code, message) = finding;
        let is_fit = ["E06", "W06"].iter().any(|block| code.starts_with(block));
        let text = Some(Scalar::Text(message.clone()));
        followed.moved.push(Moved {
            weight: if is && is_fit { Weight::Crossed } else { Weight::Finding },
            subject: if code.is_empty() { "caution".into() } else { "finding".into() },
            what: code.clone(),
            unit: String::new(),
            old: text.clone().filter(|_| was),
            new: text.filter(|_| is),
            limit: None,
            mended: was && is_fit,
        });
    }
}

/// Code and sentence of each finding, without its place, which comments move; cautions have no
/// code. Old names in backticks become new ones.
fn told(manifest: &Value, names: &Names) -> Vec<(String, String)> {
    let list = |key: &str| manifest.get(key).and_then(Value::as_array).cloned().unwrap_or_default();
    let text = |value: Option<&Value>| {
        let text = value.and_then(Value::as_str).unwrap_or_default();
        let pieces = text.split('`').map(|piece| renamed(names, piece));
        pieces.collect::<Vec<_>>().join("`")
    };
    let code = |f: &Value| {
        let [id, name] = ["code", "name"].map(|key| text(f.get(key)));
        format!("{id} {name}")
    };
    let findings = list("findings");
    let findings = findings.iter().map(|f| (code(f), text(f.get("message"))));
    let cautions = list("cautions");
    let cautions = cautions.iter().map(|c| (String::new(), text(Some(c))));
    findings.chain(cautions).collect()
}
