//! `coupon`: what to print before the whole set.

use crate::output::replace;
use crate::pipeline::{self, Built, Options, Silent};
use crate::source::{DiskWorld, MemoryWorld};
use std::path::{Path, PathBuf};

use super::Exit;
use super::args::{CouponArgs, Manner, SheetForm};
use super::build::{options, verdict};
use super::findings::Reporter;
use super::sheet;
use super::terminal::Terminal;

/// Makes the coupons of a design, their own text among the files.
pub fn coupon(args: &CouponArgs, manner: Manner, terminal: &mut Terminal) -> Exit {
    let checked = pipeline::check(&DiskWorld, &args.file, &options(&args.values, &[]));
    let format = args.findings.message_format;
    let mut reporter = Reporter::new(format, &args.file);
    let Some(model) = checked.model else {
        reporter.show(terminal, &checked.sources, &checked.findings);
        reporter.close(terminal, false);
        return verdict(&checked.findings, false);
    };
    let folder = folder(args);
    let file = folder.join(format!("{}.pkn", pipeline::coupon::name(&model)));
    let world = MemoryWorld::with(&file, pipeline::coupon::text(&model));
    let asked = Options { keep_source: true, ..Options::default() };
    let Built { sources, findings, bundle } = pipeline::build(&world, &file, &asked, &Silent);
    let mut reporter = Reporter::new(format, &file);
    reporter.show(terminal, &sources, &findings);
    let deny = args.findings.deny.is_some();
    reporter.close(terminal, deny);
    let exit = verdict(&findings, deny);
    let Some(bundle) = bundle.filter(|_| exit == Exit::Clean) else {
        return if exit == Exit::Clean { Exit::Errors } else { exit };
    };
    if let Err(finding) = replace::replace(&folder, &bundle.files) {
        reporter.show(terminal, &sources, &[*finding]);
        return Exit::Errors;
    }
    if !manner.quiet {
        let names = bundle.files.iter().map(|(name, _)| name.as_str());
        terminal.result(&sheet::sheet(
            &bundle.name,
            &folder,
            names,
            &bundle.manifest,
            SheetForm::Text,
        ));
    }
    Exit::Clean
}

fn folder(args: &CouponArgs) -> PathBuf {
    let beside = args.file.parent().unwrap_or(Path::new(""));
    args.out.clone().unwrap_or_else(|| beside.join("coupon"))
}
