//! Charts of values over a varied one: a panel a value, one line for each combination of what
//! else was varied, limits drawn and marked where they are crossed. Lines differ by their
//! dashes, so that they are told apart without colour.

use super::STYLE;
use super::svg::{Anchor, Svg};
use crate::plane::Point;
use crate::quantity::decimals;

/// What a chart shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// Above all panels.
    pub title: String,
    /// The varied value, with its unit.
    pub axis: String,
    /// What stands at 0, 1, 2, … of the axis; empty where it has numbers.
    pub names: Vec<String>,
    /// From the top.
    pub panels: Vec<ChartPanel>,
    /// Where something failed, on the axis.
    pub failed: Vec<f64>,
    /// Below all panels.
    pub foot: String,
}

/// One value over the varied one.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartPanel {
    /// The value, with its unit.
    pub title: String,
    /// Its lines.
    pub lines: Vec<ChartLine>,
    /// What it is held against.
    pub limit: Option<ChartLine>,
    /// Where a line goes over its limit: place on the axis, value, what stands beside it.
    pub crossings: Vec<(f64, f64, String)>,
}

/// Values in the order of the axis.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartLine {
    /// Which; may be empty.
    pub label: String,
    /// Place on the axis, and the value; none where there is none.
    pub points: Vec<(f64, Option<f64>)>,
}

/// Sizes of the sheet, mm.
const WIDTH_MM: f64 = 190.0;
const LEFT_MM: f64 = 24.0;
const PLOT_MM: [f64; 2] = [116.0, 40.0];
const PANEL_MM: f64 = 62.0;
const HEAD_MM: f64 = 16.0;
const FOOT_MM: f64 = 16.0;

/// Heights of letters, mm.
const TITLE_MM: f64 = 3.5;
const TEXT_MM: f64 = 2.5;

/// Distance of lines of text that stand above each other, mm.
const LINE_MM: f64 = 3.4;

/// Room between the plot and the names of lines, for leaders, mm.
const LEADER_MM: f64 = 4.0;

/// More lines than this are not told apart; the table has them all.
const MOST_LINES: usize = 6;

const DASHES: [&str; MOST_LINES] = [
    "",
    "stroke-dasharray=\"3 1\"",
    "stroke-dasharray=\"1 .8\"",
    "stroke-dasharray=\"5 1 1 1\"",
    "stroke-dasharray=\"5 2\"",
    "stroke-dasharray=\".2 .9\"",
];

/// A panel narrower than this share of its values shows rounding, not change.
const LEAST_SPAN: f64 = 0.04;

/// The chart as SVG.
pub(super) fn svg(chart: &Chart) -> String {
    let height = HEAD_MM + PANEL_MM * chart.panels.len() as f64 + FOOT_MM;
    let mut svg = Svg::new(WIDTH_MM, height);
    let at = |x: f64, below: f64| Point::new(x, height - below);
    svg.text(&chart.title, at(LEFT_MM, 9.0), 5.0, (Anchor::Start, false));
    for (index, panel) in chart.panels.iter().enumerate() {
        let top = HEAD_MM + PANEL_MM * index as f64;
        let corner = at(LEFT_MM, top + 6.0 + PLOT_MM[1]);
        Plot::of(chart, panel, corner).draw(&mut svg, chart, panel);
    }
    svg.text(&chart.foot, at(LEFT_MM, height - 4.0), TEXT_MM, (Anchor::Start, false));
    svg.finish(&chart.title, STYLE)
}

/// Where values lie on the sheet.
struct Plot {
    corner: Point,
    across: [f64; 2],
    up: [f64; 2],
}

impl Plot {
    fn of(chart: &Chart, panel: &ChartPanel, corner: Point) -> Self {
        let lines = || panel.lines.iter().chain(&panel.limit).flat_map(|l| &l.points);
        let places = lines().map(|(x, _)| *x).chain(chart.failed.iter().copied());
        let across = span(places, 0.0).unwrap_or([0.0, 1.0]);
        let up = span(lines().filter_map(|(_, y)| *y), LEAST_SPAN).unwrap_or([0.0, 1.0]);
        let by = (up[1] - up[0]) * 0.06;
        Plot { corner, across, up: [up[0] - by, up[1] + by] }
    }

    fn put(&self, x: f64, y: f64) -> Point {
        let share = |v: f64, [low, high]: [f64; 2]| (v - low) / (high - low);
        let [wide, high] = PLOT_MM;
        self.corner + Point::new(wide * share(x, self.across), high * share(y, self.up))
    }

