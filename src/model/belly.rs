//! Bellied faces: lines and arcs of a turned profile that run smoothly into each other.

use crate::plane::{Curve, Point, Stretch};

/// The line that is turned: smooth, and never level. x is the radius, y the height.
#[derive(Clone, Debug, PartialEq)]
pub struct Meridian {
    /// From below upwards, each as it runs in the profile of its body.
    steps: Vec<Stretch>,
}

/// Directions that differ by less run smoothly into each other, rad. A corner of as much is
/// a hundred times flatter than that between two facets.
const SMOOTH_RAD: f64 = 1e-4;

/// A meridian that leans by more from the vertical is level, as a sine of its rise: level
/// depths would be more than six times as long as square ones.
const LEVEL: f64 = 0.16;

/// Ends of steps that differ by less meet, mm.
const MEET_MM: f64 = 1e-6;

/// How far the solution of a height is off, mm: rounding of 100 mm is a hundredth of it.
const SOLVED_MM: f64 = 1e-12;

impl Meridian {
    /// The meridian of these steps of a profile; none where they do not follow each other
    /// smoothly, are level somewhere, or run partly up and partly down.
    pub fn of(steps: &[Stretch]) -> Option<Meridian> {
        let mut steps = steps.to_vec();
        let rises = steps.first()?.to.y > steps[0].from.y;
        let up =
            |s: &Stretch, share: f64| if rises { s.direction(share) } else { -s.direction(share) };
        // A direction turns one way along an arc: what holds at both ends holds between.
        let steep = |s: &Stretch| {
            s.sweep().abs() < std::f64::consts::PI && [0.0, 1.0].iter().all(|t| up(s, *t).y > LEVEL)
        };
        if !steps.iter().all(steep) {
            return None;
        }
        steps.sort_by(|a, b| a.from.y.total_cmp(&b.from.y));
        let (last, first) = if rises { (1.0, 0.0) } else { (0.0, 1.0) };
        let follows = |pair: &[Stretch]| {
            let turn = up(&pair[0], last).cross(up(&pair[1], first));
            pair[0].at(last).distance(pair[1].at(first)) < MEET_MM && turn.abs() < SMOOTH_RAD
        };
        steps.windows(2).all(follows).then_some(Meridian { steps })
    }

    /// Its steps from below upwards, each as it runs in the profile.
    pub fn steps(&self) -> &[Stretch] {
        &self.steps
    }

