//! What a target asks of a fly, as figures that must not fall below zero, each a straight line in the sources of spread.
//!
//! **Hang.** A fly on a line rests where its energy E(beta) = -M . d(beta) (and that of a snug line) is least, so between two
//! turns, at most half a turn apart, exactly when E' is negative at the one and positive at the other. E' at a fixed turn is
//! linear in the moments: -(Mx cos beta + My sin beta), plus the moment of a bent line, less that of friction in the eye.
//! The moments are sums over the parts, all but linear in what differs from fly to fly (a share of 8 % more section is 8 %
//! more lift); what is bent shifts the mean, by half the second difference, and that shift is counted. So the two edges of
//! the window are two joint normal figures, without any straight line laid through the hang itself, which bends.
//!
//! **Sink rate on a tight line.** Drag grows with speed, so it is at least v exactly when the weight is at least the drag at
//! v ([`crate::physics::lowered::sinks_within`]); the drag there is a straight line in the attitude and in what is drawn
//! through the water. How far drag and weight may be off for what the model does not know ([`crate::physics::doubt`]) is one more
//! source, the same at both edges. **Histories** (a time to a depth, a slack fall, a jig stroke): a straight line in each source,
//! through flies one standard deviation either side, of which only what becomes of the steady way down, or of the settled fall, is
//! looked at; [`super::chance`] follows each of them.

use super::draws::{SOURCES, Source, Spread, Standard, sink_rate_known};
use crate::assess::{clearly_late, each_history, histories, histories_near};
use crate::fly::{AsTied, Conditions, Deviation};
use crate::numeric::normal_share_of_orthant;
use crate::part::Hook;
use crate::physics::body::Body;
use crate::physics::doubt::force_sd;
use crate::physics::lowered::vertical_drag;
use crate::physics::statics::{Knot, Moments, Rest, Rides, hang, line_moment};
use crate::wanted::{Line, Target, Window};
use std::f64::consts::{PI, TAU};

/// A figure as a straight line in the sources: `at` plus `per` for each standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Form {
    pub(super) at: f64,
    pub(super) per: Standard,
}

impl Form {
    pub(super) fn times(&self, factor: f64) -> Self {
        Self { at: self.at * factor, per: self.per.map(|p| p * factor) }
    }

    /// This and `factor` times another.
    pub(super) fn plus(&self, factor: f64, other: &Self) -> Self {
        let per = std::array::from_fn(|i| self.per[i] + factor * other.per[i]);
        Self { at: self.at + factor * other.at, per }
    }

    pub(super) fn covariance(&self, other: &Self) -> f64 {
        self.per.iter().zip(&other.per).map(|(a, b)| a * b).sum()
    }

    pub(super) fn sd(&self) -> f64 {
        self.covariance(self).sqrt()
    }
}

/// What numerical integration of a share may err by.
pub(super) const INTEGRATION_SLACK: f64 = 3e-3;

/// Share of flies for which none of the figures falls below zero, each moved by so much.
pub(super) fn share_of(forms: &[Form], moved: impl Fn(usize) -> f64) -> f64 {
    let mut means = [0.0; crate::numeric::MOST_FIGURES];
    let count = forms.len().min(means.len());
    for (i, mean) in means.iter_mut().enumerate().take(count) {
        *mean = forms[i].at + moved(i);
    }
    normal_share_of_orthant(&means[..count], |a, b| forms[a].covariance(&forms[b]))
}

/// Submerged weight and moments, with what one standard deviation of each source adds.
#[derive(Debug, Clone)]
pub(super) struct Pull {
    pub(super) at: Moments,
    pub(super) per: [Moments; SOURCES],
    /// Lever of friction, m, of one standard deviation.
    friction: f64,
}

impl Pull {
    pub(super) fn of(tied: &AsTied, spreads: &[Spread], base: &Deviation) -> Self {
        let mut at = tied.moments(base);
        let mut per = [Moments::default(); SOURCES];
        let mut friction = 0.0;
        for spread in spreads {
            match spread.source {
                Source::Friction => {
                    friction = spread.sd;
                    continue;
                }
                Source::SinkRate => continue,
                _ => {}
            }
            let moved = |amount: f64| {
                let mut deviation = *base;
                spread.source.add(&mut deviation, amount);
                tied.moments_moved(&deviation, |label| spread.source.moves(label))
            };
            let (less, more) = (moved(-spread.sd), moved(spread.sd));
            let slope = |a: f64, b: f64| 0.5 * (b - a);
            per[spread.source.index()] =
                Moments { weight: slope(less.weight, more.weight), x: slope(less.x, more.x), y: slope(less.y, more.y) };
            if spread.source.bends() {
                let same = moved(0.0);
                let bend = |a: f64, m: f64, b: f64| 0.5 * (a + b) - m;
                at.weight += bend(less.weight, same.weight, more.weight);
                at.x += bend(less.x, same.x, more.x);
                at.y += bend(less.y, same.y, more.y);
            }
        }
        Self { at, per, friction }
    }

