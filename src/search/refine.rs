//! Centring: inside the cell of the grid that a recipe stands for, the length of foam and the start of the wraps that
//! forgive most, to a finer step.
//!
//! The margin of a recipe is a smooth function of two lengths between corners where another requirement takes over, so
//! it is climbed without derivatives (Nelder and Mead 1965, by argmin), rounded to what a tyer can cut, and judged again
//! by the one assessment: what comes back is never narrower, never dearer by a cent, and always meets the target.

use super::rank::{Candidate, cents};
use super::tariff::Tariff;
use crate::assess::{Check, assess, judge};
use crate::fly::{Fly, FoamPiece, Wraps};
use crate::quantity::Microns;
use crate::spread::shares::share_above;
use crate::wanted::Target;
use argmin::core::{CostFunction, Error, Executor, State};
use argmin::solver::neldermead::NelderMead;

/// Iterations after which a climb ends wherever it is.
const MOST_ITERATIONS: u64 = 60;

/// The recipe with the widest margin within one grid step of this one, on the finer step.
#[must_use]
pub fn centred<'a>(candidate: &Candidate<'a>, target: &Target, tariff: &Tariff, step: Microns) -> Candidate<'a> {
    let Some(cell) = Cell::around(&candidate.fly, target, step) else { return *candidate };
    let mut best = *candidate;
    for place in cell.subgradient_ascent() {
        let fly = cell.fly(&place);
        let Some(judgement) = judge(&fly, target) else { continue };
        let share = match &target.share {
            None => None,
            Some(floor) => match target.least_under_each(&fly, |fly| share_above(fly, target, floor)) {
                None => continue,
                share => share,
            },
        };
        let new = Candidate { fly, judgement, price: tariff.price(&fly), share };
        if better(&new, &best) {
            best = new;
        }
    }
    best
}

fn better(new: &Candidate, old: &Candidate) -> bool {
    cents(new.price) <= cents(old.price) && new.judgement.margin > old.judgement.margin
}

/// One cell of the grid: the lengths that may move, each from -1 to 1 steps about where it stands.
struct Cell<'s, 'a> {
    fly: Fly<'a>,
    target: &'s Target,
    step: Microns,
    moves: Vec<Move>,
}

#[derive(Clone, Copy)]
enum Move {
    FoamLength,
    WrapStart,
}

impl<'s, 'a> Cell<'s, 'a> {
    fn around(fly: &Fly<'a>, target: &'s Target, step: Microns) -> Option<Self> {
        let mut moves = Vec::new();
        if fly.foam.is_some() {
            moves.push(Move::FoamLength);
        }
        if fly.wraps.is_some() {
            moves.push(Move::WrapStart);
        }
        (!moves.is_empty() && step.micrometres() > 0).then_some(Self { fly: *fly, target, step, moves })
    }

    /// The fly at a place of the cell, rounded to the finer step.
    fn fly(&self, place: &[f64]) -> Fly<'a> {
        let mut fly = self.fly;
        for (what, at) in self.moves.iter().zip(place) {
            let shifted = |from: Microns, grid: Microns| {
                let mm = from.mm() + at.clamp(-1.0, 1.0) * grid.mm();
                let steps = (mm / self.step.mm()).round().max(0.0);
                Microns::new((steps * f64::from(self.step.micrometres())) as i32)
            };
            match what {
                Move::FoamLength => {
                    fly.foam = fly.foam.map(|f| FoamPiece { length: shifted(f.length, self.target.grid.foam), ..f });
                }
                Move::WrapStart => {
                    fly.wraps = fly.wraps.map(|w| Wraps { start: shifted(w.start, self.target.grid.start), ..w });
                }
            }
        }
        fly
    }

    /// Places worth a look: where the climb ends, and its neighbours on the finer step.
    fn subgradient_ascent(&self) -> Vec<Vec<f64>> {
        let n = self.moves.len();
        let start: Vec<Vec<f64>> =
            (0..=n).map(|corner| (0..n).map(|k| if corner == k + 1 { 0.3 } else { 0.0 }).collect()).collect();
        let Ok(solver) = NelderMead::new(start).with_sd_tolerance(1e-4) else { return Vec::new() };
        let climbed = Executor::new(Narrowness(self), solver)
            .configure(|state| state.max_iters(MOST_ITERATIONS))
            .timer(false)
            .run();
        let Some(top) = climbed.ok().and_then(|c| c.state().get_best_param().cloned()) else {
            return Vec::new();
        };
        let mut places = vec![top.clone()];
        for (k, what) in self.moves.iter().enumerate() {
            let grid = match what {
                Move::FoamLength => self.target.grid.foam,
                Move::WrapStart => self.target.grid.start,
            };
            for side in [-1.0, 1.0] {
                let mut near = top.clone();
                near[k] += side * self.step.mm() / grid.mm();
                places.push(near);
            }
        }
        places
    }
}

/// What the climb makes small: 1 minus the margin, which goes on falling where the target is missed, and stays finite.
struct Narrowness<'c, 's, 'a>(&'c Cell<'s, 'a>);

impl CostFunction for Narrowness<'_, '_, '_> {
    type Param = Vec<f64>;
    type Output = f64;

    fn cost(&self, place: &Self::Param) -> Result<f64, Error> {
        let outside: f64 = place.iter().map(|x| (x.abs() - 1.0).max(0.0)).sum();
        let fly = self.0.fly(place);
        let assessment = assess(&fly, self.0.target);
        let margin = assessment.checks.iter().map(Check::margin).fold(1.0, f64::min);
        let misfit = if assessment.misfit.is_some() { 10.0 } else { 0.0 };
        Ok((1.0 - margin).min(100.0) + misfit + outside)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::quantity::{Angle, Length};
    use crate::search::rank::Variety;
    use crate::search::{Unwatched, Wish, search};
    use crate::wanted::TargetSpec;

    #[test]
    fn a_centred_recipe_forgives_more_and_costs_no_cent_more() {
        let catalog = Catalog::built_in().expect("built-in");
        let spec = TargetSpec {
            hook: Some("jig60-10".into()),
            only: vec!["bead.mount=eye".into()],
            hang: Some(Angle::from_deg(0.0)),
            foam_step: Some(Length::from_mm(3.0)),
            wrap_step: Some(Length::from_mm(3.0)),
            ..TargetSpec::default()
        };
        let (target, _) = spec.resolve(&catalog).expect("sound");
        let found = search(&catalog, &target, Wish { top: 20, variety: Variety::Parts }, &Unwatched);
        let mut wider = 0;
        for candidate in &found.candidates {
            let fine = centred(candidate, &target, &Tariff::Material, Microns::new(100));
            assert!(fine.judgement.margin >= candidate.judgement.margin);
            assert!(cents(fine.judgement.cost) <= cents(candidate.judgement.cost));
            assert_eq!(judge(&fine.fly, &target), Some(fine.judgement));
            wider += usize::from(fine.judgement.margin > candidate.judgement.margin + 1e-3);
        }
        assert!(wider > 0, "some cell has a better centre than its corner");
    }
}
