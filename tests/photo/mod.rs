//! Reading traced pictures whose hang is known: how far off, and whether the stated error tells it.
//!
//! `COUNTERPOISE_PICTURES=12 cargo test --test suite photo -- --nocapture` takes twelve pictures of each condition, prints the
//! table and compares it with DEVELOPERS.md; one of each is looked at otherwise.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::needless_range_loop,
    clippy::collapsible_if
)]

mod hand;
mod tied;
mod tracer;
mod vessels;

use counterpoise::catalog::Catalog;
use counterpoise::document::Source;
use counterpoise::photo::{Hints, RoundJar, Setup, SideView, read};
use counterpoise::physics::statics::Rides;
use counterpoise::quantity::Length;
use counterpoise::recipe_file::RecipeDocument;
use rayon::prelude::*;
use tracer::Shot;
use tracer::guess::side_view;
use tracer::sets::{CONDITIONS, shot};
use tracer::vessel::Wall;

/// What the user says of vessel and camera: all true.
fn setup(shot: &Shot) -> Setup {
    let Wall::Round { radius, .. } = shot.vessel.wall else { return Setup::default() };
    let mm = Length::from_mm;
    let jar = RoundJar::new(mm(2.0 * radius), mm(shot.camera.distance), mm(0.0)).unwrap();
    let half = shot.camera.focal * (radius / shot.camera.distance).asin().tan();
    let middle = 0.5 * (shot.camera.width as f64 - 1.0);
    // Half of the users give the edges.
    Setup { jar: Some(jar), edges: shot.seed.is_multiple_of(2).then_some([middle - half, middle + half]), card: None }
}

/// What came of some pictures.
#[derive(Debug, Clone, Copy, Default)]
struct Tally {
    pictures: usize,
    refused: usize,
    open: usize,
    told: usize,
    squares: f64,
    worst: f64,
    within_two: usize,
    right_side: usize,
    wrong_side: usize,
    /// Told and off by more than three stated errors or 10 degrees, or open and neither near.
    misled: usize,
}

impl Tally {
    fn of(shot: &Shot, known: Option<&SideView>) -> Self {
        let attempt = read(&shot.picture(), &Hints::default(), &setup(shot), known);
        let mut tally = Self { pictures: 1, ..Self::default() };
        let Ok(reading) = attempt.outcome else { return Self { refused: 1, ..tally } };
        let off = |hang: f64| (hang.to_degrees() - shot.hang).abs();
        if let Some(or) = reading.or {
            tally.open = 1;
            tally.misled = usize::from(off(or.hang).min(off(reading.angle.hang)) > 10.0);
            return tally;
        }
        let (off, error) = (off(reading.angle.hang), reading.angle.error.to_degrees());
        tally.told = 1;
        tally.squares = off * off;
        tally.worst = off;
        tally.within_two = usize::from(off <= 2.0 * error);
        tally.misled = usize::from(off > 10.0 || off > 3.0 * error);
        if let Some(rides) = reading.angle.rides {
            let right = (rides == Rides::PointUp) == shot.point_up;
            (tally.right_side, tally.wrong_side) = (usize::from(right), usize::from(!right));
        }
        if tally.misled + tally.wrong_side > 0 {
            println!("seed {}: {:.1} +-{error:.1}, true {:.1}", shot.seed, reading.angle.hang.to_degrees(), shot.hang);
        }
        tally
    }

    fn plus(self, other: Self) -> Self {
        Self {
            pictures: self.pictures + other.pictures,
            refused: self.refused + other.refused,
            open: self.open + other.open,
            told: self.told + other.told,
            squares: self.squares + other.squares,
            worst: self.worst.max(other.worst),
            within_two: self.within_two + other.within_two,
            right_side: self.right_side + other.right_side,
            wrong_side: self.wrong_side + other.wrong_side,
            misled: self.misled + other.misled,
        }
    }

    fn row(&self, name: &str) -> String {
        let rms = (self.squares / (self.told as f64).max(1.0)).sqrt();
        format!(
            "| {name} | {} | {} | {} | {} | {rms:.1} | {:.1} | {} | {} | {} |",
            self.pictures,
            self.told,
            self.open,
            self.refused,
            self.worst,
            self.within_two,
            self.right_side,
            self.wrong_side
        )
    }
}

/// Pictures of each condition.
fn count() -> u64 {
    std::env::var("COUNTERPOISE_PICTURES").ok().and_then(|n| n.parse().ok()).unwrap_or(1)
}

