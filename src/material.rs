//! What parts are made of: density, how far it spreads, and where the figure comes from.

use std::fmt;

/// How a figure came to be known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HowObtained {
    /// Seen in the source that is named.
    Read,
    /// Computed by a general-purpose library or from a formula that was read.
    Computed,
    /// Recalled; no source was opened.
    Memory,
    /// Common practice of the trade; no source.
    CommonPractice,
    /// Chosen for this catalog as a stand-in for a real part: measure yours.
    Representative,
    /// Invented (prices, packs).
    Invented,
    /// Measured by the owner of the catalog.
    Measured,
    /// Stated by the owner of the catalog, who does not say where it is from.
    Stated,
}

impl HowObtained {
    /// The words used in catalogs and in every report.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::Computed => "computed",
            Self::Memory => "memory",
            Self::CommonPractice => "common practice, no source",
            Self::Representative => "representative, measure yours",
            Self::Invented => "invented",
            Self::Measured => "measured",
            Self::Stated => "stated by the owner of the file",
        }
    }
}

impl fmt::Display for HowObtained {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// Where a row's figures come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Provenance {
    /// Author, table or standard; or a sentence saying that there is none.
    pub source: String,
    /// How the figures were obtained.
    pub how: HowObtained,
}

/// A substance with a density.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Stable id used by catalog rows.
    pub id: String,
    /// Plain name.
    pub name: String,
    /// Density, kg/m3. Fibres: of the fibre itself, without air.
    pub density_kg_m3: f64,
    /// Standard deviation of the density between batches, kg/m3.
    pub density_sd_kg_m3: f64,
    /// Contains lead: brings the caution and is left out by `--lead-free`.
    pub contains_lead: bool,
    /// Where the density comes from.
    pub provenance: Provenance,
}
