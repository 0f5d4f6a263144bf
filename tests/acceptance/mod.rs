//! Facts of the trade, tied from the shipped catalog. Common practice, no source: what tyers see in a jar or at the water.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod balance;
mod comes_out_right;
mod fall;
mod hand;
mod sizes;
mod stages;

use counterpoise::assess::{Prediction, predict};
use counterpoise::catalog::Catalog;
use counterpoise::fly::{self, Conditions, Limits, State};
use counterpoise::part::Cut;
use counterpoise::physics::statics::{Knot, Rest};
use counterpoise::physics::water::Water;
use counterpoise::quantity::Microns;
use counterpoise::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat, WireUse};
use std::sync::OnceLock;

fn catalog() -> &'static Catalog {
    static BUILT_IN: OnceLock<Catalog> = OnceLock::new();
    BUILT_IN.get_or_init(|| Catalog::built_in().unwrap())
}

/// A jar of fresh water at room temperature: a few centimetres deep, bubbles worked off, free loop.
fn jar() -> Conditions {
    Conditions { water: Water::new(18.0, 0.0).unwrap(), depth: 0.1, state: State::Soaked, knot: Knot::Loop }
}

/// A hook with a dressing, and nothing else yet.
fn tie(hook: &str, dressing: &str) -> Recipe {
    Recipe { hook: hook.into(), dressing: dressing.into(), bead: None, wire: None, foam: None }
}

trait Tying {
    fn bead(self, id: &str) -> Self;
    fn bead_on_pin(self, id: &str, pin: &str, ahead_um: i32) -> Self;
    fn wraps_all_along(self, id: &str) -> Self;
    fn foam(self, id: &str, cut: Cut, um: i32, seat: Seat) -> Self;
    fn in_water(&self, conditions: &Conditions) -> Prediction;
    fn rest(&self) -> Rest;
}

impl Tying for Recipe {
    fn bead(mut self, id: &str) -> Self {
        self.bead = Some(BeadUse { id: id.into(), mount: Mount::Eye });
        self
    }

    fn bead_on_pin(mut self, id: &str, pin: &str, ahead_um: i32) -> Self {
        let mount = Mount::Pin { pin: pin.into(), projection: Microns::new(ahead_um) };
        self.bead = Some(BeadUse { id: id.into(), mount });
        self
    }

    /// As many touching turns as the free shank takes.
    fn wraps_all_along(mut self, id: &str) -> Self {
        let wire = catalog().wire(id).unwrap();
        let fly = fly::resolve(&self, catalog()).unwrap();
        let (front, rear) = fly::free_shank(fly.hook, fly.bead);
        let turns = ((rear - front) / wire.diameter).floor() as u32;
        self.wire = Some(WireUse { id: id.into(), turns, start: Microns::new(0) });
        self
    }

    fn foam(mut self, id: &str, cut: Cut, um: i32, seat: Seat) -> Self {
        self.foam = Some(FoamUse { id: id.into(), cut, length: Microns::new(um), seat });
        self
    }

    fn in_water(&self, conditions: &Conditions) -> Prediction {
        let fly = fly::resolve(self, catalog()).unwrap_or_else(|e| panic!("{e}"));
        let misfit = fly::first_misfit(&fly, &Limits { visible_foam: true, ..Limits::default() });
        assert_eq!(misfit, None, "{self} cannot be tied");
        predict(&fly, conditions)
    }

    fn rest(&self) -> Rest {
        *self.in_water(&jar()).hang.rest().unwrap_or_else(|| panic!("{self} floats"))
    }
}

/// Hang, degrees, positive tail down.
fn degrees(rest: Rest) -> f64 {
    rest.angle.to_degrees()
}
