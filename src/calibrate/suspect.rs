//! What goes wrong in real logs: signs turned, two bags in one log, too much that looks misread.

use super::linear::Around;
use super::model::Model;
use super::solve::Solved;
use nalgebra::{DMatrix, DVector};

/// Odds, before anything is seen, that a whole log has its signs turned. An estimate, no source.
const MIRRORED_BEFORE: f64 = 0.05;
/// Share of readings that are plainly wrong, before anything is seen. An estimate, no source.
const WRONG: f64 = 0.05;
/// How far off a plainly wrong reading lies, in its own errors.
const FAR: f64 = 20.0;
/// Natural logarithm of the odds from which a log is called mixed: twenty to one.
const PLAIN: f64 = 3.0;
/// Flies that each of two groups must have.
const LEAST: usize = 2;
/// Ways to begin a split in two that are tried.
const STARTS: usize = 24;
const STEPS: usize = 10;

/// Chance that every sign was turned, from the objectives of the log as it is and mirrored.
pub(super) fn mirrored_chance(plain: f64, mirrored: f64) -> f64 {
    let odds = MIRRORED_BEFORE * (0.5 * (plain - mirrored)).min(500.0).exp();
    odds / (1.0 + odds)
}

/// Flies that contradict each other as two groups.
#[derive(Debug, Clone, PartialEq)]
pub struct Split {
    /// Places of the entries of each group, in the order of the log.
    pub entries: [Vec<usize>; 2],
    /// Whether the second group is all that comes after the first.
    pub in_order: bool,
    /// Natural logarithm of the odds of two groups against one.
    pub log_odds: f64,
}

/// One fly near the fit: what is left of its readings, whitened, and how that goes with the shared unknowns.
struct FlyLine {
    group: usize,
    residuals: DVector<f64>,
    slopes: DMatrix<f64>,
}

impl FlyLine {
    fn square(&self, move_by: &DVector<f64>) -> f64 {
        (&self.residuals + &self.slopes * move_by).norm_squared()
    }

    /// ln of what a plainly wrong reading would be worth here.
    fn wrong(&self) -> f64 {
        let n = self.residuals.len() as f64;
        WRONG.ln() - n * FAR.ln() - 0.5 * self.residuals.norm_squared() / (FAR * FAR)
    }
}

/// One set of shared unknowns for some of the flies.
struct Side {
    move_by: DVector<f64>,
    /// -|z|^2/2 - ln det H / 2.
    prior: f64,
}

/// Looks for two groups of flies that contradict each other.
pub(super) fn split(model: &Model, entries: &[usize], solved: &Solved) -> Option<Split> {
    let flies = lines(model, entries, solved);
    if flies.len() < 2 * LEAST {
        return None;
    }
    let z = &solved.point.z;
    let plain = alone(&flies, z);
    let mut best: Option<(f64, bool, Vec<bool>)> = None;
    let mut offer = |log_odds: f64, in_order: bool, second: Vec<bool>| {
        let count = second.iter().filter(|s| **s).count();
        let enough = count >= LEAST && flies.len() - count >= LEAST;
        if enough && log_odds > PLAIN && best.as_ref().is_none_or(|b| log_odds > b.0) {
            best = Some((log_odds, in_order, second));
        }
    };
    let count = flies.len();
    let step = (count / STARTS).max(1);
    for cut in (LEAST..=count - LEAST).step_by(step) {
        let worth = alone(&flies[..cut], z) + alone(&flies[cut..], z) - ((count - 1) as f64).ln();
        offer(worth - plain, true, (0..count).map(|i| i >= cut).collect());
    }
    let order = along_most(&flies);
    for cut in (LEAST..=count - LEAST).step_by(step) {
        let mut second = vec![false; count];
        order[cut..].iter().for_each(|i| second[*i] = true);
        let (worth, second) = mixed(&flies, z, &second);
        offer(worth - plain, false, second);
    }
    let (log_odds, in_order, second) = best?;
    let of = |wanted: bool| {
        let groups: Vec<usize> =
            flies.iter().zip(&second).filter(|(_, s)| **s == wanted).map(|(f, _)| f.group).collect();
        entries.iter().copied().filter(|e| groups.contains(&model.group_of_entry(*e))).collect()
    };
    Some(Split { entries: [of(false), of(true)], in_order, log_odds })
}

