//! A progress line on a terminal, for searches that last.

use counterpoise::quantity::Time;
use counterpoise::search::{Observer, Progress};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// A search that ends sooner shows nothing.
const PATIENCE: Duration = Duration::from_millis(500);

/// A time limit as the clock takes it; one beyond what a clock holds is none.
pub(crate) fn patience(limit: Time) -> Duration {
    Duration::try_from_secs_f64(limit.s()).unwrap_or(Duration::MAX)
}

/// Set by Ctrl-C, or when the program is told to end: the search ends with the best so far. A second one ends the program.
static INTERRUPTED: AtomicBool = AtomicBool::new(false);
static FIRST: OnceLock<Instant> = OnceLock::new();

/// What comes sooner than this after the first is the same word said twice: a job is often told by its group, too.
const SAID_TWICE: Duration = Duration::from_millis(300);

fn listen_for_interrupt() {
    // Fails only when it is already listening, or on a system without signals; then Ctrl-C ends the program as ever.
    let _ = ctrlc::set_handler(|| {
        let first = FIRST.get_or_init(Instant::now);
        if INTERRUPTED.swap(true, Ordering::SeqCst) && first.elapsed() > SAID_TWICE {
            std::process::exit(130);
        }
    });
}

/// Shows how far a search has come, on standard error, if that is a terminal; stops it at a time limit or at Ctrl-C.
pub(crate) struct SearchLine {
    bar: ProgressBar,
    started: Instant,
    limit: Option<Duration>,
}

impl SearchLine {
    /// Shows nothing yet; never anything when `quiet`.
    pub(crate) fn new(quiet: bool, limit: Option<Duration>) -> Self {
        listen_for_interrupt();
        let shown = !quiet && std::io::stderr().is_terminal();
        let target = if shown { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
        let bar = ProgressBar::with_draw_target(None, target);
        if let Ok(style) = ProgressStyle::with_template("{spinner} {elapsed} {wide_msg}") {
            bar.set_style(style);
        }
        Self { bar, started: Instant::now(), limit }
    }
}

impl Observer for SearchLine {
    fn round_done(&self, progress: &Progress) {
        if self.bar.is_hidden() || self.started.elapsed() < PATIENCE {
            return;
        }
        let cutoff = progress.cutoff.map(|cents| format!(", list complete up to {:.2}", cents as f64 / 100.0));
        let bound = progress.bound.map(|b| format!(", what is left costs {b} or more"));
        let text =
            format!("{} evaluated{}{}", progress.evaluated, cutoff.unwrap_or_default(), bound.unwrap_or_default());
        self.bar.set_message(text);
        self.bar.tick();
    }

    fn stop(&self) -> bool {
        INTERRUPTED.load(Ordering::SeqCst) || self.limit.is_some_and(|most| self.started.elapsed() >= most)
    }
}

impl Drop for SearchLine {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
