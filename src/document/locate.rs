//! Line and column of a value, found by reading the text again up to it.
//!
//! The YAML reader attaches a position to an error raised while it reads, and to nothing else. So a second reading walks
//! to the value and raises an error there; it costs time only when there is something to report.

use super::path::{Path, Segment};
use super::source::Source;
use serde::de::{DeserializeSeed, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};
use std::fmt;

/// A stretch of a document's text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Location {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// First byte.
    pub start: usize,
    /// One past the last byte; on the line of `start`.
    pub end: usize,
}

impl Location {
    /// The place that the YAML reader names, widened to the scalar or bracket that stands there.
    pub(super) fn widen(source: &Source, at: &serde_yaml::Location) -> Self {
        let mut start = at.index().min(source.text().len());
        while !source.text().is_char_boundary(start) {
            start -= 1;
        }
        let end = start + token_length(&source.text()[start..]);
        Self { line: at.line(), column: at.column(), start, end }
    }

    /// A whole line, from 1.
    pub(super) fn line(source: &Source, line: usize) -> Self {
        let lines = source.text().split_inclusive('\n');
        let start = lines.take(line.saturating_sub(1)).map(str::len).sum();
        let length = source.text()[start..].lines().next().map_or(0, str::len);
        Self { line, column: 1, start, end: start + length }
    }
}

/// Which end of an entry a problem is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// Its value.
    Value,
    /// Its key.
    Key,
    /// Its key where it comes the second time.
    RepeatedKey,
}

/// Where a path leads, or the nearest place on the way to it.
pub(super) fn locate(source: &Source, path: &Path, place: Place) -> Option<Location> {
    let find = Find { path: path.segments(), place };
    let first = serde_yaml::Deserializer::from_str(source.text()).next()?;
    if let Err(error) = find.deserialize(first) {
        return error.location().map(|at| Location::widen(source, &at));
    }
    locate(source, &path.parent()?, Place::Value)
}

/// Length in bytes of the scalar or bracket at the start of `text`, without going past the line.
fn token_length(text: &str) -> usize {
    let line = text.lines().next().unwrap_or_default();
    let Some(first) = line.chars().next() else { return 0 };
    if let '"' | '\'' = first {
        return line[1..].find(first).map_or(line.len(), |close| close + 2);
    }
    if let '{' | '[' | '}' | ']' | ',' = first {
        return 1;
    }
    let end = [": ", " #", ",", "}", "]"].iter().filter_map(|stop| line.find(stop)).min();
    let token = line[..end.unwrap_or(line.len())].trim_end();
    token.strip_suffix(':').unwrap_or(token).len()
}

#[derive(Clone, Copy)]
struct Find<'a> {
    path: &'a [Segment],
    place: Place,
}

impl<'de> DeserializeSeed<'de> for Find<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, yaml: D) -> Result<(), D::Error> {
        match self.path.first() {
            None => yaml.deserialize_any(Stop),
            Some(_) => yaml.deserialize_any(self),
        }
    }
}

impl<'de> Visitor<'de> for Find<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list or a mapping")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
        let Some((Segment::Index(index), rest)) = self.path.split_first() else {
            return Err(A::Error::custom("here"));
        };
        for _ in 0..*index {
            if list.next_element::<IgnoredAny>()?.is_none() {
                return Ok(());
            }
        }
        list.next_element_seed(Find { path: rest, ..self })?;
        while list.next_element::<IgnoredAny>()?.is_some() {}
        Ok(())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        let Some((Segment::Key(wanted), rest)) = self.path.split_first() else {
            return Err(A::Error::custom("here"));
        };
        let mut seen = 0;
        let stop_at = match self.place {
            Place::Key if rest.is_empty() => Some(0),
            Place::RepeatedKey if rest.is_empty() => Some(1),
            _ => None,
        };
        while let Some(hit) = map.next_key_seed(MatchKey { wanted, stop: stop_at == Some(seen) })? {
            if hit && stop_at.is_none() {
                map.next_value_seed(Find { path: rest, ..self })?;
            } else {
                map.next_value::<IgnoredAny>()?;
            }
            seen += usize::from(hit);
        }
        Ok(())
    }
}

/// Whether a key is the wanted one; stops there if told to.
struct MatchKey<'a> {
    wanted: &'a str,
    stop: bool,
}

impl<'de> DeserializeSeed<'de> for MatchKey<'_> {
    type Value = bool;

    fn deserialize<D: Deserializer<'de>>(self, yaml: D) -> Result<bool, D::Error> {
        yaml.deserialize_str(self)
    }
}

impl Visitor<'_> for MatchKey<'_> {
    type Value = bool;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a key")
    }

    fn visit_str<E: Error>(self, key: &str) -> Result<bool, E> {
        match key == self.wanted {
            true if self.stop => Err(E::custom("here")),
            hit => Ok(hit),
        }
    }
}

/// Raises an error whatever it is given.
struct Stop;

impl<'de> Visitor<'de> for Stop {
    type Value = ();

    /// Every `visit_*` that is not written here raises an error of its own accord.
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("nothing")
    }
}
