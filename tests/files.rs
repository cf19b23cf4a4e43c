//! What lies on the disk after a build: formats, and whole sets or none.

use pipkin::mesh::{Mesh, Tag};
use pipkin::output::{stl, threemf};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// The cube of the 3MF Core Specification 1.4.0, appendix B.2: 8 corners, 12 triangles,
/// a box from (0, 42.998, 0) to (39.998, 82.998, 39.998).
fn appendix_cube() -> Mesh {
    let (low, high) = ([0.0, 42.998, 0.0], [39.998, 82.998, 39.998]);
    let corner =
        |bits: usize| std::array::from_fn(|i| if bits >> i & 1 == 1 { high[i] } else { low[i] });
    let faces =
        [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles: Vec<[u32; 3]> =
        faces.iter().flat_map(|[a, b, c, d]| [[*a, *b, *c], [*a, *c, *d]]).collect();
    let tags = vec![Tag::PLAIN; triangles.len()];
    Mesh { vertices: (0..8).map(corner).collect(), triangles, tags }
}

/// The volume under the corners of each triangle, by the divergence theorem.
fn volume(corners: &[[f64; 3]], triangles: &[[usize; 3]]) -> f64 {
    let under = |t: &[usize; 3]| {
        let [a, b, c] = t.map(|v| corners[v]);
        a[0] * (b[1] * c[2] - b[2] * c[1])
            + a[1] * (b[2] * c[0] - b[0] * c[2])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    };
    triangles.iter().map(under).sum::<f64>() / 6.0
}

/// The numbers of every element `name` in a model part, by a reading that shares
/// nothing with the writer.
fn numbers(model: &str, name: &str) -> Vec<[f64; 3]> {
    let head = format!("<{name} ");
    let elements = model.split(&head).skip(1).map(|rest| rest.split("/>").next().unwrap());
    let values = elements.map(|e| e.split('"').skip(1).step_by(2).map(|v| v.parse().unwrap()));
    values.map(|v| v.collect::<Vec<f64>>().try_into().unwrap()).collect()
}

/// Also writes the package where the outside check looks for it.
#[test]
fn the_cube_of_the_3mf_specification_keeps_its_volume() {
    let mesh = appendix_cube();
    let object = threemf::PrintObject {
        name: "cube",
        material: "Green",
        colour: [0x21, 0xbb, 0x4c],
        mesh: &mesh,
        aids: Vec::new(),
        items: vec![threemf::shifted([0.0; 3])],
    };
    let package = threemf::encode("Cube", "pipkin", &[object]).unwrap();
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("appendix.3mf");
    std::fs::write(path, &package).unwrap();

    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(&package)).unwrap();
    let model = std::io::read_to_string(archive.by_name("3D/3dmodel.model").unwrap()).unwrap();
    let corners = numbers(&model, "vertex");
    let triangles: Vec<[usize; 3]> =
        numbers(&model, "triangle").iter().map(|t| t.map(|v| v as usize)).collect();
    assert_eq!((corners.len(), triangles.len()), (8, 12));
    assert!((volume(&corners, &triangles) - 63_993.600_16).abs() < 1e-8);
}

/// 12 triangles are 684 bytes (binary STL: 84 + 50 n; 3D Systems, StereoLithography
/// Interface Specification, 1989; from memory).
#[test]
fn the_same_cube_as_stl_has_684_bytes() {
    let bytes = stl::encode(&appendix_cube()).unwrap();
    assert_eq!(bytes.len(), 684);
    let read = stl_io::read_stl(&mut std::io::Cursor::new(&bytes)).unwrap();
    let corners: Vec<[f64; 3]> = read.vertices.iter().map(|v| v.0.map(f64::from)).collect();
    let triangles: Vec<[usize; 3]> = read.faces.iter().map(|f| f.vertices).collect();
    // Single precision: 6e-8 of each of three lengths.
    let ratio = volume(&corners, &triangles) / 63_993.600_16 - 1.0;
    assert!(ratio.abs() < 3e-7, "{ratio}");
}

/// A jar with a lid, at two values of one input: what lies in the folder is the set of
/// the first or of the second.
struct Shop {
    folder: tempfile::TempDir,
    old: Contents,
    new: Contents,
}

type Contents = BTreeMap<String, Vec<u8>>;

const OLD: [&str; 2] = ["--set", "bore=40mm"];
const NEW: [&str; 2] = ["--set", "bore=44mm"];

