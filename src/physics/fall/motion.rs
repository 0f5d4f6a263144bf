//! The planar equations of motion of a body that may shrink as it sinks.

use super::inertia::{Inertia, munk_mass};
use super::{Factors, strips};
use crate::physics::body::{DragElement, DragShape};
use crate::physics::build_up::{Ready, share_outside_range};
use crate::physics::doubt::relative_sd;
use crate::physics::drag::short::turning_share;
use crate::physics::leader::Leader;
use crate::physics::sinking::Sinking;
use crate::physics::statics::Moments;
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
    firm: Vec<Ready>,
    firm_turners: Vec<Turner>,
}

/// A solid rod that ideal flow turns when it moves at a slant.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Turner {
    centre: [f64; 2],
    axis: [f64; 2],
    /// Water pushed aside across less along, kg.
    mass: f64,
    /// Diameter of a rod with ends of its own, m; `None` for a stretch of something longer.
    free: Option<f64>,
}

/// Share of the ideal moment on a stretch of a longer rod: a judgement, no source; a hook has little of it.
const STRETCH_TURNS: f64 = 0.5;

impl Turner {
    fn of(element: &DragElement, water_density: f64) -> Option<Self> {
        let DragShape::Slender(rod) = element.shape else { return None };
        let mass = munk_mass(&rod, water_density);
        let free = (rod.blunt_ends > 0.0).then_some(rod.diameter);
        (mass != 0.0).then_some(Self { centre: element.centre, axis: rod.axis, mass, free })
    }

    /// Moment of ideal flow, N m, and the share of it that there is, when its centre moves so.
    fn moment(&self, q: [f64; 3], water: &Water) -> (f64, f64) {
        let v = [q[0] - self.centre[1] * q[2], q[1] + self.centre[0] * q[2]];
        let along = v[0] * self.axis[0] + v[1] * self.axis[1];
        let across = v[1] * self.axis[0] - v[0] * self.axis[1];
        let moment = self.mass * along * across;
        if moment == 0.0 {
            return (0.0, 1.0);
        }
        let speed = along.hypot(across);
        let share = self.free.map_or(STRETCH_TURNS, |diameter| {
            turning_share(speed * diameter / water.kinematic_viscosity(), across.abs() / speed)
        });
        (moment, share)
    }
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
    /// The first of what shrinks, made ready: there is seldom another.
    soft: Option<(Ready, Option<Turner>)>,
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
            firm: sinking.firm.elements.iter().map(Ready::new).collect(),
            firm_turners: sinking.firm.elements.iter().filter_map(|e| Turner::of(e, water.density)).collect(),
        }
    }

    /// What a depth decides.
    #[must_use]
    pub fn medium(&self, depth: f64) -> Medium {
        let pressure = self.water.pressure_at_depth(depth.max(0.0));
        let (mut rigid, mut added) = (self.firm_rigid, self.firm_added);
        let mut first = None;
        for soft in &self.sinking.soft {
            let element = soft.at(pressure, self.water.gas());
            first = first.or_else(|| Some((Ready::new(&element), Turner::of(&element, self.water.density))));
            rigid = rigid.plus(&scaled(Inertia::held(&element, self.water.density), self.factors.held));
            added = added.plus(&scaled(Inertia::added(&element, self.water.density), self.factors.added));
        }
        let moments = self.sinking.shrunk(self.firm_moments, depth, &self.water);
        let leader = self.leader.map(|l| l.under_water(depth));
        let weight = moments.weight + leader.map_or(0.0, |l| l.weight(self.water.density));
        Medium { depth, moments, weight, inertia: rigid.plus(&added), added, pressure, leader, soft: first }
    }

    /// Drag elements that shrink, at a depth, made ready.
    fn soft<'m>(&'m self, medium: &'m Medium) -> impl Iterator<Item = (Ready, Option<Turner>)> + 'm {
        let others = self.sinking.soft.iter().skip(1).map(|soft| {
            let element = soft.at(medium.pressure, self.water.gas());
            (Ready::new(&element), Turner::of(&element, self.water.density))
        });
        medium.soft.into_iter().chain(others)
    }

    /// Force along x and y (N) and moment about the tie point (N m) of the water on the moving fly and leader.
    #[must_use]
    pub fn drag(&self, medium: &Medium, q: [f64; 3]) -> [f64; 3] {
        let mut sum = [0.0; 3];
        let mut add = |element: &Ready| {
            let part = strips::ready_drag(element, q, &self.water, &self.factors);
            sum.iter_mut().zip(part).for_each(|(s, p)| *s += p);
        };
        self.firm.iter().for_each(&mut add);
        self.soft(medium).for_each(|(ready, _)| add(&ready));
        let speed = q[0].hypot(q[1]);
        if let Some(leader) = medium.leader
            && speed > 0.0
        {
            let friction = self.factors.along * leader.friction(speed, &self.water);
            sum[0] -= friction * q[0] / speed;
            sum[1] -= friction * q[1] / speed;
        }
        sum
    }

    /// Moment by which the wake lessens the turning of ideal flow, N m: what has to be added to Kirchhoff's.
    #[must_use]
    pub fn shed(&self, medium: &Medium, q: [f64; 3]) -> f64 {
        let soft = self.soft(medium).filter_map(|(_, turner)| turner);
        let each = self.firm_turners.iter().copied().chain(soft).map(|turner| {
            let (moment, share) = turner.moment(q, &self.water);
            (1.0 - self.factors.munk * share) * moment * self.factors.added
        });
        each.sum()
    }

    /// Rates of change of (u, w, omega) at a turn beta.
    #[must_use]
    pub fn accelerations(&self, medium: &Medium, q: [f64; 3], beta: f64) -> [f64; 3] {
        let drag = self.drag(medium, q);
        let down = down(beta);
        let pull = [
            drag[0] + medium.weight * down[0],
            drag[1] + medium.weight * down[1],
            drag[2] + weight_moment(medium.moments, beta),
        ];
        let all = medium.inertia.times(q);
        let turning = q[0] * all[1] - q[1] * all[0] - self.shed(medium, q);
        medium.inertia.solve([pull[0] + q[2] * all[1], pull[1] - q[2] * all[0], pull[2] - turning])
    }

    /// Relative standard deviation of the speed of a steady fall with this velocity, m/s.
    #[must_use]
    pub fn relative_sd(&self, medium: &Medium, velocity: [f64; 2]) -> f64 {
        relative_sd(&self.sinking.at(medium.depth, &self.water), velocity, &self.water)
    }

    /// Share of the drag at a motion that comes from where a correlation is used outside its range.
    #[must_use]
    pub fn share_outside_range(&self, medium: &Medium, q: [f64; 3]) -> f64 {
        let soft = self.sinking.soft.iter().map(|s| s.at(medium.pressure, self.water.gas()));
        let elements: Vec<DragElement> = self.sinking.firm.elements.iter().copied().chain(soft).collect();
        share_outside_range(&elements, [q[0], q[1]], &self.water)
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
