//! An error budget, in documented units.

use super::Figure;
use crate::error_budget::{Budget, Figures};
use serde::Serialize;

/// How far a prediction moves when what it assumes is otherwise.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct BudgetReport {
    /// As predicted.
    pub predicted: BudgetFigures,
    /// One for each assumption that moves anything, with the figures at either end of its spread.
    pub lines: Vec<BudgetLineReport>,
    /// Root of the sum of squares of the larger move of each.
    pub sum: BudgetFigures,
}

/// One assumption.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct BudgetLineReport {
    /// What is assumed.
    pub assumed: &'static str,
    /// The two ends of its spread.
    pub spread: String,
    /// Why that spread.
    pub why: &'static str,
    /// Figures at the lower end, less those predicted.
    pub low: BudgetFigures,
    /// Figures at the upper end, less those predicted.
    pub high: BudgetFigures,
}

/// Figures of a budget, or their moves.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct BudgetFigures {
    /// Hang, degrees.
    pub hang_deg: Option<Figure>,
    /// Sink rate on a tight line, m/s.
    pub tight_m_s: Option<Figure>,
    /// Sink rate on a slack line, m/s.
    pub slack_m_s: Option<Figure>,
    /// Dive in a jig stroke, degrees.
    pub dive_deg: Option<Figure>,
    /// Recovery from it, s.
    pub recovery_s: Option<Figure>,
}

/// Each figure of a budget, picked out, in the order of [`BudgetFigures`].
type Pick = fn(&Figures) -> Option<f64>;
const PICKS: [Pick; 5] =
    [|f| f.hang.map(f64::to_degrees), |f| f.tight, |f| Some(f.slack), |f| f.dive.map(f64::to_degrees), |f| f.recovery];

fn all(value: impl Fn(Pick) -> Option<f64>) -> BudgetFigures {
    let [hang_deg, tight_m_s, slack_m_s, dive_deg, recovery_s] = PICKS.map(|pick| value(pick).map(Figure));
    BudgetFigures { hang_deg, tight_m_s, slack_m_s, dive_deg, recovery_s }
}

/// Puts a budget into figures, the assumption that moves most first: by its share of each sum.
#[must_use]
pub fn budget_report(budget: &Budget) -> BudgetReport {
    let sums = PICKS.map(|pick| budget.sum(pick).unwrap_or(0.0));
    let moved = |figures: &Figures, pick: Pick| Some(pick(figures)? - pick(&budget.base)?);
    let weight = |low: &Figures, high: &Figures| -> f64 {
        let shares = PICKS.iter().zip(sums).map(|(pick, sum)| {
            let most = moved(low, *pick).unwrap_or(0.0).abs().max(moved(high, *pick).unwrap_or(0.0).abs());
            most / sum.max(1e-12)
        });
        shares.fold(0.0, f64::max)
    };
    let mut lines: Vec<_> = budget.lines.iter().collect();
    lines.sort_by(|a, b| weight(&b.low, &b.high).total_cmp(&weight(&a.low, &a.high)));
    BudgetReport {
        predicted: all(|pick| pick(&budget.base)),
        lines: lines
            .into_iter()
            .map(|line| {
                let (spread, why) = line.assumed.spread();
                BudgetLineReport {
                    assumed: line.assumed.words(),
                    spread,
                    why,
                    low: all(|pick| moved(&line.low, pick)),
                    high: all(|pick| moved(&line.high, pick)),
                }
            })
            .collect(),
        sum: all(|pick| budget.sum(pick)),
    }
}
