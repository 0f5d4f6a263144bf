//! A fly as tied: the recipe, a little off.
//!
//! [`Deviation`] says how far one fly is from its recipe, [`AsTied`] places that fly. With no deviation it places exactly
//! what [`super::body`] places, by the same functions; what never changes from fly to fly (paths, bores, slots) is
//! computed once, so that thousands of flies of one recipe cost little.

use super::deviation::Deviation;
use super::place::{
    Conditions, FoamAmounts, State, dressing_parts, foam_element, foam_loads, front_parts, hook_parts, wraps_elements,
    wraps_load,
};
use super::sinking::{bubbles, split_foam};
use super::{Fly, FoamPiece, FrontMount};
use crate::physics::body::{Body, DragElement, Label, Load};
use crate::physics::sinking::{Gas, Sinking, SoftElement, Squeeze};
use crate::physics::statics::Moments;
use std::f64::consts::PI;

/// How loads move when the hook is not quite the shape that its row says, or the bead not quite in the middle.
///
/// Everything tied to the shank goes with the corner between neck and shank; parts farther aft go with the length of the
/// shank. A bead against the eye goes with the neck. Of the hook itself, the part of its wire behind the corner does. Drag
/// is taken as it was: what moves by tenths of a millimetre shows the stream the same.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Frame {
    corner: [f64; 2],
    neck_length: f64,
    /// Sine and cosine of the neck angle.
    neck: (f64, f64),
    shank: f64,
    /// Share of the hook that goes with the corner.
    hook_share: f64,
    bead: BeadOn,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum BeadOn {
    /// So far along the neck, m.
    Neck(f64),
    /// The shank, against the eye.
    Shank,
    /// A pin.
    Pin,
}

impl Frame {
    fn of(fly: &Fly) -> Self {
        let hook = fly.hook;
        let bead = match fly.bead {
            Some((_, FrontMount::Pin(..))) => BeadOn::Pin,
            Some((bead, FrontMount::Eye)) if hook.ring_rear() + 0.5 * bead.length() < hook.neck_length => {
                BeadOn::Neck(hook.ring_rear() + 0.5 * bead.length())
            }
            _ => BeadOn::Shank,
        };
        let ring = PI * (hook.eye_inner_diameter + hook.wire_diameter);
        let neck = (hook.neck_length - hook.ring_rear()).max(0.0);
        let rest = hook.shank_length + 0.5 * PI * hook.gap + hook.point_length;
        Self {
            corner: hook.corner(),
            neck_length: hook.neck_length,
            neck: hook.neck_angle.sin_cos(),
            shank: hook.shank_length,
            hook_share: 1.0 - (ring + 0.5 * neck) / (ring + neck + rest),
            bead,
        }
    }

    fn moved(&self, load: Load, deviation: &Deviation) -> Load {
        let Deviation { neck_length, neck_angle, shank_length, bead_seat, .. } = *deviation;
        if neck_length == 0.0 && neck_angle == 0.0 && shank_length == 0.0 && bead_seat == 0.0 {
            return load;
        }
        let (sin, cos) = self.neck;
        let turned = self.neck_length * neck_angle;
        let corner = [cos * neck_length - sin * turned, -sin * neck_length - cos * turned];
        let aft = (load.centroid[0] - self.corner[0]).max(0.0) * shank_length;
        let [x, y] = match load.label {
            Label::Bead => match self.bead {
                BeadOn::Neck(run) => [sin * (bead_seat - run * neck_angle), cos * (bead_seat - run * neck_angle)],
                BeadOn::Shank => [corner[0] - neck_length, corner[1] + bead_seat],
                BeadOn::Pin => [0.0, corner[1] + bead_seat],
            },
            Label::Pin => [0.0, corner[1]],
            Label::Hook => [self.hook_share * corner[0] + aft, self.hook_share * corner[1]],
            Label::Head | Label::Wraps => corner,
            Label::Foam => [corner[0] + self.shank * shank_length, corner[1]],
            Label::Dressing(_) => [corner[0] + aft, corner[1]],
        };
        Load { centroid: [load.centroid[0] + x, load.centroid[1] + y], ..load }
    }
}

/// One recipe under given conditions, ready to be placed with any deviation.
#[derive(Debug, Clone, PartialEq)]
pub struct AsTied<'a> {
    /// The recipe's fly.
    pub fly: Fly<'a>,
    /// Conditions.
    pub conditions: Conditions,
    /// How a hook out of shape moves them.
    frame: Frame,
    /// Foam as written.
    foam: Option<(FoamPiece<'a>, FoamAmounts)>,
    /// Hook, head, bead, pin as written.
    front: Vec<Load>,
    /// Dressing as written.
    dressing: Vec<Load>,
    /// Drag of the parts above, as written.
    front_elements: Vec<DragElement>,
    dressing_elements: Vec<DragElement>,
    /// Dressing without air, and the air that it holds at the surface.
    soaked: Vec<Load>,
    bubbles: Vec<Gas>,
}

