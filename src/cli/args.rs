//! The command line's grammar.

use clap::{Args, Parser, Subcommand, ValueEnum, ValueHint};
use std::path::PathBuf;

use super::help;
use super::sweep::{Vary, parse_vary};

/// Compiles a text file into printed parts that fit each other.
#[derive(Debug, Parser)]
#[command(name = "pipkin", version, after_help = help::TOP, max_term_width = 100)]
#[command(propagate_version = true, disable_help_subcommand = true)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// How this run speaks.
    #[command(flatten)]
    pub manner: Manner,
}

/// How one run speaks.
#[derive(Clone, Copy, Debug, Args)]
pub struct Manner {
    /// When to use colour; `auto`: on terminals, unless NO_COLOR is set
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    pub color: ColourWhen,
    /// No summary and no progress, only findings
    #[arg(short, long, global = true)]
    pub quiet: bool,
}

// The variants of value enums have plain comments: doc comments would make `--help` list
// each on a line of its own.

/// When there is colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ColourWhen {
    // On a terminal, unless NO_COLOR is set
    Auto,
    // Also into files and pipes
    Always,
    // Never
    Never,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Look for mistakes, without making geometry
    #[command(after_help = help::CHECK)]
    Check(CheckArgs),
    /// Make the files of every part, and measure how they fit
    #[command(after_help = help::BUILD)]
    Build(BuildArgs),
    /// Make what to print before a design: ladders of its gaps, and what tells the printer
    #[command(after_help = help::COUPON)]
    Coupon(CouponArgs),
    /// Show a design in the browser while it is edited
    #[command(after_help = help::WATCH)]
    Watch(WatchArgs),
    /// Measure every size of a design, in one table
    #[command(after_help = help::SIZES)]
    Sizes(SizesArgs),
    /// Measure a design at many values of its givens: a table and a chart
    #[command(after_help = help::SWEEP)]
    Sweep(SweepArgs),
    /// Tell what differs between two designs: what they say, what that came to, their form
    #[command(after_help = help::COMPARE)]
    Compare(CompareArgs),
    /// Say in a few lines what a manifest or an STL file holds
    #[command(after_help = help::TELL)]
    Tell {
        /// A file that a build wrote
        #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
        file: PathBuf,
    },
    /// Let git show changes of designs by declaration, and of built files by value
    #[command(after_help = help::SETUP_GIT)]
    SetupGit {
        /// Write what is shown
        #[arg(long)]
        write: bool,
    },
    /// Put files into the one layout that all files have
    #[command(after_help = help::FORMAT)]
    Format(FormatArgs),
    /// Show the page of a finding: what it means, a file that fails, the same repaired
    #[command(after_help = help::EXPLAIN)]
    Explain {
        /// A code or its name, E0301 or unit-mismatch; none: list them all
        #[arg(value_name = "CODE")]
        code: Option<String>,
    },
    /// Write a starter file that builds
    #[command(after_help = help::NEW)]
    New {
        /// The design's name, with folders before it if you like
        #[arg(value_name = "NAME", value_hint = ValueHint::AnyPath)]
        name: PathBuf,
    },
    /// Print a script that completes commands and options in your shell
    #[command(after_help = help::COMPLETIONS)]
    Completions {
        /// Your shell
        #[arg(value_name = "SHELL")]
        shell: clap_complete::Shell,
    },
}

/// What `check` needs.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// The design
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// Which values.
    #[command(flatten)]
    pub values: Values,
    /// How findings are shown.
    #[command(flatten)]
    pub findings: FindingArgs,
}

/// What `build` needs.
#[derive(Debug, Args)]
pub struct BuildArgs {
    /// The design
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// Where the files go; a size goes into a folder of its name in there
    /// [default: out, beside FILE]
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub out: Option<PathBuf>,
    /// Which values.
    #[command(flatten)]
    pub values: Values,
    /// Build every size of the file's `sizes`
    #[arg(long, conflicts_with = "size")]
    pub every_size: bool,
    /// Write the files of this part only; may be repeated
    #[arg(long, value_name = "PART")]
    pub only: Vec<String>,
    /// Make pictures, too: a drawing, shaded views, and a page to turn, cut and measure in
    #[arg(long)]
    pub pictures: bool,
    /// Put the props under a part into its STL file, too; the 3MF file always holds them
    #[arg(long)]
    pub with_props: bool,
    /// How the sheet of what was measured is written
    #[arg(long, value_name = "FORM")]
    pub sheet: Option<SheetForm>,
    /// How findings are shown.
    #[command(flatten)]
    pub findings: FindingArgs,
}

/// What `watch` needs.
#[derive(Debug, Args)]
pub struct WatchArgs {
    /// The design
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// The port of the page on this machine [default: the first free one from 7424 on]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    pub port: Option<u16>,
    /// Which values.
    #[command(flatten)]
    pub values: Values,
}

/// How the sheet of what was measured is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SheetForm {
    // Aligned columns
    Text,
    // Tables of Markdown
    Markdown,
}

