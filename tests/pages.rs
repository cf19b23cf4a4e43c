//! The page of every finding: its failing example yields exactly that finding, its
//! repaired one none.

use pipkin::diagnostics::{Code, Diagnostic};
use pipkin::pipeline::pages::{Page, all};
use pipkin::pipeline::{Options, Silent, build, check, codes};
use pipkin::source::MemoryWorld;
use std::collections::BTreeSet;
use std::path::Path;

/// A part of a page: the words of its heading and what stands under it.
struct Section<'a> {
    heading: &'a str,
    body: &'a str,
}

impl<'a> Section<'a> {
    /// The sections of a page under headings of the second level.
    fn all(page: &'a str) -> Vec<Section<'a>> {
        let sections = page.split("\n## ").skip(1);
        sections.map(|s| s.split_once('\n').unwrap_or((s, ""))).map(Section::of).collect()
    }

    fn of((heading, body): (&'a str, &'a str)) -> Self {
        Section { heading: heading.trim(), body }
    }

    /// Its only example.
    fn example(&self) -> Result<&'a str, String> {
        let blocks: Vec<&str> = self.body.split("```pkn\n").skip(1).collect();
        match blocks[..] {
            [block] => block
                .split_once("```")
                .map(|(text, _)| text)
                .ok_or_else(|| format!("`{}` has an open example", self.heading)),
            _ => Err(format!("`{}` has {} examples, not one", self.heading, blocks.len())),
        }
    }
}

fn findings(text: &str, with_geometry: bool) -> Vec<Diagnostic> {
    let world = MemoryWorld::with("page.pkn", text);
    let (path, options) = (Path::new("page.pkn"), Options::default());
    if with_geometry {
        build(&world, path, &options, &Silent).findings
    } else {
        check(&world, path, &options).findings
    }
}

/// What is wrong with a page.
fn faults(page: &Page) -> Result<(), String> {
    let title = format!("# {} {}", page.code, page.name);
    if page.text.lines().next() != Some(title.as_str()) {
        return Err(format!("does not begin with `{title}`"));
    }
    let sections = Section::all(page.text);
    let headings: Vec<&str> = sections.iter().map(|s| s.heading).collect();
    match headings[..] {
        ["When"] => Ok(()),
        ["Fails" | "Fails (build)", "Repaired"] => {
            let with_geometry = headings[0] == "Fails (build)";
            let found = findings(sections[0].example()?, with_geometry);
            let codes: BTreeSet<&str> = found.iter().map(|f| f.code.id).collect();
            if codes != BTreeSet::from([page.code]) {
                return Err(format!("the failing example yields {}", listed(&found)));
            }
            let found = findings(sections[1].example()?, with_geometry);
            if found.is_empty() {
                return Ok(());
            }
            Err(format!("the repaired example yields {}", listed(&found)))
        }
        _ => Err(format!("has the sections {headings:?}")),
    }
}

fn listed(found: &[Diagnostic]) -> String {
    let lines: Vec<String> = found
        .iter()
        .map(|f| format!("\n    {} {}: {}", f.code.id, f.code.name, f.message))
        .collect();
    if lines.is_empty() { "nothing".to_string() } else { lines.concat() }
}

#[test]
fn every_code_has_a_page_and_every_page_a_code() {
    let known: BTreeSet<(String, String)> =
        codes().iter().map(|Code { id, name }| (id.to_string(), name.to_string())).collect();
    let paged: BTreeSet<(String, String)> =
        all().iter().map(|p| (p.code.to_string(), p.name.to_string())).collect();
    let unpaged: Vec<_> = known.difference(&paged).collect();
    let unknown: Vec<_> = paged.difference(&known).collect();
    assert!(unpaged.is_empty(), "codes without a page: {unpaged:?}");
    assert!(unknown.is_empty(), "pages without a code: {unknown:?}");
}

#[test]
fn codes_and_names_are_given_once() {
    let all = codes();
    let ids: BTreeSet<&str> = all.iter().map(|c| c.id).collect();
    let names: BTreeSet<&str> = all.iter().map(|c| c.name).collect();
    assert_eq!((ids.len(), names.len()), (all.len(), all.len()));
    for Code { id, name } in all {
        let (block, number) = id.split_at(1);
        assert!(["E", "W", "B"].contains(&block) && number.len() == 4, "{id}");
        assert!(number.chars().all(|c| c.is_ascii_digit()), "{id}");
        assert!(name.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{name}");
    }
}

#[test]
fn failing_examples_fail_so_and_repaired_ones_do_not() {
    let pages = all();
    assert!(pages.len() >= 9, "only {} pages", pages.len());
    let wrong: Vec<String> = pages
        .iter()
        .filter_map(|page| faults(page).err().map(|fault| format!("{}: {fault}", page.code)))
        .collect();
    assert!(wrong.is_empty(), "{} pages are wrong:\n{}", wrong.len(), wrong.join("\n"));
}
