//! Every kind of body against every kind, in every relation that makes booleans fail:
//! crossing, one on the other, within a hair of that, one inside, apart, shared edges,
//! equal radii.

use super::cases::Cases;
use super::oracle::Primitive::{self, Ball, Bars, Block, Cone, Ring, Tube};
use super::oracle::{Tree, at, join, less, meet, one, rod, shift};
use pipkin::model::Placement;

/// By how much faces miss each other, mm.
const HAIRS: [f64; 5] = [1e-3, 1e-4, 1e-5, 1e-6, 1e-7];

/// One of each kind, with its name and its lowest and highest z.
fn kinds() -> [(&'static str, Primitive, [f64; 2]); 6] {
    [
        ("block", Block { x: 30.0, y: 22.0, z: 20.0 }, [0.0, 20.0]),
        ("rod", rod(10.0, 24.0), [0.0, 24.0]),
        ("cone", Cone { below: 12.0, above: 8.0, height: 24.0 }, [0.0, 24.0]),
        ("ball", Ball { radius: 11.0 }, [-11.0, 11.0]),
        ("ring", Ring { middle: 12.0, thick: 7.0 }, [-3.5, 3.5]),
        ("bars", Bars { outer: 14.0, depth: 4.0, height: 16.0, count: 5 }, [0.0, 16.0]),
    ]
}

/// All of them.
pub fn cases() -> Cases {
    let mut cases = Cases::new();
    for (a, first, [_, top]) in kinds() {
        for (b, second, [bottom, _]) in kinds() {
            crossing(&mut cases, (a, first), (b, second));
            let on = shift(1.3, 0.7, top - bottom);
            cases.push((format!("{b} on {a}"), join(one(first), at(second, on))));
        }
        let far = at(rod(4.0, 9.0), shift(40.0, 5.0, 3.0));
        cases.push((format!("{a} join rod far off"), join(one(first), far.clone())));
        cases.push((format!("{a} meet rod far off"), meet(one(first), far)));
    }
    nested(&mut cases);
    hairs(&mut cases);
    shared_edges(&mut cases);
    equal_radii(&mut cases);
    cases
}

fn crossing(cases: &mut Cases, (a, first): (&str, Primitive), (b, second): (&str, Primitive)) {
    let askew =
        Placement::turned(0, 0.7).then(&Placement::turned(2, 0.4)).then(&shift(6.3, 2.1, 9.7));
    let (first, second) = (one(first), at(second, askew));
    cases.push((format!("{a} less {b} askew"), less(first.clone(), second.clone())));
    cases.push((format!("{a} join {b} askew"), join(first.clone(), second.clone())));
    cases.push((format!("{a} meet {b} askew"), meet(first, second)));
}

fn nested(cases: &mut Cases) {
    let small: [(&str, Primitive); 3] = [
        ("block", Block { x: 3.0, y: 2.0, z: 2.5 }),
        ("ball", Ball { radius: 1.5 }),
        ("ring", Ring { middle: 1.2, thick: 1.0 }),
    ];
    let insides = [
        shift(2.0, 1.0, 8.0),
        shift(2.0, 1.0, 8.0),
        shift(2.0, 1.0, 8.0),
        shift(2.0, 1.0, 3.0),
        shift(12.0, 0.4, -0.7),
        // In the middle of the first bar.
        shift(12.0 * 0.3_f64.cos(), 12.0 * 0.3_f64.sin(), 7.0),
    ];
    for ((a, first, _), inside) in kinds().into_iter().zip(insides) {
        for (b, second) in small {
            let second = at(second, inside);
            cases.push((format!("{a} less small {b} inside"), less(one(first), second.clone())));
            cases.push((format!("small {b} less {a} around it"), less(second, one(first))));
        }
    }
}

/// Faces that miss each other, or cross, by next to nothing.
fn hairs(cases: &mut Cases) {
    let block = one(Block { x: 30.0, y: 22.0, z: 20.0 });
    let post = one(rod(10.0, 24.0));
    let mut push = |name: String, tree: Tree| cases.push((name, tree));
    for hair in HAIRS {
        for (word, off) in [("above", hair), ("in", -hair)] {
            let plate = at(Block { x: 12.0, y: 9.0, z: 5.0 }, shift(2.0, 1.0, 20.0 + off));
            push(format!("block {hair:e} {word} block"), join(block.clone(), plate));
            let bead = at(Ball { radius: 5.0 }, shift(2.0, 1.0, 25.0 + off));
            push(format!("ball {hair:e} {word} block"), join(block.clone(), bead));
        }
        let sleeve = Tube { inner: 10.0 + hair, outer: 13.0, height: 12.0 };
        push(format!("sleeve {hair:e} off rod"), join(post.clone(), one(sleeve)));
        let bore = at(rod(10.0 - hair, 30.0), shift(0.0, 0.0, -3.0));
        push(format!("rod less bore {hair:e} thinner"), less(post.clone(), bore));
        let aside = at(rod(10.0, 24.0), shift(hair, 0.0, 6.0));
        push(format!("rod join equal rod {hair:e} aside"), join(post.clone(), aside));
    }
}

fn shared_edges(cases: &mut Cases) {
    let block = one(Block { x: 30.0, y: 22.0, z: 20.0 });
    let mut push = |name: &str, tree: Tree| cases.push((name.to_string(), tree));
    let by = |x, y, z| at(Block { x: 30.0, y: 22.0, z: 20.0 }, shift(x, y, z));
    push("blocks with one upright edge", join(block.clone(), by(30.0, 22.0, 0.0)));
    push("blocks with one level edge", join(block.clone(), by(30.0, 0.0, 20.0)));
    push("blocks with one corner", join(block.clone(), by(30.0, 22.0, 20.0)));
    push("blocks with one side", join(block.clone(), by(30.0, 0.0, 0.0)));
    push("the same block twice, joined", join(block.clone(), block.clone()));
    push("the same block twice, one less", less(block.clone(), block.clone()));
    push("the same block twice, what they share", meet(block.clone(), block.clone()));
    let flush = at(Block { x: 30.0, y: 6.0, z: 8.0 }, shift(0.0, -8.0, 20.0));
    push("block with a rail flush with its side", join(block.clone(), flush));
    let corner = at(Block { x: 10.0, y: 10.0, z: 30.0 }, shift(10.0, 6.0, -5.0));
    push("block less its corner", less(block.clone(), corner));
    let through = at(rod(11.0, 30.0), shift(0.0, 0.0, -5.0));
    push("block less rod that touches two sides", less(block, through));
    let roof = at(Cone { below: 10.0, above: 2.0, height: 9.0 }, shift(0.0, 0.0, 24.0));
    push("cone on rod with the same rim", join(one(rod(10.0, 24.0)), roof));
    let square = at(Block { x: 10.0, y: 10.0, z: 6.0 }, shift(5.0, 0.0, 24.0));
    push("block on rod that touches its rim", join(one(rod(10.0, 24.0)), square));
}

fn equal_radii(cases: &mut Cases) {
    let post = one(rod(10.0, 24.0));
    let mut push = |name: &str, tree: Tree| cases.push((name.to_string(), tree));
    let higher = at(rod(10.0, 24.0), shift(0.0, 0.0, 12.0));
    push("rod join equal rod along it", join(post.clone(), higher.clone()));
    push("rod less equal rod along it", less(post.clone(), higher.clone()));
    push("rod meet equal rod along it", meet(post.clone(), higher));
    let knob = at(Ball { radius: 10.0 }, shift(0.0, 0.0, 24.0));
    push("rod join ball of its radius", join(post.clone(), knob.clone()));
    push("rod less ball of its radius", less(post.clone(), knob));
    let hoop = at(Ring { middle: 8.0, thick: 4.0 }, shift(0.0, 0.0, 12.0));
    push("rod less ring that touches its side", less(post.clone(), hoop));
    let groove = at(Ring { middle: 10.0, thick: 4.0 }, shift(0.0, 0.0, 12.0));
    push("rod less ring round it", less(post.clone(), groove.clone()));
    push("rod join ring round it", join(post.clone(), groove));
    let band = Bars { outer: 10.0, depth: 2.0, height: 12.0, count: 5 };
    push("rod less bars flush with it", less(post.clone(), at(band, shift(0.0, 0.0, 6.0))));
    let stave = Bars { outer: 13.0, depth: 3.0, height: 12.0, count: 5 };
    push("rod join bars against it", join(post.clone(), at(stave, shift(0.0, 0.0, 6.0))));
    let crossed = at(rod(10.0, 60.0), Placement::turned(1, 1.2).then(&shift(-25.0, 0.0, 2.0)));
    push("rod less equal rod at a slant", less(post.clone(), crossed));
    let tube = one(Tube { inner: 10.0, outer: 12.0, height: 24.0 });
    push("tube join rod that fills it", join(tube.clone(), post.clone()));
    push("tube meet rod that fills it", meet(tube, post));
}
