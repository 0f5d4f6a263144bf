//! Error budget: how far a prediction moves when one thing that it assumes is otherwise.
//!
//! Each [`Assumed`] is set to either end of its stated spread, all else as predicted, and everything is computed anew. The
//! ends lie about two standard deviations off, from scatter where there is any and from judgement elsewhere, with the reason
//! beside them; [`crate::physics::doubt`] gives the same for a sink rate alone, in one step. The sum is the root of the sum of
//! squares of the larger move of each: a fair figure where they have nothing to do with each other. Spread from fly to fly
//! (weights, positions, cuts) is another matter and not in here.

use crate::fly::{self, Conditions, Fly, FoamPiece, State, practice};
use crate::part::{Dressing, FLOODED_SHARE_OF_CELL, Foam};
use crate::physics::body::DragShape;
use crate::physics::doubt::hidden_share;
use crate::physics::fall::{Factors, Fall, HistoryError, Slack, from_rest, lowered_speed, stroke};
use crate::physics::sinking::Sinking;
use crate::physics::statics::{Hang, Knot, Tippet, hang};
use crate::physics::water::{TEMPERATURE_RANGE_C, Water, WaterError};
use crate::quantity::shown;
use crate::wanted::defaults;
use std::f64::consts::PI;
use thiserror::Error;

/// How far the water at the fly may be off the temperature stated, °C (judgement).
const WATER_OFF_C: f64 = 3.0;

/// Something that a prediction assumes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Assumed {
    /// Drag of beads and heads.
    BallDrag,
    /// Drag across shank, foam and dressing.
    CrossDrag,
    /// Force across rods at a slant.
    Slant,
    /// Friction along them.
    SkinFriction,
    /// Pressure drag of blunt ends.
    BluntEnds,
    /// What parts that touch do to each other's drag.
    Junctions,
    /// Diameter of the wet dressing.
    WetDiameter,
    /// How solid the wet dressing is to the flow.
    Solidity,
    /// Whether foam inside a tail has a drag of its own.
    FoamDrag,
    /// Mass of the dressing.
    DressingMass,
    /// Layer of cells that floods behind a cut face.
    FloodedLayer,
    /// Pressure that the cell walls carry.
    CollapsePressure,
    /// Lift lost under the thread.
    ThreadSqueeze,
    /// Air in a fresh dressing.
    FreshAir,
    /// Stiffness of a line with a snug knot.
    LineModulus,
    /// Turning moment of the water pushed aside.
    MunkMoment,
    /// Water that the brush holds.
    HeldWater,
    /// Water temperature.
    WaterTemperature,
}

impl Assumed {
    /// All of them.
    pub const ALL: [Self; 18] = [
        Self::BallDrag,
        Self::CrossDrag,
        Self::Slant,
        Self::SkinFriction,
        Self::BluntEnds,
        Self::Junctions,
        Self::WetDiameter,
        Self::Solidity,
        Self::FoamDrag,
        Self::DressingMass,
        Self::FloodedLayer,
        Self::CollapsePressure,
        Self::ThreadSqueeze,
        Self::FreshAir,
        Self::LineModulus,
        Self::MunkMoment,
        Self::HeldWater,
        Self::WaterTemperature,
    ];

