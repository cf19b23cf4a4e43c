//! The pages of findings.

use crate::pipeline::{codes, pages};

use super::Exit;
use super::terminal::Terminal;

/// Names farther from what was typed than this are not offered.
const NEAR: f64 = 0.85;

/// Prints the page of a code or a name, or the list of all.
pub fn explain(code: Option<&str>, terminal: &mut Terminal) -> Exit {
    let Some(asked) = code else {
        for page in pages::all() {
            terminal.result(&format!("{} {}\n", page.code, page.name));
        }
        return Exit::Clean;
    };
    // `error E0301 unit-mismatch` is often pasted whole.
    let words: Vec<&str> = asked.split(|c: char| c.is_whitespace() || c == ':').collect();
    if let Some(page) = words.iter().find_map(|word| pages::find(word)) {
        terminal.result(&plain(page.text));
        return Exit::Clean;
    }
    let offer = nearest(asked).map_or_else(
        || "`pipkin explain` lists all".to_string(),
        |name| format!("did you mean `{name}`?"),
    );
    terminal.tell(&format!("error: there is no finding `{asked}`; {offer}\n"));
    Exit::Usage
}

fn nearest(asked: &str) -> Option<String> {
    let asked = asked.to_lowercase();
    let names = codes().into_iter().flat_map(|c| [c.id.to_string(), c.name.to_string()]);
    names
        .map(|name| (strsim::jaro_winkler(&asked, &name.to_lowercase()), name))
        .filter(|(likeness, _)| *likeness >= NEAR)
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))
        .map(|(_, name)| name)
}

/// Markdown for a terminal: headings without marks, code set in by four blanks.
fn plain(markdown: &str) -> String {
    let mut text = String::new();
    let mut code = false;
    for line in markdown.lines() {
        if line.starts_with("```") {
            code = !code;
        } else if code && !line.is_empty() {
            text += &format!("    {line}\n");
        } else {
            text += line.trim_start_matches('#').trim_start();
            text.push('\n');
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_are_plain_text() {
        let page = "# E0301 unit-mismatch\n\nWords.\n\n```pkn\n# a comment\n\nx\n```\n";
        let expected = "E0301 unit-mismatch\n\nWords.\n\n    # a comment\n\n    x\n";
        assert_eq!(plain(page), expected);
    }
}
