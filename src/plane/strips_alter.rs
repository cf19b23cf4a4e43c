//! Strips altered: ceilings lowered or raised, ridges cut, slits.

use super::strips::{Interval, SAME_HEIGHT_MM, Strips};

impl Strips {
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
        for strip in &mut result.strips {
            for interval in strip.iter_mut() {
                interval.top = interval.top.map(|z| z - by_mm);
            }
            strip.retain(|i| i.heights().iter().any(|h| *h > SAME_HEIGHT_MM));
            for interval in strip {
                for side in 0..2 {
                    interval.top[side] = interval.top[side].max(interval.bottom[side]);
                }
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
            for interval in &mut closed {
                interval.top = interval.top.map(|z| z + by_mm);
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
