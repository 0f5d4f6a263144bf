//! The shape of a box file, as it is written.

use crate::document::Path;
use crate::quantity::{Interval, Length, Money, Share, Time};
use crate::stock::StockRow;
use crate::wanted::TargetSpec;
use serde::Deserialize;

#[derive(Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawBox {
    #[serde(default)]
    pub(super) name: Option<String>,
    #[serde(default)]
    pub(super) target: TargetSpec,
    #[serde(default)]
    pub(super) needs: Vec<RawNeed>,
    #[serde(default)]
    pub(super) outings: Vec<RawOuting>,
    #[serde(default)]
    pub(super) options: RawOptions,
    #[serde(default)]
    pub(super) budget: Option<Money>,
    #[serde(default)]
    pub(super) owned: Vec<StockRow>,
}

/// Needs of one outing, with what its targets have in common.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawOuting {
    pub(super) name: String,
    #[serde(default)]
    pub(super) target: TargetSpec,
    pub(super) needs: Vec<RawNeed>,
}

#[derive(Debug, Clone, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawNeed {
    pub(super) name: String,
    pub(super) flies: u32,
    #[serde(default)]
    pub(super) least: u32,
    #[serde(default)]
    pub(super) tied: u32,
    #[serde(default)]
    pub(super) depth: Option<Interval<Length>>,
    #[serde(default)]
    pub(super) within: Option<Time>,
    #[serde(default)]
    pub(super) min_chance: Option<Share>,
    #[serde(default)]
    pub(super) as_tied: Option<bool>,
    #[serde(default)]
    pub(super) certainty: Option<Share>,
    #[serde(default)]
    pub(super) target: TargetSpec,
}

#[derive(Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawOptions {
    pub(super) spares: Option<u32>,
    pub(super) min_chance: Option<Share>,
    pub(super) as_tied: Option<bool>,
    pub(super) certainty: Option<Share>,
    pub(super) recipes: Option<u32>,
    pub(super) hooks: Option<u32>,
    pub(super) beads: Option<u32>,
    pub(super) foams: Option<u32>,
    pub(super) kerf: Option<Length>,
    pub(super) wire_ends: Option<Length>,
    pub(super) each_recipe: Option<Money>,
    pub(super) each_part: Option<Money>,
}

/// All needs with their places: those of the box, then those of each outing, named after it.
pub(super) fn rows(raw: &RawBox) -> Vec<(Path, RawNeed)> {
    let list = Path::root().key("needs");
    let mut rows: Vec<(Path, RawNeed)> =
        raw.needs.iter().enumerate().map(|(i, need)| (list.index(i), need.clone())).collect();
    for (o, outing) in raw.outings.iter().enumerate() {
        let list = Path::root().key("outings").index(o).key("needs");
        rows.extend(outing.needs.iter().enumerate().map(|(i, need)| {
            let mut shared = outing.target.clone();
            if need.depth.is_some() {
                shared.depth = None;
            }
            let target = shared.overridden_by(need.target.clone());
            let name = format!("{}: {}", outing.name, need.name);
            (list.index(i), RawNeed { name, target, ..need.clone() })
        }));
    }
    rows
}

impl RawNeed {
    pub(super) fn target_states(&self, key: &str) -> bool {
        match key {
            "depth" => self.target.depth.is_some(),
            _ => self.target.within.is_some(),
        }
    }
}

/// JSON Schema of a box file.
#[must_use]
pub fn schema() -> schemars::Schema {
    crate::document::file_schema::<RawBox>()
}
