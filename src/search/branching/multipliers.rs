//! Which multipliers to bound prices with on hooks of a kind: those that make the bound of their whole space highest, once for
//! each way to fill the front. Any others would bound too, less closely.

use crate::search::bounds::contribution::MULTIPLIER_SETS;
use crate::search::bounds::lagrange::{Choice, MultiplierSets, Multipliers, subgradient_ascent};
use crate::search::space::front::FrontSet;
use crate::search::space::node::{Context, FoamSet, WrapSet};
use crate::search::space::shelf::End;

/// Most fronts looked at: more would take longer than they help.
const MOST_FRONTS: usize = 3_000;

impl Context<'_, '_> {
    /// Multipliers for the hook of this context, whose own are not used.
    pub(in crate::search) fn fitted_multipliers(&self) -> MultiplierSets {
        let mut multiplier_sets = MultiplierSets::default();
        let classes = [vec![FrontSet::None], self.eye_fronts(), self.pin_fronts()];
        let (wraps, foams) = (self.wrap_choices(), self.foam_choices());
        let base = Choice::new(&self.tables.base, &self.tables.bounds);
        let bounds = &self.tables.bounds;
        for (j, fronts) in classes.into_iter().enumerate().take(MULTIPLIER_SETS) {
            let fronts: Vec<Choice> = fronts
                .into_iter()
                .filter_map(|f| self.front_contribution(f))
                .map(|f| Choice::new(&f.share, &self.tables.bounds))
                .collect();
            if fronts.is_empty() {
                continue;
            }
            let groups = [fronts, wraps.clone(), foams.clone()];
            for (k, window) in bounds.windows.iter().enumerate() {
                let edges = (window.from, window.to);
                multiplier_sets[k][j] =
                    Multipliers::new(subgradient_ascent(&base, &groups, k, bounds.on_loop()), edges);
            }
        }
        multiplier_sets
    }

    fn eye_fronts(&self) -> Vec<FrontSet> {
        if self.tables.hook.head.is_some() {
            return Vec::new();
        }
        self.shelf.eye_beads(self.tables.hook).tree.leaves().into_iter().map(FrontSet::Eye).collect()
    }

    fn pin_fronts(&self) -> Vec<FrontSet> {
        if self.tables.hook.head.is_some() {
            return Vec::new();
        }
        let (beads, pins) = (self.shelf.pin_beads.tree.leaves(), self.shelf.pin_tree.leaves());
        let stride = (beads.len() * pins.len() / MOST_FRONTS).max(1);
        let all = pins.iter().flat_map(|pin| beads.iter().map(move |bead| FrontSet::Pin(*bead, *pin)));
        all.step_by(stride).collect()
    }

    /// Each wire at its fewest and its most turns, at the front and at the rear of the shank, and none.
    fn wrap_choices(&self) -> Vec<Choice> {
        let Some(front) = self.front_contribution(FrontSet::None) else { return Vec::new() };
        let mut sets = vec![WrapSet::None];
        for wire in 0..self.tables.counts.turns.len() {
            let wire = u32::try_from(wire).unwrap_or(u32::MAX);
            let WrapSet::Wire { turns, starts, .. } = self.whole_wire(wire) else { continue };
            for turns in [turns.0, turns.1] {
                let last = self.last_start(wire, turns).min(starts.1);
                for start in [0, last] {
                    sets.push(WrapSet::Wire { wire, turns: (turns, turns), starts: (start, start) });
                }
            }
        }
        sets.into_iter()
            .filter_map(|set| self.wraps_contribution(set, &front))
            .map(|share| Choice::new(&share, &self.tables.bounds))
            .collect()
    }

    /// Each family at its shortest, middle and longest, and none.
    fn foam_choices(&self) -> Vec<Choice> {
        let mut sets = vec![FoamSet::None];
        for (index, foam) in self.tables.counts.foams.iter().enumerate() {
            let index = u32::try_from(index).unwrap_or(u32::MAX);
            let (first, last) = foam.steps;
            for at in [first, first + (last - first) / 2, last] {
                sets.push(FoamSet::Family { index, steps: (at, at) });
            }
        }
        sets.into_iter()
            .filter_map(|set| self.foam_contribution(set, End::Deep))
            .map(|share| Choice::new(&share, &self.tables.bounds))
            .collect()
    }
}
