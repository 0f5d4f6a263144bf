//! A box as a guide writes it: needs, limits, budget, what is owned.
//!
//! ```yaml
//! name: Two days on an invented lake
//! target: {pattern: fur-leech, water: 10 C}    # keys of a target, for every need
//! needs:
//!   - name: weed edge
//!     flies: 6
//!     depth: 1..1.5 m                          # hang and sink rate must hold over all of it
//!     within: 12 s                             # let go at the surface, it is down there in this time
//!     target: {size: [8, 10], style: jig, lead_free: true}
//!     min_chance: 70%                          # share of flies that come out right, trimmed; 80% where nothing is said
//!   - {name: drop-off, flies: 6, tied: 2, depth: 3 m}   # two of the six are in the box already
//! outings:                                     # more needs, by outing; all share one stock and what is bought
//!   - {name: evening, target: {water: 14 C}, needs: [{name: shallows, flies: 3, depth: 0.5 m}]}
//! options: {certainty: 90%, recipes: 4, hooks: 1, beads: 2, foams: 2}   # or, in place of a certainty, spares: 1
//!                                             # without a budget, each_recipe: 0.50 and each_part: 0.20 count so much on top
//! budget: 45
//! owned:
//!   - {kind: hook, id: jig60-8, count: 10}
//! ```

use super::problem::{Limits, OnTop};
pub use super::raw::schema;
use super::raw::{RawBox, RawNeed, RawOptions, rows};
use super::tying::{RawRightness, Tying, rightness};
use crate::catalog::Catalog;
use crate::document::{Diagnostics, Document, Path, Source};
use crate::purchase::{Allowance, Amounts};
use crate::quantity::{Length, Microns, Money, Share};
use crate::stock::read_rows;
use crate::wanted::{Assumption, Target, TargetError, TargetSpec};

/// Most flies of one need that are to come out right, spares included.
pub const MOST_FLIES: u32 = 1000;
/// Most needs of one box.
pub const MOST_NEEDS: usize = 100;
/// Most that one different thing may count on top.
pub const MOST_ON_TOP: Money = Money::from_micros(1_000_000_000);

/// One need: so many flies that meet a target.
#[derive(Debug, Clone, PartialEq)]
pub struct BoxNeed {
    /// What the guide calls it.
    pub name: String,
    /// Flies that are to come out right.
    pub right: u32,
    /// How many are tied for that.
    pub tying: Tying,
    /// Fewest right flies where the budget does not pay for all.
    pub least: u32,
    /// What each must do.
    pub target: Target,
}

impl BoxNeed {
    /// A need of its own for each dressing that is asked, of as many flies; each must do with the others, too, what the need asks,
    /// so that any base of one is a base of all.
    fn in_each_dressing(self) -> Vec<Self> {
        if self.target.choice.each.is_empty() {
            return vec![self];
        }
        let dressed = |id: &str| {
            let mut need = self.clone();
            need.name = format!("{} in {id}", self.name);
            id.clone_into(&mut need.target.choice.dressing);
            need
        };
        self.target.choice.dressings().into_iter().map(dressed).collect()
    }

    /// What a plan counts: right flies, or, where spares are stated, flies with them.
    #[must_use]
    pub fn flies_wanted(&self) -> u32 {
        match self.tying {
            Tying::Spares(spares) if self.right > 0 => self.right + spares,
            Tying::Spares(_) | Tying::Sure(_) => self.right,
        }
    }
}

/// A box that makes sense.
#[derive(Debug, Clone, PartialEq)]
pub struct BoxOrder {
    /// What the guide calls it.
    pub name: String,
    /// Needs, in the order of the file.
    pub needs: Vec<BoxNeed>,
    /// How many different things it may hold.
    pub limits: Limits,
    /// Most that may be spent.
    pub budget: Option<Money>,
    /// What is there already.
    pub owned: Amounts,
    /// What is lost at the bench.
    pub allowance: Allowance,
    /// What each different thing counts on top of what is paid.
    pub on_top: OnTop,
    /// What was assumed for all needs or for some.
    pub assumptions: Vec<Assumption>,
}

