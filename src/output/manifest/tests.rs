//! The structures, the schema and the contract say the same.

use super::*;
use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};

const SCHEMA: &str = include_str!("../../../grammar/manifest.schema.json");

/// A manifest in which every key is present.
pub(crate) fn full() -> Manifest {
    let gap = Gap {
        asked: 0.1,
        least: 0.1,
        median: 0.1,
        most: 0.1234567,
        worst_least: Some(0.05),
        worst_most: Some(0.1734567),
        called: Some("H11/c11".into()),
        limits: Some(Limits {
            basic: 34.0,
            hole: [34.0, 34.16],
            shaft: [33.72, 33.88],
            clearance: [0.12, 0.44],
        }),
    };
    let text = |s: &str| Some(s.to_string());
    let given = GivenEntry {
        value: Value::Number(110.0),
        unit: text("mm"),
        from: Origin::Size,
        default: Value::Number(72.0),
        docs: text("Inside diameter."),
    };
    let side = Side { value: Value::Number(341.95), unit: text("ml") };
    Manifest {
        manifest: VERSION,
        compiler: "pipkin 0.1.0".to_string(),
        about: Some(About {
            title: text("Jar"),
            by: text("A"),
            licence: text("B"),
            note: text("C"),
        }),
        source: Source { file: "jar.pkn".to_string(), digest: "0".repeat(64) },
        size: text("pantry"),
        given: vec![("wide".to_string(), given.clone()), ("bore".to_string(), given)],
        printer: PrinterEntry {
            name: "bench".to_string(),
            line_mm: 0.42,
            layer_mm: 0.2,
            overhang_deg: 45.0,
            bridge_mm: 8.0,
            bed_mm: [220.0, 220.0, 240.0],
            fill_percent: 100.0,
            elephant_mm: 0.2,
            tolerance_mm: None,
            tolerance_grade: text("it13"),
            tolerance_stated: true,
            gaps_mm: GapsEntry { snap: 0.1, slide: 0.2, press: 0.05, free: 0.4 },
        },
        only: vec!["jar".to_string()],
        files: vec!["jar.manifest.json".to_string()],
        parts: vec![part()],
        seats: vec![SeatEntry {
            inlay: "belt".to_string(),
            host: "jar".to_string(),
            taken_from: "belt".to_string(),
            surface: SurfaceEntry {
                kind: SurfaceKind::Round,
                slope: Some(0.0),
                normal: Some([0.0; 3]),
                facets: None,
            },
            gap_mm: gap.clone(),
            overlap_mm3: -0.0,
            depth_mm: 2.0,
            face_step_mm: FaceStep { lowest: -0.005, highest: 0.0 },
            ceiling_deg: Ceiling { asked: Some(45.0), steepest: None },
        }],
        lids: vec![LidEntry {
            lid: "cap".to_string(),
            host: "jar".to_string(),
            gap_mm: gap.clone(),
            engagement_mm: 6.0,
            capacity_ml: Some(300.0),
            capacity_fl_oz: Some(10.144207),
            overlap_mm3: 0.0,
        }],
        fits: vec![PairEntry {
            part: "drawer".to_string(),
            host: "chest".to_string(),
            moves: Some([0.0, 1.0, 0.0]),
            gap_mm: gap,
            engagement_mm: Some(30.0),
            overlap_mm3: 0.0,
        }],
        bought: vec![BoughtEntry {
            name: "coin".to_string(),
            docs: text("a token"),
            size_mm: [20.0, 20.0, 2.0],
            volume_mm3: 628.3,
            tolerance_mm: Some(0.1),
            tolerance_grade: text("it11"),
            pieces: 1,
            engines: Engines {
                exact_mm3: None,
                mesh_mm3: 88_000.0,
                reason: Some("x".to_string()),
                exact_mm2: None,
                mesh_mm2: 46_000.0,
                exact_centre_mm: None,
                mesh_centre_mm: [0.0, 0.0, 30.0],
                chord_mm: 0.005,
            },
            note: text("any token of its size"),
        }],
        rings: vec![RingEntry {
            part: "belt".to_string(),
            slit_mm: 0.5,
            over_mm: 79.2,
            opening_mm: 12.5,
            strain_percent: 0.2,
            strain_at_deg: 180.0,
            uniform_strain_percent: 0.2,
            riding_percent: 0.15,
            riding_opening_mm: Some(9.0),
            large_opening_ratio: 0.98,
            permitted_percent: None,
            permitted_repeated_percent: None,
            layer_ratio: 1.0,
        }],
        ways: vec![WayEntry {
            part: "cap".to_string(),
            host: "jar".to_string(),
            along: Some([0.0, 0.0, 1.0]),
            travel_mm: 8.0,
            caught: Some(CaughtEntry {
                after_mm: 1.0,
                at_mm: [40.0, 0.0, 86.0],
                deep_mm: 0.4,
                thick_mm: 0.1,
            }),
            snap: Some(SnapEntry {
                undercut_mm: 0.8,
                strain_percent: 1.0,
                permitted_percent: Some(2.0),
                spreads_n: Some(40.0),
            }),
        }],
        plates: vec![PlateEntry {
            name: None,
            items: vec![PlateItem { part: "jar".to_string(), shift_mm: [60.0, 60.0, 0.0] }],
        }],
        print: vec![PrintEntry {
            part: "jar".to_string(),
            pose: "upright".to_string(),
            copies: 1,
            spares: 0,
            size_mm: [79.2, 79.2, 87.0],
            nominal_mm: [79.0, 79.0, 86.8],
            shrink_percent: 0.3,
            rough_minutes: 210.5,
            layers: 435,
            bed_contact_mm2: 4000.0,
            steepest_overhang_deg: 45.0,
            steep_area_mm2: 0.0,
            unsupported: vec![UnsupportedEntry {
                kind: Hangs::Bridge,
                count: 2,
                from_mm: 8.0,
                to_mm: 8.2,
                area_mm2: 12.5,
                span_mm: Some(6.0),
                reach_mm: None,
                angle_deg: None,
                overlap_percent: None,
                at_mm: [0.0, 36.0],
            }],
            narrow: vec![NarrowEntry {
                kind: Narrowness::Thin,
                count: 3,
                width_mm: 0.6,
                from_mm: 4.0,
                to_mm: 9.2,
                at_mm: [12.0, -3.5],
            }],
            base: Some(BaseEntry {
                footprint_mm2: 4926.5,
                narrowest_mm: 79.2,
                slenderness: 1.1,
                widest_mm: 79.2,
                inside_mm: 39.6,
                brim_advised: false,
            }),
            first_layer: Some(FirstLayerEntry {
                drawn_in_mm: 0.2,
                nominal_mm2: 4000.0,
                meshed_mm2: 3950.0,
                kept_pieces: 0,
            }),
            brim: Some(BrimEntry { width_mm: 5.0, area_mm2: 1400.0, volume_mm3: 280.0 }),
            pieces: vec![PieceEntry { transform: [0.0; 12], triangles: 12 }],
            cautions: vec!["a tall part".to_string()],
            props: Some(PropsEntry::sample()),
        }],
        requires: vec![RequireEntry {
            text: "jar.capacity >= 80 ml".to_string(),
            holds: true,
            left: Some(side),
            right: None,
        }],
        time_assumes: "each copy alone".to_string(),
        cautions: vec!["not rated for food contact".to_string()],
        findings: vec![FindingEntry {
            code: "W0501".to_string(),
            name: "bridge".to_string(),
            severity: "warning".to_string(),
            message: "too wide".to_string(),
            file: None,
            line: Some(3),
            column: Some(1),
        }],
    }
}

