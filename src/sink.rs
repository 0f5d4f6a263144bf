//! How a fly goes down: countdown to depths, the fall on a slack line, the jig stroke.
//!
//! All three start from the hang: at rest, on the knot of the conditions. A fly that floats has no hang; it is let go level
//! and rises.

use crate::fly::{self, Conditions, Fly, State};
use crate::physics::body::Label;
use crate::physics::fall::{
    Countdown, Fall, HistoryError, Passing, Slack, SlackFall, Stroke, from_rest, lowered_countdown, slack_countdown,
    stroke,
};
use crate::physics::leader::Leader;
use crate::physics::statics::{Hang, hang};
use crate::physics::warning::{Warning, note_worst};
use crate::wanted::Line;
use std::f64::consts::PI;

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// Depths, m.
    pub depths: Vec<f64>,
    /// Lines to count down on.
    pub lines: Vec<Line>,
    /// A length of tippet that is drawn down, if any.
    pub leader: Option<Leader>,
    /// How long the line goes slack in the jig stroke.
    pub slack: Slack,
    /// How near the hang the fly has to be to have recovered, rad.
    pub tolerance: f64,
}

/// The fly at one depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DepthRow {
    /// Depth, m.
    pub depth: f64,
    /// How it hangs there at rest.
    pub hang: Hang,
    /// Lift of its foam there over the lift at the surface; `None` without foam.
    pub lift_left: Option<f64>,
    /// As it passes on a tight line; `None` where it does not get there, or nobody asked.
    pub tight: Option<Passing>,
    /// As it passes on a slack line.
    pub slack: Option<Passing>,
}

/// How one fly goes down, in one state of its dressing.
#[derive(Debug, Clone, PartialEq)]
pub struct Descent {
    /// State.
    pub state: State,
    /// One for each depth asked for.
    pub rows: Vec<DepthRow>,
    /// The fall on a slack line from its hang at the depth of the conditions.
    pub fall: SlackFall,
    /// The jig stroke there; `None` for a fly that floats.
    pub stroke: Option<Stroke>,
    /// Limits of the model that were reached.
    pub warnings: Vec<Warning>,
}

/// States worth telling apart: fresh as well only where the dressing holds air.
#[must_use]
pub fn states(fly: &Fly) -> Vec<State> {
    let air = fly.dressing.components.iter().any(|c| c.fresh_air_share > 0.0 && c.dry_mass > 0.0);
    if air { vec![State::Soaked, State::Fresh] } else { vec![State::Soaked] }
}

