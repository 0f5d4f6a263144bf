//! What is wrong with a document, as data and as text.

use super::locate::{Location, Place, locate};
use super::path::Path;
use super::source::Source;
use annotate_snippets::{AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet};
use std::fmt;

/// Problems shown in full; further ones are counted. Each costs a second reading of the text.
const SHOWN: usize = 20;

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    source: Source,
    at: At,
    row: Option<String>,
    text: String,
    help: Option<String>,
}

#[derive(Debug, Clone, PartialEq)]
enum At {
    File,
    Location(Location),
    Path(Path, Place),
}

impl Problem {
    /// About a file as a whole.
    #[must_use]
    pub fn of_file(name: &str, text: impl Into<String>) -> Self {
        Self { source: Source::new(name, ""), at: At::File, row: None, text: text.into(), help: None }
    }

    pub(super) fn at_location(source: &Source, location: Location, text: String) -> Self {
        Self { source: source.clone(), at: At::Location(location), row: None, text, help: None }
    }

    pub(super) fn at_path(source: &Source, path: Path, place: Place, row: Option<String>, text: String) -> Self {
        Self { source: source.clone(), at: At::Path(path, place), row, text, help: None }
    }

    /// Adds what would be right.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Points at the key instead of its value.
    #[must_use]
    pub fn on_key(mut self) -> Self {
        if let At::Path(_, place) = &mut self.at {
            *place = Place::Key;
        }
        self
    }

    /// One sentence: the row, where there is one, and what is wrong.
    #[must_use]
    pub fn message(&self) -> String {
        match &self.row {
            Some(row) => format!("{row}: {}", self.text),
            None => self.text.clone(),
        }
    }

    /// The row that it is in, as messages call it (``bead row `tungsten-3.5` ``).
    #[must_use]
    pub fn row(&self) -> Option<&str> {
        self.row.as_deref()
    }

    /// The path to the value, if the problem has one.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        match &self.at {
            At::Path(path, _) => Some(path),
            At::File | At::Location(_) => None,
        }
    }

    /// The key, if the problem has one.
    #[must_use]
    pub fn key(&self) -> Option<&str> {
        self.path().and_then(Path::last_key)
    }

    /// What would be right, if that is known.
    #[must_use]
    pub fn remedy(&self) -> Option<&str> {
        self.help.as_deref()
    }

    /// The file, as messages call it.
    #[must_use]
    pub fn file(&self) -> &str {
        self.source.name()
    }

    /// Line, column and bytes; reads the text again.
    #[must_use]
    pub fn location(&self) -> Option<Location> {
        match &self.at {
            At::File => None,
            At::Location(location) => Some(*location),
            At::Path(path, place) => locate(&self.source, path, *place),
        }
    }

    /// Whether `other` only follows from this one: it is about the same value, or about something inside it.
    fn covers(&self, other: &Self) -> bool {
        match (&self.at, &other.at) {
            (At::Path(_, Place::RepeatedKey), _) => self.at == other.at && self.file() == other.file(),
            (At::Path(mine, _), At::Path(theirs, _)) => theirs.starts_with(mine) && self.file() == other.file(),
            _ => false,
        }
    }

    fn render(&self, renderer: &Renderer) -> String {
        let message = self.message();
        let whole = Group::with_title(Level::ERROR.primary_title(&message));
        let group = match self.location() {
            Some(location) => {
                let span = AnnotationKind::Primary.span(location.start..location.end);
                whole.element(Snippet::source(self.source.text()).path(self.file()).annotation(span))
            }
            None => whole.element(Origin::path(self.file())),
        };
        let help = self.help.as_deref().map(|help| Element::from(Level::HELP.message(help)));
        renderer.render(&[group.elements(help)])
    }
}

/// All that is wrong in one run, in the order found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Diagnostics {
    problems: Vec<Problem>,
}

impl Diagnostics {
    /// Nothing found yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a problem, unless one about the same value, or about what it is part of, is known already: the first is the
    /// cause, the rest follow from it.
    pub fn push(&mut self, problem: Problem) {
        if !self.problems.iter().any(|known| known.covers(&problem)) {
            self.problems.push(problem);
        }
    }

    /// Adds those of another run.
    pub fn extend(&mut self, other: Self) {
        for problem in other.problems {
            self.push(problem);
        }
    }

    /// Whether nothing is wrong.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.problems.is_empty()
    }

    /// How many problems there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.problems.len()
    }

    /// The problems.
    pub fn iter(&self) -> impl Iterator<Item = &Problem> {
        self.problems.iter()
    }

    /// `value` if nothing is wrong.
    ///
    /// # Errors
    /// The problems, if there are any.
    pub fn or<T>(self, value: T) -> Result<T, Self> {
        if self.is_empty() { Ok(value) } else { Err(self) }
    }

    /// The messages as text for a terminal: sentence, file, line, column, the line itself, and help.
    #[must_use]
    pub fn render(&self, colour: bool) -> String {
        let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
        let mut blocks: Vec<String> = self.iter().take(SHOWN).map(|p| p.render(&renderer)).collect();
        if self.len() > SHOWN {
            blocks.push(format!("... and {} more", self.len() - SHOWN));
        }
        blocks.join("\n\n")
    }
}

impl From<Problem> for Diagnostics {
    fn from(problem: Problem) -> Self {
        Self { problems: vec![problem] }
    }
}

impl fmt::Display for Diagnostics {
    /// Without colour.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.render(false))
    }
}

impl std::error::Error for Diagnostics {}
