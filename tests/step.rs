//! STEP files read by a strict reader of our own that heals nothing. Syntax after
//! ISO 10303-21, entities after ISO 10303-42; neither is shared with the writer.

use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::TAU;
use std::path::Path;
use std::process::Command;

/// What the files claim of themselves, mm.
const UNCERTAINTY_MM: f64 = 1e-6;

type V = [f64; 3];

#[derive(Clone, Debug, PartialEq)]
enum Value {
    Ref(usize),
    Real(f64),
    Whole(i64),
    Text(String),
    Word(String),
    List(Vec<Value>),
    Typed(String, Vec<Value>),
    Left,
}

struct Reader<'a> {
    text: &'a [u8],
    at: usize,
}

impl Reader<'_> {
    fn peek(&self) -> u8 {
        self.text[self.at]
    }

    fn take(&mut self, c: u8) {
        assert_eq!(self.peek() as char, c as char, "at byte {}", self.at);
        self.at += 1;
    }

    fn run(&mut self, wanted: impl Fn(u8) -> bool) -> String {
        let from = self.at;
        while wanted(self.peek()) {
            self.at += 1;
        }
        String::from_utf8(self.text[from..self.at].to_vec()).unwrap()
    }

    fn list(&mut self) -> Vec<Value> {
        self.take(b'(');
        let mut values = Vec::new();
        while self.peek() != b')' {
            // A complex entity is a list of typed values without commas.
            if self.peek() == b',' {
                self.at += 1;
            }
            values.push(self.value());
        }
        self.take(b')');
        values
    }

    fn value(&mut self) -> Value {
        match self.peek() {
            b'#' => {
                self.at += 1;
                Value::Ref(self.run(|c| c.is_ascii_digit()).parse().unwrap())
            }
            b'(' => Value::List(self.list()),
            b'*' | b'$' => {
                self.at += 1;
                Value::Left
            }
            b'.' => {
                self.at += 1;
                let word = self.run(|c| c.is_ascii_uppercase());
                self.take(b'.');
                Value::Word(word)
            }
            b'\'' => {
                self.at += 1;
                let mut text = self.run(|c| c != b'\'');
                self.at += 1;
                while self.peek() == b'\'' {
                    self.at += 1;
                    text = text + "'" + &self.run(|c| c != b'\'');
                    self.at += 1;
                }
                Value::Text(text)
            }
            b'A'..=b'Z' => {
                let name = self.run(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || c == b'_');
                Value::Typed(name, self.list())
            }
            _ => {
                let number = self.run(|c| c.is_ascii_digit() || b"+-.E".contains(&c));
                let real = number.contains('.');
                assert!(real || !number.contains('E'), "{number} is neither real nor whole");
                if real {
                    Value::Real(number.parse().unwrap())
                } else {
                    Value::Whole(number.parse().unwrap())
                }
            }
        }
    }
}

fn refs(value: &Value, found: &mut Vec<usize>) {
    match value {
        Value::Ref(id) => found.push(*id),
        Value::List(values) | Value::Typed(_, values) => values.iter().for_each(|v| refs(v, found)),
        _ => {}
    }
}

struct File {
    entities: BTreeMap<usize, Value>,
}

impl File {
    fn read(text: &str) -> File {
        assert!(text.is_ascii());
        assert!(text.starts_with("ISO-10303-21;\nHEADER;\n"));
        assert!(text.contains("FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));"));
        let (_, data) = text.split_once("\nDATA;\n").unwrap();
        let (data, _) = data.split_once("ENDSEC;\nEND-ISO-10303-21;\n").unwrap();
        let mut entities = BTreeMap::new();
        let mut last = 0;
        for line in data.lines() {
            let mut reader = Reader { text: line.as_bytes(), at: 0 };
            let Value::Ref(id) = reader.value() else { panic!("{line}") };
            reader.take(b'=');
            let value = reader.value();
            reader.take(b';');
            assert_eq!(reader.at, line.len(), "{line}");
            assert!(id > last, "ids ascend: {line}");
            last = id;
            let mut used = Vec::new();
            refs(&value, &mut used);
            assert!(used.iter().all(|u| entities.contains_key(u)), "unresolved: {line}");
            assert!(entities.insert(id, value).is_none(), "twice: {line}");
        }
        File { entities }
    }

    fn get(&self, value: &Value) -> (&str, &[Value]) {
        let Value::Ref(id) = value else { panic!("{value:?} is no reference") };
        match &self.entities[id] {
            Value::Typed(name, values) => (name, values),
            other => panic!("{other:?} has no name"),
        }
    }

    fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a [Value]> {
        self.entities.values().filter_map(move |e| match e {
            Value::Typed(n, values) if n == name => Some(values.as_slice()),
            _ => None,
        })
    }

    fn triple(&self, value: &Value, wanted: &str) -> V {
        let (name, values) = self.get(value);
        assert_eq!(name, wanted);
        let numbers: Vec<f64> = list(&values[1]).iter().map(real).collect();
        numbers.try_into().unwrap()
    }

    fn point(&self, value: &Value) -> V {
        self.triple(value, "CARTESIAN_POINT")
    }

    fn direction(&self, value: &Value) -> V {
        let d = self.triple(value, "DIRECTION");
        assert!((dot(d, d) - 1.0).abs() < 1e-12, "{d:?}");
        d
    }

    /// Origin, x, y, z.
    fn axes(&self, value: &Value) -> [V; 4] {
        let (name, values) = self.get(value);
        assert_eq!(name, "AXIS2_PLACEMENT_3D");
        let (z, x) = (self.direction(&values[2]), self.direction(&values[3]));
        assert!(dot(z, x).abs() < 1e-12);
        [self.point(&values[1]), x, cross(z, x), z]
    }
}

fn list(value: &Value) -> &[Value] {
    let Value::List(values) = value else { panic!("{value:?} is no list") };
    values
}

fn real(value: &Value) -> f64 {
    let Value::Real(number) = value else { panic!("{value:?} is no real") };
    *number
}

fn truth(value: &Value) -> bool {
    match value {
        Value::Word(word) if word == "T" => true,
        Value::Word(word) if word == "F" => false,
        other => panic!("{other:?} is no logical"),
    }
}

