//! What a target demands, and how far each demand can be let go.

use super::Relaxed;
use crate::assess::{Assessment, Requirement, assess};
use crate::fly::Fly;
use crate::spread::shares::share_above;
use crate::wanted::{Dive, FallWish, Line, Reach, RidesWish, ShareFloor, Target, Window};
use std::f64::consts::FRAC_PI_2;

/// Something that a target demands and that may be let go. An edge of a window is a demand of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Demand {
    /// One of several dressings under which it must hold, by its place in the list of the target.
    Dressing(u8),
    /// Part filters.
    PartFilters,
    /// No lead.
    LeadFree,
    /// Foam no longer than the tail that hides it.
    HiddenFoam,
    /// Share of the gap that stays clear.
    ClearGap,
    /// Cost of material for one fly.
    Cost,
    /// Drop of the nose when the line goes slack.
    Dive,
    /// Time to a depth.
    Reach,
    /// A steady fall on a slack line.
    Settles,
    /// Hang and sink rate at the other depths of a range.
    DepthRange,
    /// Mass of the fly.
    Mass,
    /// Which side the point is on.
    Rides,
    /// Upper edge of the sink rate.
    SlowEnough,
    /// Lower edge of the sink rate.
    FastEnough,
    /// Band of friction in the eye.
    Band,
    /// Share of flies that come out right.
    Share,
    /// Hang angle.
    Hang,
}

/// A demand with a figure: how it is let go by degrees.
pub(super) struct Scale {
    /// The limit as it is asked, which lets nothing in.
    pub(super) shut: f64,
    /// How fine the limit is sought.
    pub(super) step: f64,
    /// The limit that a recipe needs.
    pub(super) needs: Box<dyn Fn(&Assessment) -> f64>,
    /// The target with another limit.
    pub(super) with_limit: Box<dyn Fn(f64) -> Target>,
    /// The change that a limit stands for.
    pub(super) relaxed: Box<dyn Fn(f64) -> Relaxed>,
}

impl Scale {
    /// A limit that lets a fly in: what it needs as written, and as much more as it takes for enough flies to come out right.
    /// `None` where no limit does.
    pub(super) fn lets_in(&self, fly: &Fly) -> Option<f64> {
        /// From a step to more than any limit that means something.
        const DOUBLINGS: i32 = 24;
        let asked = (self.with_limit)(self.shut);
        let flies = std::iter::once(*fly).chain(asked.also(fly));
        let need = flies.map(|fly| (self.needs)(&assess(&fly, &asked))).fold(self.shut, f64::max);
        let enough_right = |limit: &f64| {
            let open = (self.with_limit)(*limit);
            let right = |floor| open.least_under_each(fly, |fly| share_above(fly, &open, floor)).is_some();
            open.share.as_ref().is_none_or(right)
        };
        let wider = (0..DOUBLINGS).map(|n| need + self.step * 2f64.powi(n));
        std::iter::once(need).chain(wider).filter(|limit| limit.is_finite()).find(enough_right)
    }
}

/// Resolution of the smallest tolerance, rad: a quarter of a degree.
pub(super) const ANGLE_STEP: f64 = std::f64::consts::PI / 720.0;
/// Resolution of the smallest change of sink rate, m/s.
const SPEED_STEP: f64 = 2e-3;
/// Resolution of the smallest change of mass, kg.
const MASS_STEP: f64 = 1e-6;
/// Resolution of a time to a depth, s.
const TIME_STEP: f64 = 0.1;
/// Resolution of the share of flies that come out right.
const SHARE_STEP: f64 = 0.01;
/// Resolution of the share of the gap.
const GAP_STEP: f64 = 0.02;

impl Demand {
    /// All but those of single dressings, in the order in which they are let go.
    pub const ALL: [Self; 16] = [
        Self::PartFilters,
        Self::LeadFree,
        Self::HiddenFoam,
        Self::ClearGap,
        Self::Cost,
        Self::Dive,
        Self::Reach,
        Self::Settles,
        Self::DepthRange,
        Self::Mass,
        Self::Rides,
        Self::SlowEnough,
        Self::FastEnough,
        Self::Band,
        Self::Share,
        Self::Hang,
    ];

