//! The least-squares problem at given weights: readings, priors of the corrections, priors of each fly's own scatter.

use super::correction::Figure;
use super::model::{Courses, Model, Point, Prepared};
use crate::numeric::least_squares::{LeastSquares, LeastSquaresError, Limits, Residuals, least_squares};
use nalgebra::{DMatrix, DVector};

/// Step of the differences, in prior standard deviations.
const STEP: f64 = 1e-3;
/// Cosine between the residuals and the effect of any one unknown above which a point is no minimum.
const LEVEL: f64 = 0.02;

/// Slopes of one reading at a point.
#[derive(Debug, Clone)]
pub(super) struct Slopes {
    /// Per prior spread of each correction.
    pub(super) shared: DVector<f64>,
    /// Per standard deviation of each source of own scatter.
    pub(super) own: DVector<f64>,
}

/// Slopes of every reading at a point.
pub(super) fn slopes(model: &Model, at: &Point, courses: Courses) -> Vec<Slopes> {
    let problem = Weighted::unweighted(model, at, courses);
    let jacobian = problem.jacobian(&problem.start(at));
    let p = model.corrections().len();
    let own = problem.own_slopes(at, &jacobian);
    own.into_iter()
        .enumerate()
        .map(|(i, own)| {
            let shared = jacobian.row(i).columns(0, p).transpose() * model.observations()[i].error;
            Slopes { shared, own }
        })
        .collect()
}

/// The least-squares problem at given weights and bases.
pub(super) struct Weighted<'m> {
    model: &'m Model,
    used: Vec<bool>,
    /// Square roots of the weights; 0 for readings that are left out.
    roots: Vec<f64>,
    bases: Vec<DMatrix<f64>>,
    pub(super) courses: Courses,
}

impl<'m> Weighted<'m> {
    /// All readings with their plain errors, every source of own scatter an unknown.
    fn unweighted(model: &'m Model, at: &Point, courses: Courses) -> Self {
        Self {
            model,
            used: vec![true; model.groups()],
            roots: vec![1.0; model.observations().len()],
            bases: at.own.iter().map(|own| DMatrix::identity(own.len(), own.len())).collect(),
            courses,
        }
    }

    /// Slopes of each reading per standard deviation of each source of its fly, from the columns of an unweighted
    /// problem.
    fn own_slopes(&self, at: &Point, jacobian: &DMatrix<f64>) -> Vec<DVector<f64>> {
        let offsets = self.offsets();
        let slopes = self.model.observations().iter().enumerate().map(|(i, observation)| {
            let group = self.model.group_of(i);
            jacobian.row(i).columns(offsets[group], at.own[group].len()).transpose() * observation.error
        });
        slopes.collect()
    }

    pub(super) fn new(model: &'m Model, used: &[bool], weights: &[f64], at: &Point, courses: Courses) -> Self {
        let plain = Self::unweighted(model, at, courses);
        let mut columns = DMatrix::zeros(model.observations().len(), plain.unknowns());
        plain.own_columns(at, &mut columns);
        let slopes = plain.own_slopes(at, &columns);
        let courses = plain.courses;
        let bases = (0..model.groups())
            .map(|group| {
                let mine: Vec<DVector<f64>> = (0..slopes.len())
                    .filter(|i| used[group] && model.group_of(*i) == group)
                    .map(|i| slopes[i].clone())
                    .collect();
                basis(at.own[group].len(), &mine)
            })
            .collect();
        let roots =
            weights.iter().enumerate().map(|(i, w)| if used[model.group_of(i)] { w.sqrt() } else { 0.0 }).collect();
        Self { model, used: used.to_vec(), roots, bases, courses }
    }

    /// Where the unknowns of each group begin.
    fn offsets(&self) -> Vec<usize> {
        let first = self.model.corrections().len();
        self.bases
            .iter()
            .scan(first, |at, basis| {
                let here = *at;
                *at += basis.ncols();
                Some(here)
            })
            .collect()
    }

    fn unknowns(&self) -> usize {
        self.model.corrections().len() + self.bases.iter().map(DMatrix::ncols).sum::<usize>()
    }

    fn start(&self, at: &Point) -> DVector<f64> {
        let own =
            self.bases.iter().zip(&at.own).flat_map(|(basis, own)| (basis.transpose() * own).data.as_vec().clone());
        DVector::from_iterator(self.unknowns(), at.z.iter().copied().chain(own))
    }

    pub(super) fn point(&self, at: &DVector<f64>) -> Point {
        let own = self.bases.iter().zip(self.offsets()).map(|(basis, offset)| basis * at.rows(offset, basis.ncols()));
        Point { z: at.rows(0, self.model.corrections().len()).into_owned(), own: own.collect() }
    }

    /// Hands on the scaled misses of an entry with some own scatter.
    fn each_miss(&self, entry: usize, test: &Prepared, own: &DVector<f64>, mut out: impl FnMut(usize, f64)) {
        for (i, predicted) in self.model.predict(entry, test, own, &self.courses) {
            let observation = &self.model.observations()[i];
            out(i, self.roots[i] * observation.miss(&predicted) / observation.error);
        }
    }