fn dot(a: V, b: V) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: V, b: V) -> V {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn sub(a: V, b: V) -> V {
    [0, 1, 2].map(|i| a[i] - b[i])
}

fn local([origin, x, y, z]: [V; 4], point: V) -> V {
    let d = sub(point, origin);
    [dot(d, x), dot(d, y), dot(d, z)]
}

fn distance(a: V, b: V) -> f64 {
    let d = sub(a, b);
    dot(d, d).sqrt()
}

/// A point of a B-spline by de Boor's algorithm.
fn spline(degree: usize, knots: &[f64], controls: &[V], at: f64) -> V {
    let above = knots.partition_point(|k| *k <= at);
    let span = above.clamp(degree + 1, controls.len()) - 1;
    let mut d: Vec<V> = (0..=degree).map(|j| controls[span - degree + j]).collect();
    for r in 1..=degree {
        for j in (r..=degree).rev() {
            let low = knots[span - degree + j];
            let share = (at - low) / (knots[span + 1 + j - r] - low);
            d[j] = [0, 1, 2].map(|i| (1.0 - share) * d[j - 1][i] + share * d[j][i]);
        }
    }
    d[degree]
}

/// Points along an edge curve from its first vertex to its second, both among them.
fn samples(file: &File, edge: &Value) -> Vec<V> {
    let (name, values) = file.get(edge);
    assert_eq!(name, "EDGE_CURVE");
    assert!(truth(&values[4]));
    let [from, to] = [1, 2].map(|i| {
        let (name, vertex) = file.get(&values[i]);
        assert_eq!(name, "VERTEX_POINT");
        file.point(&vertex[1])
    });
    let (kind, curve) = file.get(&values[3]);
    let share = |i: i32| f64::from(i) / 8.0;
    let points: Vec<V> = match kind {
        "LINE" => {
            let (_, vector) = file.get(&curve[2]);
            let (start, along) = (file.point(&curve[1]), file.direction(&vector[1]));
            let run = |p: V| dot(sub(p, start), along);
            let (a, b) = (run(from), run(to));
            assert!(b > a, "a line runs on: {from:?} {to:?}");
            let at = |t: f64| [0, 1, 2].map(|i| start[i] + along[i] * t);
            (0..=8).map(|i| at(a + (b - a) * share(i))).collect()
        }
        "CIRCLE" | "ELLIPSE" => {
            let axes = file.axes(&curve[1]);
            let radii = [real(&curve[2]), real(&curve[curve.len() - 1])];
            assert!(radii[0] >= radii[1] && radii[1] > 0.0);
            let angle = |p: V| {
                let [x, y, _] = local(axes, p);
                (y / radii[1]).atan2(x / radii[0])
            };
            let a = angle(from);
            let turn =
                if distance(from, to) < 1e-9 { TAU } else { (angle(to) - a).rem_euclid(TAU) };
            let at = |t: f64| {
                let (x, y) = (radii[0] * t.cos(), radii[1] * t.sin());
                [0, 1, 2].map(|i| axes[0][i] + axes[1][i] * x + axes[2][i] * y)
            };
            (0..=8).map(|i| at(a + turn * share(i))).collect()
        }
        "B_SPLINE_CURVE_WITH_KNOTS" => {
            assert_eq!(curve[1], Value::Whole(3));
            let controls: Vec<V> = list(&curve[2]).iter().map(|p| file.point(p)).collect();
            let mut knots = Vec::new();
            for (count, knot) in list(&curve[6]).iter().zip(list(&curve[7])) {
                let Value::Whole(count) = count else { panic!("{count:?}") };
                knots.extend((0..*count).map(|_| real(knot)));
            }
            assert!(knots.is_sorted());
            assert_eq!(knots.len(), controls.len() + 4);
            let end = knots[knots.len() - 1];
            (0..=8).map(|i| spline(3, &knots, &controls, end * share(i))).collect()
        }
        other => panic!("no curve of these files: {other}"),
    };
    assert!(distance(points[0], from) < UNCERTAINTY_MM, "{kind} misses its start");
    assert!(distance(points[8], to) < UNCERTAINTY_MM, "{kind} misses its end");
    points
}

/// Distance of a point from an elementary surface; none for others.
fn off_surface(file: &File, surface: &Value, point: V) -> Option<f64> {
    let (kind, values) = file.get(surface);
    if kind == "B_SPLINE_SURFACE_WITH_KNOTS" {
        return None;
    }
    let [x, y, z] = local(file.axes(&values[1]), point);
    let radius = x.hypot(y);
    Some(match kind {
        "PLANE" => z,
        "CYLINDRICAL_SURFACE" => radius - real(&values[2]),
        "CONICAL_SURFACE" => {
            let (start, half) = (real(&values[2]), real(&values[3]));
            assert!(start >= 0.0 && half > 0.0 && half < TAU / 4.0);
            (radius - start) * half.cos() - z * half.sin()
        }
        "SPHERICAL_SURFACE" => radius.hypot(z) - real(&values[2]),
        "TOROIDAL_SURFACE" => (radius - real(&values[2])).hypot(z) - real(&values[3]),
        "DEGENERATE_TOROIDAL_SURFACE" => {
            assert!(truth(&values[4]), "the outer part");
            (radius - real(&values[2])).hypot(z) - real(&values[3])
        }
        other => panic!("no surface of these files: {other}"),
    })
}

/// Twice the area under a closed run of points, seen against `normal`.
fn doubled_area(points: &[V], normal: V) -> f64 {
    let next = points.iter().cycle().skip(1);
    points.iter().zip(next).map(|(a, b)| dot(cross(*a, *b), normal)).sum()
}

/// Checks a face and gives its edges with the sense in which each is used.
fn face(file: &File, face: &Value) -> Vec<(usize, bool)> {
    let (name, values) = file.get(face);
    assert_eq!(name, "ADVANCED_FACE");
    let mut used = Vec::new();
    for (number, bound) in list(&values[1]).iter().enumerate() {
        let (name, bound) = file.get(bound);
        assert_eq!(name, if number == 0 { "FACE_OUTER_BOUND" } else { "FACE_BOUND" });
        assert!(truth(&bound[2]));
        let (name, ring) = file.get(&bound[1]);
        assert_eq!(name, "EDGE_LOOP");
        let mut outline: Vec<V> = Vec::new();
        let mut ends = Vec::new();
        for side in list(&ring[1]) {
            let (name, side) = file.get(side);
            assert_eq!(name, "ORIENTED_EDGE");
            let forward = truth(&side[4]);
            let Value::Ref(id) = side[3] else { panic!("{side:?}") };
            used.push((id, forward));
            let mut points = samples(file, &side[3]);
            let (_, edge) = file.get(&side[3]);
            let mut vertices = [edge[1].clone(), edge[2].clone()];
            if !forward {
                points.reverse();
                vertices.reverse();
            }
            for point in &points {
                let off = off_surface(file, &values[2], *point).unwrap_or(0.0);
                assert!(off.abs() < UNCERTAINTY_MM, "an edge leaves its surface by {off}");
            }
            outline.extend(&points[..8]);
            ends.push(vertices);
        }
        for (i, [_, end]) in ends.iter().enumerate() {
            assert_eq!(*end, ends[(i + 1) % ends.len()][0], "a loop is not chained");
        }
        let (kind, surface) = file.get(&values[2]);
        if kind == "PLANE" {
            let sign = if truth(&values[3]) == (number == 0) { 1.0 } else { -1.0 };
            let normal = file.axes(&surface[1])[3];
            assert!(doubled_area(&outline, normal) * sign > 0.0, "a loop winds the wrong way");
        }
    }
    used
}

/// Checks a file; gives how many solids it has and their names.
fn check(text: &str) -> (usize, BTreeSet<String>) {
    let file = File::read(text);
    let mut names = BTreeSet::new();
    let mut count = 0;
    for solid in file.all("MANIFOLD_SOLID_BREP") {
        let Value::Text(name) = &solid[0] else { panic!("{solid:?}") };
        names.insert(name.clone());
        count += 1;
        let (name, shell) = file.get(&solid[1]);
        assert_eq!(name, "CLOSED_SHELL");
        let mut uses: BTreeMap<usize, [u32; 2]> = BTreeMap::new();
        for number in list(&shell[1]) {
            for (edge, forward) in face(&file, number) {
                uses.entry(edge).or_default()[usize::from(forward)] += 1;
            }
        }
        for (edge, senses) in uses {
            assert_eq!(senses, [1, 1], "edge #{edge}");
        }
    }
    let mut fitted = 0;
    for face in file.all("ADVANCED_FACE") {
        let Value::Text(name) = &face[0] else { panic!("{face:?}") };
        let known = ["", "show face", "back", "floor", "flank", "ceiling"];
        assert!(known.contains(&name.as_str()), "{name}");
        fitted += usize::from(!name.is_empty());
    }
    let coloured = file.all("STYLED_ITEM").count();
    assert_eq!(coloured, count + fitted, "each solid and each face of a fit has a colour");
    (count, names)
}

/// Builds an example and gives the STEP files by name.
fn built(example: &str, folder: &str) -> BTreeMap<String, String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let out = Path::new(env!("CARGO_TARGET_TMPDIR")).join(folder);
    let _ = std::fs::remove_dir_all(&out);
    let status = Command::new(env!("CARGO_BIN_EXE_pipkin"))
        .args(["build", "-q"])
        .arg(root.join(format!("examples/{example}/{example}.pkn")))
        .arg("--out")
        .arg(&out)
        .status()
        .unwrap();
    assert!(status.success());
    let mut files = BTreeMap::new();
    for entry in std::fs::read_dir(&out).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "step") {
            let name = path.file_stem().unwrap().to_string_lossy().to_string();
            files.insert(name, std::fs::read_to_string(&path).unwrap());
        }
    }
    files
}

