//! Measures of exact bodies: volume, area, centroid, box, pieces, genus.
//!
//! Volume and centroid are fluxes through the faces (Gauss), each face integral a loop
//! integral in the face's parameters (Green); both integrals by Gauss-Legendre rules,
//! which are exact for the polynomials of planes, cylinders, cones and ramps, and reach
//! rounding on arcs. No triangles.

use super::body::{ExactBody, Face, Side};
use super::geometry::vector::{cross, dot, length, sub};
use super::geometry::{Curve, Meridian, Surface};
use crate::model::Vector;

/// A Gauss-Legendre rule on [-1, 1]: positive nodes with their weights (Abramowitz and
/// Stegun, table 25.4). With n nodes it is exact for polynomials up to degree 2 n - 1.
type Rule = &'static [(f64, f64)];

const GAUSS_2: Rule = &[(0.577_350_269_189_625_8, 1.0)];

const GAUSS_4: Rule = &[
    (0.339_981_043_584_856_3, 0.652_145_154_862_546_1),
    (0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
];

const GAUSS_8: Rule = &[
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
];

/// Nodes in (0, 1) with their weights.
fn nodes(rule: Rule) -> impl Iterator<Item = (f64, f64)> {
    rule.iter().flat_map(|&(x, w)| [((1.0 - x) / 2.0, w / 2.0), ((1.0 + x) / 2.0, w / 2.0)])
}

/// Up to this turn four nodes are as good as eight are on [`STRETCH_RAD`], rad.
const SHORT_RAD: f64 = 0.1;

/// Longest stretch of an arc that one rule integrates, rad: the error of eight nodes is
/// then below 1e-14 of the value.
const STRETCH_RAD: f64 = 0.8;

/// What is summed over faces.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Sums {
    area: f64,
    volume: f64,
    moments: Vector,
}

impl Sums {
    fn add(&mut self, other: Sums, weight: f64) {
        self.area += other.area * weight;
        self.volume += other.volume * weight;
        for axis in 0..3 {
            self.moments[axis] += other.moments[axis] * weight;
        }
    }
}

/// What is wanted of a sum: less takes less time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wanted {
    Volume,
    Area,
    Moments,
}

impl ExactBody {
    /// Volume, mm3.
    pub fn volume_mm3(&self) -> f64 {
        self.sums(0..self.faces().len(), Wanted::Volume).volume
    }

    /// Area of all faces, mm2.
    pub fn area_mm2(&self) -> f64 {
        self.sums(0..self.faces().len(), Wanted::Area).area
    }

    /// Centre of mass, mm; the origin for the empty body.
    pub fn centroid_mm(&self) -> Vector {
        let sums = self.sums(0..self.faces().len(), Wanted::Moments);
        if sums.volume == 0.0 { [0.0; 3] } else { sums.moments.map(|m| m / sums.volume) }
    }

    /// Volume inside one shell, mm3; below 0 for a hollow.
    pub fn shell_volume_mm3(&self, shell: usize) -> f64 {
        self.sums(self.shells()[shell].iter().copied(), Wanted::Volume).volume
    }

    /// How many separate pieces: shells that are no hollows.
    pub fn pieces(&self) -> usize {
        if self.shells().len() == 1 {
            return 1;
        }
        (0..self.shells().len()).filter(|s| self.shell_volume_mm3(*s) > 0.0).count()
    }

    /// Handles of all shells together, by Euler and Poincare:
    /// corners - edges + faces - holes = 2 (shells - genus). None where the sum fits no
    /// closed body.
    pub fn genus(&self) -> Option<usize> {
        let holes: usize = self.faces().iter().map(|f| f.loops.len() - 1).sum();
        let plus = 2 * self.shells().len() + self.edges().len() + holes;
        let doubled = plus.checked_sub(self.points().len() + self.faces().len());
        doubled.filter(|d| d % 2 == 0).map(|d| d / 2)
    }

    fn sums(&self, faces: impl Iterator<Item = usize>, wanted: Wanted) -> Sums {
        let mut sums = Sums::default();
        for number in faces {
            let face = &self.faces()[number];
            let mut of_face = Sums::default();
            let middle = self.middle_rad(face);
            for side in face.loops.iter().flatten() {
                self.add_side(face, *side, middle, wanted, &mut of_face);
            }
            of_face.area = of_face.area.abs();
            sums.add(of_face, 1.0);
        }
        sums
    }

