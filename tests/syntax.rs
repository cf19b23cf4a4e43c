//! The syntax room from outside: the grammar's page, texts of every kind, generated expressions.

use pipkin::source::FileId;
use pipkin::syntax::{self, Axis, Binary, Expr, ExprKind, ItemKind, Placing, Spread, TokenKind};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

const PEST: &str = include_str!("../grammar/pipkin.pest");
const PAGE: &str = include_str!("../grammar/GRAMMAR.md");
const HIGHLIGHTING: &str = include_str!("../grammar/pipkin.tmLanguage.json");
const BUTTON_JAR: &str = include_str!("../examples/button-jar/button-jar.pkn");

// ---- the page of the grammar and the grammar

/// Words, quoted texts and signs of a grammar.
fn grammar_tokens(text: &str) -> Vec<String> {
    let mut tokens = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        let len = if first == '"' {
            let bytes = rest.as_bytes();
            let mut at = 1;
            while bytes[at] != b'"' {
                at += if bytes[at] == b'\\' { 2 } else { 1 };
            }
            at + 1
        } else if first.is_alphanumeric() || first == '_' {
            rest.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(rest.len())
        } else {
            first.len_utf8()
        };
        tokens.push(rest[..len].to_string());
        rest = rest[len..].trim_start();
    }
    tokens
}

/// What the page leaves out: blanks, newlines that end nothing, the end of a word.
const LEFT_OUT: [&str; 4] = ["~", "newlines", "blank", "word_end"];

/// A body as the page writes it: words of the language stand for themselves, and what is left
/// alone in ( ) by leaving things out stands without them.
fn as_on_the_page(body: &[String]) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for token in body.iter().filter(|t| !LEFT_OUT.contains(&t.as_str())) {
        out.push(match token.strip_prefix("k_") {
            Some(word) => format!("\"{word}\""),
            None => token.clone(),
        });
    }
    let lonely = |w: &[String]| w[0] == "(" && w[2] == ")" && w[1] != "(" && w[1] != "|";
    while let Some(at) = out.windows(3).position(lonely) {
        out.remove(at + 2);
        out.remove(at);
    }
    out
}

/// The rules of the pest file.
fn pest_rules() -> BTreeMap<String, Vec<String>> {
    let code: Vec<&str> = PEST.lines().filter(|line| !line.starts_with("//")).collect();
    let tokens = grammar_tokens(&code.join("\n"));
    let mut rules = BTreeMap::new();
    let mut at = 0;
    while at < tokens.len() {
        let name = tokens[at].clone();
        assert_eq!(tokens[at + 1], "=", "behind {name}");
        at += 2;
        if matches!(tokens[at].as_str(), "@" | "$" | "!" | "_") {
            at += 1;
        }
        assert_eq!(tokens[at], "{", "in {name}");
        let mut depth = 1;
        let start = at + 1;
        while depth > 0 {
            at += 1;
            depth += match tokens[at].as_str() {
                "{" => 1,
                "}" => -1,
                _ => 0,
            };
        }
        rules.insert(name, tokens[start..at].to_vec());
        at += 1;
    }
    rules
}

/// The rules of the page: every `name = body` in its blocks, over as many lines as it takes.
fn page_rules() -> BTreeMap<String, Vec<String>> {
    let mut rules: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut name = String::new();
    let mut in_block = false;
    for line in PAGE.lines() {
        if line.starts_with("```") {
            in_block = line == "```ebnf";
        } else if in_block {
            let body = match line.split_once(" = ") {
                Some((head, body)) if !line.starts_with(' ') => {
                    name = head.trim().to_string();
                    body
                }
                _ => line,
            };
            rules.entry(name.clone()).or_default().extend(grammar_tokens(body));
        }
    }
    rules
}

#[test]
fn the_page_of_the_grammar_has_the_rules_of_the_grammar() {
    let (pest, page) = (pest_rules(), page_rules());
    let is_shown = |name: &str| !name.starts_with("k_") && !LEFT_OUT.contains(&name);
    let shown: BTreeSet<&String> = pest.keys().filter(|name| is_shown(name)).collect();
    assert_eq!(shown, page.keys().collect::<BTreeSet<_>>());
    for name in shown {
        assert_eq!(as_on_the_page(&pest[name]), page[name], "rule {name}");
    }
}