/// Follows a fly down.
///
/// # Errors
/// [`HistoryError`] where its motion could not be followed.
pub fn descend(fly: &Fly, conditions: &Conditions, question: &Question) -> Result<Descent, HistoryError> {
    let sinking = fly::sinking(fly, conditions);
    let water = &conditions.water;
    let fall = Fall::with(&sinking, water, question.leader, Default::default());
    let neck = fly.hook.neck_angle;
    let hang_at = |depth: f64| hang(sinking.moments(depth, water), conditions.knot, neck);
    let beta_at = |depth: f64| hang_at(depth).rest().map_or(PI, |rest| rest.beta());
    let count = |line: Line| -> Result<Option<Countdown>, HistoryError> {
        if !question.lines.contains(&line) {
            return Ok(None);
        }
        match line {
            Line::Tight => lowered_countdown(&fall, (conditions.knot, neck), &question.depths),
            Line::Slack => slack_countdown(&fall, beta_at(0.0), &question.depths),
        }
        .map(Some)
    };
    let (tight, slack) = (count(Line::Tight)?, count(Line::Slack)?);
    let rows = question.depths.iter().enumerate().map(|(i, &depth)| DepthRow {
        depth,
        hang: hang_at(depth),
        lift_left: sinking.lift_left(Label::Foam, depth, water),
        tight: tight.as_ref().and_then(|c| c.passings[i]),
        slack: slack.as_ref().and_then(|c| c.passings[i]),
    });
    let medium = fall.medium(conditions.depth);
    let from = beta_at(conditions.depth);
    let free = from_rest(&fall, &medium, from)?;
    let knot = (conditions.knot, neck);
    let jig = match hang_at(conditions.depth) {
        Hang::Taut { .. } => Some(stroke(&fall, &medium, from, knot, question.slack, question.tolerance)?),
        Hang::Floats => None,
    };
    let mut warnings = crate::assess::predict(fly, conditions).warnings;
    free.warnings.iter().for_each(|w| note_worst(&mut warnings, w.clone()));
    Ok(Descent { state: conditions.state, rows: rows.collect(), fall: free, stroke: jig, warnings })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::fly::resolve;
    use crate::part::Cut;
    use crate::physics::statics::Knot;
    use crate::physics::water::Water;
    use crate::quantity::Microns;
    use crate::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat};

    fn recipe(bead: Option<&str>, foam_um: i32) -> Recipe {
        Recipe {
            hook: "jig60-12".into(),
            dressing: "light-body".into(),
            bead: bead.map(|id| BeadUse { id: id.into(), mount: Mount::Eye }),
            wire: None,
            foam: Some(FoamUse {
                id: "pe-rod-1-4in".into(),
                cut: Cut::Quarter,
                length: Microns::new(foam_um),
                seat: Seat::Tail,
            }),
        }
    }

    fn conditions(state: State) -> Conditions {
        Conditions { water: Water::new(12.0, 0.0).unwrap(), depth: 1.0, state, knot: Knot::Loop }
    }

    fn question() -> Question {
        Question {
            depths: vec![3.0, 0.5, 1.0],
            lines: vec![Line::Tight, Line::Slack],
            leader: None,
            slack: Slack::Time(0.5),
            tolerance: 0.09,
        }
    }

    #[test]
    fn deeper_is_later_and_foam_gives_way() {
        let catalog = Catalog::built_in().unwrap();
        let recipe = recipe(Some("tungsten-slotted-3.5"), 8_000);
        let fly = resolve(&recipe, &catalog).unwrap();
        assert_eq!(states(&fly), [State::Soaked, State::Fresh]);
        for state in states(&fly) {
            let found = descend(&fly, &conditions(state), &question()).unwrap();
            let order: Vec<&DepthRow> = [1, 2, 0].map(|i| &found.rows[i]).to_vec();
            for pair in order.windows(2) {
                assert!(pair[1].lift_left.unwrap() < pair[0].lift_left.unwrap());
                assert!(pair[1].tight.unwrap().time > pair[0].tight.unwrap().time);
                assert!(pair[1].slack.unwrap().time > pair[0].slack.unwrap().time);
                assert!(pair[1].tight.unwrap().speed > pair[0].tight.unwrap().speed, "less lift, same drag");
            }
            assert!(found.stroke.unwrap().dive > 0.0, "a jig head goes down first");
        }
    }

    #[test]
    fn a_leader_slows_it_down() {
        let catalog = Catalog::built_in().unwrap();
        let recipe = recipe(Some("tungsten-slotted-3.5"), 8_000);
        let fly = resolve(&recipe, &catalog).unwrap();
        let leader = Some(Leader { length: 3.0, diameter: 0.2e-3, density: 1140.0 });
        let plain = descend(&fly, &conditions(State::Soaked), &question()).unwrap();
        let drawn = descend(&fly, &conditions(State::Soaked), &Question { leader, ..question() }).unwrap();
        for (a, b) in plain.rows.iter().zip(&drawn.rows) {
            assert!(b.tight.unwrap().time > a.tight.unwrap().time);
            assert!(b.slack.unwrap().time > a.slack.unwrap().time);
            assert_eq!(a.hang, b.hang, "it hangs the same");
        }
    }

    #[test]
    fn a_fly_that_floats_never_gets_there_and_rises() {
        let catalog = Catalog::built_in().unwrap();
        let mut recipe = recipe(None, 12_000);
        if let Some(foam) = &mut recipe.foam {
            foam.cut = Cut::Whole;
        }
        let fly = resolve(&recipe, &catalog).unwrap();
        let found = descend(&fly, &conditions(State::Soaked), &question()).unwrap();
        assert!(found.rows.iter().all(|r| r.tight.is_none() && r.slack.is_none() && r.hang == Hang::Floats));
        assert!(found.fall.sink_rate < 0.0 && found.stroke.is_none());
        assert!(found.warnings.contains(&Warning::Floats));
    }
}
