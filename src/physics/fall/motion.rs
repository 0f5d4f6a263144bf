//! The planar equations of motion of a body that may shrink as it sinks.

use super::inertia::Inertia;
use super::{Factors, strips};
use crate::physics::leader::Leader;
use crate::physics::sinking::Sinking;
use crate::physics::statics::Moments;
use crate::physics::warning::{Warning, note_worst};
use crate::physics::water::Water;

/// Everything a fall depends on but where the fly is and how it moves.
#[derive(Debug, Clone)]
pub struct Fall<'a> {
    /// The fly.
    pub sinking: &'a Sinking,
    /// The water.
    pub water: Water,
    /// A length of tippet that it draws down, if any.
    pub leader: Option<Leader>,
    /// Factors on the assumed figures.
    pub factors: Factors,
    firm_moments: Moments,
    /// Fly and held water of what keeps its volume.
    firm_rigid: Inertia,
    /// Water pushed aside by it.
    firm_added: Inertia,
}

/// What depth alone decides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Medium {
    /// Depth, m.
    pub depth: f64,
    /// Submerged weight and moments of the fly, without leader.
    pub moments: Moments,
    /// Submerged weight with the leader's, N.
    pub weight: f64,
    /// All that has to be moved.
    pub inertia: Inertia,
    /// Water pushed aside alone.
    pub added: Inertia,
    pressure: f64,
    leader: Option<Leader>,
}

impl Medium {
    /// Length of the body for scaling, m: root of its moment of inertia about the tie point over its mass.
    #[must_use]
    pub fn reach(&self) -> f64 {
        let m = &self.inertia.rows;
        (m[2][2] / m[0][0].max(f64::MIN_POSITIVE)).sqrt().max(1e-6)
    }
}

impl<'a> Fall<'a> {
    /// Without leader and with the figures as assumed.
    #[must_use]
    pub fn new(sinking: &'a Sinking, water: &Water) -> Self {
        Self::with(sinking, water, None, Factors::NONE)
    }

    /// With a leader and with factors on what is assumed.
    #[must_use]
    pub fn with(sinking: &'a Sinking, water: &Water, leader: Option<Leader>, factors: Factors) -> Self {
        let loads = sinking.firm.loads.iter().chain(sinking.gas.iter().map(|g| &g.load));
        let rigid = loads.fold(Inertia::default(), |sum, load| sum.plus(&Inertia::of_load(load)));
        let (mut firm_rigid, mut firm_added) = (rigid, Inertia::default());
        for element in &sinking.firm.elements {
            firm_rigid = firm_rigid.plus(&scaled(Inertia::held(element, water.density), factors.held));
            firm_added = firm_added.plus(&scaled(Inertia::added(element, water.density), factors.added));
        }
        Self {
            sinking,
            water: *water,
            leader,
            factors,
            firm_moments: sinking.firm.moments(water.density),
            firm_rigid,
            firm_added,
        }
    }

    /// What a depth decides.
    #[must_use]
    pub fn medium(&self, depth: f64) -> Medium {
        let pressure = self.water.pressure_at_depth(depth.max(0.0));
        let (mut rigid, mut added) = (self.firm_rigid, self.firm_added);
        for soft in &self.sinking.soft {
            let element = soft.at(pressure);
            rigid = rigid.plus(&scaled(Inertia::held(&element, self.water.density), self.factors.held));
            added = added.plus(&scaled(Inertia::added(&element, self.water.density), self.factors.added));
        }
        let moments = self.sinking.shrunk(self.firm_moments, depth, &self.water);
        let leader = self.leader.map(|l| l.under_water(depth));
        let weight = moments.weight + leader.map_or(0.0, |l| l.weight(self.water.density));
        Medium { depth, moments, weight, inertia: rigid.plus(&added), added, pressure, leader }
    }

    /// Force along x and y (N) and moment about the tie point (N m) of the water on the moving fly and leader.
    #[must_use]
    pub fn drag(&self, medium: &Medium, q: [f64; 3], note: &mut dyn FnMut(Warning)) -> [f64; 3] {
        let mut sum = [0.0; 3];
        let mut add = |element: &_| {
            let part = strips::drag(element, q, &self.water, &self.factors, note);
            sum.iter_mut().zip(part).for_each(|(s, p)| *s += p);
        };
        self.sinking.firm.elements.iter().for_each(&mut add);
        for soft in &self.sinking.soft {
            add(&soft.at(medium.pressure));
        }
        let speed = q[0].hypot(q[1]);
        if let Some(leader) = medium.leader
            && speed > 0.0
        {
            let friction = self.factors.along * leader.friction(speed, &self.water, note);
            sum[0] -= friction * q[0] / speed;
            sum[1] -= friction * q[1] / speed;
        }
        sum
    }

    /// Rates of change of (u, w, omega) at a turn beta.
    #[must_use]
    pub fn accelerations(&self, medium: &Medium, q: [f64; 3], beta: f64) -> [f64; 3] {
        let drag = self.drag(medium, q, &mut |_| {});
        let down = down(beta);
        let pull = [
            drag[0] + medium.weight * down[0],
            drag[1] + medium.weight * down[1],
            drag[2] + weight_moment(medium.moments, beta),
        ];
        let all = medium.inertia.times(q);
        let turning = q[0] * all[1] - q[1] * all[0] - (1.0 - self.factors.munk) * munk_moment(medium, q);
        medium.inertia.solve([pull[0] + q[2] * all[1], pull[1] - q[2] * all[0], pull[2] - turning])
    }

    /// Correlations used outside their range at a motion.
    pub fn note(&self, medium: &Medium, q: [f64; 3], warnings: &mut Vec<Warning>) {
        let _ = self.drag(medium, q, &mut |new| note_worst(warnings, new));
    }
}

fn scaled(inertia: Inertia, factor: f64) -> Inertia {
    Inertia { rows: inertia.rows.map(|row| row.map(|v| factor * v)) }
}

/// Downward unit vector in the hook frame at a turn beta.
#[must_use]
pub(super) fn down(beta: f64) -> [f64; 2] {
    let (sin, cos) = beta.sin_cos();
    [sin, -cos]
}

/// Moment of the submerged weight about the tie point, N m, positive from x to y.
#[must_use]
pub(super) fn weight_moment(moments: Moments, beta: f64) -> f64 {
    let (sin, cos) = beta.sin_cos();
    -(moments.x * cos + moments.y * sin)
}

/// v x p of the water pushed aside: what has to be taken from the moment.
#[must_use]
pub(super) fn munk_moment(medium: &Medium, q: [f64; 3]) -> f64 {
    let p = medium.added.times(q);
    q[0] * p[1] - q[1] * p[0]
}
