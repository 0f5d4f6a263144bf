//! Settled falls: steady motions without turning, and whether they are stable.
//!
//! Unknown are the velocity (u, w) and the attitude. For a direction of motion gamma in the hook frame the drag grows with speed, so one
//! speed makes its size equal to the weight; downward is then against the drag, and what is left over of the moment,
//!
//! g(gamma) = N_drag + M x d - (v x p_added, less what the wake takes of it),
//!
//! is a function of one angle alone. Its zeros on the circle are all the settled falls. They are found between the
//! stations of a scan: two closer than a step (under 4 degrees) can be missed, and such a pair is one stable and one
//! unstable fall that nearly cancel.
//!
//! Stability: largest real part of the eigenvalues of the motion (u, w, omega, beta) linearised there. Negative is stable;
//! its inverse is the time in which a disturbance falls by a factor e.

use super::motion::{Fall, Medium, down, munk_moment};
use crate::numeric::bracketed_root;
use crate::physics::constants::FASTEST;
use std::f64::consts::{PI, TAU};

/// Stations of the scan.
const STATIONS: usize = 96;
/// Moments below this share of weight times reach are none: the attitude does not matter (a bare ball).
const NO_MOMENT: f64 = 1e-9;

/// A steady fall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settled {
    /// Velocity of the tie point, hook frame, m/s.
    pub velocity: [f64; 2],
    /// Turn beta of the downward direction, rad.
    pub beta: f64,
    /// Rate at which the least damped disturbance grows, 1/s; negative: stable; 0 for a body that does not care how it
    /// is turned.
    pub growth: f64,
}

impl Settled {
    /// Vertical speed, m/s, positive down.
    #[must_use]
    pub fn sink_rate(&self) -> f64 {
        let d = down(self.beta);
        self.velocity[0] * d[0] + self.velocity[1] * d[1]
    }

    /// Horizontal speed, m/s, positive head first.
    #[must_use]
    pub fn glide(&self) -> f64 {
        let (sin, cos) = self.beta.sin_cos();
        let aft = self.velocity[0] * cos + self.velocity[1] * sin;
        if cos < 0.0 { aft } else { -aft }
    }

    /// Shank from horizontal, rad, positive tail down.
    #[must_use]
    pub fn attitude(&self) -> f64 {
        self.beta.sin().clamp(-1.0, 1.0).asin()
    }

    /// Whether disturbances die out, or at least do not grow.
    #[must_use]
    pub fn stable(&self) -> bool {
        self.growth <= 0.0
    }
}

/// A motion straight in one direction at which drag equals weight.
#[derive(Clone, Copy)]
struct Straight {
    velocity: [f64; 2],
    beta: f64,
    left_over: f64,
}

