//! JSON Schema of a catalog file of one's own.

use super::complete::KEPT_UNITS;
use super::raw::RawFile;
use crate::document::file_schema;
use schemars::Schema;
use serde_json::{Map, Value, json};

/// JSON Schema of a catalog file. Rows may leave out what `catalog::complete` fills in or takes over, and a figure may carry its
/// unit in its value, its key then with the unit or without.
#[must_use]
pub fn schema() -> Schema {
    let mut schema = file_schema::<RawFile>();
    if let Some(Value::Object(parts)) = schema.get_mut("$defs") {
        parts.values_mut().filter_map(Value::as_object_mut).for_each(loosen);
    }
    schema
}

/// What has an id needs no more than that; all else is filled in or asked for by the program.
fn loosen(part: &mut Map<String, Value>) {
    let Some(Value::Object(properties)) = part.get_mut("properties") else { return };
    let row = properties.contains_key("id");
    let mut without_unit = Vec::new();
    for (key, value) in properties.iter_mut() {
        let Some((unit, of)) = KEPT_UNITS.into_iter().find(|(unit, _)| key.ends_with(unit)) else { continue };
        let description = format!("{} with its unit", of.with_article());
        let text = json!({ "type": "string", "description": description, "examples": [of.example()] });
        without_unit.push((key[..key.len() - unit.len()].to_owned(), text.clone()));
        *value = json!({ "anyOf": [value.take(), text] });
    }
    properties.extend(without_unit);
    if row {
        part.insert("required".to_owned(), json!(["id"]));
    } else {
        part.remove("required");
    }
}
