//! How a fly sinks on the line that was asked for: lowered on a tight one, or free on a slack one.

use super::Prediction;
use crate::fly::{self, Conditions, Fly};
use crate::physics::doubt::band;
use crate::physics::fall::{Course, Fall, from_rest};
use crate::physics::warning::{Warning, note_worst};
use crate::wanted::Line;
use std::f64::consts::PI;

/// How a fly sinks on one kind of line, at one depth.
#[derive(Debug, Clone, PartialEq)]
pub struct LineFall {
    /// The line that the figures are for.
    pub line: Line,
    /// Vertical speed, m/s, positive down; on a slack line the mean of a fall that never settles.
    pub sink_rate: f64,
    /// From where to where the true rate is expected to lie, m/s: two standard deviations of what the model does not know.
    pub band: Option<(f64, f64)>,
    /// Shank from horizontal, rad, positive tail down.
    pub attitude: f64,
    /// Horizontal speed, m/s, positive head first; none on a tight line.
    pub glide: f64,
    /// What becomes of it; a tight line holds it steady.
    pub course: Course,
    /// Limits of the model that were reached, those of the hang included.
    pub warnings: Vec<Warning>,
}

/// The fall of a fly on a line, where its hang and its sink rate on a tight line are known already.
///
/// Where a slack fall cannot be followed, the figures are those of a tight line, which `line` and a warning then say.
#[must_use]
pub fn line_fall(fly: &Fly, conditions: &Conditions, line: Line, prediction: &Prediction) -> LineFall {
    let tight = LineFall {
        line: Line::Tight,
        sink_rate: prediction.lowered.sink_rate,
        band: Some(band(prediction.lowered.sink_rate, prediction.sink_sd(&conditions.water))),
        attitude: prediction.lowered.attitude,
        glide: 0.0,
        course: Course::Settles,
        warnings: prediction.warnings.clone(),
    };
    match line {
        Line::Tight => tight,
        Line::Slack => slack_fall(fly, conditions, &tight, prediction),
    }
}

fn slack_fall(fly: &Fly, conditions: &Conditions, tight: &LineFall, prediction: &Prediction) -> LineFall {
    let sinking = fly::sinking(fly, conditions);
    let fall = Fall::new(&sinking, &conditions.water);
    // A fly that floats has no hang: it is let go level and rises.
    let beta = prediction.hang.rest().map_or(PI, |rest| rest.beta());
    let mut warnings = tight.warnings.clone();
    match from_rest(&fall, &fall.medium(conditions.depth), beta) {
        Ok(free) => {
            free.warnings.iter().for_each(|w| note_worst(&mut warnings, w.clone()));
            LineFall {
                line: Line::Slack,
                sink_rate: free.sink_rate,
                band: Some(band(free.sink_rate, free.relative_sd)),
                attitude: free.attitude,
                glide: free.glide,
                course: free.course,
                warnings,
            }
        }
        Err(_) => {
            note_worst(&mut warnings, Warning::NotFollowed);
            LineFall { warnings, ..tight.clone() }
        }
    }
}
