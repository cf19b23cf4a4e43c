//! How long the whole program takes on the button jar, over repeats of its motif. Prints
//! a table with aims beside, and fails where the checks cost too much: run it on a quiet machine with
//! `cargo bench --bench speed`, or some of it by name: `cargo bench --bench speed -- checks`.
//!
//! One thread, so that wall time bounds CPU time from above; the least of several runs.
// A bench is the one place that must ask the time.
#![allow(clippy::disallowed_methods)]

use pipkin::pipeline::{self, Options, Progress, Silent};
use pipkin::realise;
use pipkin::source::MemoryWorld;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Command, ExitCode, Stdio};
use std::sync::Mutex;
use std::time::{Duration, Instant};

const RUNS: usize = 5;

/// Of what is over in a moment, so that one of them is not disturbed.
const SHORT_RUNS: usize = 20;

fn main() -> ExitCode {
    let folder = tempfile::tempdir().expect("a folder");
    let jar = include_str!("../../examples/button-jar/button-jar.pkn");
    // What cargo itself says begins with a dash.
    let names: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with('-')).collect();
    let asked = |name: &str| names.is_empty() || names.iter().any(|n| n == name);
    if asked("repeats") {
        repeats(folder.path(), jar);
    }
    let mut kept = true;
    if asked("checks") {
        kept = checks(jar);
    }
    if asked("exact") {
        exact_bodies(jar);
    }
    if asked("watch") {
        watched(folder.path(), jar);
    }
    if asked("sweep") {
        sweep(folder.path(), jar);
    }
    if kept {
        return ExitCode::SUCCESS;
    }
    eprintln!("the checks cost more than their aim");
    ExitCode::FAILURE
}

/// A cost beside its aim, and whether it keeps it.
fn beside(cost: f64, aim: f64, unit: &str) -> (String, bool) {
    (format!("{cost:>6.1} {unit} (aim {aim} {unit})"), cost <= aim)
}

/// All of a build, over repeats of the motif.
fn repeats(folder: &Path, jar: &str) {
    println!("{:<22} {:>9} {:>9} {:>8}", "run", "time", "peak", "growth");
    let (time, peak) = best(folder, jar, "check");
    println!("{:<22} {:>6.1} ms {:>6.1} MB", "check", millis(time), peak);
    let mut before: Option<(f64, f64)> = None;
    for repeats in [14, 24, 48, 96, 200] {
        // The wall of the largest jar has room for 200 repeats of lines that can be printed.
        let text = jar
            .replace("repeats: 14", &format!("repeats: {repeats}"))
            .replace("given bore = 72 mm", "given bore = 140 mm")
            .replace("gap: 0.1 mm", "gap: 0.05 mm");
        let (time, peak) = best(folder, &text, "build");
        let growth = before.map_or(String::new(), |(n, t)| {
            format!("n^{:.2}", (millis(time) / t).ln() / (f64::from(repeats) / n).ln())
        });
        let name = format!("build, {repeats} repeats");
        println!("{name:<22} {:>6.1} ms {peak:>6.1} MB {growth:>8}", millis(time));
        before = Some((f64::from(repeats), millis(time)));
    }
}

/// What the checks of fit and print cost beside all else of a build, on one thread: no more
/// than 60 % of it, and no more than 2 s for 200 repeats and 600 layers.
fn checks(jar: &str) -> bool {
    println!("{:<24} {:>9} {:>9} {:>9}", "checks", "fit", "print", "all else");
    let tall = jar
        .replace("repeats: 14", "repeats: 200")
        .replace("given bore = 72 mm", "given bore = 140 mm")
        .replace("given deep = 84 mm", "given deep = 117 mm")
        .replace("gap: 0.1 mm", "gap: 0.05 mm");
    let mut kept = true;
    for (name, text, runs) in
        [("button jar", jar, SHORT_RUNS), ("200 repeats, 600 layers", &tall, RUNS)]
    {
        let runs = (0..runs).map(|_| stages(text));
        // The least of each stage: what is measured is the program, not the machine's day.
        let least = runs.reduce(|a, b| [0, 1, 2].map(|k| a[k].min(b[k]))).unwrap_or_default();
        let [rest, fit, print] = least.map(millis);
        let both = fit + print;
        let (told, keeps) = match text == jar {
            true => beside(100.0 * both / rest, 60.0, "%"),
            false => beside(both, 2000.0, "ms"),
        };
        println!("{name:<24} {fit:>6.1} ms {print:>6.1} ms {rest:>6.1} ms  checks {told}");
        kept &= keeps;
    }
    kept
}

