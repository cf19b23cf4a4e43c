//! The preview page and the server that shows it while a design is edited.

// The times of clients are a test's own matter.
#![allow(clippy::disallowed_methods)]

use pipkin::output::pictures::viewer_size;
use pipkin::pipeline::{self, Options, Silent};
use pipkin::server::LIMITS;
use pipkin::source::DiskWorld;
use serde_json::Value;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// The most that a viewer may weigh, without the meshes.
const MOST_BYTES: usize = 60_000;

struct Example {
    page: String,
    manifest: Value,
}

fn built(name: &str) -> Example {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("examples/{name}/{name}.pkn"));
    let options = Options { pictures: true, ..Options::default() };
    let built = pipeline::build(&DiskWorld, &file, &options, &Silent);
    let files = built.bundle.expect("the example builds").files;
    let text = |ending: &str| {
        let (_, bytes) =
            files.iter().find(|(n, _)| n == &format!("{name}.{ending}")).expect(ending);
        String::from_utf8(bytes.clone()).expect("text")
    };
    let manifest = serde_json::from_str(&text("manifest.json")).expect("JSON");
    Example { page: text("html"), manifest }
}

/// The design that a page holds.
fn design(page: &str) -> &str {
    let (_, rest) = page.split_once("id=\"design\"").expect("the design's element");
    let (_, rest) = rest.split_once('>').expect("the end of its tag");
    rest.split_once("</script>").expect("the end of the element").0
}

/// `PIPKIN_BLESS=1` puts the pictures of now in the place of the old ones.
#[test]
fn the_readme_shows_what_the_build_makes_now() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let example = root.join("examples/button-jar");
    let options = Options { pictures: true, ..Options::default() };
    let built = pipeline::build(&DiskWorld, &example.join("button-jar.pkn"), &options, &Silent);
    let files = built.bundle.expect("the example builds").files;
    let readme = std::fs::read_to_string(root.join("README.md")).expect("a readme");
    let shown: Vec<&str> = readme
        .split("](examples/button-jar/")
        .skip(1)
        .filter_map(|s| s.split(')').next())
        .collect();
    assert_eq!(shown, ["button-jar-apart.png", "button-jar.svg"]);
    for name in shown {
        let (_, bytes) = files.iter().find(|(n, _)| n == name).expect(name);
        let path = example.join(name);
        if std::env::var_os("PIPKIN_BLESS").is_some() {
            std::fs::write(&path, bytes).expect("a place for the picture");
        }
        let committed = std::fs::read(&path).expect(name);
        assert!(committed == *bytes, "{name} is stale: run this test with PIPKIN_BLESS=1");
    }
    // The fit sheet, line by line; the terminal indents it.
    let output = Command::new(env!("CARGO_BIN_EXE_pipkin"))
        .args(["build", "examples/button-jar/button-jar.pkn", "--out"])
        .arg(tempfile::tempdir().expect("a folder").path().join("out"))
        .current_dir(root)
        .output()
        .expect("pipkin runs");
    let told = String::from_utf8(output.stdout).expect("text");
    let block = readme.split("```text\n").find(|b| b.starts_with("part ")).expect("a fit sheet");
    let lines: Vec<&str> = block.split("```").next().unwrap_or_default().lines().collect();
    assert!(lines.len() > 6);
    for line in lines {
        assert!(told.lines().any(|l| l.trim() == line.trim()), "not told: {line}\n{told}");
    }
}

#[test]
fn the_viewer_is_small_and_asks_for_nothing() {
    assert!(viewer_size() < MOST_BYTES, "{} bytes", viewer_size());
    let page = built("button-jar").page;
    let (before, rest) = page.split_once("base64,").expect("a still picture");
    let still = rest.find('"').expect("its end");
    let own = page.len() - design(&page).len() - still;
    assert!(own < MOST_BYTES, "{own} bytes without design and still picture");
    assert!(before.contains("default-src 'none'"), "the page may ask for things");
    // No address of anything outside: neither whole nor without a scheme.
    for address in ["://", "src=\"//", "href=\"//", "url(", "@import", "import("] {
        assert!(!page.contains(address), "{address}");
    }
    for policy in ["script-src 'unsafe-inline'", "unsafe-eval", "connect-src"] {
        assert!(!page.contains(policy), "{policy}");
    }
}