impl<'a> AsTied<'a> {
    /// Prepares a recipe.
    #[must_use]
    pub fn new(fly: Fly<'a>, conditions: &Conditions) -> Self {
        let mut front = hook_parts(fly.hook, fly.bead, fly.dressing);
        if let Some((bead, mount)) = fly.bead {
            let placed = front_parts(fly.hook, bead, mount);
            front.loads.extend(placed.loads);
            front.elements.extend(placed.elements);
        }
        Self {
            fly,
            conditions: *conditions,
            frame: Frame::of(&fly),
            foam: fly.foam.map(|piece| (piece, FoamAmounts::of(&piece))),
            front: front.loads,
            dressing: Vec::new(),
            front_elements: front.elements,
            dressing_elements: Vec::new(),
            soaked: Vec::new(),
            bubbles: Vec::new(),
        }
        .under(conditions)
    }

    /// The same recipe under other conditions.
    #[must_use]
    pub fn under(&self, conditions: &Conditions) -> Self {
        let (hook, dressing) = (self.fly.hook, self.fly.dressing);
        let dressed = dressing_parts(hook, dressing, conditions);
        let surface = Conditions { depth: 0.0, ..*conditions };
        let fresh = conditions.state == State::Fresh;
        // Without air, a dressing is the same at any depth.
        let soaked = || dressing_parts(hook, dressing, &Conditions { state: State::Soaked, ..surface }).loads;
        Self {
            conditions: *conditions,
            soaked: if fresh { soaked() } else { dressed.loads.clone() },
            bubbles: if fresh { bubbles(&self.fly, &surface) } else { Vec::new() },
            dressing: dressed.loads,
            dressing_elements: dressed.elements,
            front: self.front.clone(),
            front_elements: self.front_elements.clone(),
            ..*self
        }
    }

    /// Hands every load of a fly that deviates so to `take`, in tying order.
    pub fn each_load(&self, deviation: &Deviation, mut take: impl FnMut(Load)) {
        let mut take = |load: Load| take(self.frame.moved(load, deviation));
        self.front.iter().for_each(|load| take(deviation.of_load(*load)));
        if let Some(wraps) = &self.fly.wraps {
            take(wraps_load(self.fly.hook, self.fly.bead, &deviation.wraps(wraps)));
        }
        if let Some((piece, written)) = &self.foam {
            foam_loads(self.fly.hook, piece, &deviation.foam(written), &self.conditions)
                .into_iter()
                .for_each(&mut take);
        }
        self.dressing.iter().for_each(|load| take(deviation.of_load(*load)));
    }

    /// Submerged weight and moments of a fly that deviates so.
    #[must_use]
    pub fn moments(&self, deviation: &Deviation) -> Moments {
        self.moments_of(deviation, |_| true)
    }

    /// Submerged weight and moments of some of its parts.
    #[must_use]
    pub fn moments_of(&self, deviation: &Deviation, holds: impl Fn(Label) -> bool) -> Moments {
        let water = self.conditions.water.density;
        let mut sum = Moments::default();
        self.each_load(deviation, |load| {
            if holds(load.label) {
                sum = sum.plus(load.submerged_weight(water), load.centroid);
            }
        });
        sum
    }

    /// Submerged weight and moments of the loads whose place or weight one source changes.
    #[must_use]
    pub fn moments_moved(&self, deviation: &Deviation, moves: impl Fn(Label) -> bool) -> Moments {
        let water = self.conditions.water.density;
        let mut sum = Moments::default();
        let mut take = |load: Load| {
            let load = self.frame.moved(load, deviation);
            sum = sum.plus(load.submerged_weight(water), load.centroid);
        };
        for load in self.front.iter().chain(&self.dressing).filter(|load| moves(load.label)) {
            take(deviation.of_load(*load));
        }
        if let Some(wraps) = self.fly.wraps.as_ref().filter(|_| moves(Label::Wraps)) {
            take(wraps_load(self.fly.hook, self.fly.bead, &deviation.wraps(wraps)));
        }
        if let Some((piece, written)) = self.foam.as_ref().filter(|_| moves(Label::Foam)) {
            foam_loads(self.fly.hook, piece, &deviation.foam(written), &self.conditions)
                .into_iter()
                .for_each(&mut take);
        }
        sum
    }

