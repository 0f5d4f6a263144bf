//! The share of flies that come out right, as a bound on how firmly they hang.
//!
//! On a loop, friction in the eye leaves a fly anywhere in a band, as a moment W s z with s its lever of one standard deviation
//! and z standard normal, independent of all else that differs from fly to fly ([`crate::spread`]). A fly comes out right only
//! if the moment about the lower edge p of its window is at least 0 and that about the upper edge q at most 0, friction
//! included. Given all but z, that leaves z an interval of width S / (W s) with S = f(p) - f(q) = 2 sin(h) M . d, h half the
//! width of the window and d its middle, so the share is at most the mean of 2 Phi(S / (2 W s)) - 1, a concave function of S
//! where S >= 0. So it is at most its value at the mean of S where S >= 0 (Jensen), and a share of at least P needs
//!
//! M . d >= c W, with c = s Phi^-1((1 + P) / 2) / sin(h).
//!
//! **Left alone**, a fly has more that errs: where its parts are bound, length and section of its foam. With v the variance of
//! the moment about the middle that such sources, each independent of all else, bring about at least, the argument is the same
//! with sqrt(v + (W s)^2) in place of W s. Nor may more flies than 1 - P be beyond either edge by itself, so f(p) and -f(q) are at
//! least Phi^-1(P) sqrt(v + (W s)^2).
//!
//! **Trimmed**, foam is cut in whole steps of the scissors, each with its error, until a reading tells to stop: where in a step a
//! fly ends is all but even, so that no more flies end in a window than [`crate::spread::LeastWindows`] says, whatever they start from; it is
//! worked out by following the cuts as the share itself does, with errors of reading and friction no greater than they must be:
//!
//! 2 sin(h) M . d >= w |df/dl| step.
//!
//! A reading errs by the eye and by friction, hypot(reading |M + G|, W' s) as a moment in the jar, with M + G and W' what the fly
//! adds up to there; as steps that is over k (1 - s tan(delta)) |df/dl| step, in the terms of what follows.
//!
//! Cutting until the jar shows some angle makes up for what turns the fly there, not for what turns it at its depth. Gas is lost
//! on the way down, by a moment G, so a fly that is to hang at d shows in the jar a hang that is off by delta, with
//! tan(delta) = G . e / ((M + G) . d), e a quarter turn from d. What moves a force across the shank by so much (how high the foam
//! sits, and its section) turns the fly otherwise at the two angles, and is left over:
//!
//! W_foam dy tan(delta) x' / f' / (1 - s tan(delta)),
//!
//! with x' and f' what foam adds per length to Mx and to f, and s what it adds to M . d over what it adds to f. What is wrong with
//! hook and dressing, and with where bead and wraps lie, by a moment m is left over as a m . e + (1 - a) tan(delta) m . d, with 1 - a = 1 / (k (1 - s tan(delta))) and
//! k what foam does per length in the jar over what it does at its depth. All that blurs the window as friction does
//! (`Contribution::in_jar`). It is looked at about the middle alone.
//!
//! Foam has no more room than the seat gives it: where the start cannot be left as much longer as flies spread, many are too short
//! from the start ([`crate::spread::Starts`]); and the wider starts spread in steps, the fewer end in a window, since each look at a
//! fly that is nearly done may err. Foam that is too long for the hang at the least that can be tied in is not
//! trimmed at all; and as many flies as are still too long at the least, by more than half a window, do not come out right.
//!
//! **A range of depths** asks f(p) >= 0 at its shallow end and f(q) <= 0 at its deep end, so S is no more than the greatest
//! difference of the two, too (`Contribution::swing`). What moves both moves the window by its mean, and foam is cut for f to be 0
//! at d on the mean of both ends: G, snips and all that foam does are then means of the two.
//!
//! A fly counts by the better of both, so a set is out when it has neither.
//!
//! **Sinking.** How well drag and weight are known errs by at least what is not known of hook, dressing and lift of the foam, E
//! ([`crate::physics::doubt`]), whatever else differs from fly to fly. So of flies whose weight exceeds their drag at the lowest rate
//! by X, as many as Phi(X / E) are as fast as that at most, and of all flies that come out right by their hang the share of those
//! that sink fast enough is no more than Phi at their mean X (concave, where X is not negative): a share P of both needs
//! P / Phi(X / E) by the hang alone, where the window of hangs is narrow: else how a fly hangs tells how fast it sinks. Flies that
//! are cut have the X of the length at which they hang as wanted on the mean: with g what W - D gains per length cut, f' what that
//! turns f by, and l = g / f' at most, X is no more than W - D - l f at the middle where that is too little, than W - D where it is
//! not, and, where l is not too great, than W - l f(q) - D, the joint bound of [`super::Bounds::joint`]; on its
//! back by the other edge alike. Where no faster than some rate is asked, too, no more flies are within both than of one in their
//! middle; the two X of one fly add up to no more than what its drag grows by from rate to rate in one attitude, which is no more
//! than the sum of what each part's grows by at most (`DragRange::most`, looked at where the window of hangs is narrow).
//!
//! Flies that are cut, at one depth, know more. What turns a fly because bead or wraps are bound so far from where they should be,
//! by W dx cos(d), is made up for in foam, and changes the weight by that times what a cut gains in weight over what it turns f by
//! in the jar, at least (`Contribution::lighter`): its variance comes on top of E^2. Any fly that hangs as wanted has foam of that
//! length, cut or too short from the start, so it holds for both. And such flies are hardly nearer the middle of both rates than
//! flies by themselves. Neither is counted where one snip changes X by much of E: then where in a snip a fly ends decides hang and
//! sink rate alike.
//!
//! What is allowed for:
//! - S varies. Its share is a concave function A of S from A(0) = 0 on, and 0 below; S is normal, so pairs of flies as far
//!   either side of the mean show that their share is no more than A at the mean, or 1/2 (for a share of more than a half, that
//!   is all). For less, Jensen's bound takes the mean of the positive part, 1.084 of the mean where its standard deviation is
//!   the mean (`VARIES_MUCH`);
//! - where either side of the point will do, a fly may rest in the other window, when S is below 0. `OTHER_SIDE` allows for
//!   that as long as S varies by less than half its mean. That is left out of the account where the windows lie more than a
//!   quarter turn and h apart; else the bound is not used;
//! - a fly that is trimmed has another length than is written: that at which f is 0 at d. M . d differs there by no more than
//!   tan(h), or f at the middle over M . d, times that of foam per length over its f per length (`Firmness::new` is given the greatest ratio), and so for S
//!   of a range (`InJar::between`); G and the weight of the foam by no
//!   more than `InJar::like` while the window is a few snips wide;
//! - in snips of the jar, flies spread there by no less than `LIKE_JAR` of what they do at their depth;
//! - spreads are taken as straight lines (`LINES`).

