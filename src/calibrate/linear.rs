//! Slopes of the readings: per unknown that flies share, and per source of a fly's own scatter.
//!
//! A fly's own scatter never enters the large system. To first order its best value is known for any value of the shared
//! unknowns, and what is left of the fly's readings then is d' V^-1 d with V = A A' + R: d the misses less what the scatter
//! has moved, A the slopes of the scatter, R the reading errors. So a log of any length leaves a normal matrix of the size of
//! the shared unknowns alone, to which each fly adds S' V^-1 S, S the slopes per shared unknown.

use super::model::{Model, Point};
use super::predict::{Courses, Prepared};
use crate::catalog::Catalog;
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use rayon::prelude::*;

/// Step of the differences, in prior standard deviations.
const STEP: f64 = 1e-3;

/// Slopes of one reading at a point, in the unit of its error.
#[derive(Debug, Clone)]
pub(super) struct Slopes {
    /// Per prior spread of each correction and habit.
    pub(super) shared: DVector<f64>,
    /// Per standard deviation of each source of own scatter.
    pub(super) own: DVector<f64>,
}

/// The entries that a fit counts, and the point around which it is linear.
pub(super) struct Around<'m> {
    pub(super) model: &'m Model,
    pub(super) entries: &'m [usize],
    pub(super) own: &'m [DVector<f64>],
    pub(super) courses: &'m Courses,
}

impl Around<'_> {
    /// Misses of some entries with given parts, in units of the reading errors.
    fn misses_of(&self, z: &DVector<f64>, catalog: &Catalog, entries: &[usize]) -> Vec<(usize, f64)> {
        let prepared = self.model.prepared(catalog, entries);
        self.misses_with(z, &prepared, entries)
    }

    fn misses_with(&self, z: &DVector<f64>, prepared: &[Option<Prepared>], entries: &[usize]) -> Vec<(usize, f64)> {
        let model = self.model;
        let habits = model.habits_at(z);
        let of = |entry: &usize| {
            let own = &self.own[model.group_of_entry(*entry)];
            let ready = prepared[model.setup(*entry)].as_ref();
            ready
                .into_iter()
                .flat_map(|ready| model.misses(*entry, ready, own, &habits, self.courses))
                .map(|(i, miss)| (i, miss / model.error(i)))
                .collect::<Vec<_>>()
        };
        entries.par_iter().flat_map_iter(of).collect()
    }

    /// Misses in units of the reading errors, by observation; those of entries that do not count are 0.
    pub(super) fn misses(&self, z: &DVector<f64>) -> DVector<f64> {
        let catalog = self.model.corrected(z);
        let mut misses = DVector::zeros(self.model.observations().len());
        for (i, miss) in self.misses_of(z, &catalog, self.entries) {
            misses[i] = miss;
        }
        misses
    }

    /// Slopes of the misses per shared unknown, by observation.
    pub(super) fn shared_slopes(&self, z: &DVector<f64>) -> DMatrix<f64> {
        let model = self.model;
        let plain = model.corrected(z);
        let ready = model.prepared(&plain, self.entries);
        let columns: Vec<Vec<(usize, f64)>> = (0..model.shared())
            .into_par_iter()
            .map(|j| {
                let entries: Vec<usize> = self.entries.iter().copied().filter(|e| model.touches(*e, j)).collect();
                let habit = j.checked_sub(model.corrections().len()).map(|h| model.habits()[h]);
                let moved = |way: f64| {
                    let mut z = z.clone();
                    z[j] += way * STEP;
                    match habit {
                        Some(habit) if !habit.changes_parts() => self.misses_with(&z, &ready, &entries),
                        _ => self.misses_of(&z, &model.corrected(&z), &entries),
                    }
                };
                let (up, down) = (moved(1.0), moved(-1.0));
                up.into_iter().zip(down).map(|((i, up), (_, down))| (i, (up - down) / (2.0 * STEP))).collect()
            })
            .collect();
        let mut slopes = DMatrix::zeros(model.observations().len(), model.shared());
        for (j, column) in columns.into_iter().enumerate() {
            for (i, slope) in column {
                slopes[(i, j)] = slope;
            }
        }
        slopes
    }

    /// Slopes of each reading per source of its fly's own scatter.
    pub(super) fn own_slopes(&self, z: &DVector<f64>) -> Vec<DVector<f64>> {
        let model = self.model;
        let catalog = model.corrected(z);
        let prepared = model.prepared(&catalog, self.entries);
        let habits = model.habits_at(z);
        let of = |entry: &usize| -> Vec<(usize, DVector<f64>)> {
            let own = &self.own[model.group_of_entry(*entry)];
            let mine = model.of_entry(*entry);
            let first = mine.start;
            let mut slopes = vec![DVector::zeros(own.len()); mine.len()];
            let Some(ready) = &prepared[model.setup(*entry)] else { return Vec::new() };
            for c in 0..own.len() {
                for way in [-1.0, 1.0] {
                    let mut moved = own.clone();
                    moved[c] += way * STEP;
                    for (i, miss) in model.misses(*entry, ready, &moved, &habits, self.courses) {
                        slopes[i - first][c] += way * miss / (2.0 * STEP * model.error(i));
                    }
                }
            }
            slopes.into_iter().enumerate().map(|(k, s)| (first + k, s)).collect()
        };
        let found: Vec<(usize, DVector<f64>)> = self.entries.par_iter().flat_map_iter(of).collect();
        let group = |i: usize| self.own[model.group_of(i)].len();
        let mut all: Vec<DVector<f64>> = (0..model.observations().len()).map(|i| DVector::zeros(group(i))).collect();
        for (i, slopes) in found {
            all[i] = slopes;
        }
        all
    }
}

