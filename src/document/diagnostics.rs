//! What is wrong with a document, as data and as text.

use super::locate::{Location, Place, locate};
use super::path::Path;
use super::source::Source;
use annotate_snippets::{AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet};
use std::collections::HashSet;
use std::fmt;
use std::sync::Arc;

/// Problems shown in full; further ones are counted. Each costs a second reading of the text.
pub(super) const SHOWN: usize = 20;

/// Problems that are kept; nobody reads that many.
const KEPT: usize = 1000;

/// Longest sentence about a problem, letters: what it quotes may be as long as the file.
const LONGEST: usize = 400;

/// Longest line that is shown under a message, bytes.
const LONGEST_LINE: usize = 1000;

/// The start of a text, where it is long.
pub(super) fn shortened(text: &str, letters: usize) -> String {
    let mut chars = text.chars();
    let head: String = chars.by_ref().take(letters).collect();
    if chars.next().is_some() { format!("{head}...") } else { head }
}

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
        let text = shortened(&self.text, LONGEST);
        match &self.row {
            Some(row) => format!("{row}: {text}"),
            None => text,
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

    /// What this problem is about, if it has a place in a document: the file, the steps, and whether it is only about a key
    /// that comes twice.
    fn subject(&self) -> Option<Subject> {
        match &self.at {
            At::Path(path, place) => Some((self.source.shared_name(), path.clone(), *place == Place::RepeatedKey)),
            At::File | At::Location(_) => None,
        }
    }

    fn render(&self, renderer: &Renderer) -> String {
        let message = self.message();
        let whole = Group::with_title(Level::ERROR.primary_title(&message));
        let group = match self.location() {
            Some(at) => {
                let text = self.source.text();
                let (first, line) = line_around(text, at);
                if line.len() > LONGEST_LINE {
                    whole.element(Origin::path(self.file()).line(at.line).char_column(at.column))
                } else {
                    let [from, to] = [at.start, at.end].map(|byte| byte.saturating_sub(first).min(line.len()));
                    let number = at.line - text[first..at.start].matches('\n').count();
                    let snippet = Snippet::source(line).line_start(number).path(self.file());
                    whole.element(snippet.annotation(AnnotationKind::Primary.span(from..to)))
                }
            }
            None => whole.element(Origin::path(self.file())),
        };
        let help = self.help.as_deref().map(|help| shortened(help, LONGEST));
        let help = help.as_deref().map(|help| Element::from(Level::HELP.message(help)));
        renderer.render(&[group.elements(help)])
    }
}

/// The line of a place and its first byte; the end of the text is shown on the last line that holds something.
fn line_around(text: &str, at: Location) -> (usize, &str) {
    let written = match text[at.start..].trim() {
        "" => text[..at.start].trim_end().len(),
        _ => at.start,
    };
    let first = text[..written].rfind('\n').map_or(0, |end| end + 1);
    (first, text[first..].lines().next().unwrap_or_default())
}

/// File, steps into it, and whether it is only about a key that comes twice.
type Subject = (Arc<str>, Path, bool);

/// All that is wrong in one run, in the order found; the first thousand of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Diagnostics {
    problems: Vec<Problem>,
    subjects: HashSet<Subject>,
    more: bool,
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
        let subject = problem.subject();
        if subject.as_ref().is_some_and(|subject| self.covers(subject)) {
            return;
        }
        if self.is_full() {
            self.more = true;
            return;
        }
        self.subjects.extend(subject);
        self.problems.push(problem);
    }

    /// Whether a problem about this, or about what it is part of, is known.
    fn covers(&self, (file, path, repeated): &Subject) -> bool {
        let known = |path: Path, repeated: bool| self.subjects.contains(&(file.clone(), path, repeated));
        let mut whole = Some(path.clone());
        while let Some(path) = whole {
            whole = path.parent();
            if known(path, false) {
                return true;
            }
        }
        *repeated && known(path.clone(), true)
    }

    /// Whether anything is wrong with what `whole` is about or with a part of it, as far as is known.
    pub(crate) fn concern(&self, whole: &Problem) -> bool {
        let Some((file, path, _)) = whole.subject() else { return false };
        let inside = |(known, part, _): &Subject| *known == file && part.segments().starts_with(path.segments());
        self.is_full() || self.subjects.iter().any(inside)
    }

    /// Whether no more problems are kept.
    pub(super) fn is_full(&self) -> bool {
        self.problems.len() >= KEPT
    }

    /// Says that there may be more than was found.
    pub(super) fn cut_short(&mut self) {
        self.more = true;
    }

    /// Adds those of another run.
    pub fn extend(&mut self, other: Self) {
        self.more |= other.more;
        for problem in other.problems {
            self.push(problem);
        }
    }

    /// Whether nothing is wrong.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.problems.is_empty()
    }

    /// How many problems are kept.
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
        match (self.len().saturating_sub(SHOWN), self.more) {
            (0, false) => {}
            (0, true) => blocks.push("... and there may be more: the rest was not checked".to_owned()),
            (more, false) => blocks.push(format!("... and {more} more")),
            (more, true) => blocks.push(format!("... and {more} more, and the rest was not checked")),
        }
        blocks.join("\n\n")
    }
}

impl From<Problem> for Diagnostics {
    fn from(problem: Problem) -> Self {
        let mut all = Self::new();
        all.push(problem);
        all
    }
}

impl fmt::Display for Diagnostics {
    /// Without colour.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.render(false))
    }
}

impl std::error::Error for Diagnostics {}