/// What `sizes` needs.
#[derive(Debug, Args)]
pub struct SizesArgs {
    /// The design
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// Give an input that no size fixes another value; may be repeated
    #[arg(long, value_name = "NAME=VALUE", value_parser = parse_set)]
    pub set: Vec<(String, String)>,
    /// How the table is written
    #[arg(long, value_name = "FORM", default_value = "text")]
    pub report: TableForm,
    /// How findings are shown.
    #[command(flatten)]
    pub findings: FindingArgs,
}

/// What `sweep` needs.
#[derive(Debug, Args)]
pub struct SweepArgs {
    /// The design
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// A given and its values, bore=40mm..140mm/5mm or wall=2mm,3mm; may be repeated: every
    /// combination is measured, the chart runs along the first
    #[arg(long, value_name = "NAME=VALUES", required = true, value_parser = parse_vary)]
    pub vary: Vec<Vary>,
    /// Give another input one value; may be repeated
    #[arg(long, value_name = "NAME=VALUE", value_parser = parse_set)]
    pub set: Vec<(String, String)>,
    /// Show this value in the chart, by its name in the table; may be repeated
    /// [default: all but sizes]
    #[arg(long, value_name = "VALUE")]
    pub show: Vec<String>,
    /// Where table, chart and what was measured go [default: sweep, beside FILE]
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub out: Option<PathBuf>,
    /// How findings are shown.
    #[command(flatten)]
    pub findings: FindingArgs,
}

/// What `coupon` needs.
#[derive(Debug, Args)]
pub struct CouponArgs {
    /// The design
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// Where the files go [default: coupon, beside FILE]
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub out: Option<PathBuf>,
    /// Which values.
    #[command(flatten)]
    pub values: Values,
    /// How findings are shown.
    #[command(flatten)]
    pub findings: FindingArgs,
}

/// How a table is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum TableForm {
    // Aligned columns
    Text,
    // A table of Markdown
    Markdown,
    // Comma-separated values, one column for each measured value
    Csv,
}

/// What `compare` needs.
#[derive(Debug, Args)]
pub struct CompareArgs {
    /// A file, a folder with a design, a manifest, or REV:FILE of a git work tree; alone: this
    /// file as the last commit has it against the file as it is now
    #[arg(value_name = "OLD", value_hint = ValueHint::AnyPath)]
    pub old: String,
    /// The other side, likewise
    #[arg(value_name = "NEW", value_hint = ValueHint::AnyPath)]
    pub new: Option<String>,
    /// Which values, on both sides.
    #[command(flatten)]
    pub values: Values,
    /// How the report is written
    #[arg(long, value_name = "FORM", default_value = "text")]
    pub report: ReportForm,
    /// Write the report in all forms, and pictures, into this folder
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub out: Option<PathBuf>,
    /// Exit with 1 when a fit or a rule newly crosses its limit
    #[arg(long, value_name = "WHAT")]
    pub fail_on: Option<FailOn>,
}

/// How a report is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ReportForm {
    // Aligned columns
    Text,
    // Tables, for a review comment
    Markdown,
    // One file with pictures in it
    Html,
    // One JSON object
    Json,
}

/// What lets a comparison fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum FailOn {
    // A limit that is newly crossed
    Fit,
}

/// What `format` needs.
#[derive(Debug, Args)]
pub struct FormatArgs {
    /// Files to rewrite; `-` reads standard input and writes to standard output
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath, required = true)]
    pub files: Vec<PathBuf>,
    /// Write nothing: list the files that would change, and exit with 1 if there are any
    #[arg(long)]
    pub check: bool,
}

/// Values from outside.
#[derive(Clone, Debug, Args)]
pub struct Values {
    /// Give an input another value, --set bore=80mm; may be repeated
    #[arg(long, value_name = "NAME=VALUE", value_parser = parse_set)]
    pub set: Vec<(String, String)>,
    /// Take the values of a size of the file's `sizes`
    #[arg(long, value_name = "NAME")]
    pub size: Option<String>,
}

/// How findings are shown.
#[derive(Clone, Copy, Debug, Args)]
pub struct FindingArgs {
    /// How findings are shown: with their text, one a line, one JSON object a line
    #[arg(long, value_name = "FORMAT", default_value = "human")]
    pub message_format: Format,
    /// Let warnings fail the run, too
    #[arg(long, value_name = "KIND")]
    pub deny: Option<Denied>,
}

/// How findings are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    // With the text around them
    Human,
    // One line each: FILE:LINE:COLUMN: message
    Short,
    // One JSON object a line
    Json,
}

/// What counts as an error, too.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Denied {
    // All warnings
    Warnings,
}

fn parse_set(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((name, value)) if !name.trim().is_empty() && !value.trim().is_empty() => {
            Ok((name.trim().to_string(), value.trim().to_string()))
        }
        _ => Err("write it as NAME=VALUE, like bore=80mm".to_string()),
    }
}
