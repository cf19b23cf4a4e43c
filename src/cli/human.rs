//! One finding for a person: the sentence, the lines it is about, the way out.
//!
//! ```text
//! error E0301 unit-mismatch: `sink` wants a length, this is an angle
//!    ,-[button-jar.pkn:46:9]
//! 46 |   sink: 2 deg
//!    |         ^^^^^ an angle
//!    help: write 2 mm, or say sagitta(jar.outside, 2 deg) if an angle was meant
//! ```

use crate::diagnostics::{Diagnostic, Severity};
use crate::source::{SourceMap, Span};
use clap::builder::styling::{AnsiColor, Style};

use super::findings::severity_word;
use super::snippet;
use super::terminal::Terminal;

/// Colours and characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Lines drawn with box characters; else with ASCII ones.
    pub drawn: bool,
    /// With colour.
    pub colour: bool,
}

impl Look {
    /// What standard error can show.
    pub fn of(terminal: &Terminal) -> Self {
        Look { drawn: terminal.is_watched(), colour: terminal.has_colour() }
    }

    /// `text` in bold and a colour, where there is colour.
    pub fn painted(self, colour: AnsiColor, text: &str) -> String {
        if !self.colour || text.is_empty() {
            return text.to_string();
        }
        let style = Style::new().bold().fg_color(Some(colour.into()));
        format!("{style}{text}{style:#}")
    }
}

/// The colour of a severity.
pub fn colour(severity: Severity) -> AnsiColor {
    match severity {
        Severity::Error => AnsiColor::Red,
        Severity::Warning => AnsiColor::Yellow,
    }
}

/// `error E0301 unit-mismatch`
pub fn title(finding: &Diagnostic) -> String {
    let Diagnostic { code, severity, .. } = finding;
    format!("{} {} {}", severity_word(*severity), code.id, code.name)
}

/// The whole finding, an empty line after it. `name` gives the name of a span's file.
pub fn finding(
    finding: &Diagnostic,
    sources: &SourceMap,
    name: &dyn Fn(Span) -> String,
    look: Look,
) -> String {
    let title = look.painted(colour(finding.severity), &title(finding));
    let mut text = format!("{title}: {}\n", clean(&finding.message));
    text += &snippet::snippets(finding, sources, name, look);
    for call in &finding.trace {
        let position = sources.position(call.span);
        let (file, line, column) = (name(call.span), position.line, position.column);
        text += &format!("   in {} at {file}:{line}:{column}\n", clean(&call.text));
    }
    for note in &finding.notes {
        text += &format!("   note: {}\n", clean(note));
    }
    for help in &finding.help {
        text += &format!("   {}: {}\n", look.painted(AnsiColor::Cyan, "help"), clean(help));
    }
    text + "\n"
}

/// Text from a file must not steer the terminal: control characters are replaced.
pub fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() && c != '\n' { '\u{fffd}' } else { c }).collect()
}
