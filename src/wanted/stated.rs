//! From a target as it is stated to one that makes sense: defaults said aloud, everything checked against the catalog.

use super::filter::near_hook_sizes;
use super::spec::{Assumption, KNOTS, LINES, RIDES, STATES, TargetSpec, defaults};
use super::{Choice, Dive, FallWish, Filter, Grid, Hands, Known, Line, Reach, RidesWish, Target, TargetError, Window};
use crate::catalog::Catalog;
use crate::fly::{Conditions, Limits, State};
use crate::part::{HookStyle, Kind};
use crate::physics::constants::ATMOSPHERE;
use crate::physics::fall::Slack;
use crate::physics::statics::{Knot, Rides, Tippet};
use crate::physics::water::{Water, standard_air_pressure};
use crate::quantity::{Angle, Interval, Length, Microns, Money, Salinity, Speed, Temperature, Time, shown};

impl TargetSpec {
    /// Fills in defaults and checks everything against the catalog.
    ///
    /// # Errors
    /// The first key that makes no sense, with what would.
    pub fn resolve(&self, catalog: &Catalog) -> Result<(Target, Vec<Assumption>), TargetError> {
        let mut said = Assumptions::default();
        let hang = said.or("hang", self.hang, Angle::from_deg(0.0), |a| format!("hang {:.0} deg (level)", a.deg()));
        let tolerance = self.tolerance(&mut said)?;
        check_range("hang", hang.deg(), "deg", (-90.0, 90.0), "it lies between -90 (head down) and 90 (tail down)")?;
        let (conditions, shallow) = self.conditions(&mut said)?;
        if let Some(band) = self.max_friction_band {
            let what = "it lies above 0 and below 90: the list shows it as \"+-2°\"";
            check_range("max-friction-band", band.deg(), "deg", (0.01, 89.0), what)?;
        }
        if let Some(mass) = self.max_mass {
            check_range("max-mass", mass.mg(), "mg", (0.1, 1e6), "0.1 mg to 1 kg makes sense")?;
        }
        if let Some(cost) = self.max_cost.filter(|cost| *cost <= Money::ZERO) {
            return Err(TargetError::Range { key: "max-cost", value: cost.fine(), range: "it must be above 0" });
        }
        let target = Target {
            hang: hang.rad(),
            tolerance: tolerance.rad(),
            rides: self.rides(&mut said)?,
            sink: Some(self.sink(&mut said)?),
            max_band: self.max_friction_band.map(|band| band.rad()),
            max_mass: self.max_mass.map(|m| m.kg()),
            max_cost: self.max_cost,
            fall: self.fall(shallow, &mut said)?,
            conditions,
            limits: self.limits(&mut said)?,
            choice: self.choice(catalog, &mut said)?,
            grid: self.grid(&mut said)?,
            hands: self.hands()?,
            share: None,
        };
        Ok((target.with_jar_at(defaults::JAR_C)?, said.list))
    }

    /// Water, depth, state and knot, with defaults filled in.
    ///
    /// # Errors
    /// The first key that makes no sense.
    pub fn conditions_or_default(&self) -> Result<(Conditions, Vec<Assumption>), TargetError> {
        let mut said = Assumptions::default();
        match self.conditions(&mut said)? {
            (conditions, None) => Ok((conditions, said.list)),
            (_, Some(_)) => Err(TargetError::OneDepth),
        }
    }

    /// The same at the deep end of its range of depths, if it states one: where foam is squeezed most.
    #[must_use]
    pub fn at_the_deep_end(&self) -> Self {
        let depth = self.depth.map(|depth| match depth {
            Interval::Between { high, .. } => Interval::Exactly(high),
            one => one,
        });
        Self { depth, ..self.clone() }
    }

    /// Whether water, depth or a range of depths, state and knot make sense.
    ///
    /// # Errors
    /// The first key that makes none.
    pub fn check_conditions(&self) -> Result<(), TargetError> {
        self.conditions(&mut Assumptions::default()).map(|_| ())
    }