    /// What it is, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::BallDrag => "drag of bead and head",
            Self::CrossDrag => "drag across the fly",
            Self::Slant => "force of a slant",
            Self::SkinFriction => "friction along the fly",
            Self::BluntEnds => "drag of blunt ends",
            Self::Junctions => "parts that touch",
            Self::WetDiameter => "wet dressing, diameter",
            Self::Solidity => "wet dressing, solidity",
            Self::FoamDrag => "drag of hidden foam",
            Self::DressingMass => "dressing, mass",
            Self::FloodedLayer => "cells flooded at cuts",
            Self::CollapsePressure => "stiffness of foam walls",
            Self::ThreadSqueeze => "lift lost under the thread",
            Self::FreshAir => "dressing, air in it",
            Self::LineModulus => "stiffness of the line",
            Self::MunkMoment => "turning by pushed water",
            Self::HeldWater => "water held in the brush",
            Self::WaterTemperature => "water temperature",
        }
    }

    /// The two ends of its spread, in words, and why.
    #[must_use]
    pub fn spread(self) -> (String, &'static str) {
        let (spread, why) = match self {
            Self::BallDrag => ("-10 to +10 %", "fits differ by 8 %; measured spheres sink 0 to 8 % slower"),
            Self::CrossDrag => ("-14 to +14 %", "4.5 % rms off computed flows, themselves 5 %"),
            Self::Slant => ("-30 to +30 %", "3 % off computed flows at one length; others not computed"),
            Self::SkinFriction => ("-30 to +60 %", "a smooth skin is assumed, a brush is rough"),
            Self::BluntEnds => ("-30 to +30 %", "computed end on: 6 % off; a brush is no rod"),
            Self::Junctions => ("-10 to +10 %", "one bead on a rod computed: 5 % more than its parts"),
            Self::WetDiameter => ("-20 to +20 %", "judged by eye"),
            Self::Solidity => ("-30 to +30 %", "judged by eye"),
            Self::FoamDrag => ("none to all of it", "foam that a dressing hides may only fill it"),
            Self::DressingMass => ("-20 to +20 %", "catalog figures are representative: weigh yours"),
            Self::FloodedLayer => ("0.3 to 0.5 of a cell", "geometry of a cut through cells"),
            Self::CollapsePressure => ("-5 to +5 kPa", "not below 0; from one data sheet, else a guess"),
            Self::ThreadSqueeze => ("30 to 70 %", "common practice, no source"),
            Self::FreshAir => ("-50 to +50 %", "representative, no source"),
            Self::LineModulus => ("-50 to +50 %", "nylon creeps and takes up water"),
            Self::MunkMoment => ("-40 to +40 %", "computed for one length: 11 to 14 % off"),
            Self::HeldWater => ("none to twice", "a judgement, no source"),
            Self::WaterTemperature => {
                let off = shown::short(shown::TEMPERATURE.difference(WATER_OFF_C), 1);
                let spread = format!("-{off} to +{off} {}", shown::TEMPERATURE.unit());
                return (spread, "a lake is not one temperature");
            }
        };
        (spread.to_owned(), why)
    }
}

/// What is predicted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Hang angle, rad, positive tail down; `None`: floats.
    pub hang: Option<f64>,
    /// Sink rate on a tight line, m/s; `None`: floats.
    pub tight: Option<f64>,
    /// Sink rate on a slack line, m/s; the mean where it does not settle.
    pub slack: f64,
    /// Dive when the line goes slack, rad.
    pub dive: Option<f64>,
    /// Time to recover from it, s.
    pub recovery: Option<f64>,
}

/// One line of the budget.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BudgetLine {
    /// What is assumed.
    pub assumed: Assumed,
    /// Figures at the lower end of its spread.
    pub low: Figures,
    /// Figures at the upper end.
    pub high: Figures,
}

/// The budget of one fly.
#[derive(Debug, Clone, PartialEq)]
pub struct Budget {
    /// As predicted.
    pub base: Figures,
    /// One line for each assumption that moves anything.
    pub lines: Vec<BudgetLine>,
}

