//! From the keys of a log to checked entries.

use super::schema::{DropEntry, EntryFile, JarEntry, JarLogFile, RecipeRef, VERSION, WeighedEntry};
use super::{Drop, Entry, FlyTest, Line, Measured, PartTest, Test, reading_errors};
use crate::document::{Diagnostics, Document, Path, Source, closest};
use crate::fly::{Conditions, State};
use crate::part::{Cut, Kind};
use crate::physics::statics::{Knot, Rides, Tippet};
use crate::physics::water::Water;
use crate::quantity::{Length, Microns};
use crate::recipe::Recipe;
use crate::recipe_file::{self, RecipeDocument};
use crate::vice::Stage;
use crate::vice::{JAR_CELSIUS, JAR_DEPTH_M, Medium};
use crate::wanted::defaults::{NYLON_WET_PA, TIPPET_MM};
use std::collections::BTreeMap;
use std::path::Path as FilePath;

struct Checker<'a> {
    document: &'a Document,
    folder: &'a FilePath,
    problems: &'a mut Diagnostics,
    /// Recipes by name, file and id.
    known: BTreeMap<String, Recipe>,
}

pub(super) fn entries(
    file: &JarLogFile,
    document: &Document,
    folder: &FilePath,
    problems: &mut Diagnostics,
) -> (Vec<Entry>, Vec<String>) {
    let mut checker = Checker { document, folder, problems, known: BTreeMap::new() };
    if file.jar_log != VERSION {
        let text = format!("jar_log is {}; this program reads version {VERSION}", file.jar_log);
        checker.refuse(&Path::root().key("jar_log"), text, "write `jar_log: 1`");
    }
    for (name, recipe) in &file.recipes {
        let path = Path::root().key("recipes").key(name);
        if let Some(recipe) = checker.recipe(recipe, &path) {
            checker.known.insert(recipe.id(), recipe.clone());
            checker.known.insert(name.clone(), recipe);
        }
    }
    let at = |i: usize| Path::root().key("entries").index(i);
    let entries =
        (0..file.entries.len()).filter_map(|i| checker.entry(&file.entries[i], &file.jar, i + 1, &at(i))).collect();
    (entries, checker.known.into_keys().collect())
}

