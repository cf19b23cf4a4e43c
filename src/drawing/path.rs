//! Path data: `d="M 0 0 L 10 0 …"` (SVG 1.1, 8.3).

use super::bends::{Bend, Run, elliptic};
use super::numbers::Numbers;
use crate::plane::Point;

/// Where path data cannot be read: bytes from its start, and what was wanted.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct BadData {
    pub(super) at: usize,
    pub(super) what: String,
}

struct Pen {
    runs: Vec<Run>,
    at: Point,
    start: Point,
    /// The control point that a smooth command mirrors, and of which degree.
    mirror: Option<(Point, bool)>,
    open: bool,
}

/// All runs of path data.
pub(super) fn runs(data: &str) -> Result<Vec<Run>, BadData> {
    let mut numbers = Numbers::new(data);
    let origin = Point::default();
    let mut pen = Pen { runs: Vec::new(), at: origin, start: origin, mirror: None, open: false };
    let mut command: Option<char> = None;
    while !numbers.done() {
        let place = numbers.place();
        let wants = |what: String| BadData { at: place, what };
        let next = match (numbers.letter(), command) {
            (Some(letter), _) => letter,
            // Numbers without a letter repeat the command; a move goes on as lines.
            (None, Some('M')) => 'L',
            (None, Some('m')) => 'l',
            (None, Some(last)) if !last.eq_ignore_ascii_case(&'z') => last,
            _ => return Err(wants("a command is wanted here".to_string())),
        };
        if command.is_none() && !next.eq_ignore_ascii_case(&'m') {
            return Err(wants("path data begins with M".to_string()));
        }
        if !"mlhvcsqtaz".contains(next.to_ascii_lowercase()) {
            return Err(wants(format!("`{next}` is no command of path data")));
        }
        if pen.step(next, &mut numbers).is_none() {
            numbers.skip_comma();
            let at = numbers.place();
            return Err(BadData { at, what: format!("`{next}` wants another number here") });
        }
        command = Some(next);
    }
    Ok(pen.runs)
}

impl Pen {
    fn point(&self, numbers: &mut Numbers<'_>, relative: bool) -> Option<Point> {
        let point = Point::new(numbers.number()?, numbers.number()?);
        Some(if relative { self.at + point } else { point })
    }

    fn add(&mut self, bend: Bend, to: Point) {
        if !self.open {
            self.runs.push(Run { start: self.at, bends: Vec::new(), closed: false });
            self.open = true;
        }
        if let Some(run) = self.runs.last_mut() {
            run.bends.push(bend);
        }
        self.at = to;
    }

    fn mirrored(&self, cubic: bool) -> Point {
        match self.mirror {
            Some((control, of_cubic)) if of_cubic == cubic => self.at * 2.0 - control,
            _ => self.at,
        }
    }

    fn cubic(&mut self, b: Point, c: Point, to: Point) {
        self.add(Bend::Cubic(b, c, to), to);
        self.mirror = Some((c, true));
    }

    /// A quadratic curve is a cubic whose controls lie two thirds of the way to its one.
    fn quadratic(&mut self, control: Point, to: Point) {
        let toward = |p: Point| p + (control - p) * (2.0 / 3.0);
        self.add(Bend::Cubic(toward(self.at), toward(to), to), to);
        self.mirror = Some((control, false));
    }

    fn step(&mut self, command: char, numbers: &mut Numbers<'_>) -> Option<()> {
        let relative = command.is_ascii_lowercase();
        let mirror = self.mirror;
        match command.to_ascii_lowercase() {
            'm' => {
                self.at = self.point(numbers, relative)?;
                self.start = self.at;
                self.open = false;
            }
            'z' => {
                match self.runs.last_mut().filter(|_| self.open) {
                    Some(run) => run.closed = true,
                    None => return Some(()),
                }
                self.at = self.start;
                self.open = false;
            }
            'l' => {
                let to = self.point(numbers, relative)?;
                self.add(Bend::Line(to), to);
            }
            'h' | 'v' => {
                let value = numbers.number()?;
                let base = if relative { self.at } else { Point::default() };
                let to = match command.to_ascii_lowercase() {
                    'h' => Point::new(base.x + value, self.at.y),
                    _ => Point::new(self.at.x, base.y + value),
                };
                self.add(Bend::Line(to), to);
            }
            'c' => {
                let b = self.point(numbers, relative)?;
                let c = self.point(numbers, relative)?;
                let to = self.point(numbers, relative)?;
                self.cubic(b, c, to);
                return Some(());
            }
            's' => {
                let b = self.mirrored(true);
                let c = self.point(numbers, relative)?;
                let to = self.point(numbers, relative)?;
                self.cubic(b, c, to);
                return Some(());
            }
            'q' => {
                let control = self.point(numbers, relative)?;
                let to = self.point(numbers, relative)?;
                self.quadratic(control, to);
                return Some(());
            }
            't' => {
                let control = self.mirrored(false);
                let to = self.point(numbers, relative)?;
                self.quadratic(control, to);
                return Some(());
            }
            _ => {
                let radii = [numbers.number()?, numbers.number()?];
                let turn = numbers.number()?.to_radians();
                let flags = [numbers.flag()?, numbers.flag()?];
                let to = self.point(numbers, relative)?;
                self.add(elliptic(self.at, radii, turn, flags, to), to);
            }
        }
        if self.mirror == mirror {
            self.mirror = None;
        }
        Some(())
    }
}