    /// The words used in reports.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Dressing(_) => "dressing",
            Self::PartFilters => "part filters",
            Self::LeadFree => Requirement::LeadFree.words(),
            Self::HiddenFoam => "foam hidden in the tail",
            Self::ClearGap => "clear gap",
            Self::Cost => Requirement::Cost.words(),
            Self::Dive => Requirement::Dive.words(),
            Self::Reach => Requirement::Reach.words(),
            Self::Settles => Requirement::Settles.words(),
            Self::DepthRange => "all depths of the range",
            Self::Mass => Requirement::Mass.words(),
            Self::Rides => Requirement::Rides.words(),
            Self::SlowEnough => "greatest sink rate",
            Self::FastEnough => "least sink rate",
            Self::Band => Requirement::Band.words(),
            Self::Share => "share that comes out right",
            Self::Hang => Requirement::Hang.words(),
        }
    }

    /// All that a target makes, in the order in which they are let go: the last dressing first, so that the places of those
    /// before it stay.
    pub(super) fn all_made(target: &Target) -> Vec<Self> {
        let dressings = (0..target.choice.each.len()).rev().filter_map(|i| u8::try_from(i).ok().map(Self::Dressing));
        dressings.chain(Self::ALL.into_iter().filter(|demand| demand.made(target))).collect()
    }

    /// Whether a target makes it.
    pub(super) fn made(self, target: &Target) -> bool {
        let sink = target.sink.unwrap_or(Window { low: None, high: None });
        match self {
            Self::Dressing(i) => usize::from(i) < target.choice.each.len(),
            Self::PartFilters => target.choice.required_filters() > 0,
            Self::LeadFree => target.choice.lead_free,
            Self::HiddenFoam => !target.limits.visible_foam,
            Self::ClearGap => target.limits.clear_gap > 0.0,
            Self::Cost => target.max_cost.is_some(),
            Self::Dive => target.fall.dive.is_some(),
            Self::Reach => target.fall.reach.is_some(),
            Self::Settles => target.fall.line == Line::Slack,
            Self::DepthRange => target.fall.shallow.is_some(),
            Self::Mass => target.max_mass.is_some(),
            Self::Rides => target.rides != RidesWish::Either,
            Self::SlowEnough => sink.high.is_some(),
            Self::FastEnough => sink.low.is_some(),
            Self::Band => target.max_band.is_some(),
            Self::Share => target.share.is_some(),
            Self::Hang => true,
        }
    }

    /// The target without it.
    pub(super) fn let_go(self, target: &Target) -> Target {
        let mut open = target.clone();
        match self {
            Self::Dressing(i) => open.choice = target.choice.without_dressing(usize::from(i)),
            Self::PartFilters => drop(open.choice.filters.drain(..target.choice.required_filters())),
            Self::LeadFree => open.choice.lead_free = false,
            Self::HiddenFoam => open.limits.visible_foam = true,
            Self::ClearGap => open.limits.clear_gap = 0.0,
            Self::Cost => open.max_cost = None,
            Self::Mass => open.max_mass = None,
            Self::Rides => open.rides = RidesWish::Either,
            Self::SlowEnough => open.sink = open.sink.map(|w| Window { high: None, ..w }),
            Self::FastEnough => open.sink = open.sink.map(|w| Window { low: None, ..w }),
            Self::Hang => open.tolerance = FRAC_PI_2 + open.hang.abs(),
            Self::Dive => open.fall.dive = None,
            Self::Reach => open.fall.reach = None,
            Self::Settles => open.fall.line = Line::Tight,
            Self::DepthRange => open.fall.shallow = None,
            Self::Band => open.max_band = None,
            Self::Share => open.share = None,
        }
        open
    }

    /// How it is let go by degrees, where it has a figure that the target states.
    pub(super) fn scale(self, target: &Target) -> Option<Scale> {
        match self {
            Self::Hang => Some(tolerance(target)),
            Self::FastEnough => target.sink.and_then(|w| w.low).map(|low| sink_from(target, low)),
            Self::SlowEnough => target.sink.and_then(|w| w.high).map(|high| sink_to(target, high)),
            Self::Mass => target.max_mass.map(|most| mass(target, most)),
            Self::ClearGap => Some(clear_gap(target)),
            Self::Reach => target.fall.reach.map(|reach| within(target, reach)),
            Self::Dive => target.fall.dive.map(|dive| dive_from(target, dive)),
            Self::Band => target.max_band.map(|most| band(target, most)),
            Self::Share => target.share.map(|floor| share(target, floor)),
            Self::Dressing(_)
            | Self::PartFilters
            | Self::LeadFree
            | Self::HiddenFoam
            | Self::Cost
            | Self::Settles
            | Self::DepthRange
            | Self::Rides => None,
        }
    }
}

