//! Predicted beside seen, entry by entry.

use super::model::{Model, Observation, Point, Predicted};

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
    views_at(model, &model.start())
}

/// The same at another point.
pub(super) fn views_at(model: &Model, at: &Point) -> Vec<EntryView> {
    let catalog = model.corrected(&at.z);
    let courses = model.courses(at);
    (0..model.entries())
        .map(|entry| {
            let own = &at.own[model.group_of_entry(entry)];
            let predicted = model.prepare(entry, &catalog).map(|test| model.predict(entry, &test, own, &courses));
            let readings = predicted.into_iter().flatten().map(|(i, predicted)| {
                let observation = model.observations()[i];
                ObservationView { observation, predicted, miss: observation.miss(&predicted) }
            });
            EntryView { readings: readings.collect() }
        })
        .collect()
}
