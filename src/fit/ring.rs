//! A slit ring, opened by hand until it passes over its host.

use super::facet::Facet;
use super::measured::RingFit;
use crate::mesh::{FaceKind, Mesh};
use crate::model::{Enters, Inlay, PartId, Placement, Surface, Vector};

/// Stations round a ring at which its section is measured; one for each degree.
const STATIONS: usize = 360;

/// Stations lie off round angles by this share of their distance, so that they do not
/// run along facet lines or flanks.
const ASIDE: f64 = 0.371;

/// Sections smaller than this do not count, mm2: the slit, and slivers beside it.
const LEAST_MM2: f64 = 1e-3;

/// Peak strain of a thin ring of one section (radial thickness t, mean radius R) that a
/// tangential pull at the slit opens until its bore clears a circle that is larger by
/// `grown` in radius: M = F R (1 + cos phi) gives the inward shift at the back and at
/// the tips C = F R^3 / (E I) = grown, and the strain M t / (2 E I) = t C / R^2 at the
/// back. Derived by Castigliano's theorem (Shigley, Mechanical Engineering Design, 9th
/// ed., section 4-8; its problem 4-79 is the same ring).
pub fn strain_opened(thick_mm: f64, radius_mm: f64, grown_mm: f64) -> f64 {
    thick_mm * grown_mm / (radius_mm * radius_mm)
}

/// How far the slit has grown then: 3 pi C.
pub fn opening_mm(grown_mm: f64) -> f64 {
    3.0 * std::f64::consts::PI * grown_mm
}

/// Peak strain of the same ring while it rides on that circle and nothing holds it:
/// the contact ends 122.57 deg from the tips, and the curvature changes most at a
/// quarter turn from the slit, by 1 / sin(122.566 deg) times grown / R^2. Own derivation.
pub fn strain_riding(thick_mm: f64, radius_mm: f64, grown_mm: f64) -> f64 {
    let lift_off = 122.566f64.to_radians();
    thick_mm / 2.0 * grown_mm / (radius_mm * radius_mm) / lift_off.sin()
}

/// A section through a ring on one side of its axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// mm2
    pub area: f64,
    /// Radial thickness, mm.
    pub thick: f64,
    /// Radius of the middle of the thickness, mm.
    pub radius: f64,
}

/// What a ring must do to get on its host.
pub struct Ring<'a> {
    /// The part.
    pub part: PartId,
    /// The finished ring.
    pub mesh: &'a Mesh,
    /// Its pattern.
    pub inlay: &'a Inlay,
    /// Where the leaf of its host stands.
    pub placement: &'a Placement,
    /// The finished host.
    pub host: &'a Mesh,
    /// Over which end it is put on.
    pub enters: Enters,
    /// What the material stands once, as a ratio.
    pub permitted: Option<f64>,
}

/// Measures a slit ring; none where it has no slit, or no section.
pub fn ring(ring: &Ring) -> Option<RingFit> {
    let slit = ring.inlay.slit?;
    let back = ring.placement.inverse();
    let stations = sections(ring.mesh, &back);
    let thinnest = stations.into_iter().min_by(|a, b| a.area.total_cmp(&b.area))?;
    let stands_out = facets_stand_out(ring, &back);
    let (over_mm, bore_mm) = tightest(ring, &back)?;
    let (over_mm, bore_mm) = (over_mm / stands_out, bore_mm / stands_out);
    let grown = (over_mm - bore_mm).max(0.0);
    let percent = |ratio: f64| ratio * 100.0;
    Some(RingFit {
        part: ring.part,
        slit_mm: slit.width_mm,
        over_mm,
        opening_mm: opening_mm(grown),
        strain_percent: percent(strain_opened(thinnest.thick, thinnest.radius, grown)),
        riding_percent: percent(strain_riding(thinnest.thick, thinnest.radius, grown)),
        permitted_percent: ring.permitted.map(percent),
    })
}

/// How far the corners of facets stand out of the circle that they stand for, as a ratio:
/// facets have the area of their circle. Told from the show face, whose circle is known.
fn facets_stand_out(ring: &Ring, back: &Placement) -> f64 {
    let Surface::Round { radius_mm, slope, .. } = &ring.inlay.surface else { return 1.0 };
    let proud = ring.inlay.level_depth_mm(ring.inlay.proud_mm);
    let show = ring.mesh.triangles.iter().zip(&ring.mesh.tags);
    let corners = show.filter(|(_, tag)| tag.kind() == FaceKind::Show).flat_map(|(t, _)| t);
    let ratios = corners.map(|v| back.point(ring.mesh.vertices[*v as usize])).map(|p| {
        let radius = radius_mm + slope * p[2] + proud;
        if radius > 0.0 { p[0].hypot(p[1]) / radius } else { 1.0 }
    });
    ratios.reduce(f64::max).unwrap_or(1.0)
}