/// Every word of the language: the `k_` rules, `chart`, and the words before one term.
fn words_of_the_grammar() -> BTreeSet<String> {
    let mut words: BTreeSet<String> = BTreeSet::new();
    for (name, body) in pest_rules() {
        if let Some(word) = name.strip_prefix("k_") {
            assert_eq!(body[0], format!("\"{word}\""), "rule {name}");
            assert_eq!(body[1..], ["~", "word_end"], "rule {name}");
            words.insert(word.to_string());
        } else if matches!(name.as_str(), "reserved" | "prefix_word" | "braced" | "chart") {
            let quoted = body.iter().filter_map(|t| t.strip_prefix('"')?.strip_suffix('"'));
            let is_word = |w: &&str| w.len() > 1 && w.chars().all(char::is_alphabetic);
            words.extend(quoted.filter(is_word).map(String::from));
        }
    }
    words
}

#[test]
fn the_lists_of_words_are_those_of_the_grammar() {
    use pipkin::syntax::words::*;
    let listed: BTreeSet<String> = ITEM_WORDS
        .iter()
        .chain(&OPERATOR_WORDS)
        .chain(&PLACE_WORDS)
        .map(|word| word.to_string())
        .collect();
    assert_eq!(listed, words_of_the_grammar());
    let reserved = &pest_rules()["reserved"];
    let quoted = reserved.iter().filter_map(|t| t.strip_prefix('"')?.strip_suffix('"'));
    assert_eq!(quoted.collect::<BTreeSet<_>>(), OPERATOR_WORDS.into_iter().collect());
}

#[test]
fn the_units_of_the_grammar_are_the_units() {
    let quoted: BTreeSet<String> = pest_rules()["unit"]
        .iter()
        .filter_map(|t| Some(t.strip_prefix('"')?.strip_suffix('"')?.to_string()))
        .collect();
    let units = pipkin::quantity::UNIT_NAMES.map(String::from);
    assert_eq!(quoted, units.into_iter().collect());
}

#[test]
fn editor_highlighting_knows_the_words_and_units_of_the_grammar() {
    let json: serde_json::Value = serde_json::from_str(HIGHLIGHTING).unwrap();
    let pattern = |name: &str| {
        let text = json["repository"][name]["match"].as_str().unwrap();
        let inner = text.split_once("(?:").unwrap().1.split_once(')').unwrap().0;
        inner.split('|').map(String::from).collect::<BTreeSet<_>>()
    };
    let words: BTreeSet<String> =
        ["item", "operator", "place"].into_iter().flat_map(pattern).collect();
    assert_eq!(words, words_of_the_grammar());
    let units: BTreeSet<String> = pattern("unit");
    assert_eq!(units, pipkin::quantity::UNIT_NAMES.map(String::from).into_iter().collect());
}

// ---- any text at all

/// Tokens are in order, do not overlap, and nothing but blanks lies between them.
fn assert_lossless(text: &str) {
    let mut at = 0;
    for token in syntax::tokens(text) {
        assert!(token.range.start >= at, "{token:?} overlaps");
        let gap = &text[at..token.range.start];
        assert!(gap.chars().all(|c| matches!(c, ' ' | '\t' | '\r' | '\u{feff}')), "{gap:?}");
        assert!(!token.range.is_empty());
        at = token.range.end;
    }
    // A byte order mark before everything else is no token.
    let rest = if at == 0 { text.strip_prefix('\u{feff}').unwrap_or(text) } else { &text[at..] };
    assert!(rest.trim().is_empty() || syntax::parse(FileId(0), text).1.has_errors());
}

/// A run of random texts comes upon this one time in ten.
#[test]
fn a_byte_order_mark_alone_is_an_empty_file() {
    for text in ["\u{feff}", "\u{feff} \n"] {
        assert_lossless(text);
        assert!(!syntax::parse(FileId(0), text).1.has_errors());
    }
    assert!(syntax::parse(FileId(0), "\u{feff}\u{feff}").1.has_errors());
}