impl Fall<'_> {
    /// All settled falls at a depth, in order of their direction of motion in the hook frame. Empty without weight or
    /// without anything to hold it back; one, in the direction of `beta`, for a body that does not care (a ball).
    #[must_use]
    pub fn settled(&self, medium: &Medium, beta: f64) -> Vec<Settled> {
        if medium.weight == 0.0 {
            return Vec::new();
        }
        let step = TAU / STATIONS as f64;
        let mut guess = 0.1;
        let mut stations = Vec::with_capacity(STATIONS + 1);
        for i in 0..=STATIONS {
            let gamma = -PI + step * i as f64;
            let Some(at) = self.straight(medium, gamma, guess) else { return Vec::new() };
            guess = at.velocity[0].hypot(at.velocity[1]);
            stations.push((gamma, at));
        }
        let least = NO_MOMENT * medium.weight.abs() * medium.reach();
        if stations.iter().all(|(_, at)| at.left_over.abs() <= least) {
            return self.indifferent(medium, beta).into_iter().collect();
        }
        let none = |at: &Straight| at.left_over.abs() <= least;
        stations
            .windows(2)
            .filter_map(|pair| {
                let [(from, a), (to, b)] = [pair[0], pair[1]];
                if none(&a) {
                    // On the axis of a symmetric body: the last bit must not decide whether it is found.
                    Some(self.at(medium, &a))
                } else if !none(&b) && (a.left_over < 0.0) != (b.left_over < 0.0) {
                    self.root_between(medium, from, to, guess)
                } else {
                    None
                }
            })
            .collect()
    }

    /// The settled fall next to a known one, when depth has changed a little; `None` where it is lost.
    #[must_use]
    pub fn settled_near(&self, medium: &Medium, known: &Settled) -> Option<Settled> {
        let gamma = known.velocity[1].atan2(known.velocity[0]);
        let speed = known.velocity[0].hypot(known.velocity[1]);
        let at = |gamma: f64| self.straight(medium, gamma, speed).map(|s| s.left_over);
        let least = NO_MOMENT * medium.weight.abs() * medium.reach();
        let mut reach = 0.5f64.to_radians();
        for _ in 0..5 {
            let (low, high) = (at(gamma - reach)?, at(gamma + reach)?);
            if low.abs().max(high.abs()) <= least {
                return self.indifferent(medium, known.beta);
            }
            if (low < 0.0) != (high < 0.0) {
                return self.root_between(medium, gamma - reach, gamma + reach, speed);
            }
            reach *= 2.0;
        }
        None
    }

    fn indifferent(&self, medium: &Medium, beta: f64) -> Option<Settled> {
        let d = down(beta);
        let way = if medium.weight < 0.0 { [-d[0], -d[1]] } else { d };
        let at = self.straight(medium, way[1].atan2(way[0]), 0.1)?;
        Some(Settled { velocity: at.velocity, beta: at.beta, growth: 0.0 })
    }

    fn root_between(&self, medium: &Medium, from: f64, to: f64, guess: f64) -> Option<Settled> {
        // A station without an answer ends the search for this root: NaN is refused by the root finder.
        let left_over = |gamma: f64| self.straight(medium, gamma, guess).map_or(f64::NAN, |s| s.left_over);
        let gamma = bracketed_root(left_over, from, to, 1e-10).ok()?;
        self.straight(medium, gamma, guess).map(|at| self.at(medium, &at))
    }

    fn at(&self, medium: &Medium, at: &Straight) -> Settled {
        Settled { velocity: at.velocity, beta: at.beta, growth: self.growth(medium, at) }
    }

    /// Motion in the direction gamma with drag equal to weight; `None` where no speed gives that.
    fn straight(&self, medium: &Medium, gamma: f64, guess: f64) -> Option<Straight> {
        let (sin, cos) = gamma.sin_cos();
        let weight = medium.weight.abs();
        let drag = |speed: f64| self.drag(medium, [speed * cos, speed * sin, 0.0]);
        let size = |f: &[f64; 3]| f[0].hypot(f[1]);
        let speed = balance(|speed| size(&drag(speed)), weight, guess)?;
        let force = drag(speed);
        let d = [-force[0] / medium.weight, -force[1] / medium.weight];
        let q = [speed * cos, speed * sin, 0.0];
        let moments = medium.moments;
        let turning = munk_moment(medium, q) - self.shed(medium, q);
        let left_over = force[2] + moments.x * d[1] - moments.y * d[0] - turning;
        Some(Straight { velocity: [q[0], q[1]], beta: d[0].atan2(-d[1]), left_over })
    }

    /// Largest real part of the eigenvalues of the linearised motion.
    fn growth(&self, medium: &Medium, at: &Straight) -> f64 {
        let speed = at.velocity[0].hypot(at.velocity[1]);
        let scale = [speed, speed, speed / medium.reach(), 1.0];
        let rate = |y: [f64; 4]| {
            let a = self.accelerations(medium, [y[0], y[1], y[2]], y[3]);
            [a[0], a[1], a[2], -y[2]]
        };
        let centre = [at.velocity[0], at.velocity[1], 0.0, at.beta];
        let mut jacobian = [[0.0; 4]; 4];
        for j in 0..4 {
            let h = 1e-4 * scale[j];
            let (mut up, mut low) = (centre, centre);
            up[j] += h;
            low[j] -= h;
            let (up, low) = (rate(up), rate(low));
            for (i, row) in jacobian.iter_mut().enumerate() {
                row[j] = (up[i] - low[i]) / (2.0 * h);
            }
        }
        largest_real_part(&characteristic(&jacobian))
    }
}

/// Speed at which a force that grows with speed equals `weight`: secant steps in the logarithms from a guess, and a
/// bracketed root where those do not settle.
fn balance(force: impl Fn(f64) -> f64, weight: f64, guess: f64) -> Option<f64> {
    let mut speed = guess.clamp(1e-6, FASTEST);
    let mut power = 1.7;
    let mut last: Option<(f64, f64)> = None;
    for _ in 0..20 {
        let excess = (force(speed) / weight).ln();
        if !excess.is_finite() {
            break;
        }
        if excess.abs() < 1e-12 {
            return Some(speed);
        }
        if let Some((s, e)) = last
            && s != speed
        {
            let slope = (excess - e) / (speed / s).ln();
            power = if (0.3..4.0).contains(&slope) { slope } else { power };
        }
        last = Some((speed, excess));
        let next = (speed * (-excess / power).exp()).clamp(1e-9, FASTEST);
        if next == speed {
            break;
        }
        speed = next;
    }
    bracketed_root(|speed| force(speed) - weight, 0.0, FASTEST, 1e-13).ok()
}

