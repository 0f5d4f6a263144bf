//! Looking ahead: first answers where the cheapest price at which a set might hold one lies far below that at which a fly does.
//!
//! There, sets come out right as far as their bounds know, and of single flies one after the other just does not. Held to more than is
//! asked, sets that all but miss it are left out, and what is left holds flies that come out right. Single flies are judged as ever, so
//! what is found meets the target, and enters the list as if it had been met by chance: it shuts out what is dearer, and the search
//! goes on where it was. So the answer is the same, and it is proven the same way.

use super::{Course, Engine};
use crate::search::branching::open_hooks::OpenHooks;
use crate::search::patience::Patience;
use crate::search::rank::{SUREST, share_class};
use crate::search::{Observer, Progress};

/// Recipes judged in vain after which a search is a hard one.
const HARD: u64 = 500;

/// How far sets are held above the share that is asked, of what is left to all flies: the farther, the sooner it ends.
const AHEAD: [f64; 3] = [0.75, 0.5, 0.25];

/// Recipes judged, and rounds, after which nothing is to be found that way.
const PATIENCE: (u64, u64) = (2_000, 600);

/// Tells how far the search itself had come, with what is judged ahead on top.
struct Ahead<'o> {
    observer: &'o dyn Observer,
    before: Progress,
}

impl Observer for Ahead<'_> {
    fn round_done(&self, progress: &Progress) {
        self.observer.round_done(&Progress { evaluated: self.before.evaluated + progress.evaluated, ..self.before });
    }

    fn stop(&self) -> bool {
        self.observer.stop()
    }
}

impl<'s, 'a> Engine<'s, 'a> {
    /// Whether much was looked at and nothing found, where a share is asked that sets may be held to. Where any recipe of a price
    /// will do, which one is found must not depend on this.
    pub(super) fn is_hard(&self, course: &Course) -> bool {
        let may = self.held_to.is_none() && self.target.share.is_some() && !self.wish.variety.by_price_alone();
        may && course.tally.evaluated >= HARD && course.best.list().is_empty()
    }

    /// Finds some recipes by holding sets to more than is asked.
    pub(super) fn look_ahead(&self, course: &mut Course<'a>, open_hooks: &OpenHooks<'s, 'a>, observer: &dyn Observer) {
        let asked = self.target.share.map_or(0.0, |floor| floor.least);
        let watched = Ahead { observer, before: course.progress() };
        let mut last = share_class(asked);
        for share in AHEAD {
            let class = share_class(asked + share * (1.0 - asked)).min(SUREST);
            if class <= share_class(asked) || class == last {
                continue;
            }
            last = class;
            let ahead = Engine { open_hooks: None, held_to: Some(class), ..*self };
            let patience = Patience::new(&watched, PATIENCE.0, PATIENCE.1);
            let mut other = Course { now: course.now, ..ahead.start(open_hooks) };
            let given_up = ahead.empty(&mut other, open_hooks, &patience);
            course.now = other.now;
            course.best.merge(other.best);
            // Where too many are left by more, even more are by less.
            if given_up || !course.best.list().is_empty() {
                return;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::quantity::{Angle, Length};
    use crate::search::rank::{Ranking, Variety};
    use crate::search::tariff::Tariff;
    use crate::search::{Unwatched, Wish};
    use crate::wanted::{Counted, Reach, ShareFloor, Target, TargetSpec};

    /// Parts of one hook, and a target that asks a time to a depth.
    fn asked(every: usize, least: f64, within: f64) -> (Catalog, Target) {
        let mut catalog = Catalog::built_in().unwrap();
        catalog.hooks.retain(|h| h.row.id == "jig60-8");
        let mut at = 0;
        let mut keep = |n: usize| {
            at += 1;
            at % n == 0
        };
        catalog.beads.retain(|_| keep(every));
        catalog.pins.retain(|_| keep(2));
        catalog.wires.retain(|_| keep(every));
        catalog.foams.retain(|_| keep(4));
        let spec = TargetSpec {
            hang: Some(Angle::from_deg(0.0)),
            foam_step: Some(Length::from_mm(1.0)),
            wrap_step: Some(Length::from_mm(3.0)),
            ..TargetSpec::default()
        };
        let mut target = spec.resolve(&catalog).unwrap().0;
        target.share = Some(ShareFloor { least, counted: Counted::Trimmed });
        target.fall.reach = Some(Reach { depth: 2.0, within });
        (catalog, target)
    }

    #[test]
    fn what_is_found_ahead_changes_no_answer() {
        let mut found = 0;
        for (every, least, within) in [(5, 0.8, 10.0), (7, 0.6, 8.0), (6, 0.7, 12.0)] {
            let (catalog, target) = asked(every, least, within);
            for (variety, ranking) in [
                (Variety::Idea, Ranking { unsure: 10, ..Ranking::surer_in_steps(5) }),
                (Variety::Every, Ranking::default()),
            ] {
                let wish = Wish { top: 3, variety };
                let engine = Engine::new(&catalog, &target, &Tariff::Material, wish).ranked(ranking);
                let open_hooks = engine.open_hooks.as_ref().unwrap();
                let mut course = engine.start(open_hooks);
                engine.look_ahead(&mut course, open_hooks, &Unwatched);
                found += course.best.list().len();
                assert!(course.best.list().iter().all(|ahead| ahead.share.unwrap() >= least));
                assert!(!engine.empty(&mut course, open_hooks, &Unwatched));
                assert_eq!(course.best.list(), engine.run(&Unwatched).candidates, "{every} {least} {variety:?}");
            }
        }
        assert!(found > 3, "{found}");
    }
}