/// The figure that a requirement looks at.
fn value(assessment: &Assessment, requirement: Requirement) -> Option<f64> {
    assessment.checks.iter().find(|c| c.requirement == requirement).map(|c| c.value)
}

fn scale(
    (shut, step): (f64, f64),
    needs: impl Fn(&Assessment) -> f64 + 'static,
    with_limit: impl Fn(f64) -> Target + 'static,
    relaxed: impl Fn(f64) -> Relaxed + 'static,
) -> Scale {
    Scale { shut, step, needs: Box::new(needs), with_limit: Box::new(with_limit), relaxed: Box::new(relaxed) }
}

/// The best share there is, to a step: a share is no figure of one fly, so it is found by asking for less and less.
fn share(target: &Target, floor: ShareFloor) -> Scale {
    let from = target.clone();
    let with_limit = move |less| {
        let share = Some(ShareFloor { least: floor.least - less, ..floor });
        Target { share, ..from.clone() }
    };
    scale((0.0, SHARE_STEP), move |_| floor.least, with_limit, move |less| Relaxed::Share(floor.least - less))
}

fn tolerance(target: &Target) -> Scale {
    let (hang, from) = (target.hang, target.clone());
    let needs = move |a: &Assessment| value(a, Requirement::Hang).map_or(f64::INFINITY, |v| (v - hang).abs());
    let with_limit = move |tolerance| Target { tolerance, ..from.clone() };
    scale((target.tolerance, ANGLE_STEP), needs, with_limit, Relaxed::Tolerance)
}

fn sink_from(target: &Target, low: f64) -> Scale {
    let from = target.clone();
    let needs = move |a: &Assessment| value(a, Requirement::SinkRate).map_or(f64::INFINITY, |v| low - v);
    let with_limit = move |less| {
        let sink = from.sink.map(|w| Window { low: Some(low - less), ..w });
        Target { sink, ..from.clone() }
    };
    scale((0.0, SPEED_STEP), needs, with_limit, move |less| Relaxed::SinkFrom(low - less))
}

fn sink_to(target: &Target, high: f64) -> Scale {
    let from = target.clone();
    let needs = move |a: &Assessment| value(a, Requirement::SinkRate).map_or(f64::INFINITY, |v| v - high);
    let with_limit = move |more| {
        let sink = from.sink.map(|w| Window { high: Some(high + more), ..w });
        Target { sink, ..from.clone() }
    };
    scale((0.0, SPEED_STEP), needs, with_limit, move |more| Relaxed::SinkTo(high + more))
}

fn mass(target: &Target, most: f64) -> Scale {
    let from = target.clone();
    let with_limit = move |most| Target { max_mass: Some(most), ..from.clone() };
    scale((most, MASS_STEP), |a| a.prediction.body.mass(), with_limit, Relaxed::Mass)
}

fn band(target: &Target, most: f64) -> Scale {
    let from = target.clone();
    let needs = |a: &Assessment| value(a, Requirement::Band).unwrap_or(f64::INFINITY);
    let with_limit = move |most| Target { max_band: Some(most), ..from.clone() };
    scale((most, ANGLE_STEP), needs, with_limit, Relaxed::Band)
}

fn clear_gap(target: &Target) -> Scale {
    let (wanted, from) = (target.limits.clear_gap, target.clone());
    let with_limit = move |less| {
        let mut open = from.clone();
        open.limits.clear_gap = wanted - less;
        open
    };
    scale((0.0, GAP_STEP), move |_| wanted, with_limit, move |less| Relaxed::ClearGap(wanted - less))
}

fn within(target: &Target, reach: Reach) -> Scale {
    let from = target.clone();
    let needs = |a: &Assessment| value(a, Requirement::Reach).unwrap_or(f64::INFINITY);
    let with_limit = move |within| {
        let reach = Some(Reach { within, ..reach });
        Target { fall: FallWish { reach, ..from.fall }, ..from.clone() }
    };
    scale((reach.within, TIME_STEP), needs, with_limit, Relaxed::Within)
}

fn dive_from(target: &Target, dive: Dive) -> Scale {
    let from = target.clone();
    let needs = move |a: &Assessment| value(a, Requirement::Dive).map_or(f64::INFINITY, |v| dive.least - v);
    let with_limit = move |less| {
        let dive = Some(Dive { least: dive.least - less, ..dive });
        Target { fall: FallWish { dive, ..from.fall }, ..from.clone() }
    };
    scale((0.0, ANGLE_STEP), needs, with_limit, move |less| Relaxed::DiveFrom(dive.least - less))
}
