//! Opening a document: text to tree to types, with everything that is wrong on the way.

use super::decode::{Misfit, STAND_INS};
use super::diagnostics::shortened;
use super::diagnostics::{Diagnostics, Problem, SHOWN};
use super::guard;
use super::locate::{Location, Place};
use super::node::{BLOWN_UP, Node};
use super::path::{Path, Segment};
use super::source::Source;
use super::suggest;
use serde::de::DeserializeOwned;
use std::collections::BTreeSet;

/// Structural faults after which reading a document is given up.
const MOST_FAULTS: usize = 500;

/// Values that are decoded in all: each fault costs a decoding of the document up to it, so a long document is given up after
/// fewer faults, though not before what is shown.
const MOST_DECODED: usize = 20_000_000;

/// Reads a document into `T`.
///
/// # Errors
/// Everything that is wrong with it.
pub fn read<T: DeserializeOwned>(source: &Source) -> Result<T, Diagnostics> {
    let document = Document::open(source)?;
    match document.decode() {
        (Some(value), problems) => problems.or(value),
        (None, problems) => Err(problems),
    }
}

/// A document whose YAML is sound: a tree that can be decoded, and the text that problems are located in.
#[derive(Debug, Clone)]
pub struct Document {
    source: Source,
    root: Node,
    repeated: Vec<Path>,
    /// Where the root stands in the text: below the top, where this is a part of a document.
    base: Path,
}

impl Document {
    /// Reads the YAML.
    ///
    /// # Errors
    /// The text is empty, is no YAML, holds two documents, or is not a mapping at the top.
    pub fn open(source: &Source) -> Result<Self, Diagnostics> {
        guard::check(source)?;
        let mut stream = crate::yaml::Deserializer::from_str(source.text());
        let Some(first) = stream.next() else { return Err(empty(source)) };
        let root = Node::read(first, source.text().len()).map_err(|error| bad_yaml(source, &error))?;
        if stream.next().is_some() {
            return Err(second_document(source));
        }
        match root {
            Node::Nothing => Err(empty(source)),
            Node::Map(_) => {
                let mut document = Self { source: source.clone(), root, repeated: Vec::new(), base: Path::root() };
                document.repeated = document.repeated_keys();
                Ok(document)
            }
            other => {
                let text = format!("the document is {}; it must be a mapping of keys to values", other.words());
                let document = Self { source: source.clone(), root: other, repeated: Vec::new(), base: Path::root() };
                Err(document.problem(&Path::root(), text).into())
            }
        }
    }

    /// The text it was read from.
    #[must_use]
    pub fn source(&self) -> &Source {
        &self.source
    }

    /// The tree, as written but for [`Self::amend`].
    pub(crate) fn tree(&self) -> &Node {
        &self.root
    }

    /// Changes the tree before it is decoded: values in other units, what a row takes over from an earlier one.
    pub(crate) fn amend(&mut self, change: impl FnOnce(&mut Node)) {
        change(&mut self.root);
    }

    /// A problem at `path`. The row (an entry of a list at the top of the document) is named by itself.
    #[must_use]
    pub fn problem(&self, path: &Path, text: impl Into<String>) -> Problem {
        self.problem_at(path, Place::Value, text.into())
    }

    /// Whether there is such a key at the top.
    #[must_use]
    pub fn has(&self, key: &str) -> bool {
        self.root.get(key).is_some()
    }

    /// The number at a path.
    #[must_use]
    pub fn number(&self, path: &Path) -> Option<f64> {
        match look(&self.root, path)? {
            Node::Whole(number) => Some(*number as f64),
            Node::Number(number) => Some(*number),
            _ => None,
        }
    }

    /// The mapping at a path as a document of its own, whose problems are located where they stand in this one.
    #[must_use]
    pub fn below(&self, path: &Path) -> Option<Self> {
        let root = look(&self.root, path).filter(|node| matches!(node, Node::Map(_)))?.clone();
        Some(Self { source: self.source.clone(), root, repeated: Vec::new(), base: self.base.joined(path) })
    }

    fn problem_at(&self, path: &Path, place: Place, text: String) -> Problem {
        Problem::at_path(&self.source, self.base.joined(path), place, self.row_of(path), text)
    }

