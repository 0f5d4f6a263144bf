//! The fit: corrections from a log, by nonlinear least squares with priors, robust to misread readings.
//!
//! Minimised is the sum over readings of rho((predicted - seen) / error), plus the square of every correction, every habit
//! and every fly's own scatter, all in prior standard deviations. The priors are rows like any reading, so three tests already
//! help and nothing runs away. rho is that of Student's t with 4 degrees of freedom, by weights w = 5 / (4 + r^2) that are
//! computed anew until they stand still (iteratively reweighted least squares; Lange, Little & Taylor 1989, *JASA* 84:881,
//! from memory): a grossly misread angle ends up with next to no weight.
//!
//! Such a sum can have several minima. It is made small from several starts; the least is taken, and one that is nearly as
//! good adds to the errors, as the mirrored log does where it explains nearly as much.
//!
//! Errors are those of the quadratic at the minimum: the inverse of J^T J with the weights and the prior rows in it.

use super::applied::{Applied, Estimate, Wanted};
use super::correction::Correction;
use super::figures::wanted;
use super::habit::Habit;
use super::model::{Model, Point};
use super::solve::{LEFT_OUT, LOOK, Solved, Start, WHOLE};
use super::suspect::{Split, mirrored_chance, split};
use crate::catalog::Catalog;
use crate::fly::UnknownPart;
use crate::jar_log::Entry;
use crate::numeric::least_squares::LeastSquaresError;
use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;
use thiserror::Error;

/// Weight below which a reading looks misread: about three and a half of its own errors beside what its fly may scatter.
pub const MISREAD: f64 = 0.3;
/// How far from the catalog, in prior spreads along what the log tells most of, further starts lie.
const FAR_START: f64 = 2.5;
/// Entries beyond which starts and flies left out are looked at more cheaply.
const LONG: usize = 60;
/// Unknowns that differ by less than this, in prior spreads, are the same minimum.
const SAME: f64 = 0.1;

/// Why there is no fit.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FitError {
    /// No reading.
    #[error("the log has no readings yet")]
    Empty,
    /// A part that the catalog does not hold.
    #[error(transparent)]
    Part(#[from] UnknownPart),
    /// No minimum was found.
    #[error("the jar tests could not be fitted: {0}")]
    NoMinimum(#[from] LeastSquaresError),
}

/// One correction, as it is laid over the catalog.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// What is corrected.
    pub correction: Correction,
    /// Prior spread: a share; of the wall pressure Pa.
    pub spread: f64,
    /// Value, in prior spreads.
    pub z: f64,
    /// Its standard error, in prior spreads, 0 to 1.
    pub left: f64,
}

impl Learned {
    /// exp(s z).
    #[must_use]
    pub fn factor(&self) -> f64 {
        (self.spread * self.z).exp()
    }

    /// s z: the logarithm of the factor; of the wall pressure its shift, Pa.
    #[must_use]
    pub fn shift(&self) -> f64 {
        self.spread * self.z
    }

    /// Standard error of the shift.
    #[must_use]
    pub fn standard_error(&self) -> f64 {
        self.spread * self.left
    }

    /// Share of the prior variance that the log took away.
    #[must_use]
    pub fn told(&self) -> f64 {
        (1.0 - self.left * self.left).max(0.0)
    }
}

/// A habit, as found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LearnedHabit {
    /// Which.
    pub habit: Habit,
    /// How much of it, in its unit in SI.
    pub amount: f64,
    /// Standard error.
    pub standard_error: f64,
}

/// A log that was fitted.
#[derive(Debug, Clone)]
pub struct Fit {
    pub(super) model: Model,
    /// Entries that count.
    pub(super) entries: Vec<usize>,
    /// Where the minimum lies.
    pub(super) solved: Solved,
    /// Estimate of the shared unknowns; other explanations of the log are in its covariance.
    pub(super) estimate: Estimate,
    /// What is laid over the catalog.
    pub(super) applied: Applied,
    pub(super) wanted: Vec<Wanted>,
    mirrored: f64,
    split: Option<Split>,
}