/// Every part's file and the assembly, by parts and pieces.
fn examine(example: &str, pieces: &[(&str, usize)]) {
    let files = built(example, &format!("step-{example}"));
    assert_eq!(files.len(), pieces.len() + 1, "{:?}", files.keys());
    for (part, count) in pieces {
        let (solids, names) = check(&files[*part]);
        assert_eq!((solids, names), (*count, BTreeSet::from([part.to_string()])));
    }
    let (solids, names) = check(&files[&format!("{example}.assembly")]);
    assert_eq!(solids, pieces.iter().map(|(_, count)| count).sum::<usize>());
    assert_eq!(names, pieces.iter().map(|(part, _)| part.to_string()).collect());
}

#[test]
fn the_button_jar_is_read_as_it_stands() {
    examine("button-jar", &[("belt", 1), ("cap", 1), ("jar", 1)]);
}

#[test]
fn sloping_edges_are_read_as_they_stand() {
    examine("salt-cellar", &[("cap", 1), ("cellar", 1), ("ripple", 1)]);
}

#[test]
fn each_loose_piece_is_a_solid() {
    examine("seed-tumbler", &[("seed", 24), ("tumbler", 1)]);
}

#[test]
fn two_runs_write_the_same_bytes() {
    assert_eq!(built("button-jar", "step-first"), built("button-jar", "step-second"));
}

#[test]
fn the_reader_heals_nothing() {
    let text = built("button-jar", "step-broken").remove("cap").unwrap();
    let refused = |broken: String| {
        assert_ne!(broken, text);
        assert!(std::panic::catch_unwind(|| check(&broken)).is_err());
    };
    let edge = text.lines().find(|l| l.contains("ORIENTED_EDGE")).unwrap();
    refused(
        text.replace(edge, &edge.replace(".T.", ".X.").replace(".F.", ".T.").replace(".X.", ".F.")),
    );
    refused(text.replacen("CYLINDRICAL_SURFACE('',#", "CYLINDRICAL_SURFACE('',#9", 1));
    let plane = text.lines().find(|l| l.contains("ADVANCED_FACE")).unwrap();
    refused(text.replace(plane, ""));
    let vertex = text.lines().find(|l| l.contains("CARTESIAN_POINT('',(3")).unwrap();
    refused(text.replace(vertex, &vertex.replace("('',(3", "('',(2")));
}
