//! Parts that are alike: a part that is dearer and no better never changes the best recipe, and a catalog in which every
//! part is there twice gives the same recipes but for ids.

use super::cases;
use super::random_catalog::{catalog, target};
use counterpoise::catalog::Catalog;
use counterpoise::part::Row;
use counterpoise::quantity::Money;
use counterpoise::search::rank::{Candidate, Variety};
use counterpoise::search::{Unwatched, Wish, search};
use counterpoise::wanted::Target;
use proptest::prelude::*;

/// Marks the id of a copy; sorts after the id itself.
const COPY: char = '~';

/// Every part but the dressing twice, the copies with their rows changed.
fn doubled(catalog: &Catalog, change: impl Fn(&mut Row)) -> Catalog {
    fn add<P: Clone>(parts: &mut Vec<P>, row: impl Fn(&mut P) -> &mut Row, change: &dyn Fn(&mut Row)) {
        let mut copies = parts.clone();
        for copy in &mut copies {
            let row = row(copy);
            row.id.push(COPY);
            change(row);
        }
        parts.extend(copies);
        parts.sort_by(|a, b| row(&mut a.clone()).id.cmp(&row(&mut b.clone()).id));
    }
    let mut double = catalog.clone();
    add(&mut double.hooks, |p| &mut p.row, &change);
    add(&mut double.beads, |p| &mut p.row, &change);
    add(&mut double.pins, |p| &mut p.row, &change);
    add(&mut double.wires, |p| &mut p.row, &change);
    add(&mut double.foams, |p| &mut p.row, &change);
    double
}

/// Price, margin and recipe, without marks of copies.
fn lines(list: &[Candidate]) -> Vec<String> {
    let line = |c: &Candidate| format!("{} {:e} {}", c.price.micros(), c.judgement.margin, c.fly.recipe());
    list.iter().map(|c| line(c).replace(COPY, "")).collect()
}

fn best(catalog: &Catalog, target: &Target, top: usize) -> Vec<String> {
    lines(&search(catalog, target, Wish { top, variety: Variety::Every }, &Unwatched).candidates)
}

proptest! {
    #![proptest_config(cases(48))]

    #[test]
    fn a_dearer_copy_never_changes_the_best(catalog in catalog(), target in target(), more in 1..400_000i64) {
        let dearer = |row: &mut Row| row.pack.price = row.pack.price + Money::from_micros(more);
        let with_copies = search(&doubled(&catalog, dearer), &target, Wish { top: 1, variety: Variety::Every }, &Unwatched)
            .candidates
            .iter()
            .map(|c| c.fly.recipe().to_string())
            .collect::<Vec<_>>();
        let without = search(&catalog, &target, Wish { top: 1, variety: Variety::Every }, &Unwatched)
            .candidates
            .iter()
            .map(|c| c.fly.recipe().to_string())
            .collect::<Vec<_>>();
        prop_assert_eq!(with_copies, without);
    }

    #[test]
    fn a_catalog_twice_over_gives_the_same_recipes_but_for_ids(catalog in catalog(), target in target()) {
        let once = best(&catalog, &target, 4);
        let mut twice = best(&doubled(&catalog, |_| {}), &target, 64);
        // Up to 32 copies of each recipe stand next to each other, but for recipes that tie in all but their ids.
        let mut seen: Vec<String> = Vec::new();
        twice.retain(|line| !seen.contains(line) && { seen.push(line.clone()); true });
        prop_assert!(twice.iter().all(|line| once.contains(line) || once.len() == 4), "{:?}\n{:?}", once, twice);
        prop_assert_eq!(once.first(), twice.first());
        prop_assert!(once.len() == twice.len() || once.len() == 4 || twice.len() * 32 >= 64);
    }
}
