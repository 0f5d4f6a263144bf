//! A log set beside the parts and habits that it is about: what is unknown, and which reading tells of what.
//!
//! Three things move a prediction: the corrections, which all flies of a part share; habits, which all flies or all
//! readings share; and each fly's own scatter (its bead, its cut, where its foam was bound). The scatter is what makes
//! one reading worth less than its reading error says.

use super::correction::{BATCH_SHARE, Correction, Figure};
use super::habit::Habit;
use super::reading::{Observation, observations};
use super::weighing::weighed_spread;
use crate::catalog::Catalog;
use crate::fly::{Fly, UnknownPart, resolve};
use crate::jar_log::{Drop, Entry, FlyTest, Test};
use crate::part::Kind;
use crate::spread::draws::{Source, Spread, spreads};
use nalgebra::DVector;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// Corrections, habits and own scatter, in standard deviations of what was expected before the tests.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Point {
    /// One for each correction, then one for each habit.
    pub(super) z: DVector<f64>,
    /// Own scatter, for each group of entries about one fly.
    pub(super) own: Vec<DVector<f64>>,
}

/// A log beside the parts that it is about.
#[derive(Debug, Clone)]
pub struct Model {
    pub(super) catalog: Catalog,
    pub(super) tests: Vec<Test>,
    corrections: Vec<Correction>,
    habits: Vec<Habit>,
    /// Which unknowns a test may depend on.
    touched: Vec<Vec<bool>>,
    /// Group of each entry: entries about one and the same fly.
    groups: Vec<usize>,
    pub(super) own: Vec<Own>,
    observations: Vec<Observation>,
    /// Standard error of each reading, friction in the eye counted.
    errors: Vec<f64>,
    /// Which observations are those of an entry.
    of_entry: Vec<Range<usize>>,
    /// Set-up of each entry: the same recipe, conditions and stage are prepared once.
    setups: Vec<usize>,
    /// An entry of each set-up.
    pub(super) of_setup: Vec<usize>,
    /// The entry that an entry repeats to the last digit; it counts once.
    repeats: Vec<Option<usize>>,
}

/// What may differ in one fly, or one handful of parts.
#[derive(Debug, Clone)]
pub(super) enum Own {
    Fly(Vec<Spread>),
    /// Share of the mass.
    Parts(f64),
}

impl Own {
    fn len(&self) -> usize {
        match self {
            Self::Fly(list) => list.len(),
            Self::Parts(_) => 1,
        }
    }
}

impl Model {
    /// Sets the entries of a log beside a catalog.
    ///
    /// # Errors
    /// A part that the catalog does not hold.
    pub fn new(catalog: &Catalog, entries: &[Entry]) -> Result<Self, UnknownPart> {
        let parts: Vec<BTreeSet<(Kind, &str)>> = entries.iter().map(|e| parts_of(&e.test)).collect();
        let used: BTreeSet<(Kind, &str)> = parts.iter().flatten().copied().collect();
        let catalog = kept(catalog, &used);
        let corrections: Vec<Correction> =
            candidates(&used).into_iter().filter(|c| c.spread(&catalog).is_some()).collect();
        let habits = Habit::ALL.into_iter().filter(|h| entries.iter().any(|e| h.touches(&e.test))).collect();
        Self::of(catalog, entries, corrections, habits)
    }

    fn of(
        catalog: Catalog,
        entries: &[Entry],
        corrections: Vec<Correction>,
        habits: Vec<Habit>,
    ) -> Result<Self, UnknownPart> {
        let tests: Vec<Test> = entries.iter().map(|e| e.test.clone()).collect();
        let touched = tests
            .iter()
            .map(|test| {
                let parts = parts_of(test);
                let by_part = corrections.iter().map(|c| touches(c, test, &parts));
                by_part.chain(habits.iter().map(|h| h.touches(test))).collect()
            })
            .collect();
        let repeats = repeats(entries);
        let (groups, first) = groups(&tests, &repeats);
        let own = first.iter().map(|&i| own_of(&tests[i], &catalog)).collect::<Result<_, _>>()?;
        let mut all = Vec::new();
        let of_entry = (0..tests.len())
            .map(|i| {
                let first = all.len();
                all.extend(observations(i, &tests[i]));
                first..all.len()
            })
            .collect();
        for test in &tests {
            if let Test::Fly(test) = test {
                resolve(&test.recipe, &catalog)?;
            }
        }
        let (setups, of_setup) = setups(&tests);
        let errors = all.iter().map(|o: &Observation| o.error).collect();
        let mut model = Self {
            catalog,
            tests,
            corrections,
            habits,
            touched,
            groups,
            own,
            observations: all,
            errors,
            of_entry,
            setups,
            of_setup,
            repeats,
        };
        let held = model.held();
        for (error, held) in model.errors.iter_mut().zip(held) {
            *error = error.hypot(held);
        }
        Ok(model)
    }

