//! The total order of recipes, and the best K under it.
//!
//! Cost is compared by the hundredth of the currency, as it is shown, or by a coarser step: material worth a thousandth of a
//! cent must not decide against a recipe that forgives more, nor a few cents of invented price against one that comes out
//! right more often.

use crate::assess::Judgement;
use crate::fly::{Fly, FrontMount, Idea};
use crate::physics::statics::Knot;
use crate::quantity::Money;
use crate::wanted::Target;
use std::cmp::Ordering;

/// A recipe that meets the target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate<'a> {
    /// The fly.
    pub fly: Fly<'a>,
    /// Cost and margin.
    pub judgement: Judgement,
    /// What it is ranked by: its cost, unless the search is by another tariff.
    pub price: Money,
    /// Share of flies that come out right, where the target asks for one.
    pub share: Option<f64>,
}

impl<'a> Candidate<'a> {
    /// Class of its share; the least where none is known.
    #[must_use]
    pub fn class(&self) -> u8 {
        self.share.map_or(0, share_class)
    }

    /// How steady it is: see [`steps_of_lever`].
    #[must_use]
    pub fn steps_of_lever(&self) -> i32 {
        steps_of_lever(self.judgement.lever)
    }

    /// Ranked by the cost of its material.
    #[must_use]
    pub fn new(fly: Fly<'a>, judgement: Judgement) -> Self {
        Self { fly, judgement, price: judgement.cost, share: None }
    }
}

/// What counts as too much alike to be listed twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Variety {
    /// List every recipe.
    Every,
    /// One for each set of parts, cut and seat: not one more wrap, nor half a millimetre less foam.
    Parts,
    /// One for each hook, bead and mount.
    Bead,
    /// One for each idea of balancing a fly: bead at the eye with tail foam, moulded head, tail foam without bead, ...
    #[default]
    Idea,
    /// One for each set of supplies: hook, bead, pin, wire and foam stock, however cut and seated. Which one of equal price
    /// does not matter: margins do not count. For planners.
    Supplies,
    /// The same, and none that takes all the supplies of a listed one and more, unless it costs less.
    FewestSupplies,
}

impl Variety {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Every, Self::Parts, Self::Bead, Self::Idea];

    /// The word used on the command line.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Every => "every",
            Self::Parts => "parts",
            Self::Bead => "bead",
            Self::Idea => "idea",
            Self::Supplies => "supplies",
            Self::FewestSupplies => "fewest-supplies",
        }
    }

    /// Whether price alone decides, and any recipe of a price will do.
    #[must_use]
    pub fn by_price_alone(self) -> bool {
        matches!(self, Self::Supplies | Self::FewestSupplies)
    }

    /// Whether two flies are alike; for the fewest supplies, whether the second takes all that the first takes.
    #[must_use]
    pub fn alike(self, a: &Fly, b: &Fly) -> bool {
        match self {
            Self::Every => a == b,
            Self::Parts => {
                same_front(a, b)
                    && a.wraps.map(|w| &w.wire.row.id) == b.wraps.map(|w| &w.wire.row.id)
                    && a.foam.map(|f| (&f.foam.row.id, f.cut, f.seat))
                        == b.foam.map(|f| (&f.foam.row.id, f.cut, f.seat))
            }
            Self::Bead => same_front(a, b),
            Self::Idea => Idea::of(a) == Idea::of(b),
            Self::Supplies => {
                same_front(a, b)
                    && a.wraps.map(|w| &w.wire.row.id) == b.wraps.map(|w| &w.wire.row.id)
                    && a.foam.map(|f| &f.foam.row.id) == b.foam.map(|f| &f.foam.row.id)
            }
            Self::FewestSupplies => takes_all(a, b),
        }
    }
}