    fn tolerance(&self, said: &mut Assumptions) -> Result<Angle, TargetError> {
        let tolerance = said.or("tolerance", self.tolerance, Angle::from_deg(defaults::TOLERANCE_DEG), |t| {
            format!("hang tolerance +-{:.0} deg", t.deg())
        });
        check_range("tolerance", tolerance.deg(), "deg", (0.1, 90.0), "between 0.1 and 90 deg makes sense")?;
        Ok(tolerance)
    }

    /// Tolerance on the hang, with the default filled in.
    ///
    /// # Errors
    /// A tolerance that makes no sense.
    pub fn tolerance_or_default(&self) -> Result<(Angle, Vec<Assumption>), TargetError> {
        let mut said = Assumptions::default();
        Ok((self.tolerance(&mut said)?, said.list))
    }

    /// Diameter of the tippet, with the default filled in.
    ///
    /// # Errors
    /// A diameter that makes no sense.
    pub fn tippet_or_default(&self) -> Result<(Length, Vec<Assumption>), TargetError> {
        let mut said = Assumptions::default();
        Ok((self.tippet(&mut said)?, said.list))
    }

    fn tippet(&self, said: &mut Assumptions) -> Result<Length, TargetError> {
        let tippet = said.or("tippet", self.tippet, Length::from_mm(defaults::TIPPET_MM), |d| {
            format!("nylon tippet of {}", shown::SIZE.text(d.mm(), 2))
        });
        check_tippet(tippet)?;
        Ok(tippet)
    }

    /// What fits, with defaults filled in.
    ///
    /// # Errors
    /// The first key that makes no sense.
    pub fn limits_or_default(&self) -> Result<Limits, TargetError> {
        self.limits(&mut Assumptions::default())
    }

    /// Conditions at the fishing depth, and the shallow end of a range.
    fn conditions(&self, said: &mut Assumptions) -> Result<(Conditions, Option<f64>), TargetError> {
        let one = Interval::Exactly(Length::from_m(defaults::DEPTH_M));
        let depth = said.or("depth", self.depth, one, |_| format!("depth {}", shown::DEPTH.text(defaults::DEPTH_M, 2)));
        let (Some(shallow), Some(deep)) = (depth.low(), depth.high()) else {
            return Err(word("depth", &depth.to_string(), Known::Like("a depth like 2 m, or a range like 0.5..3 m")));
        };
        for end in [shallow, deep] {
            check_range("depth", end.m(), "m", (0.0, 50.0), "from 0 to 50 m makes sense")?;
        }
        let temperature = said.or("water", self.water, Temperature::from_celsius(defaults::WATER_C), |t| {
            format!("water at {}", shown::TEMPERATURE.text(t.celsius(), 1))
        });
        let salinity = said.or("salinity", self.salinity, Salinity::from_g_kg(0.0), |_| "fresh water".to_owned());
        let state = match self.state.as_deref() {
            None => {
                said.add("state", "dressing soaked, bubbles worked off".to_owned());
                State::Soaked
            }
            Some("soaked") => State::Soaked,
            Some("fresh") => State::Fresh,
            Some(other) => return Err(word("state", other, Known::Words(STATES))),
        };
        let conditions = Conditions {
            water: Water::new(temperature.celsius(), salinity.g_kg())?.under_air(self.air(said)?)?,
            depth: deep.m(),
            state,
            knot: self.knot(said)?,
        };
        Ok((conditions, (shallow.m() < deep.m()).then_some(shallow.m())))
    }

    /// The line on which it sinks, a tight one unless said otherwise.
    ///
    /// # Errors
    /// A word that is no line.
    pub fn line_or_default(&self) -> Result<Line, TargetError> {
        self.line()
    }

