//! Bending of a slit ring, station by station.
//!
//! The ring is a chain of short curved beams; what turns a station is its moment times its
//! own flexibility. Deflections are small and the middle line does not stretch (below
//! 0.3 % of the opening at R / t = 6.7); a lattice neither twists nor shears.

use super::press::{Pressed, press};
use super::section::Section;
use std::f64::consts::PI;
use std::ops::Range;

/// Points along a ring at which it may touch what it rides on: one for every 2.5 deg.
const TOUCHES: usize = 145;

/// Steps along a ring between points that must clear what it passes: one for each degree.
const CLEARING: usize = 360;

/// So many stations that follow each other, a degree, answer a pressure as one.
const TOGETHER: usize = 8;

/// How a section answers a moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theory {
    /// As in a straight bar: what the closed forms take.
    #[cfg(test)]
    Straight,
    /// As in a curved one, with the pull along it (Winkler and Bach; Shigley, Mechanical
    /// Engineering Design, 9th ed., section 3-18).
    Curved,
}

/// One station of a ring. Angles count from the point opposite the slit.
#[derive(Clone, Copy, Debug)]
pub struct Station {
    /// rad
    pub angle: f64,
    /// How much of the ring it stands for, rad.
    pub span: f64,
    /// What is there.
    pub section: Section,
}

impl Station {
    /// Turn, rad, for a moment over the modulus of 1 mm3.
    fn flexibility(&self, theory: Theory) -> f64 {
        let s = &self.section;
        self.span
            * match theory {
                #[cfg(test)]
                Theory::Straight => s.centroid / s.inertia,
                Theory::Curved => 1.0 / (s.area * (s.centroid - s.neutral)),
            }
    }

    /// The larger strain of the innermost and outermost fibre under a moment (mm3) and a
    /// pull (mm2), both over the modulus. Opening stretches the inner one.
    fn strain(&self, theory: Theory, moment: f64, pull: f64) -> f64 {
        let s = &self.section;
        let fibres = match theory {
            #[cfg(test)]
            Theory::Straight => {
                [s.centroid - s.inner, s.centroid - s.outer].map(|off| moment * off / s.inertia)
            }
            Theory::Curved => [s.inner, s.outer].map(|r| {
                let bent = (s.neutral - r) / (s.area * (s.centroid - s.neutral) * r);
                moment * bent + pull / s.area
            }),
        };
        fibres[0].abs().max(fibres[1].abs())
    }
}

/// A slit ring: stations from one tip to the other, and where the tips are.
pub struct Spring {
    /// By angle.
    pub stations: Vec<Station>,
    /// Half of the ring's arc, rad.
    pub tip: f64,
    /// Sine of each station's distance from the back, and cosine.
    trig: Vec<[f64; 2]>,
    /// The first station past the back.
    back: usize,
}

/// What happens to a ring that is opened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opened {
    /// Growth of the slit, mm.
    pub opening_mm: f64,
    /// Peak strain, as a ratio.
    pub strain: f64,
    /// Where it is, rad from the point opposite the slit.
    pub at: f64,
}

impl Spring {
    /// The ring that is left of equal stations round the whole circle, the first half a
    /// step behind the slit. None where it hangs together nowhere but at the slit.
    pub fn new(sections: &[Option<Section>], tip: f64) -> Option<Self> {
        let step = 2.0 * PI / sections.len() as f64;
        let mut stations = Vec::new();
        for (k, section) in sections.iter().enumerate() {
            let angle = (k as f64 + 0.5) * step - PI;
            // The last station of each side reaches just to the tip.
            let span = (tip - (angle.abs() - step / 2.0)).min(step);
            if span <= 0.0 {
                continue;
            }
            match section {
                Some(section) => stations.push(Station { angle, span, section: *section }),
                None if span < step => {}
                None => return None,
            }
        }
        let trig = stations.iter().map(|s| [s.angle.abs().sin(), s.angle.cos()]).collect();
        let back = stations.partition_point(|s| s.angle < 0.0);
        (!stations.is_empty()).then_some(Spring { stations, tip, trig, back })
    }