fn fragments() -> impl Strategy<Value = String> {
    let words: Vec<String> = words_of_the_grammar().into_iter().collect();
    let signs = [
        "(",
        ")",
        "[",
        "]",
        "{",
        "}",
        "=",
        ":",
        ",",
        "+",
        "-",
        "*",
        "/",
        "..",
        "<",
        "<=",
        "==",
        ".",
        "\n",
        "\n",
        "\r\n",
        "\r",
        " ",
        "  ",
        "\t",
        "#",
        "##",
        "# c\n",
        "## d\n",
        "\"",
        "\"a\"",
        "\"{\"",
        "\"{a}\"",
        "\\",
        "#ffffff",
        "#fff",
        "3",
        "3 mm",
        "0.5",
        "1.",
        ".5",
        "1e3",
        "%",
        "deg",
        "chart {\n",
        ". #\n",
        "path {",
        "a",
        "jar",
        "x",
        "z",
        "é",
        "“",
        "×",
        "\u{1a}",
        "\0",
        "\u{feff}",
    ];
    let all: Vec<String> = words.into_iter().chain(signs.map(String::from)).collect();
    let spaced = prop::sample::select(all).prop_flat_map(|word| {
        prop::sample::select(vec!["", " ", " "]).prop_map(move |gap| format!("{word}{gap}"))
    });
    prop::collection::vec(spaced, 0..60).prop_map(|parts| parts.concat())
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 512,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn no_text_makes_the_parser_panic(text in any::<String>()) {
        assert_lossless(&text);
        syntax::parse(FileId(0), &text);
    }

    #[test]
    fn no_bytes_make_the_parser_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let text = String::from_utf8_lossy(&bytes);
        assert_lossless(&text);
        syntax::parse(FileId(0), &text);
    }

    #[test]
    fn no_run_of_words_and_signs_makes_the_parser_panic(text in fragments()) {
        assert_lossless(&text);
        let (_, sink) = syntax::parse(FileId(0), &text);
        for finding in sink.iter() {
            let place = finding.primary.as_ref().unwrap().span.range();
            prop_assert!(text.get(place).is_some(), "a place within the text, on whole characters");
            prop_assert!(!finding.help.is_empty(), "{} has a way out", finding.message);
        }
    }

    /// What is broken in one line is no harm to the others.
    #[test]
    fn a_broken_field_leaves_the_rest_of_the_file_as_it_was(
        line in 0usize..58,
        junk in prop::sample::select(vec!["3 4", "= 5", "* 2 mm", "1e4", "#xyz", "\"abc", "a.", "not"]),
    ) {
        let mut lines: Vec<&str> = BUTTON_JAR.lines().collect();
        let broken = match lines[line].split_once(": ") {
            Some((name, _)) if lines[line].starts_with("  ") => format!("{name}: {junk}"),
            _ => return Ok(()),
        };
        lines[line] = &broken;
        let (tree, sink) = syntax::parse(FileId(0), &lines.join("\n"));
        prop_assert_eq!(sink.iter().count(), 1, "{:?}", sink);
        prop_assert_eq!(tree.items.len(), 16);
        let fields: usize = tree.items.iter().map(count_fields).sum();
        // printer 4, materials 2 and 2, jar 7, belt 9, seat 2, cap 3
        prop_assert_eq!(fields, 29);
    }

    #[test]
    fn expressions_come_back_as_they_were_meant(tree in expressions()) {
        let text = format!("let a = {}\n", tree.text(0));
        let (parsed, sink) = syntax::parse(FileId(0), &text);
        prop_assert!(!sink.has_errors(), "{text}: {sink:?}");
        let ItemKind::Let { value, .. } = &parsed.items[0].kind else { panic!("{text}") };
        prop_assert_eq!(shown(value), tree.shown(), "{}", text);
    }
}

/// Fields of an item, those of a call as well.
fn count_fields(item: &syntax::Item) -> usize {
    match &item.kind {
        ItemKind::Part { value: Expr { kind: ExprKind::Call { args, .. }, .. }, .. } => args.len(),
        ItemKind::Printer { block, .. }
        | ItemKind::Material { block, .. }
        | ItemKind::Seat { block, .. } => block.fields.len(),
        _ => 0,
    }
}

// ---- expressions

