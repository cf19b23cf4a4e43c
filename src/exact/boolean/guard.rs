//! Keeps panics of the boolean crate in the room.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Once;
use std::thread;

/// Name of the threads whose panics are expected, and answered with a reason.
const GUARDED: &str = "guarded boolean";

/// Deepest nesting of calls that the crate needs fits many times over, bytes.
const STACK: usize = 32 << 20;

/// Runs `work` on a thread of its own, with one worker, so that its order of events is
/// the same on every machine. None where it panics or the thread cannot be had.
pub(super) fn guarded<T: Send>(work: impl FnOnce() -> Option<T> + Send) -> Option<T> {
    keep_quiet();
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .stack_size(STACK)
        .thread_name(|_| GUARDED.into())
        .build()
        .ok()?;
    let run = || pool.install(|| catch_unwind(AssertUnwindSafe(work)).ok().flatten());
    // From a thread of its own: a worker of another pool would take up other work while it
    // waits, which may wait in turn, until its stack is full.
    thread::scope(|scope| thread::Builder::new().spawn_scoped(scope, run).ok()?.join().ok()?)
}

/// A panic on a guarded thread is no news: only others are reported.
fn keep_quiet() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let before = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
            if thread::current().name() != Some(GUARDED) {
                before(info);
            }
        }));
    });
}
