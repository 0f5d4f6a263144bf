//! Which share of the flies of a need must come out right, and how many are tied so that enough of them do.

use super::certainty::{flies_for, share_for};
use super::spec::BoxNeed;
use crate::find::{LEAST_SHARE, usual_floor};
use crate::quantity::Share;
use crate::wanted::{Assumption, Counted, ShareFloor, Target};

/// How sure it is, where nothing is said, that the wanted number of right flies is among those tied. A choice of this program.
pub const CERTAINTY: f64 = 0.9;
/// Fewest flies of a hundred that may come out right where flies are tied until enough of them are.
const LEAST_COUNTED: f64 = 0.01;

/// How many flies are tied for the right ones.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tying {
    /// So many that enough are right with this certainty.
    Sure(f64),
    /// So many more than are to be right.
    Spares(u32),
}

/// What a box states for a need.
pub(super) struct RawRightness {
    pub(super) min_chance: Option<Share>,
    pub(super) as_tied: Option<bool>,
    pub(super) certainty: Option<Share>,
    pub(super) spares: Option<u32>,
}

/// The share that is asked for, and how many are tied; what is assumed is said.
pub(super) fn rightness(
    stated: &RawRightness,
    target: &Target,
    said: &mut Vec<Assumption>,
) -> (Option<ShareFloor>, Tying) {
    let counted = if stated.as_tied == Some(true) { Counted::AsTied } else { Counted::Trimmed };
    let usual = usual_floor(target).map_or(0.0, |floor| floor.least);
    let least = stated.min_chance.map_or(usual, |share| share.0);
    let share = (least > 0.0).then_some(ShareFloor { least, counted });
    if stated.min_chance.is_none() {
        let how = if counted == Counted::AsTied { "as tied" } else { "trimmed in the jar where they can be" };
        let text = if share.is_some() {
            format!("of each recipe {:.0} % of the flies or more come out right, {how}", 100.0 * least)
        } else {
            format!(
                "no share of right flies is asked for where a time to a depth is ({:.0} % elsewhere)",
                100.0 * LEAST_SHARE
            )
        };
        said.push(Assumption { key: "min_chance", text });
    }
    let tying = match (stated.spares, stated.certainty) {
        (Some(spares), _) => Tying::Spares(spares),
        (None, _) if least < LEAST_COUNTED => {
            let text = "no flies are tied for those that come out wrong where no share is asked for".to_owned();
            said.push(Assumption { key: "spares", text });
            Tying::Spares(0)
        }
        (None, Some(certainty)) => Tying::Sure(certainty.0),
        (None, None) => {
            let text =
                format!("so many flies are tied that enough are right with a certainty of {:.0} %", 100.0 * CERTAINTY);
            said.push(Assumption { key: "certainty", text });
            Tying::Sure(CERTAINTY)
        }
    };
    (share, tying)
}

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
    use crate::wanted::TargetSpec;

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
