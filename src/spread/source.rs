//! What differs from fly to fly.

use crate::fly::{COMPONENTS, Deviation, Fly};
use crate::physics::body::Label;

/// One thing that differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Source {
    /// Mass of the hook.
    HookMass,
    /// Mass of the moulded head.
    HeadMass,
    /// Mass of the bead at its size.
    BeadMass,
    /// Diameter of the bead.
    BeadSize,
    /// Mass of the pin.
    PinMass,
    /// How far the pin stands ahead.
    PinPosition,
    /// Density of the wire.
    WireDensity,
    /// Diameter of the wire.
    WireDiameter,
    /// Number of turns.
    Turns,
    /// Where the wraps lie.
    WrapsPosition,
    /// Density of the foam.
    FoamDensity,
    /// Cross section of the foam as cut.
    FoamSection,
    /// Length of the foam as cut.
    FoamLength,
    /// Where the foam is bound.
    FoamPosition,
    /// Where within the band of friction the loop comes to rest in the eye.
    Friction,
    /// Length of the neck of a jig hook.
    NeckLength,
    /// Angle of the neck.
    NeckAngle,
    /// Length of the shank.
    ShankLength,
    /// Where the bead sits across its wire or pin: tilt of a slot, sag on a pin.
    BeadSeat,
    /// How high the foam sits off the shank, and how far round it.
    FoamHeight,
    /// How far the sink rate may be off for what the model does not know of drag and weight. No part differs by it, and no jar
    /// shows it: see [`super::draws::counted`].
    SinkRate,
    /// Dry mass of a component of the dressing, by its place in the pattern.
    Dressing(u8),
}

/// Sources before the dressing's components.
const PLAIN: usize = 21;

/// Number of sources that a fly can have.
pub const SOURCES: usize = PLAIN + COMPONENTS;

/// A standard normal number for each source.
pub type Standard = [f64; SOURCES];

/// Whether flies share it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Nature {
    /// One value for all flies tied from the same rod, spool or box of hooks.
    Batch,
    /// Each fly's own.
    Fly,
}

impl Nature {
    /// The word used in reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Batch => "batch",
            Self::Fly => "fly",
        }
    }
}

impl Source {
    /// What all flies of a batch share: its rods, spools and packet of hooks, and how well drag is known.
    pub(super) const OF_A_BATCH: [Self; 7] = [
        Self::WireDensity,
        Self::WireDiameter,
        Self::FoamDensity,
        Self::NeckLength,
        Self::NeckAngle,
        Self::ShankLength,
        Self::SinkRate,
    ];

    /// Place in a [`Standard`] array: the same for every recipe, so that the same numbers go to the same source.
    #[must_use]
    pub fn index(self) -> usize {
        match self {
            Self::HookMass => 0,
            Self::HeadMass => 1,
            Self::BeadMass => 2,
            Self::BeadSize => 3,
            Self::PinMass => 4,
            Self::PinPosition => 5,
            Self::WireDensity => 6,
            Self::WireDiameter => 7,
            Self::Turns => 8,
            Self::WrapsPosition => 9,
            Self::FoamDensity => 10,
            Self::FoamSection => 11,
            Self::FoamLength => 12,
            Self::FoamPosition => 13,
            Self::Friction => 14,
            Self::NeckLength => 15,
            Self::NeckAngle => 16,
            Self::ShankLength => 17,
            Self::BeadSeat => 18,
            Self::FoamHeight => 19,
            Self::SinkRate => 20,
            Self::Dressing(i) => PLAIN + usize::from(i).min(COMPONENTS - 1),
        }
    }

    /// Whether flies share it.
    #[must_use]
    pub fn nature(self) -> Nature {
        if Self::OF_A_BATCH.contains(&self) { Nature::Batch } else { Nature::Fly }
    }

    /// Adds so much of it to a deviation, in the deviation's unit.
    pub fn add(self, deviation: &mut Deviation, amount: f64) {
        *self.of(deviation) += amount;
    }

    /// How much of it there is in a deviation.
    #[must_use]
    pub fn amount(self, deviation: &Deviation) -> f64 {
        let mut copy = *deviation;
        *self.of(&mut copy)
    }

    /// Sets it in a deviation.
    pub fn set(self, deviation: &mut Deviation, amount: f64) {
        *self.of(deviation) = amount;
    }

