//! Pictures of a change: before, after and difference by one camera, and a section through the
//! fit that suffers most.

use super::form::Difference;
use super::report::Report;
use super::spell::{Names, renamed};
use super::values::Weight;
use crate::fit::without_skins;
use crate::mesh::Mesh;
use crate::output::pictures::{self, ChangedPart, Mark, PictureError, Shot, Subject};
use crate::pipeline::Made;

/// What is thinner is no change but rounding of faces that both bodies share: the coarsest chord.
const SKIN_MM: f64 = crate::fit::FLUSH_MM;

/// A picture: what it shows, the ending of its file, its bytes.
pub(super) struct Picture {
    pub shows: &'static str,
    pub ending: &'static str,
    pub bytes: Vec<u8>,
}

/// All pictures of a change between two designs that could be made.
///
/// # Errors
/// When a picture cannot be encoded.
pub(super) fn pictures(
    report: &Report,
    differences: &[Difference],
    [old, new]: [&Made; 2],
) -> Result<Vec<Picture>, PictureError> {
    let sides = [old, new].map(|made| pictures::assembly(&made.model, &made.realised));
    let both: Vec<_> = sides.iter().flatten().copied().collect();
    let shot = Shot::default();
    let thick: Vec<(Mark, Mesh)> = changed_parts(report, differences, [old, new])
        .iter()
        .flat_map(|part| {
            let seen = |mesh: &Mesh| match (part.before, part.after) {
                (Some(a), Some(b)) => without_skins(mesh, [a, b], SKIN_MM),
                _ => mesh.clone(),
            };
            [(Mark::Added, seen(part.added)), (Mark::Removed, seen(part.removed))]
        })
        .filter(|(_, mesh)| !mesh.is_empty())
        .collect();
    let changed: Vec<(Mark, &Mesh)> = thick.iter().map(|(mark, mesh)| (*mark, mesh)).collect();
    let mut all = Vec::new();
    for (shows, side) in ["before", "after"].into_iter().zip(&sides) {
        let bytes = pictures::view_png_framed(side, &both, shot)?;
        all.push(Picture { shows, ending: "png", bytes });
    }
    let bytes = pictures::difference_png(&sides[1], &changed, &both, shot)?;
    all.push(Picture { shows: "difference", ending: "png", bytes });
    if let Some(svg) = section(report, differences, [old, new]) {
        all.push(Picture { shows: "section", ending: "svg", bytes: svg.into_bytes() });
    }
    Ok(all)
}

/// Each part on both sides, with what was added and removed.
fn changed_parts<'a>(
    report: &Report,
    differences: &'a [Difference],
    [old, new]: [&'a Made; 2],
) -> Vec<ChangedPart<'a>> {
    let names: Names = report.renamed.iter().map(|r| (r.old.clone(), r.new.clone())).collect();
    fn find<'a>(made: &'a Made, name: &str, names: &Names) -> Option<&'a Mesh> {
        let index = made.model.parts.iter().position(|p| renamed(names, &p.name) == name)?;
        Some(&*made.realised.parts.get(index)?.as_ref()?.mesh)
    }
    let part = |d: &'a Difference| ChangedPart {
        name: &d.name,
        before: find(old, &d.name, &names),
        after: find(new, &d.name, &Names::new()),
        added: &d.added,
        removed: &d.removed,
    };
    differences.iter().map(part).collect()
}

fn section(report: &Report, differences: &[Difference], [old, new]: [&Made; 2]) -> Option<String> {
    let parts = changed_parts(report, differences, [old, new]);
    let subject = Subject {
        model: &new.model,
        realised: &new.realised,
        fits: &new.fits,
        aids: &[],
        digest: &new.manifest.source.digest,
        title: None,
        part: None,
        sheet: [1, 1],
    };
    pictures::change_svg(&subject, worst(report, new).as_deref(), &parts)
}

/// The seat or lid that suffered most: the first of the values that moved; where none did, the
/// one whose least gap falls shortest of what was asked.
fn worst(report: &Report, new: &Made) -> Option<String> {
    let seats =
        new.manifest.seats.iter().map(|s| (format!("{} in {}", s.inlay, s.host), &s.gap_mm));
    let lids = new.manifest.lids.iter().map(|l| (format!("{} on {}", l.lid, l.host), &l.gap_mm));
    let mut fits: Vec<_> = seats.chain(lids).collect();
    let moved = report.followed.iter().flatten();
    let suffering = moved.filter(|m| matches!(m.weight, Weight::Crossed | Weight::Fit));
    for moved in suffering {
        if fits.iter().any(|(name, _)| *name == moved.subject) {
            return Some(moved.subject.clone());
        }
    }
    fits.sort_by(|a, b| (a.1.least - a.1.asked).total_cmp(&(b.1.least - b.1.asked)));
    fits.into_iter().next().map(|(name, _)| name)
}
