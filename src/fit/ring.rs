//! A slit ring, opened by hand until it passes over its host.

use super::chain::Chain;
use super::clear::Host;
use super::measured::RingFit;
use super::section::{Section, sections};
use super::side::Sided;
use super::slide::Slide;
use super::spring::{Spring, Theory};
use crate::mesh::{FaceKind, Mesh};
use crate::model::{Enters, Inlay, PartId, Placement, Sides};

/// Share of the permitted strain that may come again and again (DSM Engineering Plastics,
/// Maximum allowable short-term strain).
pub const REPEATED: f64 = 0.6;

/// Share of it that is lost where all of the strain is square to the layers; common
/// practice, no source.
const ACROSS_LAYERS: f64 = 0.5;

/// Exact strain over the linear one, by opening over mean radius, for a thin ring of one
/// section under a pull across its slit; own solution of its large deflections.
const LARGE: [[f64; 2]; 7] = [
    [0.0, 1.0],
    [0.1, 0.985],
    [0.2, 0.970],
    [0.3, 0.956],
    [0.53, 0.927],
    [0.91, 0.886],
    [1.18, 0.862],
];

/// What of the linear strain is left where a ring opens far: the linear one is on the
/// safe side.
pub fn large_opening(opening_mm: f64, radius_mm: f64) -> f64 {
    let far = opening_mm / radius_mm;
    let between = |pair: &[[f64; 2]]| {
        let [[x, y], [u, v]] = [pair[0], pair[1]];
        (far <= u).then(|| y + (v - y) * (far - x) / (u - x))
    };
    LARGE.windows(2).find_map(between).unwrap_or(LARGE[LARGE.len() - 1][1])
}

/// What a ring stands of the strain along its layers, when its axis is so far from the
/// upright of its printed copy: its hoops leave the layers by as much.
pub fn layer_share(axis_up: f64) -> f64 {
    1.0 - ACROSS_LAYERS * (1.0 - axis_up * axis_up).max(0.0).sqrt()
}

/// Peak strain of a thin ring of one section (radial thickness t, mean radius R) that a
/// tangential pull at the slit opens until its bore clears a circle that is larger by
/// `grown` in radius: M = F R (1 + cos phi) gives the inward shift at the back and at
/// the tips C = F R^3 / (E I) = grown, and the strain M t / (2 E I) = t C / R^2 at the
/// back. Derived by Castigliano's theorem (Shigley, Mechanical Engineering Design, 9th
/// ed., section 4-8; its problem 4-79 is the same ring).
pub fn strain_opened(thick_mm: f64, radius_mm: f64, grown_mm: f64) -> f64 {
    thick_mm * grown_mm / (radius_mm * radius_mm)
}

/// Peak strain of the same ring while it rides on that circle and nothing holds it:
/// the contact ends 122.57 deg from the tips, and the curvature changes most at a
/// quarter turn from the slit, by 1 / sin(122.566 deg) times grown / R^2. Own derivation.
pub fn strain_riding(thick_mm: f64, radius_mm: f64, grown_mm: f64) -> f64 {
    let lift_off = 122.566f64.to_radians();
    thick_mm / 2.0 * grown_mm / (radius_mm * radius_mm) / lift_off.sin()
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
    /// The turn from the assembly to the printed copy.
    pub turn: &'a Placement,
}

/// What a ring does on its way to its seat.
struct Bent {
    opening_mm: f64,
    /// Peak strain, as a ratio.
    strain: f64,
    /// Where it is, round the ring from its slit, deg.
    at_deg: f64,
    /// Peak strain while it rides by itself, and how far it is open then, mm.
    riding: (Option<f64>, Option<f64>),
    /// What large deflections leave of the strains.
    large: f64,
    /// The smallest section.
    thinnest: Section,
}

/// No pull across the slit was found that brings a ring over flat sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotOpened;

/// Measures a slit ring; none where it has no slit, or falls apart.
///
/// # Errors
/// [`NotOpened`].
pub fn ring(ring: &Ring) -> Option<Result<RingFit, NotOpened>> {
    let slit = ring.inlay.slit?;
    // Rings in an inside wall are pressed together, not opened.
    if ring.inlay.surface.faces_axis() {
        return None;
    }
    let back = ring.placement.inverse();
    let walls = ring.inlay.slit_rad().ok().flatten()?;
    let stands_out = facets_stand_out(ring, &back);
    let (over_mm, bore_mm) = tightest(ring, &back)?;
    let (over_mm, bore_mm) = (over_mm / stands_out, bore_mm / stands_out);
    let grown = (over_mm - bore_mm).max(0.0);
    let bent = match ring.inlay.sides() {
        None => round(ring, &back, walls, grown)?,
        Some(sides) => match over_sides(ring, &back, sides, walls, [over_mm, bore_mm])? {
            Ok(bent) => bent,
            Err(not) => return Some(Err(not)),
        },
    };
    // Over flat sides its corners have the farthest to go.
    let grown = grown * ring.inlay.sides().map_or(1.0, Sides::corner);
    let (thick, radius) = bar(&bent.thinnest);
    let axis = ring.turn.direction(ring.placement.direction([0.0, 0.0, 1.0]));
    let layers = layer_share(axis[2]);
    let percent = |ratio: f64| ratio * 100.0;
    Some(Ok(RingFit {
        part: ring.part,
        slit_mm: slit.width_mm,
        over_mm,
        opening_mm: bent.opening_mm,
        strain_percent: percent(bent.strain),
        strain_at_deg: bent.at_deg,
        uniform_percent: percent(strain_opened(thick, radius, grown)),
        riding_percent: bent.riding.0.map(percent),
        riding_opening_mm: bent.riding.1,
        large_opening: bent.large,
        permitted_percent: ring.permitted.map(|p| percent(p * layers)),
        layer_share: layers,
    }))
}

