//! A sheet as pixels: areas and lines of one width, laid over each other with soft edges.
//!
//! Only sums, products and square roots, so that the same sheet gives the same bytes
//! everywhere.

use super::super::view::Pixels;
use crate::plane::Point;

/// Pixels to a millimetre: about 150 to the inch, at which the thinnest line of ISO 128 on
/// our sheets, 0.18 mm, is one pixel wide.
const PIXELS: f64 = 6.0;

/// Lines of samples to a pixel, for the edges of areas.
const SAMPLES: usize = 4;

/// Something on the sheet. Places in mm, y upwards.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Mark {
    /// Lines, or the borders of an area: what goes round it anticlockwise more often than
    /// clockwise, or the other way, is inside.
    pub runs: Vec<Vec<Point>>,
    /// Whether each run returns to its start.
    pub closed: bool,
    pub fill: Option<[u8; 3]>,
    pub stroke: Option<Stroke>,
    /// Only what is inside this circle is seen: centre and radius.
    pub clip: Option<(Point, f64)>,
}

/// How a line is drawn.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stroke {
    pub colour: [u8; 3],
    pub width_mm: f64,
    /// Lengths of dash and gap by turns, mm; empty for a continuous line.
    pub dash_mm: Vec<f64>,
}

/// The picture of marks, the later over the earlier, on white.
pub(super) fn pixels(marks: &[Mark], [wide_mm, high_mm]: [f64; 2]) -> Pixels {
    let [width, height] = [wide_mm, high_mm].map(|mm| (mm * PIXELS).round() as usize);
    let mut picture = Pixels { width, height, rgb: vec![255; width * height * 3] };
    for mark in marks {
        let put = |p: &Point| Point::new(p.x * PIXELS, (high_mm - p.y) * PIXELS);
        let mut runs: Vec<Vec<Point>> =
            mark.runs.iter().map(|run| run.iter().map(put).collect()).collect();
        let clip = mark.clip.map(|(centre, radius_mm)| (put(&centre), radius_mm * PIXELS));
        if let Some(colour) = mark.fill {
            let mut cover = Cover::over(&runs, 1.0, [width, height]);
            cover.area(&runs);
            cover.lay(&mut picture, colour, clip);
        }
        let Some(stroke) = &mark.stroke else { continue };
        if mark.closed {
            runs.iter_mut().for_each(|run| run.extend(run.first().copied()));
        }
        let half = stroke.width_mm * PIXELS / 2.0;
        let dash: Vec<f64> = stroke.dash_mm.iter().map(|mm| mm * PIXELS).collect();
        let mut cover = Cover::over(&runs, half + 1.0, [width, height]);
        for [a, b] in runs.iter().flat_map(|run| dashed(run, &dash)) {
            cover.line(a, b, half);
        }
        cover.lay(&mut picture, stroke.colour, clip);
    }
    picture
}

/// The straight pieces of a run that are drawn.
fn dashed(run: &[Point], dash: &[f64]) -> Vec<[Point; 2]> {
    let sides = run.windows(2).map(|pair| [pair[0], pair[1]]);
    if dash.iter().sum::<f64>() <= 0.0 {
        return sides.collect();
    }
    let mut pieces = Vec::new();
    let (mut turn, mut left) = (0, dash[0]);
    for [a, b] in sides {
        let length = a.distance(b);
        let mut gone = 0.0;
        while gone < length {
            let end = (gone + left).min(length);
            if turn % 2 == 0 {
                pieces.push([gone, end].map(|at| a + (b - a) * (at / length)));
            }
            left -= end - gone;
            gone = end;
            if left <= 1e-9 {
                turn += 1;
                left = dash[turn % dash.len()].max(1e-3);
            }
        }
    }
    pieces
}

/// How much of each pixel of a part of the picture is covered.
struct Cover {
    left: usize,
    top: usize,
    width: usize,
    height: usize,
    share: Vec<f32>,
}

impl Cover {
    /// Nothing yet, over the box of `runs` and `by` pixels more.
    fn over(runs: &[Vec<Point>], by: f64, [wide, high]: [usize; 2]) -> Self {
        let span = |values: &mut dyn Iterator<Item = f64>, end: usize| {
            let (low, high) = values.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
            let limit = |v: f64| v.clamp(0.0, end as f64) as usize;
            let low = limit((low - by).floor());
            (low, limit((high + by).ceil()).saturating_sub(low))
        };
        let points = || runs.iter().flatten();
        let (left, width) = span(&mut points().map(|p| p.x), wide);
        let (top, height) = span(&mut points().map(|p| p.y), high);
        Cover { left, top, width, height, share: vec![0.0; width * height] }
    }