impl Shop {
    /// `foreign`: with somebody's notes and pictures among the files.
    fn open(foreign: bool) -> Shop {
        let folder = tempfile::tempdir().unwrap();
        let mut shop = Shop { folder, old: Contents::new(), new: Contents::new() };
        assert!(shop.command(&["new", "mug"]).status().unwrap().success());
        if foreign {
            std::fs::create_dir_all(shop.path("out/photos")).unwrap();
            std::fs::write(shop.path("out/photos/a.png"), "a picture").unwrap();
            std::fs::write(shop.path("out/notes.txt"), "print slowly").unwrap();
        }
        shop.build(&NEW);
        shop.new = shop.contents();
        shop.build(&OLD);
        shop.old = shop.contents();
        assert_ne!(shop.old, shop.new);
        assert_eq!(shop.old.contains_key("notes.txt"), foreign);
        shop
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_pipkin"));
        command.current_dir(self.folder.path()).args(arguments);
        command.stdout(Stdio::null()).stderr(Stdio::null());
        command
    }

    fn build(&self, values: &[&str]) {
        let status = self.command(&["build", "mug.pkn"]).args(values).status().unwrap();
        assert!(status.success(), "{values:?}");
    }

    /// Everything in `out`, but what a killed build leaves to be finished or taken away.
    fn contents(&self) -> Contents {
        let mut all = Contents::new();
        let mut open = vec![self.path("out")];
        while let Some(folder) = open.pop() {
            for entry in std::fs::read_dir(folder).into_iter().flatten() {
                let path = entry.unwrap().path();
                if path.is_dir() && !path.ends_with(".pipkin-stage") {
                    open.push(path);
                } else if path.is_file() {
                    let name = path.strip_prefix(self.path("out")).unwrap();
                    all.insert(name.display().to_string(), std::fs::read(&path).unwrap());
                }
            }
        }
        all
    }

    /// Starts a build of the new set, kills it when `when` returns, and tells which set
    /// is there.
    fn killed(&self, when: &dyn Fn(&mut Child)) -> Contents {
        let mut child = self.command(&["build", "mug.pkn"]).args(NEW).spawn().unwrap();
        when(&mut child);
        // Both fail only when the child has ended by itself.
        let _ = child.kill();
        let _ = child.wait();
        self.contents()
    }
}

/// Delays in microseconds from a fixed seed, evenly spread below `below` (a linear
/// congruence with the constants of Numerical Recipes, 2nd ed., section 7.1).
fn delays(below: u32, count: usize) -> Vec<Duration> {
    let mut state = 20_261_125_u32;
    let mut next = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        Duration::from_micros((u64::from(state >> 8) * u64::from(below)) >> 24)
    };
    (0..count).map(|_| next()).collect()
}

/// Waits until the child begins to write, or ends.
fn until_it_writes(shop: &Shop, child: &mut Child) {
    let stages = [shop.path(".out.pipkin-stage"), shop.path("out/.pipkin-stage")];
    while child.try_wait().unwrap().is_none() && !stages.iter().any(|stage| stage.exists()) {
        std::thread::yield_now();
    }
}

/// Waits until the new set is in place, or the child has ended.
fn until_it_is_there(shop: &Shop, child: &mut Child) {
    while child.try_wait().unwrap().is_none() && shop.contents() != shop.new {
        std::thread::yield_now();
    }
}

#[cfg(target_os = "linux")]
#[test]
#[expect(clippy::disallowed_methods, reason = "how long a build takes bounds when to kill it")]
fn a_killed_build_leaves_the_old_set_or_the_new() {
    let shop = Shop::open(false);
    let mut seen = [0, 0];
    let mut look = |now: Contents, when: &str| {
        let which = [now == shop.old, now == shop.new];
        assert!(which[0] || which[1], "neither set, killed {when}: {:?}", now.keys());
        seen[usize::from(which[1])] += 1;
        if which[1] {
            shop.build(&OLD);
        }
    };
    let started = std::time::Instant::now();
    shop.build(&OLD);
    let whole = started.elapsed().as_micros() as u32;
    for delay in delays(whole + whole / 5, 40) {
        let now = shop.killed(&|_| std::thread::sleep(delay));
        look(now, &format!("after {delay:?}"));
    }
    for delay in delays(whole / 20, 60) {
        let now = shop.killed(&|child| {
            until_it_writes(&shop, child);
            std::thread::sleep(delay);
        });
        look(now, &format!("{delay:?} after it began to write"));
    }
    // The taking away of the old set is cut short, too, however fast the machine is.
    for delay in delays(whole / 200, 20) {
        let now = shop.killed(&|child| {
            until_it_is_there(&shop, child);
            std::thread::sleep(delay);
        });
        look(now, &format!("{delay:?} after the new set was there"));
    }
    assert!(seen[0] > 5 && seen[1] > 5, "old and new sets seen: {seen:?}");
    // Nothing of all that is left beside the files.
    shop.build(&NEW);
    assert_eq!(shop.contents(), shop.new);
    let names: Vec<_> = std::fs::read_dir(shop.folder.path()).unwrap().collect();
    assert_eq!(names.len(), 2, "mug.pkn and out, not {names:?}");
}

