//! The hang by another route: a general-purpose rigid-body engine, which shares no code with ours, settles hung bodies.
//!
//! Weights and lifts pull at their own places on one rigid body that turns on a hinge at the tie point, with friction of
//! the engine's own kind. Lengths are in centimetres and forces in millinewtons: the engine is made for things of
//! about one metre and one newton.

use super::cases;
use super::hang::{rest, still_water};
use super::random_fly::parts;
use counterpoise::fly::body;
use counterpoise::physics::body::{Label, Load};
use counterpoise::physics::statics::{Knot, Moments};
use proptest::collection::vec;
use proptest::prelude::*;
use rapier2d_f64::prelude::{MassProperties, PhysicsWorld, RevoluteJointBuilder, RigidBodyBuilder, Vector};
use std::f64::consts::{PI, TAU};

const PER_METRE: f64 = 100.0;
const PER_NEWTON: f64 = 1000.0;

/// A weight, and where it pulls.
type Pull = (f64, [f64; 2]);

/// Turn of the hook frame at which the engine lets the body settle, rad.
fn settled(pulls: &[Pull], start: f64) -> f64 {
    let mut world = PhysicsWorld { gravity: Vector::new(0.0, 0.0), ..PhysicsWorld::default() };
    world.integration_parameters.dt = 1e-2;
    let wall = world.bodies.insert(RigidBodyBuilder::fixed());
    // Any mass will do: only the rest is asked for.
    let mass = MassProperties::new(Vector::new(0.3, -0.1), 1.0, 1.0);
    let hung = world.bodies.insert(
        RigidBodyBuilder::dynamic()
            .rotation(start)
            .additional_mass_properties(mass)
            .angular_damping(3.5)
            .can_sleep(false),
    );
    let joint = RevoluteJointBuilder::new().local_anchor1(Vector::new(0.0, 0.0)).local_anchor2(Vector::new(0.0, 0.0));
    world.impulse_joints.insert(wall, hung, joint, true);
    let mut still = 0;
    for _ in 0..20_000 {
        let body = &mut world.bodies[hung];
        // Forces at a point leave a torque behind that the other reset does not take away.
        body.reset_forces(true);
        body.reset_torques(true);
        for (weight, at) in pulls {
            let place = *body.position() * Vector::new(at[0], at[1]);
            body.add_force_at_point(Vector::new(0.0, -*weight), place, true);
        }
        world.step();
        still = if world.bodies[hung].angvel().abs() < 1e-9 { still + 1 } else { 0 };
        if still > 20 {
            break;
        }
    }
    world.bodies[hung].rotation().angle()
}

/// The engine's turn of the frame as a downward direction in the frame.
fn down(turn: f64) -> [f64; 2] {
    [-turn.sin(), -turn.cos()]
}

fn agree(loads: &[Load], water: f64, start: f64) -> Result<(), TestCaseError> {
    let moments = loads.iter().fold(Moments::default(), |m, l| m.plus(l.submerged_weight(water), l.centroid));
    prop_assume!(moments.weight > 1e-4 && moments.magnitude() > 2e-4 * moments.weight);
    let ours = rest(moments, Knot::Loop, 0.0).down;
    // All as strong together as one newton on one metre.
    let scale = 3.0 / (moments.magnitude() * PER_METRE * PER_NEWTON);
    let pulls: Vec<Pull> = loads
        .iter()
        .map(|l| {
            (l.submerged_weight(water) * PER_NEWTON * scale, [l.centroid[0] * PER_METRE, l.centroid[1] * PER_METRE])
        })
        .collect();
    let theirs = down(settled(&pulls, start));
    let off = (ours[0] * theirs[1] - ours[1] * theirs[0]).abs();
    prop_assert!(ours[0] * theirs[0] + ours[1] * theirs[1] > 0.0 && off < 1e-5, "{ours:?} {theirs:?}");
    Ok(())
}

fn loads() -> impl Strategy<Value = Vec<Load>> {
    let one = (1e-5..1e-3f64, 0.0..4e-7f64, -20e-3..20e-3f64, -8e-3..8e-3f64).prop_map(|(mass, volume, x, y)| Load {
        label: Label::Hook,
        mass,
        volume,
        centroid: [x, y],
        gyration_sq: 0.0,
    });
    vec(one, 2..7)
}

proptest! {
    #![proptest_config(cases(8))]

    #[test]
    fn random_loads_settle_where_ours_hang(loads in loads(), start in 0.0..TAU) {
        agree(&loads, 1000.0, start)?;
    }

    #[test]
    fn random_flies_settle_where_ours_hang(parts in parts(), start in -PI..PI) {
        agree(&body(&parts.fly(), &still_water()).loads, still_water().water.density, start)?;
    }
}
