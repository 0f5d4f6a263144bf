//! How far a tied fly is from its recipe.

use super::Wraps;
use super::place::{FoamAmounts, WrapsAmounts};
use crate::physics::body::{DragElement, DragShape, Label, Load};
/// Components of a dressing that deviate on their own; any beyond these go with the last.
pub const COMPONENTS: usize = 12;

/// How far one tied fly is from its recipe. All zero: as written.
///
/// A share is relative: 0.02 is 2 % more than the recipe says.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Deviation {
    /// Mass of the hook, share.
    pub hook_mass: f64,
    /// Mass of the moulded head, and its volume with it, share.
    pub head_mass: f64,
    /// Mass of the bead at its size, share.
    pub bead_mass: f64,
    /// Diameter of the bead, share: volume and mass go with its cube.
    pub bead_size: f64,
    /// Mass of the pin, share.
    pub pin_mass: f64,
    /// Bead and pin farther aft, m.
    pub pin_position: f64,
    /// Density of the wire, share.
    pub wire_density: f64,
    /// Diameter of the wire, share.
    pub wire_diameter: f64,
    /// Turns more.
    pub turns: f64,
    /// Wraps farther aft, m.
    pub wraps_position: f64,
    /// Density of the foam, share.
    pub foam_density: f64,
    /// Cross section of the foam, share.
    pub foam_section: f64,
    /// Foam longer, m; it grows away from where it is bound.
    pub foam_length: f64,
    /// Foam farther aft, m.
    pub foam_position: f64,
    /// Lever with which friction in the eye holds it off its hang, m.
    pub friction: f64,
    /// Neck of the hook longer, m.
    pub neck_length: f64,
    /// Neck steeper to the shank, rad.
    pub neck_angle: f64,
    /// Shank of the hook longer, share.
    pub shank_length: f64,
    /// Bead off the middle of its wire or pin, towards the point side, m.
    pub bead_seat: f64,
    /// Foam farther off the shank, m.
    pub foam_height: f64,
    /// It sinks faster than the model has it, as the logarithm of the ratio.
    pub sink_rate: f64,
    /// Dry mass of each component of the dressing, share.
    pub dressing: [f64; COMPONENTS],
}

impl Deviation {
    /// As written.
    pub const NONE: Self = Self {
        hook_mass: 0.0,
        head_mass: 0.0,
        bead_mass: 0.0,
        bead_size: 0.0,
        pin_mass: 0.0,
        pin_position: 0.0,
        wire_density: 0.0,
        wire_diameter: 0.0,
        turns: 0.0,
        wraps_position: 0.0,
        foam_density: 0.0,
        foam_section: 0.0,
        foam_length: 0.0,
        foam_position: 0.0,
        friction: 0.0,
        neck_length: 0.0,
        neck_angle: 0.0,
        shank_length: 0.0,
        bead_seat: 0.0,
        foam_height: 0.0,
        sink_rate: 0.0,
        dressing: [0.0; COMPONENTS],
    };

    /// The load of a part that was placed as written, as it turned out. No mass or volume falls below nothing.
    pub(super) fn of_load(&self, load: Load) -> Load {
        let share = |more: f64| (1.0 + more).max(0.0);
        let (mass, volume, aft) = match load.label {
            Label::Hook => (share(self.hook_mass), 1.0, 0.0),
            Label::Head => (share(self.head_mass), share(self.head_mass), 0.0),
            Label::Bead => {
                let size = share(self.bead_size);
                let volume = size * size * size;
                (share(self.bead_mass) * volume, volume, self.pin_position)
            }
            Label::Pin => (share(self.pin_mass), 1.0, self.pin_position),
            Label::Dressing(i) => {
                let more = share(self.dressing[usize::from(i).min(COMPONENTS - 1)]);
                (more, more, 0.0)
            }
            Label::Wraps | Label::Foam => (1.0, 1.0, 0.0),
        };
        Load {
            mass: load.mass * mass,
            volume: load.volume * volume,
            centroid: [load.centroid[0] + aft, load.centroid[1]],
            ..load
        }
    }

    pub(super) fn of_element(&self, element: DragElement) -> DragElement {
        match (element.label, element.shape) {
            (Label::Bead, DragShape::Sphere { diameter }) => DragElement {
                shape: DragShape::Sphere { diameter: diameter * (1.0 + self.bead_size).max(0.0) },
                ..element
            },
            _ => element,
        }
    }

    pub(super) fn wraps(&self, wraps: &Wraps) -> WrapsAmounts {
        let as_written = WrapsAmounts::of(wraps);
        WrapsAmounts {
            turns: (as_written.turns + self.turns).max(0.0),
            start: as_written.start + self.wraps_position,
            diameter: as_written.diameter * (1.0 + self.wire_diameter).max(0.0),
            density: as_written.density * (1.0 + self.wire_density).max(0.0),
        }
    }

    pub(super) fn foam(&self, as_written: &FoamAmounts) -> FoamAmounts {
        FoamAmounts {
            section: as_written.section.scaled((1.0 + self.foam_section).max(0.0)),
            density: as_written.density * (1.0 + self.foam_density).max(0.0),
            length: (as_written.length + self.foam_length).max(0.0),
            aft: as_written.aft + self.foam_position,
            off: as_written.off + self.foam_height,
        }
    }
}
