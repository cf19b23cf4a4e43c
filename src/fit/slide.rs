//! A slit ring over flat sides, opened by hand until it passes over its host, and riding on
//! its rim.
//!
//! A ring that does not stretch has no place for its corners on the corners of a larger host:
//! they slide off along its sides by millimetres, and the host's corners press on the
//! straight sides of the ring. Small shifts do not tell that; the shape is found as it is.

use super::chain::{Chain, Hinge, Move, Peak, Pose, Push};
use super::clear::{Host, Touch};
use super::press::{Pressed, largest, moved, press};
use crate::plane::Point;

/// First pull: it would turn the hinges by so much in all if nothing moved, rad.
const FIRST_RAD: f64 = 0.2;

/// Bound on pulls before the ring is clear: by then it would have turned inside out.
const PULLS: usize = 40;

/// Bound on steps towards the least pull.
const NARROWED: usize = 60;

/// A ring is just clear when no more is missing, mm.
const CLEAR_MM: f64 = 1e-6;

/// A ring that is clear by more at the pull that seemed the least was not where it likes to
/// be, mm.
const ROOM_MM: f64 = 1e-4;

/// So often a lesser pull is looked for.
const ANEW: usize = 3;

/// Turns that the ring tries from where it was, in sides.
const TURNS: [f64; 3] = [0.0, -1.0 / 12.0, 1.0 / 12.0];

/// Bound on steps of a shape that is looked for.
const STEPS: usize = 50;

/// Only what is so near to the host can touch it in the next step, mm.
const NEAR_MM: f64 = 1.0;

/// Most of a step to the next contacts: turn of any link, rad, and way of the whole, mm.
const STEP: (f64, f64) = (0.15, 2.0);

/// Turns that change by less, as a share of their largest, have been found.
const FOUND: f64 = 1e-6;

/// What riding rings may overlap, mm: what the straight lines between the points looked at
/// leave out.
const OVERLAP_MM: f64 = 0.01;

/// A ring over its host.
pub struct Slide<'a> {
    /// The ring.
    pub chain: &'a Chain,
    /// What it must pass.
    pub host: &'a Host,
}

/// A ring held or held open.
pub struct Slid {
    /// Growth of the slit, mm.
    pub opening_mm: f64,
    /// Where it is strained most.
    pub peak: Peak,
    /// How it lies over its host.
    pub pose: Pose,
}

/// A chain under a pull along the line of its tips.
pub struct Pulled {
    /// With the first tip at the origin and the other one straight below it.
    pub pose: Pose,
    /// What pulls the other one down, over the modulus, mm2.
    pub push: Push,
    /// The turn of the first link, rad.
    pub lead: f64,
}

/// A chain whose tips are pulled apart by a force over the modulus (mm2), found from the
/// turn of its first link under a little less; none if it is not found.
pub fn pull(chain: &Chain, force: f64, lead: f64) -> Option<Pulled> {
    let reach = |lead: f64| -> (Pose, Point) {
        let start = Move::new(lead, Point::default());
        let mut link = Move::new(lead, -start.direction(chain.tips[0]));
        let mut links = vec![link];
        let mut turns = Vec::with_capacity(chain.hinges.len());
        for hinge in &chain.hinges {
            // The moment of the pull: the distance from its line.
            let turn = force * link.point(hinge.at).x * hinge.soft;
            link = link.hinged(hinge.at, turn);
            links.push(link);
            turns.push(turn);
        }
        (Pose { links, turns }, link.point(chain.tips[1]))
    };
    // The secant method for the turn with which the last tip comes below the first one.
    let span = chain.tips[0].length();
    let (mut a, mut b) = (lead, lead + 1e-3);
    let mut off = reach(a).1.x;
    for _ in 0..STEPS {
        let (pose, tip) = reach(b);
        if tip.x.abs() < 1e-10 * span {
            let push = Push { at: tip, force: Point::new(0.0, -force), arc: f64::INFINITY };
            return (tip.y < 0.0).then_some(Pulled { pose, push, lead: b });
        }
        let next = b - tip.x * (b - a) / (tip.x - off);
        if !next.is_finite() {
            return None;
        }
        (a, off, b) = (b, tip.x, next.clamp(b - 0.2, b + 0.2));
    }
    None
}

/// The turn of the first link of a chain that nothing pulls.
pub fn lead(chain: &Chain) -> f64 {
    let way = chain.tips[1] - chain.tips[0];
    -std::f64::consts::FRAC_PI_2 - way.y.atan2(way.x)
}

