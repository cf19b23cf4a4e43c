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
    Subject {
        model,
        realised,
        fits,
        aids: &[],
        digest: "00ff",
        title: None,
        part: None,
        sheet: [1, 3],
    }
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

#[test]
fn long_texts_end_before_what_stands_beside_them() {
    let mut svg = Svg::new(100.0, 100.0);
    let long = "a drawer with quite a long name in a chest with another";
    let width = |svg: &mut Svg, most: f64| {
        let before = svg.pixels();
        svg.text_within(long, Point::new(1.0, 50.0), 3.5, most);
        let after = svg.pixels();
        let wide = after.width;
        let changed = before.rgb.iter().zip(&after.rgb).enumerate().filter(|(_, (a, b))| a != b);
        changed.map(|(k, _)| k / 3 % wide).max().unwrap_or_default() as f64 / 6.0
    };
    let end = width(&mut svg, 52.0);
    assert!((52.0..53.5).contains(&end), "{end}");
}

/// A gap lies in the plane that shows it, and the plane is seen from the front, the right or above.
#[test]
fn gaps_of_pairs_are_cut_where_their_width_shows() {
    let [x, y, z] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    let toward = |gap: [f64; 3], along| {
        let frame = detail::across(gap.map(|c| 0.2 * c), along, [5.0, 6.0, 7.0]).unwrap();
        assert!(frame.toward().iter().zip(gap).all(|(a, b)| (a * b).abs() < 1e-12));
        frame.toward().map(|c| c + 0.0)
    };
    let front = [0.0, -1.0, 0.0];
    assert_eq!(toward(z, Some(y)), x);
    assert_eq!(toward(x, Some(z)), front);
    assert_eq!(toward(x, None), front);
    assert_eq!(toward(z, Some(z)), front);
    assert_eq!(toward(y, Some(x)), z);
    assert_eq!(toward(y, None), x);
    assert!(detail::across([0.0; 3], Some(z), [0.0; 3]).is_none());
}

/// Columns are told on every sheet that shows their part, and drawn in thin lines on its own.
#[test]
fn columns_are_drawn_thin_and_told() {
    let model = design();
    let realised = realised(&model);
    let fits = fits();
    let under = model.parts[0].name.clone();
    let mesh = super::super::tests::tube(2.0, 1.0, 90.0, 12);
    let goes_with = vec![0; mesh.vertices.len()];
    let told = format!("props under {under}: 7");
    let aid = |kind, mesh, goes_with| ShownAid {
        kind,
        of: under.clone(),
        count: 7,
        note: String::new(),
        colour: [0; 3],
        mesh,
        goes_with,
    };
    // Brims are left to the page, wherever they stand in the list.
    let brim = aid(AidKind::Brim, Mesh::default(), Vec::new());
    let columns = [brim, aid(AidKind::Props, mesh, goes_with)];
    let all = Subject { aids: &columns, ..subject(&model, &realised, &fits) };
    let own = Subject { part: Some(PartId(0)), ..all };
    let bare = Subject { aids: &[], ..own };
    let [all, own, bare] = [all, own, bare].map(|subject| super::sheet(&subject).0);
    let thin = |text: &str| text.matches("class=\"thin\"").count();
    assert!(all.contains(&format!("<title>{told}</title>")));
    assert!(own.contains(&format!("<title>{told}, thin lines</title>")));
    assert!(!bare.contains("props under") && thin(&own) > thin(&bare));
}