    /// Everything inside closed runs.
    fn area(&mut self, runs: &[Vec<Point>]) {
        let lines = self.height * SAMPLES;
        let mut crossings: Vec<Vec<(f64, i32)>> = vec![Vec::new(); lines];
        let level = |line: usize| self.top as f64 + (line as f64 + 0.5) / SAMPLES as f64;
        for run in runs {
            let next = run.iter().cycle().skip(1);
            for (a, b) in run.iter().zip(next) {
                let (low, high, way) = if a.y < b.y { (a, b, 1) } else { (b, a, -1) };
                let number = |y: f64| ((y - self.top as f64) * SAMPLES as f64 - 0.5).ceil();
                let first = number(low.y).max(0.0) as usize;
                let last = number(high.y).clamp(0.0, lines as f64) as usize;
                for (line, found) in crossings.iter_mut().enumerate().take(last).skip(first) {
                    let t = (level(line) - low.y) / (high.y - low.y);
                    found.push((low.x + (high.x - low.x) * t, way));
                }
            }
        }
        for (line, mut found) in crossings.into_iter().enumerate() {
            found.sort_by(|p, q| p.0.total_cmp(&q.0));
            let mut winding = 0;
            for pair in found.windows(2) {
                winding += pair[0].1;
                if winding != 0 {
                    self.span(line / SAMPLES, pair[0].0, pair[1].0);
                }
            }
        }
    }

    /// One line of samples from `from` to `to` is covered.
    fn span(&mut self, row: usize, from: f64, to: f64) {
        let place = |x: f64| (x - self.left as f64).clamp(0.0, self.width as f64);
        let (from, to) = (place(from), place(to));
        for column in from as usize..to.ceil() as usize {
            let covered = to.min(column as f64 + 1.0) - from.max(column as f64);
            if let Some(share) = self.share.get_mut(row * self.width + column) {
                *share = (*share + covered as f32 / SAMPLES as f32).min(1.0);
            }
        }
    }

    /// A line with round ends.
    fn line(&mut self, a: Point, b: Point, half: f64) {
        let reach = half + 1.0;
        let range = |p: f64, q: f64, from: usize, end: usize| {
            let low = (p.min(q) - reach).floor() - from as f64;
            let high = (p.max(q) + reach).ceil() - from as f64;
            low.clamp(0.0, end as f64) as usize..high.clamp(0.0, end as f64) as usize
        };
        let columns = range(a.x, b.x, self.left, self.width);
        let along = b - a;
        let square = along.dot(along).max(1e-12);
        for row in range(a.y, b.y, self.top, self.height) {
            for column in columns.clone() {
                let x = (self.left + column) as f64 + 0.5;
                let p = Point::new(x, (self.top + row) as f64 + 0.5);
                let t = ((p - a).dot(along) / square).clamp(0.0, 1.0);
                let covered = half + 0.5 - p.distance(a + along * t);
                let share = &mut self.share[row * self.width + column];
                *share = share.max(covered.clamp(0.0, 1.0) as f32);
            }
        }
    }

    /// Lays a colour over the picture where it is covered.
    fn lay(&self, picture: &mut Pixels, colour: [u8; 3], clip: Option<(Point, f64)>) {
        for row in 0..self.height {
            for column in 0..self.width {
                let (x, y) = (self.left + column, self.top + row);
                let mut share = self.share[row * self.width + column];
                if let Some((centre, radius)) = clip.filter(|_| share > 0.0) {
                    let p = Point::new(x as f64 + 0.5, y as f64 + 0.5);
                    share *= (radius + 0.5 - p.distance(centre)).clamp(0.0, 1.0) as f32;
                }
                if share <= 0.0 {
                    continue;
                }
                let at = (y * picture.width + x) * 3;
                for (old, new) in picture.rgb[at..at + 3].iter_mut().zip(colour) {
                    let mixed = f32::from(*old) + (f32::from(new) - f32::from(*old)) * share;
                    *old = (mixed + 0.5) as u8;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mark(runs: Vec<Vec<Point>>) -> Mark {
        Mark { runs, closed: true, fill: Some([0; 3]), stroke: None, clip: None }
    }

    fn square(low: f64, high: f64) -> Vec<Point> {
        [(low, low), (high, low), (high, high), (low, high)].map(|(x, y)| Point::new(x, y)).into()
    }

    /// Ink on the sheet, mm2.
    fn ink(mark: Mark) -> f64 {
        let picture = pixels(&[mark], [20.0, 20.0]);
        let dark: f64 = picture.rgb.iter().map(|c| f64::from(255 - c) / 255.0).sum();
        dark / 3.0 / (PIXELS * PIXELS)
    }

    #[test]
    fn areas_and_lines_have_the_ink_of_their_size() {
        let mut hole = square(7.03, 12.0);
        hole.reverse();
        let expected = 10.17 * 10.17 - 4.97 * 4.97;
        assert!((ink(mark(vec![square(5.0, 15.17), hole])) - expected).abs() < 0.1);
        let line = |dash: &[f64]| Mark {
            runs: vec![vec![Point::new(2.0, 3.0), Point::new(17.0, 11.0)]],
            closed: false,
            fill: None,
            stroke: Some(Stroke { colour: [0; 3], width_mm: 0.5, dash_mm: dash.to_vec() }),
            clip: None,
        };
        // 17 mm of 0.5 mm with half a disc at both ends.
        assert!((ink(line(&[])) - (17.0 * 0.5 + 0.196)).abs() < 0.1);
        assert!((ink(line(&[2.0, 2.0])) - (9.0 * 0.5 + 5.0 * 0.196)).abs() < 0.2);
    }

    #[test]
    fn what_is_outside_the_circle_is_not_seen() {
        let seen =
            Mark { clip: Some((Point::new(10.0, 10.0), 4.0)), ..mark(vec![square(1.0, 19.0)]) };
        assert!((ink(seen) - std::f64::consts::PI * 16.0).abs() < 0.2);
    }
}
