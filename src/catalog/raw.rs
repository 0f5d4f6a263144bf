//! Catalog rows as they are written.

use crate::material::HowObtained;
use crate::part::{Cut, HookStyle, Surface};
use crate::quantity::{Microns, Money};
use serde::Deserialize;

/// A catalog file: any kinds, in any combination.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawFile {
    pub(super) currency: Option<String>,
    #[serde(default)]
    pub(super) materials: Vec<RawMaterial>,
    #[serde(default)]
    pub(super) hooks: Vec<RawHook>,
    #[serde(default)]
    pub(super) beads: Vec<RawBead>,
    #[serde(default)]
    pub(super) pins: Vec<RawPin>,
    #[serde(default)]
    pub(super) wires: Vec<RawWire>,
    #[serde(default)]
    pub(super) foams: Vec<RawFoam>,
    #[serde(default)]
    pub(super) dressings: Vec<RawDressing>,
}

impl RawFile {
    pub(super) fn has_prices(&self) -> bool {
        !(self.hooks.is_empty()
            && self.beads.is_empty()
            && self.pins.is_empty()
            && self.wires.is_empty()
            && self.foams.is_empty()
            && self.dressings.is_empty())
    }
}

/// What all rows have.
pub(super) trait RawRow {
    /// The key of the list that it stands in.
    const LIST: &'static str;
    fn id(&self) -> &str;
}

macro_rules! raw_row {
    ($($row:ident in $list:literal),*) => {$(
        impl RawRow for $row {
            const LIST: &'static str = $list;
            fn id(&self) -> &str {
                &self.id
            }
        }
    )*};
}

raw_row!(
    RawMaterial in "materials",
    RawHook in "hooks",
    RawBead in "beads",
    RawPin in "pins",
    RawWire in "wires",
    RawFoam in "foams",
    RawDressing in "dressings"
);

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawProvenance {
    pub(super) source: String,
    pub(super) how: RawHow,
}

#[derive(Debug, Clone, Copy, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum RawHow {
    Read,
    Computed,
    Memory,
    CommonPractice,
    Representative,
    Invented,
    Measured,
    Stated,
}

