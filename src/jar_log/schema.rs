//! The jar log, key by key.

use super::Date;
use crate::part::Cut;
use crate::quantity::{Angle, Length, Mass, Microns, Salinity, Temperature, Time};
use crate::recipe_file::{BeadEntry, FoamEntry, RecipeFile, WireEntry};
use serde::de::value::MapAccessDeserializer;
use serde::de::{Error, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::collections::BTreeMap;
use std::fmt;

/// Version of the log.
pub const VERSION: u32 = 1;

/// A jar log.
#[derive(Debug, Clone, PartialEq, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JarLogFile {
    /// Version of the file, [`VERSION`].
    pub jar_log: u32,
    /// Free words.
    #[serde(default)]
    pub note: Option<String>,
    /// Conditions where an entry says nothing else.
    #[serde(default)]
    pub jar: JarEntry,
    /// Recipes by the names that entries call them.
    #[serde(default)]
    pub recipes: BTreeMap<String, RecipeRef>,
    /// What was seen, oldest first.
    #[serde(default)]
    pub entries: Vec<EntryFile>,
}

/// The jar.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct JarEntry {
    /// Temperature of its water.
    pub water: Option<Temperature>,
    /// Salinity.
    pub salinity: Option<Salinity>,
    /// Depth at which flies hang in it.
    pub depth: Option<Length>,
}

/// A recipe: a name given under `recipes:`, a recipe file, or the recipe itself.
#[derive(Debug, Clone, PartialEq)]
pub enum RecipeRef {
    /// A name, a file (it ends in .yaml or .yml), or the id of a recipe of this log.
    Named(String),
    /// The recipe itself.
    Inline(Box<RecipeFile>),
}

/// The keys of a recipe file without its version.
#[derive(Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct InlineRecipe {
    hook: String,
    pattern: String,
    #[serde(default)]
    bead: Option<BeadEntry>,
    #[serde(default)]
    wire: Option<WireEntry>,
    #[serde(default)]
    foam: Option<FoamEntry>,
}

impl<'de> Deserialize<'de> for RecipeRef {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Either;
        impl<'de> Visitor<'de> for Either {
            type Value = RecipeRef;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("the name of a recipe, a recipe file, or a mapping with hook, pattern, bead, wire, foam")
            }

            fn visit_str<E: Error>(self, name: &str) -> Result<RecipeRef, E> {
                Ok(RecipeRef::Named(name.to_owned()))
            }

            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<RecipeRef, A::Error> {
                let r = InlineRecipe::deserialize(MapAccessDeserializer::new(map))?;
                Ok(RecipeRef::Inline(Box::new(RecipeFile {
                    recipe: crate::recipe_file::VERSION,
                    hook: r.hook,
                    pattern: r.pattern,
                    bead: r.bead,
                    wire: r.wire,
                    foam: r.foam,
                    conditions: None,
                })))
            }
        }
        deserializer.deserialize_any(Either)
    }
}

impl Serialize for RecipeRef {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Named(name) => serializer.serialize_str(name),
            Self::Inline(file) => {
                let mut value = crate::yaml::to_value(file).map_err(serde::ser::Error::custom)?;
                if let Some(map) = value.as_mapping_mut() {
                    map.shift_remove("recipe");
                }
                value.serialize(serializer)
            }
        }
    }
}

/// One entry.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct EntryFile {
    /// Day, like 2026-03-01.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub date: Option<Date>,
    /// Recipe of the fly.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub recipe: Option<RecipeRef>,
    /// Which fly of that recipe, where one is tested more than once.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fly: Option<String>,
    /// How far it is tied: bead, wire, thread, foam, tail, body, wing, finish (if nothing is said).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stage: Option<String>,
    /// Length of the foam that was on, where that is not the recipe's: its start length, or as it was cut so far.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub foam: Option<Length>,
    /// `water` (if nothing is said), or `air`: hung in the hand over the vice, dry.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub medium: Option<String>,
    /// Water temperature.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water: Option<Temperature>,
    /// Salinity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub salinity: Option<Salinity>,
    /// Depth of the fly.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth: Option<Length>,
    /// `soaked` (if nothing is said) or `fresh`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<String>,
    /// `loop` (if nothing is said) or `snug`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub knot: Option<String>,
    /// Tippet diameter, for a snug knot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tippet: Option<Length>,
    /// Hang angle seen: positive tail down.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hang: Option<Angle>,
    /// Error of that reading, one standard deviation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hang_error: Option<Angle>,
    /// `point-up` or `point-down`, as seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rides: Option<String>,
    /// It floats, or it was tried whether it does and sinks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floats: Option<bool>,
    /// Timed drops.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub drops: Vec<DropEntry>,
    /// Mass of the fly, dry.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass: Option<Mass>,
    /// Error of the scale.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass_error: Option<Mass>,
    /// Loose parts on the scale, in place of a fly.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weighed: Option<WeighedEntry>,
    /// Free words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A timed drop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DropEntry {
    /// How far it sank.
    pub distance: Length,
    /// In which time.
    pub time: Time,
    /// Error of the time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub error: Option<Time>,
    /// `slack` (let go, if nothing is said) or `tight`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<String>,
}

/// Loose parts on the scale.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WeighedEntry {
    /// hook, bead, pin, wire or foam.
    pub kind: String,
    /// Part id.
    pub id: String,
    /// Pieces; 1 if nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// Length of each piece of wire or foam.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_mm: Option<Microns>,
    /// Lengthwise cut of foam; whole if nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cut: Option<Cut>,
    /// All pieces together.
    pub mass: Mass,
    /// Error of the scale.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub error: Option<Mass>,
}

impl schemars::JsonSchema for RecipeRef {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "RecipeRef".into()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "description": "the name of a recipe, a recipe file, or the recipe itself",
            "anyOf": [{ "type": "string" }, generator.subschema_for::<InlineRecipe>()],
        })
    }
}