/// Whether a fly takes every supply that another takes.
fn takes_all(less: &Fly, more: &Fly) -> bool {
    let pin = |fly: &Fly| match fly.bead {
        Some((_, FrontMount::Pin(pin, _))) => Some(pin.row.id.clone()),
        _ => None,
    };
    let within = |less: Option<&str>, more: Option<&str>| less.is_none() || less == more;
    less.hook.row.id == more.hook.row.id
        && within(less.bead.map(|b| b.0.row.id.as_str()), more.bead.map(|b| b.0.row.id.as_str()))
        && within(pin(less).as_deref(), pin(more).as_deref())
        && within(less.wraps.map(|w| w.wire.row.id.as_str()), more.wraps.map(|w| w.wire.row.id.as_str()))
        && within(less.foam.map(|f| f.foam.row.id.as_str()), more.foam.map(|f| f.foam.row.id.as_str()))
}

fn same_front(a: &Fly, b: &Fly) -> bool {
    let front = |fly: &Fly| {
        fly.bead.map(|(bead, mount)| {
            let pin = match mount {
                FrontMount::Eye => None,
                FrontMount::Pin(pin, _) => Some(pin.row.id.clone()),
            };
            (bead.row.id.clone(), pin)
        })
    };
    a.hook.row.id == b.hook.row.id && front(a) == front(b)
}

/// Cost in whole hundredths of the currency, rounded half up.
#[must_use]
pub fn cents(cost: Money) -> i64 {
    cost.cents()
}

/// How recipes are put in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ranking {
    /// Prices within one step of so many hundredths of the currency count as equal; at least 1.
    pub step: i64,
    /// Of equal prices the surer recipe comes first, then the steadier; otherwise the one with the wider margin.
    pub surer: bool,
    /// Hundredths of the currency that a recipe counts dearer of which fewer than [`SURE`] come out right; 0 or more, and 0 where
    /// the surer does not come first.
    pub unsure: i64,
}

/// The class of share from which a recipe is sure: 90 of 100.
pub const SURE: u8 = 90 / SHARE_STEP;

/// What is counted on an unsure recipe where nothing is said, hundredths of the currency: a few cents of material are less than
/// the time of one fly in ten that is tied in vain.
pub const UNSURE: i64 = 10;

/// Step in which prices are compared where nothing is said, hundredths of the currency: prices are not exact to the cent, and
/// five cents more for a fly that comes out right more often are well spent.
pub const PRICE_STEP: i64 = 5;

impl Default for Ranking {
    /// Price by the cent, then margin.
    fn default() -> Self {
        Self { step: 1, surer: false, unsure: 0 }
    }
}

/// Steps in which shares of flies that come out right are compared, of 100: finer ones say nothing, since a share is known to
/// a few points.
pub const SHARE_STEP: u8 = 5;

/// The surest class: 95 of 100 and more.
pub const SUREST: u8 = 100 / SHARE_STEP - 1;

/// Levers within one step of so much count as equal: a fly that is steadier by a hundredth must not come before one that hangs
/// nearer to what is wanted.
const LEVER_STEP: f64 = 1.25;

/// How many of those steps a lever is above a micrometre.
#[must_use]
pub fn steps_of_lever(lever: f64) -> i32 {
    ((lever * 1e6).max(f64::MIN_POSITIVE).ln() / LEVER_STEP.ln()).floor() as i32
}

/// The class of a share.
#[must_use]
pub fn share_class(share: f64) -> u8 {
    ((share * 100.0 / f64::from(SHARE_STEP) + 1e-9).floor().max(0.0) as u8).min(SUREST)
}

/// The least share of a class.
#[must_use]
pub fn least_of_class(class: u8) -> f64 {
    f64::from(class) * f64::from(SHARE_STEP) / 100.0
}

impl Ranking {
    /// Prices in steps of so many hundredths, then the surer, then the steadier.
    #[must_use]
    pub fn surer_in_steps(step: i64) -> Self {
        Self { step, surer: true, unsure: 0 }
    }

    /// The same for a target: where it asks for no share, or a snug knot holds the fly, by the cent and the margin. How firmly a
    /// fly hangs is a matter of a loop.
    #[must_use]
    pub fn under(self, target: &Target) -> Self {
        let sure = target.share.is_some_and(|floor| floor.least > 0.0) && target.conditions.knot == Knot::Loop;
        if sure { self } else { Self::default() }
    }

    /// Number of the price step in which a price lies, in whole hundredths.
    #[must_use]
    pub fn step_of(&self, cents: i64) -> i64 {
        cents.div_euclid(self.step.max(1))
    }