    /// Pressure of the air, Pa.
    fn air(&self, said: &mut Assumptions) -> Result<f64, TargetError> {
        match (self.altitude, self.air_pressure) {
            (Some(_), Some(pressure)) => {
                let known = Known::Like("an altitude or an air pressure, not both");
                Err(word("air-pressure", &pressure.to_string(), known))
            }
            (_, Some(pressure)) => Ok(pressure.pa()),
            (Some(altitude), None) => {
                check_range("altitude", altitude.m(), "m", (-500.0, 5500.0), "from -500 to 5500 m makes sense")?;
                Ok(standard_air_pressure(altitude.m()))
            }
            (None, None) => {
                said.add("altitude", "air as at the sea".to_owned());
                Ok(ATMOSPHERE)
            }
        }
    }

    fn line(&self) -> Result<Line, TargetError> {
        match self.line.as_deref() {
            None | Some("tight") => Ok(Line::Tight),
            Some("slack") => Ok(Line::Slack),
            Some(other) => Err(word("line", other, Known::Words(LINES))),
        }
    }

    fn fall(&self, shallow: Option<f64>, said: &mut Assumptions) -> Result<FallWish, TargetError> {
        let reach = match (self.reach, self.within) {
            (Some(depth), Some(within)) => {
                check_range("reach", depth.m(), "m", (0.05, 50.0), "0.05 to 50 m makes sense")?;
                check_range("within", within.s(), "s", (0.1, 600.0), "0.1 to 600 s makes sense")?;
                Some(Reach { depth: depth.m(), within: within.s() })
            }
            (None, None) => None,
            (Some(_), None) => return Err(TargetError::Together { key: "reach", needs: "within", like: "15 s" }),
            (None, Some(_)) => return Err(TargetError::Together { key: "within", needs: "reach", like: "3 m" }),
        };
        let dive = match self.dive {
            None if self.slack.is_some() => {
                return Err(TargetError::Together { key: "slack", needs: "dive", like: "30 deg" });
            }
            None => None,
            Some(least) => {
                check_range("dive", least.deg(), "deg", (-90.0, 180.0), "-90 to 180 deg makes sense")?;
                Some(Dive { least: least.rad(), slack: self.slack_wish(said)? })
            }
        };
        Ok(FallWish { line: self.line()?, shallow, reach, dive })
    }

    /// How long the line goes slack in a jig stroke, with the default filled in.
    ///
    /// # Errors
    /// A text that is neither a time nor a drop, or one that makes no sense.
    pub fn slack_or_default(&self) -> Result<(Slack, Vec<Assumption>), TargetError> {
        let mut said = Assumptions::default();
        Ok((self.slack_wish(&mut said)?, said.list))
    }

    fn slack_wish(&self, said: &mut Assumptions) -> Result<Slack, TargetError> {
        let Some(text) = self.slack.as_deref() else {
            said.add("slack", format!("the line goes slack for {} s", defaults::SLACK_S));
            return Ok(Slack::Time(defaults::SLACK_S));
        };
        if let Ok(time) = text.parse::<Time>() {
            check_range("slack", time.s(), "s", (0.01, 10.0), "0.01 to 10 s makes sense")?;
            Ok(Slack::Time(time.s()))
        } else if let Ok(drop) = text.parse::<Length>() {
            check_range("slack", drop.m(), "m", (0.001, 5.0), "0.001 to 5 m makes sense")?;
            Ok(Slack::Drop(drop.m()))
        } else {
            Err(word("slack", text, Known::Like("a time like 0.5 s or a drop like 20 cm")))
        }
    }

