use super::*;
use std::f64::consts::PI;

fn drawn(inside: &str) -> Outline {
    read(&sheet(inside)).unwrap_or_else(|e| panic!("{inside}: {e:?}"))
}

/// 100 mm by 100 mm, a unit a millimetre.
fn sheet(inside: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"100mm\" height=\"100mm\" \
         viewBox=\"0 0 100 100\">{inside}</svg>"
    )
}

fn near(inside: &str, area: f64, tolerance: f64) {
    let found = drawn(inside).area();
    assert!((found - area).abs() <= tolerance, "{inside}: {found} for {area}");
}

fn fault(inside: &str) -> (Kind, String, String) {
    let text = sheet(inside);
    let fault = read(&text).unwrap_err();
    let place = text.get(fault.at.clone()).unwrap_or("").to_string();
    (fault.kind, fault.what, place)
}

/// Areas by the formulas of school geometry: circle, ellipse pi a b, triangle, rounded
/// rectangle w h - (4 - pi) r2.
#[test]
fn shapes_have_their_areas() {
    near("<circle cx='50' cy='50' r='10'/>", PI * 100.0, 1e-9);
    near("<ellipse cx='50' cy='50' rx='20' ry='10'/>", PI * 200.0, 0.4);
    near("<rect x='10' y='20' width='30' height='20'/>", 600.0, 1e-9);
    near("<rect x='10' y='20' width='30' height='20' rx='5'/>", 600.0 - (4.0 - PI) * 25.0, 1e-9);
    near("<polygon points='10,10 40,10 10,50'/>", 600.0, 1e-9);
    near("<polyline points='10,10 40,10 10,50'/>", 600.0, 1e-9);
    near("<path d='M10 10h30v20h-30z'/>", 600.0, 1e-9);
    near("<path d='m10,10 30,0 0,20-30,0'/>", 600.0, 1e-9);
    near("<path d='M40 50A10 10 0 0 1 60 50A10 10 0 1 1 40 50Z'/>", PI * 100.0, 1e-9);
    near("<path d='M40 50a10 10 0 1120 0a10 10 0 11-20 0'/>", PI * 100.0, 1e-9);
    // Archimedes: a parabola's segment is two thirds of its box.
    near("<path d='M10 50Q30 10 50 50Z'/>", 2.0 / 3.0 * 40.0 * 20.0, 0.3);
    near("<path d='M10 50Q30 10 50 50T90 50Z'/>", 4.0 / 3.0 * 40.0 * 20.0, 0.6);
    // A cubic over a chord c with its controls at the height h square over the ends
    // encloses 3/5 c h... of the Bernstein integrals: 2 * (3/20) * 2 c h (Green).
    near("<path d='M10 50C10 20 50 20 50 50Z'/>", 0.75 * 0.8 * 40.0 * 30.0, 0.4);
}

#[test]
fn rules_strokes_and_transforms() {
    let two = "d='M10 10h40v40h-40zM20 20h20v20h-20z'";
    near(&format!("<path {two}/>"), 1600.0, 1e-9);
    near(&format!("<path fill-rule='evenodd' {two}/>"), 1200.0, 1e-9);
    near("<path d='M10 10h40v40h-40zM20 20v20h20v-20z'/>", 1200.0, 1e-9);
    let line = |more: &str| {
        format!("<path fill='none' stroke='#000' stroke-width='4' {more} d='M10 50H50V10'/>")
    };
    near(&line(""), 320.0, 1e-9);
    near(&line("stroke-linecap='square'"), 336.0, 1e-9);
    near(
        &line("stroke-linecap='round' stroke-linejoin='round'"),
        320.0 + 4.0 * PI - (4.0 - PI),
        1e-9,
    );
    // A square corner's mitre is 1.41 widths long; the bevel takes half of its square.
    near(&line("stroke-linejoin='bevel'"), 318.0, 1e-9);
    near(&line("style='stroke-miterlimit:1.3'"), 318.0, 1e-9);
    near(
        "<g transform='translate(50 50) rotate(30)'><g transform='scale(2)'><rect width='5' height='4'/></g></g>",
        80.0,
        1e-9,
    );
    near("<rect width='10' height='10' transform='matrix(1 0 .5 1 20 20)'/>", 100.0, 1e-6);
    near("<circle r='10' transform='translate(50,50) scale(2 .5)'/>", PI * 100.0, 0.5);
    // The stroke is stretched with its line: 2 wide across, 8 wide along.
    near(
        "<path stroke='red' fill='none' stroke-width='4' transform='scale(2 .5)' d='M10 20H30'/>",
        80.0,
        1e-6,
    );
    near(
        "<g display='none'><rect width='9' height='9'/></g><rect width='5' height='4'/>",
        20.0,
        1e-9,
    );
}