    /// Lowest and highest z, mm.
    pub fn span_mm(&self) -> [f64; 2] {
        let ends = self.steps.iter().flat_map(|s| [s.from.y, s.to.y]);
        ends.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], y| [a.min(y), b.max(y)])
    }

    /// The direction away from the axis, square to a step at one of its points, length 1.
    fn outwards(step: &Stretch, at: Point) -> Point {
        let out = match step.curve {
            Curve::Line => (step.to - step.from).unit().left(),
            Curve::Arc { centre, .. } => (at - centre).unit(),
        };
        if out.x < 0.0 { -out } else { out }
    }

    /// 1 where a step bulges away from the axis, -1 where it is a waist, 0 where straight.
    fn bulge(step: &Stretch) -> f64 {
        match step.curve {
            Curve::Line => 0.0,
            Curve::Arc { centre, .. } => (step.at(0.5).x - centre.x).signum(),
        }
    }

    /// The step of the parallel `out_mm` away from the axis at a height; the end ones go on
    /// beyond their ends.
    fn step_at(&self, z: f64, out_mm: f64) -> &Stretch {
        let last = self.steps.len() - 1;
        let ends_above = |step: &&Stretch| {
            let top = if step.to.y > step.from.y { step.to } else { step.from };
            z <= top.y + out_mm * Meridian::outwards(step, top).y
        };
        self.steps[..last].iter().find(ends_above).unwrap_or(&self.steps[last])
    }

    /// Radius at a height of the parallel `out_mm` away from the axis, mm. Arcs have their
    /// radius times `wider`: 1, or what a polygon of the same area takes.
    pub fn parallel_mm(&self, z: f64, out_mm: f64, wider: f64) -> f64 {
        let step = self.step_at(z, out_mm);
        match (step.curve, step.radius()) {
            (Curve::Arc { centre, .. }, Some(radius)) => {
                let bulge = Meridian::bulge(step);
                let radius = (radius + bulge * out_mm) * wider;
                let rise = z - centre.y;
                centre.x + bulge * ((radius - rise) * (radius + rise)).max(0.0).sqrt()
            }
            _ => {
                let out = Meridian::outwards(step, step.from);
                let along = step.to - step.from;
                let foot = step.from + out * out_mm;
                foot.x + (z - foot.y) * along.x / along.y
            }
        }
    }

    /// Radius at a height, mm.
    pub fn radius_mm(&self, z: f64) -> f64 {
        self.parallel_mm(z, 0.0, 1.0)
    }

    /// Change of the radius per mm of height.
    pub fn slope(&self, z: f64) -> f64 {
        let step = self.step_at(z, 0.0);
        match step.curve {
            Curve::Arc { centre, .. } => {
                let across = self.radius_mm(z) - centre.x;
                if across == 0.0 { 0.0 } else { (centre.y - z) / across }
            }
            Curve::Line => (step.to.x - step.from.x) / (step.to.y - step.from.y),
        }
    }

    /// Where a point of the plane lies beside the meridian: how far away from the axis, mm,
    /// and the direction in which it is so.
    pub fn beside(&self, point: Point) -> (f64, Point) {
        let found = self.steps.iter().map(|step| {
            // The foot of the point; beyond an end of the whole meridian its line goes on.
            let foot = match step.curve {
                Curve::Arc { centre, .. } => {
                    centre + (point - centre).unit() * step.radius().unwrap_or(0.0)
                }
                Curve::Line => {
                    let along = (step.to - step.from).unit();
                    step.from + along * (point - step.from).dot(along)
                }
            };
            let out = Meridian::outwards(step, foot);
            let share = step.share(foot);
            let off = (share - share.clamp(0.0, 1.0)).abs() * step.length();
            (off, (point - foot).dot(out), out)
        });
        let nearest =
            found.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.abs().total_cmp(&b.1.abs())));
        nearest.map_or((0.0, Point::new(1.0, 0.0)), |(_, height, out)| (height, out))
    }

    /// The least radius of the parallel between two heights, mm.
    pub fn least_mm(&self, [low, high]: [f64; 2], out_mm: f64) -> f64 {
        let joints = self.steps.iter().flat_map(|step| {
            let centre = match step.curve {
                Curve::Arc { centre, .. } => Some(centre.y),
                Curve::Line => None,
            };
            [Some(step.from.y), Some(step.to.y), centre].into_iter().flatten()
        });
        let inside = joints.filter(|z| *z > low && *z < high);
        let all = inside.chain([low, high]).map(|z| self.parallel_mm(z, out_mm, 1.0));
        all.fold(f64::INFINITY, f64::min)
    }

    /// The least and the greatest slope between two heights.
    pub fn slopes(&self, [low, high]: [f64; 2]) -> [f64; 2] {
        let joints = self.steps.iter().flat_map(|step| [step.from.y, step.to.y]);
        let inside = joints.filter(|z| *z > low && *z < high);
        let all = inside.chain([low, high]).map(|z| self.slope(z));
        all.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], s| [a.min(s), b.max(s)])
    }

    /// The tightest bend that grows tighter away from the axis by `out_mm` (towards it where
    /// below 0): the radius that is left of it, mm. Infinite where nothing bends so.
    pub fn tightest_mm(&self, out_mm: f64) -> f64 {
        let left = self.steps.iter().filter_map(|step| {
            let tightens = Meridian::bulge(step) * out_mm;
            (tightens < 0.0).then(|| step.radius().map(|radius| radius + tightens)).flatten()
        });
        left.fold(f64::INFINITY, f64::min)
    }
}

