//! A body on its way down: what keeps its volume, and what shrinks.
//!
//! Gas in closed foam cells and bubbles in the dressing follow the law of [`super::compression`]. A bubble is that law with
//! R = 0 and p_c = 0, which is Boyle's, and is caught at the temperature of the water. So submerged weight and moments at
//! any depth are those of the rest plus those of each gas times one ratio, and nothing has to be placed anew.

use crate::physics::body::{Body, DragElement, DragShape, Label, Load, Rod};
use crate::physics::compression::GasState;
use crate::physics::statics::Moments;
use crate::physics::water::Water;

/// How a gas gives way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Squeeze {
    /// Pressure that the cell walls carry before they give, Pa.
    pub collapse_pressure: f64,
    /// Foam density over that of its solid; 0 for a free bubble.
    pub relative_density: f64,
}

impl Squeeze {
    /// A free bubble.
    pub const BUBBLE: Self = Self { collapse_pressure: 0.0, relative_density: 0.0 };

    /// Volume at `gauge_pressure` Pa over the volume as placed: of foam as measured, of bubbles at the surface.
    #[must_use]
    pub fn ratio(&self, gauge_pressure: f64, gas: GasState) -> f64 {
        let gas = if *self == Self::BUBBLE { GasState { warmth: 1.0, ..gas } } else { gas };
        gas.volume_ratio(gauge_pressure, self.collapse_pressure, self.relative_density)
    }
}

/// A load that shrinks: volume as at the surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gas {
    /// The load at the surface.
    pub load: Load,
    /// How it gives way.
    pub squeeze: Squeeze,
}

/// A drag element that shrinks, at the surface: its diameter goes with the cube root of the volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoftElement {
    /// The element at the surface.
    pub element: DragElement,
    /// How it gives way.
    pub squeeze: Squeeze,
}

impl SoftElement {
    /// The element at `gauge_pressure` Pa.
    #[must_use]
    pub fn at(&self, gauge_pressure: f64, gas: GasState) -> DragElement {
        let linear = self.squeeze.ratio(gauge_pressure, gas).cbrt();
        let shape = match self.element.shape {
            DragShape::Sphere { diameter } => DragShape::Sphere { diameter: diameter * linear },
            DragShape::Slender(rod) => {
                DragShape::Slender(Rod { diameter: rod.diameter * linear, breadth: rod.breadth * linear, ..rod })
            }
            DragShape::Across { diameter, length, span } => {
                DragShape::Across { diameter: diameter * linear, length, span }
            }
        };
        DragElement { shape, ..self.element }
    }
}

/// A body that may sink or rise through a range of depths.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sinking {
    /// What keeps its volume.
    pub firm: Body,
    /// Loads that shrink.
    pub gas: Vec<Gas>,
    /// Drag elements that shrink.
    pub soft: Vec<SoftElement>,
}

impl Sinking {
    /// A body in which nothing shrinks.
    #[must_use]
    pub fn firm(body: Body) -> Self {
        Self { firm: body, gas: Vec::new(), soft: Vec::new() }
    }

    /// The body at a depth, m.
    #[must_use]
    pub fn at(&self, depth: f64, water: &Water) -> Body {
        let pressure = water.pressure_at_depth(depth.max(0.0));
        let mut body = self.firm.clone();
        body.loads.extend(
            self.gas.iter().map(|g| Load { volume: g.load.volume * g.squeeze.ratio(pressure, water.gas()), ..g.load }),
        );
        body.elements.extend(self.soft.iter().map(|s| s.at(pressure, water.gas())));
        body
    }

    /// Mass, kg: the same at every depth.
    #[must_use]
    pub fn mass(&self) -> f64 {
        self.firm.mass() + self.gas.iter().map(|g| g.load.mass).sum::<f64>()
    }

    /// Submerged weight and moments at a depth, m.
    #[must_use]
    pub fn moments(&self, depth: f64, water: &Water) -> Moments {
        self.shrunk(self.firm.moments(water.density), depth, water)
    }

    /// Moments of the firm part with those of the gas at a depth added.
    pub(super) fn shrunk(&self, firm: Moments, depth: f64, water: &Water) -> Moments {
        let pressure = water.pressure_at_depth(depth.max(0.0));
        self.gas.iter().fold(firm, |sum, g| {
            let load = Load { volume: g.load.volume * g.squeeze.ratio(pressure, water.gas()), ..g.load };
            sum.plus(load.submerged_weight(water.density), load.centroid)
        })
    }

    /// Lift of one kind of load at a depth over its lift at the surface; `None` where it has none there.
    #[must_use]
    pub fn lift_left(&self, label: Label, depth: f64, water: &Water) -> Option<f64> {
        let lift = |depth: f64| {
            let pressure = water.pressure_at_depth(depth.max(0.0));
            let firm = self.firm.loads.iter().filter(|l| l.label == label).map(|l| l.submerged_weight(water.density));
            let gas = self.gas.iter().filter(|g| g.load.label == label).map(|g| {
                Load { volume: g.load.volume * g.squeeze.ratio(pressure, water.gas()), ..g.load }
                    .submerged_weight(water.density)
            });
            -firm.chain(gas).sum::<f64>()
        };
        let at_surface = lift(0.0);
        (at_surface > 0.0).then(|| lift(depth) / at_surface)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bubble_is_boyles() {
        let pressure = crate::physics::ATMOSPHERE;
        assert!((Squeeze::BUBBLE.ratio(pressure, GasState { warmth: 0.9, ..GasState::STANDARD }) - 0.5).abs() < 1e-15);
    }

    #[test]
    fn a_firm_body_is_the_same_at_every_depth() {
        let water = Water::new(10.0, 0.0).unwrap();
        let load = Load { label: Label::Bead, mass: 1e-4, volume: 1e-8, centroid: [1e-3, 2e-3], gyration_sq: 0.0 };
        let body = Sinking::firm(Body { loads: vec![load], elements: vec![] });
        assert_eq!(body.at(0.0, &water), body.at(9.0, &water));
        assert_eq!(body.moments(0.0, &water), body.moments(9.0, &water));
        assert_eq!(body.lift_left(Label::Bead, 1.0, &water), None);
    }
}