/// Why there is no budget.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum BudgetError {
    /// A motion could not be followed.
    #[error(transparent)]
    History(#[from] HistoryError),
    /// Water out of range.
    #[error(transparent)]
    Water(#[from] WaterError),
}

/// Everything that can be varied.
#[derive(Debug, Clone)]
struct Setup {
    dressing: Dressing,
    foam: Option<Foam>,
    conditions: Conditions,
    factors: Factors,
    squeeze: f64,
    foam_drag: bool,
}

impl Setup {
    fn of(fly: &Fly, conditions: &Conditions) -> Self {
        Self {
            dressing: fly.dressing.clone(),
            foam: fly.foam.map(|piece| piece.foam.clone()),
            conditions: *conditions,
            factors: Factors::NONE,
            squeeze: practice::FOAM_SQUEEZE,
            foam_drag: true,
        }
    }

    fn each_component(&mut self, change: impl Fn(&mut crate::part::Component)) {
        self.dressing.components.iter_mut().for_each(change);
    }

    /// At the lower (`false`) or upper end of a spread.
    fn vary(mut self, assumed: Assumed, upper: bool) -> Result<Self, BudgetError> {
        let pick = |low: f64, high: f64| if upper { high } else { low };
        match assumed {
            Assumed::BallDrag => self.factors.sphere = pick(0.9, 1.1),
            Assumed::CrossDrag => self.factors.across = pick(0.86, 1.14),
            Assumed::Slant => self.factors.slant = pick(0.7, 1.3),
            Assumed::SkinFriction => self.factors.along = pick(0.7, 1.6),
            Assumed::BluntEnds => self.factors.ends = pick(0.7, 1.3),
            Assumed::MunkMoment => self.factors.munk = pick(0.6, 1.4),
            Assumed::Junctions => {
                let all = pick(0.9, 1.1);
                let Factors { sphere, across, slant, along, ends, .. } = &mut self.factors;
                [sphere, across, slant, along, ends].into_iter().for_each(|factor| *factor *= all);
            }
            Assumed::HeldWater => self.factors.held = pick(0.0, 2.0),
            Assumed::WetDiameter => {
                self.each_component(|c| c.wet_diameter = c.wet_diameter.map(|d| d * pick(0.8, 1.2)));
            }
            Assumed::Solidity => self.each_component(|c| c.solidity = (c.solidity * pick(0.7, 1.3)).min(0.99)),
            Assumed::DressingMass => self.each_component(|c| c.dry_mass *= pick(0.8, 1.2)),
            Assumed::FreshAir => self.each_component(|c| c.fresh_air_share *= pick(0.5, 1.5)),
            Assumed::FoamDrag => self.foam_drag = upper,
            Assumed::FloodedLayer => {
                if let Some(foam) = &mut self.foam {
                    foam.cell *= pick(0.3, 0.5) / FLOODED_SHARE_OF_CELL;
                }
            }
            Assumed::CollapsePressure => {
                if let Some(foam) = &mut self.foam {
                    foam.collapse_pressure = (foam.collapse_pressure + pick(-5e3, 5e3)).max(0.0);
                }
            }
            Assumed::ThreadSqueeze => self.squeeze = pick(0.3, 0.7),
            Assumed::LineModulus => {
                if let Knot::Snug(tippet) = self.conditions.knot {
                    let modulus = tippet.modulus * pick(0.5, 1.5);
                    self.conditions.knot = Knot::Snug(Tippet { modulus, ..tippet });
                }
            }
            Assumed::WaterTemperature => {
                let water = self.conditions.water;
                let celsius = (water.temperature_c + pick(-WATER_OFF_C, WATER_OFF_C))
                    .clamp(TEMPERATURE_RANGE_C.0, TEMPERATURE_RANGE_C.1);
                self.conditions.water = Water::new(celsius, water.salinity_g_kg)?.under_air(water.air_pressure)?;
            }
        }
        Ok(self)
    }

    fn figures(&self, fly: &Fly, jig: Jig) -> Result<Figures, HistoryError> {
        let foam = self.foam.as_ref().zip(fly.foam).map(|(foam, piece)| FoamPiece { foam, ..piece });
        let fly = Fly { dressing: &self.dressing, foam, ..*fly };
        let Conditions { water, depth, knot, .. } = self.conditions;
        let mut sinking = fly::sinking_squeezed(&fly, &self.conditions, self.squeeze);
        if !self.foam_drag {
            hide_foam(&mut sinking);
        }
        let fall = Fall::with(&sinking, &water, None, self.factors);
        let (medium, neck) = (fall.medium(depth), fly.hook.neck_angle);
        let (rest, beta) = match hang(medium.moments, knot, neck) {
            Hang::Taut { rest, .. } => (Some(rest), rest.beta()),
            Hang::Floats => (None, PI),
        };
        let stroke = match rest {
            Some(_) => Some(stroke(&fall, &medium, beta, (knot, neck), jig.slack, jig.tolerance)?),
            None => None,
        };
        Ok(Figures {
            hang: rest.map(|r| r.angle),
            tight: lowered_speed(&fall, depth, knot, neck),
            slack: from_rest(&fall, &medium, beta)?.sink_rate,
            dive: stroke.map(|s| s.dive),
            recovery: stroke.and_then(|s| s.recovery),
        })
    }
}

/// Takes away the drag of foam where a dressing hides it.
fn hide_foam(sinking: &mut Sinking) {
    let firm = &sinking.firm.elements;
    sinking.soft.retain_mut(|soft| {
        let seen = 1.0 - hidden_share(&soft.element, firm);
        if let DragShape::Slender(rod) = &mut soft.element.shape {
            rod.breadth *= seen;
            rod.blunt_ends *= seen;
        }
        seen > 1e-6
    });
}

/// The jig stroke of a budget.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jig {
    /// How long the line goes slack.
    pub slack: Slack,
    /// How near the hang is back, rad.
    pub tolerance: f64,
}

