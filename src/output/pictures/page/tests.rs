use super::super::scene::{Apart, SceneBody};
use super::super::tests::tube;
use super::*;
use crate::diagnostics::{Code, Diagnostic};
use crate::source::{SourceMap, Span};

const CODE: Code = Code::new("E0301", "unit-mismatch");

/// RFC 4648, section 10.
#[test]
fn base64_is_that_of_the_standard() {
    let cases = [
        ("", ""),
        ("f", "Zg=="),
        ("fo", "Zm8="),
        ("foo", "Zm9v"),
        ("foob", "Zm9vYg=="),
        ("fooba", "Zm9vYmE="),
        ("foobar", "Zm9vYmFy"),
    ];
    for (bytes, text) in cases {
        assert_eq!(pack::base64(bytes.as_bytes()), text);
    }
    assert_eq!(pack::base64(&[0xfb, 0xff, 0xfe]), "+//+");
}

#[test]
fn a_body_is_packed_in_steps_of_its_box() {
    let mesh = tube(20.0, 18.0, 30.0, 12);
    let body = SceneBody { name: "tube", colour: [1, 2, 3], mesh: &mesh, apart: Apart::STAYS };
    let packed = pack::body(&body, (BodyKind::Part, String::new())).unwrap();
    assert_eq!(packed.low[2], 0.0);
    assert_eq!(packed.high[2], 30.0);
    assert!(!packed.wide && packed.pieces.is_none());
    // 6 bytes to a corner and to a triangle, 4 letters to 3 bytes.
    assert_eq!(packed.places.len(), mesh.vertices.len() * 8);
    assert_eq!(packed.triangles.len(), mesh.triangles.len() * 8);
    assert!(scene(&[], Vec::new(), &[]).is_none());
}

#[test]
fn nothing_in_a_design_can_leave_its_element() {
    let nasty = "</script><script>{{token}}\"&";
    let design = format!("{{\"title\":{}}}", serde_json::to_string(nasty).unwrap());
    let page = html(nasty, PageKind::File { design: &design, still: b"" });
    assert_eq!(page.matches("</script>").count(), 2);
    assert!(page.contains("<title>&lt;/script&gt;&lt;script&gt;{{token}}&quot;&amp;</title>"));
    assert!(page.contains("\\u003c/script>"));
}

#[test]
fn places_are_marked_in_their_lines() {
    let mut sources = SourceMap::default();
    let file = sources.add("jar.pkn", "let a = 1\nlet b = é deg\nlet c = 3\n");
    let span = |text: &str| {
        let at = sources.text(file).find(text).unwrap();
        Span::new(file, at..at + text.len())
    };
    let finding = Diagnostic::at(CODE, span("é deg"), "no").label("an angle");
    let found = excerpts(&sources, &finding.and_at(span("a = 1"), ""));
    assert_eq!(found.len(), 1);
    let line = |number, pieces: &[(&str, u8)], words: &[&str]| ExcerptLine {
        number,
        pieces: pieces.iter().map(|(text, mark)| (text.to_string(), *mark)).collect(),
        words: words.iter().map(|w| w.to_string()).collect(),
    };
    let expected = [
        line(1, &[("let ", 0), ("a = 1", 2)], &[]),
        line(2, &[("let b = ", 0), ("é deg", 1)], &["an angle"]),
        line(3, &[("let c = 3", 0)], &[]),
    ];
    assert_eq!(found[0].lines, expected);
    assert_eq!((found[0].line, found[0].column), (2, 9));
}

#[test]
fn a_place_at_the_end_and_a_long_line_are_shown() {
    let mut sources = SourceMap::default();
    let file = sources.add("jar.pkn", "part {");
    let end = Diagnostic::at(CODE, Span::new(file, 6..6), "a brace is missing");
    let found = excerpts(&sources, &end);
    assert_eq!(found[0].lines[0].pieces, [("part {".to_string(), 0), (" ".to_string(), 1)]);
    let long = format!("{}x{}", " ".repeat(4000), "y".repeat(4000));
    let file = sources.add("long.pkn", long);
    let found = excerpts(&sources, &Diagnostic::at(CODE, Span::new(file, 4000..4001), "here"));
    let pieces = &found[0].lines[0].pieces;
    assert_eq!(pieces[1], ("x".to_string(), 1));
    assert_eq!(pieces.iter().map(|(text, _)| text.len()).sum::<usize>(), 120);
}
