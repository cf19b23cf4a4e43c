//! `sweep`: a design measured at many values of its givens.

mod report;
mod state;
mod vary;

use crate::diagnostics::Diagnostic;
use crate::output::pictures;
use crate::output::replace;
use crate::pipeline::{self, Care, Options, Progress, Reading, Silent};
use crate::source::DiskWorld;
use report::Sweep;
use state::{Outcome, State};
use std::path::{Path, PathBuf};

use super::args::{Format, Manner, SweepArgs};
use super::build::verdict;
use super::findings::Reporter;
use super::progress::StageLine;
use super::terminal::Terminal;
use super::{Exit, parallel};
pub use vary::{Vary, parse as parse_vary};

/// More variants than this are a slip of the pen.
const MOST_VARIANTS: usize = 10_000;

/// Crossings of limits that are told on the terminal, and in the report.
const TOLD: [usize; 2] = [12, 200];

/// `pipkin sweep`
pub fn sweep(args: &SweepArgs, manner: Manner, terminal: &mut Terminal) -> Exit {
    let mut reporter = Reporter::new(args.findings.message_format, &args.file);
    let reading = pipeline::read(&DiskWorld, &args.file);
    let done = measured(args, manner, &reading, terminal);
    let exit = match done {
        Ok((exit, told)) => {
            if !manner.quiet {
                terminal.result(&told);
            }
            exit
        }
        Err(findings) => {
            reporter.show(terminal, reading.sources(), &findings);
            verdict(&findings, false)
        }
    };
    reporter.close(terminal, false);
    exit
}

/// Measures what is not known yet, and writes the reports; gives what is told.
fn measured(
    args: &SweepArgs,
    manner: Manner,
    reading: &Reading,
    terminal: &Terminal,
) -> Result<(Exit, String), Vec<Diagnostic>> {
    let variants = variants(args, reading)?;
    let options: Vec<Options> = variants.iter().map(|v| options(args, v)).collect();
    let keys: Vec<String> = options.iter().map(|o| reading.key(&o.sets)).collect();
    let name = args.file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let folder = folder(args);
    let one = |finding: Box<Diagnostic>| vec![*finding];
    let mut state = State::open(&folder.join(format!("{name}.sweep.jsonl"))).map_err(one)?;
    let mut outcomes: Vec<Option<Outcome>> = keys.iter().map(|k| state.known(k).cloned()).collect();
    let open: Vec<usize> = (0..keys.len()).filter(|k| outcomes[*k].is_none()).collect();
    let known = keys.len() - open.len();
    let is_watched = terminal.is_watched() && !manner.quiet;
    let progress: Box<dyn Progress> =
        match is_watched && args.findings.message_format == Format::Human {
            true => Box::new(StageLine::start(&name)),
            false => Box::new(Silent),
        };
    let mut refused = None;
    let mut failed = 0;
    let measure = |k: &usize| reading.measure(&options[*k], Care::Meshes);
    parallel::each(&open, measure, |index, variant| {
        let outcome = Outcome::of(&keys[open[index]], &variant);
        failed += usize::from(outcome.errors().next().is_some());
        if let Err(finding) = state.add(&outcome) {
            refused.get_or_insert(finding);
        }
        outcomes[open[index]] = Some(outcome);
        let done = outcomes.iter().flatten().count();
        progress.stage(&format!("variants, {failed} failed"), done, keys.len());
    });
    drop(progress);
    if let Some(finding) = refused {
        return Err(vec![*finding]);
    }
    let outcomes: Vec<Outcome> = outcomes.into_iter().flatten().collect();
    let sweep = Sweep { name: &name, vary: &args.vary, variants: &variants, outcomes: &outcomes };
    check_shown(&args.show, &sweep)?;
    let files = written(&folder, &sweep, args, reading).map_err(one)?;
    let mut told = sweep.head(TOLD[0]);
    if known > 0 {
        told += &format!("  {known} variants were known from an earlier run\n");
    }
    told += &format!("wrote {}: {}\n", folder.display(), files.join(" "));
    let all_failed = sweep.failures().0 == outcomes.len();
    Ok((if all_failed { Exit::Errors } else { Exit::Clean }, told))
}