#[test]
fn the_page_has_the_same_bytes_on_every_run() {
    assert!(built("seed-tumbler").page == built("seed-tumbler").page);
}

/// Read by nothing but this test: base64, 16-bit steps of the box, triangles; their
/// enclosed volume (divergence theorem) is that of the mesh in the manifest.
#[test]
fn the_meshes_of_the_page_are_those_that_are_printed() {
    let Example { page, manifest } = built("button-jar");
    let design: Value = serde_json::from_str(design(&page)).expect("JSON");
    let bodies = design["scene"]["bodies"].as_array().expect("bodies");
    let parts = manifest["parts"].as_array().expect("parts");
    assert_eq!(bodies.len(), parts.len());
    for (body, part) in bodies.iter().zip(parts) {
        assert_eq!(body["name"], part["name"]);
        let (volume, triangles) = volume_mm3(body);
        let expected = part["engines"]["mesh_mm3"].as_f64().expect("a volume");
        assert_eq!(triangles as u64, part["triangles"].as_u64().expect("a count"));
        // Corners move by up to half of a step of 1.3e-3 mm: some 1e-4 of a wall of 3.6 mm.
        let off = (volume - expected).abs() / expected;
        assert!(off < 2e-4, "{}: {volume} for {expected} mm3", body["name"]);
    }
}

fn volume_mm3(body: &Value) -> (f64, usize) {
    let number = |v: &Value| v.as_f64().expect("a number");
    let steps = shorts(&body["places"]);
    let corner = |c: u16| -> [f64; 3] {
        std::array::from_fn(|i| {
            let (low, high) = (number(&body["low"][i]), number(&body["high"][i]));
            low + (high - low) * f64::from(steps[3 * usize::from(c) + i]) / 65535.0
        })
    };
    assert_eq!(body["wide"], Value::Bool(false));
    let corners = shorts(&body["triangles"]);
    let six: f64 = corners
        .chunks(3)
        .map(|t| {
            let [a, b, c] = [corner(t[0]), corner(t[1]), corner(t[2])];
            a[0] * (b[1] * c[2] - b[2] * c[1])
                + a[1] * (b[2] * c[0] - b[0] * c[2])
                + a[2] * (b[0] * c[1] - b[1] * c[0])
        })
        .sum();
    (six / 6.0, corners.len() / 3)
}

fn shorts(text: &Value) -> Vec<u16> {
    const LETTERS: &str = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut bits = Vec::new();
    for letter in text.as_str().expect("a text").trim_end_matches('=').chars() {
        let value = LETTERS.find(letter).expect("a letter of base64");
        bits.extend((0..6).rev().map(|i| value >> i & 1 == 1));
    }
    let byte = |b: &[bool]| b.iter().fold(0u16, |n, bit| n << 1 | u16::from(*bit));
    let bytes: Vec<u16> = bits.chunks_exact(8).map(byte).collect();
    bytes.chunks_exact(2).map(|two| two[0] | two[1] << 8).collect()
}

/// What is told of a fit in the page is what was measured: two points as far apart as the
/// least gap.
#[test]
fn least_gaps_have_their_place() {
    let Example { page, manifest } = built("button-jar");
    let design: Value = serde_json::from_str(design(&page)).expect("JSON");
    let least = [&manifest["seats"][0], &manifest["lids"][0]].map(|fit| &fit["gap_mm"]["least"]);
    for (fit, least) in design["fits"].as_array().expect("fits").iter().zip(least) {
        let across = |i: usize| fit["across"][i].as_f64().expect("a number");
        let length = (0..3).map(|i| across(i) * across(i)).sum::<f64>().sqrt();
        let least = least.as_f64().expect("a gap");
        assert!((length - least).abs() < 3e-6, "{}: {length} for {least}", fit["title"]);
        let at = |i: usize| fit["at"][i].as_f64().expect("a number");
        // In the wall of the jar, 36 to 39.6 mm from the axis.
        let radius = at(0).hypot(at(1));
        assert!((35.8..39.8).contains(&radius), "{}: {radius}", fit["title"]);
    }
}