    fn draw(&self, svg: &mut Svg, chart: &Chart, panel: &ChartPanel) {
        let title = self.corner + Point::new(0.0, PLOT_MM[1] + 2.0);
        svg.text(&panel.title, title, TITLE_MM, (Anchor::Start, false));
        self.axes(svg, chart);
        if let Some(limit) = &panel.limit {
            svg.open("phantom");
            svg.polygons(&self.runs(limit), false, "");
            svg.close();
        }
        let shown = panel.lines.iter().zip(DASHES);
        for (line, dash) in shown {
            svg.open("thick");
            let (runs, alone): (Vec<_>, Vec<_>) =
                self.runs(line).into_iter().partition(|run| run.len() > 1);
            svg.polygons(&runs, false, dash);
            for point in alone.iter().flatten() {
                svg.circle(*point, 0.5, "");
            }
            svg.close();
        }
        self.labels(svg, panel);
        self.crossings(svg, panel);
    }

    /// The names of limit and lines, right of their last points, and apart.
    fn labels(&self, svg: &mut Svg, panel: &ChartPanel) {
        let named = panel.limit.iter().chain(panel.lines.iter().take(MOST_LINES));
        let ends = named.filter(|line| !line.label.is_empty()).filter_map(|line| {
            let last = line.points.iter().rev().find_map(|(x, y)| Some(self.put(*x, (*y)?)))?;
            Some((last, line.label.clone()))
        });
        let mut ends: Vec<(Point, String)> = ends.collect();
        ends.sort_by(|a, b| b.0.y.total_cmp(&a.0.y));
        let more = panel.lines.len().saturating_sub(MOST_LINES);
        if more > 0 {
            ends.push((self.corner + Point::new(PLOT_MM[0], 1.0), format!("and {more} more")));
        }
        let heights: Vec<f64> = ends.iter().map(|(at, _)| at.y).collect();
        let top = self.corner.y + PLOT_MM[1];
        for ((end, text), y) in ends.iter().zip(apart(&heights, LINE_MM, top)) {
            let x = self.corner.x + PLOT_MM[0];
            if (y - end.y).abs() > 0.1 {
                svg.open("thin");
                svg.stroke(Point::new(x, end.y), Point::new(x + LEADER_MM - 0.6, y), "");
                svg.close();
            }
            let at = Point::new(x + LEADER_MM, y - TEXT_MM / 2.0);
            svg.text(text, at, TEXT_MM, (Anchor::Start, false));
        }
    }

    /// Circles where a limit is crossed, and where on the axis; each text above those that it
    /// would cover.
    fn crossings(&self, svg: &mut Svg, panel: &ChartPanel) {
        let mut taken: Vec<(Point, f64)> = Vec::new();
        for (x, y, text) in &panel.crossings {
            let at = self.put(*x, *y);
            svg.open("thin");
            svg.circle(at, 1.3, "");
            svg.close();
            let width = super::svg::lettering(text, TEXT_MM).width_mm;
            let mut place = at + Point::new(1.6, 1.2);
            while taken.iter().any(|(other, wide)| {
                (other.y - place.y).abs() < LINE_MM
                    && place.x < other.x + wide + 1.0
                    && other.x < place.x + width + 1.0
            }) {
                place.y += LINE_MM;
            }
            svg.text_on_hatch(text, place, TEXT_MM);
            taken.push((place, width));
        }
    }

    /// Both axes with ticks, and a cross where something failed.
    fn axes(&self, svg: &mut Svg, chart: &Chart) {
        let [wide, high] = PLOT_MM;
        let (right, top) = (Point::new(wide, 0.0), Point::new(0.0, high));
        svg.open("thin");
        svg.polygons(&[vec![self.corner + top, self.corner, self.corner + right]], false, "");
        for x in &chart.failed {
            let at = Point::new(self.put(*x, self.up[0]).x, self.corner.y);
            let (a, b) = (Point::new(0.7, 0.7), Point::new(0.7, -0.7));
            svg.stroke(at - a, at + a, "");
            svg.stroke(at - b, at + b, "");
        }
        svg.close();
        for (x, text) in self.places(chart) {
            let at = Point::new(self.put(x, self.up[0]).x, self.corner.y);
            svg.open("thin");
            svg.stroke(at, at - Point::new(0.0, 1.2), "");
            svg.close();
            svg.text(&text, at - Point::new(0.0, 4.4), TEXT_MM, (Anchor::Middle, false));
        }
        let name = self.corner + Point::new(wide + LEADER_MM + 1.0, -4.4);
        svg.text(&chart.axis, name, TEXT_MM, (Anchor::Start, false));
        for y in ticks(self.up, 4.0) {
            let at = Point::new(self.corner.x, self.put(self.across[0], y).y);
            svg.open("thin");
            svg.stroke(at - Point::new(1.2, 0.0), at, "");
            svg.close();
            let text = decimals(y, 6);
            let width = super::svg::lettering(&text, TEXT_MM).width_mm;
            let place = at - Point::new(2.2 + width, TEXT_MM / 2.0);
            svg.text(&text, place, TEXT_MM, (Anchor::Start, false));
        }
    }

