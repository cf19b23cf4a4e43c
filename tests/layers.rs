//! What hangs in the air, and the columns that carry it: the button jar's band and bodies
//! that stand on themselves, from text to the triangles of the files.

use pipkin::fit::nearest_point;
use pipkin::mesh::{Mesh, Tag};
use pipkin::output::manifest::{Hangs, PrintEntry, UnsupportedEntry};
use pipkin::pipeline::{Built, Options, Silent, build, check, coupon};
use pipkin::source::MemoryWorld;
use std::collections::BTreeMap;
use std::path::Path;

const JAR: &str = include_str!("../examples/button-jar/button-jar.pkn");

fn built(text: &str) -> Built {
    let world = MemoryWorld::with("/design/probe.pkn", text);
    let options = Options { with_props: true, ..Options::default() };
    build(&world, Path::new("/design/probe.pkn"), &options, &Silent)
}

fn codes(built: &Built) -> Vec<&'static str> {
    built.findings.iter().map(|f| f.code.id).collect()
}

fn print<'a>(built: &'a Built, part: &str) -> &'a PrintEntry {
    let bundle = built.bundle.as_ref().unwrap_or_else(|| panic!("{:?}", built.findings));
    bundle.manifest.print.iter().find(|p| p.part == part).expect("the part")
}

/// Whether a region is more than what prints: the limits of the layer check, a bridge of
/// the button jar's printer.
fn is_loose(region: &UnsupportedEntry) -> bool {
    match region.kind {
        Hangs::Island => true,
        Hangs::Overhang => region.reach_mm.expect("reach") > 1.5,
        Hangs::Bridge => region.span_mm.expect("span") > 8.02,
    }
}

/// The triangles of an STL file, the part's own first, then those of its columns, each
/// column by itself.
fn bodies(built: &Built, part: &str) -> (Mesh, Vec<Mesh>) {
    let bundle = built.bundle.as_ref().expect("files");
    let file = format!("{part}.stl");
    let (_, bytes) = bundle.files.iter().find(|(name, _)| *name == file).expect("an STL file");
    let mut names: BTreeMap<[u32; 3], u32> = BTreeMap::new();
    let mut all = Mesh::default();
    for record in bytes[84..].chunks_exact(50) {
        let mut corners = [0; 3];
        for (corner, bytes) in corners.iter_mut().zip(record[12..48].chunks_exact(12)) {
            let number = |i: usize| f32::from_le_bytes(bytes[4 * i..4 * i + 4].try_into().unwrap());
            let at = [number(0), number(1), number(2)];
            *corner = *names.entry(at.map(f32::to_bits)).or_insert_with(|| {
                all.vertices.push(at.map(f64::from));
                all.vertices.len() as u32 - 1
            });
        }
        all.triangles.push(corners);
        all.tags.push(Tag::PLAIN);
    }
    let mut pieces = all.pieces().into_iter().map(|triangles| Mesh {
        vertices: all.vertices.clone(),
        tags: vec![Tag::PLAIN; triangles.len()],
        triangles: triangles.into_iter().map(|t| all.triangles[t]).collect(),
    });
    let own = pieces.next().expect("a body");
    (own, pieces.collect())
}

fn points(mesh: &Mesh) -> Vec<[f64; 3]> {
    let mut out = Vec::new();
    for t in 0..mesh.triangles.len() {
        let c = mesh.corners(t);
        out.extend(c);
        out.push([0, 1, 2].map(|k| (c[0][k] + c[1][k] + c[2][k]) / 3.0));
        out.extend(
            [(0, 1), (1, 2), (2, 0)].map(|(a, b)| [0, 1, 2].map(|k| (c[a][k] + c[b][k]) / 2.0)),
        );
    }
    out
}

