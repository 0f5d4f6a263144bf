//! A fly on its way down: what keeps its volume, and the gas that does not.

use super::place::{Conditions, Placed, State, dressing_parts, foam_part, front_parts, hook_parts, wraps_part};
use super::{Fly, practice};
use crate::physics::body::Load;
use crate::physics::sinking::{Gas, Sinking, SoftElement, Squeeze};

/// Places a fly for all depths at once. At any depth it is what [`super::body`] places there; the depth of the
/// conditions does not matter.
#[must_use]
pub fn sinking(fly: &Fly, conditions: &Conditions) -> Sinking {
    sinking_squeezed(fly, conditions, practice::FOAM_SQUEEZE)
}

/// The same with another share of its lift lost by foam under tight thread than [`practice::FOAM_SQUEEZE`], 0 to 1.
#[must_use]
pub fn sinking_squeezed(fly: &Fly, conditions: &Conditions, squeeze: f64) -> Sinking {
    let surface = Conditions { depth: 0.0, ..*conditions };
    let measured = surface.as_measured();
    let mut placed = Sinking::default();
    let mut add = |part: Placed| {
        placed.firm.loads.extend(part.loads);
        placed.firm.elements.extend(part.elements);
    };
    add(hook_parts(fly.hook, fly.bead, fly.dressing));
    if let Some((bead, mount)) = fly.bead {
        add(front_parts(fly.hook, bead, mount));
    }
    if let Some(wraps) = &fly.wraps {
        add(wraps_part(fly.hook, fly.bead, fly.dressing, wraps));
    }
    add(dressing_parts(fly.hook, fly.dressing, &Conditions { state: State::Soaked, ..surface }));
    if conditions.state == State::Fresh {
        placed.gas.extend(bubbles(fly, &surface));
    }
    if let Some(piece) = &fly.foam {
        let law = Squeeze {
            collapse_pressure: piece.foam.collapse_pressure,
            relative_density: piece.foam.relative_density(),
        };
        let foam = foam_part(fly.hook, piece, &measured);
        // The polymer is the load with mass; the gas in the cells has none, and comes under the thread first.
        let (solid, gas): (Vec<Load>, Vec<Load>) = foam.loads.into_iter().partition(|load| load.mass > 0.0);
        placed.firm.loads.extend(solid);
        placed.gas.extend(gas.into_iter().enumerate().map(|(i, load)| {
            let held = if i == 0 { (1.0 - squeeze) / (1.0 - practice::FOAM_SQUEEZE) } else { 1.0 };
            Gas { load: Load { volume: load.volume * held, ..load }, squeeze: law }
        }));
        placed.soft.extend(foam.elements.into_iter().map(|element| SoftElement { element, squeeze: law }));
    }
    placed
}

/// Adds foam: the polymer is the load with mass, the gas in the cells has none.
pub(super) fn split_foam(placed: &mut Sinking, loads: impl IntoIterator<Item = Load>, squeeze: Squeeze) {
    for load in loads {
        if load.mass > 0.0 {
            placed.firm.loads.push(load);
        } else {
            placed.gas.push(Gas { load, squeeze });
        }
    }
}

/// Air in a fresh dressing at the surface.
pub(super) fn bubbles(fly: &Fly, surface: &Conditions) -> Vec<Gas> {
    let at = |state| dressing_parts(fly.hook, fly.dressing, &Conditions { state, ..*surface }).loads;
    at(State::Fresh)
        .into_iter()
        .zip(at(State::Soaked))
        .map(|(fresh, soaked)| Gas {
            load: Load { mass: 0.0, volume: fresh.volume - soaked.volume, gyration_sq: 0.0, ..fresh },
            squeeze: Squeeze::BUBBLE,
        })
        .filter(|gas| gas.load.volume > 0.0)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::fly::{body, resolve};
    use crate::part::Cut;
    use crate::physics::body::Label;
    use crate::physics::statics::Knot;
    use crate::physics::water::Water;
    use crate::quantity::Microns;
    use crate::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat, WireUse};

    fn recipe(seat: Seat) -> Recipe {
        Recipe {
            hook: "streamer-6".into(),
            dressing: "fur-leech".into(),
            bead: Some(BeadUse { id: "tungsten-3.5".into(), mount: Mount::Eye }),
            wire: Some(WireUse { id: "lead-0.010in".into(), turns: 10, start: Microns::new(2000) }),
            foam: Some(FoamUse { id: "pe-rod-1-4in".into(), cut: Cut::Quarter, length: Microns::new(12_000), seat }),
        }
    }

    #[test]
    fn at_every_depth_it_is_the_body_placed_there() {
        let catalog = Catalog::built_in().unwrap();
        let water = Water::new(10.0, 0.0).unwrap();
        for (seat, state) in [(Seat::Tail, State::Fresh), (Seat::Back, State::Soaked)] {
            let recipe = recipe(seat);
            let fly = resolve(&recipe, &catalog).unwrap();
            let conditions = Conditions { water, depth: 3.0, state, knot: Knot::Loop };
            let sinking = sinking(&fly, &conditions);
            for depth in [0.0, 0.7, 3.0, 9.0] {
                let there = body(&fly, &Conditions { depth, ..conditions });
                let (a, b) = (sinking.moments(depth, &water), there.moments(water.density));
                for (a, b) in [(a.weight, b.weight), (a.x, b.x), (a.y, b.y), (sinking.mass(), there.mass())] {
                    assert!((a - b).abs() < 1e-12 * b.abs().max(1e-6), "{depth}: {a} {b}");
                }
                let ours = sinking.at(depth, &water);
                for element in &there.elements {
                    let shape = format!("{:.9?}", element.shape);
                    let same = |e: &&_| {
                        let e: &crate::physics::body::DragElement = e;
                        e.label == element.label && e.centre == element.centre && format!("{:.9?}", e.shape) == shape
                    };
                    assert_eq!(ours.elements.iter().filter(same).count(), 1, "{depth}: {element:?}");
                }
                assert_eq!(ours.elements.len(), there.elements.len());
            }
            let left = sinking.lift_left(Label::Foam, 2.0, &water).unwrap();
            assert!((0.80..0.88).contains(&left), "{left}");
        }
    }
}