    /// The step of a price as it is counted for a class of share.
    #[must_use]
    pub fn counted_step(&self, cents: i64, class: u8) -> i64 {
        self.step_of(if class < SURE { cents + self.unsure } else { cents })
    }

    /// Price, as it is counted, by the step; then class of share (surer first) and steps of the lever (steadier first), where asked; then margin (wider
    /// first), price and material to the last digit, catalog ids: no two different recipes are equal.
    #[must_use]
    pub fn order(&self, a: &Candidate, b: &Candidate) -> Ordering {
        let step = |c: &Candidate| self.counted_step(cents(c.price), c.class());
        let sure = if self.surer { b.class().cmp(&a.class()) } else { Ordering::Equal };
        let steady = if self.surer { b.steps_of_lever().cmp(&a.steps_of_lever()) } else { Ordering::Equal };
        step(a)
            .cmp(&step(b))
            .then(sure)
            .then(steady)
            .then_with(|| b.judgement.margin.total_cmp(&a.judgement.margin))
            .then_with(|| a.price.cmp(&b.price))
            .then_with(|| a.judgement.cost.cmp(&b.judgement.cost))
            .then_with(|| a.fly.recipe().cmp(&b.fly.recipe()))
    }

    /// What a recipe must beat to come before this one.
    #[must_use]
    pub fn bar(&self, candidate: &Candidate) -> Cutoff {
        Cutoff {
            step: self.counted_step(cents(candidate.price), candidate.class()),
            class: if self.surer { candidate.class() } else { 0 },
            steps_of_lever: if self.surer { candidate.steps_of_lever() } else { 0 },
            margin: candidate.judgement.margin,
        }
    }
}

/// What a recipe must beat to enter a full list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cutoff {
    /// Price step: anything dearer is out.
    pub step: i64,
    /// Class of share; 0 where it does not count.
    pub class: u8,
    /// Steps of the lever; 0 where it does not count.
    pub steps_of_lever: i32,
    /// Margin: where all else is equal, anything narrower is out.
    pub margin: f64,
}

impl Cutoff {
    /// The least class of share with which a recipe enters; `None`: with none at all. Its own share is not looked at.
    #[must_use]
    pub fn least_class(&self, candidate: &Candidate, ranking: &Ranking) -> Option<u8> {
        let price = cents(candidate.price);
        let tied = || {
            if !ranking.surer {
                return (candidate.judgement.margin >= self.margin).then_some(0);
            }
            let steadier = candidate.steps_of_lever().cmp(&self.steps_of_lever);
            let same = steadier.then(candidate.judgement.margin.total_cmp(&self.margin)).is_ge();
            Some(if same { self.class } else { self.class + 1 })
        };
        let among = |class: u8| match ranking.counted_step(price, class).cmp(&self.step) {
            Ordering::Less => Some(class),
            Ordering::Equal => tied().map(|least| least.max(class)),
            Ordering::Greater => None,
        };
        let unsure = among(0).filter(|class| ranking.unsure == 0 || *class < SURE);
        unsure.or_else(|| among(SURE)).filter(|class| *class <= SUREST)
    }

    /// The harder one to beat.
    #[must_use]
    pub fn harder(self, other: Self) -> Self {
        let key = |c: &Self| (c.step, std::cmp::Reverse(c.class));
        let order = key(&self).cmp(&key(&other));
        let order = order.then(other.steps_of_lever.cmp(&self.steps_of_lever));
        let order = order.then(other.margin.total_cmp(&self.margin));
        if order.is_le() { self } else { other }
    }
}

/// The best K seen so far, in order, no two alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Incumbents<'a> {
    keep: usize,
    variety: Variety,
    ranking: Ranking,
    list: Vec<Candidate<'a>>,
}

impl<'a> Incumbents<'a> {
    /// None seen yet; keeps at least one.
    #[must_use]
    pub fn new(keep: usize, variety: Variety) -> Self {
        Self { keep: keep.max(1), variety, ranking: Ranking::default(), list: Vec::new() }
    }

    /// The same in another order.
    #[must_use]
    pub fn ranked(self, ranking: Ranking) -> Self {
        Self { ranking, ..self }
    }

