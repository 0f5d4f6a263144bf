//! What a command ends with, and the exit code that says so.

use crate::failure::Failure;
use std::process::ExitCode;

/// How a command ended that ran to its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// Answered, and what was wanted can be had: exit 0.
    Met,
    /// Answered, and it is proven that nothing meets what was wanted: exit 1.
    NotMet,
    /// Stopped before anything was found or proven: exit 3.
    Stopped,
}

/// 0 met, 1 not met, 2 bad input or usage, 3 stopped with nothing found and nothing proven. A reader that closed the pipe has seen enough: quiet, and 0.
pub(crate) fn exit_code(result: Result<Outcome, Failure>) -> ExitCode {
    match result {
        Ok(Outcome::Met) => ExitCode::SUCCESS,
        Ok(Outcome::NotMet) => ExitCode::from(1),
        Ok(Outcome::Stopped) => ExitCode::from(3),
        Err(failure) if failure.is_closed_pipe() => ExitCode::SUCCESS,
        Err(failure) => {
            failure.show();
            ExitCode::from(2)
        }
    }
}