use super::contribution::{Contribution, InJar};
use super::drag::rise_is_known;
use super::jar::Jar;
use super::range::Range;
use super::sinking::Sinking;
use super::{BetaWindow, MOMENT_SLACK, Turn};
use crate::fly::{Fly, State};
use crate::physics::friction;
use crate::physics::statics::Knot;
use crate::spread::Starts;
use crate::spread::draws::Source;
use crate::spread::scatter::Scatter;
use crate::spread::share_test::{ShareTest, deviations_within};
use crate::spread::trimming::MIDDLE_OF_THREE;
use crate::wanted::Target;
use std::f64::consts::{FRAC_PI_2, PI};

/// See the module.
const VARIES_MUCH: f64 = 1.17;
/// See the module.
const OTHER_SIDE: f64 = 1.03;
/// See the module.
pub(super) const LINES: f64 = 0.93;
/// M . d differs at the two ends of a range by what foam adds to it alone: S, which is looked at as if it did not, is greater by no
/// more than this.
const OVER_RANGE: f64 = 1.02;
/// Widest window, in snips, for which that holds.
const FEW_SNIPS: f64 = 12.0;
/// What foam does per length is known for cuts of so many snips off it, or so much longer foam.
pub(in crate::search) const KNOWN_CUT: f64 = 3.0;
/// See the module.
const LIKE_JAR: f64 = 0.93;
/// With the least foam, flies spread by no less than this of what they do with the foam that is written. Tested, not proven.
const AT_THE_LEAST: f64 = 0.8;
/// What foam does in the jar bends otherwise over its room than what it does at its depth, by no more than so many snips.
const ROOM_SLACK: f64 = 0.5;
/// Greatest difference of density of the waters of jar and fishing, kg/m^3, at which foam alone hangs otherwise in them.
const LIKE_WATERS: f64 = 3.0;
/// Between fresh water and the sea, all but foam weighs alike, to this share.
const OTHER_WATERS: f64 = 0.9;
/// Greatest half width of a window for which the bound is used, rad: beyond, friction decides little.
const WIDEST: f64 = 0.6;
/// Greatest allowance for trimming that is made, as a share: beyond, the bound is not used.
const MOST_TRIMMED: f64 = 0.6;
/// What cutting foam does to a fly on one hook, at most, over all foam that can be trimmed there.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(in crate::search) struct Cutting {
    /// M . d that foam gains per length over its f per length.
    pub(in crate::search) sideways: f64,
    /// Weight less drag at the lowest rate that a fly gains per length cut, over what it turns f at the edge by, 1/m, of foam of which
    /// that is less than [`super::MOST_FASTER`].
    pub(in crate::search) faster: f64,
}

