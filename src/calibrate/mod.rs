//! From jar tests to corrections of the catalog, for one tyer's materials.
//!
//! [`Model`] predicts what a log should show; [`fit()`] finds the corrections that explain what it did show, starting from
//! what the catalog lets them be; [`outcomes`] holds it against every reading, also with that fly left out; [`outlook()`]
//! says what to test next. [`Calibration`] lays the corrections over a catalog in memory. No catalog file is ever changed.
//!
//! What is not fitted: lift lost under the thread (a constant of tying, hardly to be told from the flooded layer), the
//! drag correlations, and where a tyer's hands go as a habit. What they do to a log ends up in the corrections nearest to it.

mod applied;
mod calibration;
mod correction;
mod course;
mod figures;
mod fingerprint;
mod fit;
mod habit;
mod linear;
mod model;
mod next_test;
mod odd;
mod outcome;
mod predict;
mod reading;
mod reduced;
mod solve;
mod suspect;
mod view;
mod weighing;

pub use applied::TOLD_LITTLE;
pub use calibration::{Calibration, FittedFrom, VERSION, calibration_schema, calibration_text};
pub use correction::{BATCH_SHARE, Correction, Figure};
pub use fit::{Fit, FitError, Learned, LearnedHabit, MISREAD, fit, fit_entries};
pub use habit::Habit;
pub use model::Model;
pub use next_test::{Help, NextTest, Outlook, Separates, Unknown, Way, foreseen, outlook};
pub use odd::{Oddity, Slip, oddities};
pub use outcome::{Class, Outcome, Summary, outcomes, summaries};
pub use reading::{Observation, Predicted, Reading};
pub use suspect::Split;
pub use view::{EntryView, ObservationView, entry_views};
