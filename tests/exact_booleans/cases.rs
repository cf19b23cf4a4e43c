//! Cases of the trade, one by one.

use super::oracle::Primitive::{Ball, Block, Cone};
use super::oracle::{Tree, at, join, less, lying, meet, one, radial, rod, shift};
use pipkin::model::Placement;

/// Cases with their names.
pub type Cases = Vec<(String, Tree)>;

/// All of them.
pub fn cases() -> Vec<(String, Tree)> {
    let mut cases = Vec::new();
    ports(&mut cases);
    joins(&mut cases);
    blocks(&mut cases);
    cones_and_balls(&mut cases);
    awkward(&mut cases);
    cases
}

fn jar() -> Tree {
    less(one(rod(40.0, 60.0)), at(rod(36.0, 60.0), shift(0.0, 0.0, 3.0)))
}

fn ports(cases: &mut Cases) {
    for degrees in (0..360).step_by(15) {
        let angle = f64::from(degrees).to_radians();
        let port = at(rod(5.0, 60.0), radial(angle, 30.0));
        cases.push((format!("jar less port at {degrees}"), less(jar(), port)));
    }
    for radius in [1.0, 2.0, 8.0, 12.0] {
        let port = at(rod(radius, 60.0), radial(0.4, 30.0));
        cases.push((format!("jar less port of radius {radius}"), less(jar(), port)));
    }
    for degrees in [-30, -15, 10, 35] {
        let port = at(rod(4.0, 70.0), lying(1.0, f64::from(degrees).to_radians(), 30.0));
        cases.push((format!("jar less port tilted by {degrees}"), less(jar(), port)));
    }
    for degrees in [0, 20, 90, 135] {
        let angle = f64::from(degrees).to_radians();
        let slot = at(Block { x: 12.0, y: 6.0, z: 60.0 }, radial(angle, 25.0));
        cases.push((format!("jar less square port at {degrees}"), less(jar(), slot)));
    }
    let through = at(rod(4.0, 120.0), shift(0.0, 0.0, -60.0).then(&radial(0.7, 40.0)));
    cases.push(("jar less bore right through".into(), less(jar(), through)));
    let floor = at(rod(3.0, 20.0), shift(15.0, 5.0, -5.0));
    cases.push(("jar less hole in the floor".into(), less(jar(), floor)));
    let two = less(
        less(jar(), at(rod(4.0, 60.0), radial(0.3, 20.0))),
        at(rod(4.0, 60.0), radial(2.0, 40.0)),
    );
    cases.push(("jar less two ports".into(), two));
}

fn joins(cases: &mut Cases) {
    for degrees in [0, 45, 100, 180, 300] {
        let angle = f64::from(degrees).to_radians();
        let spout = at(rod(6.0, 60.0), radial(angle, 40.0));
        let spout = less(spout, one(rod(38.0, 60.0)));
        cases.push((format!("jar join spout at {degrees}"), join(jar(), spout)));
    }
    let plate = one(rod(40.0, 4.0));
    for (x, y) in [(0.0, 0.0), (10.0, 0.0), (20.0, 11.0)] {
        let knob = at(Ball { radius: 8.0 }, shift(x, y, 9.0));
        cases.push((format!("plate join ball at {x} {y}"), join(plate.clone(), knob)));
        let foot = at(rod(5.0, 8.0), shift(x + 5.0, y, 4.0));
        cases.push((format!("plate join rod on it at {x} {y}"), join(plate.clone(), foot)));
        let sunk = at(Block { x: 9.0, y: 7.0, z: 9.0 }, shift(x, y, 2.0));
        cases.push((format!("plate join block let in at {x} {y}"), join(plate.clone(), sunk)));
    }
    let bar = at(Block { x: 60.0, y: 8.0, z: 8.0 }, shift(50.0, 0.0, 20.0));
    cases.push(("rod join bar".into(), join(one(rod(30.0, 60.0)), bar)));
    let arm = at(rod(5.0, 100.0), shift(0.0, 0.0, -50.0).then(&radial(0.9, 30.0)));
    cases.push(("rod join crossbar".into(), join(one(rod(20.0, 60.0)), arm)));
}

fn blocks(cases: &mut Cases) {
    let block = one(Block { x: 60.0, y: 40.0, z: 30.0 });
    let flush = at(Block { x: 52.0, y: 32.0, z: 27.0 }, shift(0.0, 0.0, 3.0));
    cases.push(("block less block flush with its top".into(), less(block.clone(), flush)));
    let beyond = at(Block { x: 52.0, y: 32.0, z: 40.0 }, shift(0.0, 0.0, 3.0));
    let open = less(block.clone(), beyond);
    cases.push(("block less block beyond its top".into(), open.clone()));
    let port = at(rod(6.0, 80.0), lying(0.0, 0.0, 15.0));
    cases.push(("open box less port".into(), less(open.clone(), port)));
    for degrees in [0, 30, 90] {
        let angle = f64::from(degrees).to_radians();
        let hole = at(rod(5.0, 100.0), shift(0.0, 0.0, -50.0).then(&lying(angle, 0.2, 15.0)));
        cases.push((format!("block less tilted bore at {degrees}"), less(block.clone(), hole)));
    }
    let drill = at(rod(6.0, 30.0), shift(8.0, 3.0, 0.0));
    cases.push(("block less bore flush at both ends".into(), less(block.clone(), drill)));
    let spun = at(
        Block { x: 30.0, y: 30.0, z: 30.0 },
        Placement::turned(0, 0.6).then(&Placement::turned(2, 0.4)).then(&shift(15.0, 5.0, 12.0)),
    );
    cases.push(("block less spun block".into(), less(block.clone(), spun.clone())));
    cases.push(("block join spun block".into(), join(block.clone(), spun.clone())));
    cases.push(("block meet spun block".into(), meet(block.clone(), spun)));
    let foot = |x, y| at(rod(5.0, 6.0), shift(x, y, -6.0));
    let feet = join(join(block.clone(), foot(20.0, 10.0)), foot(-20.0, -10.0));
    cases.push(("block join two feet under it".into(), feet));
    let hollow = at(Ball { radius: 8.0 }, shift(0.0, 0.0, 15.0));
    cases.push(("block less ball inside".into(), less(block, hollow)));
}

