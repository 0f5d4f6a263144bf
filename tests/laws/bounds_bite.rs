//! Bounds must not only hold, they must rule out: a looser one is as sound and makes the search slow. Each is held to about
//! what it does now on fixed random sets.

use super::random_catalog::{catalog, hook, target, wish};
use super::random_fly::{parts, piece};
use super::some;
use counterpoise::assess::predict;
use counterpoise::catalog::Catalog;
use counterpoise::fly::{FoamPiece, foam_part};
use counterpoise::quantity::Microns;
use counterpoise::search::bounds::foam_law::FoamLaw;
use counterpoise::search::bounds::range::Range;
use counterpoise::search::bounds::{Bounds, Turn};
use counterpoise::search::exhaustive::exhaustive;
use counterpoise::search::rank::{Ranking, Variety};
use counterpoise::search::tariff::Tariff;
use counterpoise::search::{Unwatched, Wish, search, search_ranked};
use counterpoise::wanted::{Counted, ShareFloor, TargetSpec};

/// Of the single flies that miss the wanted hang, nearly all are ruled out by the bounds of a set of one; of those that miss the
/// sink rate, two in five, since the drag is bounded over all attitudes that the target allows.
#[test]
fn single_flies_that_miss_are_ruled_out() {
    let (mut hang, mut hang_out, mut sink, mut sink_out) = (0, 0, 0, 0);
    for (parts, target) in some((parts(), target()), 1_500) {
        let fly = parts.fly();
        let found = predict(&fly, &target.conditions);
        let bounds = Bounds::new(&target, fly.hook);
        let weight = Range::point(found.moments.weight);
        let turning = bounds.turning(found.moments);
        let Some(rest) = found.hang.rest() else { continue };
        let wrong_side = target.rides.side(fly.hook).is_some_and(|side| side != rest.rides);
        if wrong_side || !target.hang_window().holds(rest.angle) {
            hang += 1;
            hang_out += usize::from(bounds.hang_impossible(&turning, weight));
        } else if target.sink.is_some_and(|window| !window.holds(found.lowered.sink_rate)) {
            sink += 1;
            sink_out += usize::from(bounds.sink_impossible(weight, bounds.drag(&found.body.elements)));
        }
    }
    let (of_hang, of_sink) =
        (f64::from(hang_out as u32) / f64::from(hang), f64::from(sink_out as u32) / f64::from(sink));
    println!("hang: {hang_out} of {hang}, sink rate: {sink_out} of {sink}");
    assert!(hang > 300 && sink > 50);
    assert!(of_hang > HANG_SHARE && of_sink > SINK_SHARE, "{of_hang} {of_sink}");
}

const HANG_SHARE: f64 = 0.89;
const SINK_SHARE: f64 = 0.40;

/// The range that the law of a foam gives over some millimetres of length, beside the range of the true values.
#[test]
fn the_law_of_a_foam_is_hardly_wider_than_the_foam() {
    let (mut bound, mut truth) = ([0.0; 2], [0.0; 2]);
    for (foam, hook, target, from, width, beta) in
        some((piece(), hook(0), target(), 4_000..20_000i32, 500..6_000i32, -3.0..3.0f64), 300)
    {
        let piece = |um| FoamPiece { foam: &foam.0, cut: foam.1, length: Microns::new(um), seat: foam.3 };
        let law = FoamLaw::new(&hook, piece(from), &target.conditions);
        let (a, b) = (f64::from(from) * 1e-6, f64::from(from + width) * 1e-6);
        let values: Vec<[f64; 2]> = (0..=40)
            .map(|i| {
                let moments = foam_part(&hook, &piece(from + width * i / 40), &target.conditions)
                    .moments(target.conditions.water.density);
                [moments.weight, moments.x * beta.cos() + moments.y * beta.sin()]
            })
            .collect();
        let ranges = [law.weight(a, b), law.turning(Turn::new(beta), a, b)];
        for (i, range) in ranges.iter().enumerate() {
            let of = |f: fn(f64, f64) -> f64, start: f64| values.iter().map(|v| v[i]).fold(start, f);
            let width = of(f64::max, f64::NEG_INFINITY) - of(f64::min, f64::INFINITY);
            // In units of the value, so that each foam counts alike.
            let size = values[0][i].abs().max(1e-9);
            bound[i] += (range.high - range.low) / size;
            truth[i] += width / size;
        }
    }
    let loose = [bound[0] / truth[0], bound[1] / truth[1]];
    println!("weight {:.4}, turning {:.4} times as wide", loose[0], loose[1]);
    assert!(loose[0] < WEIGHT_WIDTH && loose[1] < TURNING_WIDTH, "{loose:?}");
}

