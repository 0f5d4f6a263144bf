//! From what the log makes likely to what is laid over the catalog.
//!
//! The best guess of a few readings is a bad correction as often as not: with one to three tests a fit makes things worse for
//! about a quarter of tyers. So each direction in which the unknowns are known apart (eigenvectors of their covariance) is
//! moved by the positive-part share 1 - c v / u^2 of its estimate u, v its variance: not at all where the log does not even
//! tell that the catalog is off, nearly whole where it tells so plainly (James & Stein 1961 with the positive part; Efron &
//! Morris 1973, *JASA* 68:117; from memory). What remains unmoved is counted into the errors.
//!
//! What habits of the hand do to the log's recipes is handed to the corrections that do the same there: a catalog has parts,
//! no hands. Habits of reading are left behind.

use super::model::Model;
use nalgebra::{DMatrix, DVector};

/// The c of the share moved: an estimate within the square root of it times its own error is not followed. Chosen by the
/// simulated tyers of `tests/jar`: 2 leaves fewer worse off, and all less well off.
const HELD: f64 = 1.0;
/// A correction of which the log tells less than this share of the prior variance is left as it is.
pub const TOLD_LITTLE: f64 = 0.02;
/// How exactly habits are handed over, in units of the wanted figures' own units: half a degree of hang, one per cent of time.
const HANDED: f64 = 0.1;

/// A figure that the calibration is for: slopes per shared unknown, in [`super::next_test`]'s units. Habits of reading have none.
#[derive(Debug, Clone)]
pub(super) struct Wanted {
    pub(super) slopes: DVector<f64>,
    pub(super) is_hang: bool,
}

/// What is laid over the catalog.
#[derive(Debug, Clone)]
pub(super) struct Applied {
    /// One for each shared unknown; those of habits are 0.
    pub(super) z: DVector<f64>,
    /// Mean square of what the unknowns may be off from `z`: covariance, and what was not followed.
    pub(super) error: DMatrix<f64>,
    /// Which corrections the log tells anything about.
    pub(super) told: Vec<bool>,
}

/// An estimate of the shared unknowns.
#[derive(Debug, Clone)]
pub(super) struct Estimate {
    pub(super) z: DVector<f64>,
    pub(super) covariance: DMatrix<f64>,
}

impl Estimate {
    /// What is laid over the catalog.
    pub(super) fn applied(&self, model: &Model, wanted: &[Wanted]) -> Applied {
        let corrections = model.corrections().len();
        let moving: Vec<usize> = (0..self.z.len())
            .filter(|j| *j < corrections || model.habits()[*j - corrections].goes_with_flies())
            .collect();
        let followed = self.followed(&moving);
        let told: Vec<bool> = (0..corrections).map(|i| 1.0 - self.covariance[(i, i)] >= TOLD_LITTLE).collect();
        let kept: Vec<usize> = (0..corrections).filter(|i| told[*i]).collect();
        let mut z = DVector::zeros(self.z.len());
        kept.iter().for_each(|i| z[*i] = followed[*i]);
        let rest = &followed - &z;
        for (i, more) in kept.iter().zip(self.handed(&kept, &rest, wanted).iter()) {
            z[*i] += more;
        }
        let off = &self.z - &z;
        Applied { error: &self.covariance + &off * off.transpose(), z, told }
    }

    /// The estimate as far as it is followed, direction by direction.
    fn followed(&self, moving: &[usize]) -> DVector<f64> {
        let n = moving.len();
        let part = DMatrix::from_fn(n, n, |i, j| self.covariance[(moving[i], moving[j])]);
        let whole = DVector::from_iterator(n, moving.iter().map(|i| self.z[*i]));
        let directions = part.symmetric_eigen();
        let mut followed = DVector::zeros(self.z.len());
        for (k, variance) in directions.eigenvalues.iter().enumerate() {
            let direction = directions.eigenvectors.column(k);
            let along = direction.dot(&whole);
            if along * along > HELD * variance {
                let share = 1.0 - HELD * variance.max(0.0) / (along * along);
                moving.iter().zip(direction.iter()).for_each(|(i, d)| followed[*i] += share * along * d);
            }
        }
        followed
    }

    /// What the corrections that are kept must add for the wanted figures to move as `rest` would move them: least in units
    /// of what is uncertain.
    fn handed(&self, kept: &[usize], rest: &DVector<f64>, wanted: &[Wanted]) -> DVector<f64> {
        let (n, m) = (wanted.len(), kept.len());
        if n == 0 || m == 0 || rest.norm() == 0.0 {
            return DVector::zeros(m);
        }
        let slopes = DMatrix::from_fn(n, m, |r, i| wanted[r].slopes[kept[i]]);
        let part = DMatrix::from_fn(m, m, |i, j| self.covariance[(kept[i], kept[j])]);
        let asked = DVector::from_iterator(n, wanted.iter().map(|w| w.slopes.dot(rest)));
        let along = &part * slopes.transpose();
        let mut whole = &slopes * &along;
        (0..n).for_each(|r| whole[(r, r)] += HANDED * HANDED);
        whole.cholesky().map_or_else(|| DVector::zeros(m), |w| along * w.solve(&asked))
    }
}
