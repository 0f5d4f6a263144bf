//! From the tree to the types that a document is made of.

use super::node::Node;
use serde::de::value::{MapDeserializer, SeqDeserializer, StrDeserializer};
use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, Error, Expected, IntoDeserializer, Unexpected, VariantAccess, Visitor,
};
use serde::forward_to_deserialize_any;
use std::fmt;

/// Why a value does not fit.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(crate) enum Misfit {
    #[error("is {found}; it must be {expected}")]
    Value { found: String, expected: String },
    #[error("unknown key `{key}`")]
    UnknownKey { key: String, known: &'static [&'static str] },
    #[error("is `{word}`, which is not known here")]
    UnknownWord { word: String, known: &'static [&'static str] },
    #[error("`{key}` is missing")]
    MissingKey { key: &'static str },
    #[error("{text}")]
    Other { text: String },
}

impl Error for Misfit {
    fn custom<T: fmt::Display>(text: T) -> Self {
        Self::Other { text: text.to_string() }
    }

    fn invalid_type(found: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::Value { found: found_words(found), expected: expected_words(expected) }
    }

    fn invalid_value(found: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::invalid_type(found, expected)
    }

    fn unknown_variant(word: &str, known: &'static [&'static str]) -> Self {
        Self::UnknownWord { word: word.to_owned(), known }
    }

    fn unknown_field(key: &str, known: &'static [&'static str]) -> Self {
        Self::UnknownKey { key: key.to_owned(), known }
    }

    fn missing_field(key: &'static str) -> Self {
        Self::MissingKey { key }
    }
}

fn found_words(found: Unexpected<'_>) -> String {
    match found {
        Unexpected::Bool(truth) => format!("`{truth}`"),
        Unexpected::Unsigned(number) => number.to_string(),
        Unexpected::Signed(number) => number.to_string(),
        Unexpected::Float(number) => number.to_string(),
        Unexpected::Str(text) => format!("the text `{text}`"),
        Unexpected::Seq => "a list".to_owned(),
        Unexpected::Map => "a mapping".to_owned(),
        other => other.to_string(),
    }
}

/// The types' own words, in words of the trade.
fn expected_words(expected: &dyn Expected) -> String {
    let words = expected.to_string();
    match words.as_str() {
        "f64" | "f32" => "a number".to_owned(),
        "u8" | "u16" | "u32" | "u64" | "usize" => "a whole number, 0 or more".to_owned(),
        "i8" | "i16" | "i32" | "i64" | "isize" => "a whole number".to_owned(),
        "a string" => "text".to_owned(),
        "a boolean" => "true or false".to_owned(),
        "a sequence" => "a list".to_owned(),
        "a map" => "a mapping of keys to values".to_owned(),
        w if w.starts_with("struct ") => "a mapping of keys to values".to_owned(),
        w if w.starts_with("enum ") || w == "string or map" => "one word".to_owned(),
        _ => words,
    }
}

/// What a refused value is replaced with, one after the other, until something fits.
pub(super) const STAND_INS: [&str; 9] = ["", "1 mm", "1 g", "1 g/cm3", "1 m/s", "1 deg", "10 C", "1 g/kg", "1 s"];