    /// Decodes into `T`, going on after each fault with a stand-in for the faulty value. Where there are problems, `T` is
    /// good only for looking for more of them: numbers that stand in are NaN (1 where whole), texts are empty. A further
    /// problem at the place of a stand-in is ignored by [`Diagnostics::push`].
    #[must_use]
    pub fn decode<T: DeserializeOwned>(&self) -> (Option<T>, Diagnostics) {
        let mut problems = Diagnostics::new();
        for path in &self.repeated {
            if problems.is_full() {
                break;
            }
            let key = path.last_key().unwrap_or_default();
            let text = format!("`{key}` is given twice");
            problems.push(self.problem_at(path, Place::RepeatedKey, text).help("keep one of them"));
        }
        let mut root = self.root.clone();
        self.refuse_hollow(&mut root, &Path::root(), &mut problems);
        let mut intended = Vec::new();
        let tries = (MOST_DECODED / root.size()).clamp(SHOWN, MOST_FAULTS);
        for _ in 0..tries {
            let error = match serde_path_to_error::deserialize::<_, T>(&root) {
                Ok(value) => return (Some(value), problems),
                Err(error) => error,
            };
            let path = Path::from(error.path());
            let misfit = error.into_inner();
            // A key that is missing because it is misspelled has been reported under the spelling it has.
            let known = match &misfit {
                Misfit::MissingKey { key } => intended.contains(&path.key(key)),
                _ => false,
            };
            if !known {
                problems.push(self.describe(&path, &misfit));
            }
            if let Misfit::UnknownKey { key, known } = &misfit {
                let owner = owner(&path, key);
                intended.extend(suggest::intended_key(key, known).map(|meant| owner.key(meant)));
            }
            if !stand_in(&mut root, &path, &misfit) {
                return (None, problems);
            }
        }
        problems.cut_short();
        (None, problems)
    }

    fn describe(&self, path: &Path, misfit: &Misfit) -> Problem {
        let key = match path.segments() {
            [] => "the document".to_owned(),
            [.., Segment::Key(key)] => key.clone(),
            [_, Segment::Index(_)] => "the row".to_owned(),
            [.., Segment::Index(index)] => format!("{}[{index}]", path.last_key().unwrap_or_default()),
        };
        match misfit {
            Misfit::Value { found, expected } => {
                let problem = self.problem(path, format!("{key} is {found}; it must be {expected}"));
                match value_help(found, expected) {
                    Some(help) => problem.help(help),
                    None => problem,
                }
            }
            Misfit::UnknownKey { key, known } => {
                let path = owner(path, key).key(key);
                match (look(&self.root, &path), suggest::with_unit(key, known)) {
                    (Some(number @ (Node::Whole(_) | Node::Number(_))), Some(meant)) => {
                        let number = number.words();
                        let help = format!("write `{meant}: {number}` if it is in the unit that this key names");
                        self.problem_at(&path, Place::Key, format!("`{key}: {number}` has no unit")).help(help)
                    }
                    _ => self.problem_at(&path, Place::Key, misfit.to_string()).help(suggest::key_help(key, known)),
                }
            }
            Misfit::UnknownWord { word, known } => {
                self.problem(path, format!("{key} {misfit}")).help(suggest::word_help(word, known))
            }
            Misfit::MissingKey { key } => {
                // The missing key is the end of the path, so that what follows from it is not reported as well; the
                // message shows where it should stand.
                self.problem(&path.key(key), misfit.to_string())
            }
            Misfit::Other { text } => self.problem(path, format!("{key}: {text}")),
        }
    }

    /// Keys without a value and numbers that are none, replaced by stand-ins.
    fn refuse_hollow(&self, node: &mut Node, path: &Path, problems: &mut Diagnostics) {
        let key = path.last_key().unwrap_or_default();
        match node {
            Node::List(items) => {
                for (i, item) in items.iter_mut().enumerate() {
                    self.refuse_hollow(item, &path.index(i), problems);
                }
            }
            Node::Map(entries) => {
                for (key, value) in entries {
                    self.refuse_hollow(value, &path.key(key), problems);
                }
            }
            Node::Nothing if problems.is_full() => {
                problems.cut_short();
                *node = Node::StandIn(0);
            }
            Node::Nothing => {
                let problem = self.problem(path, format!("{key} has no value")).on_key();
                let comma = key.bytes().all(|b| b.is_ascii_digit());
                let help = if comma { "decimals take a point, like 3.5" } else { "give it one or leave the key out" };
                problems.push(problem.help(help));
                *node = Node::StandIn(0);
            }
            Node::Number(number) if !number.is_finite() => {
                problems.push(self.problem(path, format!("{key} is {number}; it must be a finite number")));
                *node = Node::StandIn(0);
            }
            _ => {}
        }
    }