    /// Takes one more into account.
    pub fn offer(&mut self, candidate: Candidate<'a>) {
        let at = self.list.partition_point(|known| self.ranking.order(known, &candidate).is_lt());
        if at >= self.keep {
            return;
        }
        if self.variety.by_price_alone() {
            let stands_for = |known: &Candidate| self.variety.alike(&known.fly, &candidate.fly);
            if self.list.iter().any(|k| cents(k.price) <= cents(candidate.price) && stands_for(k)) {
                return;
            }
            self.list.retain(|known| !Variety::Supplies.alike(&known.fly, &candidate.fly));
            let at = self.list.partition_point(|known| self.ranking.order(known, &candidate).is_lt());
            self.list.insert(at, candidate);
            self.list.truncate(self.keep);
            return;
        }
        let alike = |known: &Candidate| self.variety.alike(&known.fly, &candidate.fly);
        if let Some(known) = self.list.iter().position(alike) {
            if known < at {
                return;
            }
            self.list.remove(known);
        }
        self.list.insert(at, candidate);
        self.list.truncate(self.keep);
    }

    /// Whether a recipe with at most this margin and share could still enter: false is certain, since less ranks it no better.
    #[must_use]
    pub fn would_take(&self, candidate: &Candidate<'a>) -> bool {
        let at = self.list.partition_point(|known| self.ranking.order(known, candidate).is_lt());
        at < self.keep && !self.list[..at].iter().any(|known| self.variety.alike(&known.fly, &candidate.fly))
    }

    /// The least class of share with which a recipe could enter; `None`: with none at all.
    #[must_use]
    pub fn least_class(&self, candidate: &Candidate<'a>) -> Option<u8> {
        let of_list = self.cutoff().map(|bar| bar.least_class(candidate, &self.ranking));
        let mut alike = self.list.iter().filter(|known| self.variety.alike(&known.fly, &candidate.fly));
        let of_kind = alike.next().map(|known| self.ranking.bar(known).least_class(candidate, &self.ranking));
        [of_list, of_kind].into_iter().flatten().try_fold(0, |most, class| Some(class?.max(most)))
    }

    /// Takes all of another list into account.
    pub fn merge(&mut self, other: Self) {
        for candidate in other.list {
            self.offer(candidate);
        }
    }

    /// What a recipe must beat to enter; `None` while there is room.
    #[must_use]
    pub fn cutoff(&self) -> Option<Cutoff> {
        if self.list.len() < self.keep {
            return None;
        }
        self.list.last().map(|last| self.ranking.bar(last))
    }

    /// The list, best first.
    #[must_use]
    pub fn list(&self) -> &[Candidate<'a>] {
        &self.list
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::recipe::{Recipe, WireUse};

    /// A supply more is no other way to take as few.
    #[test]
    fn a_fly_that_takes_all_of_another_and_more_is_alike() {
        let catalog = Catalog::built_in().unwrap();
        let wire = WireUse { id: "lead-0.020in".into(), turns: 9, start: crate::quantity::Microns::new(0) };
        let bare =
            Recipe { hook: "straight-8".into(), dressing: "fur-leech".into(), bead: None, wire: None, foam: None };
        let wound = Recipe { wire: Some(wire.clone()), ..bare.clone() };
        let more_turns = Recipe { wire: Some(WireUse { turns: 4, ..wire.clone() }), ..bare.clone() };
        let other_wire = Recipe { wire: Some(WireUse { id: "lead-0.030in".into(), ..wire }), ..bare.clone() };
        let other_hook = Recipe { hook: "straight-10".into(), ..bare.clone() };
        let takes_all = |less: &Recipe, more: &Recipe| {
            let [less, more] = [less, more].map(|r| crate::fly::resolve(r, &catalog).unwrap());
            Variety::FewestSupplies.alike(&less, &more)
        };
        assert!(takes_all(&bare, &wound) && takes_all(&wound, &more_turns) && takes_all(&more_turns, &wound));
        assert!(!takes_all(&wound, &bare) && !takes_all(&wound, &other_wire) && !takes_all(&bare, &other_hook));
    }
}