fn part() -> PartEntry {
    PartEntry {
        name: "jar".to_string(),
        docs: Some("Holds buttons.".to_string()),
        files: vec!["jar.stl".to_string()],
        form: Form::Exact,
        material: "chalk".to_string(),
        colour: "#e8e1d3".to_string(),
        size_mm: [79.2, 79.2, 87.0],
        volume_mm3: 88_000.000_000_4,
        area_mm2: 46_000.0,
        mass_g: 1.0 / 3.0,
        filament_m: 36.0,
        capacity_ml: Some(341.95),
        capacity_fl_oz: Some(11.562704),
        pieces: 1,
        genus: 0,
        triangles: 4000,
        open_edges: 0,
        self_intersections: 0,
        engines: Engines {
            exact_mm3: None,
            mesh_mm3: 88_000.0,
            reason: Some("x".to_string()),
            exact_mm2: None,
            mesh_mm2: 46_000.0,
            exact_centre_mm: None,
            mesh_centre_mm: [0.0, 0.0, 30.0],
            chord_mm: 0.005,
        },
        no_step: Some("its edge has no tangent".to_string()),
        note: Some("print slowly".to_string()),
    }
}

/// JSON whose objects keep the order of their keys.
#[derive(Clone, Debug, PartialEq)]
enum Json {
    Null,
    Truth(bool),
    Number(f64),
    Text(String),
    List(Vec<Json>),
    Object(Vec<(String, Json)>),
}

impl Json {
    fn get(&self, key: &str) -> Option<&Json> {
        let Json::Object(pairs) = self else { return None };
        pairs.iter().find(|(k, _)| k == key).map(|(_, v)| v)
    }

    fn keys(&self) -> Vec<&str> {
        let Json::Object(pairs) = self else { return Vec::new() };
        pairs.iter().map(|(k, _)| k.as_str()).collect()
    }

