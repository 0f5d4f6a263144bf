//! Predicted beside seen, entry by entry.

use super::model::Model;
use super::reading::{Observation, Predicted};

/// One reading with what was predicted for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ObservationView {
    /// What was read.
    pub observation: Observation,
    /// What was predicted.
    pub predicted: Predicted,
    /// Predicted less seen (see [`Observation::miss`]).
    pub miss: f64,
}

/// One entry.
#[derive(Debug, Clone, PartialEq)]
pub struct EntryView {
    /// Its readings.
    pub readings: Vec<ObservationView>,
}

/// What the parts of the model's catalog, as they are, predict for every entry.
#[must_use]
pub fn entry_views(model: &Model) -> Vec<EntryView> {
    let mut views = vec![EntryView { readings: Vec::new() }; model.entries()];
    for (i, predicted) in model.predictions(&model.start()) {
        let observation = model.observations()[i];
        let miss = observation.miss(&predicted);
        views[observation.entry].readings.push(ObservationView { observation, predicted, miss });
    }
    views
}
