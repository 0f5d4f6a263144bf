//! Whole boxes against every recipe of every need of a small catalog, judged one by one, and the best plan over them all, with
//! packs, stock, limits, spares or a certainty, shares and budgets.
//!
//! `BOX_CASES=300 cargo test --test suite laws::boxes` tries more boxes than the few of an ordinary run.

use counterpoise::assess::judge;
use counterpoise::catalog::Catalog;
use counterpoise::document::Source;
use counterpoise::fly::Fly;
use counterpoise::fly_box::certainty::flies_for;
use counterpoise::fly_box::exact::{Effort, solve};
use counterpoise::fly_box::plan;
use counterpoise::fly_box::plan::{BoxEffort, Standing};
use counterpoise::fly_box::problem::{Bill, Limits, Need, Problem, Supply, Take, Way};
use counterpoise::fly_box::spec::{BoxNeed, BoxOrder};
use counterpoise::fly_box::tying::Tying;
use counterpoise::part::{Kind, PackUnit};
use counterpoise::purchase::{PartId, uses};
use counterpoise::quantity::Money;
use counterpoise::search::Unwatched;
use counterpoise::search::exhaustive::walk;
use counterpoise::spread::shares;
use counterpoise::wanted::Counted;
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

/// What a recipe takes, and how many flies of it each need ties for 0, 1, 2, ... right ones; none where it does not serve.
struct Recipe {
    takes: Vec<Take>,
    enough: Vec<Option<Vec<u32>>>,
}

impl Recipe {
    /// Whether it takes no more of anything than others take.
    fn thriftier(&self, takes: &[Take]) -> bool {
        self.takes.iter().all(|mine| {
            takes
                .iter()
                .any(|t| t.supply == mine.supply && mine.block <= t.block && mine.serves.is_multiple_of(t.serves))
        })
    }

    /// Whether it serves a need with no fly more than are to be right.
    fn sure(&self, need: usize) -> bool {
        self.enough[need].as_ref().is_some_and(|list| list.iter().zip(0..).all(|(flies, right)| *flies == right))
    }

    /// Whether another never does better in any plan.
    fn covers(&self, other: &Self) -> bool {
        self.thriftier(&other.takes)
            && self.enough.iter().zip(&other.enough).all(|(mine, theirs)| match (mine, theirs) {
                (Some(mine), Some(theirs)) => mine.iter().zip(theirs).all(|(a, b)| a <= b),
                (None, Some(_)) => false,
                (_, None) => true,
            })
    }
}

/// Whether a recipe does all that a need asks for but for its share, which takes a hundred times as long to work out.
fn meets(fly: &Fly, need: &BoxNeed) -> bool {
    let target = &need.target;
    target.choice.allows(fly.hook)
        && fly.dressing.row.id == target.choice.dressing
        && target.choice.filters.iter().all(|f| f.passes(fly))
        && judge(fly, target).is_some()
}

fn enough(fly: &Fly, need: &BoxNeed) -> Option<Vec<u32>> {
    let target = &need.target;
    if !meets(fly, need) {
        return None;
    }
    let share = target.share.map_or(1.0, |floor| {
        let shares = shares(fly, target);
        if floor.counted == Counted::AsTied { shares.as_tied } else { shares.counted() }
    });
    if target.share.is_some_and(|floor| share < floor.least) {
        return None;
    }
    // Shares count in steps of half a point, rounded down.
    let share = (share * 200.0 + 1e-6).floor() / 200.0;
    let flies = |right| match need.tying {
        Tying::Sure(sure) => flies_for(right, share, sure, 10_000).unwrap(),
        Tying::Spares(_) => right,
    };
    Some((0..=need.flies_wanted()).map(flies).collect())
}

fn supplies(order: &BoxOrder, catalog: &Catalog) -> (Vec<PartId>, Vec<Supply>) {
    let rows = Kind::ALL.into_iter().flat_map(|kind| catalog.rows(kind).into_iter().map(move |row| (kind, row)));
    let supply = |(kind, row): (Kind, &counterpoise::part::Row)| {
        let part = PartId::new(kind, &row.id);
        let owned = order.owned.get(&part);
        (part, Supply { kind, owned, pack: row.pack.unit.content().max(1), price: row.pack.price, wish: false })
    };
    let (parts, mut supplies): (Vec<PartId>, Vec<Supply>) = rows.map(supply).unzip();
    // What each part counts on top, as a ticket that is good for any number of flies.
    let ticket = |s: &Supply| Supply { owned: 0, pack: 1_000_000, price: order.on_top.part, wish: true, ..*s };
    supplies.extend(supplies.clone().iter().map(ticket));
    (parts, supplies)
}

