//! What is wanted of a fly on its way down: over a range of depths, in a time, in a jig stroke, on a slack line.

use crate::physics::fall::Slack;

/// The line on which a fly sinks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Line {
    /// Lowered on a tight line: it keeps its hang.
    #[default]
    Tight,
    /// Free: it takes the attitude that the water gives it.
    Slack,
}

impl Line {
    /// The word used in targets and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Tight => "tight",
            Self::Slack => "slack",
        }
    }
}

/// A depth to be reached, let go at rest at the surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// Depth, m.
    pub depth: f64,
    /// Within this time, s.
    pub within: f64,
}

/// A jig stroke in which the nose has to drop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dive {
    /// Least drop of the nose from the hang, rad.
    pub least: f64,
    /// How long the line is slack.
    pub slack: Slack,
}

/// What is wanted of the fly on its way down; nothing by default.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FallWish {
    /// The line on which it sinks, for the sink rate and for a depth to be reached.
    pub line: Line,
    /// The shallow end of a range of depths, m: hang and sink rate must hold from there to the fishing depth.
    pub shallow: Option<f64>,
    /// A depth to be reached in time.
    pub reach: Option<Reach>,
    /// A jig stroke.
    pub dive: Option<Dive>,
}

impl FallWish {
    /// Whether judging it takes a history in time.
    #[must_use]
    pub fn takes_a_history(&self) -> bool {
        self.line == Line::Slack || self.reach.is_some() || self.dive.is_some()
    }
}