/// A window of hangs of a node, as moments.
struct Wide {
    /// By which it may be wider than it seems.
    allowed: f64,
    /// And by which once flies are trimmed.
    trimmed: f64,
    /// S, at most, N m.
    width: f64,
    /// Of one standard deviation, at least, N m.
    friction: f64,
}

/// How firmly a fly must hang.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Firmness {
    /// M . d is at least this times W, m.
    pub lever: f64,
    /// Standard deviation of friction as a lever, m.
    friction: f64,
    /// Sine of half the width of the window.
    pub(super) sin_half: f64,
    /// See [`Cutting::sideways`].
    sideways: f64,
    /// How much more M . d may be once a fly is trimmed, anywhere in the window.
    trimmed: f64,
    /// Of hook and dressing.
    fixed: Scatter,
    /// Whether foam alone hangs otherwise in the jar.
    pub(super) foam_alone: bool,
    /// Error of one reading by eye that is counted on, rad.
    eye: f64,
    /// Whether either side of the point will do.
    either_side: bool,
    /// Middles of the windows, rad.
    pub(super) middles: [f64; 2],
    /// Step of the scissors, m.
    pub(in crate::search) step: f64,
    /// See [`Cutting::faster`].
    pub(super) faster: f64,
    /// See [`super::drag::rise_is_known`].
    pub(super) rise_is_known: bool,
    /// How surely it sinks as it must, where that is asked and is of use.
    pub(super) sinking: Option<Sinking>,
    /// Whether the fly lies on its belly there.
    pub(super) upright: [bool; 2],
}

impl Firmness {
    /// For hook and dressing alone, and what cutting the foam that can be trimmed on it does.
    #[must_use]
    pub(in crate::search) fn new(
        target: &Target,
        bare: &Fly,
        windows: &[BetaWindow],
        Cutting { sideways, faster }: Cutting,
    ) -> Option<Self> {
        let test = target.share.filter(|floor| floor.least > 0.0)?;
        if !matches!(target.conditions.knot, Knot::Loop) {
            return None;
        }
        let half = windows.iter().map(|w| 0.5 * (w.to - w.from)).fold(0.0, f64::max);
        let trimmed = sideways * half.tan();
        let apart = windows.len() < 2 || PI - 2.0 * target.hang.abs() > FRAC_PI_2 + half;
        if half > WIDEST || !(0.0..=MOST_TRIMMED).contains(&trimmed) || !apart {
            return None;
        }
        let friction = friction::lever(bare.hook.eye_inner_diameter, target.hands.eye_friction) / 3f64.sqrt();
        let soaked = target.conditions.state == State::Soaked;
        let like_waters = (target.conditions.water.density - target.hands.jar.density).abs() < LIKE_WATERS;
        let mut firmness = Self {
            lever: 0.0,
            friction,
            sin_half: half.sin(),
            sideways,
            trimmed: 1.0 + trimmed,
            fixed: Scatter::of(bare, target, |source| matches!(source, Source::HookMass | Source::Dressing(_))),
            foam_alone: soaked && like_waters,
            eye: if soaked { target.hands.reading_sd * if like_waters { 1.0 } else { OTHER_WATERS } } else { 0.0 },
            either_side: windows.len() > 1,
            middles: std::array::from_fn(|k| windows.get(k).map_or(0.0, |w| 0.5 * (w.from + w.to))),
            step: target.hands.scissors.m(),
            upright: std::array::from_fn(|k| windows.get(k).is_some_and(|w| (0.5 * (w.from + w.to)).cos() > 0.0)),
            sinking: Sinking::new(target, bare, windows),
            rise_is_known: rise_is_known(target),
            faster,
        };
        let allowed = firmness.allowed(test.least) * firmness.trimmed;
        firmness.lever = friction * deviations_within(test.least) / half.sin() / allowed;
        Some(firmness)
    }

