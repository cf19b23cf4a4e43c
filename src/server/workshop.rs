//! What is built, when, and for whom.

use super::Listener;
use super::changes::{self, Noting, Print};
use super::gate::{Secrets, Sets};
use super::{now, token, write_back};
use crate::diagnostics::{BUG, Diagnostic};
use crate::output::pictures;
use crate::pipeline::{self, Look, Options, Previewed, Progress};
use crate::source::DiskWorld;
use serde::Serialize;
use std::collections::{BTreeMap, VecDeque};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// Time between two looks at the files: far below what is felt, and nothing for the system.
const LOOK: Duration = Duration::from_millis(20);

/// A changed file is read once it has stayed as it is for so long: editors write in steps.
const SETTLED: Duration = Duration::from_millis(8);

/// A file that an editor replaces is not there for a moment; after so long it is gone.
const GONE: Duration = Duration::from_millis(150);

/// The terminal is told so much later where pages look on: theirs is built first.
const PAGES_FIRST: Duration = Duration::from_millis(30);

/// All of a design is built once nothing was asked for so long.
const CALM: Duration = Duration::from_millis(150);

/// How long a page waits for news before it asks again.
const WAIT: Duration = Duration::from_secs(20);

/// Pages that are known at a time; the one that asked longest ago is forgotten.
const MOST_PAGES: usize = 32;

/// Ends the name of a result that is soon followed by all of it.
const FIRST: &str = ".first";

/// Results that are kept: moving a slider back costs nothing.
const KEPT: usize = 16;

/// One result, as it is sent.
#[derive(Debug)]
pub struct Built {
    state: String,
    /// The answer's text.
    pub json: String,
    previewed: Previewed,
    took: Duration,
}

/// What a page gets.
#[derive(Serialize)]
struct News<'a> {
    state: &'a str,
    millis: u64,
    file: String,
    design: &'a pictures::PageDesign,
}

/// What a page gets that wanted to write.
#[derive(Default, Serialize)]
struct Written {
    /// Why not; empty when it was written.
    refused: Vec<String>,
}

#[derive(Debug, Default)]
struct Shared {
    /// Counts changes of the files.
    generation: u64,
    /// Every file of the newest build, as it was when it was read.
    files: BTreeMap<PathBuf, Print>,
    /// The number of the newest wish of each page, by its name.
    pages: BTreeMap<String, u64>,
    wishes: u64,
    kept: VecDeque<Arc<Built>>,
}

/// The state that all threads share.
#[derive(Debug)]
pub struct Workshop {
    file: PathBuf,
    options: Options,
    key: String,
    token: String,
    /// Begins the name of every result, so that none is taken for one of another run.
    run: String,
    shared: Mutex<Shared>,
    changed: Condvar,
    /// One build at a time.
    bench: Mutex<()>,
}

/// Which result: of which files, with which values.
#[derive(Clone, Copy)]
struct Order<'a> {
    generation: u64,
    sets: &'a Sets,
    look: Look,
}

impl Workshop {
    /// For one design.
    pub fn new(file: PathBuf, options: Options) -> Self {
        Workshop {
            file,
            options,
            key: token::token(),
            token: token::token(),
            run: token::token()[..8].to_string(),
            shared: Mutex::default(),
            changed: Condvar::new(),
            bench: Mutex::default(),
        }
    }

