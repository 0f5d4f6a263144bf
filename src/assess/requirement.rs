//! The list of requirements: what each is called, what it is measured in, what it takes to look at it.
//!
//! Judging, assessing, ranking and reporting read this list; the window comes from the target, the value from the fly. What may
//! be let go of a target, edge by edge, is another list: [`crate::search::explain::Demand`].

/// What may be asked of a fly.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Requirement {
    /// The parts fit each other.
    Fit,
    /// No lead.
    LeadFree,
    /// Cost of material for one fly.
    Cost,
    /// Mass of the fly.
    Mass,
    /// It sinks: submerged weight above zero.
    Sinks,
    /// Which side the point is on.
    Rides,
    /// Hang angle.
    Hang,
    /// Band within which friction in the eye can leave it off its hang.
    Band,
    /// Sink rate.
    SinkRate,
    /// Time to a depth.
    Reach,
    /// It comes to a steady fall on a slack line.
    Settles,
    /// Drop of the nose when the line goes slack.
    Dive,
}

/// What it takes to look at a requirement, least first: the order in which they are looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effort {
    /// The parts alone.
    Parts,
    /// The placed body: weight and moments.
    Loads,
    /// The position of rest.
    Rest,
    /// A root of the drag.
    Drag,
    /// A history in time.
    History,
}

/// One requirement of the list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Which.
    pub requirement: Requirement,
    /// The words used in reports.
    pub words: &'static str,
    /// The unit in which it is shown; `yes` for what is only met or missed.
    pub unit: &'static str,
    /// From SI to that unit.
    pub scale: f64,
    /// Decimals for a person.
    pub decimals: usize,
    /// What it takes to look at it.
    pub effort: Effort,
    /// Whether how far inside the window the value lies counts in the margin.
    pub graded: bool,
}

const fn row(
    requirement: Requirement,
    words: &'static str,
    (unit, scale, decimals): (&'static str, f64, usize),
    effort: Effort,
    graded: bool,
) -> Row {
    Row { requirement, words, unit, scale, decimals, effort, graded }
}

const YES: (&str, f64, usize) = ("yes", 1.0, 0);
const DEGREES: (&str, f64, usize) = ("deg", 180.0 / std::f64::consts::PI, 1);

impl Requirement {
    /// Every requirement, in the order in which they are looked at.
    pub const LIST: [Row; 12] = [
        row(Self::Fit, "fit", YES, Effort::Parts, false),
        row(Self::LeadFree, "lead-free", YES, Effort::Parts, false),
        row(Self::Cost, "cost", ("money", 1.0, 2), Effort::Parts, false),
        row(Self::Mass, "mass", ("mg", 1e6, 1), Effort::Loads, true),
        row(Self::Sinks, "sinks", ("mN", 1e3, 3), Effort::Loads, false),
        row(Self::Rides, "rides", YES, Effort::Rest, false),
        row(Self::Hang, "hang", DEGREES, Effort::Rest, true),
        row(Self::Band, "friction band", DEGREES, Effort::Rest, true),
        row(Self::SinkRate, "sink rate", ("m/s", 1.0, 3), Effort::Drag, true),
        row(Self::Reach, "time to depth", ("s", 1.0, 1), Effort::History, true),
        row(Self::Settles, "settles on a slack line", YES, Effort::History, false),
        row(Self::Dive, "dive", DEGREES, Effort::History, true),
    ];

    /// Its row of the list.
    #[must_use]
    pub fn row(self) -> &'static Row {
        // In the order of the variants, which a test holds it to: looked at for every fly that a search judges.
        static LIST: [Row; 12] = Requirement::LIST;
        &LIST[self as usize]
    }

    /// The words used in reports.
    #[must_use]
    pub fn words(self) -> &'static str {
        self.row().words
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_requirement_has_a_row_of_its_own_and_the_dear_ones_come_last() {
        use Requirement::{Band, Cost, Dive, Fit, Hang, LeadFree, Mass, Reach, Rides, Settles, SinkRate, Sinks};
        for each in [Fit, LeadFree, Cost, Mass, Sinks, Rides, Hang, Band, SinkRate, Settles, Reach, Dive] {
            assert_eq!(each.row().requirement, each);
        }
        assert!(Requirement::LIST.windows(2).all(|pair| pair[0].effort <= pair[1].effort));
    }
}
