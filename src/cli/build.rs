//! `check` and `build`.

use crate::diagnostics::{BUG, Code, Diagnostic, Severity};
use crate::evaluate;
use crate::output::manifest::Manifest;
use crate::output::replace;
use crate::pipeline::{self, Built, Bundle, Options, Progress, Silent};
use crate::source::DiskWorld;
use serde::Serialize;
use std::path::{Path, PathBuf};

use super::Exit;
use super::args::{BuildArgs, CheckArgs, Format, Manner, Values};
use super::findings::Reporter;
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

impl Run<'_> {
    /// Builds every size; those that fail are named at the end, the others are written.
    fn every_size(&mut self) -> Exit {
        let options = options(&self.args.values, &self.args.only);
        let checked = pipeline::check(&DiskWorld, &self.args.file, &options);
        if checked.sizes.is_empty() {
            self.reporter.show(self.terminal, &checked.sources, &checked.findings);
            if checked.findings.iter().any(|f| f.severity == Severity::Error) {
                return verdict(&checked.findings, false);
            }
            let file = self.args.file.display();
            let message = format!("`{file}` declares no sizes, there is nothing to build");
            let finding = Diagnostic::nowhere(pipeline::NO_SIZES, message)
                .help("leave --every-size out, or declare sizes { … }");
            self.reporter.show(self.terminal, &checked.sources, &[finding]);
            return Exit::Usage;
        }
        let mut failed = Vec::new();
        let mut worst = Exit::Clean;
        for size in &checked.sizes {
            if let Some(exit) = self.one(Some(size)) {
                failed.push(size.as_str());
                worst = if worst == Exit::Clean { exit } else { worst };
            }
        }
        if !failed.is_empty() && self.args.findings.message_format != Format::Json {
            let (some, all) = (failed.len(), checked.sizes.len());
            let names = failed.join(", ");
            self.terminal.tell(&format!("{some} of {all} sizes were not built: {names}\n"));
        }
        worst
    }

    /// Builds and writes one set; gives the exit code when it failed.
    fn one(&mut self, size: Option<&str>) -> Option<Exit> {
        let args = self.args;
        let values = Values { size: size.map(str::to_string), ..args.values.clone() };
        let options = Options { pictures: args.pictures, ..options(&values, &args.only) };
        let built = {
            let progress = self.progress(size);
            pipeline::build(&DiskWorld, &args.file, &options, progress.as_ref())
        };
        self.reporter.show(self.terminal, &built.sources, &built.findings);
        let exit = verdict(&built.findings, args.findings.deny.is_some());
        let Built { sources, bundle, .. } = built;
        let bundle = match bundle {
            Some(bundle) if exit == Exit::Clean => bundle,
            _ => return Some(if exit == Exit::Clean { Exit::Errors } else { exit }),
        };
        let folder = self.folder(size);
        if let Err(finding) = replace::replace(&folder, &bundle.files) {
            self.reporter.show(self.terminal, &sources, &[*finding]);
            return Some(Exit::Errors);
        }
        self.tell_result(&folder, &bundle);
        None
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

    fn tell_result(&mut self, folder: &Path, bundle: &Bundle) {
        if self.manner.quiet {
            return;
        }
        let names = || bundle.files.iter().map(|(name, _)| name.as_str());
        let text = match self.args.findings.message_format {
            Format::Human => sheet::sheet(&bundle.name, folder, names(), &bundle.manifest),
            Format::Short => {
                names().map(|name| format!("{}\n", folder.join(name).display())).collect()
            }
            Format::Json => json(folder, names().collect(), &bundle.manifest),
        };
        self.terminal.result(&text);
    }
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

fn options(values: &Values, only: &[String]) -> Options {
    Options {
        size: values.size.clone(),
        sets: values.set.clone(),
        only: only.to_vec(),
        ..Options::default()
    }
}

/// What findings mean for the exit code: when all that fails is what the command asked
/// for, the source is not to blame.
fn verdict(findings: &[Diagnostic], deny_warnings: bool) -> Exit {
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

fn is_about_the_command(code: Code) -> bool {
    evaluate::codes::USAGE.contains(&code) || code == pipeline::UNKNOWN_PART
}
