//! The host's surface as it was printed: facets, continued over the openings in them.

use super::facet::Facet;
use crate::mesh::{Mesh, Tag, Tolerance, meridian_corners};
use crate::model::vector::dot;
use crate::model::{Inlay, Meridian, Placement, Surface, Vector};
use crate::plane::Point;
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// A facet belongs to the surface when its corners lie this near to it, mm: several times
/// the coarsest chord, a fraction of the shallowest pocket.
const ON_SURFACE_MM: f64 = 0.05;

/// Facets count as those of one plane when their normals agree to this.
const SAME_NORMAL: f64 = 1e-6;

/// Planes of one direction are one when they lie this near to each other, mm.
const SAME_PLANE_MM: f64 = 1e-3;

/// Facets whose planes are farther turned than this from a point's own normal are not
/// the surface at that point: the cosine of 12 deg, the turn between the coarsest facets.
const TURNED: f64 = 0.978;

/// An inlay's surface: ideal, and as the facets of its host.
#[derive(Clone, Debug)]
pub struct HostSurface<'a> {
    inlay: &'a Inlay,
    back: Placement,
    out: Placement,
    /// By the direction of their normals about the axis; all in the first on flat faces.
    planes: Vec<Vec<Facet>>,
    /// Directions of all normals about the axis, ascending, rad.
    turns: Vec<f64>,
    /// Heights and radii at which facets of a bellied face meet.
    corners: Vec<[f64; 2]>,
}

/// Sectors into which planes are sorted: each wider than the turn between the coarsest facets.
const SECTORS: usize = 24;

impl<'a> HostSurface<'a> {
    /// The surface of `inlay`, whose leaf stands at `placement`, on the finished `host`.
    pub fn of(inlay: &'a Inlay, placement: &Placement, host: &Mesh) -> Self {
        let mut surface = HostSurface {
            inlay,
            back: placement.inverse(),
            out: *placement,
            planes: Vec::new(),
            turns: Vec::new(),
            corners: Vec::new(),
        };
        surface.planes = vec![Vec::new(); SECTORS];
        let mut planes: BTreeMap<[i64; 4], Facet> = BTreeMap::new();
        for (index, tag) in host.tags.iter().enumerate() {
            if *tag != Tag::PLAIN && tag.owner().is_some() {
                continue;
            }
            let facet = Facet::of(host, index);
            let on = |p: &Vector| surface.height(*p).abs() < ON_SURFACE_MM;
            let [a, b, c] = facet.corners;
            let middle = [0, 1, 2].map(|k| (a[k] + b[k] + c[k]) / 3.0);
            let agrees = dot(facet.normal, surface.normal(middle)) > TURNED;
            if !facet.corners.iter().all(on) || !agrees {
                continue;
            }
            let [x, y, z] = facet.normal.map(|n| (n / SAME_NORMAL).round() as i64);
            // Only a bellied face has several planes of one direction.
            let off = match inlay.surface {
                Surface::Belly { .. } => (dot(facet.normal, a) / SAME_PLANE_MM).round() as i64,
                _ => 0,
            };
            let key = [x, y, z, off];
            let kept = planes.entry(key).or_insert(facet);
            // The largest facet of a plane has the best normal.
            if facet.area > kept.area {
                *kept = facet;
            }
        }
        let mut turns: Vec<f64> = Vec::new();
        for plane in planes.into_values() {
            let [x, y, _] = surface.back.direction(plane.normal);
            turns.push(y.atan2(x));
            let sector = surface.sector(plane.normal);
            surface.planes[sector].push(plane);
        }
        turns.sort_by(f64::total_cmp);
        surface.turns = turns;
        if let Surface::Belly { meridian, .. } = &inlay.surface {
            surface.corners = meridian_corners(meridian, &Tolerance::default());
        }
        surface
    }

    /// The ideal surface's outward normal at the foot of `p`.
    pub fn normal(&self, p: Vector) -> Vector {
        let local = match &self.inlay.surface {
            Surface::Belly { meridian, outward, .. } => {
                let q = self.back.point(p);
                let r = q[0].hypot(q[1]).max(f64::MIN_POSITIVE);
                let (_, out) = meridian.beside(Point::new(r, q[2]));
                let c = if *outward { 1.0 } else { -1.0 };
                [q[0] / r * out.x * c, q[1] / r * out.x * c, out.y * c]
            }
            Surface::Round { slope, outward, sides, .. } => {
                let q = self.back.point(p);
                let r = q[0].hypot(q[1]).max(f64::MIN_POSITIVE);
                let [x, y] = sides.map_or([q[0] / r, q[1] / r], |s| s.over(q[0], q[1]).1);
                let c = 1.0 / (1.0 + slope * slope).sqrt();
                let c = if *outward { c } else { -c };
                [x * c, y * c, -slope * c]
            }
            Surface::Flat { normal, .. } => *normal,
        };
        self.out.direction(local)
    }

