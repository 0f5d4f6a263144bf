//! What parts differ in: an attribute of one kind of part, and the values that a catalog offers for it.

use super::FilterError;
use super::Target;
use super::filter::{Attribute, Filter, part_colours, part_materials, part_sizes, subject};
use crate::catalog::Catalog;
use crate::part::{Cut, HookStyle, Kind};
use crate::recipe::Seat;

/// An attribute of one kind of part, like `bead.material`.
#[derive(Debug, Clone, PartialEq)]
pub struct Facet {
    /// The text that it was read from.
    pub text: String,
    kind: Kind,
    attribute: Attribute,
}

impl Facet {
    /// Reads `KIND.ATTRIBUTE`; a kind alone means its ids.
    ///
    /// # Errors
    /// Says which word is wrong and what would be right.
    pub fn parse(text: &str) -> Result<Self, FilterError> {
        let (kind, attribute) = subject(text, text.trim())?;
        Ok(Self { text: text.trim().to_owned(), kind, attribute })
    }

    /// The values that there are, of colours each that any part is sold in: words in the order of the catalog, sizes from small to large, and `none` last for a kind
    /// that a fly can do without. Of hooks only those that the target allows.
    #[must_use]
    pub fn values(&self, catalog: &Catalog, target: &Target) -> Vec<String> {
        let mut values = Vec::new();
        for value in self.every(catalog, target) {
            if !values.contains(&value) {
                values.push(value);
            }
        }
        if !matches!(self.kind, Kind::Hook | Kind::Dressing) {
            values.push("none".to_owned());
        }
        values
    }

    /// The target with this attribute held to one of [`Self::values`].
    ///
    /// # Errors
    /// The value means nothing for this attribute.
    pub fn hold(&self, target: &Target, value: &str) -> Result<Target, FilterError> {
        let mut held = target.clone();
        let filter = Filter::parse(&format!("{}={value}", self.text), true)?;
        if self.kind == Kind::Dressing {
            value.clone_into(&mut held.choice.dressing);
            held.choice.each.clear();
        } else {
            held.choice.filters.push(filter);
            held.choice.held += 1;
        }
        Ok(held)
    }

    fn every(&self, catalog: &Catalog, target: &Target) -> Vec<String> {
        match self.attribute {
            Attribute::Id if self.kind == Kind::Hook => {
                catalog.hooks.iter().filter(|h| target.choice.allows(h)).map(|h| h.row.id.clone()).collect()
            }
            Attribute::Id => catalog.rows(self.kind).into_iter().map(|row| row.id.clone()).collect(),
            Attribute::Material => self.materials(catalog, target),
            Attribute::Size => self.sizes(catalog, target),
            Attribute::Style => {
                let styles = HookStyle::ALL.into_iter();
                let used = |s: &HookStyle| catalog.hooks.iter().any(|h| h.style == *s && target.choice.allows(h));
                styles.filter(used).map(|s| s.word().to_owned()).collect()
            }
            Attribute::Mount => vec!["eye".to_owned(), "pin".to_owned()],
            Attribute::Cut => Cut::ALL.map(|c| c.word().to_owned()).into(),
            Attribute::Colour => part_colours(catalog, self.kind),
            Attribute::Seat => Seat::ALL.map(|s| s.word().to_owned()).into(),
        }
    }

    fn materials(&self, catalog: &Catalog, target: &Target) -> Vec<String> {
        match self.kind {
            Kind::Hook => {
                let hooks = catalog.hooks.iter().filter(|h| target.choice.allows(h));
                hooks.map(|h| h.material.id.clone()).collect()
            }
            kind => part_materials(catalog, kind),
        }
    }

    fn sizes(&self, catalog: &Catalog, target: &Target) -> Vec<String> {
        if self.kind == Kind::Hook {
            let mut sizes: Vec<u8> = catalog.hooks.iter().filter(|h| target.choice.allows(h)).map(|h| h.size).collect();
            sizes.sort_unstable_by(|a, b| b.cmp(a));
            return sizes.into_iter().map(|s| s.to_string()).collect();
        }
        let mut sizes = part_sizes(catalog, self.kind);
        sizes.sort_by(f64::total_cmp);
        // Hundredths of a millimetre: filters take sizes to that.
        sizes.into_iter().map(|metres| format!("{}mm", (metres * 1e5).round() / 100.0)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wanted::TargetSpec;

    #[test]
    fn every_part_has_exactly_one_of_the_values() {
        let catalog = Catalog::built_in().unwrap();
        let target = TargetSpec { size: vec![8, 10], ..TargetSpec::default() }.resolve(&catalog).unwrap().0;
        for text in ["bead.material", "bead.size", "bead"] {
            let facet = Facet::parse(text).unwrap();
            let held: Vec<Target> =
                facet.values(&catalog, &target).iter().map(|v| facet.hold(&target, v).unwrap()).collect();
            for bead in &catalog.beads {
                let fits = held.iter().filter(|t| t.choice.filters[0].passes_bead(bead, "eye")).count();
                assert_eq!(fits, 1, "{text}: {}", bead.row.id);
            }
        }
        for text in ["wire.size", "wire.material"] {
            let facet = Facet::parse(text).unwrap();
            let held: Vec<Target> =
                facet.values(&catalog, &target).iter().map(|v| facet.hold(&target, v).unwrap()).collect();
            for wire in &catalog.wires {
                assert_eq!(held.iter().filter(|t| t.choice.filters[0].passes_wire(Some(wire))).count(), 1, "{text}");
            }
            assert_eq!(held.iter().filter(|t| t.choice.filters[0].passes_wire(None)).count(), 1, "{text}");
        }
        assert_eq!(Facet::parse("hook.size").unwrap().values(&catalog, &target), ["10", "8"]);
        assert!(Facet::parse("bead.shine").is_err() && Facet::parse("beed").is_err());
    }
}
