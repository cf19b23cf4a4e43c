//! Cells as finely told apart as exact faces need them.

use super::super::Declined;
use super::super::body::Groups;
use super::merged::round;
use crate::layers::{Cells, FINE_WELD_MM};

/// The cells of a layer: those that the mesh has where no level was moved that an exact face
/// would miss, else finer ones.
///
/// # Errors
/// Where the finer cells hang together otherwise than those of the mesh.
pub(super) fn complex(
    coarse: impl FnOnce() -> Cells,
    fine: impl FnOnce() -> Cells,
) -> Result<Cells, Declined> {
    let cells = coarse();
    if cells.welded_mm <= FINE_WELD_MM {
        return Ok(cells);
    }
    let finer = fine();
    if hangs_together(&finer) == hangs_together(&cells) {
        Ok(finer)
    } else {
        Err(Declined::new("bars come nearer to each other than can be printed or told apart"))
    }
}

/// Shells, and Euler's sum of all of them; shells that touch in a corner only are two.
fn hangs_together(cells: &Cells) -> (usize, i64) {
    let loops: Vec<Vec<u32>> = cells.faces.iter().map(|f| f.corners()).collect();
    let mut steps: Vec<((u32, u32), usize, usize)> = Vec::new();
    let mut corners = 0;
    let mut faces = 0;
    for (face, vertices) in loops.iter().enumerate() {
        let first = corners;
        steps.extend(round(vertices).enumerate().map(|(i, step)| (step, face, first + i)));
        if steps.len() > corners {
            faces += 1;
        }
        corners = steps.len();
    }
    steps.sort_unstable();
    // Of each corner the next one in its face.
    let mut next = vec![0; corners];
    let mut at = 0;
    for vertices in &loops {
        let count = round(vertices).count();
        (0..count).for_each(|i| next[at + i] = at + (i + 1) % count);
        at += count;
    }
    let (mut shells, mut fans) = (Groups::new(loops.len()), Groups::new(corners));
    let mut shared = 0;
    for ((a, b), face, corner) in &steps {
        let Ok(place) = steps.binary_search_by_key(&(*b, *a), |s| s.0) else { continue };
        let (_, other, there) = steps[place];
        shared += 1;
        shells.unite(*face, other);
        fans.unite(*corner, next[there]);
        fans.unite(next[*corner], there);
    }
    let used = |members: &Vec<usize>| members.iter().any(|f| round(&loops[*f]).count() > 0);
    let shells = shells.lists().iter().filter(|m| used(m)).count();
    let edges = corners - shared / 2;
    (shells, fans.lists().len() as i64 - edges as i64 + faces)
}