    fn list(&self) -> &[Json] {
        let Json::List(items) = self else { panic!("no list: {self:?}") };
        items
    }

    fn text(&self) -> &str {
        let Json::Text(text) = self else { panic!("no text: {self:?}") };
        text
    }
}

impl<'de> Deserialize<'de> for Json {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Read;
        impl<'de> Visitor<'de> for Read {
            type Value = Json;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("JSON")
            }
            fn visit_unit<E>(self) -> Result<Json, E> {
                Ok(Json::Null)
            }
            fn visit_bool<E>(self, v: bool) -> Result<Json, E> {
                Ok(Json::Truth(v))
            }
            fn visit_i64<E>(self, v: i64) -> Result<Json, E> {
                Ok(Json::Number(v as f64))
            }
            fn visit_u64<E>(self, v: u64) -> Result<Json, E> {
                Ok(Json::Number(v as f64))
            }
            fn visit_f64<E>(self, v: f64) -> Result<Json, E> {
                Ok(Json::Number(v))
            }
            fn visit_str<E>(self, v: &str) -> Result<Json, E> {
                Ok(Json::Text(v.to_string()))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Json, A::Error> {
                let mut items = Vec::new();
                while let Some(item) = seq.next_element()? {
                    items.push(item);
                }
                Ok(Json::List(items))
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Json, A::Error> {
                let mut pairs = Vec::new();
                while let Some(pair) = map.next_entry()? {
                    pairs.push(pair);
                }
                Ok(Json::Object(pairs))
            }
        }
        deserializer.deserialize_any(Read)
    }
}

/// A strict reading of the part of JSON Schema 2020-12 that our schema uses: an unknown
/// keyword, an undeclared key, a missing key, or keys in another order than the schema
/// lists them is a complaint. `used` collects the schema's keys that occurred.
struct Walker<'a> {
    root: &'a Json,
    complaints: Vec<String>,
    used: std::collections::BTreeSet<String>,
}

impl Walker<'_> {
    fn walk(&mut self, path: &str, schema: &Json, value: &Json) {
        if let Some(target) = schema.get("$ref") {
            let name = target.text().strip_prefix("#/$defs/").unwrap();
            let schema = self.root.get("$defs").unwrap().get(name).unwrap();
            return self.walk(&format!("#{name}"), schema, value);
        }
        for key in schema.keys() {
            let detail = schema.get(key).unwrap();
            let holds = match key {
                "$schema"
                | "$defs"
                | "title"
                | "description"
                | "properties"
                | "required"
                | "additionalProperties"
                | "items" => true,
                "type" => has_type(detail, value),
                "enum" => detail.list().contains(value),
                "const" => detail == value,
                "minimum" => at_least(value, detail),
                // What a keyword does not speak of is right by it (JSON Schema, core 7.6.1).
                "minItems" | "maxItems" if !matches!(value, Json::List(_)) => true,
                "minItems" => at_least(&Json::Number(value.list().len() as f64), detail),
                "maxItems" => at_least(detail, &Json::Number(value.list().len() as f64)),
                // The outside check runs patterns; here only their presence is known.
                "pattern" => matches!(value, Json::Text(_)),
                _ => false,
            };
            if !holds {
                self.complaints.push(format!("{path}: {key} {detail:?} against {value:?}"));
            }
        }
        match value {
            Json::Object(pairs) => self.walk_object(path, schema, pairs),
            Json::List(items) => {
                for item in items {
                    self.walk(&format!("{path}[]"), schema.get("items").unwrap(), item);
                }
            }
            _ => {}
        }
    }

    fn walk_object(&mut self, path: &str, schema: &Json, pairs: &[(String, Json)]) {
        let none = Json::Object(Vec::new());
        let properties = schema.get("properties").unwrap_or(&none);
        let present: Vec<&str> = pairs.iter().map(|(k, _)| k.as_str()).collect();
        let known: Vec<&str> =
            present.iter().copied().filter(|k| properties.get(k).is_some()).collect();
        let declared: Vec<&str> =
            properties.keys().into_iter().filter(|k| present.contains(k)).collect();
        if declared != known {
            self.complaints.push(format!("{path}: keys {known:?}, the schema has {declared:?}"));
        }
        for required in schema.get("required").map_or(&[][..], Json::list) {
            if !present.contains(&required.text()) {
                self.complaints.push(format!("{path}: {required:?} is missing"));
            }
        }
        for (key, value) in pairs {
            let schema = properties.get(key).or(schema.get("additionalProperties"));
            match schema {
                Some(schema @ Json::Object(_)) => {
                    self.used.insert(format!("{path}.{key}"));
                    self.walk(&format!("{path}.{key}"), schema, value);
                }
                _ => self.complaints.push(format!("{path}: `{key}` is not in the schema")),
            }
        }
    }
}

