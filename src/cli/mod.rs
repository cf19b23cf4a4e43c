//! The command line: arguments in, findings and results out, an exit code.
//!
//! In: arguments, files through the disk's world. Out: text on two streams, files
//! through `output::replace`. Kept out: anything that decides about a design.

mod args;
mod bug;
mod build;
mod compare;
mod coupon;
mod explain;
mod findings;
mod format;
mod help;
mod human;
mod parallel;
mod progress;
mod revision;
mod setup_git;
mod sheet;
mod sides;
mod sizes;
mod snippet;
mod starter;
mod sweep;
mod table;
mod tell;
mod terminal;
mod watch;

use args::{Cli, ColourWhen, Command};
use clap::{ColorChoice, CommandFactory, FromArgMatches};
use std::ffi::OsString;
use terminal::Terminal;

/// How a run ends. A contract with scripts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// All is well.
    Clean = 0,
    /// The source has errors, or the files could not be written.
    Errors = 1,
    /// The command makes no sense.
    Usage = 2,
    /// We are wrong.
    Bug = 3,
    /// Form or fit differ between two sides that were compared.
    Changed = 4,
}

/// Runs the command that `arguments` (the program's name first) ask for.
pub fn run(arguments: Vec<OsString>) -> Exit {
    let parsed = Cli::command()
        .color(colour_of(&arguments))
        .try_get_matches_from(&arguments)
        .and_then(|matches| Cli::from_arg_matches(&matches));
    let cli = match parsed {
        Ok(cli) => cli,
        Err(refusal) => {
            // A closed pipe leaves nobody to tell.
            let _ = refusal.print();
            return if refusal.use_stderr() { Exit::Usage } else { Exit::Clean };
        }
    };
    let mut terminal = Terminal::new(cli.manner.color);
    let exit = bug::guarded(&mut terminal, &arguments, |terminal| command(&cli, terminal));
    match terminal.failure() {
        Some(failure) if exit == Exit::Clean => {
            let text = format!("error: standard output cannot be written: {failure}\n");
            terminal.tell(&text);
            Exit::Errors
        }
        _ => exit,
    }
}

fn command(cli: &Cli, terminal: &mut Terminal) -> Exit {
    match &cli.command {
        Command::Check(args) => build::check(args, cli.manner, terminal),
        Command::Build(args) => build::build(args, cli.manner, terminal),
        Command::Coupon(args) => coupon::coupon(args, cli.manner, terminal),
        Command::Watch(args) => watch::watch(args, cli.manner, terminal),
        Command::Sweep(args) => sweep::sweep(args, cli.manner, terminal),
        Command::Sizes(args) => sizes::sizes(args, terminal),
        Command::Compare(args) => compare::compare(args, cli.manner, terminal),
        Command::Tell { file } => tell::tell(file, terminal),
        Command::SetupGit { write } => setup_git::setup_git(*write, cli.manner, terminal),
        Command::Format(args) => format::format(args, cli.manner, terminal),
        Command::Explain { code } => explain::explain(code.as_deref(), terminal),
        Command::New { name } => starter::write(name, cli.manner, terminal),
        Command::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(*shell, &mut Cli::command(), "pipkin", &mut script);
            terminal.result(&String::from_utf8_lossy(&script));
            Exit::Clean
        }
    }
}

/// What `--color` says, read before the arguments are parsed: refusals and help are
/// coloured, too.
fn colour_of(arguments: &[OsString]) -> ColorChoice {
    let mut words = arguments.iter().map(|a| a.to_string_lossy());
    let mut choice = ColourWhen::Auto;
    while let Some(word) = words.next() {
        let value = match word.strip_prefix("--color") {
            Some("") => words.next().map(|w| w.to_string()),
            Some(rest) => rest.strip_prefix('=').map(str::to_string),
            None => None,
        };
        match value.as_deref() {
            Some("always") => choice = ColourWhen::Always,
            Some("never") => choice = ColourWhen::Never,
            _ => {}
        }
    }
    match choice {
        ColourWhen::Auto => ColorChoice::Auto,
        ColourWhen::Always => ColorChoice::Always,
        ColourWhen::Never => ColorChoice::Never,
    }
}
