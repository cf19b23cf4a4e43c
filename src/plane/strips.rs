//! Strips: the trapezoidal decomposition of an outline in the developed plane of
//! a host surface. The one core on which both engines stand.
//!
//! `u` runs along the surface (rad on round hosts, mm on flat ones), `z` up it (mm).

use std::f64::consts::TAU;

/// Lines nearer than this are one: 0.1 nm to 10 nm on any printable radius. In rad
/// on round hosts, mm on flat ones.
pub const SAME_LINE: f64 = 1e-7;

/// Heights nearer than this are one, mm: far above rounding, far below any feature.
pub const SAME_HEIGHT_MM: f64 = 1e-9;

/// Which edge of the outline bounds an interval; equal ids lie on one straight line
/// of the developed plane, so that faces can be merged over strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EdgeId(pub u64);

/// Material between `bottom` and `top` across one strip, both linear in `u`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// z of the underside at the left and right line of the strip.
    pub bottom: [f64; 2],
    /// z of the upper side at the left and right line.
    pub top: [f64; 2],
    /// The edge that is the underside.
    pub bottom_edge: EdgeId,
    /// The edge that is the upper side.
    pub top_edge: EdgeId,
}

impl Interval {
    /// Heights at the left and right line, mm.
    pub fn heights(&self) -> [f64; 2] {
        [self.top[0] - self.bottom[0], self.top[1] - self.bottom[1]]
    }

    /// Whether both sides are level.
    pub fn is_box(&self) -> bool {
        self.bottom[0] == self.bottom[1] && self.top[0] == self.top[1]
    }

    /// The part between the shares `from` and `to` of the strip's width.
    fn part(&self, from: f64, to: f64) -> Interval {
        let at = |[left, right]: [f64; 2], t: f64| {
            if t <= 0.0 || left == right {
                left
            } else if t >= 1.0 {
                right
            } else {
                left + (right - left) * t
            }
        };
        Interval {
            bottom: [at(self.bottom, from), at(self.bottom, to)],
            top: [at(self.top, from), at(self.top, to)],
            ..*self
        }
    }

    /// Holds its upper side where `held` (side, z) says. Where a strip is too narrow to be
    /// cut at a crossing, that bends the edge, which then is another one, numbered `fresh`.
    pub(super) fn hold_top(&mut self, held: impl Fn(usize, f64) -> f64, fresh: &mut u64) {
        let top = [0, 1].map(|side| held(side, self.top[side]));
        if (0..2).any(|side| (top[side] - self.top[side]).abs() > SAME_HEIGHT_MM) {
            self.top_edge = EdgeId(*fresh);
            *fresh += 1;
        }
        self.top = top;
    }

    /// Upside down about z = 0.
    fn mirrored(&self) -> Interval {
        Interval {
            bottom: self.top.map(|z| 0.0 - z),
            top: self.bottom.map(|z| 0.0 - z),
            bottom_edge: self.top_edge,
            top_edge: self.bottom_edge,
        }
    }
}

/// An outline cut at the `u` of every vertex.
#[derive(Clone, Debug, PartialEq)]
pub struct Strips {
    /// Ascending. On a round host (`period` is `Some(2 pi)`) strip `i` lies between
    /// `lines[i]` and `lines[(i + 1) % n]` and there are as many strips as lines; on
    /// a flat one there is one strip fewer.
    pub lines: Vec<f64>,
    /// A full turn on round hosts, none on flat ones.
    pub period: Option<f64>,
    /// Per strip, from below upwards, not overlapping.
    pub strips: Vec<Vec<Interval>>,
}

impl Strips {
    /// No material.
    pub fn empty(period: Option<f64>) -> Self {
        match period {
            Some(_) => Strips { lines: vec![0.0], period, strips: vec![Vec::new()] },
            None => Strips { lines: vec![0.0, 1.0], period, strips: vec![Vec::new()] },
        }
    }

    /// Whether there is no material.
    pub fn is_empty(&self) -> bool {
        self.strips.iter().all(Vec::is_empty)
    }

    /// A number that no edge has, nor has any above it.
    pub(super) fn fresh_edge(&self) -> u64 {
        let edges = self.strips.iter().flatten().map(|i| i.bottom_edge.0.max(i.top_edge.0));
        edges.max().map_or(0, |edge| edge + 1)
    }

    /// u of the left and right line of strip `index`; on round hosts the right line
    /// of the last strip is the first one, a full turn on.
    pub fn span(&self, index: usize) -> [f64; 2] {
        let right = match self.lines.get(index + 1) {
            Some(line) => *line,
            None => self.lines[0] + self.period.unwrap_or(TAU),
        };
        [self.lines[index], right]
    }

    /// Width of strip `index` in u.
    pub fn width(&self, index: usize) -> f64 {
        let [left, right] = self.span(index);
        right - left
    }

    /// The strip to the left of line `line`; none at the left end of a flat one.
    pub fn left_of(&self, line: usize) -> Option<usize> {
        match (line, self.period) {
            (0, None) => None,
            (0, Some(_)) => Some(self.strips.len() - 1),
            _ => Some(line - 1),
        }
    }

