//! Sheets are well-formed and always the same.

use super::super::tests::{design, fits, realised};
use super::*;

fn sheet() -> String {
    let model = design();
    let realised = realised(&model);
    let fits = fits();
    super::sheet(&subject(&model, &realised, &fits)).0
}

fn subject<'a>(model: &'a Model, realised: &'a Realised, fits: &'a Fits) -> Subject<'a> {
    Subject { model, realised, fits, digest: "00ff", title: None, part: None, sheet: [1, 3] }
}

/// Every element that opens closes in order; attributes are quoted (XML 1.0, section
/// 2.1). What it checks is all that the writer can get wrong.
fn well_formed(text: &str) -> Result<usize, String> {
    let mut open: Vec<&str> = Vec::new();
    let mut elements = 0;
    for part in text.split('<').skip(1) {
        let (tag, after) = part.split_once('>').ok_or(format!("no end: {part}"))?;
        if after.contains('>') || tag.matches('"').count() % 2 != 0 {
            return Err(format!("stray mark: {part}"));
        }
        if tag.starts_with('?') || tag.ends_with('/') {
            continue;
        }
        if let Some(name) = tag.strip_prefix('/') {
            match open.pop() {
                Some(opened) if opened == name => {}
                other => return Err(format!("{other:?} closed by {name}")),
            }
            continue;
        }
        elements += 1;
        open.push(tag.split_whitespace().next().unwrap_or_default());
    }
    if open.is_empty() { Ok(elements) } else { Err(format!("left open: {open:?}")) }
}

#[test]
fn sheets_are_well_formed_and_always_the_same() {
    let first = sheet();
    assert!(well_formed(&first).unwrap() > 50);
    assert_eq!(first, sheet());
    assert!(!first.contains("NaN") && !first.contains("inf"));
    assert!(well_formed("<a><b></a></b>").is_err());
}

#[test]
fn names_are_quoted() {
    let mut model = design();
    model.name = "a<b & \"c\" \u{1F4A1}\u{7}".into();
    let realised = realised(&model);
    let fits = fits();
    assert!(well_formed(&super::sheet(&subject(&model, &realised, &fits)).0).is_ok());
}

/// The detail of the lid shows its gap: two facing walls 0.15 mm apart.
#[test]
fn details_find_the_gap() {
    let text = sheet();
    let detail = text.split("cap on pot").nth(1).unwrap();
    assert!(text.contains("<title>0.15</title>"), "{}", &detail[..400.min(detail.len())]);
}

#[test]
fn scales_are_those_of_the_standard() {
    // ISO 5455: 2, 5, 10, 20, 50 to 1 and 1 to these
    assert_eq!(scale_below(13.0).0, [10, 1]);
    assert_eq!(scale_below(0.99).0, [1, 2]);
    assert_eq!(scale_below(1.0).0, [1, 1]);
    assert_eq!(scale_below(1e-9).0, [1, 200]);
}

/// The sheet of a part shows that part alone, and its own fits with the mate beside it.
#[test]
fn a_part_has_a_sheet_of_its_own() {
    let model = design();
    let realised = realised(&model);
    let fits = fits();
    let all = subject(&model, &realised, &fits);
    assert_eq!(all.drawn().len(), model.parts.iter().filter(|p| p.assembled).count());
    for (index, part) in model.parts.iter().enumerate() {
        let own = Subject { part: Some(PartId(index)), sheet: [index + 2, 3], ..all };
        let drawn = own.drawn();
        assert_eq!(drawn.iter().map(|d| d.0).collect::<Vec<_>>(), [PartId(index)]);
        let text = super::sheet(&own).0;
        assert!(well_formed(&text).unwrap() > 30);
        assert!(text.contains(&format!("{}: {}", model.name, part.name)), "the title names it");
        let lids = fits.lids.iter().flatten().filter(|l| l.lid.0 == index || l.host.0 == index);
        assert_eq!(text.contains("cap on pot"), lids.count() > 0);
    }
}