    /// Drag elements that one source changes.
    #[must_use]
    pub fn elements_moved(&self, deviation: &Deviation, moves: impl Fn(Label) -> bool) -> Vec<DragElement> {
        let Fly { hook, bead, dressing, .. } = self.fly;
        let mut elements: Vec<DragElement> =
            self.front_elements.iter().filter(|e| moves(e.label)).map(|e| deviation.of_element(*e)).collect();
        if let Some(wraps) = self.fly.wraps.as_ref().filter(|_| moves(Label::Wraps)) {
            elements.extend(wraps_elements(hook, bead, dressing, &deviation.wraps(wraps)));
        }
        if let Some((piece, written)) = self.foam.as_ref().filter(|_| moves(Label::Foam)) {
            elements.extend(foam_element(hook, piece, &deviation.foam(written), &self.conditions));
        }
        elements.extend(self.dressing_elements.iter().filter(|e| moves(e.label)));
        elements
    }

    /// Mass of a fly that deviates so, kg.
    #[must_use]
    pub fn mass(&self, deviation: &Deviation) -> f64 {
        let mut mass = 0.0;
        self.each_load(deviation, |load| mass += load.mass);
        mass
    }

    /// A fly that deviates so, for all depths at once.
    #[must_use]
    pub fn sinking(&self, deviation: &Deviation) -> Sinking {
        let measured = self.conditions.as_measured();
        let Fly { hook, bead, dressing, .. } = self.fly;
        let mut sinking = Sinking::default();
        sinking.firm.loads.extend(self.front.iter().map(|load| deviation.of_load(*load)));
        sinking.firm.elements.extend(self.front_elements.iter().map(|e| deviation.of_element(*e)));
        if let Some(wraps) = &self.fly.wraps {
            let amounts = deviation.wraps(wraps);
            sinking.firm.loads.push(wraps_load(hook, bead, &amounts));
            sinking.firm.elements.extend(wraps_elements(hook, bead, dressing, &amounts));
        }
        sinking.firm.loads.extend(self.soaked.iter().map(|load| deviation.of_load(*load)));
        sinking.firm.elements.extend(self.dressing_elements.iter().copied());
        sinking.gas.extend(self.bubbles.iter().map(|gas| Gas { load: deviation.of_load(gas.load), ..*gas }));
        if let Some((piece, written)) = &self.foam {
            let amounts = deviation.foam(written);
            let squeeze = Squeeze {
                collapse_pressure: piece.foam.collapse_pressure,
                relative_density: amounts.density / piece.foam.solid.density_kg_m3,
            };
            split_foam(&mut sinking, foam_loads(hook, piece, &amounts, &measured), squeeze);
            let element = foam_element(hook, piece, &amounts, &measured);
            sinking.soft.extend(element.map(|element| SoftElement { element, squeeze }));
        }
        sinking.firm.loads.iter_mut().for_each(|load| *load = self.frame.moved(*load, deviation));
        sinking.gas.iter_mut().for_each(|gas| gas.load = self.frame.moved(gas.load, deviation));
        sinking
    }

    /// The whole body of a fly that deviates so.
    #[must_use]
    pub fn body(&self, deviation: &Deviation) -> Body {
        let mut body = Body::default();
        self.each_load(deviation, |load| body.loads.push(load));
        body.elements.extend(self.front_elements.iter().map(|e| deviation.of_element(*e)));
        let Fly { hook, bead, dressing, .. } = self.fly;
        if let Some(wraps) = &self.fly.wraps {
            body.elements.extend(wraps_elements(hook, bead, dressing, &deviation.wraps(wraps)));
        }
        if let Some((piece, written)) = &self.foam {
            body.elements.extend(foam_element(hook, piece, &deviation.foam(written), &self.conditions));
        }
        body.elements.extend(self.dressing_elements.iter().copied());
        body
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::fly::COMPONENTS;
    use crate::fly::{body, resolve};
    use crate::part::Cut;
    use crate::physics::statics::Knot;
    use crate::physics::water::Water;
    use crate::quantity::Microns;
    use crate::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat, WireUse};

    fn conditions() -> Conditions {
        Conditions {
            water: Water::new(10.0, 0.0).unwrap(),
            depth: 2.0,
            state: crate::fly::State::Fresh,
            knot: Knot::Loop,
        }
    }