    /// How much more M . d may be of flies of a node once they are trimmed: they are no farther off than f at the middle says.
    pub(super) fn trimmed_to_the_middle(&self, k: usize, total: &Contribution) -> f64 {
        let along = total.turning[k][2].low;
        if along <= 0.0 { self.trimmed } else { (1.0 + self.sideways * self.off(k, total) / along).min(self.trimmed) }
    }

    /// f at the middle of window k, N m.
    pub(super) fn at_the_middle(&self, k: usize, total: &Contribution) -> Range {
        let [p, q, _] = total.turning[k];
        let twice = p.plus(q);
        let by = 1.0 / (2.0 * self.cos_half());
        Range { low: (twice.low - MOMENT_SLACK) * by, high: (twice.high + MOMENT_SLACK) * by }
    }

    /// The same in size, at most.
    fn off(&self, k: usize, total: &Contribution) -> f64 {
        let Range { low, high } = self.at_the_middle(k, total);
        low.abs().max(high.abs())
    }

    /// The same in snips.
    pub(super) fn snips_off(&self, k: usize, total: &Contribution) -> f64 {
        self.off(k, total) / total.snip[k].max(1e-30)
    }

    /// Whether no fly of a node has foam that, cut to the least, lets it hang at the middle of window k: none is trimmed then.
    fn too_much_foam(&self, k: usize, total: &Contribution) -> bool {
        let (f, most) = (self.at_the_middle(k, total), total.in_jar[k].cut_off);
        let slack = 4.0 * MOMENT_SLACK;
        (most.low >= 0.0 && f.low > most.high + slack) || (most.high <= 0.0 && f.high < most.low - slack)
    }

    /// Whether too few flies of a node have so little to cut off that they hang within half a window, N m, of the middle of window k with the
    /// least foam that can be tied in; `scatter` is the variance of the moment of flies left alone.
    fn mostly_too_much_foam(
        &self,
        test: &ShareTest,
        (k, total): (usize, &Contribution),
        (scatter, half): (f64, f64),
    ) -> bool {
        let (f, most) = (self.at_the_middle(k, total), total.in_jar[k].cut_off);
        let spare = if most.low >= 0.0 {
            most.high - f.low
        } else if most.high <= 0.0 {
            f.high - most.low
        } else {
            return false;
        };
        spare + half < test.deviations_above() * AT_THE_LEAST * scatter.sqrt()
    }

    /// How much more S of a range of depths may be once a fly is trimmed: as it is written, f is no more than half of S off.
    fn over_range(&self, InJar { between, .. }: InJar) -> f64 {
        (1.0 + between / (2.0 * self.cos_half())) * OVER_RANGE
    }

    /// By which S may be greater than it seems, besides what trimming adds.
    fn allowed(&self, share: f64) -> f64 {
        match (share > 0.5, self.either_side) {
            (true, false) => 1.01,
            (true, true) => OTHER_SIDE,
            (false, _) => VARIES_MUCH,
        }
    }