/// The problem of all recipes that there are; a recipe that another replaces in every plan is left out.
fn all_recipes(order: &BoxOrder, catalog: &Catalog) -> Problem {
    let (parts, supplies) = supplies(order, catalog);
    let mut recipes: Vec<Recipe> = Vec::new();
    for need in &order.needs {
        walk(catalog, &need.target, &mut |fly| {
            let take = |used: counterpoise::purchase::PartUse| Take {
                supply: parts.iter().position(|p| *p == used.part).unwrap(),
                block: used.block.max(1),
                serves: used.serves.max(1),
            };
            let mut takes: Vec<Take> = uses(fly, order.allowance).into_iter().map(take).collect();
            let real: Vec<usize> =
                takes.iter().map(|t| t.supply).filter(|s| parts[*s].kind != Kind::Dressing).collect();
            takes.extend(real.iter().map(|s| Take { supply: parts.len() + s, block: 1, serves: 1 }));
            let may: Vec<bool> = order.needs.iter().map(|need| meets(fly, need)).collect();
            let as_good = |known: &Recipe| may.iter().enumerate().all(|(i, may)| !may || known.sure(i));
            if recipes.iter().any(|known| as_good(known) && known.thriftier(&takes)) {
                return true;
            }
            let new = Recipe { takes, enough: order.needs.iter().map(|need| enough(fly, need)).collect() };
            if new.enough.iter().any(Option::is_some) && !recipes.iter().any(|known| known.covers(&new)) {
                recipes.retain(|known| !new.covers(known));
                recipes.push(new);
            }
            true
        });
    }
    let need = |i: usize| {
        let ways: Vec<usize> = (0..recipes.len()).filter(|w| recipes[*w].enough[i].is_some()).collect();
        let wanted = &order.needs[i];
        Need {
            flies: wanted.flies_wanted(),
            least: wanted.least,
            narrowness: vec![0; ways.len()],
            enough: ways.iter().map(|w| recipes[*w].enough[i].clone().unwrap()).collect(),
            ways,
        }
    };
    Problem {
        needs: (0..order.needs.len()).map(need).collect(),
        ways: recipes.iter().map(|recipe| Way { takes: recipe.takes.clone() }).collect(),
        supplies,
        limits: order.limits,
        budget: order.budget,
        each_recipe: order.on_top.recipe,
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
    match random.below(4) {
        0 => limits.push(format!("spares: {}", random.below(2))),
        1 => limits.push("certainty: 75%".to_owned()),
        _ => {}
    }
    match random.below(4) {
        0 => limits.push("min_chance: 0%".to_owned()),
        1 => limits.push("min_chance: 50%, as_tied: true".to_owned()),
        _ => {}
    }
    for what in ["recipes", "hooks", "beads", "foams"] {
        if random.once_in(5) {
            limits.push(format!("{what}: {}", 1 + random.below(2)));
        }
    }
    if random.once_in(3) {
        limits.push(format!("each_part: {}", ["0", "0.30", "2"][random.below(3) as usize]));
        limits.push(format!("each_recipe: {}", ["0", "0.25", "1.50"][random.below(3) as usize]));
    }
    text += &format!("options: {{{}}}\n", limits.join(", "));
    BoxOrder::read(&Source::new("box.yaml", &text), catalog).unwrap_or_else(|e| panic!("{e}\n{text}"))
}

/// Holds a plan against all recipes; returns whether it was proven.
fn check(order: &BoxOrder, catalog: &Catalog, case: u64) -> bool {
    let problem = all_recipes(order, catalog);
    let found = plan(order, catalog, BoxEffort::default(), &Unwatched);
    let missing = found.needs.iter().map(|n| n.wanted - n.reached).sum::<u32>();
    let outlay = found.counted;
    let parts = found.shopping.lines.iter().filter(|l| l.part.kind != Kind::Dressing && l.needed > 0).count() as i64;
    let on_top = order.on_top.recipe.micros() * found.ties.len() as i64 + order.on_top.part.micros() * parts;
    assert_eq!(outlay.micros(), found.shopping.outlay.micros() + on_top, "case {case}");
    for (need, result) in problem.needs.iter().zip(&found.needs) {
        let impossible = matches!(result.standing, Standing::Impossible(_));
        assert_eq!(need.ways.is_empty(), impossible, "case {case}: {:?} {order:#?}", result.standing);
    }
    let unmet: u32 = problem.needs.iter().filter(|n| n.ways.is_empty()).map(|n| n.flies).sum();
    let Some(best) = best_of_all(&problem) else {
        assert!(missing > 0, "case {case}: all tied, against limits that cannot be kept");
        return false;
    };
    let said =
        format!("case {case}: {missing} missing for {outlay}, best {} for {}, {order:#?}", best.missing, best.outlay);
    for tie in &found.ties {
        let needs = tie.flies.iter().zip(&order.needs).filter(|(n, _)| **n > 0);
        assert!(needs.into_iter().all(|(_, need)| enough(&tie.fly, need).is_some()), "{said}");
    }
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
        if random.once_in(3) && order.on_top.none() {
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

/// Owned hooks serve one need or the other, not both.
#[test]
fn the_part_of_a_stock_is_counted() {
    let catalog = Catalog::built_in().unwrap();
    let text = "
target: {size: 10, pattern: slim-nymph, foam_step: 4 mm, wrap_step: 6 mm}
needs:
  - {name: a, flies: 3, depth: 1 m}
  - {name: b, flies: 3, depth: 2 m}
options: {spares: 0}
owned: [{kind: hook, id: straight-10, count: 5}]
";
    let order = BoxOrder::read(&Source::new("box.yaml", text), &catalog).unwrap_or_else(|e| panic!("{e}"));
    let found = plan(&order, &catalog, BoxEffort::default(), &Unwatched);
    let hooks: u64 = found.shopping.lines.iter().filter(|l| l.part.kind == Kind::Hook).map(|l| l.packs).sum();
    assert!(found.proof.best && hooks == 1, "{hooks} packs of hooks, {:?}", found.proof);
    assert_eq!(order.owned.get(&PartId::new(Kind::Hook, "straight-10")), 5);
}
