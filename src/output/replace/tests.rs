//! Every step of every way is cut off once, and once made to fail.

use super::disk::{self, Disk, Kind, RealDisk};
use super::*;
use crate::output::codes;
use std::cell::Cell;
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::io::{self, ErrorKind};

/// What happens at the chosen step.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fate {
    /// The process is killed: that step is half done, later ones do not happen.
    Killed,
    /// That step alone fails.
    Fails(ErrorKind),
}

/// A real disk on which one changing step goes wrong.
struct Faulty {
    step: Cell<usize>,
    at: usize,
    fate: Fate,
    exchanges: bool,
}

impl Faulty {
    fn new(at: usize, fate: Fate, exchanges: bool) -> Self {
        Faulty { step: Cell::new(0), at, fate, exchanges }
    }

    fn sound() -> Self {
        Faulty::new(usize::MAX, Fate::Killed, true)
    }

    /// Counts a step; the error it must give, if any.
    fn step(&self) -> io::Result<()> {
        let step = self.step.replace(self.step.get() + 1);
        match self.fate {
            Fate::Killed if step >= self.at => Err(ErrorKind::Interrupted.into()),
            Fate::Fails(kind) if step == self.at => Err(kind.into()),
            _ => Ok(()),
        }
    }
}

impl Disk for Faulty {
    fn kind(&self, path: &Path) -> io::Result<Option<Kind>> {
        RealDisk.kind(path)
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        RealDisk.list(folder)
    }
    fn read(&self, file: &Path) -> io::Result<Vec<u8>> {
        RealDisk.read(file)
    }
    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        RealDisk.canonical(path)
    }
    fn is_in_use(&self, folder: &Path) -> bool {
        RealDisk.is_in_use(folder)
    }
    fn create_folder(&self, folder: &Path) -> io::Result<()> {
        self.step()?;
        RealDisk.create_folder(folder)
    }
    fn write(&self, file: &Path, bytes: &[u8]) -> io::Result<()> {
        self.step().inspect_err(|_| {
            if self.fate == Fate::Killed && self.step.get() == self.at + 1 {
                std::fs::write(file, &bytes[..bytes.len() / 2]).unwrap();
            }
        })?;
        // As the real one, without waiting for the disk.
        let mut new = std::fs::OpenOptions::new().write(true).create_new(true).open(file)?;
        std::io::Write::write_all(&mut new, bytes)
    }
    fn link(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step()?;
        RealDisk.link(from, to)
    }
    fn copy_rights(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step()?;
        RealDisk.copy_rights(from, to)
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step()?;
        RealDisk.rename(from, to)
    }
    fn exchange(&self, a: &Path, b: &Path) -> io::Result<()> {
        self.step()?;
        if self.exchanges { RealDisk.exchange(a, b) } else { Err(ErrorKind::Unsupported.into()) }
    }
    fn remove_file(&self, file: &Path) -> io::Result<()> {
        self.step()?;
        RealDisk.remove_file(file)
    }
    fn remove_empty(&self, folder: &Path) -> io::Result<()> {
        self.step()?;
        RealDisk.remove_empty(folder)
    }
    fn sync(&self, _: &Path) -> io::Result<()> {
        self.step()
    }
}

/// The files of one build: a manifest and what it lists, marked with `mark`.
fn set(design: &str, size: Option<&str>, parts: &[&str], mark: &str) -> Vec<NewFile> {
    let manifest = format!("{design}.manifest.json");
    let mut names: Vec<String> = parts.iter().map(|p| format!("{p}.stl")).collect();
    names.push(manifest.clone());
    names.sort();
    let json = serde_json::json!({
        "manifest": 1, "compiler": "pipkin 0.1.0", "size": size, "files": names, "mark": mark,
    });
    let text = |name: &String| if *name == manifest { json.to_string() } else { mark.repeat(9) };
    names.iter().map(|name| (name.clone(), text(name).into_bytes())).collect()
}

/// All files below a folder, but what a killed build may leave for the next.
fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    let mut open = vec![(folder.to_path_buf(), String::new())];
    while let Some((at, prefix)) = open.pop() {
        for name in RealDisk.list(&at).unwrap_or_default() {
            let (path, name) = (at.join(&name), format!("{prefix}{}", name.to_string_lossy()));
            match RealDisk.kind(&path).unwrap() {
                Some(Kind::Folder) if name != ".pipkin-stage" => open.push((path, name + "/")),
                Some(Kind::File) => drop(all.insert(name, RealDisk.read(&path).unwrap())),
                _ => {}
            }
        }
    }
    all
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Start {
    /// No folder, and none above it.
    Nothing,
    /// An earlier build, another design, a size.
    Ours,
    /// The same, with somebody's notes and folder among it.
    Mixed,
}