/// An expression that a test makes up.
#[derive(Clone, Debug)]
enum Made {
    Leaf(&'static str),
    Infix(usize, Box<Made>, Box<Made>),
    Not(Box<Made>),
    Minus(Box<Made>),
    If(Box<Made>, Box<Made>, Box<Made>),
    Post(usize, Box<Made>, Box<Made>),
    Copies(Box<Made>, Box<Made>),
}

/// Operators with their strength; a stronger one binds closer. Comparisons (3) do not chain.
const INFIX: [(&str, u8); 13] = [
    ("or", 1),
    ("and", 2),
    ("<", 4),
    ("<=", 4),
    (">", 4),
    (">=", 4),
    ("==", 4),
    ("!=", 4),
    ("join", 5),
    ("less", 5),
    ("+", 8),
    ("-", 8),
    ("*", 9),
];
const POST: [&str; 3] = ["at", "raised", "grown"];

impl Made {
    fn strength(&self) -> u8 {
        match self {
            Made::Leaf(_) => 12,
            Made::Infix(op, ..) => INFIX[*op].1,
            Made::If(..) => 0,
            Made::Not(_) => 3,
            Made::Post(..) | Made::Copies(..) => 6,
            Made::Minus(_) => 10,
        }
    }

    /// The text with as few brackets as there may be, where `least` strength is wanted.
    fn text(&self, least: u8) -> String {
        let text = match self {
            Made::Leaf(leaf) => leaf.to_string(),
            Made::Infix(op, left, right) => {
                let (word, strength) = INFIX[*op];
                let left_least = if strength == 4 { 5 } else { strength };
                format!("{} {word} {}", left.text(left_least), right.text(strength + 1))
            }
            Made::Not(inner) => format!("not {}", inner.text(4)),
            Made::Minus(inner) => format!("-{}", inner.text(11)),
            Made::If(a, b, c) => {
                format!("if {} then {} else {}", a.text(0), b.text(0), c.text(0))
            }
            Made::Post(post, body, by) => {
                format!("{} {} {}", body.text(6), POST[*post], by.text(8))
            }
            Made::Copies(count, body) => {
                format!("{} of {} around z", count.text(8), body.text(6))
            }
        };
        if self.strength() < least { format!("({text})") } else { text }
    }

    fn shown(&self) -> String {
        match self {
            Made::Leaf(leaf) => leaf.to_string(),
            Made::Infix(op, left, right) => {
                format!("[{} {} {}]", INFIX[*op].0, left.shown(), right.shown())
            }
            Made::Not(inner) => format!("[not {}]", inner.shown()),
            Made::Minus(inner) => format!("[minus {}]", inner.shown()),
            Made::If(a, b, c) => format!("[if {} {} {}]", a.shown(), b.shown(), c.shown()),
            Made::Post(post, body, by) => {
                format!("[{} {} {}]", POST[*post], body.shown(), by.shown())
            }
            Made::Copies(count, body) => format!("[of {} {}]", count.shown(), body.shown()),
        }
    }
}

fn expressions() -> impl Strategy<Value = Made> {
    let leaves = prop::sample::select(vec!["a", "jar", "part", "round", "to", "yes", "none", "b2"]);
    leaves.prop_map(Made::Leaf).prop_recursive(6, 40, 3, |inner| {
        let one = || inner.clone().prop_map(Box::new);
        prop_oneof![
            6 => (0..INFIX.len(), one(), one()).prop_map(|(op, a, b)| Made::Infix(op, a, b)),
            1 => one().prop_map(Made::Not),
            1 => one().prop_map(Made::Minus),
            1 => (one(), one(), one()).prop_map(|(a, b, c)| Made::If(a, b, c)),
            2 => (0..POST.len(), one(), one()).prop_map(|(p, a, b)| Made::Post(p, a, b)),
            1 => (one(), one()).prop_map(|(a, b)| Made::Copies(a, b)),
        ]
    })
}

/// A parsed expression in the notation of [`Made::shown`]; brackets are not shown.
fn shown(expr: &Expr) -> String {
    match &expr.kind {
        ExprKind::Name(name) => name.text.to_string(),
        ExprKind::Truth(true) => "yes".to_string(),
        ExprKind::None => "none".to_string(),
        ExprKind::Paren(inner) => shown(inner),
        ExprKind::Not(inner) => format!("[not {}]", shown(inner)),
        ExprKind::Negate(inner) => format!("[minus {}]", shown(inner)),
        ExprKind::If { condition, then, otherwise } => {
            format!("[if {} {} {}]", shown(condition), shown(then), shown(otherwise))
        }
        ExprKind::Binary { op, left, right, .. } => {
            let word = match op {
                Binary::Or => "or",
                Binary::And => "and",
                Binary::LessEqual => "<=",
                Binary::GreaterEqual => ">=",
                Binary::Equal => "==",
                Binary::NotEqual => "!=",
                Binary::Below => "<",
                Binary::Above => ">",
                Binary::Join => "join",
                Binary::Less => "less",
                Binary::Meet => "meet",
                Binary::Add => "+",
                Binary::Subtract => "-",
                Binary::Multiply => "*",
                Binary::Divide => "/",
            };
            format!("[{word} {} {}]", shown(left), shown(right))
        }
        ExprKind::Copies { count, body, spread } => {
            assert!(matches!(**spread, Spread::Around { axis: Axis::Z, over: None }));
            format!("[of {} {}]", shown(count), shown(body))
        }
        ExprKind::Placed { body, placing } => {
            let (word, by) = match &**placing {
                Placing::At(by) => ("at", by),
                Placing::Raised(by) => ("raised", by),
                Placing::Grown(by) => ("grown", by),
                other => panic!("{other:?}"),
            };
            format!("[{word} {} {}]", shown(body), shown(by))
        }
        other => format!("{other:?}"),
    }
}

// ---- size and depth

fn only_code(text: &str) -> &'static str {
    let (_, sink) = syntax::parse(FileId(0), text);
    let all: BTreeSet<&str> = sink.iter().map(|finding| finding.code.name).collect();
    assert_eq!(all.len(), 1, "{all:?}");
    all.into_iter().next().unwrap()
}