/// Round the axis: by small shifts, with what large ones leave of the strain beside it.
fn round(ring: &Ring, back: &Placement, walls: [f64; 2], grown: f64) -> Option<Bent> {
    let [near, far] = walls;
    let (from, half) = ((near + far) / 2.0, (far - near) / 2.0);
    let sections = sections(ring.mesh, back, from);
    let present = sections.iter().flatten();
    let thinnest = present.min_by(|a, b| a.area.total_cmp(&b.area))?;
    let spring = Spring::new(&sections, std::f64::consts::PI - half)?;
    let pulled = spring.pulled(grown, Theory::Curved);
    let riding = spring.riding(grown, Theory::Curved);
    let (thick, radius) = bar(thinnest);
    let strain = riding.map_or_else(|| strain_riding(thick, radius, grown), |r| r.strain);
    Some(Bent {
        opening_mm: pulled.opening_mm,
        strain: pulled.strain,
        at_deg: 180.0 - pulled.at.abs().to_degrees(),
        riding: (Some(strain), riding.map(|riding| riding.opening_mm)),
        large: large_opening(pulled.opening_mm, radius),
        thinnest: *thinnest,
    })
}

/// Over flat sides, whose corners it leaves: by its true shape.
fn over_sides(
    ring: &Ring,
    back: &Placement,
    sides: Sides,
    walls: [f64; 2],
    [over_mm, bore_mm]: [f64; 2],
) -> Option<Result<Bent, NotOpened>> {
    let corners = ring.mesh.vertices.iter().map(|p| from_axis(ring, back.point(*p)));
    let none = (f64::INFINITY, 0.0f64);
    let (inner, outer) = corners.fold(none, |(low, high), r| (low.min(r), high.max(r)));
    let bars = Sided { mesh: ring.mesh, back, sides, walls, inner, outer }.bars()?;
    let thinnest = bars.iter().map(|bar| bar.section);
    let thinnest = thinnest.min_by(|a, b| a.area.total_cmp(&b.area))?;
    let slit = (walls[0] + walls[1]) / 2.0;
    let host = Host::new(sides, over_mm, slit);
    let chain = Chain::new(bars, bore_mm, sides.half_width())?;
    let slide = Slide { chain: &chain, host: &host };
    let Some(pulled) = slide.pulled() else { return Some(Err(NotOpened)) };
    let (opening_mm, peak) = (pulled.opening_mm, pulled.peak);
    let riding = slide.riding(pulled.pose);
    Some(Ok(Bent {
        opening_mm,
        strain: peak.strain,
        at_deg: peak.at.to_degrees(),
        riding: (riding.as_ref().map(|r| r.peak.strain), riding.as_ref().map(|r| r.opening_mm)),
        large: 1.0,
        thinnest,
    }))
}

/// Thickness and mean radius of the uniform bar that a section would be, mm.
fn bar(section: &Section) -> (f64, f64) {
    (section.outer - section.inner, (section.outer + section.inner) / 2.0)
}

/// Distance of a point from the axis: over flat sides square to the side.
fn from_axis(ring: &Ring, p: [f64; 3]) -> f64 {
    ring.inlay.sides().map_or(p[0].hypot(p[1]), |sides| sides.over(p[0], p[1]).0)
}

/// How far the corners of facets stand out of the circle that they stand for, as a ratio:
/// facets have the area of their circle. Told from the show face, whose circle is known.
fn facets_stand_out(ring: &Ring, back: &Placement) -> f64 {
    if !ring.inlay.surface.is_turned() {
        return 1.0;
    }
    let proud = ring.inlay.level_depth_mm(ring.inlay.proud_mm);
    let show = ring.mesh.triangles.iter().zip(&ring.mesh.tags);
    let corners = show.filter(|(_, tag)| tag.kind() == FaceKind::Show).flat_map(|(t, _)| t);
    let ratios = corners.map(|v| back.point(ring.mesh.vertices[*v as usize])).map(|p| {
        let radius = ring.inlay.radius_at(p[2]).unwrap_or(0.0) + proud;
        if radius > 0.0 { from_axis(ring, p) / radius } else { 1.0 }
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
        .map(|p| (p[2], from_axis(ring, p)))
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
        let surface = ring.inlay.radius_at(z).unwrap_or(0.0);
        passed.checked_sub(1).map_or(surface, |k| host[k].1.max(surface))
    };
    let mut worst: Option<(f64, f64)> = None;
    for (triangle, tag) in ring.mesh.triangles.iter().zip(&ring.mesh.tags) {
        if tag.kind() != FaceKind::Back {
            continue;
        }
        for corner in triangle {
            let p = back.point(ring.mesh.vertices[*corner as usize]);
            let (over, bore) = (beyond(p[2]), from_axis(ring, p));
            if worst.is_none_or(|w| over - bore > w.0 - w.1) {
                worst = Some((over, bore));
            }
        }
    }
    worst
}
