//! Searches that are given up when they take too long: by counts, so that the same answer comes out on any machine.

use super::{Observer, Progress};
use std::sync::atomic::{AtomicU64, Ordering};

/// Stops a search that goes on too long.
pub(crate) struct Patience<'o> {
    observer: &'o dyn Observer,
    most_judged: u64,
    most_rounds: u64,
    judged: AtomicU64,
    rounds: AtomicU64,
}

impl<'o> Patience<'o> {
    /// After more than so many recipes judged, or rounds.
    pub(crate) fn new(observer: &'o dyn Observer, most_judged: u64, most_rounds: u64) -> Self {
        Self { observer, most_judged, most_rounds, judged: AtomicU64::new(0), rounds: AtomicU64::new(0) }
    }
}

impl Observer for Patience<'_> {
    fn round_done(&self, progress: &Progress) {
        self.judged.store(progress.evaluated, Ordering::Relaxed);
        self.rounds.fetch_add(1, Ordering::Relaxed);
        self.observer.round_done(progress);
    }

    fn stop(&self) -> bool {
        self.observer.stop()
            || self.judged.load(Ordering::Relaxed) > self.most_judged
            || self.rounds.load(Ordering::Relaxed) > self.most_rounds
    }
}