#[cfg(unix)]
#[test]
fn among_foreign_files_the_next_build_finishes_what_was_killed() {
    let shop = Shop::open(true);
    for delay in delays(3_000, 60) {
        let now = shop.killed(&|child| {
            until_it_writes(&shop, child);
            std::thread::sleep(delay);
        });
        let begun = shop.path("out/.pipkin-stage/commit").exists();
        assert!(begun || now == shop.old || now == shop.new, "{delay:?}: {:?}", now.keys());
        shop.build(&OLD);
        assert_eq!(shop.contents(), shop.old, "killed {delay:?} after it began to write");
        assert!(!shop.path("out/.pipkin-stage").exists());
    }
}

#[test]
fn files_that_are_no_longer_made_go_and_foreign_ones_stay() {
    let shop = Shop::open(true);
    shop.build(&["--set", "bore=40mm", "--only", "lid"]);
    let names: Vec<String> = shop.contents().into_keys().collect();
    let own = ["lid.step", "lid.stl", "mug.3mf", "mug.assembly.step", "mug.manifest.json"];
    assert_eq!(names, [&own[..], &["notes.txt", "photos/a.png"]].concat());
    // With an error nothing happens.
    let before = shop.contents();
    let status = shop.command(&["build", "mug.pkn", "--set", "bore=1mm"]).status().unwrap();
    assert_eq!(status.code(), Some(2));
    assert_eq!(shop.contents(), before);
    // A foreign file with the name of one of ours stops the build.
    std::fs::write(shop.path("out/jar.stl"), "carved by hand").unwrap();
    let status = shop.command(&["build", "mug.pkn"]).status().unwrap();
    assert_eq!(status.code(), Some(1));
    assert_eq!(shop.contents()["jar.stl"], b"carved by hand");
}

#[test]
fn sizes_go_into_folders_of_their_names() {
    let shop = Shop::open(false);
    shop.build(&["--every-size"]);
    let small = shop.contents()["small/jar.stl"].clone();
    shop.build(&["--size", "large"]);
    shop.build(&OLD);
    let now = shop.contents();
    assert_eq!(now["small/jar.stl"], small);
    assert_ne!(now["large/jar.stl"], small);
    assert!(shop.old.iter().all(|(name, bytes)| now.get(name) == Some(bytes)));
    let parts = now.keys().filter(|name| name.ends_with("jar.stl"));
    assert_eq!(parts.collect::<Vec<_>>(), ["jar.stl", "large/jar.stl", "small/jar.stl"]);
}

#[test]
fn a_folder_that_cannot_be_written_is_a_finding() {
    let shop = Shop::open(false);
    std::fs::write(shop.path("file"), "x").unwrap();
    for out in ["file", "file/below"] {
        let mut build = shop.command(&["build", "mug.pkn", "--out", out]);
        let output = build.stderr(Stdio::piped()).output().unwrap();
        assert_eq!(output.status.code(), Some(1), "{out}");
        let said = String::from_utf8_lossy(&output.stderr).to_string();
        assert!(said.contains("E0912") && said.contains(out), "{said}");
    }
    assert_eq!(std::fs::read(shop.path("file")).unwrap(), b"x");
}

/// On a real file system of 256 kB, where this system lets us make one; the same is
/// shown without one, for every step, by the tests of `output::replace`.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_a_finding_and_the_old_set_stays() {
    let shop = Shop::open(false);
    let size = shop.old.values().map(Vec::len).sum::<usize>() / 1024 * 3 / 2;
    let script = format!(
        "mount -t tmpfs -o size={size}k none disk || exit 77
         $PIPKIN -q build mug.pkn --out disk/out --set bore=40mm || exit 78
         before=$(cat disk/out/* | cksum)
         $PIPKIN -q build mug.pkn --out disk/out --set bore=44mm --message-format short 2>&1
         code=$?
         [ \"$before\" = \"$(cat disk/out/* | cksum)\" ] || exit 79
         [ \"$(ls -A disk)\" = out ] || exit 80
         exit $code"
    );
    std::fs::create_dir(shop.path("disk")).unwrap();
    let mut unshare = Command::new("unshare");
    unshare.args(["--map-root-user", "--mount", "sh", "-c", &script]);
    unshare.env("PIPKIN", env!("CARGO_BIN_EXE_pipkin")).current_dir(shop.folder.path());
    let Ok(output) = unshare.output() else { return };
    let said = String::from_utf8_lossy(&output.stdout).to_string();
    match output.status.code() {
        // This system gives us no file system of our own.
        Some(77) => {}
        None => panic!("{output:?}"),
        Some(_) if String::from_utf8_lossy(&output.stderr).contains("unshare") => {}
        code => {
            assert_eq!(code, Some(1), "{output:?}");
            assert!(said.contains("E0911"), "{said}");
        }
    }
}
