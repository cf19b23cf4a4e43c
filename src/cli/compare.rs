//! `compare`: two sides read, a report told.

use crate::compare::{Compared, compare as compare_sides};
use crate::diagnostics::{BUG, Diagnostic};
use crate::output::pictures::PictureError;
use crate::output::replace;
use crate::pipeline::{Options, Progress, Silent};
use crate::source::SourceMap;
use std::path::Path;

use super::Exit;
use super::args::{CompareArgs, FailOn, Format, Manner, ReportForm};
use super::findings::Reporter;
use super::progress::StageLine;
use super::sides::{Place, ReadSide};
use super::terminal::Terminal;

/// `pipkin compare`
pub fn compare(args: &CompareArgs, manner: Manner, terminal: &mut Terminal) -> Exit {
    let (old, new) = match read_sides(args, manner, terminal) {
        Ok(sides) => sides,
        Err(finding) => {
            tell(terminal, &finding);
            return Exit::Errors;
        }
    };
    let compared = compare_sides(&old.side(), &new.side());
    let name = name_of(&new, &old);
    let written = match put_down(args, &compared, &name, [&old, &new]) {
        Ok(written) => written,
        Err(finding) => {
            tell(terminal, &finding);
            return Exit::Errors;
        }
    };
    match told(&compared, args.report, [&old, &new]) {
        Ok(text) if !manner.quiet => terminal.result(&(text + &written)),
        Ok(_) => {}
        Err(finding) => {
            tell(terminal, &finding);
            return Exit::Bug;
        }
    }
    let mut has_errors = false;
    for side in [&old, &new] {
        let (Some((study, root)), errors) = (side.study(), side.errors()) else { continue };
        if !errors.is_empty() {
            has_errors = true;
            let mut reporter = Reporter::new(Format::Human, root);
            reporter.show(terminal, &study.sources, &errors);
            reporter.close(terminal, false);
        }
    }
    verdict(&compared, has_errors, args.fail_on)
}

fn verdict(compared: &Compared, has_errors: bool, fail_on: Option<FailOn>) -> Exit {
    let report = &compared.report;
    if has_errors || (report.crossed && fail_on == Some(FailOn::Fit)) {
        Exit::Errors
    } else if report.changed == Some(false) {
        Exit::Clean
    } else {
        Exit::Changed
    }
}

fn told(
    compared: &Compared,
    form: ReportForm,
    [old, new]: [&ReadSide; 2],
) -> Result<String, Box<Diagnostic>> {
    let report = &compared.report;
    Ok(match form {
        ReportForm::Text => report.to_text(),
        ReportForm::Markdown => report.to_markdown(),
        ReportForm::Json => report.to_json(),
        ReportForm::Html => {
            compared.to_html(&old.side(), &new.side()).map_err(|e| no_picture(&e))?
        }
    })
}

/// Writes all forms and the pictures where a folder was named; says so below the text.
fn put_down(
    args: &CompareArgs,
    compared: &Compared,
    name: &str,
    [old, new]: [&ReadSide; 2],
) -> Result<String, Box<Diagnostic>> {
    let Some(folder) = &args.out else { return Ok(String::new()) };
    let written = compared.files(name, &old.side(), &new.side()).map_err(|e| no_picture(&e))?;
    replace::replace(folder, &written.files)?;
    if args.report != ReportForm::Text {
        return Ok(String::new());
    }
    let names: Vec<&str> = written.files.iter().map(|(name, _)| name.as_str()).collect();
    Ok(format!("\nwrote {}: {}\n", folder.display(), names.join(" ")))
}

/// Too large a picture for PNG does not happen at our sizes.
fn no_picture(error: &PictureError) -> Box<Diagnostic> {
    Box::new(Diagnostic::nowhere(BUG, format!("a picture cannot be written: {}", error.reason)))
}

/// The design's name, after which files are named.
fn name_of(new: &ReadSide, old: &ReadSide) -> String {
    let root = new.study().or_else(|| old.study()).map(|(_, root)| root.to_path_buf());
    let stem = root.as_deref().and_then(Path::file_stem).map(|s| s.to_string_lossy().into_owned());
    stem.unwrap_or_else(|| "design".to_string())
}

/// Both sides; of one word, the last commit and the work tree.
fn read_sides(
    args: &CompareArgs,
    manner: Manner,
    terminal: &Terminal,
) -> Result<(ReadSide, ReadSide), Box<Diagnostic>> {
    let options = Options {
        size: args.values.size.clone(),
        sets: args.values.set.clone(),
        ..Options::default()
    };
    let places = match &args.new {
        Some(new) => [(Place::of(&args.old), args.old.clone()), (Place::of(new), new.clone())],
        None => {
            let path = Path::new(&args.old);
            let head = (Place::at_head(path), format!("HEAD:{}", args.old));
            [head, (Place::Disk(path.to_path_buf()), args.old.clone())]
        }
    };
    let [old, new] = places;
    let read = |(place, label): (Place, String)| {
        let progress: Box<dyn Progress> = match manner.quiet || !terminal.is_watched() {
            true => Box::new(Silent),
            false => Box::new(StageLine::start(&label)),
        };
        ReadSide::read(&place, label, &options, progress.as_ref())
    };
    Ok((read(old)?, read(new)?))
}

/// Shows one finding that has no place in a text.
pub fn tell(terminal: &mut Terminal, finding: &Diagnostic) {
    let mut reporter = Reporter::new(Format::Human, Path::new(""));
    reporter.show(terminal, &SourceMap::default(), std::slice::from_ref(finding));
    reporter.close(terminal, false);
}