    pub(super) fn weight(&self) -> Form {
        Form { at: self.at.weight, per: self.per.map(|m| m.weight) }
    }

    /// Slope of the energy at a turn, N m: negative while the fly rests farther on, friction included.
    pub(super) fn slope_at(&self, beta: f64, knot: Knot, neck_angle: f64) -> Form {
        let (sin, cos) = beta.sin_cos();
        let bend = line_moment(self.at.weight, knot, neck_angle, beta);
        // The moment of the bent line goes with the root of the tension.
        let per_weight = if self.at.weight > 0.0 { 0.5 * bend / self.at.weight } else { 0.0 };
        let mut per = self.per.map(|m| -(m.x * cos + m.y * sin) + per_weight * m.weight);
        per[Source::Friction.index()] = -self.at.weight.max(0.0) * self.friction;
        Form { at: -(self.at.x * cos + self.at.y * sin) + bend, per }
    }
}

/// Windows of the turn beta in which a target lets a fly on this hook rest, one for each side of the point.
pub(super) fn windows(target: &Target, hook: &Hook) -> Vec<(f64, f64)> {
    let (low, high) = target.hangs_left();
    let on = |side: Rides| match side {
        Rides::PointUp => (low, high),
        Rides::PointDown => (PI - high, PI - low),
    };
    match target.rides.side(hook) {
        Some(side) => vec![on(side)],
        None => vec![on(Rides::PointUp), on(Rides::PointDown)],
    }
}

/// How much of what a target asks is put into figures. Each is cheaper by far than the next, and leaves out figures alone: a
/// share of fewer figures is no less.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Detail {
    /// The hang.
    Hang,
    /// All but what takes a history in time.
    NoHistory,
    /// All.
    Whole,
}

/// All that a target asks of one recipe, side by side of the point.
#[derive(Debug, Clone)]
pub(super) struct Asked {
    pub(super) sides: Vec<Side>,
}

/// All that is asked on one side of the point.
#[derive(Debug, Clone)]
pub(super) struct Side {
    /// The lower and the upper edge of the window of hangs at the fishing depth, then at the shallow end of a range, then all
    /// else.
    pub(super) forms: Vec<Form>,
    /// Depths at which the hang is asked.
    depths: usize,
}

impl Side {
    /// Whether the hang is asked at one depth alone.
    pub(super) fn is_of_one_depth(&self) -> bool {
        self.depths == 1
    }

    /// Every lower edge with every upper edge: a fly that comes out right hangs between them all.
    pub(super) fn windows(&self) -> impl Iterator<Item = [&Form; 2]> {
        let edge = |upper: usize| self.forms.iter().take(2 * self.depths).skip(upper).step_by(2);
        edge(0).flat_map(move |low| edge(1).map(move |high| [low, high]))
    }

    /// All edges.
    pub(super) fn edges(&self) -> &[Form] {
        &self.forms[..2 * self.depths]
    }
}

impl Asked {
    /// Of a fly near `base`.
    pub(super) fn of(tied: &AsTied, spreads: &[Spread], base: &Deviation, target: &Target, detail: Detail) -> Self {
        let mut common: Vec<Form> = Vec::new();
        if detail > Detail::Hang {
            common.extend(target.max_mass.map(|most| mass_form(tied, spreads, base, most)));
        }
        if detail == Detail::Whole && target.fall.takes_a_history() {
            common.extend(history_forms(tied, spreads, base, target));
        }
        let deep = Place::of(tied, spreads, base);
        let shallow_tied = target.fall.shallow.map(|depth| tied.under(&Conditions { depth, ..tied.conditions }));
        let shallow = shallow_tied.as_ref().map(|tied| Place::of(tied, spreads, base));
        let sides = windows(target, tied.fly.hook)
            .into_iter()
            .map(|window| {
                let mut forms = Vec::with_capacity(8);
                let places = || [Some(&deep), shallow.as_ref()].into_iter().flatten();
                for place in places() {
                    forms.extend(place.edges(window));
                }
                let depths = forms.len() / 2;
                for place in places() {
                    place.ask(window, (target, detail), &mut forms);
                }
                forms.extend_from_slice(&common);
                Side { forms, depths }
            })
            .collect();
        Self { sides }
    }

    /// What a target asks of the sink rate on a tight line of a fly near `base`, side by side of the point.
    pub(super) fn of_sinking(tied: &AsTied, spreads: &[Spread], base: &Deviation, target: &Target) -> Vec<Vec<Form>> {
        let place = Place::of(tied, spreads, base);
        let of_side = |turns| {
            let mut forms = Vec::with_capacity(2);
            if let Some(window) = target.sink.filter(|_| target.fall.line == Line::Tight) {
                place.ask_sink_rate(window, turns, &mut forms);
            }
            forms
        };
        windows(target, tied.fly.hook).into_iter().map(of_side).collect()
    }

