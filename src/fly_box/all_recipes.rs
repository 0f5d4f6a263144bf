//! The oracle for whole boxes: every recipe of every need of a small catalog, judged one by one, and the best plan over them
//! all. Tests only.
//!
//! `BOX_CASES=300 cargo test --lib fly_box::all_recipes` tries more boxes than the few of an ordinary run.

use super::exact::{Effort, solve};
use super::plan::{BoxEffort, plan};
use super::pool::{margin_in, thriftier};
use super::problem::{Bill, Limits, Need, Problem, Take, Way};
use super::spec::BoxOrder;
use super::supplies::Supplies;
use crate::catalog::Catalog;
use crate::document::Source;
use crate::part::{Kind, PackUnit};
use crate::purchase::PartId;
use crate::quantity::Money;
use crate::search::Unwatched;
use crate::search::exhaustive::walk;
use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::{RngCore, SeedableRng};

struct Random(Xoshiro256PlusPlus);

impl Random {
    fn below(&mut self, n: u64) -> u64 {
        self.0.next_u64() % n.max(1)
    }

    /// True once in `n`.
    fn once_in(&mut self, n: u64) -> bool {
        self.below(n) == 0
    }
}

/// The problem of all recipes that there are; a recipe that another replaces in every plan is left out.
fn all_recipes(order: &BoxOrder, catalog: &Catalog) -> Problem {
    let supplies = Supplies::new(order, catalog);
    let mut ways: Vec<(Vec<Take>, Vec<bool>)> = Vec::new();
    let covers = |a: &(Vec<Take>, Vec<bool>), b: &(Vec<Take>, Vec<bool>)| {
        a.1.iter().zip(&b.1).all(|(a, b)| *a || !b) && thriftier(&a.0, &b.0)
    };
    for need in &order.needs {
        walk(catalog, &need.target, &mut |fly| {
            let serves: Vec<bool> = order.needs.iter().map(|need| margin_in(fly, &need.target).is_some()).collect();
            let new = (supplies.takes(fly, order), serves);
            if new.1.contains(&true) && !ways.iter().any(|known| covers(known, &new)) {
                ways.retain(|known| !covers(&new, known));
                ways.push(new);
            }
            true
        });
    }
    let need = |i: usize| {
        let list: Vec<usize> = (0..ways.len()).filter(|w| ways[*w].1[i]).collect();
        let wanted = &order.needs[i];
        Need { flies: wanted.flies, least: wanted.least, narrowness: vec![0; list.len()], ways: list }
    };
    Problem {
        needs: (0..order.needs.len()).map(need).collect(),
        ways: ways.iter().map(|(takes, _)| Way { takes: takes.clone() }).collect(),
        supplies: supplies.list,
        limits: order.limits,
        budget: order.budget,
    }
}

/// The best plan over all recipes; `None` where no plan keeps the limits.
fn best_of_all(problem: &Problem) -> Option<Bill> {
    let solved = solve(problem, Effort { nodes: 200_000 }, &|| false)?;
    assert!(solved.proven(problem), "the oracle gave up");
    Some(problem.bill(&solved.plan))
}

/// A few parts of every kind, in packs so small that amounts matter.
fn small_catalog(random: &mut Random) -> Catalog {
    let mut catalog = Catalog::built_in().unwrap();
    fn few<T>(list: &mut Vec<T>, n: usize, random: &mut Random) {
        while list.len() > n {
            list.remove(random.below(list.len() as u64) as usize);
        }
    }
    catalog.hooks.retain(|h| [8, 10, 12].contains(&h.size));
    few(&mut catalog.hooks, 4, random);
    few(&mut catalog.beads, 4, random);
    few(&mut catalog.pins, 1, random);
    catalog.pins.iter_mut().for_each(|p| few(&mut p.projections, 2, random));
    few(&mut catalog.wires, 2, random);
    few(&mut catalog.foams, 3, random);
    let scarce = random.once_in(2);
    let hooks = catalog.hooks.iter_mut().map(|p| &mut p.row).chain(catalog.beads.iter_mut().map(|p| &mut p.row));
    let rest = catalog.pins.iter_mut().map(|p| &mut p.row).chain(catalog.wires.iter_mut().map(|p| &mut p.row));
    let last = catalog.foams.iter_mut().map(|p| &mut p.row).chain(catalog.dressings.iter_mut().map(|p| &mut p.row));
    for row in hooks.chain(rest).chain(last) {
        let content = match row.pack.unit {
            PackUnit::Pieces(_) => PackUnit::Pieces(1 + random.below(9) as u32),
            PackUnit::Length(_) if scarce => PackUnit::Length(20_000 + 1_000 * random.below(300)),
            whole @ PackUnit::Length(_) => whole,
        };
        row.pack.unit = content;
        row.pack.price = Money::from_micros(100_000 * (5 + random.below(40)) as i64);
    }
    catalog
}

