//! Larger catalogs, made from the built-in one: every part of every kind several times over, each copy a little
//! different in size, weight and price, so that no copy is idle.

use counterpoise::catalog::Catalog;
use counterpoise::quantity::Money;

/// A stream of shares around 1, the same every time (splitmix64, from memory).
struct Shares(u64);

impl Shares {
    /// Between 1 - spread and 1 + spread.
    fn next(&mut self, spread: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        let unit = ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64;
        1.0 + spread * (2.0 * unit - 1.0)
    }
}

fn price(old: Money, share: f64) -> Money {
    Money::from_micros((old.micros() as f64 * share).round() as i64)
}

/// The catalog with `times` as many parts of every kind but dressings.
pub(crate) fn enlarged(catalog: &Catalog, times: usize) -> Catalog {
    let mut large = catalog.clone();
    let mut shares = Shares(1);
    for copy in 1..times {
        macro_rules! copies {
            ($list:ident, $part:ident, $change:block) => {
                for part in &catalog.$list {
                    let mut $part = part.clone();
                    $part.row.id = format!("{}~{copy}", part.row.id);
                    $part.row.pack.price = price(part.row.pack.price, shares.next(0.3));
                    $change
                    large.$list.push($part);
                }
            };
        }
        copies!(hooks, hook, {
            hook.shank_length *= shares.next(0.05);
            hook.gap *= shares.next(0.05);
        });
        copies!(beads, bead, {
            bead.diameter *= shares.next(0.03);
            bead.measured_mass = Some(bead.mass() * shares.next(0.03));
        });
        copies!(pins, pin, { pin.head_length *= shares.next(0.1) });
        copies!(wires, wire, { wire.diameter *= shares.next(0.03) });
        copies!(foams, foam, { foam.density *= shares.next(0.1) });
    }
    large.hooks.sort_by(|a, b| a.row.id.cmp(&b.row.id));
    large.beads.sort_by(|a, b| a.row.id.cmp(&b.row.id));
    large.pins.sort_by(|a, b| a.row.id.cmp(&b.row.id));
    large.wires.sort_by(|a, b| a.row.id.cmp(&b.row.id));
    large.foams.sort_by(|a, b| a.row.id.cmp(&b.row.id));
    large
}