/// Coefficients c of s^4 + c3 s^3 + c2 s^2 + c1 s + c0 = det(s - A), by Faddeev and Leverrier.
fn characteristic(a: &[[f64; 4]; 4]) -> [f64; 4] {
    let mut coefficients = [0.0; 4];
    let mut m = [[0.0; 4]; 4];
    let mut leading = 1.0;
    for k in 1..=4 {
        // M_k = A M_(k-1) + c I, c = -trace(A M_k) / k.
        let mut next = [[0.0; 4]; 4];
        for i in 0..4 {
            for j in 0..4 {
                next[i][j] = (0..4).map(|l| a[i][l] * m[l][j]).sum();
            }
            next[i][i] += leading;
        }
        m = next;
        let trace: f64 = (0..4).map(|i| (0..4).map(|l| a[i][l] * m[l][i]).sum::<f64>()).sum();
        leading = -trace / f64::from(k);
        coefficients[4 - k as usize] = leading;
    }
    coefficients
}

/// Largest real part of the roots of s^4 + c3 s^3 + c2 s^2 + c1 s + c0, by simultaneous iteration (Durand and Kerner).
fn largest_real_part(c: &[f64; 4]) -> f64 {
    let size = 1.0 + c.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    // Scale s = r z with r^4 >= |c0| and so on, so that the roots lie inside the unit disc.
    let r = (0..4).map(|k| c[k].abs().powf(1.0 / (4 - k) as f64)).fold(f64::MIN_POSITIVE, f64::max) * 2.0;
    if !size.is_finite() || !r.is_finite() {
        return f64::INFINITY;
    }
    let scaled: Vec<f64> = (0..4).map(|k| c[k] / r.powi(4 - k as i32)).collect();
    let times = |a: (f64, f64), b: (f64, f64)| (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0);
    let mut roots = [(0.4, 0.9), (-0.65, 0.72), (-0.908, -0.297), (0.6, -0.7)];
    for _ in 0..200 {
        let mut moved = 0.0_f64;
        for i in 0..4 {
            let z = roots[i];
            let value = (0..4).rev().fold((1.0, 0.0), |p, k| {
                let p = times(p, z);
                (p.0 + scaled[k], p.1)
            });
            let below =
                (0..4).filter(|j| *j != i).fold((1.0, 0.0), |p, j| times(p, (z.0 - roots[j].0, z.1 - roots[j].1)));
            let square = (below.0 * below.0 + below.1 * below.1).max(f64::MIN_POSITIVE);
            let step = times(value, (below.0 / square, -below.1 / square));
            roots[i] = (z.0 - step.0, z.1 - step.1);
            moved = moved.max(step.0.abs().max(step.1.abs()));
        }
        if moved < 1e-14 {
            break;
        }
    }
    r * roots.iter().map(|z| z.0).fold(f64::NEG_INFINITY, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eigenvalues_of_a_known_matrix() {
        // Blocks with eigenvalues -1 +- 2i and -3, -5, mixed by a shear.
        let a = [[-1.0, 2.0, 4.0, 0.0], [-2.0, -1.0, 0.0, 1.0], [0.0, 0.0, -3.0, 7.0], [0.0, 0.0, 0.0, -5.0]];
        let c = characteristic(&a);
        // (s^2 + 2 s + 5)(s^2 + 8 s + 15)
        for (ours, theirs) in c.iter().zip([75.0, 70.0, 36.0, 10.0]) {
            assert!((ours - theirs).abs() < 1e-10, "{c:?}");
        }
        assert!((largest_real_part(&c) + 1.0).abs() < 1e-9);
        let growing = [[0.5, 0.0, 0.0, 0.0], [0.0, -1e3, 0.0, 0.0], [0.0, 0.0, -3.0, 0.0], [0.0, 0.0, 0.0, -40.0]];
        assert!((largest_real_part(&characteristic(&growing)) - 0.5).abs() < 1e-6);
    }

    #[test]
    fn balance_finds_speeds_of_any_size() {
        for weight in [1e-9, 1e-3, 0.7] {
            let force = |v: f64| 0.02 * v + 0.4 * v * v;
            let speed = balance(force, weight, 0.1).unwrap();
            assert!((force(speed) / weight - 1.0).abs() < 1e-9);
        }
        assert!(balance(|_| 0.0, 1.0, 0.1).is_none());
    }
}
