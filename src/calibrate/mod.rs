//! From jar tests to corrections of the catalog, for one tyer's materials.
//!
//! [`Model`] predicts what a log should show; [`fit`] finds the corrections that explain what it did show, starting from
//! what the catalog lets them be; [`Calibration`] lays them over a catalog in memory. No catalog file is ever changed.

mod correction;
mod model;
mod view;

pub use correction::{BATCH_SHARE, Correction, Figure};
pub use model::{Model, Observation, Predicted, Reading};
pub use view::{EntryView, ObservationView, entry_views};
