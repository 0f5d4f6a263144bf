//! A document as a tree that keeps repeated keys, so that they can be reported.

use super::diagnostics::shortened;
use super::guard::{MAX_DEPTH, MAX_VALUES, too_deep, too_many};
use serde::de::{Deserialize, DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use std::cell::Cell;
use std::fmt;

/// A value of a document.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Node {
    /// A key without a value.
    Nothing,
    /// True or false.
    Truth(bool),
    /// A whole number.
    Whole(i64),
    /// Any other number.
    Number(f64),
    /// Text.
    Text(String),
    /// A list.
    List(Vec<Node>),
    /// Keys and their values, in the order written.
    Map(Vec<(String, Node)>),
    /// Stands in for a value that was refused, so that the rest can be checked in the same run.
    StandIn(usize),
}

impl Node {
    /// Reads the next document of a YAML stream whose text has `length` bytes. Aliases can make a small file expand to more
    /// than memory holds, so what is read is counted: a document without them has fewer values than bytes, and its
    /// texts are hardly longer than they stand there (an escape of two bytes gives three at most).
    pub(super) fn read<'de, D: Deserializer<'de>>(yaml: D, length: usize) -> Result<Self, D::Error> {
        let left = Cell::new(Left { values: MAX_VALUES, bytes: 2 * length + 1 });
        Seed { left: &left, depth: 0 }.deserialize(yaml)
    }

    /// The value of a key.
    pub(crate) fn get(&self, key: &str) -> Option<&Self> {
        match self {
            Self::Map(entries) => entries.iter().find(|(k, _)| k == key).map(|(_, v)| v),
            _ => None,
        }
    }

    /// Values in it, itself included.
    pub(super) fn size(&self) -> usize {
        match self {
            Self::List(items) => 1 + items.iter().map(Self::size).sum::<usize>(),
            Self::Map(entries) => 1 + entries.iter().map(|(_, value)| value.size()).sum::<usize>(),
            _ => 1,
        }
    }

    /// How a message calls it.
    pub(super) fn words(&self) -> String {
        match self {
            Self::Nothing | Self::StandIn(_) => "nothing".to_owned(),
            Self::Truth(truth) => format!("`{truth}`"),
            Self::Whole(number) => number.to_string(),
            Self::Number(number) => number.to_string(),
            Self::Text(text) => format!("the text `{}`", shortened(text, 60)),
            Self::List(_) => "a list".to_owned(),
            Self::Map(_) => "a mapping".to_owned(),
        }
    }
}

/// Said where aliases give more than was written.
pub(super) const BLOWN_UP: &str = "aliases make this document longer than twice its text";

/// What may still be read.
#[derive(Clone, Copy)]
struct Left {
    values: usize,
    bytes: usize,
}

#[derive(Clone, Copy)]
struct Seed<'a> {
    left: &'a Cell<Left>,
    depth: usize,
}

impl Seed<'_> {
    fn spend<E: Error>(self, values: usize, bytes: usize) -> Result<(), E> {
        let left = self.left.get();
        let bytes = left.bytes.checked_sub(bytes).ok_or_else(|| E::custom(BLOWN_UP))?;
        let values = left.values.checked_sub(values).ok_or_else(|| E::custom(too_many()))?;
        self.left.set(Left { values, bytes });
        Ok(())
    }

    fn deeper<E: Error>(self) -> Result<Self, E> {
        if self.depth == MAX_DEPTH { Err(E::custom(too_deep())) } else { Ok(Self { depth: self.depth + 1, ..self }) }
    }
}

impl<'de> DeserializeSeed<'de> for Seed<'_> {
    type Value = Node;

    fn deserialize<D: Deserializer<'de>>(self, yaml: D) -> Result<Node, D::Error> {
        self.spend(1, 1)?;
        yaml.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Seed<'_> {
    type Value = Node;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value without a YAML tag")
    }

    fn visit_unit<E: Error>(self) -> Result<Node, E> {
        Ok(Node::Nothing)
    }

    fn visit_none<E: Error>(self) -> Result<Node, E> {
        Ok(Node::Nothing)
    }

    fn visit_bool<E: Error>(self, truth: bool) -> Result<Node, E> {
        Ok(Node::Truth(truth))
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<Node, E> {
        Ok(Node::Whole(number))
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<Node, E> {
        Ok(i64::try_from(number).map_or(Node::Number(number as f64), Node::Whole))
    }

    fn visit_i128<E: Error>(self, number: i128) -> Result<Node, E> {
        Ok(Node::Number(number as f64))
    }

    fn visit_u128<E: Error>(self, number: u128) -> Result<Node, E> {
        Ok(Node::Number(number as f64))
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<Node, E> {
        Ok(Node::Number(number))
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Node, E> {
        self.spend(0, text.len())?;
        Ok(Node::Text(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Node, A::Error> {
        let inner = self.deeper()?;
        let mut items = Vec::new();
        while let Some(item) = list.next_element_seed(inner)? {
            items.push(item);
        }
        Ok(Node::List(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Node, A::Error> {
        let inner = self.deeper()?;
        let mut entries = Vec::new();
        while let Some(Key(key)) = map.next_key()? {
            self.spend(1, key.len())?;
            entries.push((key, map.next_value_seed(inner)?));
        }
        Ok(Node::Map(entries))
    }
}

/// A key: text, or a plain scalar that becomes text.
struct Key(String);

impl<'de> Deserialize<'de> for Key {
    fn deserialize<D: Deserializer<'de>>(yaml: D) -> Result<Self, D::Error> {
        String::deserialize(yaml).map(Self)
    }
}
