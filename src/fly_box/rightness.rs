//! How many flies are tied so that enough of them come out right.

use super::certainty::{flies_for, share_for};
use super::spec::BoxNeed;
use super::tying::Tying;
use crate::wanted::{ShareFloor, Target};

/// Most flies that are ever tied for a need.
const MOST_TIED: u32 = 1_000_000;

/// Steps in 1 by which shares count when flies are: a share is not known to less than half a point.
const STEPS: f64 = 200.0;

/// A share in whole steps, rounded down.
fn in_steps(share: f64) -> f64 {
    (share * STEPS + 1e-6).floor() / STEPS
}

/// Flies of a recipe that are enough for 0, 1, 2, ... right ones, by its share in whole steps; empty where spares are stated.
pub(super) fn enough(need: &BoxNeed, share: f64) -> Vec<u32> {
    let Tying::Sure(sure) = need.tying else { return Vec::new() };
    let share = in_steps(share);
    (0..=need.right).map(|right| flies_for(right, share, sure, MOST_TIED).unwrap_or(MOST_TIED)).collect()
}

/// Recipes of a need of which no fewer flies are enough, and its target with the share at which so many are.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Level {
    /// Fewest flies to tie, of any recipe of the level.
    pub(super) flies: u32,
    /// What its recipes must do.
    pub(super) target: Target,
    /// Flies that are enough for 0, 1, 2, ... right ones, no more than of any recipe of the level.
    pub(super) enough: Vec<u32>,
}

/// Most levels of a need: each is a search of its own.
const MOST_LEVELS: usize = 4;

/// The recipes of a need by how many flies of them are enough, the surest first. A level holds those before it, too, which
/// need no more flies.
pub(super) fn levels(need: &BoxNeed) -> Vec<Level> {
    let whole = |flies: u32| Level { flies, target: need.target.clone(), enough: Vec::new() };
    let (Tying::Sure(sure), Some(floor)) = (need.tying, need.target.share) else {
        return vec![whole(need.flies_wanted())];
    };
    let most = flies_for(need.right, in_steps(floor.least), sure, MOST_TIED).unwrap_or(MOST_TIED);
    let steps = (most - need.right + 1).max(1);
    let groups = steps.min(MOST_LEVELS as u32);
    // Shares of a level lie below this step.
    let mut below = 1.0 + 1.0 / STEPS;
    let level = |group: u32| {
        let (flies, last) = (need.right + steps * group / groups, need.right + steps * (group + 1) / groups - 1);
        // The step from which on so many are enough, and a little less, for rounding.
        let least = ((share_for(need.right, last, sure) * STEPS).ceil() / STEPS - 1e-9).max(floor.least);
        let target = Target { share: Some(ShareFloor { least, ..floor }), ..need.target.clone() };
        let enough = enough(need, below - 0.5 / STEPS);
        below = least;
        Level { flies, target, enough }
    };
    (0..groups).map(level).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::wanted::{Counted, TargetSpec};

    /// Every recipe is in the level of the flies that it asks for and in those of more flies; no level asks for more than its
    /// recipes do.
    #[test]
    fn levels_hold_the_recipes_that_ask_for_so_many() {
        let target = TargetSpec::default().resolve(&Catalog::built_in().unwrap()).unwrap().0;
        for (right, least, sure) in [(4, 0.8, 0.9), (6, 0.8, 0.9), (30, 0.8, 0.95), (9, 0.55, 0.75), (1, 0.8, 0.5)] {
            let share = Some(ShareFloor { least, counted: Counted::Trimmed });
            let target = Target { share, ..target.clone() };
            let need = BoxNeed { name: "a".into(), right, tying: Tying::Sure(sure), least: 0, target };
            let levels = levels(&need);
            assert!(levels.len() <= MOST_LEVELS && levels[0].flies == right);
            for step in 0..=400 {
                let share = f64::from(step) / 400.0;
                if share < least {
                    continue;
                }
                let asked = enough(&need, share);
                let flies = asked[right as usize];
                let holds = |level: &&Level| share >= level.target.share.unwrap().least;
                let first = levels.iter().find(holds).unwrap();
                assert!(first.flies <= flies, "{right} {share}: {} {flies}", first.flies);
                let next = levels.iter().filter(|level| level.flies > first.flies).map(|level| level.flies).min();
                assert!(next.is_none_or(|next| flies < next), "{right} {share}: {flies} {next:?}");
                assert!(first.enough.iter().zip(&asked).all(|(level, own)| level <= own), "{right} {share}");
            }
        }
    }
}