#[test]
fn what_is_too_deep_or_too_long_is_refused_before_it_is_parsed() {
    assert_eq!(
        only_code(&format!("let a = {}1{}\n", "(".repeat(100_000), ")".repeat(100_000))),
        "too-deep"
    );
    assert_eq!(only_code(&format!("let a = {}\n", "(".repeat(100_000))), "too-deep");
    assert_eq!(
        only_code(&format!("let a = {}1{}\n", "(".repeat(201), ")".repeat(201))),
        "too-deep"
    );
    assert_eq!(only_code(&format!("let a = {}c\n", "if a then b else ".repeat(201))), "too-deep");
    assert_eq!(only_code(&format!("let a = {}c\n", "round ".repeat(5000))), "too-deep");
    assert_eq!(only_code(&format!("let a = a{}\n", " + a".repeat(1_000_000))), "too-long");
    assert_eq!(only_code(&format!("let a = a{}\n", " + a".repeat(5000))), "too-long");
    assert_eq!(only_code(&format!("let a = a{}\n", ".b".repeat(5000))), "too-long");
    assert_eq!(only_code(&"let a = 1\n".repeat(400_000)), "too-long");
}

#[test]
fn what_is_just_deep_enough_is_parsed_on_the_stack_of_a_thread() {
    let texts = [
        format!("let a = {}1{}\n", "(".repeat(200), ")".repeat(200)),
        format!("let a = {}1{}\n", "f { a: ".repeat(200), " }".repeat(200)),
        format!("let a = {}1{}\n", "[".repeat(200), "]".repeat(200)),
        format!("let a = {}c\n", "if a then b else ".repeat(200)),
        format!("let a = {}c{}\n", "(if a then b else ".repeat(199), ")".repeat(199)),
        format!("let a = {}c\n", "round ".repeat(200)),
        format!("let a = {}c{}\n", "2 of ".repeat(200), " around z".repeat(200)),
        format!("let a = a{}\n", " + a".repeat(999)),
        format!("let a = a{}\n", " raised a".repeat(999)),
    ];
    // Threads of the standard library have stacks of 2 MiB unless told otherwise.
    let run = move || {
        for text in texts {
            let (tree, sink) = syntax::parse(FileId(0), &text);
            assert!(!sink.has_errors(), "{:.40}: {sink:?}", text);
            assert_eq!(tree.items.len(), 1);
        }
    };
    std::thread::Builder::new().stack_size(2 << 20).spawn(run).unwrap().join().unwrap();
}

#[test]
fn tokens_give_the_text_back() {
    let mut back = String::new();
    let mut at = 0;
    for token in syntax::tokens(BUTTON_JAR) {
        back.push_str(&BUTTON_JAR[at..token.range.start]);
        back.push_str(&BUTTON_JAR[token.range.clone()]);
        at = token.range.end;
    }
    assert_eq!(back, BUTTON_JAR);
    let kinds: Vec<_> = syntax::tokens("a: \"x {b mm} y\" # c").iter().map(|t| t.kind).collect();
    use TokenKind::*;
    assert_eq!(kinds, [Word, Symbol, TextHead, Word, Word, TextTail, Comment]);
}
