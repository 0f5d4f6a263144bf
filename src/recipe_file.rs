//! A recipe as a file: written by hand or saved by the search, read back to the same recipe and the same figures.
//!
//! ```
//! use counterpoise::document::Source;
//! use counterpoise::recipe_file::RecipeDocument;
//!
//! let text = "
//! recipe: 1
//! hook: jig60-12
//! pattern: light-body
//! bead: {id: tungsten-slotted-3.5, mount: eye}
//! wire: {id: lead-0.010in, turns: 12, start_mm: 0}
//! foam: {id: pe-rod-1-4in, cut: quarter, length_mm: 9.5, seat: tail}
//! conditions: {depth: 2 m, water: 8 C}
//! ";
//! let read = RecipeDocument::read(&Source::new("mine.yaml", text))?;
//! assert_eq!(read.recipe().wire.as_ref().unwrap().turns, 12);
//! # Ok::<(), counterpoise::document::Diagnostics>(())
//! ```

mod conditions;

pub use conditions::ConditionsEntry;

use crate::catalog::Catalog;
use crate::document::{Diagnostics, Document, Path, Problem, Source};
use crate::fly::{self, Fly};
use crate::part::{Cut, Kind};
use crate::quantity::Microns;
use crate::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat, WireUse};
use crate::wanted::TargetSpec;
use serde::{Deserialize, Serialize};

/// Version of the recipe file.
pub const VERSION: u32 = 1;

/// Most turns of wire in a recipe file: 100 mm of the thinnest wire.
pub const MAX_TURNS: u32 = 1000;

/// Longest length in a recipe file.
pub const MAX_LENGTH: Microns = Microns::new(1_000_000);

/// A recipe file, key by key.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RecipeFile {
    /// Version of the file, [`VERSION`].
    pub recipe: u32,
    /// Hook id.
    pub hook: String,
    /// Dressing pattern id.
    pub pattern: String,
    /// Bead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bead: Option<BeadEntry>,
    /// Wraps.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wire: Option<WireEntry>,
    /// Foam.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foam: Option<FoamEntry>,
    /// Water, depth, state and knot that it was made for, and how it was asked to hang.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conditions: Option<ConditionsEntry>,
}

/// Where a bead sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum MountWord {
    /// Against the eye.
    #[default]
    Eye,
    /// On a pin ahead of the eye.
    Pin,
}

/// The bead of a recipe file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BeadEntry {
    /// Bead id.
    pub id: String,
    /// Where it sits; at the eye unless said otherwise.
    #[serde(default)]
    pub mount: MountWord,
    /// Pin id, where it sits on one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pin: Option<String>,
    /// From the tie point forward to the front of the pin's head.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub projection_mm: Option<Microns>,
}

/// The wraps of a recipe file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WireEntry {
    /// Wire id.
    pub id: String,
    /// Turns, touching.
    pub turns: u32,
    /// From the rear of bead or head (else the front of the shank) to the first turn; 0 unless said otherwise.
    #[serde(default)]
    pub start_mm: Microns,
}

/// The foam of a recipe file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FoamEntry {
    /// Foam stock id.
    pub id: String,
    /// Lengthwise cut.
    pub cut: Cut,
    /// Length of the piece.
    pub length_mm: Microns,
    /// Where it is bound.
    pub seat: Seat,
}

impl From<&Recipe> for RecipeFile {
    fn from(recipe: &Recipe) -> Self {
        Self {
            recipe: VERSION,
            hook: recipe.hook.clone(),
            pattern: recipe.dressing.clone(),
            bead: recipe.bead.as_ref().map(|bead| {
                let (mount, pin, projection_mm) = match &bead.mount {
                    Mount::Eye => (MountWord::Eye, None, None),
                    Mount::Pin { pin, projection } => (MountWord::Pin, Some(pin.clone()), Some(*projection)),
                };
                BeadEntry { id: bead.id.clone(), mount, pin, projection_mm }
            }),
            wire: recipe.wire.as_ref().map(|w| WireEntry { id: w.id.clone(), turns: w.turns, start_mm: w.start }),
            foam: recipe.foam.as_ref().map(|f| FoamEntry {
                id: f.id.clone(),
                cut: f.cut,
                length_mm: f.length,
                seat: f.seat,
            }),
            conditions: None,
        }
    }
}

