//! From a spoilt catalog to a prediction and a search.

use super::mutate::{Dice, number};
use super::{Tried, attempt, corpus};
use counterpoise::assess::predict;
use counterpoise::catalog::Catalog;
use counterpoise::document::Source;
use counterpoise::search::rank::Variety;
use counterpoise::search::{Observer, Progress, Wish, search};
use counterpoise::wanted::TargetSpec;
use std::time::{Duration, Instant};

/// The small catalog with one to three other figures.
fn spoilt(dice: &mut Dice) -> String {
    let mut bytes = corpus::SMALL_CATALOG.as_bytes().to_vec();
    for _ in 0..=dice.below(3) {
        number(&mut bytes, dice);
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

fn read(text: &str) -> Option<Catalog> {
    Catalog::from_files(&[Source::new("small.yaml", text)]).ok()
}

/// Whether a catalog with other figures is accepted.
pub(crate) fn small_catalog(dice: &mut Dice) -> Tried {
    attempt(spoilt(dice), |text| read(text).is_some())
}

/// Stops a search that lasts.
struct Watch(Instant);

impl Observer for Watch {
    fn round_done(&self, _: &Progress) {}

    fn stop(&self) -> bool {
        self.0.elapsed() > Duration::from_secs(2)
    }
}

/// A search on an accepted catalog for a target of any kind; what is found must keep what it promises, in finite figures.
pub(crate) fn search_on_it(dice: &mut Dice) -> Tried {
    let target = format!(
        "{{hook: {}, pattern: light-body, hang: {} deg, tolerance: {} deg, depth: {} m, water: {} C, knot: {}, state: {}, \
         sink: \">={} m/s\", foam_step: 2 mm, wrap_step: 2 mm}}",
        dice.of(&["straight-8", "jig60-12"]),
        dice.below(181) as f64 - 90.0,
        1 + dice.below(60),
        dice.below(60) as f64 / 10.0,
        dice.below(30),
        dice.of(&["loop", "snug"]),
        dice.of(&["soaked", "fresh"]),
        dice.below(40) as f64 / 100.0,
    );
    attempt(format!("{}\n{target}", spoilt(dice)), |text| {
        let (text, target) = text.rsplit_once('\n').unwrap_or_default();
        let Some(catalog) = read(text) else { return false };
        let spec: TargetSpec = counterpoise::document::read(&Source::new("target.yaml", target)).unwrap();
        let Ok((target, _)) = spec.resolve(&catalog) else { return false };
        let wish = Wish { top: 3, variety: Variety::Every };
        let found = search(&catalog, &target, wish, &Watch(Instant::now()));
        for candidate in &found.candidates {
            let prediction = predict(&candidate.fly, &target.conditions);
            let hang = prediction.hang.rest().unwrap().angle;
            assert!(hang.is_finite() && candidate.judgement.margin.is_finite() && candidate.judgement.margin >= 0.0);
            assert!((hang - target.hang).abs() <= target.tolerance + 1e-9, "{hang} is not {} as asked", target.hang);
        }
        true
    })
}