impl BoxOrder {
    /// Whether it matters how many different recipes there are, beyond plans of equal outlay.
    #[must_use]
    pub fn counts_recipes(&self) -> bool {
        self.limits.recipes.is_some() || self.on_top.recipe > Money::ZERO
    }

    /// Reads a box.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn read(source: &Source, catalog: &Catalog) -> Result<Self, Diagnostics> {
        Self::read_over(source, catalog, &TargetSpec::default())
    }

    /// The same, with what is usual where the file says nothing.
    ///
    /// # Errors
    /// As [`Self::read`].
    pub fn read_over(source: &Source, catalog: &Catalog, usual: &TargetSpec) -> Result<Self, Diagnostics> {
        let document = Document::open(source)?;
        let (raw, mut faults) = document.decode::<RawBox>();
        let raw = raw.unwrap_or_default();
        if !faults.is_empty() {
            return Err(faults);
        }
        let reader = Reader { document: &document, catalog, usual };
        let needs = reader.needs(&raw, &mut faults);
        reader.rightness(&raw, &mut faults);
        let limits = reader.limits(&raw.options, &mut faults);
        let allowance = reader.allowance(&raw.options, &mut faults);
        let on_top = reader.on_top(&raw, &mut faults);
        let root = Path::root();
        if raw.budget.is_some_and(|budget| budget < Money::ZERO) {
            faults.push(document.problem(&root.key("budget"), "the budget is below zero"));
        }
        let owned = read_rows(&document, &root.key("owned"), &raw.owned, catalog, &mut faults);
        let (needs, assumptions): (Vec<BoxNeed>, Vec<Vec<Assumption>>) = needs.into_iter().unzip();
        faults.or(Self {
            name: raw.name.unwrap_or_else(|| "box".to_owned()),
            needs,
            limits,
            budget: raw.budget,
            owned,
            allowance,
            on_top,
            assumptions: merged(&assumptions),
        })
    }
}

/// Every assumption once, in the order in which needs made them.
fn merged(lists: &[Vec<Assumption>]) -> Vec<Assumption> {
    let mut all: Vec<Assumption> = Vec::new();
    for assumption in lists.iter().flatten() {
        if !all.contains(assumption) {
            all.push(assumption.clone());
        }
    }
    all
}

struct Reader<'d> {
    document: &'d Document,
    catalog: &'d Catalog,
    usual: &'d TargetSpec,
}

