//! `check` and `build`.

use crate::diagnostics::{BUG, Code, Diagnostic, Severity};
use crate::evaluate;
use crate::output::manifest::Manifest;
use crate::output::replace;
use crate::pipeline::{self, Built, Bundle, Options, Progress, Silent};
use crate::source::{DiskWorld, SourceMap};
use serde::Serialize;
use std::path::{Path, PathBuf};

use super::Exit;
use super::args::{BuildArgs, CheckArgs, Format, Manner, SheetForm, Values};
use super::findings::Reporter;
use super::parallel;
use super::progress::StageLine;
use super::sheet;
use super::terminal::Terminal;

/// `pipkin check`
pub fn check(args: &CheckArgs, manner: Manner, terminal: &mut Terminal) -> Exit {
    let checked = pipeline::check(&DiskWorld, &args.file, &options(&args.values, &[]));
    let mut reporter = Reporter::new(args.findings.message_format, &args.file);
    reporter.show(terminal, &checked.sources, &checked.findings);
    let deny = args.findings.deny.is_some();
    reporter.close(terminal, deny);
    let exit = verdict(&checked.findings, deny);
    let is_told = args.findings.message_format == Format::Human && !manner.quiet;
    if let Some(model) = checked.model.filter(|_| exit == Exit::Clean && is_told) {
        terminal.result(&sheet::outline(&model, &checked.sizes));
    }
    exit
}

/// `pipkin build`
pub fn build(args: &BuildArgs, manner: Manner, terminal: &mut Terminal) -> Exit {
    let reporter = Reporter::new(args.findings.message_format, &args.file);
    let mut run = Run { args, manner, reporter, terminal };
    let exit = if args.every_size {
        run.every_size()
    } else {
        run.one(args.values.size.as_deref()).unwrap_or(Exit::Clean)
    };
    run.reporter.close(run.terminal, args.findings.deny.is_some());
    exit
}

/// One run of `build`.
struct Run<'a> {
    args: &'a BuildArgs,
    manner: Manner,
    reporter: Reporter,
    terminal: &'a mut Terminal,
}

/// What became of one set.
struct Outcome {
    sources: SourceMap,
    findings: Vec<Diagnostic>,
    /// The exit code, when it failed.
    failed: Option<Exit>,
    /// What was written, in words.
    told: String,
}

impl Run<'_> {
    /// Builds every size, on all threads; each that is whole is written at once, in the order
    /// of the text; those that fail are named at the end.
    fn every_size(&mut self) -> Exit {
        let reading = pipeline::read(&DiskWorld, &self.args.file);
        let sizes = reading.sizes();
        if sizes.is_empty() {
            return no_sizes(&self.args.file, &mut self.reporter, self.terminal);
        }
        let progress = self.progress(None);
        progress.stage("sizes", 0, sizes.len());
        let mut outcomes = Vec::new();
        let build = |size: &String| reading.build(&self.options(Some(size)), &Silent);
        parallel::in_order(&sizes, build, |index, built| {
            outcomes.push(self.written(Some(&sizes[index]), built));
            progress.stage("sizes", index + 1, sizes.len());
        });
        drop(progress);
        let mut failed = Vec::new();
        let mut worst = Exit::Clean;
        for (size, outcome) in sizes.iter().zip(outcomes) {
            if let Some(exit) = self.tell(outcome) {
                failed.push(size.as_str());
                worst = if worst == Exit::Clean { exit } else { worst };
            }
        }
        if !failed.is_empty() && self.args.findings.message_format != Format::Json {
            let (some, all) = (failed.len(), sizes.len());
            let names = failed.join(", ");
            self.terminal.tell(&format!("{some} of {all} sizes were not built: {names}\n"));
        }
        worst
    }

    /// Builds and writes one set; gives the exit code when it failed.
    fn one(&mut self, size: Option<&str>) -> Option<Exit> {
        let progress = self.progress(size);
        let options = self.options(size);
        let built = pipeline::build(&DiskWorld, &self.args.file, &options, progress.as_ref());
        drop(progress);
        let outcome = self.written(size, built);
        self.tell(outcome)
    }

    fn options(&self, size: Option<&str>) -> Options {
        let args = self.args;
        let values = Values { size: size.map(str::to_string), ..args.values.clone() };
        Options {
            pictures: args.pictures,
            with_props: args.with_props,
            ..options(&values, &args.only)
        }
    }

    /// Writes what was built, if it is without errors.
    fn written(&self, size: Option<&str>, built: Built) -> Outcome {
        let Built { sources, mut findings, bundle } = built;
        let exit = verdict(&findings, self.args.findings.deny.is_some());
        let mut failed = (exit != Exit::Clean).then_some(exit);
        let mut told = String::new();
        match bundle.filter(|_| exit == Exit::Clean) {
            Some(bundle) => {
                let folder = self.folder(size);
                match replace::replace(&folder, &bundle.files) {
                    Ok(()) => told = self.in_words(&folder, &bundle),
                    Err(finding) => {
                        findings.push(*finding);
                        failed = Some(Exit::Errors);
                    }
                }
            }
            None => failed = failed.or(Some(Exit::Errors)),
        }
        Outcome { sources, findings, failed, told }
    }

    fn tell(&mut self, outcome: Outcome) -> Option<Exit> {
        self.reporter.show(self.terminal, &outcome.sources, &outcome.findings);
        self.terminal.result(&outcome.told);
        outcome.failed
    }

    fn progress(&self, size: Option<&str>) -> Box<dyn Progress> {
        let human = self.args.findings.message_format == Format::Human;
        if self.manner.quiet || !human || !self.terminal.is_watched() {
            return Box::new(Silent);
        }
        let name = self.args.file.file_stem().unwrap_or_default().to_string_lossy();
        Box::new(StageLine::start(&match size {
            Some(size) => format!("{name} {size}"),
            None => name.to_string(),
        }))
    }

    fn folder(&self, size: Option<&str>) -> PathBuf {
        let beside = self.args.file.parent().unwrap_or(Path::new(""));
        let out = self.args.out.clone().unwrap_or_else(|| beside.join("out"));
        size.map_or(out.clone(), |size| out.join(size))
    }

    /// A form of the sheet that was asked for goes before the format of findings.
    fn in_words(&self, folder: &Path, bundle: &Bundle) -> String {
        if self.manner.quiet {
            return String::new();
        }
        let names = || bundle.files.iter().map(|(name, _)| name.as_str());
        let format = self.args.findings.message_format;
        match self.args.sheet.or((format == Format::Human).then_some(SheetForm::Text)) {
            Some(form) => sheet::sheet(&bundle.name, folder, names(), &bundle.manifest, form),
            None if format == Format::Json => json(folder, names().collect(), &bundle.manifest),
            None => names().map(|name| format!("{}\n", folder.join(name).display())).collect(),
        }
    }
}