fn lines(model: &Model, entries: &[usize], solved: &Solved) -> Vec<FlyLine> {
    let at = &solved.point;
    let courses = model.courses_of(entries, at);
    let mut believed = vec![0.0; model.observations().len()];
    let counted = |e: &usize| model.of_entry(*e).filter(|i| model.observations()[*i].is_telling());
    entries.iter().flat_map(counted).for_each(|i| believed[i] = 1.0);
    let lines = Around { model, entries, own: &at.own, courses: &courses }.lines(&at.z, &believed);
    lines.into_iter().map(|(group, residuals, slopes)| FlyLine { group, residuals, slopes }).collect()
}

/// The unknowns that suit flies of some weights best, around z.
fn side(flies: &[FlyLine], z: &DVector<f64>, weights: &[f64]) -> Side {
    let n = z.len();
    let (mut normal, mut slope) = (DMatrix::identity(n, n), z.clone());
    for (fly, weight) in flies.iter().zip(weights).filter(|(_, w)| **w > 1e-6) {
        normal += fly.slopes.transpose() * &fly.slopes * *weight;
        slope += fly.slopes.transpose() * &fly.residuals * *weight;
    }
    match normal.cholesky() {
        Some(factor) => {
            let move_by = -factor.solve(&slope);
            let log_determinant = 2.0 * factor.l_dirty().diagonal().iter().map(|v| v.ln()).sum::<f64>();
            let prior = -0.5 * (z + &move_by).norm_squared() - 0.5 * log_determinant;
            Side { move_by, prior }
        }
        // It holds the identity, so this does not happen with finite slopes.
        None => Side { move_by: DVector::zeros(n), prior: f64::NEG_INFINITY },
    }
}

/// Evidence of one side for all of some flies.
fn alone(flies: &[FlyLine], z: &DVector<f64>) -> f64 {
    let mut now = side(flies, z, &vec![1.0; flies.len()]);
    for _ in 0..STEPS {
        let weights: Vec<f64> = flies.iter().map(|f| sound(f, &now)).collect();
        now = side(flies, z, &weights);
    }
    flies.iter().map(|f| add_logs(&[good(f, &now), f.wrong()])).sum::<f64>() + now.prior
}

fn good(fly: &FlyLine, side: &Side) -> f64 {
    (1.0 - WRONG).ln() - 0.5 * fly.square(&side.move_by)
}

/// Chance that a fly belongs to a side and is not plainly wrong.
fn sound(fly: &FlyLine, side: &Side) -> f64 {
    let good = good(fly, side);
    (good - add_logs(&[good, fly.wrong()])).exp()
}

/// Evidence of two sides that any fly may belong to, from a first split; and who then is on the second.
fn mixed(flies: &[FlyLine], z: &DVector<f64>, second: &[bool]) -> (f64, Vec<bool>) {
    let half = 0.5f64.ln();
    let mut shares: Vec<[f64; 2]> = second.iter().map(|s| if *s { [0.0, 1.0] } else { [1.0, 0.0] }).collect();
    let mut worth = f64::NEG_INFINITY;
    for _ in 0..STEPS {
        let sides = [0, 1].map(|k| side(flies, z, &shares.iter().map(|s| s[k]).collect::<Vec<_>>()));
        worth = sides[0].prior + sides[1].prior;
        for (fly, share) in flies.iter().zip(&mut shares) {
            let logs = [half + good(fly, &sides[0]), half + good(fly, &sides[1]), fly.wrong()];
            let all = add_logs(&logs);
            worth += all;
            *share = [(logs[0] - all).exp(), (logs[1] - all).exp()];
        }
    }
    (worth + 2f64.ln(), shares.iter().map(|s| s[1] > s[0]).collect())
}

/// Flies in the order of what is left of them along the direction that they tell most about.
fn along_most(flies: &[FlyLine]) -> Vec<usize> {
    let n = flies[0].slopes.ncols();
    let told = flies.iter().fold(DMatrix::zeros(n, n), |sum, f| sum + f.slopes.transpose() * &f.slopes);
    let directions = told.symmetric_eigen();
    let most = directions.eigenvalues.imax();
    let direction = directions.eigenvectors.column(most).into_owned();
    let score = |fly: &FlyLine| {
        let along = &fly.slopes * &direction;
        along.dot(&fly.residuals) / along.norm_squared().max(1e-12)
    };
    let scores: Vec<f64> = flies.iter().map(score).collect();
    let mut order: Vec<usize> = (0..flies.len()).collect();
    order.sort_by(|a, b| scores[*a].total_cmp(&scores[*b]).then(a.cmp(b)));
    order
}

fn add_logs(logs: &[f64]) -> f64 {
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    most + logs.iter().map(|l| (l - most).exp()).sum::<f64>().ln()
}