impl Jig {
    /// The usual stroke: half a second slack, back within five degrees.
    pub const USUAL: Self =
        Self { slack: Slack::Time(defaults::SLACK_S), tolerance: defaults::TOLERANCE_DEG * PI / 180.0 };
}

/// Computes the budget of a fly.
///
/// # Errors
/// [`BudgetError`] where a motion could not be followed.
pub fn budget(fly: &Fly, conditions: &Conditions, jig: Jig) -> Result<Budget, BudgetError> {
    let setup = Setup::of(fly, conditions);
    let base = setup.figures(fly, jig)?;
    let mut lines = Vec::new();
    for assumed in Assumed::ALL {
        if assumed == Assumed::FreshAir && conditions.state == State::Soaked {
            continue;
        }
        let at = |upper| -> Result<Figures, BudgetError> { Ok(setup.clone().vary(assumed, upper)?.figures(fly, jig)?) };
        let line = BudgetLine { assumed, low: at(false)?, high: at(true)? };
        if line.low != base || line.high != base {
            lines.push(line);
        }
    }
    Ok(Budget { base, lines })
}

impl Budget {
    /// Root of the sum of squares of the larger move of each line, for a figure picked by `of`; `None` where the fly
    /// has no such figure.
    #[must_use]
    pub fn sum(&self, of: impl Fn(&Figures) -> Option<f64>) -> Option<f64> {
        let base = of(&self.base)?;
        let moved = |figures: &Figures| of(figures).map_or(0.0, |v| (v - base).abs());
        Some(self.lines.iter().map(|l| moved(&l.low).max(moved(&l.high)).powi(2)).sum::<f64>().sqrt())
    }
}

/// What another water would do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OtherWater {
    /// The other water.
    pub water: Water,
    /// Figures in it.
    pub figures: Figures,
}

