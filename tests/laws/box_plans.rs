//! Every plan of a small box, tried one by one, against the planner's mixed-integer program.

use super::cases;
use counterpoise::fly_box::certainty::flies_for;
use counterpoise::fly_box::exact::{Effort, solve};
use counterpoise::fly_box::problem::{Limits, Need, Plan, Problem, Score, Supply, Take, Way};
use counterpoise::part::Kind;
use counterpoise::quantity::Money;
use proptest::prelude::*;

/// The best score of all plans.
fn best_of_all(problem: &Problem) -> Score {
    let mut best = None;
    let mut plan = problem.nothing();
    visit(problem, 0, 0, &mut plan, &mut best);
    best.unwrap()
}

/// All ways to spread the flies of each need over its ways, with some left out under a budget.
fn visit(problem: &Problem, need: usize, way: usize, plan: &mut Plan, best: &mut Option<Score>) {
    let Some(wanted) = problem.needs.get(need) else {
        let score = problem.score(plan);
        let keeps = score.beyond == 0 && score.short == 0 && score.overspent == Money::ZERO;
        if keeps && best.is_none_or(|b| score < b) {
            *best = Some(score);
        }
        return;
    };
    let left = wanted.most() - plan[need][..way].iter().sum::<u32>();
    if way == wanted.ways.len() {
        if wanted.right(&plan[need]) == wanted.flies || problem.budget.is_some() {
            visit(problem, need + 1, 0, plan, best);
        }
        return;
    }
    for n in 0..=left {
        plan[need][way] = n;
        visit(problem, need, way + 1, plan, best);
    }
    plan[need][way] = 0;
}

fn supplies() -> impl Strategy<Value = Vec<Supply>> {
    let kind = prop_oneof![Just(Kind::Bead), Just(Kind::Foam), Just(Kind::Hook)];
    let supply =
        (kind, prop_oneof![Just(0_u64), 0..9_u64], 3..12_u64, 1..8_i64).prop_map(|(kind, owned, pack, halves)| {
            Supply { kind, owned, pack, price: Money::from_micros(halves * 500_000), wish: false }
        });
    prop::collection::vec(supply, 5)
}

fn ways(supplies: usize) -> impl Strategy<Value = Vec<Way>> {
    let take = (1..4_u64, prop_oneof![Just(1_u32), Just(1), Just(2), Just(4)]);
    let way = prop::collection::btree_map(0..supplies, take, 1..4).prop_map(|takes| {
        let mut split = false;
        let takes = takes
            .into_iter()
            .map(|(supply, (block, serves))| {
                // As with flies: only one part of a way, its foam, is split.
                let serves = if split { 1 } else { serves };
                split |= serves > 1;
                Take { supply, block, serves }
            })
            .collect();
        Way { takes }
    });
    prop::collection::vec(way, 4)
}

fn problems() -> impl Strategy<Value = Problem> {
    let share = prop_oneof![Just(1.0), 0.6..1.0_f64];
    let ways_of = prop::sample::subsequence(vec![0_usize, 1, 2, 3], 1..4);
    let need = (1..4_u32, ways_of, prop::collection::vec(share, 4), any::<bool>(), 0..3_u32).prop_map(
        |(flies, ways, shares, plain, least)| {
            let narrowness = ways.iter().map(|w| 100 * *w as u32).collect();
            let list = |w: &usize| (0..=flies).map(|n| flies_for(n, shares[*w], 0.75, 50).unwrap()).collect();
            let enough = if plain { Vec::new() } else { ways.iter().map(list).collect() };
            Need { flies, least: least.min(flies), ways, narrowness, enough }
        },
    );
    let limit = prop_oneof![3 => Just(None), 1 => (1..3_u32).prop_map(Some)];
    let limits = (limit.clone(), limit.clone(), limit.clone(), limit)
        .prop_map(|(recipes, hooks, beads, foams)| Limits { recipes, hooks, beads, foams });
    let budget = prop_oneof![2 => Just(None), 1 => (0..14_i64).prop_map(|h| Some(Money::from_micros(h * 500_000)))];
    let each_recipe = prop_oneof![Just(0_i64), 1..5_i64].prop_map(|quarters| Money::from_micros(quarters * 250_000));
    (prop::collection::vec(need, 1..4), ways(5), supplies(), limits, budget, each_recipe).prop_map(
        |(needs, ways, supplies, limits, budget, each_recipe)| Problem {
            needs,
            ways,
            supplies,
            limits,
            budget,
            each_recipe: if budget.is_some() { Money::ZERO } else { each_recipe },
        },
    )
}

fn effort() -> Effort {
    Effort { nodes: 50_000 }
}

proptest! {
    #![proptest_config(cases(60))]

    #[test]
    fn the_planner_finds_what_trying_everything_finds(problem in problems()) {
        let mut problem = problem;
        if problem.budget.is_some() {
            // Limits on parts make a plan that ties nothing the only one in places; that is tested without a budget.
            problem.limits = Limits { recipes: problem.limits.recipes, ..Limits::default() };
        }
        let solved = solve(&problem, effort(), &|| false);
        let mut oracle = None;
        let mut plan = problem.nothing();
        visit(&problem, 0, 0, &mut plan, &mut oracle);
        match (solved, oracle) {
            (None, None) => {}
            (Some(solved), Some(best)) => {
                let score = problem.score(&solved.plan);
                prop_assert_eq!(score.missing, best.missing, "{:?}", solved);
                prop_assert_eq!(score.outlay, best.outlay, "{:?}", solved);
                prop_assert_eq!(score.beyond, 0);
                prop_assert!(solved.proven(&problem), "{:?} {:?}", solved, score);
            }
            (solved, best) => prop_assert!(false, "{:?} against {:?}", solved, best),
        }
    }

    #[test]
    fn a_budget_just_below_the_optimum_leaves_flies_out(problem in problems()) {
        let mut problem =
            Problem { budget: None, limits: Limits::default(), each_recipe: Money::ZERO, ..problem };
        problem.needs.iter_mut().for_each(|need| need.least = 0);
        let all = best_of_all(&problem);
        prop_assume!(all.outlay > Money::ZERO);
        let tight = Problem { budget: Some(all.outlay - Money::from_micros(1)), ..problem.clone() };
        let solved = solve(&tight, effort(), &|| false).unwrap();
        prop_assert!(tight.bill(&solved.plan).missing > 0);
        prop_assert!(solved.least_missing > 0);
        let exact = Problem { budget: Some(all.outlay), ..problem };
        prop_assert_eq!(exact.bill(&solve(&exact, effort(), &|| false).unwrap().plan).missing, 0);
    }
}
