//! What a command ends with, and the exit code that says so.

use crate::failure::Failure;
use crate::output;
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

/// Exit code where files were written, but the rest of the run failed.
const WRITTEN_ALL_THE_SAME: u8 = 4;

/// 0 met, 1 not met, 2 bad input or usage, 3 stopped with nothing found and nothing proven, 4 failed after a file was written. A
/// reader that closed the pipe has seen enough: quiet, and 0.
pub(crate) fn exit_code(result: Result<Outcome, Failure>) -> ExitCode {
    match result {
        Ok(Outcome::Met) => ExitCode::SUCCESS,
        Ok(Outcome::NotMet) => ExitCode::from(1),
        Ok(Outcome::Stopped) => ExitCode::from(3),
        Err(failure) if failure.is_closed_pipe() => ExitCode::SUCCESS,
        Err(failure) => {
            failure.show();
            match output::written() {
                Some(files) => {
                    output::note(&format!("  note: written before that, and kept: {files}; do not repeat the command"));
                    ExitCode::from(WRITTEN_ALL_THE_SAME)
                }
                None => ExitCode::from(2),
            }
        }
    }
}
