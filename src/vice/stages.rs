//! The order of tying, and how the fly hangs in the jar at each point of it.

use super::Bench;
use crate::fly::{Deviation, Fly};
use crate::part::{Component, ComponentRole};
use crate::physics::body::Label;
use crate::physics::statics::{Rides, hang};
use crate::spread::chance::{HangSpread, hang_spread};
use crate::spread::draws::Draws;
use crate::spread::slopes::{Linear, linear};
use crate::spread::turn;

/// A point in the tying at which the fly can be hung by its eye. Common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Bead (and pin) on the hook; a bare hook where there is none.
    Bead,
    /// Wire wound.
    Wire,
    /// Thread base laid. All the thread is counted here, though some of it comes later.
    Thread,
    /// Foam bound in.
    Foam,
    /// Fibres tied in at the bend.
    Tail,
    /// Fibres along the shank.
    Body,
    /// Fibres tied in along the shank that reach far behind it.
    Wing,
    /// Varnish or other adhesive: the finished fly.
    Finish,
}

impl Stage {
    /// All of them, in order.
    pub const ALL: [Self; 8] =
        [Self::Bead, Self::Wire, Self::Thread, Self::Foam, Self::Tail, Self::Body, Self::Wing, Self::Finish];

    /// The word used on the command line and in reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Bead => "bead",
            Self::Wire => "wire",
            Self::Thread => "thread",
            Self::Foam => "foam",
            Self::Tail => "tail",
            Self::Body => "body",
            Self::Wing => "wing",
            Self::Finish => "finish",
        }
    }

    /// The stage with this word, if there is one.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.word() == word)
    }

    /// The stage at which a part goes on.
    #[must_use]
    pub fn of(label: Label, fly: &Fly) -> Self {
        match label {
            Label::Hook | Label::Head | Label::Bead | Label::Pin => Self::Bead,
            Label::Wraps => Self::Wire,
            Label::Foam => Self::Foam,
            Label::Dressing(i) => fly.dressing.components.get(usize::from(i)).map_or(Self::Finish, Self::of_component),
        }
    }

    /// From shank length 0.9 on a fibre counts as tied in at the bend; past 1.3 it reaches behind the hook.
    fn of_component(component: &Component) -> Self {
        match component.role {
            ComponentRole::Thread => Self::Thread,
            ComponentRole::Adhesive => Self::Finish,
            ComponentRole::Fibre if component.from >= 0.9 => Self::Tail,
            ComponentRole::Fibre if component.to > 1.3 => Self::Wing,
            ComponentRole::Fibre => Self::Body,
        }
    }

    /// The stages of a fly: those at which something goes on.
    #[must_use]
    pub fn of_fly(fly: &Fly) -> Vec<Self> {
        let on = |stage: Self| match stage {
            Self::Bead => true,
            Self::Wire => fly.wraps.is_some(),
            Self::Foam => fly.foam.is_some(),
            other => fly.dressing.components.iter().any(|c| Self::of_component(c) == other),
        };
        Self::ALL.into_iter().filter(|s| on(*s)).collect()
    }
}

/// How a stage should look in the jar, and what it says about the finished fly.
#[derive(Debug, Clone, PartialEq)]
pub struct StageView {
    /// Stage.
    pub stage: Stage,
    /// Turn in the jar as written, rad, counted from `rides`; `None` if it floats.
    pub turn: Option<f64>,
    /// Side on which it rides there.
    pub rides: Rides,
    /// Where drawn flies hang; `None` if all float.
    pub spread: Option<HangSpread>,
    /// Hang of the finished fly at its fishing depth, as read from this stage.
    pub forecast: Option<Forecast>,
}

/// What a reading at a stage says about the finished fly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// Turn of the finished fly at depth when the stage shows just what it should, rad.
    pub turn: f64,
    /// Degrees that the finished fly turns per degree seen.
    pub per_degree: f64,
    /// Standard deviation that is left after the reading, rad.
    pub sd: f64,
    /// Share of the finished fly's variance that the reading explains, 0 to 1.
    pub told: f64,
    /// Readings between which the finished fly is expected within its tolerance, rad. `None` where the reading says
    /// next to nothing, or where they lie closer together than an angle can be read.
    pub go_on: Option<(f64, f64)>,
}