/// Says what is wrong with a design of which every size was asked, and that has none.
pub fn no_sizes(file: &Path, reporter: &mut Reporter, terminal: &mut Terminal) -> Exit {
    let checked = pipeline::check(&DiskWorld, file, &Options::default());
    reporter.show(terminal, &checked.sources, &checked.findings);
    if checked.findings.iter().any(|f| f.severity == Severity::Error) {
        return verdict(&checked.findings, false);
    }
    let message = format!("`{}` declares no sizes", file.display());
    let finding = Diagnostic::nowhere(pipeline::NO_SIZES, message)
        .help("declare sizes { … }, or build the one that is there");
    reporter.show(terminal, &checked.sources, &[finding]);
    Exit::Usage
}

/// One line that says what was written.
fn json(folder: &Path, files: Vec<&str>, manifest: &Manifest) -> String {
    #[derive(Serialize)]
    struct Written<'a> {
        folder: String,
        size: Option<&'a str>,
        files: Vec<&'a str>,
    }
    let folder = folder.to_string_lossy().into_owned();
    let written = Written { folder, size: manifest.size.as_deref(), files };
    // This structure holds nothing that JSON lacks.
    serde_json::to_string(&written).map_or_else(|e| e.to_string(), |json| json + "\n")
}

/// The options of a run with these values.
pub(super) fn options(values: &Values, only: &[String]) -> Options {
    Options {
        size: values.size.clone(),
        sets: values.set.clone(),
        only: only.to_vec(),
        ..Options::default()
    }
}

/// What findings mean for the exit code: when all that fails is what the command asked
/// for, the source is not to blame.
pub fn verdict(findings: &[Diagnostic], deny_warnings: bool) -> Exit {
    let fails = |f: &&Diagnostic| deny_warnings || f.severity == Severity::Error;
    let failed: Vec<&Diagnostic> = findings.iter().filter(fails).collect();
    if failed.is_empty() {
        Exit::Clean
    } else if failed.iter().any(|f| f.code == BUG) {
        Exit::Bug
    } else if failed.iter().all(|f| is_about_the_command(f.code)) {
        Exit::Usage
    } else {
        Exit::Errors
    }
}

/// Codes beside those of values: what a command names is not there, or makes no sense.
const COMMAND_CODES: [Code; 4] = [
    pipeline::UNKNOWN_PART,
    pipeline::GIVEN_TWICE,
    pipeline::TOO_MANY_VARIANTS,
    pipeline::NO_SUCH_VALUE,
];

fn is_about_the_command(code: Code) -> bool {
    evaluate::codes::USAGE.contains(&code) || COMMAND_CODES.contains(&code)
}
