//! A slit ring as a chain of stiff links with hinges that spring, in its own plane. It turns
//! as far as it likes and does not stretch.

use super::side::Bar;
use crate::plane::Point;
use std::ops::Range;

/// So many bars that follow each other on a side, a degree, bend in one hinge.
const TOGETHER: usize = 8;

/// A turn and a shift after it.
#[derive(Clone, Copy, Debug)]
pub struct Move {
    cos: f64,
    sin: f64,
    shift: Point,
}

impl Move {
    /// By an angle about the origin, then by a way.
    pub fn new(turn: f64, shift: Point) -> Self {
        let (sin, cos) = turn.sin_cos();
        Move { cos, sin, shift }
    }

    /// Where a direction shows after it.
    pub fn direction(&self, p: Point) -> Point {
        Point::new(self.cos * p.x - self.sin * p.y, self.sin * p.x + self.cos * p.y)
    }

    /// Where a point is after it.
    pub fn point(&self, p: Point) -> Point {
        self.direction(p) + self.shift
    }

    /// This one, then another.
    pub fn then(&self, next: &Move) -> Move {
        let Point { x, y } = next.direction(Point::new(self.cos, self.sin));
        Move { cos: x, sin: y, shift: next.point(self.shift) }
    }

    /// What undoes it.
    pub fn inverse(&self) -> Move {
        let back = Move { cos: self.cos, sin: -self.sin, shift: Point::default() };
        Move { shift: -back.direction(self.shift), ..back }
    }

    /// This one after a turn about a point that is known before it.
    pub fn hinged(&self, about: Point, turn: f64) -> Move {
        let turned = Move::new(turn, Point::default());
        Move { shift: about - turned.direction(about), ..turned }.then(self)
    }
}

/// Where a chain bends: link k is before hinge k, link k + 1 after it.
#[derive(Clone, Debug)]
pub struct Hinge {
    /// At rest, mm.
    pub at: Point,
    /// Turn, rad, for a moment over the modulus of 1 mm3.
    pub soft: f64,
    /// The bars that bend there.
    pub bars: Range<usize>,
    /// Which side of the ring it is on, from the first tip.
    pub side: usize,
}

/// A point of the inner outline.
#[derive(Clone, Copy, Debug)]
pub struct Vertex {
    /// At rest, mm.
    pub at: Point,
    /// The link that it goes with.
    pub link: usize,
    /// How many bars are before it.
    pub arc: f64,
}

/// A ring over flat sides, unbent.
pub struct Chain {
    /// From one tip to the other.
    pub bars: Vec<Bar>,
    /// In this order, too.
    pub hinges: Vec<Hinge>,
    /// The inner outline in this order, too: where the bars of each hinge begin and end.
    pub outline: Vec<[Vertex; 2]>,
    /// The hinges of each side.
    pub sides: Vec<Range<usize>>,
    /// Middles of the two end faces, mm.
    pub tips: [Point; 2],
}

/// How a chain lies: the moves of its links from where they are at rest.
pub struct Pose {
    /// One more than hinges.
    pub links: Vec<Move>,
    /// Turns of the hinges, rad; anticlockwise.
    pub turns: Vec<f64>,
}

/// A force on a chain.
#[derive(Clone, Copy, Debug)]
pub struct Push {
    /// Where, mm.
    pub at: Point,
    /// Over the modulus, mm2.
    pub force: Point,
    /// How many bars are before it.
    pub arc: f64,
}

/// A peak of strain.
#[derive(Clone, Copy, Debug)]
pub struct Peak {
    /// As a ratio.
    pub strain: f64,
    /// Round the ring from its slit, rad.
    pub at: f64,
}

