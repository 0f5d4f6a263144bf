//! The parts that can be bought: the built-in catalog, and files of one's own on top of it.
//!
//! A catalog file is YAML with any of the keys `currency`, `materials`, `hooks`, `beads`, `pins`, `wires`, `foams`,
//! `dressings`. The built-in files are compiled in, so the program works in any folder. A row of a later file replaces
//! what it gives of the row of the same kind and id, and takes over the rest; rows with new ids are added, and need not
//! give what is usual ([`Filled`]). Figures may carry any unit. One's own files must agree on one currency; the built-in
//! prices, which are invented, are taken in it.
//!
//! ```
//! use counterpoise::catalog::Catalog;
//! use counterpoise::document::Source;
//!
//! let mine = Source::new("mine.yaml", r#"
//! materials:
//!   - {id: my-alloy, name: Alloy of my beads, density_g_cm3: 16.9, density_sd_g_cm3: 0.1,
//!      provenance: {source: weighed in water, how: measured}}
//! "#);
//! let catalog = Catalog::with_overlays(&[mine])?;
//! assert_eq!(catalog.material("my-alloy").unwrap().density_kg_m3, 16_900.0);
//! assert_eq!(catalog.hook("jig60-12").unwrap().size, 12);
//! # Ok::<(), counterpoise::document::Diagnostics>(())
//! ```

mod append;
mod carry;
mod check;
mod complete;
mod detail;
mod digest;
mod load;
pub mod portion;
mod raw;
mod schema;
mod validate;

pub use append::with_row;
pub use complete::Filled;
pub use detail::Field;
pub use digest::fnv;
pub use schema::schema;

use crate::document::{Diagnostics, Source, closest};
use crate::material::Material;
use crate::part::{Bead, Dressing, Foam, Hook, Kind, Pin, Row, Wire};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The built-in files, under the names that messages use.
const BUILT_IN: [(&str, &str); 7] = [
    ("catalogs/materials.yaml", include_str!("../../catalogs/materials.yaml")),
    ("catalogs/hooks.yaml", include_str!("../../catalogs/hooks.yaml")),
    ("catalogs/beads.yaml", include_str!("../../catalogs/beads.yaml")),
    ("catalogs/pins.yaml", include_str!("../../catalogs/pins.yaml")),
    ("catalogs/wires.yaml", include_str!("../../catalogs/wires.yaml")),
    ("catalogs/foams.yaml", include_str!("../../catalogs/foams.yaml")),
    ("catalogs/dressings.yaml", include_str!("../../catalogs/dressings.yaml")),
];

/// Validated parts, each list in the order of its ids.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalog {
    /// Currency of all prices.
    pub currency: String,
    /// Currency that files of one's own name.
    own_currency: Option<String>,
    /// Materials.
    pub materials: Vec<Arc<Material>>,
    /// Hooks.
    pub hooks: Vec<Hook>,
    /// Beads.
    pub beads: Vec<Bead>,
    /// Pins.
    pub pins: Vec<Pin>,
    /// Wires.
    pub wires: Vec<Wire>,
    /// Foam stocks.
    pub foams: Vec<Foam>,
    /// Dressings.
    pub dressings: Vec<Dressing>,
    /// What rows of one's own did not give and were given.
    pub filled: Vec<Filled>,
    origins: BTreeMap<(Kind, String), String>,
}