/// A fly: its group, what is left of its readings, whitened, and the slopes of that per shared unknown.
pub(super) type FlyLine = (usize, DVector<f64>, DMatrix<f64>);

impl Around<'_> {
    /// Each fly near a point.
    pub(super) fn lines(&self, z: &DVector<f64>, weights: &[f64]) -> Vec<FlyLine> {
        let flies = FlyRows::all(self, &self.own_slopes(z), weights);
        let (shared, misses) = (self.shared_slopes(z), self.misses(z));
        let line = |f: &FlyRows| (self.model.group_of(f.rows[0]), f.residuals(&misses), f.whitened(&f.slopes(&shared)));
        flies.iter().map(line).collect()
    }
}

/// Slopes of every reading at a point, in the units of the readings.
pub(super) fn slopes(model: &Model, at: &Point) -> Vec<Slopes> {
    let entries: Vec<usize> = (0..model.entries()).collect();
    let courses = model.courses(at);
    let around = Around { model, entries: &entries, own: &at.own, courses: &courses };
    let (shared, own) = (around.shared_slopes(&at.z), around.own_slopes(&at.z));
    let of = |(i, own): (usize, DVector<f64>)| {
        let error = model.error(i);
        Slopes { shared: shared.row(i).transpose() * error, own: own * error }
    };
    own.into_iter().enumerate().map(of).collect()
}

/// The readings of one fly with the slopes of its own scatter and the weights that they have.
#[derive(Debug, Clone)]
pub(super) struct FlyRows {
    /// Observations.
    pub(super) rows: Vec<usize>,
    /// Slopes per source, in reading errors.
    own: DMatrix<f64>,
    /// Part of the misses that the scatter around which all is linear has moved.
    offset: DVector<f64>,
    /// L with L L' = V.
    factor: Cholesky<f64, Dyn>,
}

impl FlyRows {
    /// The flies of some entries; weights are by observation. A fly whose readings all weigh nothing is left out.
    pub(super) fn all(around: &Around, own_slopes: &[DVector<f64>], weights: &[f64]) -> Vec<Self> {
        let model = around.model;
        let mut rows: Vec<Vec<usize>> = vec![Vec::new(); model.groups()];
        for entry in around.entries {
            rows[model.group_of_entry(*entry)].extend(model.of_entry(*entry).filter(|i| weights[*i] > 0.0));
        }
        let of = |(group, rows): (usize, Vec<usize>)| {
            if rows.is_empty() {
                return None;
            }
            let scatter = &around.own[group];
            let own = DMatrix::from_fn(rows.len(), scatter.len(), |i, c| own_slopes[rows[i]][c]);
            let mut variance = &own * own.transpose();
            for (i, row) in rows.iter().enumerate() {
                variance[(i, i)] += 1.0 / weights[*row];
            }
            let offset = &own * scatter;
            Some(Self { rows, own, offset, factor: variance.cholesky()? })
        };
        rows.into_iter().enumerate().filter_map(of).collect()
    }

    /// Misses less what the scatter has moved.
    pub(super) fn bare(&self, misses: &DVector<f64>) -> DVector<f64> {
        DVector::from_iterator(self.rows.len(), self.rows.iter().map(|i| misses[*i])) - &self.offset
    }

    /// Slopes per shared unknown of these rows.
    pub(super) fn slopes(&self, shared: &DMatrix<f64>) -> DMatrix<f64> {
        DMatrix::from_fn(self.rows.len(), shared.ncols(), |i, j| shared[(self.rows[i], j)])
    }

    /// L^-1 times something: what has unit variance where the fly is as its spreads say.
    pub(super) fn whitened(&self, of: &DMatrix<f64>) -> DMatrix<f64> {
        // A factor of a positive definite matrix has no zero on its diagonal.
        self.factor.l().solve_lower_triangular(of).unwrap_or_else(|| of.clone())
    }

    /// Whitened bare misses.
    pub(super) fn residuals(&self, misses: &DVector<f64>) -> DVector<f64> {
        self.whitened(&DMatrix::from_columns(&[self.bare(misses)])).column(0).into_owned()
    }

    /// The scatter that explains most of the misses.
    pub(super) fn scatter(&self, misses: &DVector<f64>) -> DVector<f64> {
        -self.own.transpose() * self.factor.solve(&self.bare(misses))
    }
}