fn cones_and_balls(cases: &mut Cases) {
    let tumbler = one(Cone { below: 25.0, above: 35.0, height: 60.0 });
    for degrees in [0, 50, 130, 250] {
        let angle = f64::from(degrees).to_radians();
        let port = at(rod(5.0, 60.0), radial(angle, 30.0));
        cases.push((format!("cone less port at {degrees}"), less(tumbler.clone(), port.clone())));
        cases.push((format!("cone meet rod at {degrees}"), meet(tumbler.clone(), port)));
    }
    let ball = at(Ball { radius: 20.0 }, shift(10.0, 3.0, 30.0));
    cases.push(("cone join ball".into(), join(tumbler.clone(), ball.clone())));
    cases.push(("cone less ball".into(), less(tumbler, ball)));
    let bead = one(Ball { radius: 20.0 });
    for offset in [3.0, 8.0, 14.0] {
        let bore = at(rod(4.0, 60.0), shift(offset, 1.0, -30.0));
        cases.push((format!("ball less bore {offset} off its middle"), less(bead.clone(), bore)));
    }
    let other = at(Ball { radius: 15.0 }, shift(12.0, 9.0, 8.0));
    cases.push(("ball meet ball".into(), meet(bead.clone(), other.clone())));
    cases.push(("ball join ball".into(), join(bead.clone(), other.clone())));
    cases.push(("ball less ball".into(), less(bead, other)));
}

fn awkward(cases: &mut Cases) {
    let post = one(rod(20.0, 60.0));
    let same = at(rod(20.0, 100.0), shift(0.0, 0.0, -50.0).then(&radial(0.0, 30.0)));
    cases.push(("two equal cylinders meet".into(), meet(post.clone(), same)));
    let tangent = at(rod(10.0, 100.0), shift(0.0, 30.0, -50.0).then(&radial(0.0, 30.0)));
    cases.push(("cylinder join a touching one".into(), join(post.clone(), tangent.clone())));
    cases.push(("cylinder less a touching one".into(), less(post.clone(), tangent)));
    let graze = at(rod(10.0, 100.0), shift(0.0, 29.99, -50.0).then(&radial(0.0, 30.0)));
    cases.push(("cylinder less one that grazes it".into(), less(post.clone(), graze)));
    let beside = at(rod(10.0, 60.0), shift(30.0, 0.0, 0.0));
    cases.push(("cylinder join parallel touching one".into(), join(post.clone(), beside)));
    let apart = at(rod(5.0, 10.0), shift(60.0, 0.0, 0.0));
    cases.push(("cylinder join one far off".into(), join(post.clone(), apart.clone())));
    cases.push(("cylinder less one far off".into(), less(post.clone(), apart.clone())));
    cases.push(("cylinder meet one far off".into(), meet(post.clone(), apart)));
    let within = at(Block { x: 10.0, y: 10.0, z: 10.0 }, shift(3.0, 0.0, 20.0));
    cases.push(("cylinder join block inside".into(), join(post.clone(), within.clone())));
    cases.push(("cylinder meet block inside".into(), meet(post.clone(), within.clone())));
    cases.push(("block inside less cylinder".into(), less(within, post.clone())));
    let flush = at(Block { x: 30.0, y: 10.0, z: 10.0 }, shift(25.0, 0.0, 0.0));
    cases.push(("cylinder join block flush below".into(), join(post.clone(), flush.clone())));
    cases.push(("cylinder less block flush below".into(), less(post.clone(), flush)));
    let key = at(Block { x: 8.0, y: 40.0, z: 70.0 }, shift(0.0, 30.0, -5.0));
    cases.push(("cylinder less keyway".into(), less(post.clone(), key)));
    let half = at(Block { x: 100.0, y: 100.0, z: 100.0 }, shift(0.0, 50.0, -10.0));
    cases.push(("cylinder less block through its axis".into(), less(post.clone(), half)));
    let slice = Placement::turned(0, 0.5).then(&shift(0.0, 0.0, 30.0));
    let slice = at(Block { x: 100.0, y: 100.0, z: 60.0 }, slice);
    cases.push(("cylinder cut off at a slant".into(), less(post, slice)));
}
