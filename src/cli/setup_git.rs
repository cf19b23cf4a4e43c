//! `setup-git`: tells git what designs, manifests and STL files are, so that its own
//! differences can be read. Shows first; writes only when asked.

use crate::diagnostics::Diagnostic;
use crate::output::replace;
use crate::pipeline;
use std::path::{Path, PathBuf};

use super::Exit;
use super::args::Manner;
use super::revision::git;
use super::terminal::Terminal;

/// Lines of `.gitattributes`. One line feed at the end of lines keeps the layout the same on
/// every machine; files of a build are told of, never merged by lines.
const ATTRIBUTES: [&str; 5] = [
    "*.pkn text eol=lf diff=pkn",
    "*.manifest.json text eol=lf diff=pkn-values -merge",
    "*.stl binary diff=pkn-values",
    "*.3mf binary",
    "*.step text eol=lf -diff -merge",
];

/// Settings of the work tree. The pattern finds the declaration that a changed line belongs to.
const SETTINGS: [(&str, &str); 3] = [
    (
        "diff.pkn.xfuncname",
        "^((given|let|motif|part|require|printer|material|seat|fit|bought|plate|props|about|sizes|shape)([[:blank:]{].*)?)$",
    ),
    ("diff.pkn-values.textconv", "pipkin tell"),
    ("diff.pkn-values.cachetextconv", "true"),
];

/// `pipkin setup-git`
pub fn setup_git(write: bool, manner: Manner, terminal: &mut Terminal) -> Exit {
    match work(write, manner, terminal) {
        Ok(()) => Exit::Clean,
        Err(finding) => {
            super::compare::tell(terminal, &finding);
            Exit::Errors
        }
    }
}

fn work(write: bool, manner: Manner, terminal: &mut Terminal) -> Result<(), Box<Diagnostic>> {
    let here = Path::new("");
    let top = git(here, ["rev-parse", "--show-toplevel"]).map_err(|why| refused(&why))?;
    let top = PathBuf::from(String::from_utf8_lossy(&top).trim_end_matches(['\n', '\r']));
    let path = top.join(".gitattributes");
    let known = std::fs::read_to_string(&path).unwrap_or_default();
    let lines: Vec<&str> =
        ATTRIBUTES.into_iter().filter(|l| !known.lines().any(|k| k.trim() == *l)).collect();
    let settings: Vec<(&str, &str)> =
        SETTINGS.into_iter().filter(|(name, value)| !is_set(here, name, value)).collect();
    if !manner.quiet {
        terminal.result(&shown(&lines, &settings, write));
    }
    if !write {
        return Ok(());
    }
    if !lines.is_empty() {
        let mut text = known.clone();
        if !text.is_empty() && !text.ends_with('\n') {
            text.push('\n');
        }
        lines.iter().for_each(|line| text += &format!("{line}\n"));
        match path.exists() {
            true => replace::rewrite(&path, text.as_bytes())?,
            false => replace::create(&path, text.as_bytes())?,
        }
    }
    for (name, value) in settings {
        git(here, ["config", "--local", name, value]).map_err(|why| refused(&why))?;
    }
    Ok(())
}

fn is_set(here: &Path, name: &str, value: &str) -> bool {
    let set = git(here, ["config", "--local", "--get", name]).unwrap_or_default();
    String::from_utf8_lossy(&set).trim_end_matches('\n') == value
}

/// What is written, in the words in which it could be typed by hand.
fn shown(lines: &[&str], settings: &[(&str, &str)], write: bool) -> String {
    if lines.is_empty() && settings.is_empty() {
        return "git knows all of it already\n".to_string();
    }
    let mut text = String::new();
    if !lines.is_empty() {
        text += "lines for .gitattributes, to be committed:\n";
        lines.iter().for_each(|line| text += &format!("  {line}\n"));
    }
    if !settings.is_empty() {
        text += "settings of this work tree, which every clone needs for itself:\n";
        for (name, value) in settings {
            text += &format!("  git config {name} '{}'\n", value);
        }
    }
    text += match write {
        true => "written\n",
        false => "nothing is written yet: pipkin setup-git --write\n",
    };
    text
}

fn refused(why: &str) -> Box<Diagnostic> {
    let finding = Diagnostic::nowhere(pipeline::NO_WORK_TREE, "this folder is in no git work tree");
    let finding = finding.help("run it in a work tree, or make one with git init");
    Box::new(if why.is_empty() { finding } else { finding.note(format!("git says: {why}")) })
}
