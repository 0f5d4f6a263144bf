//! A fly on a slack line, and a fly on a line that goes slack and tight: planar motion of a rigid body in still water.
//!
//! **Frame.** The state is the velocity (u, w) of the tie point along the hook frame's x and y, the turning rate omega (positive
//! from x to y) and the turn beta, by which downward is d = (sin beta, -cos beta) in the hook frame; beta' = -omega. The plane of the
//! hook stays upright: rolling and spiralling out of it are left out.
//!
//! **Equations.** Kirchhoff's, with M of [`inertia`], p = (px, py) the impulse and h its moment about the tie point:
//!
//! dp/dt + omega z x p = F, dh/dt + v x p = N
//!
//! F and N are the submerged weight and its moment, and the drag of `strips`. The part of v x p that comes from water
//! set moving is the Munk moment: it turns a slender body broadside to its motion, and drag turns it back. The wake of a
//! real one takes most of it away ([`turning_share`]). Source: Lamb, *Hydrodynamics* 6th ed., sec. 124 (from memory); the
//! strips are the cross-flow principle of [`super::build_up`].
//!
//! [`turning_share`]: super::drag::short::turning_share
//!
//! **Left out.** The history force: starts are too quick by a third (see [`super::added_mass`]), which puts measured glass spheres
//! 0.3 to 3 mm, or up to 0.013 s, ahead of their countdown, once and for all depths; lift of the tail, shedding that
//! makes bodies wobble, elements in each other's wake, fibres that fold back with speed, rolling out of the plane.

pub mod countdown;
mod factors;
mod history;
pub mod inertia;
mod motion;
pub mod settled;
mod slack;
mod strips;
mod stroke;

pub use countdown::{
    Countdown, Passing, Way, even_time, lowered_countdown, lowered_speed, slack_countdown, steady_time,
};
pub use factors::Factors;
pub use history::HistoryError;
pub use motion::{Fall, Medium};
pub use settled::Settled;
pub use slack::{Course, SlackFall, from_rest};
pub use strips::drag;
pub use stroke::{Slack, Stroke, dive, stroke};
