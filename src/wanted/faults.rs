//! All that is wrong with a stated target, not only the first of it.

use super::{Filter, TargetError, TargetSpec};
use crate::catalog::Catalog;

impl TargetSpec {
    /// Every fault: each is found with what was at fault before it left out. Empty where the target makes sense.
    #[must_use]
    pub fn faults(&self, catalog: &Catalog) -> Vec<TargetError> {
        let mut faults = Vec::new();
        let mut spec = self.clone();
        for (list, keep) in [(&mut spec.only, true), (&mut spec.not, false)] {
            list.retain(|text| match Filter::parse(text, keep).and_then(|filter| filter.check(catalog)) {
                Ok(_) => true,
                Err(fault) => {
                    faults.push(fault.into());
                    false
                }
            });
        }
        while let Err(fault) = spec.resolve(catalog) {
            let left_out = fault.key().is_some_and(|key| spec.leave_out(key));
            faults.push(fault);
            if !left_out {
                break;
            }
        }
        faults
    }

    /// Takes one key away; `false` where there was nothing to take.
    fn leave_out(&mut self, key: &str) -> bool {
        macro_rules! taken {
            ($($name:literal $field:ident),+ $(,)?) => {
                match key {
                    "size" => !std::mem::take(&mut self.size).is_empty(),
                    "each-pattern" => !std::mem::take(&mut self.each_pattern).is_empty(),
                    "style" => !std::mem::take(&mut self.style).is_empty(),
                    $($name => self.$field.take().is_some(),)+
                    _ => false,
                }
            };
        }
        taken!(
            "hook" hook, "pattern" pattern, "hang" hang, "tolerance" tolerance, "rides" rides, "sink" sink, "line" line,
            "reach" reach, "within" within, "dive" dive, "slack" slack, "depth" depth, "water" water, "state" state,
            "salinity" salinity, "knot" knot, "tippet" tippet, "max-friction-band" max_friction_band, "max-mass" max_mass, "max-cost" max_cost,
            "clear-gap" clear_gap, "friction" friction, "foam-step" foam_step, "wrap-step" wrap_step,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Length;

    #[test]
    fn all_faults_are_found() {
        let catalog = Catalog::built_in().unwrap();
        let faults = |text: &str| crate::yaml::from_str::<TargetSpec>(text).unwrap().faults(&catalog);
        let text = "{depth: 90 m, water: 60 C, tolerance: 0 deg, hang: 100 deg, hook: no-such, max_mass: 0 g, max_cost: 0,
            style: [jigg], only: [bead=tungten-3.5, wire=none, foo=1], sink: 900 m/s, clear_gap: 3, knot: tight, foam_step: 0 mm,
            reach: 3 m, each_pattern: [shrimp, fur-lech], dive: 900 deg, line: loose}";
        let found = faults(text);
        let keys: Vec<&str> = found.iter().filter_map(TargetError::key).collect();
        for key in [
            "depth",
            "water",
            "tolerance",
            "hang",
            "hook",
            "max-mass",
            "max-cost",
            "style",
            "sink",
            "clear-gap",
            "knot",
            "foam-step",
            "reach",
            "each-pattern",
            "dive",
            "line",
        ] {
            assert_eq!(keys.iter().filter(|k| **k == key).count(), 1, "{key}: {found:#?}");
        }
        assert_eq!(found.len(), keys.len() + 2, "and two filters: {found:#?}");
        assert!(faults("{size: 8}").is_empty());
        // A step that is no cut at all names no key, and ends the list.
        let spec = TargetSpec { foam_step: Some(Length::from_m(1e9)), ..TargetSpec::default() };
        assert_eq!(spec.faults(&catalog).len(), 1);
    }
}