/// Numbers of values for each variant; the last given changes first.
fn variants(args: &SweepArgs, reading: &Reading) -> Result<Vec<Vec<usize>>, Vec<Diagnostic>> {
    let givens = reading.givens();
    let unknown = args.vary.iter().find(|v| !givens.contains(&v.name));
    if let Some(value) = unknown.and_then(|v| Some((v.name.clone(), v.values.first()?.clone()))) {
        // Whatever `check` says of it.
        let options = Options { sets: vec![value], ..Options::default() };
        return Err(pipeline::check(&DiskWorld, &args.file, &options).findings);
    }
    for (k, vary) in args.vary.iter().enumerate() {
        let again = args.vary[..k].iter().any(|v| v.name == vary.name);
        if again || args.set.iter().any(|(name, _)| *name == vary.name) {
            let message = format!("`{}` is given more than once, by --vary or --set", vary.name);
            let finding = Diagnostic::nowhere(pipeline::GIVEN_TWICE, message);
            return Err(vec![finding.help("say each given once")]);
        }
    }
    let count = args.vary.iter().map(|v| v.values.len()).try_fold(1usize, usize::checked_mul);
    let Some(count) = count.filter(|n| *n <= MOST_VARIANTS) else {
        let message = format!("these values make more than {MOST_VARIANTS} variants");
        let finding = Diagnostic::nowhere(pipeline::TOO_MANY_VARIANTS, message);
        return Err(vec![finding.help("take larger steps, or vary fewer givens")]);
    };
    let variant = |mut n: usize| {
        let mut numbers = vec![0; args.vary.len()];
        for (number, vary) in numbers.iter_mut().zip(&args.vary).rev() {
            *number = n % vary.values.len();
            n /= vary.values.len();
        }
        numbers
    };
    Ok((0..count).map(variant).collect())
}

fn options(args: &SweepArgs, variant: &[usize]) -> Options {
    let varied = args.vary.iter().zip(variant);
    let varied = varied.map(|(vary, k)| (vary.name.clone(), vary.values[*k].clone()));
    Options { sets: args.set.iter().cloned().chain(varied).collect(), ..Options::default() }
}

fn folder(args: &SweepArgs) -> PathBuf {
    let beside = args.file.parent().unwrap_or(Path::new(""));
    args.out.clone().unwrap_or_else(|| beside.join("sweep"))
}

/// Values that are to be shown must be there, unless nothing could be measured at all.
fn check_shown(shown: &[String], sweep: &Sweep<'_>) -> Result<(), Vec<Diagnostic>> {
    let names = sweep.value_names();
    let unknown = shown.iter().find(|name| !names.contains(name));
    match unknown.filter(|_| !names.is_empty()) {
        None => Ok(()),
        Some(name) => {
            let message = format!("no variant has a value called `{name}`");
            let finding = Diagnostic::nowhere(pipeline::NO_SUCH_VALUE, message);
            Err(vec![finding.help(format!("there are {}", names.join(", ")))])
        }
    }
}

/// Writes table and chart; gives their names.
fn written(
    folder: &Path,
    sweep: &Sweep<'_>,
    args: &SweepArgs,
    reading: &Reading,
) -> Result<Vec<String>, Box<Diagnostic>> {
    let table = sweep.table();
    let chart = sweep.chart(&args.show, &reading.digest());
    let head = sweep.head(TOLD[1]).replace('\n', "  \n");
    let files = [
        ("csv", table.csv()),
        ("md", format!("### Sweep of {}\n\n{head}\n{}", sweep.name, table.markdown())),
        ("svg", pictures::chart_svg(&chart)),
    ];
    let mut names = Vec::new();
    for (ending, text) in files {
        let file = format!("{}.sweep.{ending}", sweep.name);
        replace::put(&folder.join(&file), text.as_bytes())?;
        names.push(file);
    }
    Ok(names)
}