/// The full table, when it was asked for, stands in DEVELOPERS.md.
const FULL: u64 = 12;

fn judge(kind: &str, rows: Vec<(&str, Tally)>) {
    let all = rows.iter().fold(Tally::default(), |sum, (_, t)| sum.plus(*t));
    let mut lines: Vec<String> = rows.iter().map(|(name, t)| t.row(&format!("{name}{kind}"))).collect();
    lines.push(all.row(&format!("all{kind}")));
    println!("{}", lines.join("\n"));
    assert_eq!(all.misled, 0, "off by more than three stated errors or 10 degrees");
    // Of a few pictures no share can be asked.
    assert!(all.pictures < 10 || 2 * all.told >= all.pictures, "at least half is told");
    in_the_table(&lines);
}

/// Lines of the full table stand in DEVELOPERS.md.
fn in_the_table(lines: &[String]) {
    if count() == FULL {
        let text = include_str!("../../DEVELOPERS.md");
        let missing: Vec<_> = lines.iter().filter(|l| !text.contains(*l)).cloned().collect();
        assert!(missing.is_empty(), "DEVELOPERS.md does not have\n{}", missing.join("\n"));
    }
}

fn every_condition(known: bool) -> Vec<(&'static str, Tally)> {
    let one = |(i, name): (usize, &&'static str)| {
        let tallies = (0..count()).map(|k| {
            let shot = shot(name, 1000 * i as u64 + k, None);
            Tally::of(&shot, known.then(|| side_view(&shot.fly)).as_ref())
        });
        (*name, tallies.fold(Tally::default(), Tally::plus))
    };
    CONDITIONS.par_iter().enumerate().map(one).collect()
}

#[test]
fn no_picture_misleads_by_its_outline() {
    judge("", every_condition(false));
}

#[test]
fn no_picture_misleads_with_the_fly_known() {
    let rows = every_condition(true);
    let sides = rows.iter().fold((0, 0), |s, (_, t)| (s.0 + t.right_side, s.1 + t.wrong_side));
    judge(", fly known", rows);
    assert!(sides.0 >= 25 * sides.1, "side right in {}, wrong in {}", sides.0, sides.1);
}

/// The two recipes among the examples, as this tracer dresses them.
#[test]
fn recipes_are_told_in_their_pictures() {
    let catalog = Catalog::built_in().unwrap();
    let mut rows = Vec::new();
    for name in ["jig-12-foam-tail", "straight-8-pin"] {
        let path = format!("{}/examples/recipes/{name}.yaml", env!("CARGO_MANIFEST_DIR"));
        let document = RecipeDocument::read(&Source::open(std::path::Path::new(&path)).unwrap()).unwrap();
        let fly = document.resolve(&catalog).unwrap();
        let known = SideView::of(&fly);
        let maker = |dice: &mut tracer::dice::Dice, down: [f64; 2]| tied::model(&fly, dice, down);
        let tallies = (0..2 * count()).map(|k| Tally::of(&shot("fair", 50_000 + k, Some(&maker)), Some(&known)));
        rows.push((name, tallies.fold(Tally::default(), Tally::plus)));
    }
    judge(" by --recipe", rows);
}

/// The eye of a jig hook stands off the line of its shank; put back by hand it gives the same reading.
#[test]
fn the_eye_that_is_told_can_be_pointed_out() {
    let catalog = Catalog::built_in().unwrap();
    let path = format!("{}/examples/recipes/jig-12-foam-tail.yaml", env!("CARGO_MANIFEST_DIR"));
    let document = RecipeDocument::read(&Source::open(std::path::Path::new(&path)).unwrap()).unwrap();
    let fly = document.resolve(&catalog).unwrap();
    let known = SideView::of(&fly);
    let maker = |dice: &mut tracer::dice::Dice, down: [f64; 2]| tied::model(&fly, dice, down);
    let shot = shot("fair", 50_000, Some(&maker));
    let (image, setup) = (shot.picture(), setup(&shot));
    let read = |hints: &Hints| counterpoise::photo::read(&image, hints, &setup, Some(&known)).outcome.unwrap().angle;
    let told = read(&Hints::default());
    let eye = told.eye.unwrap();
    let apart = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
    assert!(apart(eye, told.front) > 0.1 * apart(told.front, told.rear), "{eye:?} is no corner of the shank");
    let again = read(&Hints { eye: Some(eye), ..Hints::default() });
    assert!((again.hang - told.hang).abs() < 2.0 * told.error, "{} and {}", again.hang, told.hang);
}