struct Case {
    _temporary: tempfile::TempDir,
    above: PathBuf,
    folder: PathBuf,
    new: Vec<NewFile>,
    before: BTreeMap<String, Vec<u8>>,
    after: BTreeMap<String, Vec<u8>>,
}

fn case(start: Start) -> Case {
    let temporary = tempfile::tempdir().unwrap();
    let above = temporary.path().to_path_buf();
    let folder = above.join("made").join("out");
    let new = set("jar", None, &["jar", "belt"], "new");
    if start != Start::Nothing {
        let put = |folder: &Path, files: Vec<NewFile>| {
            replace_on(&Faulty::sound(), folder, &files).unwrap();
        };
        put(&folder, set("jar", None, &["jar", "ring"], "old"));
        put(&folder, set("box", None, &["tray"], "box"));
        put(&folder.join("pantry"), set("jar", Some("pantry"), &["jar", "ring"], "size"));
    }
    if start == Start::Mixed {
        std::fs::create_dir(folder.join("photos")).unwrap();
        std::fs::write(folder.join("photos").join("a.png"), "a").unwrap();
        std::fs::write(folder.join("notes.txt"), "print slowly").unwrap();
    }
    let before = contents(&folder);
    let mut after = before.clone();
    after.remove("ring.stl");
    after.extend(new.iter().cloned());
    Case { _temporary: temporary, above, folder, new, before, after }
}

/// Runs a case with a disk for every step; `check` sees what is left. Gives the steps.
fn at_every_step(start: Start, fate: Fate, exchanges: bool, check: &dyn Fn(usize, bool, &Case)) {
    for at in 0..1000 {
        let case = case(start);
        let disk = Faulty::new(at, fate, exchanges);
        let succeeded = replace_on(&disk, &case.folder, &case.new).is_ok();
        check(at, succeeded, &case);
        if disk.step.get() <= at {
            assert!(at > 5, "only {at} steps");
            return;
        }
    }
    panic!("no end after 1000 steps");
}

#[test]
fn exchanged_folders_hold_the_old_set_or_the_new_wherever_the_build_is_killed() {
    for start in [Start::Nothing, Start::Ours] {
        let seen = Cell::new((0, 0));
        at_every_step(start, Fate::Killed, true, &|at, _, case| {
            let now = contents(&case.folder);
            let (old, new) = (now == case.before, now == case.after);
            assert!(old || new, "{start:?} killed at step {at}: {:?}", now.keys());
            seen.set((seen.get().0 + usize::from(old), seen.get().1 + usize::from(new)));
            // The next build cleans up.
            replace_on(&Faulty::sound(), &case.folder, &case.new).unwrap();
            assert_eq!(contents(&case.above.join("made")).len(), case.after.len());
        });
        assert!(seen.get().0 > 3 && seen.get().1 > 1, "{start:?}: {:?}", seen.get());
    }
}

#[test]
fn journals_are_finished_or_dropped_by_the_next_build() {
    for (start, exchanges) in [(Start::Mixed, true), (Start::Ours, false)] {
        let third = set("jar", None, &["jar"], "third");
        at_every_step(start, Fate::Killed, exchanges, &|at, _, case| {
            let marked = case.folder.join(".pipkin-stage").join("commit").exists();
            if !marked {
                let now = contents(&case.folder);
                assert!(now == case.before || now == case.after, "killed at step {at}");
            }
            // Another build of another design finishes what was begun.
            if marked {
                let other = set("box", None, &["tray"], "box");
                replace_on(&Faulty::sound(), &case.folder, &other).unwrap();
                assert_eq!(contents(&case.folder), case.after, "killed at step {at}");
            }
            replace_on(&Faulty::sound(), &case.folder, &third).unwrap();
            let mut after = case.after.clone();
            after.remove("belt.stl");
            after.extend(third.iter().cloned());
            assert_eq!(contents(&case.folder), after, "killed at step {at}");
            assert!(!case.folder.join(".pipkin-stage").exists());
        });
    }
}

#[test]
fn a_journal_may_be_killed_while_it_is_finished() {
    for first in 0..60 {
        for second in 0..30 {
            let case = case(Start::Mixed);
            let disk = Faulty::new(first, Fate::Killed, true);
            let _ = replace_on(&disk, &case.folder, &case.new);
            if !case.folder.join(".pipkin-stage").join("commit").exists() {
                break;
            }
            let disk = Faulty::new(second, Fate::Killed, true);
            let _ = journal::recover(&disk, &case.folder);
            journal::recover(&Faulty::sound(), &case.folder).unwrap();
            assert_eq!(contents(&case.folder), case.after, "killed at {first} and {second}");
        }
    }
}