    fn repeated_keys(&mut self) -> Vec<Path> {
        let mut repeated = Vec::new();
        drop_repeated(&mut self.root, &Path::root(), &mut repeated);
        repeated
    }

    /// ``bead row `tungsten-3.5` `` for anything below `beads[3]`.
    fn row_of(&self, path: &Path) -> Option<String> {
        let [Segment::Key(list), Segment::Index(index), ..] = path.segments() else { return None };
        let singular = match list.strip_suffix("ies") {
            Some(stem) => format!("{stem}y"),
            None => list.strip_suffix('s').unwrap_or(list).to_owned(),
        };
        let Some(Node::List(items)) = self.root.get(list) else { return None };
        match items.get(*index)?.get("id") {
            Some(Node::Text(id)) => Some(format!("{singular} row `{}`", shortened(id, 60))),
            _ => Some(format!("{singular} row {}", index + 1)),
        }
    }
}

/// Keeps the first of repeated keys and notes where they are.
fn drop_repeated(node: &mut Node, path: &Path, repeated: &mut Vec<Path>) {
    match node {
        Node::List(items) => {
            for (i, item) in items.iter_mut().enumerate() {
                drop_repeated(item, &path.index(i), repeated);
            }
        }
        Node::Map(entries) => {
            let mut seen = BTreeSet::new();
            entries.retain(|(key, _)| {
                let new = seen.insert(key.clone());
                if !new {
                    repeated.push(path.key(key));
                }
                new
            });
            for (key, value) in entries {
                drop_repeated(value, &path.key(key), repeated);
            }
        }
        _ => {}
    }
}

/// The mapping that has an unknown key; the path of the error may or may not end with that key.
fn owner(path: &Path, key: &str) -> Path {
    match path.segments().last() {
        Some(Segment::Key(last)) if last == key => path.parent().unwrap_or_default(),
        _ => path.clone(),
    }
}

/// Replaces what was refused so that decoding gets further; `false` if nothing can be done.
fn stand_in(root: &mut Node, path: &Path, misfit: &Misfit) -> bool {
    match misfit {
        Misfit::UnknownKey { key, .. } => {
            let Some(Node::Map(entries)) = find(root, &owner(path, key)) else { return false };
            let before = entries.len();
            entries.retain(|(k, _)| k != key);
            entries.len() < before
        }
        Misfit::MissingKey { key } => match find(root, path) {
            Some(Node::Map(entries)) if !entries.iter().any(|(k, _)| k == key) => {
                entries.push(((*key).to_owned(), Node::StandIn(0)));
                true
            }
            _ => false,
        },
        _ => match find(root, path) {
            Some(Node::StandIn(nth)) => {
                *nth += 1;
                *nth < STAND_INS.len()
            }
            Some(node) => {
                *node = Node::StandIn(0);
                true
            }
            None => false,
        },
    }
}

fn find<'a>(root: &'a mut Node, path: &Path) -> Option<&'a mut Node> {
    path.segments().iter().try_fold(root, |node, segment| match (node, segment) {
        (Node::List(items), Segment::Index(index)) => items.get_mut(*index),
        (Node::Map(entries), Segment::Key(key)) => entries.iter_mut().find(|(k, _)| k == key).map(|(_, value)| value),
        _ => None,
    })
}

fn look<'a>(root: &'a Node, path: &Path) -> Option<&'a Node> {
    path.segments().iter().try_fold(root, |node, segment| match (node, segment) {
        (Node::List(items), Segment::Index(index)) => items.get(*index),
        (node, Segment::Key(key)) => node.get(key),
        _ => None,
    })
}

/// What to write instead of a text where a number belongs.
fn value_help(found: &str, expected: &str) -> Option<String> {
    let text = found.strip_prefix("the text `")?.strip_suffix('`')?;
    if !expected.contains("number") {
        return None;
    }
    let with_point = text.replace(',', ".");
    if text.contains(',') && with_point.parse::<f64>().is_ok() {
        return Some(format!("decimals take a point: {with_point}"));
    }
    let number: String = text.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
    let unit = text[number.len()..].trim();
    if number.parse::<f64>().is_ok() && unit.chars().next().is_some_and(char::is_alphabetic) {
        return Some(format!("the unit is in the key: write the number alone, {number}"));
    }
    None
}

