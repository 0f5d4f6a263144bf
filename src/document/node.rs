//! A document as a tree that keeps repeated keys, so that they can be reported.

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
    /// Reads the next document of a YAML stream. `budget` is the number of values it may hold: aliases can make a small
    /// file expand to more values than memory holds, but a document without them never has more values than bytes.
    pub(super) fn read<'de, D: Deserializer<'de>>(yaml: D, budget: usize) -> Result<Self, D::Error> {
        Seed { left: &Cell::new(budget) }.deserialize(yaml)
    }

    /// The value of a key.
    pub(crate) fn get(&self, key: &str) -> Option<&Self> {
        match self {
            Self::Map(entries) => entries.iter().find(|(k, _)| k == key).map(|(_, v)| v),
            _ => None,
        }
    }

    /// How a message calls it.
    pub(super) fn words(&self) -> String {
        match self {
            Self::Nothing | Self::StandIn(_) => "nothing".to_owned(),
            Self::Truth(truth) => format!("`{truth}`"),
            Self::Whole(number) => number.to_string(),
            Self::Number(number) => number.to_string(),
            Self::Text(text) => format!("the text `{}`", shortened(text)),
            Self::List(_) => "a list".to_owned(),
            Self::Map(_) => "a mapping".to_owned(),
        }
    }
}

fn shortened(text: &str) -> String {
    let mut chars = text.chars();
    let head: String = chars.by_ref().take(60).collect();
    if chars.next().is_some() { format!("{head}...") } else { head }
}

#[derive(Clone, Copy)]
struct Seed<'a> {
    left: &'a Cell<usize>,
}

impl<'de> DeserializeSeed<'de> for Seed<'_> {
    type Value = Node;

    fn deserialize<D: Deserializer<'de>>(self, yaml: D) -> Result<Node, D::Error> {
        match self.left.get().checked_sub(1) {
            Some(left) => self.left.set(left),
            None => return Err(D::Error::custom("aliases make this document longer than its text")),
        }
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
        Ok(Node::Text(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Node, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = list.next_element_seed(self)? {
            items.push(item);
        }
        Ok(Node::List(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Node, A::Error> {
        let mut entries = Vec::new();
        while let Some(Key(key)) = map.next_key()? {
            entries.push((key, map.next_value_seed(self)?));
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