    fn of(self, deviation: &mut Deviation) -> &mut f64 {
        match self {
            Self::HookMass => &mut deviation.hook_mass,
            Self::HeadMass => &mut deviation.head_mass,
            Self::BeadMass => &mut deviation.bead_mass,
            Self::BeadSize => &mut deviation.bead_size,
            Self::PinMass => &mut deviation.pin_mass,
            Self::PinPosition => &mut deviation.pin_position,
            Self::WireDensity => &mut deviation.wire_density,
            Self::WireDiameter => &mut deviation.wire_diameter,
            Self::Turns => &mut deviation.turns,
            Self::WrapsPosition => &mut deviation.wraps_position,
            Self::FoamDensity => &mut deviation.foam_density,
            Self::FoamSection => &mut deviation.foam_section,
            Self::FoamLength => &mut deviation.foam_length,
            Self::FoamPosition => &mut deviation.foam_position,
            Self::Friction => &mut deviation.friction,
            Self::NeckLength => &mut deviation.neck_length,
            Self::NeckAngle => &mut deviation.neck_angle,
            Self::ShankLength => &mut deviation.shank_length,
            Self::BeadSeat => &mut deviation.bead_seat,
            Self::FoamHeight => &mut deviation.foam_height,
            Self::SinkRate => &mut deviation.sink_rate,
            Self::Dressing(i) => &mut deviation.dressing[usize::from(i).min(COMPONENTS - 1)],
        }
    }

    /// Whether it changes the weight or place of a part.
    #[must_use]
    pub fn moves(self, label: Label) -> bool {
        match self {
            Self::HookMass => label == Label::Hook,
            Self::HeadMass => label == Label::Head,
            Self::BeadMass | Self::BeadSize => label == Label::Bead,
            Self::PinMass => label == Label::Pin,
            Self::PinPosition => matches!(label, Label::Pin | Label::Bead),
            Self::WireDensity | Self::WireDiameter | Self::Turns | Self::WrapsPosition => label == Label::Wraps,
            Self::FoamDensity | Self::FoamSection | Self::FoamLength | Self::FoamPosition | Self::FoamHeight => {
                label == Label::Foam
            }
            Self::Friction | Self::SinkRate => false,
            // A neck bears everything but itself.
            Self::NeckLength | Self::NeckAngle | Self::ShankLength => true,
            Self::BeadSeat => label == Label::Bead,
            Self::Dressing(i) => match label {
                Label::Dressing(j) => usize::from(i) == usize::from(j).min(COMPONENTS - 1),
                _ => false,
            },
        }
    }

    /// Whether moments are no straight line in it: it changes a size in more than one direction, or a length and its place.
    #[must_use]
    pub(super) fn bends(self) -> bool {
        matches!(
            self,
            Self::BeadSize
                | Self::WireDiameter
                | Self::Turns
                | Self::FoamDensity
                | Self::FoamSection
                | Self::FoamLength
                | Self::NeckAngle
        )
    }

    /// Whether it changes what the stream sees of the fly, beyond how it hangs.
    #[must_use]
    pub fn is_seen_by_the_stream(self) -> bool {
        matches!(self, Self::BeadSize | Self::Turns | Self::WireDiameter | Self::FoamSection | Self::FoamLength)
    }

    /// What it is called, in words of the vice.
    #[must_use]
    pub fn words(self, fly: &Fly) -> String {
        let plain = match self {
            Self::HookMass => "hook mass",
            Self::HeadMass => "head mass",
            Self::BeadMass => "bead mass",
            Self::BeadSize => "bead size",
            Self::PinMass => "pin mass",
            Self::PinPosition => "where the pin stands",
            Self::WireDensity => "wire density of the spool",
            Self::WireDiameter => "wire diameter of the spool",
            Self::Turns => "number of wraps",
            Self::WrapsPosition => "where the wraps lie",
            Self::FoamDensity => "foam density of the rod",
            Self::FoamSection => "foam section as cut",
            Self::FoamLength => "foam length as cut",
            Self::FoamPosition => "where the foam is bound",
            Self::Friction => "where the loop rests in the eye",
            Self::NeckLength => "neck length of the hook",
            Self::NeckAngle => "neck angle of the hook",
            Self::ShankLength => "shank length of the hook",
            Self::BeadSeat => "how the bead sits on its wire",
            Self::FoamHeight => "where the foam sits around the shank",
            Self::SinkRate => "how well drag is known",
            Self::Dressing(i) => {
                let name = fly.dressing.components.get(usize::from(i)).map_or("dressing", |c| c.name.as_str());
                return format!("amount of {name}");
            }
        };
        plain.to_owned()
    }

    /// The unit of its deviation, and the factor from SI: a share counts in per cent, a length in mm.
    #[must_use]
    pub fn unit(self) -> (&'static str, f64) {
        match self {
            Self::Turns => ("wraps", 1.0),
            Self::PinPosition
            | Self::WrapsPosition
            | Self::FoamLength
            | Self::FoamPosition
            | Self::Friction
            | Self::NeckLength
            | Self::BeadSeat
            | Self::FoamHeight => ("mm", 1e3),
            Self::NeckAngle => ("deg", 180.0 / std::f64::consts::PI),
            _ => ("%", 100.0),
        }
    }
}