    fn knot(&self, said: &mut Assumptions) -> Result<Knot, TargetError> {
        if let Some(tippet) = self.tippet.filter(|_| matches!(self.knot.as_deref(), None | Some("loop"))) {
            check_tippet(tippet)?;
            said.add("tippet", "on a loop knot the tippet turns no fly: --knot snug counts it".to_owned());
        }
        match self.knot.as_deref() {
            None => {
                said.add("knot", "hangs on a free loop knot".to_owned());
                Ok(Knot::Loop)
            }
            Some("loop") => Ok(Knot::Loop),
            Some("snug") => {
                let tippet = said.or("tippet", self.tippet, Length::from_mm(defaults::TIPPET_MM), |d| {
                    let tippet = shown::SIZE.text(d.mm(), 2);
                    format!("wet nylon tippet of {tippet}, modulus {} GPa", defaults::NYLON_WET_PA * 1e-9)
                });
                check_tippet(tippet)?;
                Ok(Knot::Snug(Tippet { diameter: tippet.m(), modulus: defaults::NYLON_WET_PA }))
            }
            Some(other) => Err(word("knot", other, Known::Words(KNOTS))),
        }
    }

    fn rides(&self, said: &mut Assumptions) -> Result<RidesWish, TargetError> {
        match self.rides.as_deref() {
            None => {
                said.add("rides", "jig hooks ride point-up, others either way".to_owned());
                Ok(RidesWish::JigsUp)
            }
            Some("either") => Ok(RidesWish::Either),
            Some(value) => [Rides::PointUp, Rides::PointDown]
                .into_iter()
                .find(|r| r.word() == value)
                .map(RidesWish::Side)
                .ok_or_else(|| word("rides", value, Known::Words(RIDES))),
        }
    }

    fn sink(&self, said: &mut Assumptions) -> Result<Window, TargetError> {
        let least = Interval::AtLeast(Speed::from_m_s(defaults::LEAST_SINK_M_S));
        let line = self.line()?;
        sink_window(said.or("sink", self.sink, least, |_| {
            let how = match line {
                Line::Tight => "lowered on a tight line",
                Line::Slack => "on a slack line",
            };
            format!("sinks at {} or faster, {how}", shown::RATE.text(defaults::LEAST_SINK_M_S, 2))
        }))
    }

    fn hands(&self) -> Result<Hands, TargetError> {
        let usual = Hands::with_jar_at(defaults::JAR_C)?;
        let eye_friction = self.friction.unwrap_or(usual.eye_friction);
        check_range("friction", eye_friction, "of the pull", (0.0, 1.5), "0 to 1.5 makes sense")?;
        Ok(Hands { eye_friction, ..usual })
    }

    fn limits(&self, said: &mut Assumptions) -> Result<Limits, TargetError> {
        let clear_gap = said.or("clear-gap", self.clear_gap, Limits::default().clear_gap, |share| {
            format!("at least {:.0} % of the hook gap stays clear", share * 100.0)
        });
        check_range("clear-gap", clear_gap, "of the gap", (0.0, 0.95), "0 to 0.95 makes sense")?;
        if self.visible_foam.is_none() {
            said.add("visible-foam", "foam no longer than the tail that hides it, no thicker than the gap".to_owned());
        }
        Ok(Limits { clear_gap, visible_foam: self.visible_foam.unwrap_or(false) })
    }

    fn choice(&self, catalog: &Catalog, said: &mut Assumptions) -> Result<Choice, TargetError> {
        let each = self.dressings(catalog)?;
        let dressing = said.or("pattern", each.first().map(|d| d.row.id.clone()), defaults::PATTERN.to_owned(), |p| {
            format!("dressing pattern `{p}`")
        });
        let unknown = |key, kind, id: &str| TargetError::UnknownPart {
            key,
            kind,
            id: id.to_owned(),
            suggestion: catalog.suggest(kind, id).map(str::to_owned),
        };
        if catalog.dressing(&dressing).is_none() {
            return Err(unknown("pattern", Kind::Dressing, &dressing));
        }
        if let Some(hook) = &self.hook
            && catalog.hook(hook).is_none()
        {
            return Err(unknown("hook", Kind::Hook, hook));
        }
        for size in &self.size {
            if let Some(near) = near_hook_sizes(*size, catalog) {
                return Err(TargetError::HookSize { size: *size, near });
            }
        }
        let mut filters = Vec::new();
        for (list, keep) in [(&self.only, true), (&self.not, false)] {
            for text in list {
                let filter = Filter::parse(text, keep)?;
                filter.check(catalog)?;
                filters.push(filter);
            }
        }
        let mut styles = Vec::new();
        for style in &self.style {
            styles.extend(hook_styles(style)?);
        }
        Ok(Choice {
            sizes: self.size.clone(),
            styles,
            hooks: self.hook.iter().cloned().collect(),
            dressing,
            each: if each.len() > 1 { each } else { Vec::new() },
            lead_free: self.lead_free.unwrap_or(false),
            filters,
            held: 0,
        })
    }