/// Fits a log.
///
/// # Errors
/// [`FitError`].
pub fn fit(model: &Model) -> Result<Fit, FitError> {
    if model.observations().is_empty() {
        return Err(FitError::Empty);
    }
    let entries: Vec<usize> = (0..model.entries()).filter(|e| model.counts(*e)).collect();
    let minima = minima(model, &entries)?;
    let solved = minima[0].clone();
    let mut estimate = Estimate { z: solved.point.z.clone(), covariance: solved.covariance.clone() };
    let mirror = if model.observations().iter().any(|o| o.is_hang()) {
        Solved::new(&model.mirrored(), &entries, Start::Wary, LOOK).ok()
    } else {
        None
    };
    let mirrored = mirror.as_ref().map_or(0.0, |m| mirrored_chance(solved.objective, m.objective));
    let others = minima[1..].iter().map(|m| {
        let odds = (0.5 * (solved.objective - m.objective)).exp();
        (odds / (1.0 + odds), &m.point.z)
    });
    for (chance, z) in others.chain(mirror.iter().map(|m| (mirrored, &m.point.z))) {
        let apart = z - &solved.point.z;
        estimate.covariance += chance * (1.0 - chance) * &apart * apart.transpose();
    }
    let wanted = wanted(model, &estimate.z)?;
    let applied = estimate.applied(model, &wanted);
    let split = split(model, &entries, &solved);
    Ok(Fit { model: model.clone(), entries, solved, estimate, applied, wanted, mirrored, split })
}

/// Fits the entries of a log beside a catalog.
///
/// # Errors
/// [`FitError`].
pub fn fit_entries(catalog: &Catalog, entries: &[Entry]) -> Result<Fit, FitError> {
    fit(&Model::new(catalog, entries)?)
}

/// Minima, the least first, each far from those before it.
fn minima(model: &Model, entries: &[usize]) -> Result<Vec<Solved>, FitError> {
    let first = Solved::new(model, entries, Start::Wary, WHOLE)?;
    let away = |way: f64| Point { z: along_most(&first.covariance) * (way * FAR_START), ..model.start() };
    let mut starts = vec![Start::Trusting(model.start())];
    if entries.len() <= LONG {
        starts.extend([
            Start::At(away(1.0)),
            Start::At(away(-1.0)),
            Start::Trusting(away(1.0)),
            Start::Trusting(away(-1.0)),
        ]);
    }
    let looks: Vec<Solved> =
        starts.into_par_iter().filter_map(|start| Solved::new(model, entries, start, LOOK).ok()).collect();
    let mut found = vec![first];
    for look in looks {
        if found.iter().all(|known| (&known.point.z - &look.point.z).amax() > SAME) {
            found.push(look);
        }
    }
    let least = (0..found.len()).min_by(|a, b| found[*a].objective.total_cmp(&found[*b].objective)).unwrap_or(0);
    if least > 0 {
        let look = found.swap_remove(least);
        let sharp = Solved::new(model, entries, Start::At(look.point), WHOLE)?;
        found.retain(|other| (&other.point.z - &sharp.point.z).amax() > SAME);
        found.insert(0, sharp);
    }
    found[1..].sort_by(|a, b| a.objective.total_cmp(&b.objective));
    Ok(found)
}

/// The direction that a log tells most of.
fn along_most(covariance: &DMatrix<f64>) -> DVector<f64> {
    let directions = covariance.clone().symmetric_eigen();
    let most = directions.eigenvalues.imin();
    directions.eigenvectors.column(most).into_owned()
}

impl Fit {
    /// The corrections.
    #[must_use]
    pub fn learned(&self) -> Vec<Learned> {
        let corrections = self.model.corrections().iter().enumerate().filter(|(i, _)| self.applied.told[*i]);
        let of = |(i, correction): (usize, &Correction)| {
            Some(Learned {
                correction: correction.clone(),
                spread: correction.spread(self.model.catalog())?,
                z: self.applied.z[i],
                left: self.applied.error[(i, i)].clamp(0.0, 1.0).sqrt(),
            })
        };
        corrections.filter_map(of).collect()
    }

    /// The best guess before shrinking: corrections in prior spreads, each with its standard error.
    #[must_use]
    pub fn guesses(&self) -> Vec<(Correction, f64, f64)> {
        let of = |(i, c): (usize, &Correction)| {
            (c.clone(), self.estimate.z[i], self.estimate.covariance[(i, i)].max(0.0).sqrt())
        };
        self.model.corrections().iter().enumerate().map(of).collect()
    }

    /// The habits.
    #[must_use]
    pub fn habits(&self) -> Vec<LearnedHabit> {
        let first = self.model.corrections().len();
        let of = |(k, habit): (usize, &Habit)| LearnedHabit {
            habit: *habit,
            amount: habit.spread() * self.estimate.z[first + k],
            standard_error: habit.spread() * self.estimate.covariance[(first + k, first + k)].max(0.0).sqrt(),
        };
        self.model.habits().iter().enumerate().map(of).collect()
    }

    /// Whether the fit came to rest at a minimum. It cannot where a hang jumps with the least change: a fly about to float,
    /// or one that a snug knot holds in either of two rests.
    #[must_use]
    pub fn settled(&self) -> bool {
        self.solved.level
    }