    fn recipes() -> Vec<Recipe> {
        let jig = Recipe {
            hook: "jig60-12".into(),
            dressing: "light-body".into(),
            bead: Some(BeadUse { id: "tungsten-slotted-3.5".into(), mount: Mount::Eye }),
            wire: Some(WireUse { id: "lead-0.010in".into(), turns: 12, start: Microns::new(1000) }),
            foam: Some(FoamUse {
                id: "pe-rod-1-4in".into(),
                cut: Cut::Quarter,
                length: Microns::new(9500),
                seat: Seat::Tail,
            }),
        };
        let pin = Mount::Pin { pin: "pin-0.6x22".into(), projection: Microns::new(7000) };
        let mut straight = jig.clone();
        straight.hook = "streamer-6".into();
        straight.dressing = "fur-leech".into();
        straight.bead = Some(BeadUse { id: "tungsten-3.5".into(), mount: pin });
        let mut back = straight.clone();
        back.wire = None;
        back.foam.as_mut().unwrap().seat = Seat::Back;
        vec![jig, straight, back]
    }

    #[test]
    fn without_deviation_it_is_the_fly_as_written_to_the_last_bit() {
        let catalog = Catalog::built_in().unwrap();
        for recipe in recipes() {
            let fly = resolve(&recipe, &catalog).unwrap();
            let tied = AsTied::new(fly, &conditions());
            let written = body(&fly, &conditions());
            assert_eq!(tied.body(&Deviation::NONE), written);
            assert_eq!(tied.moments(&Deviation::NONE), written.moments(conditions().water.density));
            assert_eq!(tied.mass(&Deviation::NONE), written.mass());
            assert_eq!(tied.sinking(&Deviation::NONE), crate::fly::sinking(&fly, &conditions()));
        }
    }

    #[test]
    fn whole_steps_are_the_recipes_that_state_them() {
        let catalog = Catalog::built_in().unwrap();
        let recipe = recipes().remove(0);
        let tied = AsTied::new(resolve(&recipe, &catalog).unwrap(), &conditions());
        let mut other = recipe.clone();
        let wire = other.wire.as_mut().unwrap();
        (wire.turns, wire.start) = (14, Microns::new(1500));
        other.foam.as_mut().unwrap().length = Microns::new(8000);
        let step = Deviation { turns: 2.0, wraps_position: 0.5e-3, foam_length: -1.5e-3, ..Deviation::NONE };
        let stated = body(&resolve(&other, &catalog).unwrap(), &conditions()).moments(conditions().water.density);
        let stepped = tied.moments(&step);
        for (a, b) in [(stated.weight, stepped.weight), (stated.x, stepped.x), (stated.y, stepped.y)] {
            assert!((a / b - 1.0).abs() < 1e-12, "{a} {b}");
        }
    }

    #[test]
    fn every_deviation_moves_what_it_names_and_its_way() {
        let catalog = Catalog::built_in().unwrap();
        let recipe = recipes().remove(1);
        let soaked = Conditions { state: crate::fly::State::Soaked, ..conditions() };
        let tied = AsTied::new(resolve(&recipe, &catalog).unwrap(), &soaked);
        let none = tied.moments(&Deviation::NONE);
        let more = |d: Deviation| tied.moments(&d);
        let d = Deviation::NONE;
        assert!(more(Deviation { bead_mass: 0.01, ..d }).weight > none.weight);
        assert!(more(Deviation { bead_mass: 0.01, ..d }).x < none.x, "the bead is ahead of the tie point");
        assert!(more(Deviation { turns: 1.0, ..d }).x > none.x);
        assert!(more(Deviation { wire_diameter: 0.02, ..d }).weight > none.weight);
        assert!(more(Deviation { wraps_position: 1e-3, ..d }).x > none.x);
        assert!(more(Deviation { foam_length: 1e-3, ..d }).weight < none.weight);
        assert!(more(Deviation { foam_density: 0.1, ..d }).weight > none.weight);
        assert!(more(Deviation { foam_section: 0.1, ..d }).weight < none.weight);
        assert!(more(Deviation { foam_position: 1e-3, ..d }).x < none.x, "lift farther aft");
        assert!(more(Deviation { pin_position: 1e-3, ..d }).x > none.x);
        assert!(more(Deviation { dressing: [0.1; COMPONENTS], ..d }).weight > none.weight);
        let light = Deviation { dressing: [-3.0; COMPONENTS], ..d };
        assert!(tied.mass(&light) < tied.mass(&d), "a dressing of less than nothing is none");
        assert!(more(light).weight < none.weight);
        let size = tied.body(&Deviation { bead_size: 0.01, ..d }).loads[1];
        let plain = tied.body(&d).loads[1];
        assert!((size.mass / plain.mass - 1.030_301).abs() < 1e-12);
        assert!((size.volume / plain.volume - 1.030_301).abs() < 1e-12);
    }
}