    fn places(&self, chart: &Chart) -> Vec<(f64, String)> {
        if chart.names.is_empty() {
            return ticks(self.across, 6.0).into_iter().map(|x| (x, decimals(x, 6))).collect();
        }
        let each = chart.names.iter().enumerate();
        each.map(|(k, name)| (k as f64, name.clone())).collect()
    }

    /// Points that follow each other without a gap.
    fn runs(&self, line: &ChartLine) -> Vec<Vec<Point>> {
        let runs = line.points.split(|(_, y)| y.is_none()).filter(|run| !run.is_empty());
        let put = |(x, y): &(f64, Option<f64>)| y.map(|y| self.put(*x, y));
        runs.map(|run| run.iter().filter_map(put).collect()).collect()
    }
}

/// Heights from above, moved so that none lies closer to the next than `least`, by as little
/// as keeps all of them below `top`.
fn apart(heights: &[f64], least: f64, top: f64) -> Vec<f64> {
    // From below: each at least so far above the one before.
    let mut out: Vec<f64> = heights.to_vec();
    for k in (0..out.len().saturating_sub(1)).rev() {
        out[k] = out[k].max(out[k + 1] + least);
    }
    // From above: down again from the top.
    let mut limit = top;
    for height in &mut out {
        *height = height.min(limit);
        limit = *height - least;
    }
    out
}

/// Least and most of values, at least `share` of them apart; none where there are none.
fn span(values: impl Iterator<Item = f64>, share: f64) -> Option<[f64; 2]> {
    let found = values.fold(None, |span: Option<[f64; 2]>, v| {
        let [low, high] = span.unwrap_or([v, v]);
        Some([low.min(v), high.max(v)])
    });
    let [low, high] = found?;
    let least = (share * low.abs().max(high.abs())).max(1e-9);
    let by = ((least - (high - low)) / 2.0).max(0.0);
    let by = if share == 0.0 && high == low { 1.0 } else { by };
    Some([low - by, high + by])
}

/// About `count` round values of a span: steps of 1, 2 or 5 times a power of ten.
fn ticks([low, high]: [f64; 2], count: f64) -> Vec<f64> {
    let wanted = (high - low) / count;
    let mut power = 1.0;
    while power * 10.0 <= wanted {
        power *= 10.0;
    }
    while power > wanted {
        power /= 10.0;
    }
    let step = [1.0, 2.0, 5.0, 10.0].map(|s| s * power).into_iter().find(|s| *s >= wanted);
    let Some(step) = step.filter(|s| s.is_finite() && *s > 0.0) else { return Vec::new() };
    let first = (low / step).ceil();
    let steps = (0..20).map(|k| (first + f64::from(k)) * step);
    steps.take_while(|v| *v <= high + step * 1e-9).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        assert_eq!(ticks([40.0, 140.0], 6.0), [40.0, 60.0, 80.0, 100.0, 120.0, 140.0]);
        let fine: Vec<String> =
            ticks([0.097, 0.1031], 4.0).iter().map(|t| decimals(*t, 6)).collect();
        assert_eq!(fine, ["0.098", "0.1", "0.102"]);
    }

    #[test]
    fn names_of_lines_stand_apart() {
        assert_eq!(apart(&[30.0, 20.0, 10.0], 3.0, 40.0), [30.0, 20.0, 10.0]);
        assert_eq!(apart(&[20.0, 19.5, 19.0], 3.0, 40.0), [25.0, 22.0, 19.0]);
        assert_eq!(apart(&[40.0, 39.5, 39.0], 3.0, 40.0), [40.0, 37.0, 34.0]);
        assert!(apart(&[], 3.0, 40.0).is_empty());
    }

    #[test]
    fn a_line_over_its_limit_is_marked_where_it_crosses() {
        let line = |label: &str, points: &[(f64, Option<f64>)]| ChartLine {
            label: label.into(),
            points: points.to_vec(),
        };
        let chart = Chart {
            title: "jar".into(),
            axis: "bore [mm]".into(),
            names: Vec::new(),
            panels: vec![ChartPanel {
                title: "strain [%]".into(),
                lines: vec![line("", &[(40.0, None), (50.0, Some(2.0)), (60.0, Some(1.0))])],
                limit: Some(line("limit", &[(50.0, Some(1.5)), (60.0, Some(1.5))])),
                crossings: vec![(55.0, 1.5, "55".into())],
            }],
            failed: vec![40.0],
            foot: String::new(),
        };
        let text = svg(&chart);
        // Halfway along the line: 3/4 of the axis from 40 to 60.
        let x = LEFT_MM + PLOT_MM[0] * 0.75;
        assert!(text.contains(&format!("<circle cx=\"{x}\"")), "{text}");
        assert_eq!(text, svg(&chart));
    }
}
