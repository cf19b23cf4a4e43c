//! The two streams. A closed pipe ends the talk, not the run.

use anstream::ColorChoice;
use std::io::{self, IsTerminal, Write};

use super::args::ColourWhen;

/// Standard output and standard error of this run.
#[derive(Debug)]
pub struct Terminal {
    colour: ColourWhen,
    failed: Option<io::Error>,
}

impl Terminal {
    /// The streams of this process.
    pub fn new(colour: ColourWhen) -> Self {
        Terminal { colour, failed: None }
    }

    /// Writes a result to standard output.
    pub fn result(&mut self, text: &str) {
        if self.failed.is_none() {
            let mut stream = anstream::AutoStream::new(io::stdout().lock(), self.choice_out());
            self.failed = stream.write_all(text.as_bytes()).and_then(|()| stream.flush()).err();
        }
    }

    /// Writes anything else to standard error. When that is closed there is nobody
    /// left to tell, so a failure is passed over.
    pub fn tell(&mut self, text: &str) {
        let mut stream = anstream::AutoStream::new(io::stderr().lock(), self.choice_err());
        let _ = stream.write_all(text.as_bytes()).and_then(|()| stream.flush());
    }

    /// Why a result could not be written. A reader that has seen enough and closed the
    /// pipe is no failure.
    pub fn failure(&self) -> Option<&io::Error> {
        self.failed.as_ref().filter(|e| e.kind() != io::ErrorKind::BrokenPipe)
    }

    /// Whether standard error is a person's terminal: progress, drawn lines.
    pub fn is_watched(&self) -> bool {
        io::stderr().is_terminal()
    }

    /// Whether findings may have colour.
    pub fn has_colour(&self) -> bool {
        self.choice_err() != ColorChoice::Never
    }

    fn choice_out(&self) -> ColorChoice {
        self.choice(&anstream::AutoStream::choice(&io::stdout()))
    }

    fn choice_err(&self) -> ColorChoice {
        self.choice(&anstream::AutoStream::choice(&io::stderr()))
    }

    /// `detected` knows of terminals and of `NO_COLOR` and its kin.
    fn choice(&self, detected: &ColorChoice) -> ColorChoice {
        match self.colour {
            ColourWhen::Auto => *detected,
            ColourWhen::Always => ColorChoice::Always,
            ColourWhen::Never => ColorChoice::Never,
        }
    }
}
