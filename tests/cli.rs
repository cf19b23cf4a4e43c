//! The command line as its users see it. `tests/cli/*.txt` are sessions to read; after a
//! change that is meant, `PIPKIN_BLESS=1 cargo test --release --test cli` writes what is
//! said now, for the eye of the reviewer.
//!
//! A session: `== file NAME` puts the lines under it into a file of a fresh folder;
//! `$ pipkin …` runs there; below it stand standard output, then standard error with `! `
//! before each line, then `[exit N]` where N is not 0. Lines before the first of these
//! say what the session shows.

use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

const PIPKIN: &str = env!("CARGO_BIN_EXE_pipkin");

fn pipkin(folder: &Path, arguments: &[&str]) -> Output {
    command(folder).args(arguments).output().expect("the program starts")
}

fn command(folder: &Path) -> Command {
    let mut command = Command::new(PIPKIN);
    command.current_dir(folder).env_remove("NO_COLOR").env_remove("CLICOLOR_FORCE");
    command
}

/// Runs one session in a fresh folder; gives the session with what was really said.
fn play(session: &str) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let mut said = String::new();
    let mut file: Option<(PathBuf, String)> = None;
    let mut is_answer = false;
    for line in session.lines() {
        let name = line.strip_prefix("== file ");
        let step = line.strip_prefix("$ pipkin");
        if name.is_some() || step.is_some() {
            put(file.take());
        }
        match (name, step) {
            (Some(name), _) => {
                is_answer = false;
                file = Some((folder.path().join(name), String::new()));
                said += &format!("{line}\n");
            }
            (_, Some(arguments)) => {
                is_answer = true;
                said += &format!("{line}\n{}", answer(folder.path(), arguments));
            }
            _ if is_answer => {}
            _ => {
                if let Some((_, text)) = &mut file {
                    *text += &format!("{line}\n");
                }
                said += &format!("{line}\n");
            }
        }
    }
    said
}

fn put(file: Option<(PathBuf, String)>) {
    if let Some((path, text)) = file {
        let folder = path.parent().expect("a file is in a folder");
        std::fs::create_dir_all(folder).expect("a folder can be made");
        std::fs::write(path, text.trim_end().to_string() + "\n").expect("a file can be written");
    }
}

fn answer(folder: &Path, arguments: &str) -> String {
    let words: Vec<&str> = arguments.split_whitespace().collect();
    let output = pipkin(folder, &words);
    let text = |bytes: &[u8]| {
        let text = String::from_utf8(bytes.to_vec()).expect("UTF-8 is written");
        text.replace(env!("CARGO_PKG_VERSION"), "[VERSION]")
    };
    let mut said = text(&output.stdout);
    for line in text(&output.stderr).lines() {
        said += format!("! {line}").trim_end();
        said.push('\n');
    }
    match output.status.code() {
        Some(0) => {}
        code => said += &format!("[exit {}]\n", code.unwrap_or(-1)),
    }
    said + "\n"
}

#[test]
fn sessions_go_as_written() {
    let sessions = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cli");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(&sessions)
        .expect("there are sessions")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    assert!(paths.len() >= 5, "only {} sessions", paths.len());
    let bless = std::env::var_os("PIPKIN_BLESS").is_some();
    let mut wrong = Vec::new();
    for path in paths {
        let written = std::fs::read_to_string(&path).expect("a session is text");
        let said = play(&written).trim_end().to_string() + "\n";
        assert!(written.contains("\n$ pipkin"), "{} runs nothing", path.display());
        if said != written {
            if bless {
                std::fs::write(&path, &said).expect("a session can be written");
            }
            wrong.push(format!("{}:\n{}", path.display(), difference(&written, &said)));
        }
    }
    assert!(wrong.is_empty() || bless, "{}", wrong.join("\n"));
}

/// The lines from the first that differs.
fn difference(written: &str, said: &str) -> String {
    let same = written.lines().zip(said.lines()).take_while(|(a, b)| a == b).count();
    let rest = |text: &str| text.lines().skip(same).take(12).collect::<Vec<_>>().join("\n");
    format!("line {}, written:\n{}\nsaid:\n{}\n", same + 1, rest(written), rest(said))
}

#[test]
fn every_shell_gets_a_script_that_knows_the_commands() {
    let folder = tempfile::tempdir().expect("a folder");
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let output = pipkin(folder.path(), &["completions", shell]);
        assert!(output.status.success(), "{shell}");
        let script = String::from_utf8(output.stdout).expect("a script is text");
        for word in ["build", "every-size", "message-format", "explain"] {
            assert!(script.contains(word), "{shell}: no `{word}`");
        }
    }
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let folder = tempfile::tempdir().expect("a folder");
    for arguments in [&["explain"][..], &["--help"], &["completions", "zsh"]] {
        let mut child = command(folder.path())
            .args(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        drop(child.stdout.take());
        let mut said = String::new();
        let mut errors = child.stderr.take().expect("a pipe");
        errors.read_to_string(&mut said).expect("standard error is text");
        assert_eq!(child.wait().expect("it ends").code(), Some(0), "{arguments:?}: {said}");
        assert_eq!(said, "", "{arguments:?}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn results_that_cannot_be_written_are_told() {
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").expect("a full device");
    let folder = tempfile::tempdir().expect("a folder");
    let output = command(folder.path()).arg("explain").stdout(full).output().expect("it starts");
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(said.contains("standard output cannot be written"), "{said}");
}

#[test]
fn colour_is_for_terminals_and_for_those_who_ask() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("a.pkn"), "let x = 1 mm + 2 deg\n").expect("a file");
    let has_colour = |arguments: &[&str], no_color: Option<&str>| {
        let mut command = command(folder.path());
        command.args(["check", "a.pkn"]).args(arguments);
        no_color.map(|value| command.env("NO_COLOR", value));
        let output = command.output().expect("the program starts");
        assert_eq!(output.status.code(), Some(1));
        output.stderr.contains(&0x1b)
    };
    assert!(!has_colour(&[], None), "a pipe is no terminal");
    assert!(has_colour(&["--color", "always"], None));
    assert!(has_colour(&["--color", "always"], Some("1")), "who asks, gets");
    assert!(!has_colour(&["--color", "never"], None));
    assert!(!has_colour(&[], Some("1")));
}

#[cfg(unix)]
#[test]
fn paths_need_not_be_text() {
    use std::os::unix::ffi::OsStrExt;
    let folder = tempfile::tempdir().expect("a folder");
    let odd = std::ffi::OsStr::from_bytes(b"caf\xe9");
    let inside = folder.path().join(odd);
    std::fs::create_dir(&inside).expect("a folder");
    let mut new = command(folder.path());
    let made = new.arg("new").arg(Path::new(odd).join("mug")).output().expect("it starts");
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let mut build = command(folder.path());
    let built = build.arg("build").arg(inside.join("mug.pkn")).output().expect("it starts");
    assert!(built.status.success(), "{}", String::from_utf8_lossy(&built.stderr));
    assert!(inside.join("out").join("mug.manifest.json").is_file());
}
