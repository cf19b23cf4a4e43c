//! Strips altered: ceilings lowered or raised, ridges cut, slits.

use super::strips::{EdgeId, Interval, SAME_HEIGHT_MM, SAME_LINE, Strips};

/// Bars of two patterns nearer than this touch, mm: what can be written in 32-bit numbers.
const APART_MM: f64 = 2e-5;

impl Strips {
    /// Both patterns in one, where no bar of one touches a bar of the other in height; none
    /// where any does, and on flat faces.
    #[must_use]
    pub fn beside(&self, other: &Strips) -> Option<Strips> {
        let turn = self.period.filter(|_| self.period == other.period)?;
        let mut result = self.cut(&other.lines);
        let mut second = other.cut(&result.lines);
        let count = result.lines.len();
        let near = |a: f64, b: f64| {
            let off = a - b;
            (off - (off / turn).round() * turn).abs() <= 2.0 * SAME_LINE
        };
        let first = second.lines.iter().position(|line| near(*line, result.lines[0]))?;
        second.strips.rotate_left(first);
        second.lines.rotate_left(first);
        if second.lines.len() != count
            || (0..count).any(|i| !near(second.lines[i], result.lines[i]))
        {
            return None;
        }
        let offset = self.fresh_edge();
        let moved = |edge: EdgeId| EdgeId(edge.0 + offset);
        for (mine, others) in result.strips.iter_mut().zip(second.strips) {
            let others = others.into_iter().map(|i| Interval {
                bottom_edge: moved(i.bottom_edge),
                top_edge: moved(i.top_edge),
                ..i
            });
            let mut both: Vec<(Interval, bool)> = mine.drain(..).map(|i| (i, false)).collect();
            both.extend(others.map(|i| (i, true)));
            let height = |i: &Interval| i.bottom[0] + i.bottom[1];
            both.sort_by(|a, b| height(&a.0).total_cmp(&height(&b.0)));
            // Bars of one pattern may meet in a corner; those of two must not.
            let touch = |pair: &[(Interval, bool)]| {
                let [(below, one), (above, other)] = [pair[0], pair[1]];
                one != other && (0..2).any(|end| above.bottom[end] - below.top[end] < APART_MM)
            };
            if both.windows(2).any(touch) {
                return None;
            }
            mine.extend(both.into_iter().map(|(i, _)| i));
        }
        Some(result)
    }

    /// Cut where a ceiling that drops by `drop_mm` just meets its underside, so that
    /// each interval vanishes or stands as a whole.
    #[must_use]
    pub fn split_ridges(&self, drop_mm: f64) -> Strips {
        let mut cuts = Vec::new();
        for (index, strip) in self.strips.iter().enumerate() {
            for interval in strip {
                cuts.extend(self.zero(index, interval.heights().map(|h| h - drop_mm)));
            }
        }
        if cuts.is_empty() { self.clone() } else { self.cut(&cuts) }
    }

    /// Where in strip `index` a value passes 0 that is linear from line to line.
    fn zero(&self, index: usize, [left, right]: [f64; 2]) -> Option<f64> {
        let passes = (left > SAME_HEIGHT_MM && right < -SAME_HEIGHT_MM)
            || (left < -SAME_HEIGHT_MM && right > SAME_HEIGHT_MM);
        passes.then(|| self.lines[index] + self.width(index) * (left / (left - right)))
    }

    /// Every ceiling lowered by `by_mm`, above 0; what vanishes is left out.
    #[must_use]
    pub fn ceilings_lowered(&self, by_mm: f64) -> Strips {
        let mut result = self.split_ridges(by_mm);
        let mut fresh = result.fresh_edge();
        for strip in &mut result.strips {
            for interval in strip.iter_mut() {
                interval.top = interval.top.map(|z| z - by_mm);
            }
            strip.retain(|i| i.heights().iter().any(|h| *h > SAME_HEIGHT_MM));
            for interval in strip {
                let low = interval.bottom;
                interval.hold_top(|side, top| top.max(low[side]), &mut fresh);
            }
        }
        result
    }

    /// Every ceiling raised by `by_mm`, above 0; voids that are lower than that close.
    #[must_use]
    pub fn ceilings_raised(&self, by_mm: f64) -> Strips {
        let void = |below: &Interval, above: &Interval| {
            [0, 1].map(|side| above.bottom[side] - below.top[side] - by_mm)
        };
        let mut cuts = Vec::new();
        for (index, strip) in self.strips.iter().enumerate() {
            for pair in strip.windows(2) {
                cuts.extend(self.zero(index, void(&pair[0], &pair[1])));
            }
        }
        let mut result = if cuts.is_empty() { self.clone() } else { self.cut(&cuts) };
        let mut fresh = result.fresh_edge();
        for strip in &mut result.strips {
            let mut closed: Vec<Interval> = Vec::with_capacity(strip.len());
            for interval in strip.iter() {
                match closed.last_mut() {
                    Some(below) if void(below, interval).iter().all(|v| *v <= SAME_HEIGHT_MM) => {
                        (below.top, below.top_edge) = (interval.top, interval.top_edge);
                    }
                    _ => closed.push(*interval),
                }
            }
            for place in 0..closed.len() {
                closed[place].top = closed[place].top.map(|z| z + by_mm);
                if let Some(above) = closed.get(place + 1).map(|i| i.bottom) {
                    closed[place].hold_top(|side, top| top.min(above[side]), &mut fresh);
                }
            }
            *strip = closed;
        }
        result
    }

    /// Cut so finely that the chord of an inclined ridge leaves the twisted flank by
    /// no more than `tolerance_mm`: the error of a strip is the difference of the
    /// depths of its ends times its angle, over 4. `drop_per_depth` is the drop of
    /// ceilings per mm of depth, `depth_mm` the whole depth. Flat faces do not twist.
    #[must_use]
    pub fn ridges_refined(&self, drop_per_depth: f64, depth_mm: f64, tolerance_mm: f64) -> Strips {
        let split = self.split_ridges(drop_per_depth * depth_mm);
        if self.period.is_none() || drop_per_depth <= 0.0 {
            return split;
        }
        let mut cuts = Vec::new();
        for (index, strip) in split.strips.iter().enumerate() {
            let width = split.width(index);
            let parts = |interval: &Interval| {
                let [left, right] = interval.heights().map(|h| (h / drop_per_depth).min(depth_mm));
                ((left - right).abs() * width / 4.0 / tolerance_mm - SAME_HEIGHT_MM).ceil() as usize
            };
            let count = strip.iter().map(parts).max().unwrap_or(1);
            let at = |part: usize| split.lines[index] + width * part as f64 / count as f64;
            cuts.extend((1..count).map(at));
        }
        if cuts.is_empty() { split } else { split.cut(&cuts) }
    }

    /// Emptied between `middle` - `width` / 2 and `middle` + `width` / 2.
    #[must_use]
    pub fn slit(&self, middle: f64, width: f64) -> Strips {
        let mut result = self.cut(&[middle - width / 2.0, middle + width / 2.0]);
        for index in 0..result.strips.len() {
            let [left, right] = result.span(index);
            let off = (left + right) / 2.0 - middle;
            let off = result.period.map_or(off, |turn| off - (off / turn).round() * turn);
            if off.abs() < width / 2.0 {
                result.strips[index].clear();
            }
        }
        result.merged()
    }
}

#[cfg(test)]
#[path = "strips_alter_tests.rs"]
mod tests;