/// Pairs are told as measured; what is bought is told to be; columns stand in the assembly where
/// they are printed, with the volume that the manifest gives.
#[test]
fn pairs_bought_things_and_columns_are_in_the_page() {
    let Example { page, manifest } = built("token-drawer");
    let shown: Value = serde_json::from_str(design(&page)).expect("JSON");
    let (fits, pairs) = (&shown["fits"], &manifest["fits"]);
    for k in 0..2 {
        let asked = [&pairs[k]["part"], &pairs[k]["host"]].map(|n| n.as_str().expect("a name"));
        assert_eq!(fits[k]["title"], format!("{} in {}", asked[0], asked[1]));
        let across = |i: usize| fits[k]["across"][i].as_f64().expect("a number");
        let length = (0..3).map(|i| across(i) * across(i)).sum::<f64>().sqrt();
        let least = pairs[k]["gap_mm"]["least"].as_f64().expect("a gap");
        assert!((length - least).abs() < 3e-6, "{}: {length} for {least}", fits[k]["title"]);
    }
    let kinds = |shown: &Value| -> Vec<(String, String)> {
        let bodies = shown["scene"]["bodies"].as_array().expect("bodies");
        let word = |v: &Value| v.as_str().expect("a word").to_string();
        bodies.iter().map(|b| (word(&b["name"]), word(&b["kind"]))).collect()
    };
    let named = |pairs: &[(&str, &str)]| -> Vec<(String, String)> {
        pairs.iter().map(|(name, kind)| (name.to_string(), kind.to_string())).collect()
    };
    assert_eq!(
        kinds(&shown),
        named(&[("tokens", "bought"), ("drawer", "part"), ("chest", "part")])
    );

    let Example { page, manifest } = built("desk-tray");
    let shown: Value = serde_json::from_str(design(&page)).expect("JSON");
    assert_eq!(kinds(&shown), named(&[("tray", "part"), ("props under tray", "props")]));
    let columns = &shown["scene"]["bodies"][1];
    let (volume, _) = volume_mm3(columns);
    let expected = manifest["print"][0]["props"]["volume_mm3"].as_f64().expect("a volume");
    // Half of a step of 0.8e-3 mm on a column of 1.2 mm, and less along it.
    assert!((volume - expected).abs() / expected < 2e-3, "{volume} for {expected} mm3");
    // On the floor of 2.4 mm, two layers off; under the shelf of 17 mm, one layer off.
    let ends = ["low", "high"].map(|end| columns[end][2].as_f64().expect("a number"));
    assert!((ends[0] - 2.8).abs() < 1e-5 && (ends[1] - 16.8).abs() < 1e-5, "{ends:?}");
}

/// A brim is a body of its own where its part is when it is printed: one layer, up from the lowest
/// edge of the belt, as far round it as asked.
#[test]
fn brims_are_in_the_page() {
    let Example { page, manifest } = built("spice-jar");
    let shown: Value = serde_json::from_str(design(&page)).expect("JSON");
    let bodies = shown["scene"]["bodies"].as_array().expect("bodies");
    let found = |name: &str| bodies.iter().find(|b| b["name"] == name).expect("a body");
    let (belt, brim) = (found("belt"), found("brim of belt"));
    assert_eq!((&brim["kind"], bodies.len()), (&Value::from("brim"), 4));
    assert_eq!(brim["note"], "one layer, 5 mm wide, cut off after printing");
    let corner = |body: &Value, end: &str, c: usize| body[end][c].as_f64().expect("a number");
    let lowest = corner(belt, "low", 2);
    assert!((corner(brim, "low", 2) - lowest).abs() < 1e-5);
    assert!((corner(brim, "high", 2) - lowest - 0.2).abs() < 1e-5);
    // Round a belt of 42.4 mm, but for its facets.
    for end in ["low", "high"] {
        assert!((corner(brim, end, 1).abs() - 26.2).abs() < 0.01, "{}", brim[end]);
    }
    let print = manifest["print"].as_array().expect("copies");
    let printed = print.iter().find(|p| p["part"] == "belt").expect("the belt");
    let expected = printed["brim"]["volume_mm3"].as_f64().expect("a volume");
    let (volume, _) = volume_mm3(brim);
    assert!((volume - expected).abs() / expected < 1e-3, "{volume} for {expected}");
}