/// Least distance of points on a column from a part, mm.
fn clear_mm(part: &Mesh, column: &Mesh) -> f64 {
    let points = points(column);
    let (low, high) = (0..3).fold(([0.0; 3], [0.0; 3]), |(mut low, mut high), k| {
        low[k] = points.iter().map(|p| p[k]).fold(f64::INFINITY, f64::min) - 1.0;
        high[k] = points.iter().map(|p| p[k]).fold(f64::NEG_INFINITY, f64::max) + 1.0;
        (low, high)
    });
    let near = (0..part.triangles.len()).map(|t| part.corners(t)).filter(|c| {
        (0..3).all(|k| c.iter().any(|p| p[k] >= low[k]) && c.iter().any(|p| p[k] <= high[k]))
    });
    let mut least = f64::INFINITY;
    for corners in near {
        for p in &points {
            let q = nearest_point(*p, corners);
            least = least.min((0..3).map(|k| (p[k] - q[k]).powi(2)).sum::<f64>().sqrt());
        }
    }
    least
}

#[test]
fn props_carry_the_band_of_the_button_jar() {
    let bare = built(JAR);
    assert_eq!(codes(&bare), ["W1010"]);
    let loose: Vec<_> = print(&bare, "belt").unsupported.iter().filter(|u| is_loose(u)).collect();
    assert_eq!(loose.iter().map(|u| u.count).sum::<u64>(), 56);

    let carried = built(&format!("{JAR}\nprops under belt {{}}\n"));
    assert_eq!(codes(&carried), [""; 0]);
    let belt = print(&carried, "belt");
    assert!(!belt.unsupported.iter().any(is_loose), "{:?}", belt.unsupported);
    let props = belt.props.as_ref().expect("props");
    assert_eq!(
        props.before.iter().map(|u| u.count).sum::<u64>(),
        print(&bare, "belt").unsupported.iter().map(|u| u.count).sum::<u64>()
    );
    assert_eq!((props.repeats, props.without_room, props.on_part), (14, 0, 0));
    assert!(props.count > 0 && props.count.is_multiple_of(14), "{}", props.count);
    let (least, most) = (props.gap_above_mm.least.unwrap(), props.gap_above_mm.most.unwrap());
    assert!(least > 0.2 - 1e-6 && most < 0.21, "{least} {most}");

    // The same on the triangles of the file, by nearest points.
    let (own, columns) = bodies(&carried, "belt");
    assert_eq!(columns.len() as u64, props.count);
    for column in &columns {
        let clear = clear_mm(&own, column);
        assert!((clear - 0.2).abs() < 0.01, "{clear}");
        let foot = column.triangles.iter().flatten().map(|v| column.vertices[*v as usize][2]);
        assert_eq!(foot.fold(f64::INFINITY, f64::min), 0.0);
    }
    // Columns turned by a repeat are columns again, about the axis of the jar.
    let middle = |m: &Mesh| {
        let used: Vec<_> = m.triangles.iter().flatten().map(|v| m.vertices[*v as usize]).collect();
        [0, 1, 2].map(|k| {
            let [low, high] = [f64::min as fn(f64, f64) -> f64, f64::max]
                .map(|pick| used.iter().map(|p| p[k]).reduce(pick).unwrap());
            (low + high) / 2.0
        })
    };
    let middles: Vec<_> = columns.iter().map(middle).collect();
    let (sin, cos) = (std::f64::consts::TAU / 14.0).sin_cos();
    for [x, y, z] in &middles {
        let turned = [x * cos - y * sin, x * sin + y * cos, *z];
        let away = |m: &[f64; 3]| (0..3).map(|k| (m[k] - turned[k]).powi(2)).sum::<f64>().sqrt();
        // The box of a turned octagon differs from that of the one it was by its corners.
        assert!(middles.iter().map(away).fold(f64::INFINITY, f64::min) < 0.02);
    }
}

