//! Progress for work over half a second, on a terminal only.

use crate::pipeline::Progress;
use indicatif::{ProgressBar, ProgressStyle};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::Duration;

/// Time between two pictures of the spinner.
const TICK: Duration = Duration::from_millis(100);
/// Work that is done within so many ticks shows nothing.
const PATIENCE: u32 = 5;

/// A line on standard error that says which stage is at work.
#[derive(Debug)]
pub struct StageLine {
    stage: Arc<Mutex<String>>,
    painter: Option<(Sender<()>, JoinHandle<()>)>,
}

impl StageLine {
    /// Starts to wait; `title` stands before each stage.
    pub fn start(title: &str) -> Self {
        let stage = Arc::new(Mutex::new(String::new()));
        let (sender, done) = channel();
        let (title, shared) = (title.to_string(), Arc::clone(&stage));
        let painter = std::thread::spawn(move || paint(&title, &shared, &done));
        StageLine { stage, painter: Some((sender, painter)) }
    }
}

impl Drop for StageLine {
    /// Takes the line away.
    fn drop(&mut self) {
        if let Some((sender, painter)) = self.painter.take() {
            drop(sender);
            let _ = painter.join();
        }
    }
}

impl Progress for StageLine {
    fn stage(&self, what: &str, step: usize, steps: usize) {
        let mut stage = self.stage.lock().unwrap_or_else(PoisonError::into_inner);
        *stage = format!("{step}/{steps} {what}");
    }
}

/// Paints until the other end of `done` is gone.
fn paint(title: &str, stage: &Mutex<String>, done: &Receiver<()>) {
    let mut bar: Option<ProgressBar> = None;
    let mut ticks = 0;
    while done.recv_timeout(TICK) == Err(RecvTimeoutError::Timeout) {
        ticks += 1;
        if ticks >= PATIENCE {
            let stage = stage.lock().unwrap_or_else(PoisonError::into_inner).clone();
            let bar = bar.get_or_insert_with(spinner);
            bar.set_message(format!("{title}: {stage}"));
            bar.tick();
        }
    }
    if let Some(bar) = bar {
        bar.finish_and_clear();
    }
}

fn spinner() -> ProgressBar {
    ProgressBar::new_spinner().with_style(ProgressStyle::default_spinner())
}