/// Loose pieces are turned and set down in a row to be printed, larger by what shrinks: their
/// columns come back under the piece that each stands under.
#[test]
fn columns_come_back_to_their_pieces() {
    let text = "\
material sand { base: pla, colour: #cdb892, shrink: 2 % }
let tee = block { size: (6 mm, 6 mm, 10 mm) } join block { size: (16 mm, 6 mm, 3 mm) } raised 10 mm
part tees = solid { form: (tee at (0 mm, 40 mm, 5 mm)) join (tee at (0 mm, -40 mm, 7 mm)), material: sand }
props under tees {}
";
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("tees.pkn");
    std::fs::write(&file, text).expect("a file");
    let options = Options { pictures: true, ..Options::default() };
    let bundle = pipeline::build(&DiskWorld, &file, &options, &Silent).bundle.expect("it builds");
    let (_, page) = bundle.files.iter().find(|(n, _)| n == "tees.html").expect("a page");
    let page = String::from_utf8(page.clone()).expect("text");
    let shown: Value = serde_json::from_str(design(&page)).expect("JSON");
    let columns = &shown["scene"]["bodies"][1];
    let corner = |end: &str, c: usize| columns[end][c].as_f64().expect("a number");
    // Within the shadows of both arms, from the lower foot to one layer under the higher arm,
    // which is less by what shrinks.
    for (c, reach) in [(0, 8.0), (1, 43.0)] {
        let [low, high] = ["low", "high"].map(|end| corner(end, c));
        assert!(-reach < low && low < 0.6 - reach, "{low}");
        assert!(reach - 0.6 < high && high < reach, "{high}");
    }
    assert!((corner("low", 2) - 5.0).abs() < 1e-5);
    assert!((corner("high", 2) - (17.0 - 0.2 * 0.98)).abs() < 1e-5);
    let printed = bundle.manifest.print[0].props.as_ref().expect("props").volume_mm3;
    let expected = printed * 0.98f64.powi(3);
    let (volume, _) = volume_mm3(columns);
    assert!((volume - expected).abs() / expected < 3e-3, "{volume} for {expected}");
}

/// `pipkin watch` on a small design of its own; ended when the test ends.
struct Watched {
    child: Child,
    folder: tempfile::TempDir,
    port: u16,
    /// The path under which it answers.
    key: String,
}