/// The meridian seen so that depth runs towards lesser x and ceilings hang from greater y:
/// cones of one angle cut it once.
#[derive(Clone, Copy, Debug)]
pub struct Seen<'a> {
    /// The meridian.
    pub meridian: &'a Meridian,
    /// 1 where depth runs towards the axis, else -1.
    pub sense: f64,
    /// Whether ceilings are the lower edges.
    pub lower: bool,
    /// Steepest ceiling, from the vertical, rad.
    pub angle_rad: f64,
}

impl Seen<'_> {
    /// y of a height, or the height of a y.
    pub fn turned(&self, z: f64) -> f64 {
        if self.lower { -z } else { z }
    }

    /// Signed distance, along the axis and square to them, of the ceiling cone through the
    /// point of the face at y: it grows with y where the face hangs over less than a ceiling.
    pub fn cone_mm(&self, y: f64) -> f64 {
        let (sin, cos) = self.angle_rad.sin_cos();
        y * sin - self.sense * self.meridian.radius_mm(self.turned(y)) * cos
    }

    /// The y at which the ceiling from the point of the face at y meets the parallel
    /// `depth_mm` below the face.
    pub fn foot(&self, y: f64, depth_mm: f64) -> f64 {
        let (sin, cos) = self.angle_rad.sin_cos();
        let cone_mm = self.cone_mm(y);
        let below = |v: f64| {
            let radius = self.meridian.parallel_mm(self.turned(v), -self.sense * depth_mm, 1.0);
            v * sin - self.sense * radius * cos
        };
        solved(y, |v| below(v) - cone_mm)
    }

    /// The y at which the ceiling from the point of the face at y comes out of another line,
    /// given as its radius at every y.
    pub fn through(&self, y: f64, radius: impl Fn(f64) -> f64) -> f64 {
        let (sin, cos) = self.angle_rad.sin_cos();
        let cone_mm = self.cone_mm(y);
        solved(y, |v| v * sin - self.sense * radius(v) * cos - cone_mm)
    }

    /// How far the face itself hangs over between two heights: the greatest change of x per mm
    /// of y.
    pub fn hanging(&self, span: [f64; 2]) -> f64 {
        let [least, most] = self.meridian.slopes(span);
        let signed = if self.lower { -self.sense } else { self.sense };
        (signed * least).max(signed * most)
    }

    /// The y of the face whose cone lies at `cone_mm`, sought from `near`.
    pub fn of_cone(&self, cone_mm: f64, near: f64) -> f64 {
        solved(near, |y| self.cone_mm(y) - cone_mm)
    }
}

/// Where an increasing function passes 0, sought from a place near it.
pub fn solved(near: f64, value: impl Fn(f64) -> f64) -> f64 {
    let at = value(near);
    if at == 0.0 {
        return near;
    }
    // Step out until the sign changes, then by false position, halving the stale end.
    let (mut a, mut fa) = (near, at);
    let mut step = at.abs().max(1e-6) * if at > 0.0 { -1.0 } else { 1.0 };
    let (mut b, mut fb) = (near, at);
    for _ in 0..60 {
        b = a + step;
        fb = value(b);
        if (fb > 0.0) != (at > 0.0) || fb == 0.0 {
            break;
        }
        (a, fa) = (b, fb);
        step *= 2.0;
    }
    for _ in 0..80 {
        if (b - a).abs() <= SOLVED_MM || fb == fa {
            break;
        }
        let c = b - fb * (b - a) / (fb - fa);
        let fc = value(c);
        if fc == 0.0 {
            return c;
        }
        if (fc > 0.0) == (fb > 0.0) {
            fa /= 2.0;
        } else {
            (a, fa) = (b, fb);
        }
        (b, fb) = (c, fc);
    }
    b
}

#[cfg(test)]
#[path = "belly_tests.rs"]
mod tests;