    /// The strip to the right of line `line`; none at the right end of a flat one.
    pub fn right_of(&self, line: usize) -> Option<usize> {
        (line < self.strips.len()).then_some(line)
    }

    /// `u` plus whole turns, so that it lies within a turn from `first` on; to the bit
    /// as it is where it lies there already.
    fn turned_to(&self, u: f64, first: f64) -> f64 {
        self.period.map_or(u, |turn| u - turn * ((u - first) / turn).floor())
    }

    /// With extra lines at these `u`; those within [`SAME_LINE`] of a line are left out.
    #[must_use]
    pub fn cut(&self, lines: &[f64]) -> Strips {
        let first = self.lines[0];
        let mut cuts: Vec<f64> = lines.iter().map(|&u| self.turned_to(u, first)).collect();
        cuts.sort_by(f64::total_cmp);
        let mut cuts = cuts.into_iter().peekable();
        let mut result = Strips { lines: Vec::new(), period: self.period, strips: Vec::new() };
        for (index, intervals) in self.strips.iter().enumerate() {
            let [left, right] = self.span(index);
            let mut stops = vec![left];
            while let Some(cut) = cuts.next_if(|cut| *cut < right - SAME_LINE) {
                if stops.last().is_some_and(|last| cut > last + SAME_LINE) {
                    stops.push(cut);
                }
            }
            stops.push(right);
            for pair in stops.windows(2) {
                let share = |u: f64| if u == right { 1.0 } else { (u - left) / (right - left) };
                let (from, to) = (share(pair[0]), share(pair[1]));
                result.lines.push(pair[0]);
                result.strips.push(intervals.iter().map(|i| i.part(from, to)).collect());
            }
        }
        if self.period.is_none() {
            result.lines.extend(self.lines.last());
        }
        result
    }

    /// Neighbours of the same level intervals made one strip; so are empty ones. On a
    /// round host at least one line stays.
    #[must_use]
    pub fn merged(&self) -> Strips {
        let same = |a: &[Interval], b: &[Interval]| {
            a.len() == b.len() && a.iter().zip(b).all(|(p, q)| p == q && p.is_box())
        };
        let needed = |line: usize| match self.left_of(line) {
            None => true,
            Some(left) => !same(&self.strips[left], &self.strips[line]),
        };
        let mut keep: Vec<usize> = (0..self.strips.len()).filter(|&i| needed(i)).collect();
        if keep.is_empty() {
            keep.push(0);
        }
        let mut lines: Vec<f64> = keep.iter().map(|&i| self.lines[i]).collect();
        if self.period.is_none() {
            lines.extend(self.lines.last());
        }
        let strips = keep.iter().map(|&i| self.strips[i].clone()).collect();
        Strips { lines, period: self.period, strips }
    }

    /// Upside down: z becomes -z, undersides become ceilings.
    #[must_use]
    pub fn mirrored(&self) -> Strips {
        let flip = |strip: &Vec<Interval>| strip.iter().rev().map(Interval::mirrored).collect();
        Strips { strips: self.strips.iter().map(flip).collect(), ..self.clone() }
    }

    /// With the heights of all upper sides replaced by an increasing function of them, but no
    /// lower than their undersides and no higher than what is next above.
    #[must_use]
    pub fn tops_reshaped(&self, height: impl Fn(f64) -> f64) -> Strips {
        let mut result = self.clone();
        for strip in &mut result.strips {
            let above: Vec<[f64; 2]> = strip.iter().skip(1).map(|i| i.bottom).collect();
            for (index, interval) in strip.iter_mut().enumerate() {
                let most = above.get(index).copied().unwrap_or([f64::INFINITY; 2]);
                interval.top = [0, 1]
                    .map(|end| height(interval.top[end]).min(most[end]).max(interval.bottom[end]));
            }
        }
        result
    }

    /// Lowest and highest z of all material, mm; none where there is none.
    pub fn heights(&self) -> Option<[f64; 2]> {
        let all = self.strips.iter().flatten();
        let ends = all.map(|v| [v.bottom[0].min(v.bottom[1]), v.top[0].max(v.top[1])]);
        ends.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])])
    }

    /// With all heights replaced by an increasing function of them.
    #[must_use]
    pub fn reshaped(&self, mut height: impl FnMut(f64) -> f64) -> Strips {
        let mut result = self.clone();
        for interval in result.strips.iter_mut().flatten() {
            // What is level stays so to the bit.
            let mut both = |ends: [f64; 2]| match ends[0] == ends[1] {
                true => [height(ends[0]); 2],
                false => ends.map(&mut height),
            };
            (interval.bottom, interval.top) = (both(interval.bottom), both(interval.top));
        }
        result
    }

    /// Moved up by `by_mm`.
    #[must_use]
    pub fn raised(&self, by_mm: f64) -> Strips {
        let mut result = self.clone();
        for interval in result.strips.iter_mut().flatten() {
            interval.bottom = interval.bottom.map(|z| z + by_mm);
            interval.top = interval.top.map(|z| z + by_mm);
        }
        result
    }
}