/// A reading that explains less than this share of the variance says next to nothing.
pub const TELLS_LITTLE: f64 = 0.05;

impl Bench<'_> {
    /// Turn in the jar at a stage, rad, counted from `side`; `None` if it floats.
    #[must_use]
    pub fn turn_at(&self, stage: Stage, deviation: &Deviation, side: Rides) -> Option<f64> {
        let moments = self.in_jar.moments_of(deviation, |label| Stage::of(label, &self.fly) <= stage);
        turn(&hang(moments, self.in_jar.conditions.knot, self.fly.hook.neck_angle), side)
    }

    /// Turn of the finished fly at its fishing depth, rad, counted from the side that the recipe rides on.
    #[must_use]
    pub fn turn_at_depth(&self, deviation: &Deviation) -> Option<f64> {
        let knot = self.at_depth.conditions.knot;
        turn(&hang(self.at_depth.moments(deviation), knot, self.fly.hook.neck_angle), self.side_at_depth())
    }

    /// Side on which a stage rides as written; point-up if it floats.
    #[must_use]
    pub fn side_at(&self, stage: Stage) -> Rides {
        let moments = self.in_jar.moments_of(&Deviation::NONE, |label| Stage::of(label, &self.fly) <= stage);
        hang(moments, self.in_jar.conditions.knot, self.fly.hook.neck_angle).rest().map_or(Rides::PointUp, |r| r.rides)
    }

    /// Side on which the finished fly rides at depth as written; point-up if it floats.
    #[must_use]
    pub fn side_at_depth(&self) -> Rides {
        let knot = self.at_depth.conditions.knot;
        hang(self.at_depth.moments(&Deviation::NONE), knot, self.fly.hook.neck_angle)
            .rest()
            .map_or(Rides::PointUp, |r| r.rides)
    }

    /// Every stage of the recipe.
    #[must_use]
    pub fn stages(&self, draws: &Draws) -> Vec<StageView> {
        let final_line = linear(&self.spreads, &Deviation::NONE, |d| self.turn_at_depth(d));
        Stage::of_fly(&self.fly)
            .into_iter()
            .map(|stage| {
                let rides = self.side_at(stage);
                let view = |d: &Deviation| self.turn_at(stage, d, rides);
                StageView {
                    stage,
                    turn: view(&Deviation::NONE),
                    rides,
                    spread: hang_spread(&self.spreads, draws, view),
                    forecast: linear(&self.spreads, &Deviation::NONE, view)
                        .zip(final_line.as_ref())
                        .map(|(line, last)| self.forecast(&line, last)),
                }
            })
            .collect()
    }

    /// Joint normal of the reading (with its error) and the finished hang, both as straight lines.
    fn forecast(&self, stage: &Linear, last: &Linear) -> Forecast {
        let product =
            |a: &Linear, b: &Linear| a.slopes.iter().zip(&b.slopes).map(|((_, g), (_, h))| g * h).sum::<f64>();
        let reading = product(stage, stage) + self.jar.reading_sd.powi(2);
        let (joint, whole) = (product(stage, last), product(last, last));
        let per_degree = joint / reading;
        let told = if whole > 0.0 { (joint * per_degree / whole).clamp(0.0, 1.0) } else { 0.0 };
        let window = self.target.hang_window();
        let back = |edge: f64| stage.at + (edge - last.at) / per_degree;
        let go_on = match (window.low, window.high) {
            (Some(low), Some(high)) if told >= TELLS_LITTLE => {
                let (a, b) = (back(low), back(high));
                Some((a.min(b), a.max(b))).filter(|(low, high)| high - low >= self.jar.reading_sd)
            }
            _ => None,
        };
        Forecast { turn: last.at, per_degree, sd: (whole - joint * per_degree).max(0.0).sqrt(), told, go_on }
    }
}
