//! The body that physics sees: loads and drag elements in the hook frame, without catalog or price.

use crate::physics::constants::GRAVITY;
use crate::physics::statics::Moments;

/// Which part of a fly a load or a drag element belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Label {
    /// Wire of the hook.
    Hook,
    /// Moulded head.
    Head,
    /// Bead.
    Bead,
    /// Pin, stem and head.
    Pin,
    /// Wraps.
    Wraps,
    /// Foam.
    Foam,
    /// Component of the dressing, by its place in the pattern.
    Dressing(u8),
}

/// One placed load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// What it is.
    pub label: Label,
    /// Mass, kg.
    pub mass: f64,
    /// Volume of water that it displaces, m3.
    pub volume: f64,
    /// Where its weight in water acts, hook frame, m. For foam that is the centre of its submerged weight; mass and
    /// displaced volume share it.
    pub centroid: [f64; 2],
    /// Square of the radius of gyration about the centroid, in the plane of the hook, m2.
    pub gyration_sq: f64,
}

impl Load {
    /// Submerged weight (m - rho_w V) g, N; negative lifts.
    #[must_use]
    pub fn submerged_weight(&self, water_density: f64) -> f64 {
        (self.mass - water_density * self.volume) * GRAVITY
    }
}

/// Shape of a drag element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DragShape {
    /// Sphere.
    Sphere {
        /// Diameter, m.
        diameter: f64,
    },
    /// Rod in the plane of the hook.
    Slender(Rod),
    /// Round rod across the plane of the hook: always in cross flow.
    Across {
        /// Diameter, m.
        diameter: f64,
        /// Length, m.
        length: f64,
        /// Length of the whole that it is a stretch of, m.
        span: f64,
    },
}

/// A straight rod, or a straight stretch of a longer one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rod {
    /// Width across the plane of the hook, m: sets Reynolds number and slenderness.
    pub diameter: f64,
    /// Width that it shows to cross flow, m: the diameter, or less where part of it is another element's.
    pub breadth: f64,
    /// Length, m.
    pub length: f64,
    /// Length from free end to free end of what it is a stretch of, m: water slips round free ends only.
    pub span: f64,
    /// Unit vector along it.
    pub axis: [f64; 2],
    /// Share of a solid rod's drag across.
    pub solidity: f64,
    /// Share of the drag of two blunt ends of a round rod of this diameter; 0 for a stretch without ends.
    pub blunt_ends: f64,
    /// Whether its section has sharp edges: cut foam has.
    pub sharp: bool,
}

impl Rod {
    /// A solid round rod without ends of its own.
    #[must_use]
    pub fn round(diameter: f64, length: f64, axis: [f64; 2]) -> Self {
        let (breadth, span) = (diameter, length);
        Self { diameter, breadth, length, span, axis, solidity: 1.0, blunt_ends: 0.0, sharp: false }
    }
}

/// One placed drag element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DragElement {
    /// What it is part of.
    pub label: Label,
    /// Shape.
    pub shape: DragShape,
    /// Centre, hook frame, m.
    pub centre: [f64; 2],
}

/// A body in the water.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Body {
    /// Loads, in tying order.
    pub loads: Vec<Load>,
    /// Drag elements.
    pub elements: Vec<DragElement>,
}

impl Body {
    /// Mass, kg.
    #[must_use]
    pub fn mass(&self) -> f64 {
        self.loads.iter().map(|l| l.mass).sum()
    }

    /// Submerged weight and its moments about the tie point.
    #[must_use]
    pub fn moments(&self, water_density: f64) -> Moments {
        self.loads
            .iter()
            .fold(Moments::default(), |sum, load| sum.plus(load.submerged_weight(water_density), load.centroid))
    }
}
