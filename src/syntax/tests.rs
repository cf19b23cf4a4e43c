use super::*;

fn codes_of(text: &str) -> Vec<&'static str> {
    let (_, sink) = parse(FileId(0), text);
    sink.into_sorted().iter().map(|finding| finding.code.id).collect()
}

#[test]
fn the_button_jar_parses_without_a_finding() {
    let text = include_str!("../../examples/button-jar/button-jar.pkn");
    let (tree, sink) = parse(FileId(0), text);
    assert_eq!(sink.iter().count(), 0);
    assert_eq!(tree.items.len(), 16);
    assert_eq!(tree.comments.len(), 2);
    assert_eq!(tree.items[1].docs, ["Inside diameter. Every other size follows from it."]);
}

#[test]
fn several_mistakes_come_out_in_one_run_in_file_order() {
    let text =
        "part jar = vessel {\n  bore: 3 inches\n  depth:\n  wall 3 mm\n}\nlet a = 1.\npatr b = 2\n";
    assert_eq!(codes_of(text), ["E0109", "E0102", "E0101", "E0108", "E0115"]);
}