/// Times of all else, of the checks of fits and of those of the print, one build on one thread.
fn stages(text: &str) -> [Duration; 3] {
    let clock = Clock(Mutex::new((Instant::now(), 0, [Duration::ZERO; 3])));
    let world = MemoryWorld::with("jar.pkn", text);
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("a thread");
    let built = alone
        .install(|| pipeline::build(&world, Path::new("jar.pkn"), &Options::default(), &clock));
    assert!(built.bundle.is_some(), "{:?}", built.findings);
    clock.stage("", 0, 0);
    clock.0.into_inner().expect("one thread").2
}

/// When the current stage began, to which of the three times it counts, and these.
struct Clock(Mutex<(Instant, usize, [Duration; 3])>);

impl Progress for Clock {
    fn stage(&self, what: &str, _step: usize, _steps: usize) {
        let mut clock = self.0.lock().expect("one thread");
        let (since, counts) = (clock.0, clock.1);
        clock.2[counts] += since.elapsed();
        clock.0 = Instant::now();
        clock.1 = match what {
            "measuring fits" => 1,
            "setting out the plate" => 2,
            _ => 0,
        };
    }
}

/// The exact bodies of a design and their STEP files, with that of the assembly: all parts one
/// after the other, on one thread. Their aims are times of one machine: they are told, not judged.
fn exact_bodies(jar: &str) {
    for (repeats, aims) in [(14, [30.0, 10.0]), (200, [250.0, 60.0])] {
        let text = jar.replace("repeats: 14", &format!("repeats: {repeats}"));
        let text = match repeats {
            14 => text,
            _ => text
                .replace("given bore = 72 mm", "given bore = 140 mm")
                .replace("gap: 0.1 mm", "gap: 0.05 mm"),
        };
        let world = MemoryWorld::with("jar.pkn", text);
        let study = pipeline::study(&world, Path::new("jar.pkn"), &Options::default(), &Silent);
        let made = study.made.expect("the jar is made");
        let mut bodies: Vec<_> = Vec::new();
        let times = (0..SHORT_RUNS).map(|_| {
            let start = Instant::now();
            let parts = 0..made.model.parts.len();
            bodies = parts.map(|part| realise::exact_body(&made.model, part)).collect();
            start.elapsed()
        });
        let built = times.min().unwrap_or_default();
        let exact: Vec<_> = bodies.iter().map(|body| body.as_ref().ok()).collect();
        let times = (0..SHORT_RUNS).map(|_| {
            let start = Instant::now();
            let made = pipeline::step_files(&made.model, &exact, &|_| true);
            assert_eq!(made.files.len(), exact.len() + 1, "{:?}", made.refused);
            start.elapsed()
        });
        let written = times.min().unwrap_or_default();
        let name = format!("exact, {repeats} repeats");
        let told = |time: Duration, aim: f64| beside(millis(time), aim, "ms").0;
        let (bodies, files) = (told(built, aims[0]), told(written, aims[1]));
        println!("{name:<22} {bodies}, STEP {files}");
    }
}