impl RecipeFile {
    /// The file's text.
    ///
    /// # Errors
    /// A figure is no finite number.
    pub fn text(&self) -> Result<String, crate::yaml::Error> {
        crate::yaml::to_string(self)
    }
}

/// A recipe file that was read, with the text that later problems are located in.
#[derive(Debug, Clone)]
pub struct RecipeDocument {
    document: Document,
    conditions: TargetSpec,
    recipe: Recipe,
    /// Where another dressing than that of the file was said, if one was.
    dressed_by: Option<String>,
}

impl RecipeDocument {
    /// Reads a recipe file, or the first recipe of an answer.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn read(source: &Source) -> Result<Self, Diagnostics> {
        Self::ranked(source, None)
    }

    /// Reads a recipe file, or the recipe of a rank from an answer in JSON or YAML; its first where no rank is given.
    ///
    /// # Errors
    /// Everything that is wrong with it; a rank that it does not hold.
    pub fn ranked(source: &Source, rank: Option<usize>) -> Result<Self, Diagnostics> {
        let whole = Document::open(source)?;
        let document = if whole.has("schema") {
            recipe_of_answer(&whole, rank)?
        } else if let Some(rank) = rank.filter(|rank| *rank != 1) {
            let problem = Problem::of_file(source.name(), format!("it holds one recipe; there is none of rank {rank}"));
            return Err(problem.into());
        } else {
            whole
        };
        let (file, mut problems) = document.decode::<RecipeFile>();
        let Some(file) = file else { return Err(problems) };
        let recipe = check(&file, &document, &Path::root(), &mut problems);
        let conditions = file.conditions.unwrap_or_default().spec();
        problems.or(Self { document, conditions, recipe, dressed_by: None })
    }

    /// The same base in another dressing; `said_by`: what said so, like an option, for problems with it.
    #[must_use]
    pub fn dressed(mut self, dressing: &str, said_by: &str) -> Self {
        dressing.clone_into(&mut self.recipe.dressing);
        self.dressed_by = Some(said_by.to_owned());
        self
    }

    /// The recipe.
    #[must_use]
    pub fn recipe(&self) -> &Recipe {
        &self.recipe
    }

    /// The conditions that the file states.
    #[must_use]
    pub fn conditions(&self) -> &TargetSpec {
        &self.conditions
    }

    /// The document, to locate further problems in.
    #[must_use]
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// Looks the parts up.
    ///
    /// # Errors
    /// Every id that the catalog does not hold.
    pub fn resolve<'a>(&self, catalog: &'a Catalog) -> Result<Fly<'a>, Diagnostics> {
        let mut problems = Diagnostics::new();
        for (kind, id) in self.recipe.part_ids() {
            if catalog.rows(kind).iter().any(|row| row.id == id) {
                continue;
            }
            let text = format!("the catalog has no {kind} `{id}`");
            let problem = match &self.dressed_by {
                Some(by) if kind == Kind::Dressing => Problem::of_file(by, text),
                _ => self.document.problem(&path_of(kind), text),
            };
            problems.push(match catalog.suggest(kind, id) {
                Some(near) => problem.help(format!("did you mean `{near}`?")),
                None => problem.help(format!("`counterpoise catalog list {kind}` shows what there is")),
            });
        }
        match fly::resolve(&self.recipe, catalog) {
            Ok(fly) => problems.or(fly),
            Err(_) => Err(problems),
        }
    }
}