    /// Adds the loop integral along one side of a face.
    fn add_side(&self, face: &Face, side: Side, middle: f64, wanted: Wanted, sums: &mut Sums) {
        let curve = &self.edges()[side.edge].curve;
        if runs_along_u(&face.surface, curve) {
            return;
        }
        let sense = if side.forward { 1.0 } else { -1.0 };
        let rule = outer_rule(&face.surface, curve);
        let mut stretch = |from: f64, to: f64| {
            for (share, weight) in nodes(rule) {
                let t = from + (to - from) * share;
                let (point, tangent) = (curve.at(t), curve.derivative(t));
                let (u, v) = face.surface.parameters(point, middle);
                let by_t = v_rate(&face.surface, u, v, tangent) * (to - from) * weight;
                if by_t != 0.0 {
                    sums.add(inner(&face.surface, u, v, wanted), by_t * sense);
                }
            }
        };
        if let Curve::Trace(trace) = curve {
            let knots: Vec<f64> = trace.knots().collect();
            knots.windows(2).for_each(|pair| stretch(pair[0], pair[1]));
        } else {
            let parts = (curve.turn() / STRETCH_RAD).ceil().max(1.0);
            for part in 0..parts as usize {
                stretch(part as f64 / parts, (part + 1) as f64 / parts);
            }
        }
    }
}

/// The rule along a curve: on planes the integrals over x are cubic in the ends of a line.
fn outer_rule(surface: &Surface, curve: &Curve) -> Rule {
    match (surface, curve) {
        (Surface::Plane { .. }, Curve::Line { .. }) => GAUSS_2,
        (_, Curve::Trace(_)) => GAUSS_8,
        _ if curve.turn() <= SHORT_RAD => GAUSS_4,
        _ => GAUSS_8,
    }
}

/// Whether v stays the same along a curve on a surface, so that it adds nothing.
fn runs_along_u(surface: &Surface, curve: &Curve) -> bool {
    matches!((surface, curve), (Surface::Revolved { .. }, Curve::Line { .. }))
}

/// Change of v along a tangent of the surface.
fn v_rate(surface: &Surface, u: f64, v: f64, tangent: Vector) -> f64 {
    match surface {
        Surface::Plane { frame } => dot(tangent, frame.y),
        Surface::Revolved { frame, meridian } => dot(tangent, frame.tangent(v)) / meridian.at(u)[0],
        Surface::Ramp { frame, .. } => dot(tangent, frame.tangent(v)) / u,
    }
}

/// The rule over u: everything is cubic in u at most, but for arcs.
fn inner_rule(surface: &Surface) -> Rule {
    match surface {
        Surface::Revolved { meridian: Meridian::Arc { .. }, .. } => GAUSS_8,
        _ => GAUSS_2,
    }
}

/// Area of a ramp from its axis to `u`, per rad: the integral of
/// sqrt((1 + per_mm^2) u^2 + per_rad^2), as tables of integrals have it.
fn ramp_area(u: f64, per_rad: f64, per_mm: f64) -> f64 {
    let lean = (1.0 + per_mm * per_mm).sqrt();
    let pitch = per_rad.abs();
    if pitch == 0.0 {
        return lean * u * u / 2.0;
    }
    let slant = (lean * u).hypot(pitch);
    (u * slant + pitch * pitch / lean * (lean * u / pitch).asinh()) / 2.0
}

/// The integrals over u from where the surface starts, at fixed v.
fn inner(surface: &Surface, u: f64, v: f64, wanted: Wanted) -> Sums {
    if let (Surface::Ramp { per_rad, per_mm, .. }, Wanted::Area) = (surface, wanted) {
        return Sums { area: ramp_area(u, *per_rad, *per_mm), ..Sums::default() };
    }
    let (start, parts) = match surface {
        Surface::Revolved { meridian, .. } => {
            let start = meridian.pole(1e-9).unwrap_or(0.0);
            let turn = match meridian {
                Meridian::Arc { radius_mm, .. } => (u - start).abs() / radius_mm,
                Meridian::Line { .. } => 0.0,
            };
            (start, (turn / STRETCH_RAD).ceil().max(1.0))
        }
        _ => (0.0, 1.0),
    };
    let step = (u - start) / parts;
    let mut sums = Sums::default();
    for part in 0..parts as usize {
        for (share, weight) in nodes(inner_rule(surface)) {
            sums.add(
                density(surface, start + step * (part as f64 + share), v, wanted),
                weight * step,
            );
        }
    }
    sums
}

/// What is summed, per mm of u and unit of v.
fn density(surface: &Surface, u: f64, v: f64, wanted: Wanted) -> Sums {
    let (by_u, by_v) = surface.tangents(u, v);
    let square = cross(by_u, by_v);
    let mut here = Sums::default();
    if wanted == Wanted::Area {
        here.area = length(square);
        return here;
    }
    let point = surface.at(u, v);
    here.volume = dot(point, square) / 3.0;
    if wanted == Wanted::Moments {
        for axis in 0..3 {
            here.moments[axis] = point[axis] * point[axis] / 2.0 * square[axis];
        }
    }
    here
}

/// Lowest and highest corner of a box, mm.
pub type Bounds = [Vector; 2];

impl ExactBody {
    /// The box round the body, mm, axes of the body; none for the empty body. Exact but
    /// for traces, whose extremes are taken at their leading points.
    pub fn bounds(&self) -> Option<Bounds> {
        let boxes = self.faces().iter().map(|face| self.face_box(face));
        boxes.reduce(|a, b| {
            let pick = |f: fn(f64, f64) -> f64, i: usize| [0, 1, 2].map(|k| f(a[i][k], b[i][k]));
            [pick(f64::min, 0), pick(f64::max, 1)]
        })
    }

