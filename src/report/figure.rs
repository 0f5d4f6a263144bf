//! Numbers of a report: finite, and rounded to what is worth writing down.

use serde::Serializer;
use serde::ser::Error;

/// A finite number with nine significant digits. Writing NaN or infinity is an error, never a silent `null`.
///
/// ```
/// use counterpoise::report::Figure;
/// assert_eq!(serde_json::to_string(&Figure(0.1 + 0.2)).unwrap(), "0.3");
/// assert!(serde_json::to_string(&Figure(f64::NAN)).is_err());
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure(pub f64);

const DIGITS: usize = 9;

impl Figure {
    /// The number as it is written.
    #[must_use]
    pub fn rounded(self) -> f64 {
        // Adding zero turns -0 into 0.
        format!("{:.*e}", DIGITS - 1, self.0).parse().unwrap_or(self.0) + 0.0
    }
}

impl serde::Serialize for Figure {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0.is_finite() {
            serializer.serialize_f64(self.rounded())
        } else {
            Err(S::Error::custom(format!("a figure came out as {}, which is no finite number", self.0)))
        }
    }
}

impl schemars::JsonSchema for Figure {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Figure".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "number" })
    }
}