    /// The stations between the back and a point, with what a unit outward force at the point
    /// is as a moment there, mm, and what a unit turn of the station shifts the point.
    fn arms(&self, point: f64) -> impl Iterator<Item = (usize, f64)> + use<'_> {
        let beyond = point.abs();
        let (sin, cos) = beyond.sin_cos();
        let reached = |s: &Station| s.angle.abs() - s.span / 2.0 < beyond;
        let between = if point < 0.0 {
            self.stations[..self.back].partition_point(|s| !reached(s))..self.back
        } else {
            self.back..self.back + self.stations[self.back..].partition_point(reached)
        };
        between.map(move |k| {
            let (station, [own_sin, own_cos]) = (&self.stations[k], self.trig[k]);
            // A station that the point cuts counts by the part before it.
            let before = ((beyond - station.angle.abs()) / station.span + 0.5).clamp(0.0, 1.0);
            let lever = (sin * own_cos - cos * own_sin).max(0.0);
            (k, before * station.section.centroid * lever)
        })
    }

    /// Outward shifts at `points` for given turns of the stations, the ring held at its back.
    fn shifts(&self, points: &[f64], turns: &[f64]) -> Vec<f64> {
        let shift = |point: f64| self.arms(point).map(|(k, arm)| turns[k] * arm).sum();
        points.iter().map(|p| shift(*p)).collect()
    }

    /// How much the tips part.
    fn growth(&self, turns: &[f64]) -> f64 {
        let tip = self.tip_height();
        let part = |(s, turn): (&Station, &f64)| turn * (tip + s.section.centroid * s.angle.cos());
        self.stations.iter().zip(turns).map(part).sum()
    }

    /// How far the tips lie from the axis, away from the back, mm.
    fn tip_height(&self) -> f64 {
        let ends = [self.stations.first(), self.stations.last()];
        let radius = ends.into_iter().flatten().map(|s| s.section.centroid).sum::<f64>() / 2.0;
        -radius * self.tip.cos()
    }

    /// Opened by a pull across its slit until its bore clears a circle that is larger by
    /// `grown` mm in radius, the ring lying on it as it likes best.
    pub fn pulled(&self, grown: f64, theory: Theory) -> Opened {
        let tip = self.tip_height();
        let moments: Vec<f64> =
            self.stations.iter().map(|s| tip + s.section.centroid * s.angle.cos()).collect();
        let turns: Vec<f64> =
            self.stations.iter().zip(&moments).map(|(s, m)| m * s.flexibility(theory)).collect();
        let points = self.points(CLEARING);
        let shifts = self.shifts(&points, &turns);
        let reached = best_least(&points, &shifts);
        let force = if reached > 0.0 { grown / reached } else { 0.0 };
        let (strain, at) =
            self.peak(theory, |k| (moments[k] * force, self.stations[k].angle.cos() * force));
        Opened { opening_mm: self.growth(&turns) * force, strain, at }
    }

    /// Riding by itself on a rigid circle that is larger by `grown` mm in radius, without
    /// friction. None where the pressures were not found.
    pub fn riding(&self, grown: f64, theory: Theory) -> Option<Opened> {
        let points = self.points(TOUCHES - 1);
        let soft: Vec<f64> = self.stations.iter().map(|s| s.flexibility(theory)).collect();
        let groups = self.groups();
        let grouped: Vec<f64> = groups.iter().map(|g| soft[g.clone()].iter().sum()).collect();
        let arms: Vec<Vec<f64>> = points
            .iter()
            .map(|point| {
                let mut turned = vec![0.0; soft.len()];
                self.arms(*point).for_each(|(k, arm)| turned[k] = arm * soft[k]);
                let all = groups.iter().zip(&grouped);
                all.map(|(g, soft)| turned[g.clone()].iter().sum::<f64>() / soft).collect()
            })
            .collect();
        let pressed = Pressed { wanted: &[1.0; TOUCHES], arms: &arms, soft: &grouped };
        let pressures = press(&pressed, |i, k| (points[i] - points[k]).cos())?;
        let mut moments = vec![0.0; soft.len()];
        for (point, pressure) in points.iter().zip(&pressures).filter(|(_, p)| **p > 0.0) {
            self.arms(*point).for_each(|(k, arm)| moments[k] += pressure * arm * grown);
        }
        let turns: Vec<f64> = moments.iter().zip(&soft).map(|(m, f)| m * f).collect();
        // All pressures point away from the axis: the pull is the moment over the radius.
        let (strain, at) =
            self.peak(theory, |k| (moments[k], moments[k] / self.stations[k].section.centroid));
        Some(Opened { opening_mm: self.growth(&turns), strain, at })
    }

    /// Points at so many equal steps from tip to tip.
    fn points(&self, steps: usize) -> Vec<f64> {
        (0..=steps).map(|k| self.tip * (2.0 * k as f64 / steps as f64 - 1.0)).collect()
    }

    /// Stations that follow each other on one side of the back.
    fn groups(&self) -> Vec<Range<usize>> {
        let sides = [0..self.back, self.back..self.stations.len()];
        let groups = sides.into_iter().flat_map(|side| {
            let end = side.end;
            side.step_by(TOGETHER).map(move |from| from..(from + TOGETHER).min(end))
        });
        groups.collect()
    }

    fn peak(&self, theory: Theory, load: impl Fn(usize) -> (f64, f64)) -> (f64, f64) {
        let strains = self.stations.iter().enumerate().map(|(k, s)| {
            let (moment, pull) = load(k);
            (s.strain(theory, moment, pull), s.angle)
        });
        strains.fold((0.0, 0.0), |best, next| if next.0 > best.0 { next } else { best })
    }
}

/// The largest least outward shift that moving the whole ring sideways can reach.
fn best_least(points: &[f64], shifts: &[f64]) -> f64 {
    let span = shifts.iter().fold(0.0, |a: f64, b| a.max(b.abs()));
    let trig: Vec<(f64, f64)> = points.iter().map(|p| p.sin_cos()).collect();
    let least = |along: f64, across: f64| {
        let shift = |(w, (sin, cos)): (&f64, &(f64, f64))| w + along * cos + across * sin;
        shifts.iter().zip(&trig).map(shift).fold(f64::INFINITY, f64::min)
    };
    // The least of lines has one top in each direction.
    let (_, best) = top(span, |along| top(span, |across| least(along, across)).1);
    best
}

/// Where a function with one top between `-span` and `span` has it, and how high.
fn top(span: f64, f: impl Fn(f64) -> f64) -> (f64, f64) {
    // Each leaves 0.618 of what is left: to 2e-7 of it all.
    const STEPS: usize = 32;
    let golden = (5f64.sqrt() - 1.0) / 2.0;
    let (mut low, mut high) = (-span, span);
    let (mut a, mut b) = (high - golden * (high - low), low + golden * (high - low));
    let (mut fa, mut fb) = (f(a), f(b));
    for _ in 0..STEPS {
        if fa < fb {
            (low, a, fa) = (a, b, fb);
            b = low + golden * (high - low);
            fb = f(b);
        } else {
            (high, b, fb) = (b, a, fa);
            a = high - golden * (high - low);
            fa = f(a);
        }
    }
    if fa > fb { (a, fa) } else { (b, fb) }
}
