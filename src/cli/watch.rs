//! `watch`: the page of a design that is being edited.

use crate::pipeline::{Options, Previewed};
use crate::server::{self, Listener, Watch};
use crate::source::SourceMap;
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use super::Exit;
use super::args::{Format, Manner, WatchArgs};
use super::findings::Reporter;
use super::terminal::Terminal;

/// `pipkin watch`
pub fn watch(args: &WatchArgs, manner: Manner, terminal: &mut Terminal) -> Exit {
    let options = Options {
        size: args.values.size.clone(),
        sets: args.values.set.clone(),
        ..Options::default()
    };
    let watched = Watch { file: args.file.clone(), port: args.port, options };
    let teller = Teller { file: &args.file, manner, terminal: Mutex::new(terminal) };
    let Err(finding) = server::watch(&watched, &teller) else { return Exit::Clean };
    let mut reporter = Reporter::new(Format::Human, &args.file);
    reporter.show(&mut teller.terminal(), &SourceMap::default(), &[*finding]);
    Exit::Usage
}

/// Tells the terminal what happens.
struct Teller<'a> {
    file: &'a Path,
    manner: Manner,
    terminal: Mutex<&'a mut Terminal>,
}

impl<'a> Teller<'a> {
    fn terminal(&self) -> MutexGuard<'_, &'a mut Terminal> {
        self.terminal.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Listener for Teller<'_> {
    fn ready(&self, address: &str) {
        self.terminal().result(&format!("{address}\n"));
    }

    fn built(&self, built: &Previewed, took: Duration) {
        let mut terminal = self.terminal();
        let mut reporter = Reporter::new(Format::Human, self.file);
        reporter.show(&mut terminal, &built.sources, &built.findings);
        reporter.close(&mut terminal, false);
        if !self.manner.quiet {
            let file = self.file.display();
            let what = if built.page.scene.is_some() { "shown" } else { "not shown" };
            terminal.tell(&format!("{file}: {what}, {} ms\n", took.as_millis()));
        }
    }
}