    fn is_used(&self, entry: usize) -> bool {
        self.used[self.model.group_of_entry(entry)]
    }

    /// The least squares from a point; where it ends is judged by [`Weighted::is_minimum`].
    pub(super) fn solved(&self, from: &Point, steps: u64) -> Result<LeastSquares, LeastSquaresError> {
        let limits = Limits { iterations: steps, offset: 1e-5, worst_offset: f64::INFINITY };
        least_squares(self, &self.start(from), limits)
    }

    /// Whether a run ended at a minimum: no unknown could still take away anything that matters. Foam walls give way all at
    /// once, so there a minimum may lie on a kink, where slopes are not level; that unknown is not asked.
    pub(super) fn is_minimum(&self, found: &LeastSquares) -> bool {
        let whole = found.residuals.norm();
        let level = |j: usize| {
            let column = found.jacobian.column(j);
            column.dot(&found.residuals).abs() <= LEVEL * column.norm() * whole
        };
        let kinked = |j: usize| self.model.corrections().get(j).is_some_and(|c| c.figure == Figure::WallPressure);
        (0..found.parameters.len()).all(|j| level(j) || kinked(j))
    }

    /// Covariance of the corrections: the block of the inverse that belongs to them.
    pub(super) fn covariance(&self, found: &LeastSquares) -> DMatrix<f64> {
        let p = self.model.corrections().len();
        // The prior rows make every unknown settled.
        let whole = found.unit_covariance().unwrap_or_else(|| DMatrix::identity(self.unknowns(), self.unknowns()));
        whole.view((0, 0), (p, p)).into_owned()
    }
}

/// An orthonormal basis of what some slopes span.
fn basis(sources: usize, slopes: &[DVector<f64>]) -> DMatrix<f64> {
    if slopes.is_empty() || sources == 0 {
        return DMatrix::zeros(sources, 0);
    }
    if slopes.len() >= sources {
        return DMatrix::identity(sources, sources);
    }
    DMatrix::from_columns(slopes).qr().q()
}

impl Residuals for Weighted<'_> {
    fn residuals(&self, at: &DVector<f64>) -> DVector<f64> {
        let point = self.point(at);
        let catalog = self.model.corrected(&point.z);
        let n = self.model.observations().len();
        let mut residuals = DVector::zeros(n + at.len());
        for entry in (0..self.model.entries()).filter(|e| self.is_used(*e)) {
            let own = &point.own[self.model.group_of_entry(entry)];
            if let Some(test) = self.model.prepare(entry, &catalog) {
                self.each_miss(entry, &test, own, |i, value| residuals[i] = value);
            }
        }
        residuals.rows_mut(n, at.len()).copy_from(at);
        residuals
    }

    fn jacobian(&self, at: &DVector<f64>) -> DMatrix<f64> {
        let point = self.point(at);
        let n = self.model.observations().len();
        let mut jacobian = DMatrix::zeros(n + at.len(), at.len());
        for j in 0..at.len() {
            jacobian[(n + j, j)] = 1.0;
        }
        self.shared_columns(&point, &mut jacobian);
        self.own_columns(&point, &mut jacobian);
        jacobian
    }
}

impl Weighted<'_> {
    /// Slopes per correction.
    fn shared_columns(&self, point: &Point, jacobian: &mut DMatrix<f64>) {
        for j in 0..self.model.corrections().len() {
            for way in [-1.0, 1.0] {
                let mut z = point.z.clone();
                z[j] += way * STEP;
                let catalog = self.model.corrected(&z);
                for entry in (0..self.model.entries()).filter(|e| self.is_used(*e) && self.model.touches(*e, j)) {
                    let own = &point.own[self.model.group_of_entry(entry)];
                    let Some(test) = self.model.prepare(entry, &catalog) else { continue };
                    self.each_miss(entry, &test, own, |i, v| jacobian[(i, j)] += way * v / (2.0 * STEP));
                }
            }
        }
    }

    /// Slopes per unknown of each fly's own scatter.
    fn own_columns(&self, point: &Point, jacobian: &mut DMatrix<f64>) {
        let catalog = self.model.corrected(&point.z);
        let offsets = self.offsets();
        for entry in (0..self.model.entries()).filter(|e| self.is_used(*e)) {
            let group = self.model.group_of_entry(entry);
            let Some(test) = self.model.prepare(entry, &catalog) else { continue };
            for c in 0..self.bases[group].ncols() {
                let j = offsets[group] + c;
                for way in [-1.0, 1.0] {
                    let own = &point.own[group] + self.bases[group].column(c) * (way * STEP);
                    self.each_miss(entry, &test, &own, |i, v| jacobian[(i, j)] += way * v / (2.0 * STEP));
                }
            }
        }
    }
}