    /// How far a point stands out of the ideal surface, square to it, mm.
    pub fn height(&self, p: Vector) -> f64 {
        let q = self.back.point(p);
        match &self.inlay.surface {
            Surface::Belly { meridian, outward, .. } => {
                let (height, _) = meridian.beside(Point::new(q[0].hypot(q[1]), q[2]));
                if *outward { height } else { -height }
            }
            Surface::Round { radius_mm, slope, outward, sides, .. } => {
                let c = 1.0 / (1.0 + slope * slope).sqrt();
                let from_axis = sides.map_or(q[0].hypot(q[1]), |s| s.over(q[0], q[1]).0);
                let out = (from_axis - radius_mm - slope * q[2]) * c;
                if *outward { out } else { -out }
            }
            Surface::Flat { origin, normal, .. } => {
                dot(*normal, [q[0] - origin[0], q[1] - origin[1], q[2] - origin[2]])
            }
        }
    }

    /// How far a point stands out of the host's own facets, continued over the opening,
    /// mm; none where the host has no facet that faces the same way.
    pub fn step(&self, p: Vector) -> Option<f64> {
        let normal = self.normal(p);
        let towards = |f: &Facet| dot(f.normal, normal);
        let sector = self.sector(normal);
        let beside = [SECTORS - 1, 0, 1].map(|k| (sector + k) % SECTORS);
        let near = beside.iter().flat_map(|k| &self.planes[*k]);
        if let Surface::Belly { meridian, outward, .. } = &self.inlay.surface {
            let own = self.own_normal(p, normal, meridian, *outward)?;
            let height = self.height(p);
            let agrees = |f: &&Facet| {
                dot(f.normal, own) > SAME_FACET && (f.above(p) - height).abs() < ON_SURFACE_MM
            };
            return near.copied().find(|f| agrees(&f)).map(|f| f.above(p));
        }
        let best = near.max_by(|a, b| towards(a).total_cmp(&towards(b)))?;
        (towards(best) > TURNED).then(|| best.above(p))
    }

    /// The sector of a normal.
    fn sector(&self, normal: Vector) -> usize {
        if !self.inlay.surface.is_turned() {
            return 0;
        }
        let [x, y, _] = self.back.direction(normal);
        let share = y.atan2(x) / TAU + 0.5;
        (share * SECTORS as f64) as usize % SECTORS
    }

    /// The normal of the facet over a point of a bellied face. Every facet has its own plane
    /// there, and it may lie in the opening.
    fn own_normal(
        &self,
        p: Vector,
        normal: Vector,
        of: &Meridian,
        outward: bool,
    ) -> Option<Vector> {
        let [x, y, _] = self.back.direction(normal);
        let turn = y.atan2(x);
        let after = self.turns.partition_point(|t| *t < turn);
        let count = self.turns.len();
        let beside = [after.checked_sub(1).unwrap_or(count.checked_sub(1)?), after % count];
        let off = |k: &usize| {
            let off = self.turns[*k] - turn;
            (off - (off / TAU).round() * TAU).abs()
        };
        let nearest = beside.into_iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
        let (sin, cos) = self.turns[nearest].sin_cos();
        let q = self.back.point(p);
        let (height, out) = of.beside(Point::new(q[0].hypot(q[1]), q[2]));
        let foot = q[2] - height * out.y;
        let above = self.corners.partition_point(|c| c[0] <= foot);
        let above = above.clamp(1, self.corners.len().checked_sub(1)?);
        let ([low, r], [high, s]) = (self.corners[above - 1], self.corners[above]);
        let size = (high - low).hypot(s - r);
        let (level, rise) = ((high - low) / size, (r - s) / size);
        let rise = if outward { rise } else { -rise };
        Some(self.out.direction([level * cos, level * sin, rise]))
    }
}

/// Two normals of one facet agree by more, as a cosine: 0.3 deg, a quarter of the turn between
/// the finest ones.
const SAME_FACET: f64 = 0.999_986;
