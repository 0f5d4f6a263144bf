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
    pub(super) fn widen(source: &Source, at: &crate::yaml::Location) -> Self {
        let mut start = at.index().min(source.text().len());
        while !source.text().is_char_boundary(start) {
            start -= 1;
        }
        Self::at(source, at.line(), at.column(), start)
    }

    /// A byte of the text, widened to the scalar or bracket that stands there.
    pub(super) fn at(source: &Source, line: usize, column: usize, start: usize) -> Self {
        let end = start + token_length(&source.text()[start..]);
        Self { line, column, start, end }
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
    let first = crate::yaml::Deserializer::from_str(source.text()).next()?;
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

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str =
        "# \u{e9}t\u{e9}\na:\n  - b: 1\n    c: 'it is'\n  - {b: 2, \"c\": [x, y], d: {e: f g}} # end\nh: \"q\"\n";

    fn found(text: &str, path: &Path, place: Place) -> (usize, usize, String) {
        let at = locate(&Source::new("t", text), path, place).unwrap();
        (at.line, at.column, text[at.start..at.end].to_owned())
    }

    #[test]
    fn values_and_keys_are_found_in_block_and_flow_style() {
        let a = |index| Path::root().key("a").index(index);
        let value = |path: &Path| found(TEXT, path, Place::Value);
        assert_eq!(value(&a(0).key("b")), (3, 8, "1".to_owned()));
        assert_eq!(value(&a(0).key("c")), (4, 8, "'it is'".to_owned()));
        assert_eq!(value(&a(0)), (3, 5, "b".to_owned()));
        assert_eq!(value(&a(1)), (5, 5, "{".to_owned()));
        assert_eq!(value(&a(1).key("c").index(1)), (5, 21, "y".to_owned()));
        assert_eq!(value(&a(1).key("d").key("e")), (5, 32, "f g".to_owned()));
        assert_eq!(value(&Path::root().key("h")), (6, 4, "\"q\"".to_owned()));
        assert_eq!(found(TEXT, &a(1).key("d"), Place::Key), (5, 25, "d".to_owned()));
        assert_eq!(found(TEXT, &a(1).key("c"), Place::Key), (5, 12, "\"c\"".to_owned()));
    }

    #[test]
    fn what_is_not_there_is_found_at_what_it_would_be_part_of() {
        let row = Path::root().key("a").index(1);
        for path in [row.key("z"), row.key("z").key("y"), row.key("b").key("z")] {
            assert_eq!(found(TEXT, &path, Place::Value).0, 5, "{path}");
        }
        assert_eq!(found(TEXT, &Path::root().key("a").index(9), Place::Value).0, 3);
    }

    #[test]
    fn the_second_of_two_keys_is_found() {
        let text = "a: 1\nb: 2\na: 3\na: 4\n";
        assert_eq!(found(text, &Path::root().key("a"), Place::RepeatedKey), (3, 1, "a".to_owned()));
    }

    #[test]
    fn a_value_given_by_an_alias_is_found_where_it_is_written() {
        let text = "a: &x {b: 1}\nc: *x\n";
        assert_eq!(found(text, &Path::root().key("c").key("b"), Place::Value), (1, 11, "1".to_owned()));
    }

    #[test]
    fn bytes_and_columns_differ_after_wide_letters() {
        let text = "{\u{e9}\u{e9}: 1, b: two}";
        let at = locate(&Source::new("t", text), &Path::root().key("b"), Place::Value).unwrap();
        assert_eq!((at.line, at.column), (1, 12));
        assert_eq!(&text[at.start..at.end], "two");
    }
}