/// What `watch` needs to answer a page after a save, and for a slider that moves; on as many
/// threads as the machine has. What a browser adds is printed by `tests/browser/run`.
fn watched(folder: &Path, jar: &str) {
    let file = folder.join("jar.pkn");
    std::fs::write(&file, jar).expect("a file");
    let mut server = Command::new(env!("CARGO_BIN_EXE_pipkin"))
        .args(["watch", "-q"])
        .arg(&file)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    let mut url = String::new();
    let told = server.stdout.take().expect("its output");
    BufReader::new(told).read_line(&mut url).expect("the address");
    let (host, key) = url.trim().trim_start_matches("http://").split_once('/').expect("a key");
    let address = (host, key.trim_end_matches('/'));
    let mut state = String::new();
    // Until all of the design is there.
    while state.is_empty() || state.ends_with(".first") {
        state = news(address, &state, "");
    }
    let mut saves = Vec::new();
    for k in 0..RUNS {
        let start = Instant::now();
        std::fs::write(&file, jar.replace("deep = 84 mm", &format!("deep = {} mm", 90 + k)))
            .expect("a file");
        let first = news(address, &state, "");
        saves.push(start.elapsed());
        state = news(address, &first, "");
    }
    let sliders = (0..RUNS).map(|k| {
        let start = Instant::now();
        news(address, &state, &format!("&set=bore={}mm", 60 + 3 * k));
        start.elapsed()
    });
    for (what, mut times) in [("save to answer", saves), ("slider to answer", sliders.collect())] {
        times.sort();
        let [least, median] = [0, RUNS / 2].map(|k| millis(times[k]));
        println!("{:<22} {least:>6.1} ms, median {median:.1} ms", format!("watch, {what}"));
    }
    server.kill().expect("it ends");
    server.wait().expect("it has ended");
}

/// The state that comes after one.
fn news((host, key): (&str, &str), seen: &str, sets: &str) -> String {
    let mut stream = TcpStream::connect(host).expect("it listens");
    let ask = format!(
        "GET /{key}/design?page=bench&seen={seen}{sets} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"
    );
    stream.write_all(ask.as_bytes()).expect("it reads");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("an answer");
    let (_, rest) = answer.split_once("\"state\":\"").expect("a state");
    rest.split('"').next().unwrap_or_default().to_string()
}

/// A sweep over 300 variants, on as many threads as the machine has.
fn sweep(folder: &Path, jar: &str) {
    std::fs::write(folder.join("jar.pkn"), jar).expect("a file");
    let start = Instant::now();
    let output = Command::new(env!("CARGO_BIN_EXE_pipkin"))
        .current_dir(folder)
        .args(["sweep", "jar.pkn", "--vary", "bore=46mm..140mm/2mm"])
        .args(["--vary", "deep=60mm..180mm/20mm"])
        .output()
        .expect("the program starts");
    let time = start.elapsed();
    let told = String::from_utf8_lossy(&output.stdout).to_string();
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    println!("{:<22} {:>6.1} s on {threads} threads", "sweep", time.as_secs_f64());
    println!("{}", told.lines().next().unwrap_or("nothing was measured"));
}

fn millis(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}

/// Least wall time and greatest peak memory in MB of several runs.
fn best(folder: &Path, text: &str, command: &str) -> (Duration, f64) {
    let file = folder.join("jar.pkn");
    std::fs::write(&file, text).expect("a file");
    let runs: Vec<_> = (0..RUNS).map(|_| once(&file, command)).collect();
    let time = runs.iter().map(|(time, _)| *time).min().unwrap_or_default();
    (time, runs.iter().map(|(_, peak)| *peak).fold(0.0, f64::max))
}

fn once(file: &Path, command: &str) -> (Duration, f64) {
    let start = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_pipkin"))
        .args([command, "-q"])
        .arg(file)
        .env("RAYON_NUM_THREADS", "1")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    let mut peak_kb = 0.0f64;
    loop {
        peak_kb = peak_kb.max(high_water_kb(child.id()));
        if let Some(status) = child.try_wait().expect("the program is watched") {
            let time = start.elapsed();
            assert!(status.success(), "{command} of {} failed", file.display());
            return (time, peak_kb / 1024.0);
        }
        std::thread::sleep(Duration::from_micros(500));
    }
}

/// The high-water mark of a process's memory; 0 where the system does not tell it.
fn high_water_kb(process: u32) -> f64 {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|l| l.split_whitespace().next()?.parse().ok()).unwrap_or(0.0)
}