    fn grid(&self, said: &mut Assumptions) -> Result<Grid, TargetError> {
        let step = |key, given: Option<Length>, default| -> Result<Microns, TargetError> {
            let step = given.map_or(Ok(Microns::new(default)), Microns::from_length)?;
            check_range(key, step.mm(), "mm", (0.05, 10.0), "0.05 to 10 mm makes sense")?;
            Ok(step)
        };
        let grid = Grid {
            foam: step("foam-step", self.foam_step, defaults::FOAM_STEP_UM)?,
            start: step("wrap-step", self.wrap_step, defaults::WRAP_STEP_UM)?,
        };
        if self.foam_step.is_none() || self.wrap_step.is_none() {
            let [foam, start] = [grid.foam, grid.start].map(|step| shown::SIZE.text(step.mm(), 3));
            said.add("foam-step", format!("foam cut to {foam}, wraps placed to {start}"));
        }
        Ok(grid)
    }
}

#[derive(Default)]
struct Assumptions {
    list: Vec<Assumption>,
}

impl Assumptions {
    fn add(&mut self, key: &'static str, text: String) {
        self.list.push(Assumption { key, text });
    }

    fn or<T: Clone>(&mut self, key: &'static str, given: Option<T>, default: T, words: impl Fn(&T) -> String) -> T {
        given.unwrap_or_else(|| {
            self.add(key, words(&default));
            default
        })
    }
}

fn word(key: &'static str, value: &str, known: Known) -> TargetError {
    TargetError::Word { key, value: value.to_owned(), known }
}

fn check_range(
    key: &'static str,
    value: f64,
    unit: &str,
    range: (f64, f64),
    says: &'static str,
) -> Result<(), TargetError> {
    if (range.0 - 1e-9..=range.1 + 1e-9).contains(&value) {
        Ok(())
    } else {
        // Degrees come from radians: 120 would show as 119.99999999999999.
        let shown = (value * 1e6).round() / 1e6;
        Err(TargetError::Range { key, value: format!("{shown} {unit}"), range: says })
    }
}

fn check_tippet(tippet: Length) -> Result<(), TargetError> {
    check_range("tippet", tippet.mm(), "mm", (0.05, 1.0), "0.05 to 1 mm makes sense")
}

/// A single sink rate is taken within 10 % of it.
const SINGLE_SINK_SHARE: f64 = 0.1;

fn sink_window(interval: Interval<Speed>) -> Result<Window, TargetError> {
    for edge in [interval.low(), interval.high()].into_iter().flatten() {
        check_range("sink", edge.m_s(), "m/s", (-5.0, 5.0), "-5 to 5 m/s makes sense")?;
    }
    let interval = match interval {
        Interval::Exactly(v) => interval.widened(SINGLE_SINK_SHARE * v.m_s().abs()),
        other => other,
    };
    Ok(Window { low: interval.low().map(Speed::m_s), high: interval.high().map(Speed::m_s) })
}

fn hook_styles(value: &str) -> Result<Vec<HookStyle>, TargetError> {
    if value == "jig" {
        return Ok(vec![HookStyle::Jig60, HookStyle::Jig90]);
    }
    const STYLES: Known = Known::Words(&["straight", "streamer", "wide-gap", "jig", "jig-60", "jig-90", "ball-jig"]);
    HookStyle::from_word(value).map(|s| vec![s]).ok_or_else(|| word("style", value, STYLES))
}