const WEIGHT_WIDTH: f64 = 1.001;
const TURNING_WIDTH: f64 = 1.01;

/// Recipes judged one by one and nodes opened, over all that could be judged: the work that the bounds together leave.
#[test]
fn a_search_judges_few_of_the_recipes() {
    let (mut judged, mut nodes, mut all) = (0.0, 0.0, 0.0);
    for (catalog, target, wish) in some((catalog(), target(), wish()), 200) {
        let (_, count) = exhaustive(&catalog, &target, wish);
        let found = search(&catalog, &target, wish, &Unwatched);
        judged += found.tally.evaluated as f64;
        nodes += found.tally.nodes as f64;
        all += count as f64;
    }
    println!("judged {judged} of {all} ({:.4}), nodes {nodes} ({:.4})", judged / all, nodes / all);
    assert!(judged / all < JUDGED_SHARE && nodes / all < NODES_SHARE, "{judged} {nodes} {all}");
}

const JUDGED_SHARE: f64 = 0.13;
const NODES_SHARE: f64 = 0.35;

/// Nodes opened and recipes judged for questions about real parts, each of which leans on other bounds: no more than now, and a
/// little for other machines.
#[test]
fn questions_about_real_parts_take_no_more_nodes() {
    let mut catalog = Catalog::built_in().unwrap();
    let mut at = 0;
    let mut keep = |every: usize| {
        at += 1;
        at % every == 0
    };
    catalog.hooks.retain(|h| ["jig60-8", "straight-8"].contains(&h.row.id.as_str()));
    catalog.beads.retain(|_| keep(6));
    catalog.pins.retain(|_| keep(2));
    catalog.wires.retain(|_| keep(4));
    catalog.foams.retain(|_| keep(3));
    let mut more = Vec::new();
    for (name, keys, least, nodes, judged) in REAL {
        let spec: TargetSpec = counterpoise::yaml::from_str(keys).unwrap();
        let mut target = spec.resolve(&catalog).unwrap().0;
        target.share = least.map(|least| ShareFloor { least, counted: Counted::Trimmed });
        let ranking = Ranking { unsure: 10, ..Ranking::surer_in_steps(5) }.under(&target);
        let wish = Wish { top: 5, variety: Variety::Idea };
        let found = search_ranked(&catalog, &target, (&Tariff::Material, ranking), wish, &|_| true, &Unwatched).tally;
        println!("{name}: {} nodes, {} judged", found.nodes, found.evaluated);
        if found.nodes as f64 > 1.02 * f64::from(nodes) || found.evaluated as f64 > 1.02 * f64::from(judged) + 2.0 {
            more.push(format!("{name}: {} nodes, {} judged", found.nodes, found.evaluated));
        }
    }
    assert!(more.is_empty(), "{more:?}");
}

/// Name, target, share asked, nodes, judged.
const REAL: [(&str, &str, Option<f64>, u32, u32); 9] = [
    ("level", "{hang: level}", Some(0.8), 36_754, 6_202),
    ("level, no share", "{hang: level}", None, 11_585, 1_457),
    ("left alone", "{hang: 40deg, only: [foam=none]}", Some(0.8), 6_107, 842),
    ("sink window", "{hang: level, sink: 0.2..0.24m/s, foam_step: 2mm, wrap_step: 4mm}", Some(0.8), 155_615, 5_831),
    ("range of depths", "{hang: level, depth: 0.5..6m, foam_step: 2mm, wrap_step: 4mm}", Some(0.6), 48_507, 4_854),
    (
        "both",
        "{hang: level, depth: 0.5..6m, sink: 0.1..0.3m/s, foam_step: 2mm, wrap_step: 4mm}",
        Some(0.6),
        67_497,
        8_023,
    ),
    ("snug knot", "{hang: level, knot: snug}", None, 18_723, 2_500),
    (
        "time to a depth",
        "{hang: level, reach: 2m, within: 8s, foam_step: 2mm, wrap_step: 4mm}",
        Some(0.8),
        84_383,
        5_000,
    ),
    ("head down", "{hang: -60deg, rides: point-up, foam_step: 2mm, wrap_step: 4mm}", Some(0.8), 60_603, 2_130),
];