    /// How wide a window is, and how much of it friction takes.
    fn wide(&self, test: &ShareTest, k: usize, (deep, shallow): (&Contribution, Option<&Contribution>)) -> Wide {
        let allowed = self.allowed(test.least());
        let along = (deep.turning[k][2].high + MOMENT_SLACK).max(0.0);
        let trimmed = if shallow.is_some() { self.trimmed } else { self.trimmed_to_the_middle(k, deep) };
        let one_depth = 2.0 * self.sin_half * along * trimmed * allowed;
        let weight = shallow.map_or(deep.weight.low, |shallow| shallow.weight.low.min(deep.weight.low));
        let width = match shallow {
            Some(_) => one_depth
                .min((-deep.swing[k] + 4.0 * MOMENT_SLACK).max(0.0) * self.over_range(deep.in_jar[k]) * allowed),
            None => one_depth,
        };
        Wide { allowed, trimmed, width, friction: self.friction * weight.max(0.0) }
    }

    /// Whether friction alone leaves too few flies of a node to pass a test in window k, left alone or cut.
    #[must_use]
    pub(in crate::search) fn too_sticky(
        &self,
        test: &ShareTest,
        k: usize,
        both: (&Contribution, Option<&Contribution>),
    ) -> bool {
        let Wide { width, friction, .. } = self.wide(test, k, both);
        0.5 * width < test.deviations() * friction
    }

    /// Whether no fly of a node passes a test by its hang in window k, left alone (or cut): `deep` is what it adds up to at the fishing
    /// depth, `shallow` at the other end of a range.
    #[must_use]
    pub(in crate::search) fn too_loose(
        &self,
        test: &ShareTest,
        (k, cut): (usize, bool),
        (deep, shallow): (&Contribution, Option<&Contribution>),
    ) -> bool {
        let Wide { allowed, trimmed, width, friction } = self.wide(test, k, (deep, shallow));
        let deviations = test.deviations();
        if 0.5 * width < deviations * friction {
            return true;
        }
        let scatter = self.scatter(k, deep);
        if !cut {
            let sd = (scatter + friction * friction).sqrt();
            let lower = shallow.unwrap_or(deep).turning[k][0].high;
            let upper = -deep.turning[k][1].low;
            return 0.5 * width / LINES < deviations * sd
                || (lower.min(upper) + MOMENT_SLACK) / LINES < test.deviations_above() * sd;
        }
        if shallow.is_none()
            && (self.too_much_foam(k, deep) || self.mostly_too_much_foam(test, (k, deep), (scatter, 0.5 * width)))
        {
            return true;
        }
        test.windows().is_none_or(|windows| {
            let (snip, in_jar) = match shallow {
                None => (deep.snip[k], deep.in_jar[k]),
                // What moves the window as a whole is the mean of what it does at both ends.
                Some(shallow) => (
                    0.5 * (deep.snip[k] + shallow.snip[k]) * self.cos_half(),
                    deep.in_jar[k].and_at_the_other_end(shallow.in_jar[k]),
                ),
            };
            let per_width = 1.0 / width.max(1e-30);
            let within = 0.5 * width / snip;
            let cut = if shallow.is_some() { within } else { within.min(self.snips_off(k, deep)) };
            let jar = self.jar((deep, k), in_jar, (allowed, trimmed, cut));
            // Foam has no more room than at the shortest length. The spread at the start is that of flies left alone, about, in snips of
            // the jar, where gas that is lost at depth lifts more.
            let starts = if cut <= KNOWN_CUT {
                let snip_in_jar = in_jar.greatest_snip * in_jar.gas.high.max(1.0);
                Starts::of(in_jar.room + cut + ROOM_SLACK, LIKE_JAR * scatter.sqrt() / snip_in_jar)
            } else {
                Starts::Any
            };
            let reading = self.misread((deep, k), in_jar, &jar, (width, friction * per_width));
            // All that is left over at once: the wider the blur, the wider the window must be.
            let left = if self.foam_alone && width < FEW_SNIPS * snip {
                jar.left_of_foam(in_jar) + self.left_of_the_rest(in_jar, (k, deep.placed), &jar)
            } else {
                0.0
            };
            let blur = (friction * friction + left).sqrt();
            width < windows.at(starts, reading, blur * per_width) * snip
        })
    }

    pub(super) fn cos_half(&self) -> f64 {
        (1.0 - self.sin_half * self.sin_half).sqrt()
    }