/// A fly in the water of the conditions, and in others: 4 and 20 C at the same salinity, and the sea (35 g/kg), or fresh
/// water for a fly of the sea, at the same temperature.
///
/// # Errors
/// [`BudgetError`] where a motion could not be followed.
pub fn other_waters(fly: &Fly, conditions: &Conditions, jig: Jig) -> Result<(Figures, Vec<OtherWater>), BudgetError> {
    let Water { temperature_c, salinity_g_kg, .. } = conditions.water;
    let salinity = if salinity_g_kg < 10.0 { 35.0 } else { 0.0 };
    let figures = |water: Water| Setup::of(fly, &Conditions { water, ..*conditions }).figures(fly, jig);
    let mut others = Vec::new();
    for (celsius, salt) in [(4.0, salinity_g_kg), (20.0, salinity_g_kg), (temperature_c, salinity)] {
        let water = Water::new(celsius, salt)?.under_air(conditions.water.air_pressure)?;
        others.push(OtherWater { water, figures: figures(water)? });
    }
    Ok((figures(conditions.water)?, others))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::fly::resolve;
    use crate::part::Cut;
    use crate::physics::doubt::BAND;
    use crate::quantity::Microns;
    use crate::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat};

    const JIG: Jig = Jig { slack: Slack::Time(0.5), tolerance: 0.09 };

    fn recipe() -> Recipe {
        Recipe {
            hook: "jig60-12".into(),
            dressing: "light-body".into(),
            bead: Some(BeadUse { id: "tungsten-slotted-3.5".into(), mount: Mount::Eye }),
            wire: None,
            foam: Some(FoamUse {
                id: "pe-rod-1-4in".into(),
                cut: Cut::Quarter,
                length: Microns::new(10_000),
                seat: Seat::Tail,
            }),
        }
    }

    fn conditions(state: State, knot: Knot) -> Conditions {
        Conditions { water: Water::new(12.0, 0.0).unwrap(), depth: 1.0, state, knot }
    }

    fn found(state: State, knot: Knot) -> Budget {
        let catalog = Catalog::built_in().unwrap();
        let recipe = recipe();
        budget(&resolve(&recipe, &catalog).unwrap(), &conditions(state, knot), JIG).unwrap()
    }

    #[test]
    fn each_assumption_moves_what_it_is_about_and_its_way() {
        let budget = found(State::Soaked, Knot::Loop);
        let line = |a: Assumed| *budget.lines.iter().find(|l| l.assumed == a).unwrap();
        for drag in [Assumed::BallDrag, Assumed::CrossDrag, Assumed::Slant, Assumed::Junctions, Assumed::SkinFriction] {
            let line = line(drag);
            assert!(line.high.tight < line.low.tight, "more drag sinks slower: {drag:?}");
            assert_eq!((line.high.hang, line.low.hang), (budget.base.hang, budget.base.hang));
        }
        assert!(line(Assumed::FloodedLayer).low.hang < budget.base.hang, "more lift behind lifts the tail");
        assert!(line(Assumed::ThreadSqueeze).high.hang > budget.base.hang);
        assert!(line(Assumed::CollapsePressure).high.hang < budget.base.hang);
        assert!(line(Assumed::DressingMass).high.tight > budget.base.tight);
        let held = line(Assumed::HeldWater);
        assert_eq!((held.low.tight, held.low.hang), (budget.base.tight, budget.base.hang));
        assert!(held.high.recovery > held.low.recovery, "more to turn takes longer");
        assert!(line(Assumed::WaterTemperature).high.hang < budget.base.hang, "warm gas lifts the tail");
        assert!(budget.lines.iter().all(|l| ![Assumed::FreshAir, Assumed::LineModulus].contains(&l.assumed)));
    }

    /// The band of every list, by the quick way, and the sum of the budget say the same of a sink rate.
    #[test]
    fn the_band_of_a_sink_rate_is_that_of_the_budget() {
        let catalog = Catalog::built_in().unwrap();
        for (bead, foam) in [(true, true), (true, false), (false, false)] {
            let mut recipe = recipe();
            recipe.bead = recipe.bead.filter(|_| bead);
            recipe.foam = recipe.foam.filter(|_| foam);
            let fly = resolve(&recipe, &catalog).unwrap();
            let conditions = conditions(State::Soaked, Knot::Loop);
            let at_length = budget(&fly, &conditions, JIG).unwrap();
            // What turns the fly in its hang, or the water, is not in the band.
            let drag = |line: &&BudgetLine| {
                let still = line.low.hang == at_length.base.hang && line.high.hang == at_length.base.hang;
                still && line.assumed != Assumed::WaterTemperature
            };
            let base = at_length.base.tight.unwrap();
            let move_of = |f: &Figures| (f.tight.unwrap() - base).abs();
            let square = at_length.lines.iter().filter(drag).map(|l| move_of(&l.low).max(move_of(&l.high)).powi(2));
            let slow = square.sum::<f64>().sqrt() / base;
            let found = crate::assess::predict(&fly, &conditions);
            let quick = BAND * found.sink_sd(&conditions.water);
            assert!((0.75..1.35).contains(&(quick / slow)), "{bead} {foam}: {quick} {slow}");
        }
    }

    #[test]
    fn state_and_knot_bring_their_own_lines() {
        let snug = Knot::Snug(Tippet { diameter: 0.18e-3, modulus: 1.5e9 });
        let budget = found(State::Fresh, snug);
        for assumed in [Assumed::FreshAir, Assumed::LineModulus] {
            let line = budget.lines.iter().find(|l| l.assumed == assumed).unwrap();
            assert_ne!(line.low.hang, line.high.hang);
        }
    }

    #[test]
    fn the_sum_is_no_less_than_the_largest_move() {
        let budget = found(State::Soaked, Knot::Loop);
        let of = |f: &Figures| f.tight;
        let largest = budget
            .lines
            .iter()
            .flat_map(|l| [l.low, l.high])
            .map(|f| (of(&f).unwrap() - budget.base.tight.unwrap()).abs())
            .fold(0.0, f64::max);
        let sum = budget.sum(of).unwrap();
        assert!(sum >= largest && sum < 5.0 * largest && largest > 0.0);
    }

    #[test]
    fn the_sea_and_warm_water_lift_the_tail_of_a_fly_with_foam() {
        let catalog = Catalog::built_in().unwrap();
        let recipe = recipe();
        let fly = resolve(&recipe, &catalog).unwrap();
        let (base, others) = other_waters(&fly, &conditions(State::Soaked, Knot::Loop), JIG).unwrap();
        let lowered = |i: usize| others[i].figures.hang.unwrap() - base.hang.unwrap();
        // 4 C, 20 C, the sea: the gas of foam takes less room in the cold, more in the warm.
        assert!(
            lowered(0) > 0.01 && lowered(1) < -0.01 && lowered(2) < -0.01,
            "{} {} {}",
            lowered(0),
            lowered(1),
            lowered(2)
        );
        assert_eq!((others[0].water.temperature_c, others[2].water.salinity_g_kg), (4.0, 35.0));
    }
}