#[test]
fn a_step_that_fails_leaves_the_old_set_and_no_litter() {
    let kinds = [ErrorKind::StorageFull, ErrorKind::PermissionDenied];
    for (start, kind) in [Start::Nothing, Start::Ours, Start::Mixed]
        .into_iter()
        .flat_map(|start| kinds.map(|kind| (start, kind)))
    {
        let failures = Cell::new(0);
        at_every_step(start, Fate::Fails(kind), true, &|at, succeeded, case| {
            let expected = if succeeded { &case.after } else { &case.before };
            let now = contents(&case.folder);
            assert_eq!(now, *expected, "{start:?}, step {at} fails with {kind}");
            if !succeeded {
                failures.set(failures.get() + 1);
                let litter = contents(&case.above);
                assert_eq!(litter.len(), now.len(), "step {at}: {:?}", litter.keys());
                assert_eq!(case.folder.exists(), start != Start::Nothing);
            }
        });
        // Where no exchange is permitted a journal may be.
        let has_another_way = start == Start::Ours && kind == ErrorKind::PermissionDenied;
        assert_eq!(failures.get() <= 3, has_another_way, "{start:?} {kind}: {failures:?}");
    }
}

#[test]
fn what_no_build_wrote_is_never_replaced() {
    let case = case(Start::Mixed);
    std::fs::write(case.folder.join("belt.stl"), "mine").unwrap();
    let refused = replace_on(&Faulty::sound(), &case.folder, &case.new);
    assert!(matches!(refused, Err(Trouble::Foreign(name)) if name == "belt.stl"));
    // The same bytes are as good as ours.
    let (_, bytes) = case.new.iter().find(|(name, _)| name == "belt.stl").unwrap();
    std::fs::write(case.folder.join("belt.stl"), bytes).unwrap();
    replace_on(&Faulty::sound(), &case.folder, &case.new).unwrap();
    assert_eq!(contents(&case.folder), case.after);
}

#[test]
fn another_design_in_the_same_folder_keeps_its_files() {
    let case = case(Start::Ours);
    let new = set("jar", None, &["tray"], "new");
    let refused = replace_on(&Faulty::sound(), &case.folder, &new);
    let Err(Trouble::OtherDesign(name, design)) = refused else { panic!("{refused:?}") };
    assert_eq!((name.as_str(), design.as_str()), ("tray.stl", "box"));
    assert_eq!(contents(&case.folder), case.before);
}

#[test]
fn a_file_is_no_folder() {
    let temporary = tempfile::tempdir().unwrap();
    let file = temporary.path().join("out");
    std::fs::write(&file, "x").unwrap();
    for folder in [file.clone(), file.join("below"), file.join("far").join("below")] {
        let refused = replace(&folder, &set("jar", None, &["jar"], "new")).unwrap_err();
        assert_eq!(refused.code, codes::NOT_A_FOLDER, "{refused:?}");
    }
}

#[test]
fn a_folder_behind_a_link_is_replaced_behind_it() {
    let case = case(Start::Ours);
    let link = case.above.join("link");
    std::os::unix::fs::symlink(&case.folder, &link).unwrap();
    replace(&link, &case.new).unwrap();
    assert_eq!(contents(&case.folder), case.after);
    assert!(link.is_symlink());
}

#[test]
fn two_builds_at_once_do_not_mix() {
    let case = case(Start::Ours);
    let held = disk::lock(&case.folder).unwrap();
    assert_eq!(held.len(), 2);
    std::thread::scope(|scope| {
        let waiting = scope.spawn(|| replace(&case.folder, &case.new));
        std::thread::sleep(std::time::Duration::from_millis(100));
        assert_eq!(contents(&case.folder), case.before);
        drop(held);
        waiting.join().unwrap().unwrap();
    });
    assert_eq!(contents(&case.folder), case.after);
}

#[test]
fn a_new_file_never_replaces_an_old_one() {
    let temporary = tempfile::tempdir().unwrap();
    let path = temporary.path().join("mug.pkn");
    create(&path, b"first").unwrap();
    assert_eq!(create(&path, b"second").unwrap_err().code, codes::EXISTS);
    assert_eq!(std::fs::read(&path).unwrap(), b"first");
    let nowhere = temporary.path().join("no").join("mug.pkn");
    assert_eq!(create(&nowhere, b"x").unwrap_err().code, codes::UNWRITABLE);
}