#[test]
fn a_shelf_stands_on_the_floor_below_it() {
    let tray = "let floor = block { size: (40 mm, 24 mm, 2 mm) }
let back = block { size: (3 mm, 24 mm, 20 mm) } at (-18.5 mm, 0 mm, 0 mm)
let shelf = block { size: (18 mm, 24 mm, 2 mm) } at (-11 mm, 0 mm, 14 mm)
part tray = solid { form: floor join back join shelf, material: pla }
";
    assert_eq!(codes(&built(tray)), ["W1010"]);
    let carried =
        built(&format!("{tray}props under tray {{ gap_above: 0.2 mm, gap_below: 0.4 mm }}\n"));
    assert_eq!(codes(&carried), [""; 0]);
    let props = print(&carried, "tray").props.as_ref().expect("props");
    assert_eq!(props.on_part, props.count);
    for (gap, asked) in [(&props.gap_above_mm, 0.2), (&props.gap_below_mm, 0.4)] {
        assert_eq!(gap.asked, asked);
        assert!((gap.least.unwrap() - asked).abs() < 1e-6, "{gap:?}");
        assert!((gap.most.unwrap() - asked).abs() < 1e-6, "{gap:?}");
    }
    let (own, columns) = bodies(&carried, "tray");
    for column in &columns {
        let z = || column.triangles.iter().flatten().map(|v| column.vertices[*v as usize][2]);
        assert!((z().fold(f64::INFINITY, f64::min) - 2.4).abs() < 1e-5);
        assert!((z().fold(0.0, f64::max) - 13.8).abs() < 1e-5);
        assert!((clear_mm(&own, column) - 0.2).abs() < 1e-5);
    }
}

#[test]
fn props_by_hand_stand_where_the_text_says() {
    let hook = "let post = block { size: (6 mm, 6 mm, 8 mm) }
let arm = block { size: (12 mm, 6 mm, 4 mm) } at (3 mm, 0 mm, 4 mm)
part hook = solid { form: post join arm, material: pla }
";
    let text = format!(
        "{hook}props under hook {{ at: [(7.6 mm, -2 mm), (7.6 mm, 2 mm)], width: 1 mm }}\n"
    );
    let carried = built(&text);
    assert_eq!(codes(&carried), [""; 0]);
    let (_, columns) = bodies(&carried, "hook");
    assert_eq!(columns.len(), 2);
    // A regular octagon of 1 mm from flat to flat, 3.8 mm high.
    let area = 2.0 * (2f64.sqrt() - 1.0);
    for column in &columns {
        assert!((column.volume_mm3() - area * 3.8).abs() < 1e-4, "{}", column.volume_mm3());
    }
}

#[test]
fn the_coupon_of_a_design_with_props_has_a_ladder_of_their_air() {
    let hook = "material chalk { base: pla, colour: #e8e1d3 }
let post = block { size: (6 mm, 6 mm, 8 mm) }
let arm = block { size: (12 mm, 6 mm, 4 mm) } at (3 mm, 0 mm, 4 mm)
part hook = solid { form: post join arm, material: chalk }
props under hook { width: 1 mm }
";
    let world = MemoryWorld::with("/design/hook.pkn", hook);
    let found = check(&world, Path::new("/design/hook.pkn"), &Options::default());
    let text = coupon::text(&found.model.expect("a design"));
    let made = built(&text);
    assert!(codes(&made).iter().all(|code| code.starts_with("W101")), "{:?}", made.findings);
    let (ladder, others) = bodies(&made, "gates_1");
    assert!(others.is_empty());
    // Between the plates' underside at 9 mm and the columns lie 1 to 4 layers of 0.2 mm.
    for (k, air) in [0.2, 0.4, 0.6, 0.8].into_iter().enumerate() {
        let over = |p: &[f64; 3]| (p[0] - 16.0 * k as f64).abs() < 1.0 && p[2] > 4.0 && p[2] < 8.9;
        let tops = ladder.vertices.iter().filter(|p| over(p)).map(|p| p[2]);
        assert!((tops.fold(0.0, f64::max) - (9.0 - air)).abs() < 1e-5, "{k}");
    }
    // 1 + 2 + 3 + 4 notches in the front edge, each with two upright corners at its bottom.
    let low = ladder.vertices.iter().filter(|p| (p[1] + 4.0).abs() < 1e-5 && p[2] == 0.0);
    assert_eq!(low.count(), 20);
}

#[test]
fn props_do_not_depend_on_how_many_threads_make_them() {
    let text = format!("{JAR}\nprops under belt {{ width: 1.2 mm, spacing: 3 mm }}\n");
    let files = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| built(&text)).bundle.expect("files").files
    };
    assert!(files(1) == files(4));
}
