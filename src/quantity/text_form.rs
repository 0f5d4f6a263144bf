//! Quantities as text: shown rounded to a reader, stored exactly in a file.

use super::shown::digits;
use super::unit::{Kind, Unit};
use super::{Quantity, QuantityError};
use serde::de::{Deserializer, Visitor};
use serde::ser::{Error as _, Serializer};
use std::fmt;
use std::marker::PhantomData;
use std::str::FromStr;

/// Rounds to so many significant digits.
fn rounded(value: f64, digits: usize) -> f64 {
    // Adding zero turns -0 into 0.
    format!("{value:.*e}", digits - 1).parse().unwrap_or(value) + 0.0
}

/// Writes a base value to five significant digits in the unit `typed`, or in `unit` to the decimals the format asks for.
pub(super) fn show(base: f64, typed: &'static Unit, unit: &'static Unit, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    match f.precision() {
        Some(decimals) => write!(f, "{:.decimals$} {}", unit.of_base(base), unit.symbol),
        None => f.pad(&format!("{} {}", rounded(typed.of_base(base), 5), typed.symbol)),
    }
}

/// Text that reads back as exactly `base`: in the first of `units` in which some digits do it, few rather than all that a
/// number can hold; else in the base unit, which always does.
pub(super) fn exact(base: f64, units: [&'static Unit; 2]) -> String {
    let short = |value: f64| rounded(value, 15);
    let all: [fn(f64) -> f64; 2] = [|value| rounded(value, 16), |value| value];
    let in_unit = |unit: &'static Unit, digits: &dyn Fn(f64) -> f64| {
        let value = digits(unit.of_base(base));
        (unit.to_base(value) == base).then(|| format!("{value} {}", unit.symbol))
    };
    units
        .into_iter()
        .find_map(|unit| in_unit(unit, &short))
        .or_else(|| units.into_iter().find_map(|unit| all.iter().find_map(|digits| in_unit(unit, digits))))
        .unwrap_or_else(|| format!("{base} {}", units[0].kind.base().symbol))
}

/// The unit in which a person most likely typed a value: `unit`, or another that takes fewer digits.
pub(super) fn likely(base: f64, unit: &'static Unit) -> &'static Unit {
    let count = |unit: &Unit| digits(unit.of_base(base));
    let fewer = unit.kind.typed_units().iter().copied().filter(|other| count(other) < count(unit));
    fewer.min_by_key(|other| count(other)).unwrap_or(unit)
}

pub(super) fn serialize<T: Quantity, S: Serializer>(value: T, serializer: S) -> Result<S::Ok, S::Error> {
    if !value.base().is_finite() {
        let text = value.base().to_string();
        return Err(S::Error::custom(QuantityError::NotFinite { text, kind: T::KIND }));
    }
    serializer.serialize_str(&value.exact_text())
}

/// What a file holds for a quantity: text that has a unit.
pub(super) fn schema(kind: Kind, form: &str) -> schemars::Schema {
    schemars::json_schema!({
        "type": "string",
        "description": format!("{} {form}: {}", kind.with_article(), kind.unit_list()),
        "examples": [kind.example()],
    })
}

/// Reads a `T` from text; a bare number gets the message that names the unit.
pub(super) fn deserialize<'de, T, D>(deserializer: D, kind: Kind, form: &'static str) -> Result<T, D::Error>
where
    T: FromStr<Err = QuantityError>,
    D: Deserializer<'de>,
{
    // Not `deserialize_str`: a YAML number must reach the visitor as a number, to be told it lacks a unit.
    deserializer.deserialize_any(TextVisitor { kind, form, wanted: PhantomData })
}

struct TextVisitor<T> {
    kind: Kind,
    form: &'static str,
    wanted: PhantomData<T>,
}

impl<T: FromStr<Err = QuantityError>> TextVisitor<T> {
    fn unitless<E: serde::de::Error>(&self, number: String) -> Result<T, E> {
        Err(E::custom(QuantityError::MissingUnit { number, kind: self.kind }))
    }
}

impl<T: FromStr<Err = QuantityError>> Visitor<'_> for TextVisitor<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} `{}`", self.kind.with_article(), self.form, self.kind.example())
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<T, E> {
        text.parse().map_err(E::custom)
    }

    fn visit_f64<E: serde::de::Error>(self, number: f64) -> Result<T, E> {
        if !number.is_finite() {
            return Err(E::custom(QuantityError::NotFinite { text: number.to_string(), kind: self.kind }));
        }
        self.unitless(number.to_string())
    }

    fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<T, E> {
        self.unitless(number.to_string())
    }

    fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<T, E> {
        self.unitless(number.to_string())
    }
}