const PLATE: &str = "\
# A comment stays.
material chalk { base: pla, colour: #e8e1d3 }
given wide = 20 mm from 10 mm to 40 mm
part plate = block { size: (wide, wide, 3 mm) }
";

impl Drop for Watched {
    fn drop(&mut self) {
        // It never ends by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Status, headers, body.
type Reply = (u16, String, String);

impl Watched {
    fn start() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("plate.pkn"), PLATE).expect("a file");
        let mut child = Command::new(env!("CARGO_BIN_EXE_pipkin"))
            .args(["watch", "-q", "plate.pkn"])
            .current_dir(folder.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program starts");
        let mut line = String::new();
        let output = child.stdout.take().expect("a pipe");
        BufReader::new(output).read_line(&mut line).expect("an address");
        let address = line.trim().strip_prefix("http://127.0.0.1:").expect("loopback");
        let (port, key) = address.split_once('/').expect("a path");
        let key = key.strip_suffix('/').expect("a folder").to_string();
        assert!(key.len() == 32 && key.bytes().all(|b| b.is_ascii_hexdigit()), "{line}");
        Watched { child, folder, port: port.parse().expect("a number"), key }
    }

    fn file(&self) -> PathBuf {
        self.folder.path().join("plate.pkn")
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).expect("it listens");
        stream.set_read_timeout(Some(Duration::from_secs(30))).expect("a time");
        stream
    }

    /// Sends bytes as they are; none where the connection was closed without an answer.
    fn raw(&self, bytes: &[u8]) -> Option<Reply> {
        let mut stream = self.connect();
        // A server that has read enough may close before all is sent.
        let _ = stream.write_all(bytes);
        answer(stream)
    }

    fn ask(&self, method: &str, target: &str, headers: &str, body: &str) -> Reply {
        self.ask_at(method, &format!("/{}{target}", self.key), headers, body)
    }

    /// The same by the whole path, with or without the key.
    fn ask_at(&self, method: &str, target: &str, headers: &str, body: &str) -> Reply {
        let host = if headers.contains("Host:") {
            String::new()
        } else {
            format!("Host: 127.0.0.1:{}\r\n", self.port)
        };
        let length = if body.is_empty() {
            String::new()
        } else {
            format!("Content-Length: {}\r\n", body.len())
        };
        let text = format!("{method} {target} HTTP/1.1\r\n{host}{headers}{length}\r\n{body}");
        self.raw(text.as_bytes()).expect("an answer")
    }

    fn status(&self, method: &str, target: &str, headers: &str) -> u16 {
        self.ask(method, target, headers, "").0
    }

    /// The news after a state, with values: what comes first, and then all of it.
    fn news(&self, seen: &str, sets: &str) -> Value {
        let (status, _, body) =
            self.ask("GET", &format!("/design?page=test&seen={seen}{sets}"), "", "");
        assert_eq!(status, 200, "{body}");
        let news: Value = serde_json::from_str(&body).expect("JSON");
        let state = text_of(&news, "state");
        if state.ends_with(".first") { self.news(&state, sets) } else { news }
    }

    fn save(&self, text: &str) {
        std::fs::write(self.file(), text).expect("a file");
    }
}

fn answer(mut stream: TcpStream) -> Option<Reply> {
    let mut bytes = Vec::new();
    // A reset after the answer is no matter.
    let _ = stream.read_to_end(&mut bytes);
    let text = String::from_utf8(bytes).ok()?;
    let (head, body) = text.split_once("\r\n\r\n")?;
    let status = head.strip_prefix("HTTP/1.1 ")?.get(..3)?.parse().ok()?;
    Some((status, head.to_string(), body.to_string()))
}

fn width_of(news: &Value) -> Option<f64> {
    let body = &news["design"]["scene"]["bodies"][0];
    Some(body["high"][0].as_f64()? - body["low"][0].as_f64()?)
}

fn text_of(news: &Value, key: &str) -> String {
    news[key].as_str().expect("a text").to_string()
}

#[test]
fn the_page_follows_the_file_through_mistakes() {
    let watched = Watched::start();
    let first = watched.news("", "");
    assert_eq!(width_of(&first), Some(20.0));
    watched.save(&PLATE.replace("= 20 mm", "= 24 mm"));
    let second = watched.news(&text_of(&first, "state"), "");
    assert_eq!(width_of(&second), Some(24.0));
    watched.save(&PLATE.replace("= 20 mm", "= 24 deg"));
    let broken = watched.news(&text_of(&second, "state"), "");
    assert_eq!(broken["design"]["scene"], Value::Null);
    let finding = &broken["design"]["findings"][0];
    assert_eq!(finding["severity"], "error");
    let lines = finding["excerpts"][0]["lines"].as_array().expect("lines");
    assert!(lines.iter().any(|l| l["number"] == 3), "{finding}");
    // Gone, as for a moment when an editor replaces it, or for longer.
    std::fs::remove_file(watched.file()).expect("it goes");
    let gone = watched.news(&text_of(&broken, "state"), "");
    assert_eq!(gone["design"]["findings"][0]["severity"], "error");
    watched.save(PLATE);
    let mended = watched.news(&text_of(&gone, "state"), "");
    assert_eq!(width_of(&mended), Some(20.0));
    assert_eq!(mended["design"]["findings"], Value::Array(Vec::new()));
}

#[test]
fn values_are_tried_and_written_only_when_asked() {
    let watched = Watched::start();
    let tried = watched.news("", "&set=wide%3D30+mm");
    assert_eq!(width_of(&tried), Some(30.0));
    assert_eq!(std::fs::read_to_string(watched.file()).expect("text"), PLATE);
    let (_, _, page) = watched.ask("GET", "/", "", "");
    let (_, rest) = page.split_once("data-token=\"").expect("a token");
    let token = &rest[..32];
    let json = "Content-Type: application/json\r\n";
    let body = r#"{"sets":[["wide","30 mm"]]}"#;
    for headers in [json.to_string(), format!("{json}X-Pipkin-Token: {}\r\n", "0".repeat(32))] {
        assert_eq!(watched.ask("POST", "/write", &headers, body).0, 403);
    }
    let known = format!("{json}X-Pipkin-Token: {token}\r\n");
    let foreign = format!("{known}Origin: http://example.org\r\n");
    assert_eq!(watched.ask("POST", "/write", &foreign, body).0, 403);
    assert_eq!(std::fs::read_to_string(watched.file()).expect("text"), PLATE);
    let (status, _, said) = watched.ask("POST", "/write", &known, body);
    assert_eq!((status, said.as_str()), (200, r#"{"refused":[]}"#));
    let text = std::fs::read_to_string(watched.file()).expect("text");
    assert!(text.contains("given wide = 30 mm from 10 mm to 40 mm\n"), "{text}");
    assert!(text.starts_with("# A comment stays.\n"), "{text}");
    // And the page is told of the file's new state, at once or with the next news.
    let mut news = watched.news("", "");
    if width_of(&news) != Some(30.0) {
        news = watched.news(&text_of(&news, "state"), "");
    }
    assert_eq!(width_of(&news), Some(30.0));
}

#[test]
fn strangers_are_refused() {
    let watched = Watched::start();
    let port = watched.port;
    let (status, head, page) = watched.ask("GET", "/", "", "");
    assert_eq!(status, 200);
    for policy in ["no-store", "nosniff", "frame-ancestors 'none'", "no-referrer", "same-origin"] {
        assert!(head.contains(policy), "{policy} is not in {head}");
    }
    assert!(page.contains("connect-src 'self'") && !page.contains("://"));
    for host in ["evil.example", &format!("evil.example:{port}"), "127.0.0.1", "[::1]:80"] {
        assert_eq!(watched.status("GET", "/", &format!("Host: {host}\r\n")), 421, "{host}");
    }
    let own = format!("http://localhost:{port}");
    assert_eq!(watched.status("GET", "/", &format!("Origin: {own}\r\n")), 200);
    for origin in ["http://evil.example", "null", &format!("{own}.evil.example")] {
        let headers = format!("Origin: {origin}\r\n");
        assert_eq!(watched.status("GET", "/design?page=a&seen=", &headers), 403, "{origin}");
    }
    assert_eq!(watched.status("GET", "/", "Sec-Fetch-Site: cross-site\r\n"), 403);
    for path in ["/plate.pkn", "/../plate.pkn", "/%2e%2e/plate.pkn", "//etc/passwd", "/design/.."] {
        assert_eq!(watched.status("GET", path, ""), 404, "{path}");
    }
    for method in ["POST", "PUT", "DELETE", "OPTIONS", "HEAD", "TRACE"] {
        assert_eq!(watched.status(method, "/", ""), 405, "{method}");
        assert_eq!(watched.status(method, "/design", ""), 405, "{method}");
    }
    assert_eq!(watched.status("GET", "/write", ""), 405);
}

/// Another user of this machine reaches the port, too, but not the page, its token, the design.
#[test]
fn who_lacks_the_key_is_told_nothing() {
    let watched = Watched::start();
    let page = watched.ask("GET", "/", "", "").2;
    let (_, rest) = page.split_once("data-token=\"").expect("a token");
    let token = &rest[..32];
    assert!(token != watched.key, "one secret would do for both");
    let other = format!("/{}/", "0".repeat(32));
    let near = format!("/{}/", &watched.key[..31]);
    for path in
        ["/", "/design?page=a&seen=", "/still.png", &other, &near, &format!("/{}", watched.key)]
    {
        let (status, head, body) = watched.ask_at("GET", path, "", "");
        assert_eq!(status, 403, "{path}");
        assert!(head.contains("Content-Type: text/plain"), "{head}");
        assert!(body.lines().count() == 1 && !body.contains(token), "{body}");
        assert!(!body.contains(&watched.key) && !body.contains("plate"), "{body}");
    }
    let json = format!("Content-Type: application/json\r\nX-Pipkin-Token: {token}\r\n");
    let body = r#"{"sets":[["wide","30 mm"]]}"#;
    assert_eq!(watched.ask_at("POST", "/write", &json, body).0, 403);
    assert_eq!(std::fs::read_to_string(watched.file()).expect("text"), PLATE);
}

#[test]
fn what_is_no_request_is_refused_and_the_server_lives() {
    let watched = Watched::start();
    let host = format!("Host: 127.0.0.1:{}\r\n", watched.port);
    let refused = |bytes: &str| watched.raw(bytes.as_bytes()).map(|(status, ..)| status);
    assert_eq!(refused("\x16\x03\x01 no request\r\n\r\n"), Some(400));
    assert_eq!(refused("GET / HTTP/1.0\r\n\r\n"), Some(400));
    assert_eq!(refused(&format!("GET / HTTP/1.1\r\n{host}{host}\r\n")), Some(400));
    assert_eq!(refused("GET / HTTP/1.1\r\nHost : x\r\n\r\n"), Some(400));
    let chunked =
        format!("POST /write HTTP/1.1\r\n{host}Transfer-Encoding: chunked\r\n\r\n0\r\n\r\n");
    assert_eq!(refused(&chunked), Some(501));
    let long = "x".repeat(LIMITS.head + 1);
    assert_eq!(refused(&format!("GET /{long} HTTP/1.1\r\n{host}\r\n")), Some(431));
    let length = LIMITS.body + 1;
    let large = format!("POST /write HTTP/1.1\r\n{host}Content-Length: {length}\r\n\r\n");
    assert_eq!(refused(&large), Some(413));
    assert_eq!(refused(&large.replace(&length.to_string(), "-1")), Some(400));
    assert_eq!(watched.status("GET", "/", ""), 200);
}

#[test]
fn a_port_that_is_taken_is_said() {
    let taken = TcpListener::bind(("127.0.0.1", 0)).expect("a port");
    let port = taken.local_addr().expect("an address").port().to_string();
    let done = Command::new(env!("CARGO_BIN_EXE_pipkin"))
        .args(["watch", "plate.pkn", "--port", &port])
        .output()
        .expect("the program starts");
    let said = String::from_utf8_lossy(&done.stderr).to_string();
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(said.contains("E0960") && said.contains(&port), "{said}");
}

/// Clients that say nothing are sent away in time; more than there are threads for at once.
#[test]
fn silent_clients_do_not_block_the_page() {
    let watched = Watched::start();
    let silent: Vec<TcpStream> = (0..40).map(|_| watched.connect()).collect();
    let start = Instant::now();
    let statuses: Vec<_> = silent.into_iter().map(|s| answer(s).map(|reply| reply.0)).collect();
    let count = |status| statuses.iter().filter(|s| **s == Some(status)).count();
    assert_eq!(count(503), 16, "{statuses:?}");
    assert_eq!(count(408), 24, "{statuses:?}");
    assert!(start.elapsed() < 3 * LIMITS.read, "{:?}", start.elapsed());
    assert_eq!(watched.status("GET", "/", ""), 200);
}

/// The kernel's own list of what listens: this machine's loopback, no other address.
#[cfg(target_os = "linux")]
#[test]
fn only_loopback_is_listened_on() {
    let watched = Watched::start();
    let port = format!(":{:04X}", watched.port);
    let mut seen = 0;
    for table in ["/proc/net/tcp", "/proc/net/tcp6"] {
        let text = std::fs::read_to_string(table).unwrap_or_default();
        for line in text.lines().skip(1) {
            let words: Vec<&str> = line.split_whitespace().collect();
            // The state 0A is LISTEN.
            if words.get(3) == Some(&"0A") && words[1].ends_with(&port) {
                seen += 1;
                assert_eq!(words[1], format!("0100007F{port}"), "{line}");
            }
        }
    }
    assert_eq!(seen, 1);
}
