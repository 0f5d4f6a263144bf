//! The hang on a snug knot by another route: a chain of stiff little links stands for the line, and the whole, chain and
//! fly, goes to its least energy by Newton's method. No elastica formula is used.

use super::cases;
use super::hang::sinking;
use counterpoise::physics::statics::{Hang, Knot, Moments, Tippet, hang};
use proptest::prelude::*;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

const LINKS: usize = 600;

/// A fly on a chain. Unknowns: angle of each link from the vertical, from the top down, then the turn of the fly from
/// where the last link would leave it straight.
struct Chain {
    moments: Moments,
    /// Bending stiffness over length of a link, N m.
    joint: f64,
    /// Weight times length of a link, N m.
    pull: f64,
    /// Turn of the fly's downward direction at which the line leaves the eye straight.
    straight: f64,
}

impl Chain {
    fn new(moments: Moments, line: Tippet, neck: f64) -> Self {
        let stiffness = line.modulus * PI * line.diameter.powi(4) / 64.0;
        let decay = (stiffness / moments.weight).sqrt();
        let link = 15.0 * decay / LINKS as f64;
        Self { moments, joint: stiffness / link, pull: moments.weight * link, straight: FRAC_PI_2 - neck }
    }

    /// Stiffness of the joint above unknown `i`; the last link is held half a link from its middle.
    fn stiffness(&self, i: usize) -> f64 {
        if i == LINKS { 2.0 * self.joint } else { self.joint }
    }

    fn energy(&self, q: &[f64]) -> f64 {
        let bends: f64 = (1..=LINKS).map(|i| 0.5 * self.stiffness(i) * (q[i] - q[i - 1]).powi(2)).sum();
        let lifted: f64 = q[..LINKS].iter().map(|t| self.pull * (1.0 - t.cos())).sum();
        let (sin, cos) = (self.straight + q[LINKS]).sin_cos();
        bends + lifted - (self.moments.x * sin - self.moments.y * cos)
    }

    /// Slope, and the diagonal of the curvature.
    fn slope(&self, q: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let mut slope: Vec<f64> = q[..LINKS].iter().map(|t| self.pull * t.sin()).collect();
        let mut curve: Vec<f64> = q[..LINKS].iter().map(|t| self.pull * t.cos()).collect();
        let (sin, cos) = (self.straight + q[LINKS]).sin_cos();
        slope.push(-(self.moments.x * cos + self.moments.y * sin));
        curve.push(self.moments.x * sin - self.moments.y * cos);
        for i in 1..=LINKS {
            let k = self.stiffness(i);
            let bend = k * (q[i] - q[i - 1]);
            slope[i] += bend;
            slope[i - 1] -= bend;
            curve[i] += k;
            curve[i - 1] += k;
        }
        (slope, curve)
    }

    /// Newton step with `more` on the diagonal; `None` where that is not a bowl.
    fn step(&self, slope: &[f64], curve: &[f64], more: f64) -> Option<Vec<f64>> {
        let (mut pivot, mut right) = (Vec::with_capacity(LINKS + 1), Vec::with_capacity(LINKS + 1));
        for i in 0..=LINKS {
            let (carried, moved) = match i {
                0 => (0.0, 0.0),
                _ => (self.stiffness(i).powi(2) / pivot[i - 1], self.stiffness(i) / pivot[i - 1] * right[i - 1]),
            };
            pivot.push(curve[i] + more - carried);
            right.push(-slope[i] + moved);
            if pivot[i] <= 0.0 {
                return None;
            }
        }
        let mut step = vec![0.0; LINKS + 1];
        for i in (0..=LINKS).rev() {
            let below = if i == LINKS { 0.0 } else { self.stiffness(i + 1) * step[i + 1] };
            step[i] = (right[i] + below) / pivot[i];
        }
        Some(step)
    }

    /// Goes downhill from a turn of the fly; returns the energy and the turn of the fly's downward direction.
    fn settle(&self, start: f64) -> (f64, f64) {
        let mut q: Vec<f64> = (0..=LINKS).map(|i| start * (-15.0 * (1.0 - i as f64 / LINKS as f64)).exp()).collect();
        let mut more = 0.0;
        let mut energy = self.energy(&q);
        for _ in 0..400 {
            let (slope, curve) = self.slope(&q);
            let Some(step) = self.step(&slope, &curve, more) else {
                more = (4.0 * more).max(1e-3 * self.joint);
                continue;
            };
            let tried: Vec<f64> = q.iter().zip(&step).map(|(a, b)| a + b.clamp(-0.3, 0.3)).collect();
            let there = self.energy(&tried);
            if there > energy {
                more = (4.0 * more).max(1e-3 * self.joint);
                if more > 1e9 * self.joint {
                    break;
                }
                continue;
            }
            let moved = step.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
            (q, energy) = (tried, there);
            more = if more > 1e-6 * self.joint { 0.25 * more } else { 0.0 };
            if moved < 1e-10 {
                break;
            }
        }
        (energy, self.straight + q[LINKS])
    }
}

fn apart(a: f64, b: f64) -> f64 {
    ((a - b + PI).rem_euclid(TAU) - PI).abs()
}

proptest! {
    #![proptest_config(cases(24))]

    #[test]
    fn a_chain_of_links_hangs_like_the_line(m in sinking(), d in 0.1e-3..0.3e-3f64, neck in 0.0..1.6f64) {
        let line = Tippet { diameter: d, modulus: 1.5e9 };
        let Hang::Taut { rest, other } = hang(m, Knot::Snug(line), neck) else { return Err(TestCaseError::fail("floats")) };
        let chain = Chain::new(m, line, neck);
        let turn = |down: [f64; 2]| down[0].atan2(-down[1]);
        let settle_at = |down| chain.settle((turn(down) - chain.straight + PI).rem_euclid(TAU) - PI);
        // Both rests hold the chain where they say.
        let (least, at) = settle_at(rest.down);
        prop_assert!(apart(turn(rest.down), at) < 1e-3, "{rest:?} {at}");
        if let Some(other) = other {
            let (_, at) = settle_at(other.down);
            prop_assert!(apart(turn(other.down), at) < 1e-3, "{other:?} {at}");
        }
        // Wherever it starts, it finds nothing lower. (Wound past half a turn it may stick; a line slips round and unwinds.)
        for start in [-2.6, -1.5, -0.5, 0.5, 1.5, 2.6] {
            let (energy, at) = chain.settle(start);
            let unwound = (at - chain.straight).abs() < PI;
            prop_assert!(!unwound || energy > least - 1e-5 * m.magnitude(), "{at} {energy} {rest:?} {least}");
        }
    }
}