impl<'de> Deserializer<'de> for &'de Node {
    type Error = Misfit;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misfit> {
        match self {
            Node::Nothing => visitor.visit_unit(),
            Node::Truth(truth) => visitor.visit_bool(*truth),
            Node::Whole(number) => visitor.visit_i64(*number),
            Node::Number(number) => visitor.visit_f64(*number),
            Node::Text(text) => visitor.visit_borrowed_str(text),
            Node::List(items) => {
                let mut list = SeqDeserializer::new(items.iter());
                let value = visitor.visit_seq(&mut list)?;
                list.end().map(|()| value)
            }
            Node::Map(entries) => {
                let mut map = MapDeserializer::new(entries.iter().map(|(k, v)| (k.as_str(), v)));
                let value = visitor.visit_map(&mut map)?;
                map.end().map(|()| value)
            }
            Node::StandIn(0) => visitor.visit_u64(1),
            Node::StandIn(nth) => visitor.visit_borrowed_str(STAND_INS.get(*nth).copied().unwrap_or_default()),
        }
    }

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misfit> {
        match self {
            // NaN fails no comparison that is written as "is it too large?", so it brings no second message.
            Node::StandIn(_) => visitor.visit_f64(f64::NAN),
            _ => self.deserialize_any(visitor),
        }
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misfit> {
        match self {
            Node::StandIn(_) => visitor.visit_bool(false),
            _ => self.deserialize_any(visitor),
        }
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misfit> {
        match self {
            Node::StandIn(_) => visitor.visit_borrowed_str(""),
            _ => self.deserialize_any(visitor),
        }
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misfit> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misfit> {
        visitor.visit_some(self)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(self, _: &'static str, visitor: V) -> Result<V::Value, Misfit> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misfit> {
        match self {
            Node::StandIn(_) => visitor.visit_seq(SeqDeserializer::new(std::iter::empty::<&'de Node>())),
            _ => self.deserialize_any(visitor),
        }
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misfit> {
        match self {
            Node::StandIn(_) => visitor.visit_map(MapDeserializer::new(std::iter::empty::<(&'de str, &'de Node)>())),
            _ => self.deserialize_any(visitor),
        }
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Misfit> {
        match self {
            Node::StandIn(_) => visitor.visit_map(MapDeserializer::new(fields.iter().map(|f| (*f, self)))),
            // serde also takes a list for a struct, by position; a document never means that.
            Node::Map(_) => self.deserialize_any(visitor),
            _ => Err(Misfit::Value { found: self.words(), expected: "a mapping of keys to values".to_owned() }),
        }
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        words: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Misfit> {
        match self {
            Node::Text(word) => visitor.visit_enum(StrDeserializer::new(word)),
            Node::Map(entries) if entries.len() == 1 => {
                visitor.visit_enum(Choice { word: &entries[0].0, content: &entries[0].1 })
            }
            Node::StandIn(_) => {
                visitor.visit_enum(Choice { word: words.first().copied().unwrap_or_default(), content: self })
            }
            _ => Err(Misfit::Value { found: self.words(), expected: format!("one of {}", words.join(", ")) }),
        }
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misfit> {
        self.deserialize_str(visitor)
    }

    forward_to_deserialize_any! {
        i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 char bytes byte_buf unit unit_struct tuple tuple_struct ignored_any
    }
}

impl<'de> IntoDeserializer<'de, Misfit> for &'de Node {
    type Deserializer = Self;

    fn into_deserializer(self) -> Self {
        self
    }
}

/// `word: content` for a choice between kinds of things.
struct Choice<'de> {
    word: &'de str,
    content: &'de Node,
}

impl<'de> EnumAccess<'de> for Choice<'de> {
    type Error = Misfit;
    type Variant = &'de Node;

    fn variant_seed<V: DeserializeSeed<'de>>(self, seed: V) -> Result<(V::Value, &'de Node), Misfit> {
        Ok((seed.deserialize(StrDeserializer::<Misfit>::new(self.word))?, self.content))
    }
}

impl<'de> VariantAccess<'de> for &'de Node {
    type Error = Misfit;

    fn unit_variant(self) -> Result<(), Misfit> {
        match self {
            Node::Nothing | Node::StandIn(_) => Ok(()),
            _ => Err(Misfit::Value { found: self.words(), expected: "the word alone".to_owned() }),
        }
    }

    fn newtype_variant_seed<T: DeserializeSeed<'de>>(self, seed: T) -> Result<T::Value, Misfit> {
        seed.deserialize(self)
    }

    fn tuple_variant<V: Visitor<'de>>(self, _: usize, visitor: V) -> Result<V::Value, Misfit> {
        self.deserialize_seq(visitor)
    }

    fn struct_variant<V: Visitor<'de>>(self, fields: &'static [&'static str], visitor: V) -> Result<V::Value, Misfit> {
        self.deserialize_struct("", fields, visitor)
    }
}