    /// What could be corrected.
    #[must_use]
    pub fn corrections(&self) -> &[Correction] {
        &self.corrections
    }

    /// Habits that could show.
    #[must_use]
    pub fn habits(&self) -> &[Habit] {
        &self.habits
    }

    /// Everything that was read, in the order of the entries.
    #[must_use]
    pub fn observations(&self) -> &[Observation] {
        &self.observations
    }

    /// The parts of the log, uncorrected.
    #[must_use]
    pub fn catalog(&self) -> &Catalog {
        &self.catalog
    }

    /// Places of entries that repeat an earlier one to the last digit, each with the place of that one.
    #[must_use]
    pub fn repeats(&self) -> Vec<(usize, usize)> {
        self.repeats.iter().enumerate().filter_map(|(i, of)| of.map(|of| (i, of))).collect()
    }

    /// The same catalog and unknowns beside other tests.
    pub(super) fn with_tests(&self, entries: &[Entry]) -> Result<Self, UnknownPart> {
        Self::of(self.catalog.clone(), entries, self.corrections.clone(), self.habits.clone())
    }

    /// The same log with every sign of a hang turned.
    pub(super) fn mirrored(&self) -> Self {
        let observations = self.observations.iter().map(|o| o.mirrored()).collect();
        Self { observations, ..self.clone() }
    }

    /// Standard error of a reading, and of where friction in the eye lets the fly come to rest with it.
    pub(super) fn error(&self, observation: usize) -> f64 {
        self.errors[observation]
    }

    /// Number of corrections and habits.
    pub(super) fn shared(&self) -> usize {
        self.corrections.len() + self.habits.len()
    }

    pub(super) fn groups(&self) -> usize {
        self.own.len()
    }

    pub(super) fn entries(&self) -> usize {
        self.tests.len()
    }

    pub(super) fn group_of_entry(&self, entry: usize) -> usize {
        self.groups[entry]
    }

    pub(super) fn group_of(&self, observation: usize) -> usize {
        self.groups[self.observations[observation].entry]
    }

    pub(super) fn of_entry(&self, entry: usize) -> Range<usize> {
        self.of_entry[entry].clone()
    }

    pub(super) fn setup(&self, entry: usize) -> usize {
        self.setups[entry]
    }

    pub(super) fn touches(&self, entry: usize, unknown: usize) -> bool {
        self.touched[entry][unknown]
    }

    /// Whether an entry counts: it repeats no other.
    pub(super) fn counts(&self, entry: usize) -> bool {
        self.repeats[entry].is_none()
    }

    pub(super) fn start(&self) -> Point {
        Point { z: DVector::zeros(self.shared()), own: self.own.iter().map(|own| DVector::zeros(own.len())).collect() }
    }
}

fn parts_of(test: &Test) -> BTreeSet<(Kind, &str)> {
    match test {
        Test::Fly(test) => test.recipe.part_ids().into_iter().collect(),
        Test::Part(test) => BTreeSet::from([(test.kind, test.id.as_str())]),
    }
}

/// A catalog of these parts alone.
fn kept(catalog: &Catalog, parts: &BTreeSet<(Kind, &str)>) -> Catalog {
    let mut kept = catalog.clone();
    kept.hooks.retain(|p| parts.contains(&(Kind::Hook, p.row.id.as_str())));
    kept.beads.retain(|p| parts.contains(&(Kind::Bead, p.row.id.as_str())));
    kept.pins.retain(|p| parts.contains(&(Kind::Pin, p.row.id.as_str())));
    kept.wires.retain(|p| parts.contains(&(Kind::Wire, p.row.id.as_str())));
    kept.foams.retain(|p| parts.contains(&(Kind::Foam, p.row.id.as_str())));
    kept.dressings.retain(|p| parts.contains(&(Kind::Dressing, p.row.id.as_str())));
    kept
}