macro_rules! by_id {
    ($($(#[$doc:meta])* $one:ident in $list:ident: $part:ty;)*) => {$(
        $(#[$doc])*
        #[must_use]
        pub fn $one(&self, id: &str) -> Option<&$part> {
            let at = self.$list.binary_search_by(|part| part.row.id.as_str().cmp(id)).ok()?;
            self.$list.get(at)
        }
    )*};
}

impl Catalog {
    /// The catalog that is compiled in.
    ///
    /// # Errors
    /// None for the files as shipped (a test holds them to that).
    pub fn built_in() -> Result<Self, Diagnostics> {
        Self::with_overlays(&[])
    }

    /// The built-in catalog with these files on top, later ones last.
    ///
    /// # Errors
    /// Everything that is wrong with any of the files.
    pub fn with_overlays(files: &[Source]) -> Result<Self, Diagnostics> {
        let built_in: Vec<Source> = BUILT_IN.iter().map(|(name, text)| Source::new(name, text)).collect();
        load::load(&built_in, files)
    }

    /// These files alone, without the built-in catalog.
    ///
    /// # Errors
    /// As [`Catalog::with_overlays`].
    pub fn from_files(files: &[Source]) -> Result<Self, Diagnostics> {
        load::load(&[], files)
    }

    /// The same prices under the name of another currency; they are not converted, so only invented ones may be renamed.
    ///
    /// # Errors
    /// The currency of one's own files, if it is another.
    pub fn priced_in(self, currency: &str) -> Result<Self, String> {
        match &self.own_currency {
            Some(own) if own != currency => Err(own.clone()),
            _ => Ok(Self { currency: currency.to_owned(), ..self }),
        }
    }

    /// The material with this id.
    #[must_use]
    pub fn material(&self, id: &str) -> Option<&Arc<Material>> {
        let at = self.materials.binary_search_by(|m| m.id.as_str().cmp(id)).ok()?;
        self.materials.get(at)
    }

    by_id! {
        /// The hook with this id.
        hook in hooks: Hook;
        /// The bead with this id.
        bead in beads: Bead;
        /// The pin with this id.
        pin in pins: Pin;
        /// The wire with this id.
        wire in wires: Wire;
        /// The foam stock with this id.
        foam in foams: Foam;
        /// The dressing with this id.
        dressing in dressings: Dressing;
    }

    /// Identity, pack and provenance of all parts of a kind, in the order of ids.
    #[must_use]
    pub fn rows(&self, kind: Kind) -> Vec<&Row> {
        match kind {
            Kind::Hook => self.hooks.iter().map(|p| &p.row).collect(),
            Kind::Bead => self.beads.iter().map(|p| &p.row).collect(),
            Kind::Pin => self.pins.iter().map(|p| &p.row).collect(),
            Kind::Wire => self.wires.iter().map(|p| &p.row).collect(),
            Kind::Foam => self.foams.iter().map(|p| &p.row).collect(),
            Kind::Dressing => self.dressings.iter().map(|p| &p.row).collect(),
        }
    }

    /// Identity, pack and provenance of one part.
    #[must_use]
    pub fn row(&self, kind: Kind, id: &str) -> Option<&Row> {
        match kind {
            Kind::Hook => self.hook(id).map(|p| &p.row),
            Kind::Bead => self.bead(id).map(|p| &p.row),
            Kind::Pin => self.pin(id).map(|p| &p.row),
            Kind::Wire => self.wire(id).map(|p| &p.row),
            Kind::Foam => self.foam(id).map(|p| &p.row),
            Kind::Dressing => self.dressing(id).map(|p| &p.row),
        }
    }

    /// The name of the file that a part comes from.
    #[must_use]
    pub fn origin(&self, kind: Kind, id: &str) -> Option<&str> {
        self.origins.get(&(kind, id.to_owned())).map(String::as_str)
    }

    /// An id of this kind that is spelled nearly like this one.
    #[must_use]
    pub fn suggest(&self, kind: Kind, id: &str) -> Option<&str> {
        closest(id, self.rows(kind).into_iter().map(|row| row.id.as_str()))
    }

    /// A material id that is spelled nearly like this one.
    #[must_use]
    pub fn suggest_material(&self, id: &str) -> Option<&str> {
        closest(id, self.materials.iter().map(|m| m.id.as_str()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_built_in_catalog_is_sound() {
        let catalog = Catalog::built_in().unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(catalog.currency, "EUR");
        for kind in Kind::ALL {
            let rows = catalog.rows(kind);
            assert!(!rows.is_empty(), "{kind}");
            assert!(rows.windows(2).all(|pair| pair[0].id < pair[1].id), "{kind} rows are not in the order of ids");
        }
    }

    #[test]
    fn finds_and_suggests() {
        let catalog = Catalog::built_in().unwrap();
        for kind in Kind::ALL {
            for row in catalog.rows(kind) {
                assert!(catalog.origin(kind, &row.id).unwrap().starts_with("catalogs/"));
                assert!(catalog.detail(kind, &row.id).is_some());
            }
        }
        assert_eq!(catalog.bead("tungsten-3.5").map(|b| b.diameter), Some(3.5e-3));
        assert_eq!(catalog.bead("tungsten-3.55"), None);
        assert_eq!(catalog.suggest(Kind::Bead, "tungten-3.5"), Some("tungsten-3.5"));
        assert_eq!(catalog.suggest_material("braas"), Some("brass"));
    }

    #[test]
    fn a_later_row_replaces_an_earlier_one() {
        let text = r#"
currency: EUR
beads:
  - {id: tungsten-3.5, name: Weighed, material: tungsten-alloy, diameter_mm: 3.45, diameter_sd_mm: 0.01, bore_mm: 1.2,
     measured_mass_mg: 310, mass_spread: 0.01, pack: {pieces: 20, price: 5}, provenance: {source: scale, how: measured}}
"#;
        let shipped = Catalog::built_in().unwrap();
        let mine = Catalog::with_overlays(&[Source::new("mine.yaml", text)]).unwrap();
        assert_eq!(mine.beads.len(), shipped.beads.len());
        assert_eq!(mine.bead("tungsten-3.5").unwrap().mass(), 310e-6);
        assert_eq!(mine.origin(Kind::Bead, "tungsten-3.5"), Some("mine.yaml"));
        assert_eq!(mine.bead("tungsten-3.3"), shipped.bead("tungsten-3.3"));
    }

    #[test]
    fn masses_of_bare_hooks_are_believable() {
        let catalog = Catalog::built_in().unwrap();
        for hook in &catalog.hooks {
            let mg = hook.mass() * 1e6;
            let wanted = match hook.size {
                16 => 20.0..30.0,
                14 => 30.0..45.0,
                12 => 40.0..70.0,
                10 => 70.0..105.0,
                8 => 90.0..150.0,
                6 => 150.0..220.0,
                4 => 220.0..310.0,
                2 => 330.0..460.0,
                _ => panic!("size {} is not shipped", hook.size),
            };
            assert!(wanted.contains(&mg), "{}: {mg} mg", hook.row.id);
        }
    }

    #[test]
    fn the_eye_stands_clear_above_every_moulded_ball() {
        let catalog = Catalog::built_in().unwrap();
        let heads = catalog.hooks.iter().filter_map(|h| h.head.as_ref().map(|head| (h, head)));
        for (hook, head) in heads {
            let needed = 0.5 * head.diameter() + hook.ring_rear();
            assert!(hook.neck_length >= needed, "{}", hook.row.id);
        }
        let eighth = catalog.hook("ball-jig-2-1-8oz-lead").unwrap().head.clone().unwrap();
        assert!((eighth.diameter() * 1e3 - 8.53).abs() < 0.01);
    }
}