    /// Least variance of the moment about the middle of window k of flies left alone, (N m)^2.
    fn scatter(&self, k: usize, total: &Contribution) -> f64 {
        // Along the shank, a weight turns a fly by its x alone.
        total.scatter[k] + total.placed * self.middles[k].cos().powi(2)
    }

    /// Variance of the moment of hook and dressing about the middle of a window, (N m)^2.
    pub(in crate::search) fn scatter_of_hook(&self, middle: Turn) -> f64 {
        // Along the direction a quarter turn on.
        self.fixed.along(middle.sin.atan2(middle.cos) + FRAC_PI_2)
    }

    /// How a fly that is to hang at d, so many snips from how it hangs as written, hangs in the jar.
    fn jar(&self, (deep, k): (&Contribution, usize), in_jar: InJar, (allowed, trimmed, snips): (f64, f64, f64)) -> Jar {
        let like = in_jar.like(snips);
        // What foam does otherwise in the jar is as its length once it is cut, or longer.
        let changed = Range { low: like, high: 1.0 / like.max(1e-3) };
        let (side, down) = (in_jar.side.times(changed), in_jar.down.times(changed));
        let along = deep.turning[k][2];
        let there = Range { low: along.low / trimmed + down.low, high: (along.high * trimmed + down.high).max(1e-30) };
        let aside = if side.low * side.high > 0.0 { side.low.abs().min(side.high.abs()) } else { 0.0 };
        Jar {
            least: aside.copysign(side.low) / there.high,
            tan: (there.low > 0.0).then(|| side.times(Range { low: 1.0 / there.high, high: 1.0 / there.low })),
            down,
            aside,
            allowed,
            trimmed,
            like,
            known: if snips <= KNOWN_CUT { 1.0 } else { like },
        }
    }

    /// Error of one reading in snips, at least, over the width of window k in snips; `width` is the greatest, N m, `friction` that of
    /// one standard deviation over it.
    fn misread(
        &self,
        (deep, k): (&Contribution, usize),
        InJar { weight, gas, tilt, .. }: InJar,
        jar: &Jar,
        (width, friction): (f64, f64),
    ) -> f64 {
        let Some(tan) = jar.tan.filter(|_| deep.weight.low > 0.0) else { return 0.0 };
        let steps = gas.high * (1.0 - tilt.times(tan).low) / 1f64.hypot(jar.least);
        if !steps.is_finite() || steps <= 0.0 {
            return 0.0;
        }
        // |M + G| over M . d, at one depth; of a range, the window is narrower.
        let along = deep.turning[k][2];
        let (least, most) = (along.low / jar.trimmed, along.high * jar.trimmed);
        let straight = 1.0 + jar.down.low / if jar.down.low < 0.0 { least } else { most };
        let at_one_depth = straight.hypot(jar.aside / most) / (2.0 * self.sin_half * jar.allowed);
        let eye = self.eye * at_one_depth.max((least + jar.down.low).hypot(jar.aside) / width);
        let lighter = (1.0 + weight / jar.like.max(1e-3) / deep.weight.low).max(0.0);
        jar.known * MIDDLE_OF_THREE * eye.hypot(friction * lighter) / steps
    }

    /// Variance of what cutting does not make up for of hook and dressing, and of where parts lie that is `placed`, (N m)^2, at least.
    fn left_of_the_rest(&self, InJar { gas, tilt, .. }: InJar, (k, placed): (usize, f64), jar: &Jar) -> f64 {
        let Some(tan) = jar.tan.filter(|_| gas.low > 0.0) else { return 0.0 };
        let tilted = tilt.times(tan);
        if tilted.high >= 1.0 || !tilted.low.is_finite() {
            return 0.0;
        }
        let kept = Range { low: 1.0 / (gas.high * (1.0 - tilted.low)), high: 1.0 / (gas.low * (1.0 - tilted.high)) };
        let swung = kept.times(tan);
        let a = (1.0 - kept.high, 1.0 - kept.low);
        let scatter = self.fixed.plus(Scatter { xx: placed, ..Scatter::default() });
        jar.known.powi(2) * scatter.least(self.middles[k], a, (swung.low, swung.high))
    }
}
