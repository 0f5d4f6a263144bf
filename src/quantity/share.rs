//! A share of a whole, as people write it.

use serde::de::{Deserialize, Deserializer, Error, Visitor};
use std::fmt;
use std::str::FromStr;

/// A share from 0 to 1, written `80%` or 0.8.
///
/// ```
/// use counterpoise::quantity::Share;
/// assert_eq!("80 %".parse(), Ok(Share(0.8)));
/// assert_eq!("0.8".parse(), Ok(Share(0.8)));
/// assert_eq!("80".parse::<Share>(), Err("`80` is no share; write 80% or 0.8".to_owned()));
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share(pub f64);

impl FromStr for Share {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let percent = text.trim().strip_suffix('%').map(str::trim_end);
        let number = percent.unwrap_or_else(|| text.trim()).parse::<f64>().ok();
        number
            .map(|n| if percent.is_some() { n / 100.0 } else { n })
            .filter(|share| (0.0..=1.0).contains(share))
            .map(Self)
            .ok_or_else(|| format!("`{text}` is no share; write 80% or 0.8"))
    }
}

impl<'de> Deserialize<'de> for Share {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Reader;
        impl Visitor<'_> for Reader {
            type Value = Share;
            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("a share, like 80% or 0.8")
            }
            fn visit_f64<E: Error>(self, share: f64) -> Result<Share, E> {
                self.visit_str(&share.to_string())
            }
            fn visit_u64<E: Error>(self, share: u64) -> Result<Share, E> {
                self.visit_str(&share.to_string())
            }
            fn visit_str<E: Error>(self, text: &str) -> Result<Share, E> {
                text.parse().map_err(E::custom)
            }
        }
        deserializer.deserialize_any(Reader)
    }
}

impl schemars::JsonSchema for Share {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Share".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": ["string", "number"], "description": "a share, like 80% or 0.8", "minimum": 0, "maximum": 1 })
    }
}