    /// The design.
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// What must be in the address, and what comes with what writes.
    pub fn secrets(&self) -> Secrets<'_> {
        Secrets { key: &self.key, token: &self.token }
    }

    fn shared(&self) -> MutexGuard<'_, Shared> {
        self.shared.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Looks at the files for ever, and counts their changes.
    pub fn look(&self) {
        loop {
            std::thread::sleep(LOOK);
            let files = self.shared().files.clone();
            if !changes::any(&files) {
                continue;
            }
            let settled = settle(&files);
            let mut shared = self.shared();
            for (path, print) in settled {
                shared.files.insert(path, print);
            }
            shared.generation += 1;
            drop(shared);
            self.changed.notify_all();
        }
    }

    /// Builds after every change, for ever, whether a page looks or not.
    pub fn follow(&self, listener: &dyn Listener) {
        let mut done = None;
        loop {
            let generation = {
                let shared = self.shared();
                let same = |s: &mut Shared| Some(s.generation) == done;
                let wait = self.changed.wait_while(shared, same);
                wait.unwrap_or_else(PoisonError::into_inner).generation
            };
            let order = Order { generation, sets: &Vec::new(), look: Look::Whole };
            // Pages first: somebody looks at them.
            if !self.shared().pages.is_empty() {
                std::thread::sleep(PAGES_FIRST);
            }
            let stale = || self.shared().generation != generation;
            if let Some(built) = self.build(order, &stale) {
                listener.built(&built.previewed, built.took);
                done = Some(generation);
            }
        }
    }

    /// The design with these values as soon as it is another than the one `seen`: at first what
    /// is soon made, after that all of it. Nothing when a newer wish of the same page came, or
    /// nothing happened for long.
    pub fn design(&self, page: &str, seen: &str, sets: &Sets) -> Option<Arc<Built>> {
        let wish = self.register(page);
        let until = now() + WAIT;
        loop {
            let generation = {
                let left = until.saturating_duration_since(now());
                let wait = |s: &mut Shared| {
                    let order = Order { generation: s.generation, sets, look: Look::Whole };
                    s.is_newest(page, wish) && self.state(order) == seen
                };
                let waited = self.changed.wait_timeout_while(self.shared(), left, wait);
                let (shared, timeout) = waited.unwrap_or_else(PoisonError::into_inner);
                if timeout.timed_out() || !shared.is_newest(page, wish) {
                    return None;
                }
                shared.generation
            };
            let stale = || {
                let shared = self.shared();
                shared.generation != generation || !shared.is_newest(page, wish)
            };
            let first = Order { generation, sets, look: Look::First };
            let whole = Order { look: Look::Whole, ..first };
            let known = self.shared().kept(&self.state(whole));
            if known.is_some() {
                return known;
            }
            let order = if self.state(first) == seen { whole } else { first };
            if order.look == Look::Whole {
                // A slider that still moves is not held up by a look at the print.
                let calm = |s: &mut Shared| s.generation == generation && s.is_newest(page, wish);
                drop(self.changed.wait_timeout_while(self.shared(), CALM, calm));
            }
            if let Some(built) = self.build(order, &stale) {
                return Some(built);
            }
        }
    }

    fn register(&self, page: &str) -> u64 {
        let mut shared = self.shared();
        shared.wishes += 1;
        let wish = shared.wishes;
        shared.pages.insert(page.to_string(), wish);
        if shared.pages.len() > MOST_PAGES {
            let oldest = shared.pages.iter().min_by_key(|(_, wish)| **wish);
            if let Some(oldest) = oldest.map(|(page, _)| page.clone()) {
                shared.pages.remove(&oldest);
            }
        }
        drop(shared);
        self.changed.notify_all();
        wish
    }

    /// The name of a result.
    fn state(&self, order: Order<'_>) -> String {
        let mut hasher = blake3::Hasher::new();
        for text in order.sets.iter().flat_map(|(name, text)| [name, text]) {
            hasher.update(&(text.len() as u64).to_le_bytes());
            hasher.update(text.as_bytes());
        }
        let look = match order.look {
            Look::First => FIRST,
            Look::Whole => "",
        };
        let values = &hasher.finalize().to_hex()[..16];
        format!("{}.{}.{values}{look}", self.run, order.generation)
    }

    /// Builds, or takes what was built before. Nothing when it became stale on the way.
    fn build(&self, order: Order<'_>, stale: &(dyn Fn() -> bool + Sync)) -> Option<Arc<Built>> {
        let state = self.state(order);
        let _one = self.bench.lock().unwrap_or_else(PoisonError::into_inner);
        if stale() {
            return None;
        }
        let kept = self.shared().kept(&state);
        if kept.is_some() {
            return kept;
        }
        let start = now();
        let world = Noting::default();
        let previewed = self.previewed(&world, order, stale)?;
        let took = start.elapsed();
        let news = News {
            state: &state,
            millis: took.as_millis() as u64,
            file: self.file.file_name().unwrap_or_default().to_string_lossy().into_owned(),
            design: &previewed.page,
        };
        // This structure holds nothing that JSON lacks.
        let json = serde_json::to_string(&news).unwrap_or_default();
        let built = Arc::new(Built { state, json, previewed, took });
        let mut shared = self.shared();
        for (path, print) in world.into_files() {
            // A file that is known keeps the state in which its last change was counted.
            shared.files.entry(path).or_insert(print);
        }
        shared.kept.push_front(Arc::clone(&built));
        shared.kept.truncate(KEPT);
        Some(built)
    }

    /// A preview; our own fault becomes a finding, so that the next change is built.
    fn previewed(
        &self,
        world: &Noting,
        order: Order<'_>,
        stale: &(dyn Fn() -> bool + Sync),
    ) -> Option<Previewed> {
        let options = self.with(order.sets);
        let work = || pipeline::preview(world, &self.file, &options, order.look, &Stale(stale));
        catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|_| {
            let message = "pipkin itself failed on this state of the file";
            let help = "please report it with the file; the next change is built again";
            Some(Previewed::failed(&self.file, Diagnostic::nowhere(BUG, message).help(help)))
        })
    }

    /// The options of the command, and these values besides.
    fn with(&self, sets: &Sets) -> Options {
        let mut options = self.options.clone();
        options.sets.extend(sets.iter().cloned());
        options
    }

    /// A shaded view of the design with these values.
    pub fn still(&self, sets: &Sets) -> Option<Vec<u8>> {
        let _one = self.bench.lock().unwrap_or_else(PoisonError::into_inner);
        let options = self.with(sets);
        let work = || pipeline::still(&DiskWorld, &self.file, &options);
        catch_unwind(AssertUnwindSafe(work)).ok().flatten()
    }

    /// Makes these values defaults in the file; the answer's text.
    pub fn write(&self, sets: &Sets) -> String {
        let refused = match write_back::write(&self.file, &self.with(sets), sets) {
            Ok(()) => Vec::new(),
            Err(findings) => findings.iter().map(told).collect(),
        };
        serde_json::to_string(&Written { refused }).unwrap_or_default()
    }
}