impl Checker<'_> {
    fn refuse(&mut self, path: &Path, text: String, help: &str) {
        let problem = self.document.problem(path, text);
        self.problems.push(if help.is_empty() { problem } else { problem.help(help) });
    }

    fn entry(&mut self, file: &EntryFile, jar: &JarEntry, number: usize, path: &Path) -> Option<Entry> {
        let test = match (&file.recipe, &file.weighed) {
            (Some(recipe), None) => Test::Fly(self.fly(file, recipe, jar, path)?),
            (None, Some(weighed)) => {
                self.alone(file, path);
                Test::Part(self.part(weighed, &path.key("weighed"))?)
            }
            (Some(_), Some(_)) => {
                let text = "an entry is about a fly (`recipe`) or about loose parts (`weighed`), not both".to_owned();
                self.refuse(&path.key("weighed"), text, "make two entries of it");
                return None;
            }
            (None, None) => {
                let text = "the entry says neither `recipe` nor `weighed`".to_owned();
                self.refuse(path, text, "name the recipe of the fly, or the parts that were weighed");
                return None;
            }
        };
        Some(Entry { number, date: file.date, test })
    }

    /// Keys of a fly do not go with loose parts.
    fn alone(&mut self, file: &EntryFile, path: &Path) {
        let of_a_fly = [
            ("hang", file.hang.is_some()),
            ("rides", file.rides.is_some()),
            ("floats", file.floats.is_some()),
            ("drops", !file.drops.is_empty()),
            ("mass", file.mass.is_some()),
            ("stage", file.stage.is_some()),
            ("fly", file.fly.is_some()),
        ];
        for (key, _) in of_a_fly.iter().filter(|(_, given)| *given) {
            self.refuse(&path.key(key), format!("`{key}` is said of a fly, not of loose parts"), "name its `recipe`");
        }
    }

    fn recipe(&mut self, named: &RecipeRef, path: &Path) -> Option<Recipe> {
        let name = match named {
            RecipeRef::Inline(file) => {
                let before = self.problems.len();
                let recipe = recipe_file::check(file, self.document, path, self.problems);
                return (self.problems.len() == before).then_some(recipe);
            }
            RecipeRef::Named(name) => name,
        };
        if let Some(recipe) = self.known.get(name) {
            return Some(recipe.clone());
        }
        if name.ends_with(".yaml") || name.ends_with(".yml") {
            let read = Source::open(&self.folder.join(name)).and_then(|source| RecipeDocument::read(&source));
            return match read {
                Ok(read) => {
                    self.known.insert(name.clone(), read.recipe().clone());
                    self.known.insert(read.recipe().id(), read.recipe().clone());
                    Some(read.recipe().clone())
                }
                Err(problems) => {
                    let why = problems.iter().next().map(crate::document::Problem::message).unwrap_or_default();
                    self.refuse(path, format!("the recipe file `{name}` cannot be used: {why}"), "");
                    None
                }
            };
        }
        let help = match closest(name, self.known.keys().map(String::as_str)) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "name it under `recipes:`, or give a file that ends in .yaml".to_owned(),
        };
        self.refuse(path, format!("no recipe is called `{name}`"), &help);
        None
    }

    fn fly(&mut self, file: &EntryFile, named: &RecipeRef, jar: &JarEntry, path: &Path) -> Option<FlyTest> {
        let recipe = self.recipe(named, &path.key("recipe"));
        let conditions = self.conditions(file, jar, path);
        let stage = self.word(file.stage.as_deref(), Stage::Finish, Stage::from_word, &path.key("stage"), STAGES);
        let rides = file
            .rides
            .as_deref()
            .map(|word| self.word(Some(word), Rides::PointUp, side, &path.key("rides"), "`point-up` or `point-down`"));
        let drops: Vec<Drop> =
            (0..file.drops.len()).map(|i| self.drop(&file.drops[i], &path.key("drops").index(i))).collect();
        if file.hang.is_none() && file.floats.is_none() && file.drops.is_empty() && file.mass.is_none() {
            self.refuse(
                path,
                "the entry says nothing that was seen".to_owned(),
                "give `hang`, `floats`, `drops` or `mass`",
            );
        }
        if !file.drops.is_empty() && stage != Stage::Finish {
            let text = format!("drops are timed of finished flies, and the stage is `{}`", stage.word());
            self.refuse(&path.key("drops"), text, "leave `stage` out, or the drops");
        }
        if file.rides.is_some() && file.hang.is_none() {
            let text = "`rides` goes with a hang".to_owned();
            self.refuse(&path.key("rides"), text, "give `hang` as well");
        }
        if file.hang.is_some() && file.floats == Some(true) {
            let text = "a fly that floats does not hang".to_owned();
            self.refuse(&path.key("floats"), text, "leave one of `hang` and `floats` out");
        }
        let hang = file.hang.map(|hang| {
            self.within(hang.deg(), -90.0, 90.0, "hang", "degrees", path);
            let error = file.hang_error.map_or(reading_errors::HANG, |e| e.rad());
            self.within(error.to_degrees(), 0.05, 60.0, "hang_error", "degrees", path);
            Measured { value: hang.rad(), error }
        });
        let mass = file.mass.map(|mass| self.mass(mass.kg(), file.mass_error.map(|e| e.kg()), path, "mass_error"));
        let recipe = recipe?;
        let recipe_name = match named {
            RecipeRef::Named(name) => name.clone(),
            RecipeRef::Inline(_) => recipe.id(),
        };
        self.known.insert(recipe.id(), recipe.clone());
        let foam = self.foam(file, &recipe, stage, path);
        let conditions = conditions?;
        Some(FlyTest {
            recipe_name,
            recipe,
            fly: file.fly.clone(),
            stage,
            foam,
            conditions,
            hang,
            rides,
            floats: file.floats,
            drops,
            mass,
        })
    }

    /// Length of the foam that was on, where the entry says it.
    fn foam(&mut self, file: &EntryFile, recipe: &Recipe, stage: Stage, path: &Path) -> Option<Microns> {
        let length = file.foam?;
        let at = path.key("foam");
        if recipe.foam.is_none() {
            self.refuse(&at, "the recipe has no foam".to_owned(), "leave it out");
        } else if stage < Stage::Foam {
            let text = format!("after {} no foam is on yet", stage.word());
            self.refuse(&at, text, "leave it out, or name the stage from foam on");
        }
        self.within(length.mm(), LEAST_FOAM_MM, MOST_FOAM_MM, "foam", "mm", path);
        Microns::from_length(length).map_err(|error| self.refuse(&at, error.to_string(), "")).ok()
    }

    fn within(&mut self, value: f64, least: f64, most: f64, key: &str, unit: &str, path: &Path) {
        if value < least - 1e-9 || value > most + 1e-9 {
            let text = format!("{key} is {value} {unit}; {least} to {most} {unit} makes sense");
            self.refuse(&path.key(key), text, "");
        }
    }

    fn word<T>(&mut self, said: Option<&str>, unsaid: T, of: fn(&str) -> Option<T>, path: &Path, known: &str) -> T {
        match said.map(|word| (word, of(word))) {
            None => unsaid,
            Some((_, Some(value))) => value,
            Some((word, None)) => {
                let key = path.last_key().unwrap_or_default().to_owned();
                self.refuse(path, format!("{key} is `{word}`, which is not known here"), &format!("it takes {known}"));
                unsaid
            }
        }
    }

    fn conditions(&mut self, file: &EntryFile, jar: &JarEntry, path: &Path) -> Option<Conditions> {
        let known = "`water` or `air`";
        let medium = self.word(file.medium.as_deref(), Medium::Water, Medium::from_word, &path.key("medium"), known);
        if medium == Medium::Air {
            return self.in_air(file, path);
        }
        let celsius = file.water.or(jar.water).map_or(JAR_CELSIUS, |t| t.celsius());
        let salinity = file.salinity.or(jar.salinity).map_or(0.0, |s| s.g_kg());
        let depth = file.depth.or(jar.depth).map_or(JAR_DEPTH_M, |d| d.m());
        let depth_path = if file.depth.is_some() { path.clone() } else { Path::root().key("jar") };
        self.within(depth, 0.0, 50.0, "depth", "m", &depth_path);
        let state = self.word(
            file.state.as_deref(),
            State::Soaked,
            |w| [State::Soaked, State::Fresh].into_iter().find(|s| s.word() == w),
            &path.key("state"),
            "`soaked` or `fresh`",
        );
        let knot = self.knot(file, path);
        match Water::new(celsius, salinity) {
            Ok(water) => Some(Conditions { water, depth, state, knot }),
            Err(error) => {
                let own = if file.water.is_some() || file.salinity.is_some() {
                    path.clone()
                } else {
                    Path::root().key("jar")
                };
                self.refuse(&own, error.to_string(), "");
                None
            }
        }
    }

    fn knot(&mut self, file: &EntryFile, path: &Path) -> Knot {
        let snug = |w: &str| match w {
            "loop" => Some(false),
            "snug" => Some(true),
            _ => None,
        };
        let snug = self.word(file.knot.as_deref(), false, snug, &path.key("knot"), "`loop` or `snug`");
        let diameter = file.tippet.unwrap_or(Length::from_mm(TIPPET_MM));
        self.within(diameter.mm(), 0.05, 1.0, "tippet", "mm", path);
        if snug { Knot::Snug(Tippet { diameter: diameter.m(), modulus: NYLON_WET_PA }) } else { Knot::Loop }
    }

    /// In the hand: dry, at the temperature of the room, which hardly matters.
    fn in_air(&mut self, file: &EntryFile, path: &Path) -> Option<Conditions> {
        let of_water = [
            ("water", file.water.is_some()),
            ("salinity", file.salinity.is_some()),
            ("depth", file.depth.is_some()),
            ("floats", file.floats.is_some()),
            ("drops", !file.drops.is_empty()),
        ];
        for (key, _) in of_water.iter().filter(|(_, given)| *given) {
            self.refuse(&path.key(key), format!("`{key}` is said of a fly in water, not in air"), "leave it out");
        }
        if file.state.as_deref().is_some_and(|state| state != "dry") {
            let text = "in air a fly is hung dry: nobody knows how much water hangs in a wet one".to_owned();
            self.refuse(&path.key("state"), text, "let it dry, and leave `state` out or write `dry`");
        }
        let knot = self.knot(file, path);
        let water = Water::air(JAR_CELSIUS).ok()?;
        Some(Conditions { water, depth: 0.0, state: State::Soaked, knot })
    }

    fn drop(&mut self, file: &DropEntry, path: &Path) -> Drop {
        self.within(file.distance.m(), 0.02, 50.0, "distance", "m", path);
        self.within(file.time.s(), 0.05, 600.0, "time", "s", path);
        let error = file.error.map_or(reading_errors::TIME, |e| e.s());
        self.within(error, 0.001, 60.0, "error", "s", path);
        let line = |w: &str| match w {
            "slack" => Some(Line::Slack),
            "tight" => Some(Line::Tight),
            _ => None,
        };
        let line = self.word(file.line.as_deref(), Line::Slack, line, &path.key("line"), "`slack` or `tight`");
        Drop { distance: file.distance.m(), time: Measured { value: file.time.s(), error }, line }
    }

    fn mass(&mut self, value: f64, error: Option<f64>, path: &Path, error_key: &str) -> Measured {
        self.within(value * 1e6, 0.1, 1e6, "mass", "mg", path);
        let error = error.unwrap_or(reading_errors::MASS);
        self.within(error * 1e6, 0.001, 1e5, error_key, "mg", path);
        Measured { value, error }
    }

    fn part(&mut self, file: &WeighedEntry, path: &Path) -> Option<PartTest> {
        let kinds = [Kind::Hook, Kind::Bead, Kind::Pin, Kind::Wire, Kind::Foam];
        let Some(kind) = kinds.into_iter().find(|k| k.word() == file.kind) else {
            let text = format!("kind is `{}`, which is not known here", file.kind);
            self.refuse(&path.key("kind"), text, "it takes hook, bead, pin, wire or foam");
            return None;
        };
        let count = file.count.unwrap_or(1);
        self.within(f64::from(count), 1.0, 1e5, "count", "pieces", path);
        let by_length = matches!(kind, Kind::Wire | Kind::Foam);
        if by_length != file.length_mm.is_some() {
            let text = if by_length { "`length_mm` is missing" } else { "`length_mm` is said of wire and foam only" };
            self.refuse(&path.key("length_mm"), text.to_owned(), "it is the length of each piece");
        }
        if let Some(length) = file.length_mm {
            self.within(length.mm(), 1.0, 1e5, "length_mm", "mm", path);
        }
        if file.cut.is_some() && kind != Kind::Foam {
            self.refuse(&path.key("cut"), "`cut` is said of foam only".to_owned(), "leave it out");
        }
        Some(PartTest {
            kind,
            id: file.id.clone(),
            count: count.max(1),
            length: file.length_mm,
            cut: file.cut.unwrap_or(Cut::Whole),
            mass: self.mass(file.mass.kg(), file.error.map(|e| e.kg()), path, "error"),
        })
    }
}

/// Lengths of foam on a fly that make sense, mm.
const LEAST_FOAM_MM: f64 = 0.5;
const MOST_FOAM_MM: f64 = 100.0;

const STAGES: &str = "bead, wire, thread, foam, tail, body, wing or finish";

fn side(word: &str) -> Option<Rides> {
    [Rides::PointUp, Rides::PointDown].into_iter().find(|r| r.word() == word)
}
