//! A sweep in words: its table, where limits are crossed, how many variants failed and why.

use crate::output::pictures::{Chart, ChartLine, ChartPanel};
use crate::pipeline::{Figure, FigureKind};
use std::collections::BTreeMap;

use super::super::sizes::{cells, figure_columns, headed};
use super::super::table::Table;
use super::state::Outcome;
use super::vary::Vary;
use crate::quantity::decimals as short;

/// A sweep that was measured: for each variant its values, in the order of the givens, and what
/// it came to. The last given changes first.
pub struct Sweep<'a> {
    /// The design's name.
    pub name: &'a str,
    /// What was varied.
    pub vary: &'a [Vary],
    /// Numbers of the values of each variant.
    pub variants: &'a [Vec<usize>],
    /// What each came to.
    pub outcomes: &'a [Outcome],
}

/// Where a value goes over its limit, between two neighbours on the first given's axis.
struct Crossing {
    /// Names and values of the other givens; empty where there are none.
    others: String,
    figure: String,
    unit: String,
    limit: f64,
    /// Where on the axis, if one straight line leads from the one to the other.
    at: f64,
    value: f64,
    between: [String; 2],
}

impl Sweep<'_> {
    /// One row a variant.
    pub fn table(&self) -> Table {
        let columns = figure_columns(self.outcomes.iter().map(|o| &o.figures[..]));
        let mut heads: Vec<String> = self.vary.iter().map(|v| v.name.clone()).collect();
        heads.extend(columns.iter().map(|(name, unit)| headed(name, unit)));
        heads.push("findings".to_string());
        let row = |(variant, outcome): (&Vec<usize>, &Outcome)| {
            let mut row: Vec<String> = self.values(variant).map(|(_, v)| v.to_string()).collect();
            row.extend(cells(&columns, &outcome.figures));
            row.push(in_words(&outcome.codes));
            row
        };
        let rows = self.variants.iter().zip(self.outcomes).map(row).collect();
        Table { heads, rows }
    }

    fn values<'s>(&'s self, variant: &'s [usize]) -> impl Iterator<Item = (&'s str, &'s str)> {
        let each = self.vary.iter().zip(variant);
        each.filter_map(|(vary, k)| Some((vary.name.as_str(), vary.values.get(*k)?.as_str())))
    }

    /// How many variants have errors, and for each code in how many it was found.
    pub fn failures(&self) -> (usize, BTreeMap<&str, usize>) {
        let mut codes = BTreeMap::new();
        let mut failed = 0;
        for outcome in self.outcomes {
            failed += usize::from(outcome.errors().next().is_some());
            for code in outcome.errors() {
                *codes.entry(code).or_default() += 1;
            }
        }
        (failed, codes)
    }

    /// The head of every report: how many, how measured, what failed, what is crossed where.
    pub fn head(&self, crossings_shown: usize) -> String {
        let (failed, codes) = self.failures();
        let measured = self.outcomes.iter().filter(|o| !o.figures.is_empty()).count();
        let mut text = format!(
            "{}: {} variants, {measured} measured, {failed} failed\n",
            self.name,
            self.outcomes.len()
        );
        text += "measured on the meshes alone: no exact body was made or compared, nothing was \
                 looked at as it will be printed, no file of a part was written\n";
        for (code, n) in codes {
            text += &format!("  {code} in {n} of them\n");
        }
        let crossings = self.crossings();
        for c in crossings.iter().take(crossings_shown) {
            text += &format!("  {}\n", self.crossing_in_words(c));
        }
        if crossings.len() > crossings_shown {
            text +=
                &format!("  and {} more limits are crossed\n", crossings.len() - crossings_shown);
        }
        text
    }

    fn crossing_in_words(&self, c: &Crossing) -> String {
        let others = if c.others.is_empty() { String::new() } else { format!(", {}", c.others) };
        let Some(axis) = self.vary.first() else { return String::new() };
        format!(
            "{} crosses {} {} between {} {} and {}, near {} {}{others}",
            c.figure,
            short(c.limit, 4),
            c.unit,
            axis.name,
            c.between[0],
            c.between[1],
            short(c.at, 3),
            axis.unit,
        )
    }

    /// Variants that differ in the first given only, with words for the others.
    fn lines(&self) -> Vec<(String, Vec<(usize, &Outcome)>)> {
        let mut lines: BTreeMap<Vec<usize>, Vec<(usize, &Outcome)>> = BTreeMap::new();
        for (variant, outcome) in self.variants.iter().zip(self.outcomes) {
            if let Some((first, others)) = variant.split_first() {
                lines.entry(others.to_vec()).or_default().push((*first, outcome));
            }
        }
        let named = |others: &Vec<usize>| {
            let each = self.vary.iter().skip(1).zip(others);
            let words: Vec<String> = each
                .filter_map(|(vary, k)| Some(format!("{} {}", vary.name, vary.values.get(*k)?)))
                .collect();
            words.join(", ")
        };
        lines.into_iter().map(|(others, points)| (named(&others), points)).collect()
    }

    /// Where the values of the first given lie: texts at whole numbers.
    fn place(&self, k: usize) -> f64 {
        let places = self.vary.first().and_then(|v| v.places.as_ref());
        places.and_then(|p| p.get(k).copied()).unwrap_or(k as f64)
    }

    fn crossings(&self) -> Vec<Crossing> {
        let Some(axis) = self.vary.first().filter(|v| v.places.is_some()) else {
            return Vec::new();
        };
        let mut found = Vec::new();
        for (others, points) in self.lines() {
            for pair in points.windows(2) {
                let [(i, before), (j, after)] = pair else { continue };
                for old in before.figures.iter().filter(|f| f.limit.is_some()) {
                    let same = |f: &&Figure| f.name == old.name && f.holds != old.holds;
                    let Some(new) = after.figures.iter().find(same) else { continue };
                    let (Some(from), Some(to)) = (old.limit, new.limit) else { continue };
                    let (a, b) = (old.value - from, new.value - to);
                    let t = if a == b { 0.5 } else { (a / (a - b)).clamp(0.0, 1.0) };
                    let [x, y] = [*i, *j].map(|k| self.place(k));
                    let value = |k: &usize| axis.values.get(*k).cloned().unwrap_or_default();
                    found.push(Crossing {
                        others: others.clone(),
                        figure: old.name.clone(),
                        unit: old.unit.clone(),
                        limit: from + (to - from) * t,
                        at: x + (y - x) * t,
                        value: old.value + (new.value - old.value) * t,
                        between: [value(i), value(j)],
                    });
                }
            }
        }
        found
    }

    /// The chart: one panel a value, all of them or those named in `shown`.
    pub fn chart(&self, shown: &[String], digest: &str) -> Chart {
        let columns = figure_columns(self.outcomes.iter().map(|o| &o.figures[..]));
        let kind = |name: &str| {
            let all = self.outcomes.iter().flat_map(|o| &o.figures);
            all.filter(|f| f.name == name).map(|f| f.kind).next()
        };
        let wanted = |name: &str| match shown {
            [] => kind(name) != Some(FigureKind::Size),
            names => names.iter().any(|n| n == name),
        };
        let lines = self.lines();
        let crossings = self.crossings();
        let panels = columns.iter().filter(|(name, _)| wanted(name)).map(|(name, unit)| {
            let figure = |o: &Outcome| o.figures.iter().find(|f| f.name == *name).cloned();
            let line = |(label, points): &(String, Vec<(usize, &Outcome)>)| ChartLine {
                label: label.clone(),
                points: points
                    .iter()
                    .map(|(k, o)| (self.place(*k), figure(o).map(|f| f.value)))
                    .collect(),
            };
            let limits = lines.first().map(|(_, points)| {
                let each =
                    points.iter().map(|(k, o)| (self.place(*k), figure(o).and_then(|f| f.limit)));
                ChartLine { label: "limit".to_string(), points: each.collect() }
            });
            let here = crossings.iter().filter(|c| c.figure == *name);
            ChartPanel {
                title: headed(name, unit),
                lines: lines.iter().map(line).collect(),
                limit: limits.filter(|l| l.points.iter().any(|(_, y)| y.is_some())),
                crossings: here.map(|c| (c.at, c.value, short(c.at, 2))).collect(),
            }
        });
        let axis = self.vary.first();
        let names = axis.filter(|v| v.places.is_none()).map(|v| v.values.clone());
        Chart {
            title: format!("{}: {} variants", self.name, self.outcomes.len()),
            axis: axis.map_or(String::new(), |v| headed(&v.name, &v.unit)),
            names: names.unwrap_or_default(),
            panels: panels.collect(),
            failed: self.failed_places(),
            foot: format!(
                "measured on the meshes alone; digest of the source {}",
                &digest[..digest.len().min(16)]
            ),
        }
    }

    fn failed_places(&self) -> Vec<f64> {
        let each = self.variants.iter().zip(self.outcomes);
        let mut places: Vec<f64> = each
            .filter(|(_, outcome)| outcome.errors().next().is_some())
            .filter_map(|(variant, _)| Some(self.place(*variant.first()?)))
            .collect();
        places.sort_by(f64::total_cmp);
        places.dedup();
        places
    }

    /// Names of all values, for who asked for one that is not there.
    pub fn value_names(&self) -> Vec<String> {
        let columns = figure_columns(self.outcomes.iter().map(|o| &o.figures[..]));
        columns.into_iter().map(|(name, _)| name).collect()
    }
}

fn in_words(codes: &BTreeMap<String, usize>) -> String {
    let each = codes.iter().map(|(code, n)| match n {
        1 => code.clone(),
        n => format!("{n} x {code}"),
    });
    let each: Vec<String> = each.collect();
    if each.is_empty() { "none".to_string() } else { each.join(", ") }
}
