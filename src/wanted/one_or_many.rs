//! A list as people write it: `size: 8` for `size: [8]`.

use serde::de::value::{SeqAccessDeserializer, SeqDeserializer};
use serde::de::{Deserialize, Deserializer, Error, SeqAccess, Visitor};
use std::fmt;
use std::marker::PhantomData;

/// Reads a list, or one value as a list of one.
pub(super) fn one_or_many<'de, T: Deserialize<'de>, D: Deserializer<'de>>(from: D) -> Result<Vec<T>, D::Error> {
    from.deserialize_any(OneOrMany(PhantomData))
}

pub(super) struct OneOrMany<T>(PhantomData<T>);

impl<T: schemars::JsonSchema> schemars::JsonSchema for OneOrMany<T> {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        format!("OneOrMany{}", T::schema_name()).into()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "anyOf": [generator.subschema_for::<T>(), generator.subschema_for::<Vec<T>>()] })
    }
}

impl<'de, T: Deserialize<'de>> Visitor<'de> for OneOrMany<T> {
    type Value = Vec<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("one value or a list")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<Vec<T>, A::Error> {
        Vec::deserialize(SeqAccessDeserializer::new(list))
    }

    fn visit_str<E: Error>(self, one: &str) -> Result<Vec<T>, E> {
        Vec::deserialize(SeqDeserializer::new(std::iter::once(one)))
    }

    fn visit_u64<E: Error>(self, one: u64) -> Result<Vec<T>, E> {
        Vec::deserialize(SeqDeserializer::new(std::iter::once(one)))
    }

    fn visit_i64<E: Error>(self, one: i64) -> Result<Vec<T>, E> {
        Vec::deserialize(SeqDeserializer::new(std::iter::once(one)))
    }
}

#[cfg(test)]
mod tests {
    use crate::document::{Source, read};
    use crate::wanted::TargetSpec;

    #[test]
    fn one_value_is_a_list_of_one() {
        let spec = |text: &str| read::<TargetSpec>(&Source::new("t.yaml", text));
        let one = spec("size: 8\nstyle: jig\nonly: foam=none").unwrap();
        assert_eq!((one.size, one.style, one.only), (vec![8], vec!["jig".to_owned()], vec!["foam=none".to_owned()]));
        assert_eq!(spec("size: [8, 10]").unwrap().size, [8, 10]);
        for text in ["size: big", "size: 300", "size: [300]", "size: {a: 1}", "style: 3"] {
            let problems = spec(text).unwrap_err();
            assert_eq!(
                problems.iter().next().and_then(crate::document::Problem::key),
                text.split(':').next(),
                "{text}"
            );
        }
    }
}
