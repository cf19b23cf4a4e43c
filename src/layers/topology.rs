//! What must come out, told from the strips alone, before any geometry.

use super::THIN_MM;
use crate::plane::{Interval, Strips};

/// Pieces and holes of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Topology {
    /// Connected regions.
    pub pieces: usize,
    /// Loops that cannot be drawn together: windows, and the way round a ring. The sum of
    /// the genus of the bodies that have this section.
    pub holes: usize,
}

/// Pieces and holes of the section after every bar has lost `drop_mm` of its height.
/// Cells are discs, contacts of cells on a line are segments: holes follow by Euler's
/// formula, pieces - (cells - contacts).
pub fn topology(strips: &Strips, drop_mm: f64) -> Topology {
    let alive = |v: &Interval| (0..2).any(|e| v.top[e] - v.bottom[e] > drop_mm + THIN_MM);
    let mut names: Vec<Vec<Option<usize>>> = vec![];
    let mut cells = 0;
    for strip in &strips.strips {
        let name = |v| {
            alive(v).then(|| {
                cells += 1;
                cells - 1
            })
        };
        names.push(strip.iter().map(name).collect());
    }
    let mut leader: Vec<usize> = (0..cells).collect();
    let (mut contacts, mut pieces) = (0, cells);
    let count = strips.strips.len();
    for i in usize::from(strips.period.is_none())..count {
        let before = (i + count - 1) % count;
        for (a, left) in names[before].iter().zip(&strips.strips[before]) {
            for (b, right) in names[i].iter().zip(&strips.strips[i]) {
                let (Some(a), Some(b)) = (*a, *b) else { continue };
                let common = left.top[1].min(right.top[0]) - left.bottom[1].max(right.bottom[0]);
                if common <= drop_mm + THIN_MM {
                    continue;
                }
                contacts += 1;
                let (x, y) = (find(&mut leader, a), find(&mut leader, b));
                if x != y {
                    leader[x.max(y)] = x.min(y);
                    pieces -= 1;
                }
            }
        }
    }
    Topology { pieces, holes: (pieces + contacts).saturating_sub(cells) }
}

fn find(leader: &mut [usize], mut cell: usize) -> usize {
    while leader[cell] != cell {
        leader[cell] = leader[leader[cell]];
        cell = leader[cell];
    }
    cell
}
