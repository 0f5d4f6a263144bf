//! Before and after: what the catalog, the fit, and the fit without the fly in question predict for every reading.

use super::fit::{Fit, FitError, MISREAD};
use super::linear::slopes;
use super::model::Point;
use super::reading::{Observation, Predicted, Reading};
use rayon::prelude::*;

/// One reading, with all that is predicted for a fly as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// What was read.
    pub observation: Observation,
    /// By the catalog.
    pub before: Predicted,
    /// By the fit.
    pub after: Predicted,
    /// By a fit that left this fly out, in all its entries.
    pub left_out: Predicted,
    /// How far off the fit may be expected to be: its own error, what flies scatter, and the reading error, as one
    /// standard deviation in the unit of the miss.
    pub expected: f64,
    /// Weight that the reading has in the fit.
    pub weight: f64,
    /// Whether it counts: its entry repeats no other.
    pub counts: bool,
}

impl Outcome {
    /// Whether the reading looks misread: it lies too far from everything else.
    #[must_use]
    pub fn looks_misread(&self) -> bool {
        self.counts && self.weight < MISREAD
    }

    /// Predicted less seen: by the catalog, the fit, the fit without this fly.
    #[must_use]
    pub fn misses(&self) -> [f64; 3] {
        [&self.before, &self.after, &self.left_out].map(|p| self.observation.miss(p))
    }
}

/// Kinds of readings that are summed up together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Hangs, rad.
    Hang,
    /// Times of drops, as a share.
    Time,
    /// Masses, as a share.
    Mass,
}

/// How far off one kind of reading is, root mean square.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    /// Kind.
    pub class: Class,
    /// Readings counted; those that look misread are not.
    pub count: usize,
    /// By the catalog, the fit, the fit without the fly in question.
    pub rms: [f64; 3],
}

/// Every reading of a fit, in the order of the log.
///
/// # Errors
/// A fit with a fly left out does not come to an end.
pub fn outcomes(fit: &Fit) -> Result<Vec<Outcome>, FitError> {
    let model = &fit.model;
    let count = model.observations().len();
    let at = fit.as_applied();
    let (before, after) = (model.predictions(&model.start()), model.predictions(&at));
    let mut entries: Vec<Vec<usize>> = vec![Vec::new(); model.groups()];
    (0..model.entries()).for_each(|e| entries[model.group_of_entry(e)].push(e));
    let without: Vec<Vec<(usize, Predicted)>> = fit
        .each_without()
        .into_par_iter()
        .zip(entries)
        .map(|(point, entries)| point.map(|point| model.predictions_of(&entries, &point)))
        .collect::<Result<_, _>>()?;
    let there = Point { z: fit.estimate.z.clone(), ..model.start() };
    let slopes = slopes(model, &there);
    let mut left_out: Vec<Option<Predicted>> = vec![None; count];
    without.into_iter().flatten().for_each(|(i, predicted)| left_out[i] = Some(predicted));
    let outcome = |((i, before), (_, after)): ((usize, Predicted), (usize, Predicted))| {
        let observation = model.observations()[i];
        let shared = slopes[i].shared.dot(&(&fit.applied.error * &slopes[i].shared));
        let variance = shared + slopes[i].own.norm_squared() + model.error(i).powi(2);
        Outcome {
            observation,
            before,
            after,
            left_out: left_out[i].unwrap_or(after),
            expected: variance.sqrt(),
            weight: fit.weights()[i],
            counts: model.counts(observation.entry),
        }
    };
    Ok(before.into_iter().zip(after).map(outcome).collect())
}

/// How far off each kind of reading is.
#[must_use]
pub fn summaries(outcomes: &[Outcome]) -> Vec<Summary> {
    [Class::Hang, Class::Time, Class::Mass].into_iter().filter_map(|class| summary(class, outcomes)).collect()
}

fn summary(class: Class, outcomes: &[Outcome]) -> Option<Summary> {
    let scale = |reading: Reading| match (class, reading) {
        (Class::Hang, Reading::Hang { .. }) | (Class::Time, Reading::Drop(_)) => Some(1.0),
        (Class::Mass, Reading::Mass(seen)) => Some(1.0 / seen),
        _ => None,
    };
    let counted: Vec<[f64; 3]> = outcomes
        .iter()
        .filter(|o| o.counts && !o.looks_misread())
        .filter_map(|o| scale(o.observation.reading).map(|s| o.misses().map(|m| m * s)))
        .collect();
    let rms = |k: usize| (counted.iter().map(|m| m[k] * m[k]).sum::<f64>() / counted.len() as f64).sqrt();
    (!counted.is_empty()).then(|| Summary { class, count: counted.len(), rms: [rms(0), rms(1), rms(2)] })
}