/// The recipe of a rank in an answer.
fn recipe_of_answer(answer: &Document, rank: Option<usize>) -> Result<Document, Diagnostics> {
    let entry = |i: usize| Path::root().key("recipes").index(i);
    let ranks: Vec<f64> = (0..).map_while(|i| answer.number(&entry(i).key("rank"))).collect();
    let at = match rank {
        None => (!ranks.is_empty()).then_some(0),
        Some(rank) => ranks.iter().position(|r| *r == rank as f64),
    };
    let found = at.and_then(|i| answer.below(&entry(i).key("recipe")));
    found.ok_or_else(|| {
        let problem = |text: String| Problem::of_file(answer.source().name(), text);
        let words: Vec<String> = ranks.iter().map(f64::to_string).collect();
        match rank {
            Some(rank) if !ranks.is_empty() => problem(format!("this answer holds no recipe of rank {rank}"))
                .help(format!("its ranks are {}", words.join(", "))),
            _ => problem("this answer holds no recipe".to_owned()),
        }
        .into()
    })
}

fn path_of(kind: Kind) -> Path {
    let root = Path::root();
    match kind {
        Kind::Hook => root.key("hook"),
        Kind::Dressing => root.key("pattern"),
        Kind::Pin => root.key("bead").key("pin"),
        Kind::Bead | Kind::Wire | Kind::Foam => root.key(kind.word()).key("id"),
    }
}

/// The recipe that a recipe file, or a mapping of the same keys at `root` of another document, stands for.
pub(crate) fn check(file: &RecipeFile, document: &Document, root: &Path, problems: &mut Diagnostics) -> Recipe {
    let mut refuse = |path: Path, text: String, help: &str| problems.push(document.problem(&path, text).help(help));
    if file.recipe != VERSION {
        let text = format!("recipe is {}; this program reads version {VERSION}", file.recipe);
        refuse(root.key("recipe"), text, "write `recipe: 1`");
    }
    if let Some(wire) = &file.wire {
        let path = root.key("wire");
        if wire.turns == 0 {
            refuse(path.key("turns"), "turns is 0; it must be at least 1".to_owned(), "leave `wire` out for none");
        }
        if wire.turns > MAX_TURNS {
            let text = format!("turns is {}; no hook takes more than {MAX_TURNS}", wire.turns);
            refuse(path.key("turns"), text, "count the turns that touch the shank");
        }
        if wire.start_mm.micrometres() < 0 {
            let text = format!("start_mm is {}; it must be 0 or more", wire.start_mm);
            refuse(path.key("start_mm"), text, "it counts aft from the rear of the bead");
        }
    }
    let projection = file.bead.as_ref().and_then(|bead| bead.projection_mm);
    for (path, length) in [
        (root.key("wire").key("start_mm"), file.wire.as_ref().map(|wire| wire.start_mm)),
        (root.key("foam").key("length_mm"), file.foam.as_ref().map(|foam| foam.length_mm)),
        (root.key("bead").key("projection_mm"), projection),
    ] {
        if let Some(length) = length.filter(|length| *length > MAX_LENGTH) {
            let text =
                format!("{} is {length}; no fly is longer than {MAX_LENGTH}", path.last_key().unwrap_or_default());
            refuse(path, text, "it is in millimetres");
        }
    }
    if let Some(foam) = &file.foam
        && foam.length_mm.micrometres() <= 0
    {
        let text = format!("length_mm is {}; it must be above 0", foam.length_mm);
        refuse(root.key("foam").key("length_mm"), text, "leave `foam` out for none");
    }
    let bead = file
        .bead
        .as_ref()
        .map(|bead| BeadUse { id: bead.id.clone(), mount: mount(bead, &root.key("bead"), &mut refuse) });
    Recipe {
        hook: file.hook.clone(),
        dressing: file.pattern.clone(),
        bead,
        wire: file.wire.as_ref().map(|w| WireUse { id: w.id.clone(), turns: w.turns, start: w.start_mm }),
        foam: file.foam.as_ref().map(|f| FoamUse { id: f.id.clone(), cut: f.cut, length: f.length_mm, seat: f.seat }),
    }
}