    /// The box round one face, mm.
    pub(super) fn face_box(&self, face: &Face) -> Bounds {
        let mut bounds = [[f64::INFINITY; 3], [f64::NEG_INFINITY; 3]];
        let mut include = |p: Vector| {
            for axis in 0..3 {
                bounds[0][axis] = bounds[0][axis].min(p[axis]);
                bounds[1][axis] = bounds[1][axis].max(p[axis]);
            }
        };
        for side in face.loops.iter().flatten() {
            let edge = &self.edges()[side.edge];
            edge.ends.iter().for_each(|end| include(self.points()[*end]));
            curve_extremes(&edge.curve).into_iter().for_each(&mut include);
        }
        self.bulges(face).into_iter().for_each(&mut include);
        bounds
    }

    /// Points inside a face on a torus or sphere at which a coordinate is extreme.
    fn bulges(&self, face: &Face) -> Vec<Vector> {
        let Surface::Revolved { frame, meridian: meridian @ Meridian::Arc { centre, .. } } =
            face.surface
        else {
            return Vec::new();
        };
        let middle = self.middle_rad(face);
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for side in face.loops.iter().flatten() {
            let curve = &self.edges()[side.edge].curve;
            for t in [0.0, 0.5, 1.0] {
                let (u, v) = face.surface.parameters(curve.at(t), middle);
                low = [low[0].min(u), low[1].min(v)];
                high = [high[0].max(u), high[1].max(v)];
            }
        }
        let mut found = Vec::new();
        for axis in 0..3 {
            let mut direction = [0.0; 3];
            direction[axis] = 1.0;
            let [x, y, z] = frame.local([0, 1, 2].map(|i| frame.origin[i] + direction[i]));
            for sign in [1.0, -1.0] {
                for out in [1.0, -1.0] {
                    let level = x.hypot(y) < 1e-12;
                    let angle = if level { middle } else { (y * out).atan2(x * out) };
                    let reach = x.hypot(y) * out;
                    let run = meridian.nearest(centre[0] + reach * sign, centre[1] + z * sign);
                    let (u, v) = face.surface.parameters(face.surface.at(run, angle), middle);
                    let within = u > low[0] && u < high[0] && v > low[1] && v < high[1];
                    if within {
                        found.push(face.surface.at(u, v));
                    }
                }
            }
        }
        found
    }
}

/// Points of a curve, ends aside, at which a coordinate may be extreme.
fn curve_extremes(curve: &Curve) -> Vec<Vector> {
    let (frame, radii, angles) = match curve {
        Curve::Line { .. } => return Vec::new(),
        Curve::Trace(trace) => return trace.leader().to_vec(),
        Curve::Helix { .. } => return helix_extremes(curve),
        Curve::Arc { frame, radii_mm, angles_rad } => (frame, *radii_mm, *angles_rad),
    };
    let mut found = Vec::new();
    for axis in 0..3 {
        let across = (frame.y[axis] * radii[1]).atan2(frame.x[axis] * radii[0]);
        let low = angles[0].min(angles[1]);
        let first = ((low - across) / std::f64::consts::PI).ceil() as i64;
        for k in first..first + 3 {
            let angle = across + k as f64 * std::f64::consts::PI;
            let t = (angle - angles[0]) / (angles[1] - angles[0]);
            if (0.0..=1.0).contains(&t) {
                found.push(curve.at(t));
            }
        }
    }
    found
}

/// No coordinate of a helix turns back twice within this angle, rad.
const STEP_RAD: f64 = 0.1;

/// Where a coordinate of a helix turns back: not where that of a circle does, for the radius
/// changes on the way. By halving, between steps at which the coordinate goes opposite ways.
fn helix_extremes(curve: &Curve) -> Vec<Vector> {
    let steps = 1 + (curve.turn() / STEP_RAD) as usize;
    let mut found = Vec::new();
    for axis in 0..3 {
        let rises = |t: f64| curve.derivative(t)[axis] > 0.0;
        for step in 0..steps {
            let [mut from, mut to] = [step, step + 1].map(|s| s as f64 / steps as f64);
            let at_start = rises(from);
            if at_start == rises(to) {
                continue;
            }
            for _ in 0..f64::MANTISSA_DIGITS {
                let middle = (from + to) / 2.0;
                if rises(middle) == at_start { from = middle } else { to = middle }
            }
            found.push(curve.at(to));
        }
    }
    found
}

/// Distance between the boxes of two bodies along the axis that parts them most, mm;
/// below 0 where the boxes overlap.
pub(super) fn box_distance(a: &Bounds, b: &Bounds) -> f64 {
    let (low, high) = (sub(b[0], a[1]), sub(a[0], b[1]));
    (0..3).map(|axis| low[axis].max(high[axis])).fold(f64::NEG_INFINITY, f64::max)
}
