//! Bending of a slit ring, station by station.
//!
//! The ring is a chain of short curved beams; what turns a station is its moment times its
//! own flexibility. Deflections are small and the middle line does not stretch (below
//! 0.3 % of the opening at R / t = 6.7); a lattice neither twists nor shears.

use super::press::press;
use super::section::Section;
use std::f64::consts::PI;

/// Points along a ring at which it may touch what it rides on: one for every 2.5 deg.
const TOUCHES: usize = 145;

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
        (!stations.is_empty()).then_some(Spring { stations, tip })
    }

    /// Outward shifts at `points` for given turns of the stations, the ring held at its back.
    fn shifts(&self, points: &[f64], turns: &[f64]) -> Vec<f64> {
        let shift = |point: f64| {
            let part = |(s, turn): (&Station, &f64)| turn * arm(s, point);
            self.stations.iter().zip(turns).map(part).sum()
        };
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
        let count = self.stations.len() / 2 * 2;
        let points: Vec<f64> =
            (0..=count).map(|k| self.tip * (2.0 * k as f64 / count as f64 - 1.0)).collect();
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
        let last = (TOUCHES - 1) as f64;
        let points: Vec<f64> =
            (0..TOUCHES).map(|k| self.tip * (2.0 * k as f64 / last - 1.0)).collect();
        let arms: Vec<Vec<f64>> =
            points.iter().map(|p| self.stations.iter().map(|s| arm(s, *p)).collect()).collect();
        let soft: Vec<f64> = self.stations.iter().map(|s| s.flexibility(theory)).collect();
        let pressures = press(&points, &arms, &soft)?;
        let moments: Vec<f64> = (0..self.stations.len())
            .map(|k| pressures.iter().zip(&arms).map(|(p, arm)| p * arm[k]).sum::<f64>() * grown)
            .collect();
        let turns: Vec<f64> = moments.iter().zip(&soft).map(|(m, f)| m * f).collect();
        // All pressures point away from the axis: the pull is the moment over the radius.
        let (strain, at) =
            self.peak(theory, |k| (moments[k], moments[k] / self.stations[k].section.centroid));
        Some(Opened { opening_mm: self.growth(&turns), strain, at })
    }

    fn peak(&self, theory: Theory, load: impl Fn(usize) -> (f64, f64)) -> (f64, f64) {
        let strains = self.stations.iter().enumerate().map(|(k, s)| {
            let (moment, pull) = load(k);
            (s.strain(theory, moment, pull), s.angle)
        });
        strains.fold((0.0, 0.0), |best, next| if next.0 > best.0 { next } else { best })
    }
}

/// What a unit outward force at `point` is as a moment at a station, mm, and what a unit
/// turn of that station shifts the point: none where the station is not between it and
/// the back.
fn arm(station: &Station, point: f64) -> f64 {
    let (own, beyond) = (station.angle * point.signum(), point.abs());
    if own <= 0.0 {
        return 0.0;
    }
    // A station that the point cuts counts by the part before it.
    let before = ((beyond - own) / station.span + 0.5).clamp(0.0, 1.0);
    before * station.section.centroid * (beyond - own).sin().max(0.0)
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
    const STEPS: usize = 48;
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