fn mount(bead: &BeadEntry, path: &Path, refuse: &mut impl FnMut(Path, String, &str)) -> Mount {
    match (bead.mount, &bead.pin, bead.projection_mm) {
        (MountWord::Eye, None, None) => Mount::Eye,
        (MountWord::Eye, pin, _) => {
            let key = if pin.is_some() { "pin" } else { "projection_mm" };
            let text = format!("`{key}` is given, but the bead sits at the eye");
            refuse(path.key(key), text, "write `mount: pin`, or leave it out");
            Mount::Eye
        }
        (MountWord::Pin, Some(pin), Some(projection)) => {
            if projection.micrometres() <= 0 {
                let text = format!("projection_mm is {projection}; it must be above 0");
                refuse(path.key("projection_mm"), text, "it counts forward from the tie point");
            }
            Mount::Pin { pin: pin.clone(), projection }
        }
        (MountWord::Pin, pin, _) => {
            let key = if pin.is_none() { "pin" } else { "projection_mm" };
            let text = format!("the bead sits on a pin, and `{key}` is missing");
            refuse(path.key(key), text, "give `pin` (an id) and `projection_mm` (tie point to the front of its head)");
            Mount::Eye
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn full() -> Recipe {
        Recipe {
            hook: "jig60-12".into(),
            dressing: "light-body".into(),
            bead: Some(BeadUse {
                id: "tungsten-3.5".into(),
                mount: Mount::Pin { pin: "pin-0.6x22".into(), projection: Microns::new(6000) },
            }),
            wire: Some(WireUse { id: "lead-0.010in".into(), turns: 12, start: Microns::new(2500) }),
            foam: Some(FoamUse {
                id: "pe-rod-1-4in".into(),
                cut: Cut::Quarter,
                length: Microns::new(9500),
                seat: Seat::Tail,
            }),
        }
    }

    #[test]
    fn reads_back_what_it_writes() {
        let mut plain = full();
        plain.bead = None;
        plain.wire = None;
        plain.foam = None;
        for recipe in [full(), plain] {
            let text = RecipeFile::from(&recipe).text().unwrap();
            let back = RecipeDocument::read(&Source::new("r.yaml", &text)).unwrap();
            assert_eq!(back.recipe(), &recipe);
            assert_eq!(back.recipe().id(), recipe.id());
            assert!(back.resolve(&Catalog::built_in().unwrap()).is_ok());
        }
    }

    #[test]
    fn all_that_is_wrong_is_said_at_once() {
        let text = "recipe: 2\nhook: h\npattern: p\nbead: {id: b, mount: pin, pin: x}\n\
                    wire: {id: w, turns: 0, start_mm: -1}\nfoam: {id: f, cut: third, length_mm: 0, seat: tail}\n";
        let problems = RecipeDocument::read(&Source::new("r.yaml", text)).unwrap_err();
        let keys: Vec<&str> = problems.iter().filter_map(crate::document::Problem::key).collect();
        assert_eq!(keys, ["cut", "recipe", "turns", "start_mm", "length_mm", "projection_mm"]);
    }

    #[test]
    fn unknown_parts_are_located() {
        let text = "recipe: 1\nhook: jig60-12\npattern: lite-body\nbead: {id: tungten-3.5}\n";
        let read = RecipeDocument::read(&Source::new("r.yaml", text)).unwrap();
        let problems = read.resolve(&Catalog::built_in().unwrap()).unwrap_err();
        let said: Vec<String> = problems.iter().map(crate::document::Problem::message).collect();
        assert_eq!(said, ["the catalog has no bead `tungten-3.5`", "the catalog has no dressing `lite-body`"]);
        assert_eq!(problems.iter().next().unwrap().remedy(), Some("did you mean `tungsten-3.5`?"));
    }
}