impl From<RawHow> for HowObtained {
    fn from(how: RawHow) -> Self {
        match how {
            RawHow::Read => Self::Read,
            RawHow::Computed => Self::Computed,
            RawHow::Memory => Self::Memory,
            RawHow::CommonPractice => Self::CommonPractice,
            RawHow::Representative => Self::Representative,
            RawHow::Invented => Self::Invented,
            RawHow::Measured => Self::Measured,
            RawHow::Stated => Self::Stated,
        }
    }
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawPack {
    pub(super) pieces: Option<u32>,
    pub(super) length_m: Option<f64>,
    pub(super) price: Money,
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawMaterial {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) density_g_cm3: f64,
    pub(super) density_sd_g_cm3: f64,
    #[serde(default)]
    pub(super) contains_lead: bool,
    pub(super) provenance: RawProvenance,
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawHook {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) style: RawStyle,
    pub(super) size: u8,
    pub(super) material: String,
    pub(super) wire_diameter_mm: f64,
    pub(super) eye_inner_diameter_mm: f64,
    pub(super) neck_length_mm: Option<f64>,
    pub(super) neck_angle_deg: Option<f64>,
    pub(super) shank_length_mm: f64,
    pub(super) gap_mm: f64,
    pub(super) point_length_mm: f64,
    pub(super) measured_mass_mg: Option<f64>,
    pub(super) mass_spread: f64,
    pub(super) head: Option<RawHead>,
    pub(super) pack: RawPack,
    pub(super) provenance: RawProvenance,
}

#[derive(Debug, Clone, Copy, Deserialize, schemars::JsonSchema)]
pub(super) enum RawStyle {
    #[serde(rename = "straight")]
    Straight,
    #[serde(rename = "streamer")]
    Streamer,
    #[serde(rename = "wide-gap")]
    WideGap,
    #[serde(rename = "jig-60")]
    Jig60,
    #[serde(rename = "jig-90")]
    Jig90,
    #[serde(rename = "ball-jig")]
    BallJig,
}

impl From<RawStyle> for HookStyle {
    fn from(style: RawStyle) -> Self {
        match style {
            RawStyle::Straight => Self::Straight,
            RawStyle::Streamer => Self::Streamer,
            RawStyle::WideGap => Self::WideGap,
            RawStyle::Jig60 => Self::Jig60,
            RawStyle::Jig90 => Self::Jig90,
            RawStyle::BallJig => Self::BallJig,
        }
    }
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawHead {
    pub(super) material: String,
    pub(super) mass_mg: f64,
    pub(super) mass_spread: f64,
    pub(super) mass_name: String,
    pub(super) centre_aft_of_corner_mm: f64,
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawBead {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) material: String,
    pub(super) diameter_mm: f64,
    pub(super) diameter_sd_mm: f64,
    pub(super) bore_mm: f64,
    pub(super) countersink: Option<RawCountersink>,
    pub(super) slot: Option<RawSlot>,
    #[serde(default)]
    pub(super) colours: Vec<String>,
    pub(super) measured_mass_mg: Option<f64>,
    pub(super) mass_spread: f64,
    pub(super) pack: RawPack,
    pub(super) provenance: RawProvenance,
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawCountersink {
    pub(super) diameter_mm: f64,
    pub(super) depth_mm: f64,
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawSlot {
    pub(super) width_mm: f64,
    pub(super) length_share: f64,
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawPin {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) material: String,
    pub(super) diameter_mm: f64,
    pub(super) length_mm: f64,
    pub(super) head_diameter_mm: f64,
    pub(super) head_length_mm: f64,
    pub(super) projections_mm: Vec<Microns>,
    pub(super) mass_spread: f64,
    pub(super) pack: RawPack,
    pub(super) provenance: RawProvenance,
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawWire {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) material: String,
    pub(super) diameter_mm: f64,
    pub(super) diameter_spread: f64,
    pub(super) pack: RawPack,
    pub(super) provenance: RawProvenance,
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawFoam {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) diameter_mm: Option<f64>,
    pub(super) width_mm: Option<f64>,
    pub(super) thickness_mm: Option<f64>,
    pub(super) density_kg_m3: f64,
    pub(super) density_sd_kg_m3: f64,
    pub(super) solid: String,
    pub(super) cell_mm: f64,
    pub(super) surface: RawSurface,
    pub(super) collapse_pressure_kpa: f64,
    pub(super) cuts: Vec<RawCut>,
    #[serde(default)]
    pub(super) colours: Vec<String>,
    pub(super) section_spread: f64,
    pub(super) pack: RawPack,
    pub(super) provenance: RawProvenance,
}

#[derive(Debug, Clone, Copy, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum RawSurface {
    Skin,
    Cut,
}

impl From<RawSurface> for Surface {
    fn from(surface: RawSurface) -> Self {
        match surface {
            RawSurface::Skin => Self::Skin,
            RawSurface::Cut => Self::Cut,
        }
    }
}

#[derive(Debug, Clone, Copy, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum RawCut {
    Whole,
    Half,
    Quarter,
    Eighth,
    Sixteenth,
}

impl From<RawCut> for Cut {
    fn from(cut: RawCut) -> Self {
        match cut {
            RawCut::Whole => Self::Whole,
            RawCut::Half => Self::Half,
            RawCut::Quarter => Self::Quarter,
            RawCut::Eighth => Self::Eighth,
            RawCut::Sixteenth => Self::Sixteenth,
        }
    }
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawDressing {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) reference_shank_mm: f64,
    pub(super) hides_tail: f64,
    pub(super) components: Vec<RawComponent>,
    pub(super) pack: RawPack,
    pub(super) provenance: RawProvenance,
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RawComponent {
    pub(super) name: String,
    pub(super) role: RawRole,
    pub(super) material: String,
    pub(super) dry_mass_mg: f64,
    pub(super) mass_spread: f64,
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) wet_diameter_mm: Option<f64>,
    pub(super) solidity: Option<f64>,
    #[serde(default)]
    pub(super) fresh_air_share: f64,
}

#[derive(Debug, Clone, Copy, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum RawRole {
    Fibre,
    Thread,
    Adhesive,
}
