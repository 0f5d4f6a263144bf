//! A progress line on a terminal, for searches that last.

use counterpoise::search::{Observer, Progress};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;
use std::time::{Duration, Instant};

/// A search that ends sooner shows nothing.
const PATIENCE: Duration = Duration::from_millis(500);

/// Shows how far a search has come, on standard error, if that is a terminal.
pub(crate) struct SearchLine {
    bar: ProgressBar,
    started: Instant,
}

impl SearchLine {
    /// Shows nothing yet; never anything when `quiet`.
    pub(crate) fn new(quiet: bool) -> Self {
        let shown = !quiet && std::io::stderr().is_terminal();
        let target = if shown { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
        let bar = ProgressBar::with_draw_target(None, target);
        if let Ok(style) = ProgressStyle::with_template("{spinner} {elapsed} {wide_msg}") {
            bar.set_style(style);
        }
        Self { bar, started: Instant::now() }
    }
}

impl Observer for SearchLine {
    fn round_done(&self, progress: &Progress) {
        if self.bar.is_hidden() || self.started.elapsed() < PATIENCE {
            return;
        }
        let cutoff = progress.cutoff.map(|c| format!(", list complete up to {:.2}", c.cents as f64 / 100.0));
        let bound = progress.bound.map(|b| format!(", what is left costs {b} or more"));
        let text =
            format!("{} evaluated{}{}", progress.evaluated, cutoff.unwrap_or_default(), bound.unwrap_or_default());
        self.bar.set_message(text);
        self.bar.tick();
    }
}

impl Drop for SearchLine {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