/// The circle that is hardest to pass, and the ring's own bore there: radii in mm. Every
/// height of the bore must pass all of the host that lies between it and the end over
/// which the ring is put on.
fn tightest(ring: &Ring, back: &Placement) -> Option<(f64, f64)> {
    let mut host: Vec<(f64, f64)> = ring
        .host
        .vertices
        .iter()
        .map(|p| back.point(*p))
        .map(|p| (p[2], p[0].hypot(p[1])))
        .collect();
    // From the entering end inwards, with the largest radius so far.
    match ring.enters {
        Enters::Top => host.sort_by(|a, b| b.0.total_cmp(&a.0)),
        Enters::Bottom => host.sort_by(|a, b| a.0.total_cmp(&b.0)),
        Enters::Surface => host.clear(),
    }
    let mut largest: f64 = 0.0;
    for entry in &mut host {
        largest = largest.max(entry.1);
        entry.1 = largest;
    }
    let beyond = |z: f64| {
        let passed = match ring.enters {
            Enters::Top => host.partition_point(|h| h.0 >= z),
            _ => host.partition_point(|h| h.0 <= z),
        };
        let surface = match &ring.inlay.surface {
            Surface::Round { radius_mm, slope, .. } => radius_mm + slope * z,
            Surface::Flat { .. } => 0.0,
        };
        passed.checked_sub(1).map_or(surface, |k| host[k].1.max(surface))
    };
    let mut worst: Option<(f64, f64)> = None;
    for (triangle, tag) in ring.mesh.triangles.iter().zip(&ring.mesh.tags) {
        if tag.kind() != FaceKind::Back {
            continue;
        }
        for corner in triangle {
            let p = back.point(ring.mesh.vertices[*corner as usize]);
            let (over, bore) = (beyond(p[2]), p[0].hypot(p[1]));
            if worst.is_none_or(|w| over - bore > w.0 - w.1) {
                worst = Some((over, bore));
            }
        }
    }
    worst
}

/// The sections of a ring round the z axis of the frame that `back` leads to.
pub fn sections(mesh: &Mesh, back: &Placement) -> Vec<Section> {
    let step = std::f64::consts::TAU / STATIONS as f64;
    let mut sums = vec![Sum::default(); STATIONS];
    for t in 0..mesh.triangles.len() {
        let corners = Facet::of(mesh, t).corners.map(|p| back.point(p));
        let facet = Facet::new(corners);
        let first = corners[0][1].atan2(corners[0][0]);
        // Angles next to the first corner's: no facet spans half a turn.
        let angles = corners.map(|p| {
            let turn = std::f64::consts::TAU;
            let away = p[1].atan2(p[0]) - first;
            first + away - (away / turn).round() * turn
        });
        let low = angles.iter().copied().fold(f64::INFINITY, f64::min) / step - ASIDE;
        let high = angles.iter().copied().fold(f64::NEG_INFINITY, f64::max) / step - ASIDE;
        for k in low.ceil() as i64..=high.floor() as i64 {
            let station = k.rem_euclid(STATIONS as i64) as usize;
            sums[station].add(&facet, (k as f64 + ASIDE) * step);
        }
    }
    let section =
        |s: &Sum| Section { area: s.area, thick: s.high - s.low, radius: (s.high + s.low) / 2.0 };
    sums.iter().map(section).filter(|s| s.area > LEAST_MM2).collect()
}

#[derive(Clone, Copy, Debug)]
struct Sum {
    area: f64,
    low: f64,
    high: f64,
}

impl Default for Sum {
    fn default() -> Self {
        Sum { area: 0.0, low: f64::INFINITY, high: f64::NEG_INFINITY }
    }
}

impl Sum {
    /// Adds where a facet crosses the half plane at an angle: a stretch of the section's
    /// outline, material to its left (Green's theorem gives the area).
    fn add(&mut self, facet: &Facet, angle: f64) {
        let (sin, cos) = angle.sin_cos();
        let off = |p: Vector| p[1] * cos - p[0] * sin;
        let flat = |p: Vector| [p[0] * cos + p[1] * sin, p[2]];
        let mut ends = Vec::with_capacity(2);
        for k in 0..3 {
            let (p, q) = (facet.corners[k], facet.corners[(k + 1) % 3]);
            let (a, b) = (off(p), off(q));
            if (a > 0.0) != (b > 0.0) {
                let share = a / (a - b);
                ends.push(flat([0, 1, 2].map(|c| p[c] + (q[c] - p[c]) * share)));
            }
        }
        let [from, to] = ends[..] else { return };
        let outward = [facet.normal[0] * cos + facet.normal[1] * sin, facet.normal[2]];
        let along = (to[0] - from[0]) * -outward[1] + (to[1] - from[1]) * outward[0];
        let (from, to) = if along >= 0.0 { (from, to) } else { (to, from) };
        self.area += (from[0] * to[1] - to[0] * from[1]) / 2.0;
        self.low = self.low.min(from[0]).min(to[0]);
        self.high = self.high.max(from[0]).max(to[0]);
    }
}
