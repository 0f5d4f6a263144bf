//! What a box states of the share of flies that must come out right, and of how many are tied for that.

use crate::find::{LEAST_SHARE, floor_of};
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
    let share = floor_of(target, stated.min_chance, counted);
    let least = share.map_or(0.0, |floor| floor.least);
    if stated.min_chance.is_none() {
        let text = share.map_or_else(
            || format!("no share of right flies is asked for on a slack line ({:.0} % elsewhere)", 100.0 * LEAST_SHARE),
            |floor| format!("of each recipe {floor}"),
        );
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