impl Reader<'_> {
    fn needs(&self, raw: &RawBox, faults: &mut Diagnostics) -> Vec<(BoxNeed, Vec<Assumption>)> {
        let rows = rows(raw);
        if rows.is_empty() || rows.len() > MOST_NEEDS {
            let text = format!("the box has {} needs; it takes 1 to {MOST_NEEDS}", rows.len());
            faults.push(self.document.problem(&Path::root().key("needs"), text));
        }
        let mut needs = Vec::new();
        for (index, (path, row)) in rows.iter().enumerate() {
            if rows[..index].iter().any(|(_, known)| known.name == row.name) {
                let text = format!("`{}` is the name of another need", row.name);
                faults.push(self.document.problem(&path.key("name"), text).help("give each need a name of its own"));
            }
            needs.extend(self.need(raw, row, path, faults).into_iter().flatten());
        }
        needs
    }

    fn need(
        &self,
        raw: &RawBox,
        row: &RawNeed,
        path: &Path,
        faults: &mut Diagnostics,
    ) -> Option<Vec<(BoxNeed, Vec<Assumption>)>> {
        // What is tied already, and right, needs no tying; a need that is full needs no spares.
        let right = row.flies.saturating_sub(row.tied);
        let most = right.saturating_add(raw.options.spares.unwrap_or(0));
        if row.flies == 0 || most > MOST_FLIES {
            let text = format!("{most} flies with spares; 1 to {MOST_FLIES} makes sense");
            faults.push(self.document.problem(&path.key("flies"), text));
            return None;
        }
        if row.least > row.flies {
            let text = format!("at least {} of {} flies", row.least, row.flies);
            faults.push(self.document.problem(&path.key("least"), text).help("`least` is at most `flies`"));
            return None;
        }
        let mut own = row.target.clone();
        if let Some(depth) = row.depth {
            if own.depth.is_some() {
                let problem = self.document.problem(&path.key("depth"), "the depth is given twice");
                faults.push(problem.help("keep this one, and drop it from `target`"));
                return None;
            }
            own.depth = Some(depth);
        }
        if let Some(within) = row.within {
            let Some(deep) = own.depth.or(raw.target.depth).and_then(|depth| depth.high()) else {
                let problem = self.document.problem(&path.key("within"), "`within` needs a depth to get down to");
                faults.push(problem.help("add `depth: 2 m`, or a range of depths: it is the deeper end that counts"));
                return None;
            };
            if own.reach.is_some() || own.within.is_some() {
                let problem = self.document.problem(&path.key("within"), "the time to a depth is given twice");
                faults.push(problem.help("keep this one, and drop `reach` and `within` from `target`"));
                return None;
            }
            own.reach = Some(deep);
            own.within = Some(within);
        }
        match self.usual.clone().overridden_by(raw.target.clone()).overridden_by(own).resolve(self.catalog) {
            Ok((target, mut assumptions)) => {
                let stated = RawRightness {
                    min_chance: row.min_chance.or(raw.options.min_chance),
                    as_tied: row.as_tied.or(raw.options.as_tied),
                    certainty: row.certainty.or(raw.options.certainty),
                    spares: raw.options.spares,
                };
                let least = row.least.saturating_sub(row.tied);
                let (share, tying) = rightness(&stated, &target, &mut assumptions);
                let target = Target { share, ..target };
                let need = BoxNeed { name: row.name.clone(), right, tying, least, target };
                Some(need.in_each_dressing().into_iter().map(|need| (need, assumptions.clone())).collect())
            }
            Err(error) => {
                faults.push(error.problem(self.document, &self.place(raw, row, path, &error)));
                None
            }
        }
    }

    /// Where a target that makes no sense says so: a fault of the shared target alone is shown there.
    fn place(&self, raw: &RawBox, row: &RawNeed, path: &Path, error: &TargetError) -> Path {
        match raw.target.resolve(self.catalog) {
            Err(shared) if shared == *error => Path::root().key("target"),
            _ => error.key().filter(|key| ["depth", "within"].contains(key)).map_or_else(
                || path.key("target"),
                |key| if row.target_states(key) { path.key("target") } else { path.clone() },
            ),
        }
    }

    /// A certainty is nothing where spares are counted, and less than the whole.
    fn rightness(&self, raw: &RawBox, faults: &mut Diagnostics) {
        let options = Path::root().key("options");
        let mut of = |path: &Path, certainty: Option<Share>| {
            let Some(certainty) = certainty else { return };
            if certainty.0 <= 0.0 || certainty.0 >= 1.0 {
                let problem = self.document.problem(&path.key("certainty"), "a certainty lies between 0% and 100%");
                faults.push(problem.help("like 90%"));
            } else if raw.options.spares.is_some() {
                let text = "the number of flies follows from `spares` already";
                faults.push(self.document.problem(&path.key("certainty"), text).help("keep one of them"));
            }
        };
        of(&options, raw.options.certainty);
        rows(raw).iter().for_each(|(path, row)| of(path, row.certainty));
    }

    fn limits(&self, options: &RawOptions, faults: &mut Diagnostics) -> Limits {
        let path = Path::root().key("options");
        // No beads, or no foam, makes sense.
        if options.recipes == Some(0) {
            faults.push(self.document.problem(&path.key("recipes"), "a box of no recipes holds nothing"));
        }
        Limits { recipes: options.recipes, hooks: options.hooks, beads: options.beads, foams: options.foams }
    }

    /// A wish has a price; a budget is of money that is spent, and does not know of wishes.
    fn on_top(&self, raw: &RawBox, faults: &mut Diagnostics) -> OnTop {
        let options = Path::root().key("options");
        let mut of = |key: &str, given: Option<Money>| {
            let Some(price) = given else { return Money::ZERO };
            let path = options.key(key);
            if price < Money::ZERO || price > MOST_ON_TOP {
                let text = format!("{key} is {price}; 0 to {MOST_ON_TOP} makes sense");
                faults.push(self.document.problem(&path, text));
            } else if price > Money::ZERO && raw.budget.is_some() {
                let text = format!("`{key}` and `budget` do not go together");
                let help = "a budget buys as many flies as it can; limit them by `recipes`, `hooks`, `beads`, `foams`";
                faults.push(self.document.problem(&path, text).help(help));
            }
            price.max(Money::ZERO)
        };
        OnTop { recipe: of("each_recipe", raw.options.each_recipe), part: of("each_part", raw.options.each_part) }
    }

    fn allowance(&self, options: &RawOptions, faults: &mut Diagnostics) -> Allowance {
        let usual = Allowance::default();
        let mut length = |key: &str, given: Option<Length>, usual: Microns| {
            let Some(length) = given else { return usual };
            let fits = (0.0..=500.0).contains(&length.mm());
            match Microns::from_length(length) {
                Ok(length) if fits => length,
                _ => {
                    let path = Path::root().key("options").key(key);
                    let text = format!("{key} is {length}; 0 to 500 mm makes sense");
                    faults.push(self.document.problem(&path, text));
                    usual
                }
            }
        };
        Allowance {
            kerf: length("kerf", options.kerf, usual.kerf),
            wire_ends: length("wire_ends", options.wire_ends, usual.wire_ends),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Problem;
    use crate::physics::water::Water;

    fn read(text: &str) -> Result<BoxOrder, Diagnostics> {
        BoxOrder::read(&Source::new("box.yaml", text), &Catalog::built_in().unwrap())
    }

    #[test]
    fn needs_inherit_and_override() {
        let text = "
target: {size: 8, pattern: slim-nymph, depth: 2 m}
needs:
  - {name: a, flies: 3}
  - {name: b, flies: 5, depth: 1..1.5 m, within: 9 s, target: {size: [10, 12], lead_free: true}}
options: {spares: 1, beads: 2}
budget: 45
owned: [{kind: bead, id: brass-2.5, count: 7}]
";
        let order = read(text).unwrap_or_else(|e| panic!("{e}"));
        let [a, b] = order.needs.as_slice() else { panic!("two needs") };
        assert_eq!((a.flies_wanted(), b.flies_wanted()), (4, 6));
        assert_eq!((a.target.conditions.depth, a.target.fall.reach), (2.0, None));
        let reach = b.target.fall.reach.unwrap();
        assert_eq!((b.target.fall.shallow, reach.depth, reach.within), (Some(1.0), 1.5, 9.0));
        assert_eq!(b.target.choice.sizes, [10, 12]);
        assert!(b.target.choice.lead_free && !a.target.choice.lead_free);
        assert_eq!(b.target.choice.dressing, "slim-nymph");
        assert_eq!(order.limits, Limits { beads: Some(2), ..Limits::default() });
        assert_eq!(order.budget, Some("45".parse().unwrap()));
    }

    #[test]
    fn several_dressings_are_a_need_each_on_bases_that_do_in_all() {
        let text =
            "needs: [{name: a, flies: 5, tied: 2, target: {each_pattern: [shrimp, slim-nymph]}}, {name: b, flies: 1}]";
        let order = read(text).unwrap_or_else(|e| panic!("{e}"));
        let said: Vec<(&str, u32)> = order.needs.iter().map(|n| (n.name.as_str(), n.right)).collect();
        assert_eq!(said, [("a in shrimp", 3), ("a in slim-nymph", 3), ("b", 1)]);
        for (need, own) in order.needs.iter().zip(["shrimp", "slim-nymph", "fur-leech"]) {
            assert_eq!(need.target.choice.dressing, own);
        }
        assert_eq!(order.needs[1].target.choice.dressings(), ["shrimp", "slim-nymph"]);
        assert!(order.needs[2].target.choice.each.is_empty());
    }

    #[test]
    fn the_usual_water_lies_under_the_box() {
        let usual = TargetSpec { water: Some("5 C".parse().unwrap()), ..TargetSpec::default() };
        let water = |shared: &str| {
            let text = format!("{shared}needs: [{{name: a, flies: 2, target: {{size: [8]}}}}]\n");
            let source = Source::new("box.yaml", &text);
            let order = BoxOrder::read_over(&source, &Catalog::built_in().unwrap(), &usual).unwrap();
            order.needs[0].target.conditions.water
        };
        assert_eq!(water(""), Water::new(5.0, 0.0).unwrap());
        assert_eq!(water("target: {water: 9 C}\n"), Water::new(9.0, 0.0).unwrap());
    }

    #[test]
    fn outings_share_a_box_and_what_is_tied_counts() {
        let text = "
target: {size: 8, pattern: slim-nymph}
needs: [{name: a, flies: 5, tied: 2}, {name: b, flies: 2, tied: 2}]
outings: [{name: evening, target: {size: 12, depth: 2 m}, needs: [{name: a, flies: 3, depth: 1 m, target: {lead_free: true}}]}]
options: {spares: 1, hooks: 2, each_recipe: 0.50, each_part: 0.2}
";
        let order = read(text).unwrap_or_else(|e| panic!("{e}"));
        let said: Vec<(&str, u32)> = order.needs.iter().map(|n| (n.name.as_str(), n.flies_wanted())).collect();
        assert_eq!(said, [("a", 4), ("b", 0), ("evening: a", 4)]);
        let evening = &order.needs[2].target;
        assert!(evening.choice.sizes == [12] && evening.choice.lead_free && evening.conditions.depth == 1.0);
        assert_eq!(order.limits.hooks, Some(2));
        assert_eq!(order.on_top.of(3, 5), Money::from_micros(3 * 500_000 + 5 * 200_000));
    }

    #[test]
    fn a_wish_has_a_price_and_no_budget() {
        let said = |more: &str| {
            let text = format!("needs: [{{name: a, flies: 1, target: {{size: 8, pattern: slim-nymph}}}}]\n{more}\n");
            read(&text).map_or_else(|faults| faults.to_string(), |_| String::new())
        };
        assert_eq!(said("options: {each_part: 0}\nbudget: 9"), "");
        assert!(said("options: {each_part: 0.1}\nbudget: 9").contains("`each_part` and `budget` do not go together"));
        assert!(said("options: {each_recipe: -1}").contains("each_recipe is -1.00; 0 to 1000.00 makes sense"));
    }

    #[test]
    fn says_what_is_wrong_and_where() {
        let text = "
needs:
  - {name: a, flies: 0}
  - {name: a, flies: 3, depth: 90 m}
  - {name: c, flies: 3, within: 4 s}
  - {name: d, flies: 3, depth: 1 m, target: {depth: 2 m}}
  - {name: e, flies: 3, target: {pattern: fur-lech}}
options: {recipes: 0, kerf: 2 m}
budget: -3
owned: [{kind: bead, id: brass-2.55, count: 7}]
";
        let faults = read(text).unwrap_err();
        let lines: Vec<(usize, String)> =
            faults.iter().map(|p| (p.location().map_or(0, |at| at.line), Problem::message(p))).collect();
        let expected = [
            (3, "0 flies"),
            (4, "is the name of another need"),
            (4, "`depth` is 90 m"),
            (5, "needs a depth"),
            (6, "given twice"),
            (7, "no dressing `fur-lech`"),
            (8, "holds nothing"),
            (8, "kerf is 2 m"),
            (9, "below zero"),
            (10, "no bead `brass-2.55`"),
        ];
        assert_eq!(lines.len(), expected.len(), "{lines:#?}");
        for ((line, message), (at, part)) in lines.iter().zip(expected) {
            assert!(*line == at && message.contains(part), "{line}: {message}");
        }
        assert!(read("needs: []").unwrap_err().to_string().contains("takes 1 to 100"));
    }
}
