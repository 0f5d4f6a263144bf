//! One base, several dressings: a hook, bead, wire and foam that must meet the target under each of them.

use super::{Choice, Target, TargetError, TargetSpec};
use crate::catalog::Catalog;
use crate::fly::Fly;
use crate::part::{Dressing, Kind};
use std::sync::Arc;

/// Most dressings of one base: each is judged, and its share worked out, for every recipe that the others let through.
pub const MOST_DRESSINGS: usize = 8;

impl Choice {
    /// The dressings that a base must meet the target under, by id: one, unless several are asked.
    #[must_use]
    pub fn dressings(&self) -> Vec<&str> {
        match self.each.as_slice() {
            [] => vec![&self.dressing],
            each => each.iter().map(|dressing| dressing.row.id.as_str()).collect(),
        }
    }

    /// The same choice without one of several dressings; nothing changes where it has one alone.
    #[must_use]
    pub fn without_dressing(&self, index: usize) -> Self {
        let mut fewer = self.clone();
        if fewer.each.len() > 1 && index < fewer.each.len() {
            fewer.each.remove(index);
            fewer.dressing.clone_from(&fewer.each[0].row.id);
            fewer.each = if fewer.each.len() > 1 { fewer.each } else { Vec::new() };
        }
        fewer
    }
}

impl Target {
    /// The same asked of a base under one dressing alone.
    #[must_use]
    pub fn under(&self, dressing: &str) -> Self {
        let choice = Choice { dressing: dressing.to_owned(), each: Vec::new(), ..self.choice.clone() };
        Self { choice, ..self.clone() }
    }

    /// The base of a fly under each dressing that is asked besides its own.
    pub fn also<'f>(&'f self, fly: &Fly<'f>) -> impl Iterator<Item = Fly<'f>> + use<'f> {
        let fly = *fly;
        let others = self.choice.each.iter().filter(move |dressing| dressing.row.id != fly.dressing.row.id);
        others.map(move |dressing| Fly { dressing, ..fly })
    }

    /// The least that a base has of something over all dressings that are asked, its own first; `None` where it has none of it
    /// under one of them.
    pub fn least_under_each<'f>(&'f self, fly: &Fly<'f>, of: impl Fn(&Fly<'f>) -> Option<f64>) -> Option<f64> {
        self.also(fly).try_fold(of(fly)?, |least, other| Some(of(&other)?.min(least)))
    }
}

impl TargetSpec {
    /// The dressings asked for, in the order in which they are named: none where that is left to the default.
    ///
    /// # Errors
    /// A dressing that the catalog does not hold, one named twice, too many, or both keys at once.
    pub(super) fn dressings(&self, catalog: &Catalog) -> Result<Vec<Arc<Dressing>>, TargetError> {
        const EACH: &str = "each-pattern";
        let (key, ids) = match (&self.pattern, self.each_pattern.as_slice()) {
            (Some(_), [_, ..]) => return Err(TargetError::NotBoth { key: EACH, other: "pattern" }),
            (Some(one), []) => ("pattern", std::slice::from_ref(one)),
            (None, each) => (EACH, each),
        };
        if ids.len() > MOST_DRESSINGS {
            return Err(TargetError::TooMany { key, count: ids.len(), most: MOST_DRESSINGS });
        }
        let mut found: Vec<Arc<Dressing>> = Vec::new();
        for id in ids {
            if found.iter().any(|known| known.row.id == *id) {
                return Err(TargetError::Twice { key, id: id.clone() });
            }
            match catalog.dressing(id) {
                Some(dressing) => found.push(Arc::new(dressing.clone())),
                None => return Err(unknown(key, id, catalog)),
            }
        }
        Ok(found)
    }
}

fn unknown(key: &'static str, id: &str, catalog: &Catalog) -> TargetError {
    let ids: Vec<&str> = id.split(',').map(str::trim).collect();
    if ids.len() > 1 && ids.iter().all(|id| catalog.dressing(id).is_some()) {
        return TargetError::Several { key, ids: ids.join(",") };
    }
    let suggestion = catalog.suggest(Kind::Dressing, id).map(str::to_owned);
    TargetError::UnknownPart { key, kind: Kind::Dressing, id: id.to_owned(), suggestion }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn resolved(text: &str) -> Result<Target, TargetError> {
        let catalog = Catalog::built_in().unwrap();
        crate::yaml::from_str::<TargetSpec>(text).unwrap().resolve(&catalog).map(|(target, _)| target)
    }

    #[test]
    fn one_is_what_it_always_was_and_several_are_each_asked() {
        let one = resolved("{size: 8, pattern: slim-nymph}").unwrap();
        assert_eq!(resolved("{size: 8, each_pattern: slim-nymph}").unwrap(), one);
        assert_eq!((one.choice.dressings(), one.choice.each.len()), (vec!["slim-nymph"], 0));
        let two = resolved("{size: 8, each_pattern: [slim-nymph, fur-leech]}").unwrap();
        assert_eq!(
            (two.choice.dressing.as_str(), two.choice.dressings()),
            ("slim-nymph", vec!["slim-nymph", "fur-leech"])
        );
        assert_eq!(two.under("slim-nymph"), one);
        let without = |index| two.choice.without_dressing(index).dressings().join(" ");
        assert_eq!([without(0), without(1), without(2)], ["fur-leech", "slim-nymph", "slim-nymph fur-leech"]);
        assert_eq!(one.choice.without_dressing(0), one.choice);
    }

    #[test]
    fn a_fly_is_dressed_anew_in_every_other_pattern() {
        let catalog = Catalog::built_in().unwrap();
        let target = resolved("{each_pattern: [slim-nymph, fur-leech, shrimp]}").unwrap();
        let fly = Fly {
            hook: &catalog.hooks[0],
            dressing: catalog.dressing("fur-leech").unwrap(),
            bead: None,
            wraps: None,
            foam: None,
        };
        let also: Vec<&str> = target.also(&fly).map(|other| other.dressing.row.id.as_str()).collect();
        assert_eq!(also, ["slim-nymph", "shrimp"]);
    }

    #[test]
    fn lists_that_make_no_sense_say_what_would() {
        let said = |text: &str| {
            let error = resolved(text).unwrap_err();
            format!("{error}; {}", error.remedy().unwrap_or_default())
        };
        for (text, expected) in [
            ("{each_pattern: [slim-nymph, fur-lech]}", "no dressing `fur-lech`; did you mean `fur-leech`?"),
            ("{each_pattern: [shrimp, bare, shrimp]}", "`each-pattern` names `shrimp` twice"),
            ("{pattern: bare, each_pattern: [shrimp]}", "`each-pattern` and `pattern` both name dressings"),
            ("{pattern: 'bare,shrimp'}", "one base that does it under each of them is asked for with `each-pattern`"),
            ("{each_pattern: [a, b, c, d, e, f, g, h, i]}", "names 9; at most 8"),
        ] {
            assert!(said(text).contains(expected), "{text}: {}", said(text));
        }
    }
}
