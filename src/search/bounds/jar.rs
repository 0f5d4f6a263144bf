//! How flies of a set hang in the jar.

use super::contribution::InJar;
use super::range::Range;

/// How flies that are to hang at d hang in the jar.
#[derive(Debug, Clone, Copy)]
pub(super) struct Jar {
    /// tan(delta), the least in size.
    pub(super) least: f64,
    /// tan(delta), where it is known.
    pub(super) tan: Option<Range>,
    /// By how much more foam pulls the fly down in the jar, N m.
    pub(super) down: Range,
    /// By how much more it turns it there, in size, at least, N m.
    pub(super) aside: f64,
    /// By which S may be greater than it seems.
    pub(super) allowed: f64,
    /// By which M . d may differ once a fly is trimmed.
    pub(super) trimmed: f64,
    /// What foam does at the trimmed length over what it does at the written one, at least.
    pub(super) like: f64,
    /// 1 where what foam does per length is known at the trimmed length, the same share where it is not.
    pub(super) known: f64,
}

impl Jar {
    /// Variance of what cutting does not make up for of the foam itself, (N m)^2, at least.
    pub(super) fn left_of_foam(&self, InJar { across, tilt, .. }: InJar) -> f64 {
        let tilted = tilt.times(Range::point(self.least));
        if tilted.high >= 1.0 {
            return 0.0;
        }
        (self.like * across * self.least / (1.0 - tilted.low)).powi(2)
    }
}