    /// Share of flies of which nothing that is asked is missed.
    pub(super) fn share(&self) -> f64 {
        self.sides.iter().map(|side| share_of(&side.forms, |_| 0.0)).sum::<f64>().min(1.0)
    }
}

/// One recipe at one depth.
struct Place<'a, 'f> {
    tied: &'a AsTied<'f>,
    spreads: &'a [Spread],
    base: &'a Deviation,
    pull: Pull,
}

impl<'a, 'f> Place<'a, 'f> {
    fn of(tied: &'a AsTied<'f>, spreads: &'a [Spread], base: &'a Deviation) -> Self {
        Self { tied, spreads, base, pull: Pull::of(tied, spreads, base) }
    }

    /// Figures of the lower and the upper edge of a window of hangs.
    fn edges(&self, (low, high): (f64, f64)) -> [Form; 2] {
        let (knot, neck) = (self.tied.conditions.knot, self.tied.fly.hook.neck_angle);
        [self.pull.slope_at(low, knot, neck).times(-1.0), self.pull.slope_at(high, knot, neck)]
    }

    /// All else that is asked at this depth.
    fn ask(&self, (low, high): (f64, f64), (target, detail): (&Target, Detail), forms: &mut Vec<Form>) {
        forms.push(self.pull.weight());
        if let Some(window) = target.sink.filter(|_| detail > Detail::Hang && target.fall.line == Line::Tight) {
            self.ask_sink_rate(window, (low, high), forms);
        }
    }

    fn ask_sink_rate(&self, window: Window, turns: (f64, f64), forms: &mut Vec<Form>) {
        let attitude = Attitude::of(self, turns);
        let body = self.tied.body(self.base);
        if let Some(low) = window.low.filter(|v| *v > 0.0)
            && !self.surely_faster(&body, turns, low)
        {
            forms.push(self.excess(&body, &attitude, low));
        }
        match window.high {
            Some(high) if high > 0.0 => forms.push(self.excess(&body, &attitude, high).times(-1.0)),
            // It would have to rise.
            Some(_) => forms.push(Form { at: -1.0, per: [0.0; SOURCES] }),
            None => {}
        }
    }

    /// Weight less drag at a speed, N, with how far off it may be for what the model does not know.
    fn excess(&self, body: &Body, attitude: &Attitude, speed: f64) -> Form {
        let mut form = self.pull.weight().plus(-1.0, &self.drag(body, attitude, speed));
        form.per[Source::SinkRate.index()] = self.doubt(body, attitude.middle, speed);
        form
    }

    /// Standard deviation of weight less drag for what the model does not know, N.
    fn doubt(&self, body: &Body, beta: f64, speed: f64) -> f64 {
        force_sd(body, [speed * beta.sin(), -speed * beta.cos()], &self.tied.conditions.water)
    }

    /// Whether the weight exceeds the drag at a speed by far, anywhere in the window.
    fn surely_faster(&self, body: &Body, (low, high): (f64, f64), speed: f64) -> bool {
        const FAR: f64 = 6.5;
        let water = &self.tied.conditions.water;
        let drag = |beta: f64| vertical_drag(body, [beta.sin(), -beta.cos()], speed, water);
        let most = drag(low).max(drag(high)).max(drag(0.5 * (low + high)));
        // A tenth of the drag is more than size and length of what shows add.
        let sd = self.pull.weight().sd() + 0.1 * most + self.doubt(body, 0.5 * (low + high), speed);
        self.pull.at.weight - most > FAR * sd
    }

    /// Drag at a speed in the attitude in which the fly hangs.
    fn drag(&self, body: &Body, attitude: &Attitude, speed: f64) -> Form {
        let water = &self.tied.conditions.water;
        let drag = |body: &Body, beta: f64| vertical_drag(body, [beta.sin(), -beta.cos()], speed, water);
        let Attitude { middle, reach, .. } = *attitude;
        let at = drag(body, middle);
        let per_radian = (drag(body, middle + reach) - drag(body, middle - reach)) / (2.0 * reach);
        let mut form =
            Form { at: at + per_radian * (attitude.rest - middle), per: attitude.per.map(|turn| per_radian * turn) };
        for spread in self.spreads.iter().filter(|s| s.source.is_seen_by_the_stream()) {
            let of = |amount: f64| {
                let mut deviation = *self.base;
                spread.source.add(&mut deviation, amount);
                let elements = self.tied.elements_moved(&deviation, |label| spread.source.moves(label));
                drag(&Body { loads: Vec::new(), elements }, middle)
            };
            form.per[spread.source.index()] += of(spread.sd) - of(0.0);
        }
        form
    }
}

