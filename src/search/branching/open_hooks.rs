//! The hooks of a search, with the tables of those in use at hand.
//!
//! Tables are made when a node of their hook is first opened, and those out of use longest are let go when they take too
//! much room; made again they are the same, so this shows in nothing but time.

use crate::catalog::Catalog;
use crate::part::{Dressing, Hook, Kind};
use crate::quantity::Money;
use crate::search::bounds::Bounds;
use crate::search::bounds::lagrange::MultiplierSets;
use crate::search::rank::cents;
use crate::search::space::hook_tables::{HookCounts, HookTables};
use crate::search::space::node::Context;
use crate::search::space::shelf::Shelf;
use crate::search::tariff::Tariff;
use crate::wanted::Target;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// Bytes that tables may take while none is needed at once that does not fit.
const ROOM: usize = 32_000_000;

struct HookState<'a> {
    hook: &'a Hook,
    /// Which kind of hook it is.
    kind: usize,
    tables: Mutex<Slot<'a>>,
}

#[derive(Default)]
struct Slot<'a> {
    tables: Option<Arc<HookTables<'a>>>,
    /// When they were last asked for.
    last: u64,
}

/// Hooks that share multipliers: of one size, straight or jig.
struct HookKind<'a> {
    first: &'a Hook,
    /// Of each dressing, the first one's first.
    multiplier_sets: OnceLock<Vec<MultiplierSets>>,
}

/// The hooks that a target leaves, and all that may be tied on them.
pub(in crate::search) struct OpenHooks<'s, 'a> {
    pub(in crate::search) target: &'s Target,
    pub(in crate::search) shelf: Shelf<'a>,
    pub(in crate::search) dressing: &'a Dressing,
    /// Further ones that a base must do with.
    others: Vec<&'s Dressing>,
    tariff: &'s Tariff,
    hooks: Vec<HookState<'a>>,
    kinds: Vec<HookKind<'a>>,
}

impl<'s, 'a> OpenHooks<'s, 'a> {
    /// Nothing where no hook or no dressing is left.
    pub(in crate::search) fn new(catalog: &'a Catalog, target: &'s Target, tariff: &'s Tariff) -> Option<Self> {
        let mut kinds: Vec<HookKind<'a>> = Vec::new();
        let state = |hook: &'a Hook| {
            let like = |k: &HookKind| k.first.size == hook.size && k.first.is_jig() == hook.is_jig();
            let kind = kinds.iter().position(like).unwrap_or_else(|| {
                kinds.push(HookKind { first: hook, multiplier_sets: OnceLock::new() });
                kinds.len() - 1
            });
            HookState { hook, kind, tables: Mutex::default() }
        };
        let hooks: Vec<_> = catalog.hooks.iter().filter(|hook| target.choice.allows(hook)).map(state).collect();
        let shelf = Shelf::new(catalog, target, tariff, hooks.first()?.hook);
        let dressing = catalog.dressing(&target.choice.dressing)?;
        let others = target.choice.each.iter().filter(|d| d.row.id != dressing.row.id).map(AsRef::as_ref).collect();
        Some(Self { target, shelf, dressing, others, tariff, hooks, kinds })
    }

    /// The hooks by number.
    pub(in crate::search) fn hooks(&self) -> impl Iterator<Item = (u32, &'a Hook)> {
        (0..).zip(self.hooks.iter().map(|state| state.hook))
    }

    /// Price of hook and dressing, millionths.
    pub(in crate::search) fn base_price(&self, hook: &Hook) -> i64 {
        (self.tariff.charge(Kind::Hook, &hook.row).piece() + self.tariff.dressing(self.dressing)).micros()
    }

    /// What a hook takes of each wire and foam, without its tables.
    pub(in crate::search) fn counts(&self, hook: &Hook) -> HookCounts {
        HookCounts::new(hook, self.dressing, &self.shelf, self.target)
    }

    /// Tables of a hook, asked for at some time.
    pub(in crate::search) fn tables(&self, hook: u32, now: u64) -> Arc<HookTables<'a>> {
        let state = &self.hooks[hook as usize];
        let mut slot = state.tables.lock().unwrap_or_else(PoisonError::into_inner);
        slot.last = now;
        if let Some(tables) = &slot.tables {
            return Arc::clone(tables);
        }
        let kind = &self.kinds[state.kind];
        let multiplier_sets = kind.multiplier_sets.get_or_init(|| {
            let fitted = |dressing: &Dressing| {
                let tables = &self.fresh(kind.first, dressing, MultiplierSets::default());
                Context { shelf: &self.shelf, target: self.target, tables }.fitted_multipliers()
            };
            self.dressings().map(fitted).collect()
        });
        let mut each = self.dressings().zip(multiplier_sets).map(|(d, sets)| self.fresh(state.hook, d, *sets));
        let own = each.next().unwrap_or_else(|| self.fresh(state.hook, self.dressing, MultiplierSets::default()));
        let tables = Arc::new(own.with_others(each.collect()));
        slot.tables = Some(Arc::clone(&tables));
        tables
    }

    /// All dressings, the first one first.
    fn dressings(&self) -> impl Iterator<Item = &Dressing> {
        std::iter::once(self.dressing).chain(self.others.iter().copied())
    }

    fn fresh(&self, hook: &'a Hook, dressing: &Dressing, multiplier_sets: MultiplierSets) -> HookTables<'a> {
        // The price is that in the first dressing, whichever a bound is about.
        let given = (self.base_price(hook), multiplier_sets);
        HookTables::new(hook, dressing, &self.shelf, self.target, given)
    }

    /// Lets go of tables not asked for now, the oldest first, while all take too much room.
    pub(in crate::search) fn tidy(&self, now: u64) {
        let mut held: Vec<(u64, usize, usize)> = Vec::new();
        for (i, state) in self.hooks.iter().enumerate() {
            let slot = state.tables.lock().unwrap_or_else(PoisonError::into_inner);
            held.extend(slot.tables.as_ref().map(|tables| (slot.last, i, tables.bytes())));
        }
        let mut taken: usize = held.iter().map(|h| h.2).sum();
        held.sort_unstable();
        for (last, i, bytes) in held {
            if taken <= ROOM || last >= now {
                break;
            }
            self.hooks[i].tables.lock().unwrap_or_else(PoisonError::into_inner).tables = None;
            taken -= bytes;
        }
    }

    /// Whether the target asks for what no fly does.
    pub(in crate::search) fn refused(&self) -> bool {
        self.hooks.first().is_some_and(|state| Bounds::new(self.target, state.hook).refused())
    }

    /// The price of a fly by the tariff of the search.
    pub(in crate::search) fn price(&self, fly: &crate::fly::Fly, cost: Money) -> Money {
        if self.tariff.is_material() { cost } else { self.tariff.price(fly) }
    }

    /// Whether a price is more than the target lets a fly cost. By another tariff the price says nothing of the cost, which
    /// is left to the judge.
    pub(in crate::search) fn too_dear(&self, price: Money) -> bool {
        self.tariff.is_material() && self.target.max_cost.is_some_and(|most| cents(price) > cents(most))
    }
}