    /// Corrections that the log says next to nothing about; they are left as the catalog has them.
    #[must_use]
    pub fn untold(&self) -> Vec<Correction> {
        let all = self.model.corrections().iter().zip(&self.applied.told);
        all.filter(|(_, told)| !**told).map(|(c, _)| c.clone()).collect()
    }

    /// Weights of the readings, at most 1.25: near 1 where all is well, near 0 for one that looks misread; 0 for one that
    /// repeats another.
    #[must_use]
    pub fn weights(&self) -> &[f64] {
        &self.solved.weights
    }

    /// Entries that repeat an earlier one, with that one, by place.
    #[must_use]
    pub fn repeats(&self) -> Vec<(usize, usize)> {
        self.model.repeats()
    }

    /// Chance that every sign in the log was turned.
    #[must_use]
    pub fn mirrored(&self) -> f64 {
        self.mirrored
    }

    /// Two groups of flies that contradict each other, if there are.
    #[must_use]
    pub fn split(&self) -> Option<&Split> {
        self.split.as_ref()
    }

    /// Readings that look misread, and readings that count; that a fly sinks is no reading here.
    #[must_use]
    pub fn misread(&self) -> (usize, usize) {
        let counted: Vec<f64> = self
            .entries
            .iter()
            .flat_map(|e| self.model.of_entry(*e))
            .filter(|i| self.model.observations()[*i].is_telling())
            .map(|i| self.solved.weights[i])
            .collect();
        (counted.iter().filter(|w| **w < MISREAD).count(), counted.len())
    }

    /// Whether the log bears a calibration out: signs most likely as read, no two groups, less than a third misread.
    #[must_use]
    pub fn sound(&self) -> bool {
        let (misread, counted) = self.misread();
        self.mirrored < 0.5 && self.split.is_none() && (misread == 0 || 3 * misread < counted)
    }

    /// Correlation of what two learned corrections may be off.
    #[must_use]
    pub fn correlation(&self, i: usize, j: usize) -> f64 {
        let place = |k: usize| (0..self.applied.told.len()).filter(|i| self.applied.told[*i]).nth(k).unwrap_or(0);
        let (c, i, j) = (&self.applied.error, place(i), place(j));
        (c[(i, j)] / (c[(i, i)] * c[(j, j)]).sqrt()).clamp(-1.0, 1.0)
    }

    /// What is laid over the catalog, every fly as written and nobody's habits.
    pub(super) fn as_applied(&self) -> Point {
        Point { z: self.applied.z.clone(), ..self.model.start() }
    }

    /// What would be laid over the catalog without the flies of one group. In long logs by one step from the whole.
    pub(super) fn without(&self, group: usize) -> Result<Point, LeastSquaresError> {
        let rest: Vec<usize> =
            self.entries.iter().copied().filter(|e| self.model.group_of_entry(*e) != group).collect();
        let mut start = self.solved.point.clone();
        start.own[group].fill(0.0);
        let solved = Solved::new(&self.model, &rest, Start::At(start), LEFT_OUT)?;
        let estimate = Estimate { z: solved.point.z, covariance: solved.covariance };
        Ok(Point { z: estimate.applied(&self.model, &self.wanted).z, ..self.model.start() })
    }

    /// The same for every group of a long log: one Newton step from the whole.
    pub(super) fn each_without(&self) -> Vec<Result<Point, LeastSquaresError>> {
        if self.entries.len() <= LONG {
            return (0..self.model.groups()).into_par_iter().map(|group| self.without(group)).collect();
        }
        let at = &self.solved.point;
        let flies = self.solved.lines(&self.model, &self.entries);
        let normal =
            self.solved.covariance.clone().try_inverse().unwrap_or_else(|| DMatrix::identity(at.z.len(), at.z.len()));
        let whole = Point { z: self.applied.z.clone(), ..self.model.start() };
        let mut points: Vec<Result<Point, LeastSquaresError>> = vec![Ok(whole); self.model.groups()];
        let left_out: Vec<(usize, Result<Point, LeastSquaresError>)> = flies
            .into_par_iter()
            .map(|(group, residuals, slopes)| {
                let rest = &normal - slopes.transpose() * &slopes;
                let Some(covariance) = rest.try_inverse() else { return (group, Err(LeastSquaresError::Slopes)) };
                let z = &at.z + &covariance * (slopes.transpose() * residuals);
                let estimate = Estimate { z, covariance };
                let z = estimate.applied(&self.model, &self.wanted).z;
                (group, Ok(Point { z, ..self.model.start() }))
            })
            .collect();
        for (group, point) in left_out {
            points[group] = point;
        }
        points
    }
}