impl Slide<'_> {
    /// Opened by the least pull with which it lies outside the host, moved as suits it best;
    /// none if that is not found.
    pub fn pulled(&self) -> Option<Slid> {
        let chain = self.chain;
        let lever = |h: &Hinge| (chain.tips[0].x - h.at.x).abs() * h.soft;
        let first = FIRST_RAD / chain.hinges.iter().map(lever).sum::<f64>();
        let side = std::f64::consts::TAU / self.host.sides() as f64;
        let starts = TURNS.map(|turn| Move::new(turn * side, Point::default()));
        let mut low = self.laid(pull(chain, 0.0, lead(chain))?, starts);
        let mut high = None;
        for step in 1..=PULLS {
            if low.clear >= 0.0 {
                break;
            }
            let next = self.laid(pull(chain, first * step as f64, low.pulled.lead)?, starts);
            if next.clear >= 0.0 {
                high = Some(next);
                break;
            }
            low = next;
        }
        let mut best = match high {
            None if low.clear < 0.0 => return None,
            None => low,
            Some(high) => self.least(low, high, starts)?,
        };
        let opening_mm = chain.opening(&best.pulled.pose).max(0.0);
        let peak = chain.peak(&best.pulled.pose, &[best.pulled.push]);
        let links = &mut best.pulled.pose.links;
        links.iter_mut().for_each(|link| *link = link.then(&best.by));
        let pose = best.pulled.pose;
        (self.lies_round(&pose) && !self.overlaps(&pose)).then_some(Slid { opening_mm, peak, pose })
    }

    /// The least pull between one that is too little and one that is not. From where it was
    /// at first the ring may find more room than on from move to move: then once more.
    fn least(&self, mut low: Laid, high: Laid, starts: [Move; TURNS.len()]) -> Option<Laid> {
        let (least, lead) = (low.force(), low.pulled.lead);
        let mut found = self.narrowed(low, high)?;
        for _ in 0..ANEW {
            let anew = self.laid(pull(self.chain, found.force(), found.pulled.lead)?, starts);
            if anew.clear < ROOM_MM {
                break;
            }
            low = self.laid(pull(self.chain, least, lead)?, anew.moves);
            if low.clear >= 0.0 {
                return None;
            }
            found = self.narrowed(low, anew)?;
        }
        Some(found)
    }

    /// The least pull between one that is too little and one that is not (the Illinois
    /// method, halved where that is slow).
    fn narrowed(&self, mut low: Laid, mut high: Laid) -> Option<Laid> {
        let (mut below, mut above) = (low.clear, high.clear);
        for step in 0..NARROWED {
            if high.clear < CLEAR_MM {
                return Some(high);
            }
            let (a, b) = (low.force(), high.force());
            let share = if step % 3 == 2 { 0.5 } else { below / (below - above) };
            let between = a + (b - a) * share;
            let middle = self.laid(pull(self.chain, between, low.pulled.lead)?, high.moves);
            if middle.clear >= 0.0 {
                below = if above == high.clear { below } else { below / 2.0 };
                above = middle.clear;
                high = middle;
            } else {
                above /= 2.0;
                below = middle.clear;
                low = middle;
            }
            if high.force() - low.force() < FOUND * high.force() {
                return Some(high);
            }
        }
        None
    }

    /// A pulled ring laid round the host as suits it best, near one of several moves of the
    /// link at its back.
    fn laid(&self, pulled: Pulled, near: [Move; TURNS.len()]) -> Laid {
        let bent = self.chain.inside(&pulled.pose);
        let back = pulled.pose.links[self.chain.back()];
        let home = back.inverse();
        let tried = near.map(|near| self.host.settled(self.chain, &bent, home.then(&near)));
        let mut best = tried[0];
        for next in tried {
            // Mirrored ways are as good but for rounding: the first one of them.
            if next.1 > best.1 + CLEAR_MM / 10.0 {
                best = next;
            }
        }
        let moves = tried.map(|(by, _)| back.then(&by));
        Laid { pulled, by: best.0, clear: best.1, moves }
    }

    /// Riding by itself on the host, without friction, let go from a pose; none if that is
    /// not found. The contacts of one shape give the next shape.
    pub fn riding(&self, from: Pose) -> Option<Slid> {
        let (chain, back) = (self.chain, self.chain.back());
        let mut pose = from;
        for _ in 0..STEPS {
            let step = self.step(&pose)?;
            let share = step.share(back);
            let turns = pose.turns.iter().zip(&step.turns).map(|(t, d)| t + share * d).collect();
            let [x, y, turn] = step.moved.map(|m| m * share);
            let held = pose.links[back].then(&Move::new(turn, Point::new(x, y)));
            let most = pose.turns.iter().fold(0.0, |a: f64, t| a.max(t.abs()));
            let changed = step.turns.iter().fold(0.0, |a: f64, t| a.max(t.abs()));
            pose = chain.pose(turns, back, held);
            if share == 1.0 && changed <= FOUND * most {
                if self.overlaps(&pose) || !self.lies_round(&pose) {
                    return None;
                }
                let peak = chain.peak(&pose, &step.pushes);
                return Some(Slid { opening_mm: chain.opening(&pose).max(0.0), peak, pose });
            }
        }
        None
    }

    /// Whether a ring is within its host somewhere, as far as can be told from all its points.
    fn overlaps(&self, pose: &Pose) -> bool {
        let inside = self.chain.inside(pose);
        let touches = self.host.touches(self.chain, &inside);
        let points = inside.iter().flatten().map(|p| self.host.outside(*p));
        points.chain(touches.iter().map(|t| t.gap)).any(|gap| gap < -OVERLAP_MM)
    }

    /// Whether the axis of the host is within the ring and the line that closes its slit: one
    /// that has sprung off is clear of its host, too.
    fn lies_round(&self, pose: &Pose) -> bool {
        let inside: Vec<Point> = self.chain.inside(pose).into_iter().flatten().collect();
        let next = inside.iter().cycle().skip(1);
        let turned = |(p, q): (&Point, &Point)| p.cross(*q).atan2(p.dot(*q));
        inside.iter().zip(next).map(turned).sum::<f64>() > std::f64::consts::PI
    }

    /// How a shape wants to change, and what presses on it.
    fn step(&self, pose: &Pose) -> Option<Step> {
        let inside = self.chain.inside(pose);
        let touches: Vec<Touch> = self
            .host
            .touches(self.chain, &inside)
            .into_iter()
            .filter(|t| t.gap < NEAR_MM)
            .collect();
        let hinges: Vec<Point> =
            self.chain.hinges.iter().zip(&pose.links).map(|(h, link)| link.point(h.at)).collect();
        let soft: Vec<f64> = self.chain.hinges.iter().map(|h| h.soft).collect();
        let arms: Vec<Vec<f64>> = touches.iter().map(|t| self.arms(t, &hinges)).collect();
        let apothem = self.host.apothem;
        let free: Vec<[f64; 3]> = touches
            .iter()
            .map(|t| [t.normal.x, t.normal.y, t.at.cross(t.normal) / apothem])
            .collect();
        let wanted: Vec<f64> =
            touches.iter().zip(&arms).map(|(t, arms)| dot(arms, &pose.turns) - t.gap).collect();
        let pressed = Pressed { wanted: &wanted, arms: &arms, soft: &soft };
        let forces = press(&pressed, |i, k| dot(&free[i], &free[k]))?;
        let sum = |of: &dyn Fn(usize) -> f64| -> f64 {
            forces.iter().enumerate().map(|(k, force)| force * of(k)).sum()
        };
        let turns =
            (0..soft.len()).map(|h| soft[h] * sum(&|k| arms[k][h]) - pose.turns[h]).collect();
        let whole = moved(largest(&pressed));
        let [x, y, turn] = [0, 1, 2].map(|c| whole * sum(&|k| free[k][c]));
        let pushes = touches.iter().zip(&forces).filter(|(_, force)| **force > 0.0);
        let pushes =
            pushes.map(|(t, force)| Push { at: t.at, force: t.normal * *force, arc: t.arc });
        Some(Step { turns, moved: [x, y, turn / apothem], pushes: pushes.collect() })
    }

    /// Moments at the hinges between the back and a touch for a unit force there.
    fn arms(&self, touch: &Touch, hinges: &[Point]) -> Vec<f64> {
        let back = self.chain.back();
        let arm = |(k, hinge): (usize, &Point)| {
            let lever = (touch.at - *hinge).cross(touch.normal);
            let [near, far] = touch.links.map(|link| {
                if (back..link).contains(&k) {
                    lever
                } else if (link..back).contains(&k) {
                    -lever
                } else {
                    0.0
                }
            });
            near + touch.share * (far - near)
        };
        hinges.iter().enumerate().map(arm).collect()
    }
}

/// A pulled ring, and how it was moved over its host.
struct Laid {
    pulled: Pulled,
    by: Move,
    /// How far it is clear, mm.
    clear: f64,
    /// Where its back was moved to, from each start.
    moves: [Move; TURNS.len()],
}

impl Laid {
    /// What pulls, over the modulus, mm2.
    fn force(&self) -> f64 {
        -self.pulled.push.force.y
    }
}

/// How a shape wants to change.
struct Step {
    turns: Vec<f64>,
    /// x, y, mm, and turn about the axis, rad.
    moved: [f64; 3],
    pushes: Vec<Push>,
}

impl Step {
    /// How much of it may be made at once.
    fn share(&self, back: usize) -> f64 {
        let most = |turns: &mut dyn Iterator<Item = &f64>| {
            let mut sum: f64 = 0.0;
            turns.fold(0.0, |most: f64, turn| {
                sum += turn;
                most.max(sum.abs())
            })
        };
        let turned =
            most(&mut self.turns[back..].iter()).max(most(&mut self.turns[..back].iter().rev()));
        let way = self.moved[0].hypot(self.moved[1]);
        (STEP.0 / turned).min(STEP.1 / way).min(1.0)
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