fn order(catalog: &Catalog, random: &mut Random) -> BoxOrder {
    let mut text =
        String::from("target: {foam_step: 7 mm, wrap_step: 9 mm, tolerance: 16 deg, rides: either}\nneeds:\n");
    let wanted = [
        "depth: 1 m",
        "depth: 0.5..3 m, target: {sink: 0.14..0.5 m/s}",
        "depth: 2 m, target: {hang: 20 deg}",
        "target: {lead_free: true}",
    ];
    let patterns = ["fur-leech", "slim-nymph"];
    for n in 0..1 + random.below(3) {
        let (flies, kind) = (1 + random.below(8), wanted[random.below(4) as usize]);
        let pattern = patterns[usize::from(random.once_in(3))];
        let kind = match kind.split_once("target: {") {
            Some((depth, rest)) => format!("{depth}target: {{pattern: {pattern}, {rest}"),
            None => format!("{kind}, target: {{pattern: {pattern}}}"),
        };
        text += &format!("  - {{name: n{n}, flies: {flies}, {kind}}}\n");
    }
    let mut owned = Vec::new();
    for (kind, key, unit) in [(Kind::Hook, "count", ""), (Kind::Bead, "count", ""), (Kind::Foam, "length", " mm")] {
        for row in catalog.rows(kind) {
            if random.once_in(4) {
                let amount = if unit.is_empty() { random.below(9) } else { random.below(90) };
                owned.push(format!("{{kind: {kind}, id: {}, {key}: {amount}{unit}}}", row.id));
            }
        }
    }
    text += &format!("owned: [{}]\n", owned.join(", "));
    let mut limits = Vec::new();
    for what in ["recipes", "hooks", "beads", "foams"] {
        if random.once_in(5) {
            limits.push(format!("{what}: {}", 1 + random.below(2)));
        }
    }
    text += &format!("options: {{{}}}\n", limits.join(", "));
    BoxOrder::read(&Source::new("box.yaml", &text), catalog).unwrap_or_else(|e| panic!("{e}\n{text}"))
}

/// Holds a plan against all recipes; returns whether it was proven.
fn check(order: &BoxOrder, catalog: &Catalog, case: u64) -> bool {
    let problem = all_recipes(order, catalog);
    let found = plan(order, catalog, BoxEffort::default(), &Unwatched);
    let (outlay, missing) = (found.shopping.outlay, found.needs.iter().map(|n| n.wanted - n.tied).sum::<u32>());
    let unmet: u32 = problem.needs.iter().filter(|n| n.ways.is_empty()).map(|n| n.flies).sum();
    let Some(best) = best_of_all(&problem) else {
        assert!(missing > 0, "case {case}: all tied, against limits that cannot be kept");
        return false;
    };
    let said =
        format!("case {case}: {missing} missing for {outlay}, best {} for {}, {order:#?}", best.missing, best.outlay);
    assert!(found.ties.iter().all(|tie| tie.margin > 0.0), "{said}");
    if order.budget.is_some() || best.missing == missing {
        let bound = (found.proof.least_missing + unmet, found.proof.bound.unwrap_or(Money::ZERO));
        assert!(bound <= (best.missing, best.outlay), "bound {bound:?}; {said}");
    }
    assert!((best.missing, best.outlay) <= (missing, outlay), "{said}");
    if found.proof.best {
        assert_eq!((best.missing, best.outlay), (missing, outlay), "{said}");
    }
    found.proof.best
}

#[test]
fn boxes_are_the_best_over_all_recipes() {
    let cases = std::env::var("BOX_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(6_u64);
    let (mut proven, mut tried) = (0, 0);
    for case in 0..cases {
        let mut random = Random(Xoshiro256PlusPlus::seed_from_u64(case));
        let catalog = small_catalog(&mut random);
        let mut order = order(&catalog, &mut random);
        if random.once_in(3) {
            let whole = best_of_all(&Problem { limits: Limits::default(), ..all_recipes(&order, &catalog) });
            let whole = whole.map_or(0, |bill| bill.outlay.micros());
            order.budget = Some(Money::from_micros(whole * (1 + random.below(9) as i64) / 10));
        }
        tried += 1;
        proven += u64::from(check(&order, &catalog, case));
    }
    println!("{proven} of {tried} boxes proven the best over all recipes");
    assert!(2 * proven >= tried, "{proven} of {tried} proven");
}

#[test]
fn the_part_of_a_stock_is_counted() {
    // Owned hooks serve one need or the other, not both.
    let catalog = Catalog::built_in().unwrap();
    let text = "
target: {size: 10, pattern: slim-nymph, foam_step: 4 mm, wrap_step: 6 mm}
needs:
  - {name: a, flies: 3, depth: 1 m}
  - {name: b, flies: 3, depth: 2 m}
owned: [{kind: hook, id: straight-10, count: 5}]
";
    let order = BoxOrder::read(&Source::new("box.yaml", text), &catalog).unwrap_or_else(|e| panic!("{e}"));
    let found = plan(&order, &catalog, BoxEffort::default(), &Unwatched);
    let hooks: u64 = found.shopping.lines.iter().filter(|l| l.part.kind == Kind::Hook).map(|l| l.packs).sum();
    assert!(found.proof.best && hooks == 1, "{hooks} packs of hooks, {:?}", found.proof);
    assert_eq!(order.owned.get(&PartId::new(Kind::Hook, "straight-10")), 5);
}