/// All corrections that these parts have, in a fixed order.
fn candidates(parts: &BTreeSet<(Kind, &str)>) -> Vec<Correction> {
    let of_parts = parts.iter().flat_map(|(kind, id)| {
        Figure::of_kind(*kind)
            .iter()
            .map(|figure| Correction { part: Some((*kind, (*id).to_owned())), figure: *figure })
    });
    of_parts.chain(Figure::OF_ALL_FOAM.map(|figure| Correction { part: None, figure })).collect()
}

/// Depth from which the pressure that foam walls carry shows at all, m.
const DEEP: f64 = 1.0;

fn touches(correction: &Correction, test: &Test, parts: &BTreeSet<(Kind, &str)>) -> bool {
    let deep = |drop: &Drop| drop.distance >= DEEP;
    match &correction.part {
        Some((kind, id)) => parts.contains(&(*kind, id.as_str())),
        None if !parts.iter().any(|(kind, _)| *kind == Kind::Foam) => false,
        None if correction.figure == Figure::WallPressure => match test {
            Test::Fly(test) => test.conditions.depth >= DEEP || test.drops.iter().any(deep),
            Test::Part(_) => false,
        },
        None => matches!(test, Test::Fly(_)),
    }
}

/// What an entry repeats: the first one that says the same of the same on the same day.
fn repeats(entries: &[Entry]) -> Vec<Option<usize>> {
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    let key = |entry: &Entry| format!("{:?} {:?}", entry.date, entry.test);
    (0..entries.len())
        .map(|i| {
            let of = *first.entry(key(&entries[i])).or_insert(i);
            (of != i).then_some(of)
        })
        .collect()
}

/// The group of each test, and the first test of each group: tests of one named fly of one recipe belong together, and so
/// does what is repeated.
fn groups(tests: &[Test], repeats: &[Option<usize>]) -> (Vec<usize>, Vec<usize>) {
    let (mut groups, mut first) = (Vec::with_capacity(tests.len()), Vec::new());
    let mut named: BTreeMap<(String, &str), usize> = BTreeMap::new();
    for (i, test) in tests.iter().enumerate() {
        let known = match (repeats[i], test) {
            (Some(of), _) => Some(groups[of]),
            (None, Test::Fly(FlyTest { fly: Some(name), recipe, .. })) => {
                let next = first.len();
                let group = *named.entry((recipe.id(), name)).or_insert(next);
                (group < next).then_some(group)
            }
            _ => None,
        };
        groups.push(known.unwrap_or_else(|| {
            first.push(i);
            first.len() - 1
        }));
    }
    (groups, first)
}

/// The set-up of each test, and the first test of each.
fn setups(tests: &[Test]) -> (Vec<usize>, Vec<usize>) {
    let mut first: Vec<usize> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    let setups = (0..tests.len())
        .map(|i| {
            let key = match &tests[i] {
                Test::Part(test) => {
                    format!("{:?} {} {} {:?} {}", test.kind, test.id, test.count, test.length, test.cut)
                }
                Test::Fly(test) => format!("{} {:?} {:?}", test.as_tested().id(), test.conditions, test.stage),
            };
            *known.entry(key).or_insert_with(|| {
                first.push(i);
                first.len() - 1
            })
        })
        .collect();
    (setups, first)
}

fn own_of(test: &Test, catalog: &Catalog) -> Result<Own, UnknownPart> {
    match test {
        Test::Fly(test) => Ok(Own::Fly(own_spreads(&resolve(&test.recipe, catalog)?))),
        Test::Part(test) => {
            let spread = weighed_spread(test, catalog).unwrap_or(0.0);
            Ok(Own::Parts(spread / f64::from(test.count).sqrt()))
        }
    }
}

/// What differs from fly to fly of one tyer: the catalog's spreads without what the tyer's own materials share.
fn own_spreads(fly: &Fly) -> Vec<Spread> {
    let own = |spread: Spread| match spread.source {
        Source::FoamDensity | Source::WireDensity | Source::WireDiameter => None,
        Source::Turns | Source::PinPosition | Source::WrapsPosition | Source::FoamLength | Source::FoamPosition => {
            Some(spread)
        }
        _ => Some(Spread { sd: spread.sd * (1.0 - BATCH_SHARE).sqrt(), ..spread }),
    };
    spreads(fly).into_iter().filter_map(own).collect()
}

/// The fly test of an entry, if it is about a fly.
pub(super) fn fly_test(entry: &Entry) -> Option<&FlyTest> {
    match &entry.test {
        Test::Fly(test) => Some(test),
        Test::Part(_) => None,
    }
}