fn has_type(types: &Json, value: &Json) -> bool {
    let one = |name: &str| match value {
        Json::Null => name == "null",
        Json::Truth(_) => name == "boolean",
        Json::Number(n) => name == "number" || name == "integer" && n.fract() == 0.0,
        Json::Text(_) => name == "string",
        Json::List(_) => name == "array",
        Json::Object(_) => name == "object",
    };
    match types {
        Json::List(names) => names.iter().any(|n| one(n.text())),
        name => one(name.text()),
    }
}

fn at_least(value: &Json, least: &Json) -> bool {
    match (value, least) {
        (Json::Number(value), Json::Number(least)) => value >= least,
        (other, _) => *other == Json::Null,
    }
}

fn complaints(manifest: &Json) -> (Vec<String>, std::collections::BTreeSet<String>) {
    let root: Json = serde_json::from_str(SCHEMA).unwrap();
    let mut walker = Walker { root: &root, complaints: Vec::new(), used: Default::default() };
    walker.walk("", &root, manifest);
    (walker.complaints, walker.used)
}

fn written(manifest: &Manifest) -> Json {
    serde_json::from_slice(&manifest.to_json().unwrap()).unwrap()
}

#[test]
fn the_schema_knows_every_key_in_the_order_written() {
    let (complaints, used) = complaints(&written(&full()));
    assert!(complaints.is_empty(), "{complaints:#?}");
    // And there is no key in the schema that is never written.
    let root: Json = serde_json::from_str(SCHEMA).unwrap();
    let mut declared = Vec::new();
    collect_keys("", &root, &mut declared);
    for (name, schema) in match root.get("$defs") {
        Some(Json::Object(pairs)) => pairs,
        _ => panic!("no definitions"),
    } {
        collect_keys(&format!("#{name}"), schema, &mut declared);
    }
    for key in declared {
        assert!(used.contains(&key), "{key} is in the schema and never written");
    }
}

fn collect_keys(path: &str, schema: &Json, keys: &mut Vec<String>) {
    if let Some(Json::Object(pairs)) = schema.get("properties") {
        for (key, inner) in pairs {
            keys.push(format!("{path}.{key}"));
            collect_keys(&format!("{path}.{key}"), inner, keys);
        }
    }
}

#[test]
fn what_need_not_be_there_may_be_left_out() {
    let mut sparse = full();
    sparse.about = Some(About::default());
    sparse.only.clear();
    sparse.size = None;
    sparse.given[0].1.docs = None;
    let part = &mut sparse.parts[0];
    (part.docs, part.note, part.capacity_ml) = (None, None, None);
    part.capacity_fl_oz = None;
    let (complaints, _) = complaints(&written(&sparse));
    assert!(complaints.is_empty(), "{complaints:#?}");
}

#[test]
fn the_walk_finds_what_is_wrong() {
    let spoil = |from: &str, to: &str| {
        let text = String::from_utf8(full().to_json().unwrap()).unwrap();
        assert!(text.contains(from), "{from}");
        complaints(&serde_json::from_str(&text.replacen(from, to, 1)).unwrap()).0.len()
    };
    assert_eq!(spoil("\"genus\": 0", "\"genus\": 0.5"), 1);
    assert_eq!(spoil("\"pieces\": 1", "\"pieces\": 0"), 1);
    assert_eq!(spoil("\"from\": \"size\"", "\"from\": \"nobody\""), 1);
    assert_eq!(spoil("\"area_mm2\": 46000,", ""), 1);
    assert_eq!(spoil("\"lid\": \"cap\"", "\"lid\": \"cap\", \"colour\": 1"), 1);
    assert_eq!(spoil("\"steepest\": null", "\"steepest\": \"none\""), 1);
}

#[test]
fn keys_are_in_the_order_of_the_contract() {
    let manifest = written(&full());
    let contract = [
        "manifest", "compiler", "source", "size", "given", "printer", "parts", "seats", "lids",
        "rings", "ways", "print", "requires", "findings",
    ];
    let keys = manifest.keys();
    let known: Vec<&str> = keys.into_iter().filter(|k| contract.contains(k)).collect();
    assert_eq!(known, contract);
    assert_eq!(manifest.get("given").unwrap().keys(), ["wide", "bore"]);
}

#[test]
fn numbers_are_rounded_once_and_never_minus_zero() {
    let text = String::from_utf8(full().to_json().unwrap()).unwrap();
    for expected in [
        "\"most\": 0.123457",
        "\"overlap_mm3\": 0,",
        "\"volume_mm3\": 88000,",
        "\"mass_g\": 0.333333",
        "\"genus\": 0,",
    ] {
        assert!(text.contains(expected), "{expected} is not in\n{text}");
    }
    assert!(text.ends_with("}\n"));
}