#[test]
fn the_sheet_gives_the_size() {
    let units = |head: &str| {
        let text = format!(
            "<svg xmlns='http://www.w3.org/2000/svg' {head}><rect width='10' height='10'/></svg>"
        );
        read(&text).unwrap().bounds().unwrap()
    };
    let [low, high] = units("width='2in' height='2in' viewBox='0 0 20 20'");
    assert!((high.x - low.x - 25.4).abs() < 1e-9, "{low:?} {high:?}");
    // Up is up, and the middle of the sheet is the origin.
    assert!((low.x + 25.4).abs() < 1e-9 && (high.y - 25.4).abs() < 1e-9, "{low:?} {high:?}");
    let [low, high] = units("");
    assert!((high.x - low.x - 254.0 / 96.0).abs() < 1e-9 && (high.x + low.x).abs() < 1e-9);
}

#[test]
fn what_cannot_be_used_is_named() {
    for (inside, kind, place) in [
        ("<text x='1'>a</text>", Kind::Unusable, "<text"),
        ("<g><image href='a.png'/></g>", Kind::Unusable, "<image"),
        ("<use href='#a'/>", Kind::Unusable, "<use"),
        ("<style>rect { fill: none }</style>", Kind::Unusable, "<style"),
        ("<rect width='9' height='9' filter='url(#f)'/>", Kind::Unusable, "filter='url(#f)'"),
        ("<path d='M0 0L10 x'/>", Kind::Malformed, "x"),
        ("<path d='L10 10'/>", Kind::Malformed, "L"),
        ("<rect width='10%' height='9'/>", Kind::Malformed, "width='10%'"),
        (
            "<rect width='9' height='9' transform='turn(3)'/>",
            Kind::Malformed,
            "transform='turn(3)'",
        ),
        ("<rect width='9' height='9'", Kind::Malformed, ""),
        ("<rect width='1e300' height='9'/>", Kind::TooMuch, "<rect"),
        ("", Kind::Blank, "<svg"),
    ] {
        let (found, what, at) = fault(inside);
        assert_eq!(found, kind, "{inside}: {what}");
        assert!(place.is_empty() || at == place, "{inside}: {what} at {at:?}");
    }
}

/// Entities that blow up, deep nesting, binary rubbish, endless numbers.
#[test]
fn hostile_files_are_refused() {
    let bomb = "<!DOCTYPE svg [<!ENTITY a 'aaaaaaaaaa'><!ENTITY b '&a;&a;&a;&a;&a;&a;'>]>\
                <svg xmlns='http://www.w3.org/2000/svg'><title>&b;</title></svg>";
    assert_eq!(read(bomb).unwrap_err().kind, Kind::Unusable);
    let deep = format!("{}{}", "<g>".repeat(3000), "</g>".repeat(3000));
    assert_eq!(fault(&deep).0, Kind::TooMuch);
    let many = "<rect width='1' height='1'/>".repeat(90_000);
    assert_eq!(fault(&many).0, Kind::TooMuch);
    let long = format!("<path d='M0 0{}'/>", " 1 1 2 0".repeat(30_000));
    assert_eq!(fault(&long).0, Kind::TooMuch);
    for rubbish in ["", "\u{0}\u{1}", "<", "<svg", "<html/>", "&&&"] {
        assert!(read(rubbish).is_err(), "{rubbish:?}");
    }
}