/// The turn of a fly as a straight line, and where in the window the drag is looked at.
struct Attitude {
    /// Turn as written, counted so that it is nearest the window, rad.
    rest: f64,
    /// Change per standard deviation of each source.
    per: Standard,
    /// The turn in the window nearest to it.
    middle: f64,
    /// How far either way the drag is looked at.
    reach: f64,
}

impl Attitude {
    fn of(place: &Place, (low, high): (f64, f64)) -> Self {
        let centre = 0.5 * (low + high);
        let (knot, neck) = (place.tied.conditions.knot, place.tied.fly.hook.neck_angle);
        let reach = (0.25 * (high - low)).clamp(1e-3, 0.1);
        let hung = hang(place.pull.at, knot, neck);
        let Some(rest) = hung.rest() else {
            return Self { rest: centre, per: [0.0; SOURCES], middle: centre, reach };
        };
        let turn = centre + (rest.beta() - centre + PI).rem_euclid(TAU) - PI;
        let per = place.pull.slope_at(turn, knot, neck).per.map(|slope| -slope / steadiness(rest));
        Self { rest: turn, per, middle: turn.clamp(low, high), reach }
    }
}

fn steadiness(rest: &Rest) -> f64 {
    rest.steadiness.max(1e-12)
}

fn mass_form(tied: &AsTied, spreads: &[Spread], base: &Deviation, most: f64) -> Form {
    let mut form = Form { at: most - tied.mass(base), per: [0.0; SOURCES] };
    for spread in spreads {
        let at = |amount: f64| {
            let mut deviation = *base;
            spread.source.add(&mut deviation, amount);
            tied.mass(&deviation)
        };
        form.per[spread.source.index()] = -0.5 * (at(spread.sd) - at(-spread.sd));
    }
    form
}

/// Whether the figures of what takes a history in time of a fly about `base` are no more than so many standard deviations inside: its
/// flies' are straight lines about its own, and differ at least by how well the sink rate is known.
pub(super) fn too_few_in_time(tied: &AsTied, base: &Deviation, target: &Target, off: f64) -> bool {
    let mut known = None;
    !each_history(tied, base, target, |history| {
        let check = history.check;
        let sd = *known.get_or_insert_with(|| sink_rate_known(&tied.fly, target).map_or(0.0, |spread| spread.sd));
        let differs = 0.5 * (check.sinking_faster(sd).value - check.sinking_faster(-sd).value).abs();
        let high_enough = check.window.low.is_none_or(|low| check.value - low >= off * differs);
        high_enough && check.window.high.is_none_or(|high| high - check.value >= off * differs)
    })
}

/// The same for a time to a depth on a tight line, without following any: true is certain.
pub(super) fn clearly_too_few_in_time(tied: &AsTied, base: &Deviation, target: &Target, off: f64) -> bool {
    // Its time is a straight line, as that of a fly one deviation either side.
    let share = sink_rate_known(&tied.fly, target).map_or(1.0, |known| 1.0 + off * known.sd.sinh());
    clearly_late(tied, base, target, share)
}

/// Figures that take a history in time, from flies one standard deviation either side in each source, of which only what becomes of the
/// known history is looked at ([`histories_near`]). Where that is not known on one side (a fly that floats), the other tells; on neither,
/// they are taken as level.
fn history_forms(tied: &AsTied, spreads: &[Spread], base: &Deviation, target: &Target) -> Vec<Form> {
    let known = histories(tied, base, target);
    let mut slopes = vec![[0.0; SOURCES]; known.len()];
    let rate = sink_rate_known(&tied.fly, target);
    for spread in spreads.iter().chain(&rate) {
        let beside = |amount: f64| {
            let mut deviation = *base;
            spread.source.add(&mut deviation, amount);
            histories_near(&known, tied, &deviation, target)
        };
        let (less, more) = (beside(-spread.sd), beside(spread.sd));
        for ((slope, history), (a, b)) in slopes.iter_mut().zip(&known).zip(less.into_iter().zip(more)) {
            let at = history.check.value;
            slope[spread.source.index()] = match (a, b) {
                (Some(a), Some(b)) => 0.5 * (b - a),
                (Some(a), None) => at - a,
                (None, Some(b)) => b - at,
                (None, None) => 0.0,
            };
        }
    }
    let mut forms = Vec::new();
    for (check, per) in known.iter().map(|history| history.check).zip(slopes) {
        let value = Form { at: check.value, per };
        let edge = |edge: f64, way: f64| {
            let form = value.times(way);
            Form { at: form.at - way * edge, ..form }
        };
        forms.extend(check.window.low.map(|low| edge(low, 1.0)));
        forms.extend(check.window.high.map(|high| edge(high, -1.0)));
    }
    forms
}
