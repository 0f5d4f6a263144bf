//! Exact lengths of cuts and positions.

use super::{Length, QuantityError};
use serde::de::{Deserializer, Visitor};
use serde::ser::Serializer;
use std::fmt;

/// A cut or position in whole micrometres, so that equal cuts are equal, hash alike and sort alike on every machine.
///
/// It shows, reads and writes as a plain number of millimetres with at most three decimals: the unit is in the key or
/// the column head, `length_mm: 8.5`. Finer decimals are rounded to the micrometre, far below what a blade can do.
///
/// ```
/// use counterpoise::quantity::Microns;
/// let cut = Microns::from_mm(8.5)?;
/// assert_eq!(cut.micrometres(), 8500);
/// assert_eq!(cut.to_string(), "8.5");
/// # Ok::<(), counterpoise::quantity::QuantityError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Microns(i32);

impl Microns {
    /// From whole micrometres.
    pub const fn new(micrometres: i32) -> Self {
        Self(micrometres)
    }

    /// From millimetres, rounded to the nearest micrometre (halves away from zero).
    ///
    /// # Errors
    /// [`QuantityError::CutOutOfRange`] for NaN, infinity and anything beyond what 32 bits hold, about 2147 m.
    pub fn from_mm(mm: f64) -> Result<Self, QuantityError> {
        let whole = (mm * 1e3).round();
        if whole >= f64::from(i32::MIN) && whole <= f64::from(i32::MAX) {
            Ok(Self(whole as i32))
        } else {
            Err(QuantityError::CutOutOfRange { mm })
        }
    }

    /// From a length, rounded to the nearest micrometre.
    ///
    /// # Errors
    /// As [`Microns::from_mm`].
    pub fn from_length(length: Length) -> Result<Self, QuantityError> {
        Self::from_mm(length.mm())
    }

    /// Whole micrometres.
    pub const fn micrometres(self) -> i32 {
        self.0
    }

    /// Millimetres.
    pub fn mm(self) -> f64 {
        f64::from(self.0) / 1e3
    }

    /// Metres.
    pub fn m(self) -> f64 {
        f64::from(self.0) / 1e6
    }

    /// As a [`Length`].
    pub fn length(self) -> Length {
        Length::from_m(self.m())
    }
}

impl fmt::Display for Microns {
    /// The number of millimetres; `{:.1}` sets the decimals.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.mm(), f)
    }
}

impl serde::Serialize for Microns {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(self.mm())
    }
}

impl<'de> serde::Deserialize<'de> for Microns {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(MmVisitor)
    }
}

struct MmVisitor;

impl Visitor<'_> for MmVisitor {
    type Value = Microns;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a plain number of millimetres, like `8.5`")
    }

    fn visit_f64<E: serde::de::Error>(self, mm: f64) -> Result<Microns, E> {
        Microns::from_mm(mm).map_err(E::custom)
    }

    fn visit_i64<E: serde::de::Error>(self, mm: i64) -> Result<Microns, E> {
        self.visit_f64(mm as f64)
    }

    fn visit_u64<E: serde::de::Error>(self, mm: u64) -> Result<Microns, E> {
        self.visit_f64(mm as f64)
    }
}

impl schemars::JsonSchema for Microns {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Microns".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "number", "description": "millimetres" })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn rounds_to_the_micrometre() {
        assert_eq!(Microns::from_mm(8.5), Ok(Microns::new(8500)));
        assert_eq!(Microns::from_mm(0.0005), Ok(Microns::new(1)));
        assert_eq!(Microns::from_mm(-1.2344), Ok(Microns::new(-1234)));
        assert_eq!(Microns::from_length(Length::from_inches(0.5)), Ok(Microns::new(12700)));
        assert_eq!(format!("{:.2}|{:>6}", Microns::new(8500), Microns::new(12_000)), "8.50|    12");
    }

    #[test]
    fn refuses_what_cannot_be_a_cut() {
        for mm in [f64::NAN, f64::INFINITY, 2147483.648, -2147483.649, 1e300] {
            assert!(Microns::from_mm(mm).is_err(), "{mm}");
        }
        assert_eq!(Microns::from_mm(2147483.647), Ok(Microns::new(i32::MAX)));
        assert_eq!(
            Microns::from_mm(3e6).unwrap_err().to_string(),
            "3000000 mm is outside the range of a cut or position, 2147 m either way"
        );
        let message = |text: &str| crate::yaml::from_str::<Microns>(text).unwrap_err().to_string();
        assert!(message(".nan").starts_with("NaN mm is outside"));
        assert_eq!(
            message("8.5 mm"),
            "invalid type: string \"8.5 mm\", expected a plain number of millimetres, like `8.5`"
        );
    }

    proptest! {
        #[test]
        fn reads_back_exactly(micrometres in any::<i32>()) {
            let cut = Microns::new(micrometres);
            prop_assert_eq!(Microns::from_mm(cut.mm()), Ok(cut));
            prop_assert_eq!(Microns::from_length(cut.length()), Ok(cut));
            prop_assert_eq!(crate::yaml::from_str::<Microns>(&crate::yaml::to_string(&cut).unwrap()).unwrap(), cut);
            let decimals = cut.to_string().split_once('.').map_or(0, |(_, d)| d.len());
            prop_assert!(decimals <= 3);
        }
    }
}
