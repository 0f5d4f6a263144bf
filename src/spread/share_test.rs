//! A floor under the share of flies that come out right, and what quick tests make of it.

use super::snips::LeastWindows;
use crate::numeric::normal_below_which;
use crate::wanted::{Counted, ShareFloor, Target};

/// A floor under the share of flies that come out right, with quick tests before the share is worked out.
#[derive(Debug, Clone)]
pub struct ShareTest {
    floor: ShareFloor,
    /// See [`deviations_within`].
    deviations: f64,
    /// See [`Self::deviations_above`].
    deviations_above: f64,
    /// See [`Self::deviations_in_time`].
    deviations_in_time: Option<f64>,
    /// Of the floor; nothing where nothing is trimmed.
    windows: Option<LeastWindows>,
}

/// Standard deviations either side of the mean within which so large a share of a normal lies.
#[must_use]
pub fn deviations_within(share: f64) -> f64 {
    normal_below_which(0.5 * (1.0 + share.min(1.0 - 1e-9)))
}

/// By how much more flies come out right, where a history in time leaves few right, than those about the one in the middle: what
/// numerical integration and flies that were cut a little to one side of the middle add.
const ASIDE: f64 = 0.05;

/// Flies outside of such windows are no more than so many times those that do not come out right.
const WRONG_IN_WINDOWS: f64 = 1.1;

/// The share that lies in the windows of [`LeastWindows`] at least, which tries starts on a grid: it differs more where few come
/// out right.
fn within_windows(share: f64) -> f64 {
    let of_right = if share < 0.5 { 0.92 } else { 0.985 };
    (of_right * share).max(1.0 - WRONG_IN_WINDOWS * (1.0 - share))
}

impl ShareTest {
    /// What a target asks of the share, if it asks for any.
    #[must_use]
    pub fn of(target: &Target) -> Option<Self> {
        let floor = target.share.filter(|floor| floor.least > 0.0)?;
        let trimmed = floor.counted == Counted::Trimmed;
        let windows = trimmed.then(|| LeastWindows::new(within_windows(floor.least), &target.hands));
        Some(Self { windows, ..Self::plain(floor) })
    }

    /// Without tables of windows.
    pub(super) fn plain(floor: ShareFloor) -> Self {
        let deviations_above = normal_below_which(floor.least.min(1.0 - 1e-9));
        let in_time = floor.least.min(1.0 - 1e-9) - ASIDE;
        Self {
            floor,
            deviations: deviations_within(floor.least),
            deviations_above,
            deviations_in_time: (in_time > 0.5).then(|| normal_below_which(in_time)),
            windows: None,
        }
    }

    /// Least windows within which enough flies that are cut can end; `None` where flies are left alone.
    #[must_use]
    pub fn windows(&self) -> Option<&LeastWindows> {
        self.windows.as_ref()
    }

    /// What is counted.
    pub(super) fn counted(&self) -> Counted {
        self.floor.counted
    }

    /// Standard deviations of how well its sink rate is known by which the fly in the middle is in time at least; `None` where few are
    /// enough for that to say nothing.
    #[must_use]
    pub fn deviations_in_time(&self) -> Option<f64> {
        self.deviations_in_time
    }

    /// The least share that passes.
    #[must_use]
    pub fn least(&self) -> f64 {
        self.floor.least
    }

    /// See [`deviations_within`].
    #[must_use]
    pub fn deviations(&self) -> f64 {
        self.deviations
    }

    /// Standard deviations by which the mean of a normal lies above what so large a share of it exceeds.
    #[must_use]
    pub fn deviations_above(&self) -> f64 {
        self.deviations_above
    }
}
