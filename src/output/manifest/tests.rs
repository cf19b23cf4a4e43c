//! The structures, the schema and the contract say the same.

use super::sample::full;
use super::*;
use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};

const SCHEMA: &str = include_str!("../../../grammar/manifest.schema.json");

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