/// A finding in one line.
fn told(finding: &Diagnostic) -> String {
    let help = finding.help.iter().map(|help| format!("; {help}"));
    format!("{} {}{}", finding.code.id, finding.message, help.collect::<String>())
}

impl Shared {
    fn kept(&self, state: &str) -> Option<Arc<Built>> {
        self.kept.iter().find(|built| built.state == state).cloned()
    }

    fn is_newest(&self, page: &str, wish: u64) -> bool {
        self.pages.get(page) == Some(&wish)
    }
}

/// Waits until the files stay as they are, and those are there that were there before; not
/// for long.
fn settle(files: &BTreeMap<PathBuf, Print>) -> BTreeMap<PathBuf, Print> {
    let prints = || -> BTreeMap<PathBuf, Print> {
        files.keys().map(|path| (path.clone(), changes::print(path))).collect()
    };
    let until = now() + GONE;
    let mut last = prints();
    loop {
        std::thread::sleep(SETTLED);
        let next = prints();
        let all_there = files.iter().all(|(path, was)| was.is_none() || next[path].is_some());
        if (next == last && all_there) || now() >= until {
            return next;
        }
        last = next;
    }
}

struct Stale<'a>(&'a (dyn Fn() -> bool + Sync));

impl Progress for Stale<'_> {
    fn stage(&self, _what: &str, _step: usize, _steps: usize) {}

    fn is_stale(&self) -> bool {
        (self.0)()
    }
}
