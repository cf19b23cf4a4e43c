//! What the outside judge is asked: the corpus and random pairs, as JSON, with what the
//! engine says of each.

use super::oracle::Primitive::{self, Ball, Bars, Block, Cone, Ring, Tube};
use super::oracle::{Tree, at, body, join, less, meet, one, shift};
use super::{Cases, answers, corpus};
use pipkin::exact::nominal;
use pipkin::model::{Operation, Placement};
use serde_json::{Value, json};

/// Numbers without pattern from a fixed seed (Steele, Lea and Flood, "Fast splittable
/// pseudorandom number generators", 2014, from memory).
struct Dice(u64);

impl Dice {
    fn word(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.word() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn body(&mut self) -> Primitive {
        let height = self.between(8.0, 30.0);
        match self.word() % 6 {
            0 => Block { x: self.between(8.0, 40.0), y: self.between(8.0, 40.0), z: height },
            1 => {
                let outer = self.between(5.0, 20.0);
                let inner = if self.word().is_multiple_of(2) { 0.0 } else { outer * 0.7 };
                Tube { inner, outer, height }
            }
            2 => {
                let (below, above) = (self.between(4.0, 18.0), self.between(4.0, 18.0));
                Cone { below, above, height }
            }
            3 => Ball { radius: self.between(5.0, 18.0) },
            4 => Ring { middle: self.between(9.0, 20.0), thick: self.between(3.0, 12.0) },
            _ => {
                let (outer, depth) = (self.between(12.0, 22.0), self.between(2.0, 6.0));
                Bars { outer, depth, height, count: 3 + (self.word() % 6) as u32 }
            }
        }
    }

    fn placement(&mut self) -> Placement {
        let mut turn = |axis| Placement::turned(axis, self.between(-3.0, 3.0));
        let turned = turn(0).then(&turn(1)).then(&turn(2));
        let mut off = || self.between(-15.0, 15.0);
        turned.then(&shift(off(), off(), off()))
    }
}

fn random_pairs(count: usize) -> Cases {
    let mut dice = Dice(20);
    let pair = |number: usize| {
        let (first, second) = (one(dice.body()), dice.body());
        let second = at(second, dice.placement());
        let tree = match number % 3 {
            0 => less(first, second),
            1 => join(first, second),
            _ => meet(first, second),
        };
        (format!("random {number}"), tree)
    };
    (0..count).map(pair).collect()
}

fn told(tree: &Tree) -> Value {
    match tree {
        Tree::Two(operation, left, right) => {
            let word = match operation {
                Operation::Join => "join",
                Operation::Less => "less",
                Operation::Meet => "meet",
            };
            json!({ "do": word, "left": told(left), "right": told(right) })
        }
        Tree::One(primitive, placement) => {
            let columns = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
                .map(|axis| placement.direction(axis));
            let (kind, sizes) = match *primitive {
                Tube { inner, outer, height } => ("tube", vec![inner, outer, height]),
                Cone { below, above, height } => ("cone", vec![below, above, height]),
                Block { x, y, z } => ("block", vec![x, y, z]),
                Ball { radius } => ("ball", vec![radius]),
                Ring { middle, thick } => ("ring", vec![middle, thick]),
                Bars { outer, depth, height, count } => {
                    ("bars", vec![outer, depth, height, f64::from(count)])
                }
            };
            let origin = placement.point([0.0; 3]);
            json!({ "kind": kind, "sizes": sizes, "columns": columns, "origin": origin })
        }
    }
}

fn answer(name: &str, tree: &Tree) -> Value {
    let (volume, sound) = match nominal(&body(tree)) {
        Ok(made) => (Some(made.volume_mm3()), made.check().is_ok()),
        Err(_) => (None, true),
    };
    json!({ "name": name, "tree": told(tree), "volume_mm3": volume, "sound": sound })
}

/// Writes `booleans.json` into the tests' temporary folder for `tests/outside/run`.
#[test]
#[ignore = "asked by tests/outside/run, takes a minute"]
fn corpus_and_random_pairs_for_the_outside_judge() {
    let mut all = corpus();
    all.extend(random_pairs(2000));
    let answers = answers(&all, answer);
    let carried = answers.iter().filter(|a| a["volume_mm3"].is_number()).count();
    assert!(carried * 2 > all.len(), "{carried} of {} carried", all.len());
    let path = format!("{}/booleans.json", env!("CARGO_TARGET_TMPDIR"));
    std::fs::write(path, Value::Array(answers).to_string()).unwrap();
}
