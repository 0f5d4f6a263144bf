//! Why a command could not answer: bad input, bad usage, or a stream that refused.

use anstream::{AutoStream, ColorChoice};
use counterpoise::calibrate::FitError;
use counterpoise::document::save::SaveError;
use counterpoise::document::{Diagnostics, Problem};
use counterpoise::error_budget::BudgetError;
use counterpoise::fly::UnknownPart;
use counterpoise::jar_log::AppendError;
use counterpoise::physics::fall::HistoryError;
use counterpoise::report::ReportError;
use counterpoise::stock::StockFileError;
use std::io::{self, ErrorKind, Write};
use thiserror::Error;

/// Why a command could not answer.
#[derive(Debug, Error)]
pub(crate) enum Failure {
    /// Something is wrong with files that were read.
    #[error("{0}")]
    Input(#[from] Diagnostics),
    /// Something is wrong with an option.
    #[error("{text}")]
    Usage {
        /// What is wrong.
        text: String,
        /// What would be right.
        help: Option<String>,
    },
    /// Several things are wrong.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    Several(Vec<Failure>),
    /// The answer could not be written.
    #[error(transparent)]
    Report(#[from] ReportError),
    /// A file could not be written.
    #[error(transparent)]
    Save(#[from] SaveError),
    /// A stock file could not be changed.
    #[error(transparent)]
    Stock(#[from] StockFileError),
    /// Nothing was added to a jar log.
    #[error(transparent)]
    Log(AppendError),
    /// A jar log could not be fitted.
    #[error(transparent)]
    Fit(#[from] FitError),
    /// A part that the catalog does not hold.
    #[error(transparent)]
    Part(#[from] UnknownPart),
    /// A motion could not be followed.
    #[error(transparent)]
    Motion(#[from] HistoryError),
    /// An error budget could not be made.
    #[error(transparent)]
    Budget(#[from] BudgetError),
    /// The threads could not be started.
    #[error("cannot start the threads: {0}")]
    Threads(#[from] rayon::ThreadPoolBuildError),
}

impl Failure {
    /// A wrong option.
    pub(crate) fn usage(text: impl Into<String>, help: Option<String>) -> Self {
        Self::Usage { text: text.into(), help }
    }

    /// Whether the reader of our output has gone.
    pub(crate) fn is_closed_pipe(&self) -> bool {
        let kind = match self {
            Self::Report(ReportError::Io(error)) => Some(error.kind()),
            Self::Report(ReportError::Json(error)) => error.io_error_kind(),
            _ => None,
        };
        kind == Some(ErrorKind::BrokenPipe)
    }

    /// Writes the message to standard error.
    pub(crate) fn show(&self) {
        if let Self::Several(all) = self {
            return all.iter().for_each(Self::show);
        }
        let colour = AutoStream::choice(&io::stderr()) != ColorChoice::Never;
        let text = match self {
            Self::Input(problems) => problems.render(colour),
            other => {
                let mark = if colour { "\u{1b}[1m\u{1b}[91merror\u{1b}[0m" } else { "error" };
                let mut text = format!("{mark}: {other}");
                if let Some(help) = other.help() {
                    text.push_str(&format!("\n  help: {help}"));
                }
                text
            }
        };
        // Nobody is left to tell when this fails.
        let _ = writeln!(anstream::stderr().lock(), "{text}");
    }

    fn help(&self) -> Option<String> {
        match self {
            Self::Usage { help, .. } => help.clone(),
            Self::Log(AppendError::Refused(problems)) => problems.iter().find_map(|p| p.remedy().map(str::to_owned)),
            Self::Log(AppendError::Unlikely(_)) => Some("--anyway adds it as it is".to_owned()),
            Self::Part(UnknownPart { suggestion: Some(near), .. }) => Some(format!("did you mean `{near}`?")),
            Self::Save(SaveError::Exists { .. }) => Some("--force overwrites it".to_owned()),
            _ => None,
        }
    }
}

impl From<AppendError> for Failure {
    fn from(error: AppendError) -> Self {
        match error {
            // The faults of a log that is there are shown in it.
            AppendError::Log(problems) => Self::Input(problems),
            other => Self::Log(other),
        }
    }
}

impl From<Problem> for Failure {
    fn from(problem: Problem) -> Self {
        Self::Input(problem.into())
    }
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        Self::Report(ReportError::Io(error))
    }
}