impl Chain {
    /// A chain of bars whose inner outline keeps a distance from the axis, square to the
    /// sides, of which each is `half_width` to either side for a distance of 1.
    pub fn new(bars: Vec<Bar>, inner: f64, half_width: f64) -> Option<Self> {
        let (first, last) = (bars.first()?, bars.last()?);
        let tips = [
            on_side(first, first.section.centroid, first.from),
            on_side(last, last.section.centroid, last.to),
        ];
        let mut hinges: Vec<Hinge> = Vec::new();
        let mut outline = Vec::new();
        let mut sides: Vec<Range<usize>> = Vec::new();
        let most = inner * half_width;
        let count = bars.len();
        let mut from = 0;
        while from < count {
            let same = bars[from..].iter().take_while(|b| b.facing == bars[from].facing).count();
            let to = from + same.min(TOGETHER);
            let soft: f64 = bars[from..to].iter().map(Bar::flexibility).sum();
            let share = |bar: &Bar| middle(bar) * (bar.flexibility() / soft);
            let at = bars[from..to].iter().map(share).fold(Point::default(), |a, b| a + b);
            let vertex = |bar: &Bar, reach: f64, k: usize, link: usize| {
                let at = on_side(bar, inner, reach.clamp(-most, most));
                Vertex { at, link, arc: k as f64 }
            };
            let here = hinges.len();
            outline.push([
                vertex(&bars[from], bars[from].from, from, here),
                vertex(&bars[to - 1], bars[to - 1].to, to, here + 1),
            ]);
            match sides.last_mut() {
                Some(side) if from > 0 && bars[from].facing == bars[from - 1].facing => {
                    side.end += 1
                }
                _ => sides.push(here..here + 1),
            }
            let side = sides.len() - 1;
            hinges.push(Hinge { at, soft, bars: from..to, side });
            from = to;
        }
        Some(Chain { bars, hinges, outline, sides, tips })
    }

    /// The link that stays where it is when the ring opens: the one opposite the slit.
    pub fn back(&self) -> usize {
        self.hinges.len() / 2
    }

    /// The pose with given turns of which a link has made a move.
    pub fn pose(&self, turns: Vec<f64>, held: usize, moved: Move) -> Pose {
        let mut links = Vec::with_capacity(turns.len() + 1);
        links.push(Move::new(0.0, Point::default()));
        for (hinge, turn) in self.hinges.iter().zip(&turns) {
            let before = links[links.len() - 1];
            links.push(before.hinged(hinge.at, *turn));
        }
        let shift = links[held].inverse().then(&moved);
        links.iter_mut().for_each(|link| *link = link.then(&shift));
        Pose { links, turns }
    }

    /// Where the inner outline is.
    pub fn inside(&self, pose: &Pose) -> Vec<[Point; 2]> {
        let at = |v: &Vertex| pose.links[v.link].point(v.at);
        self.outline.iter().map(|ends| [at(&ends[0]), at(&ends[1])]).collect()
    }

    /// How much farther the tips are apart than at rest, mm.
    pub fn opening(&self, pose: &Pose) -> f64 {
        let [a, b] = self.ends(pose);
        a.distance(b) - self.tips[0].distance(self.tips[1])
    }

    /// Where the tips are.
    pub fn ends(&self, pose: &Pose) -> [Point; 2] {
        let last = pose.links.len() - 1;
        [pose.links[0].point(self.tips[0]), pose.links[last].point(self.tips[1])]
    }

    /// The larger strain of the innermost and outermost fibres, bar by bar, under forces that
    /// balance.
    pub fn peak(&self, pose: &Pose, pushes: &[Push]) -> Peak {
        let mut peak = Peak { strain: 0.0, at: 0.0 };
        for (k, hinge) in self.hinges.iter().enumerate() {
            for index in hinge.bars.clone() {
                let bar = &self.bars[index];
                let rest = middle(bar);
                // Bars bend one after the other: the middle one half as far as their hinge.
                let [before, after] = [&pose.links[k], &pose.links[k + 1]];
                let at = (before.point(rest) + after.point(rest)) * 0.5;
                let way = Point::new(-bar.facing.sin(), bar.facing.cos());
                let way = (before.direction(way) + after.direction(way)) * 0.5;
                let (mut moment, mut pull) = (0.0, 0.0);
                for push in pushes.iter().filter(|push| push.arc > index as f64 + 0.5) {
                    moment += (push.at - at).cross(push.force);
                    pull += way.dot(push.force);
                }
                let s = &bar.section;
                // A moment that turns what follows anticlockwise presses the inner fibre.
                let fibres = [s.inner, s.outer]
                    .map(|r| (moment * (r - s.centroid) / s.inertia + pull / s.area).abs());
                let strain = fibres[0].max(fibres[1]);
                if strain > peak.strain {
                    peak = Peak { strain, at: rest.y.atan2(rest.x).abs() };
                }
            }
        }
        peak
    }
}

/// A point of a bar at rest: so far out, and so far along its side.
fn on_side(bar: &Bar, out: f64, along: f64) -> Point {
    let (sin, cos) = bar.facing.sin_cos();
    Point::new(out * cos - along * sin, out * sin + along * cos)
}

/// The middle of a bar at rest.
fn middle(bar: &Bar) -> Point {
    on_side(bar, bar.section.centroid, (bar.from + bar.to) / 2.0)
}