fn empty(source: &Source) -> Diagnostics {
    Problem::of_file(source.name(), "the file is empty").help("it must hold at least one key with a value").into()
}

fn second_document(source: &Source) -> Diagnostics {
    let markers = source.text().lines().enumerate().filter(|(_, l)| *l == "---" || l.starts_with("--- "));
    let content_before = |line: usize| {
        source.text().lines().take(line).any(|l| !l.trim().is_empty() && !l.starts_with(['#', '%']) && l != "---")
    };
    let line = markers.map(|(i, _)| i).find(|i| content_before(*i)).unwrap_or(0) + 1;
    let text = "a second document starts here; a file holds one".to_owned();
    Problem::at_location(source, Location::line(source, line), text).help("move it into a file of its own").into()
}

fn bad_yaml(source: &Source, error: &crate::yaml::Error) -> Diagnostics {
    let Some(at) = error.location() else {
        return Problem::of_file(source.name(), format!("this is not valid YAML: {error}")).into();
    };
    let location = Location::widen(source, &at);
    let line = source.text().lines().nth(at.line().saturating_sub(1)).unwrap_or_default();
    let indent = &line[..line.len() - line.trim_start().len()];
    if indent.contains('\t') {
        let text = "the line is indented with a tab".to_owned();
        return Problem::at_location(source, location, text).help("indent with spaces").into();
    }
    let message = error.to_string();
    let reason = message.split(" at line ").next().unwrap_or_default();
    if reason.contains("without a YAML tag") {
        let text = "YAML tags are not read".to_owned();
        return Problem::at_location(source, location, text).help("write the value alone, without `!`").into();
    }
    if reason.contains(BLOWN_UP) || reason.contains("repetition limit") {
        return Problem::at_location(source, location, BLOWN_UP.to_owned()).help("write the values out").into();
    }
    let limit = [guard::too_deep(), guard::too_many()].into_iter().find(|limit| reason.contains(limit.as_str()));
    if let Some(text) = limit {
        return Problem::at_location(source, location, text).into();
    }
    Problem::at_location(source, location, format!("this is not valid YAML here: {reason}")).into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Length, Money};
    use serde::Deserialize;

    #[derive(Debug, Deserialize, PartialEq, schemars::JsonSchema)]
    #[serde(deny_unknown_fields)]
    struct Box {
        depth: Length,
        price: Option<Money>,
        #[serde(default)]
        flies: Vec<Entry>,
    }

    #[derive(Debug, Deserialize, PartialEq, schemars::JsonSchema)]
    #[serde(deny_unknown_fields, rename_all = "kebab-case")]
    enum Entry {
        Empty,
        Tied { count: u32 },
        Named(String),
    }

    fn messages(text: &str) -> Vec<String> {
        let problems = read::<Box>(&Source::new("box.yaml", text)).unwrap_err();
        problems.iter().map(Problem::message).collect()
    }

    #[test]
    fn quantities_and_choices_are_read() {
        let text = "depth: 2 m\nprice: 4.50\nflies: [empty, tied: {count: 3}, {named: grey}]\n";
        let read = read::<Box>(&Source::new("box.yaml", text)).unwrap();
        let flies = vec![Entry::Empty, Entry::Tied { count: 3 }, Entry::Named("grey".to_owned())];
        assert_eq!(read, Box { depth: Length::from_m(2.0), price: Some(Money::from_micros(4_500_000)), flies });
    }

    #[test]
    fn reading_goes_on_after_a_quantity_that_is_refused() {
        assert_eq!(
            messages("depth: 3\nprice: 4,50\nflies: [{tied: {count: -1, colour: red}}, full, {}]\n"),
            [
                "depth: a length needs a unit: did you mean `3 mm` or `3 m`?",
                "price: `4,50` has a comma: write 4.50, not 4,50",
                "fly row 1: count is -1; it must be a whole number, 0 or more",
                "fly row 1: unknown key `colour`",
                "fly row 2: the row is `full`, which is not known here",
                "fly row 3: the row is a mapping; it must be one of empty, tied, named",
            ]
        );
    }
}
