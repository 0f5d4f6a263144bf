//! A short text that depends on every figure of a catalog.

use super::Catalog;

/// Sixteen hexadecimal digits (64-bit FNV-1a) of some bytes. It tells two texts apart, and is no proof against malice.
#[must_use]
pub fn fnv(bytes: impl IntoIterator<Item = u8>) -> String {
    let start: u64 = 0xcbf2_9ce4_8422_2325;
    let hash = bytes.into_iter().fold(start, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3));
    format!("{hash:016x}")
}

impl Catalog {
    /// Digest of all parts as they are used: figures, names, prices and provenance, with overlays and corrections. The same
    /// version of the program gives the same digest for the same catalog on any machine; the names of files do not count.
    #[must_use]
    pub fn digest(&self) -> String {
        let parts = (&self.hooks, &self.beads, &self.pins, &self.wires, &self.foams, &self.dressings);
        fnv(format!("{:?}", (&self.currency, &self.materials, parts)).into_bytes())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Source;

    #[test]
    fn known_values_of_the_hash() {
        // From the authors' page of test vectors (Fowler, Noll, Vo; from memory).
        assert_eq!(fnv([]), "cbf29ce484222325");
        assert_eq!(fnv(*b"a"), "af63dc4c8601ec8c");
        assert_eq!(fnv(*b"foobar"), "85944171f73967e8");
    }

    #[test]
    fn any_figure_counts_and_no_file_name() {
        let with = |name: &str, price: &str| {
            let text = format!(
                "currency: EUR\nwires:\n  - {{id: mine, name: Wire, material: lead, diameter_mm: 0.3, diameter_spread: 0.02, \
                 pack: {{length_m: 5, price: {price}}}, provenance: {{source: ruler, how: measured}}}}\n"
            );
            Catalog::with_overlays(&[Source::new(name, &text)]).unwrap_or_else(|e| panic!("{e}")).digest()
        };
        assert_eq!(with("a.yaml", "2"), with("b.yaml", "2"));
        assert_ne!(with("a.yaml", "2"), with("a.yaml", "2.01"));
        assert_ne!(with("a.yaml", "2"), Catalog::built_in().unwrap().digest());
    }
}
