//! When we are wrong: no trace of our insides, but what a report needs.

use std::any::Any;
use std::ffi::OsString;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, PoisonError};

use super::Exit;
use super::terminal::Terminal;

/// Runs `work`; a panic anywhere in it becomes B9999 with the version and the command.
pub fn guarded(
    terminal: &mut Terminal,
    arguments: &[OsString],
    work: impl FnOnce(&mut Terminal) -> Exit,
) -> Exit {
    let place = Arc::new(Mutex::new(String::new()));
    let seen = Arc::clone(&place);
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        if let Some(location) = info.location() {
            let mut place = seen.lock().unwrap_or_else(PoisonError::into_inner);
            *place = format!(" at {}:{}", location.file(), location.line());
        }
    }));
    let outcome = catch_unwind(AssertUnwindSafe(|| work(terminal)));
    std::panic::set_hook(before);
    outcome.unwrap_or_else(|payload| {
        let place = place.lock().unwrap_or_else(PoisonError::into_inner).clone();
        terminal.tell(&report(&reason(payload.as_ref()), &place, arguments));
        Exit::Bug
    })
}

fn reason(payload: &(dyn Any + Send)) -> String {
    let text = payload.downcast_ref::<&str>().map(ToString::to_string);
    text.or_else(|| payload.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "no reason was given".to_string())
}

fn report(reason: &str, place: &str, arguments: &[OsString]) -> String {
    let words: Vec<String> = arguments.iter().map(|a| a.to_string_lossy().into_owned()).collect();
    format!(
        "error B9999 bug: pipkin itself failed{place}: {reason}\n   \
         version: {}\n   \
         command: {}\n   \
         help: nothing was written; please report these lines with the file they are about\n",
        env!("CARGO_PKG_VERSION"),
        words.join(" "),
    )
}

#[cfg(test)]
mod tests {
    use super::super::args::ColourWhen;
    use super::*;

    #[test]
    fn a_panic_becomes_exit_code_3() {
        let mut terminal = Terminal::new(ColourWhen::Never);
        let exit = guarded(&mut terminal, &["pipkin".into(), "build".into()], |_| panic!("a test"));
        assert_eq!(exit, Exit::Bug);
        assert_eq!(guarded(&mut terminal, &[], |_| Exit::Errors), Exit::Errors);
    }

    #[test]
    fn the_report_has_version_command_and_reason() {
        let text = report("index out of bounds", " at src/x.rs:3", &["pipkin".into(), "x".into()]);
        for part in ["B9999", "src/x.rs:3", "index out", env!("CARGO_PKG_VERSION"), "pipkin x"] {
            assert!(text.contains(part), "{part} is not in {text}");
        }
    }
}
