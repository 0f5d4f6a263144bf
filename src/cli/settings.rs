//! What the program remembers between runs: a file in the platform's usual place for settings.
//!
//! Options win over environment variables, those over a target file, that over the settings.

use crate::failure::Failure;
use clap::ValueEnum;
use counterpoise::document::{self, Source};
use counterpoise::quantity::shown::TEMPERATURE;
use counterpoise::quantity::{Salinity, Temperature, Units};
use counterpoise::wanted::{Target, TargetSpec};
use etcetera::BaseStrategy;
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// Units as options and settings name them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ValueEnum, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(crate) enum UnitsWord {
    /// mm, m, mg, mN, m/s, C.
    Metric,
    /// in, ft, grain, in/s, F.
    Us,
}

impl From<UnitsWord> for Units {
    fn from(word: UnitsWord) -> Self {
        match word {
            UnitsWord::Metric => Self::Metric,
            UnitsWord::Us => Self::Us,
        }
    }
}

/// The settings as written.
#[derive(Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub(crate) struct Settings {
    /// Catalog files, laid over the built-in catalog in this order.
    pub(crate) catalogs: Vec<PathBuf>,
    /// A calibration.
    pub(crate) calibration: Option<PathBuf>,
    /// A name for the prices.
    pub(crate) currency: Option<String>,
    /// What is on the bench.
    pub(crate) stock: Option<PathBuf>,
    /// Units that a person reads, `metric` or `us`.
    pub(crate) units: Option<UnitsWord>,
    /// Temperature of the water that is fished.
    pub(crate) water: Option<Temperature>,
    /// Its salinity.
    pub(crate) salinity: Option<Salinity>,
    /// Temperature of the water in the jar.
    pub(crate) jar: Option<Temperature>,
    /// Where they were read; `None` where there are none.
    #[serde(skip)]
    pub(crate) read_from: Option<PathBuf>,
}

/// Where the settings are unless something else is said; `None` where the platform has no place for them.
pub(crate) fn usual_place() -> Option<PathBuf> {
    let folders = etcetera::choose_base_strategy().ok()?;
    Some(folders.config_dir().join("counterpoise").join("settings.yaml"))
}

impl Settings {
    /// Reads the file that `--settings` or the environment names, or the one in the usual place if it is there; `none`
    /// reads nothing.
    pub(crate) fn read(named: Option<&Path>) -> Result<Self, Failure> {
        let path = match named {
            Some(path) if path.as_os_str() == "none" => return Ok(Self::default()),
            Some(path) => path.to_owned(),
            None => match usual_place().filter(|path| path.is_file()) {
                Some(path) => path,
                None => return Ok(Self::default()),
            },
        };
        let source = Source::open(&path)?;
        // A starter with every line still behind its # holds nothing, which is no fault of it.
        if source.text().lines().all(|line| line.trim().is_empty() || line.trim_start().starts_with('#')) {
            return Ok(Self { read_from: Some(path), ..Self::default() });
        }
        let mut settings: Self = document::read(&source)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let files = settings.catalogs.iter_mut().chain(&mut settings.calibration).chain(&mut settings.stock);
        for file in files {
            *file = folder.join(&*file);
        }
        settings.read_from = Some(path);
        Ok(settings)
    }

    /// A target whose flies are trimmed in the jar that is remembered.
    pub(crate) fn in_jar(&self, target: Target) -> Result<Target, Failure> {
        match self.jar {
            Some(jar) => target.with_jar_at(jar.celsius()).map_err(|error| Failure::usage(error.to_string(), None)),
            None => Ok(target),
        }
    }

    /// The water of a target that states none.
    pub(crate) fn usual(&self) -> TargetSpec {
        TargetSpec { water: self.water, salinity: self.salinity, ..TargetSpec::default() }
    }

    /// What an answer has to say of them; `None` where nothing was taken from a file.
    pub(crate) fn words(&self) -> Option<String> {
        let path = self.read_from.as_ref()?;
        let mut taken = Vec::new();
        let name = |file: &PathBuf| file.file_name().unwrap_or(file.as_os_str()).to_string_lossy().into_owned();
        taken.extend(
            (!self.catalogs.is_empty())
                .then(|| format!("catalog {}", self.catalogs.iter().map(name).collect::<Vec<_>>().join(", "))),
        );
        taken.extend(self.calibration.as_ref().map(|file| format!("calibration {}", name(file))));
        taken.extend(self.currency.as_ref().map(|code| format!("prices in {code}")));
        taken.extend(self.stock.as_ref().map(|file| format!("stock {}", name(file))));
        taken.extend(self.water.map(|water| format!("water at {}", TEMPERATURE.stated(water.celsius(), 1))));
        taken.extend(self.salinity.map(|salinity| format!("salinity {salinity}")));
        taken.extend(self.jar.map(|jar| format!("jar at {}", TEMPERATURE.stated(jar.celsius(), 1))));
        (!taken.is_empty()).then(|| format!("from {}: {}", path.display(), taken.join("; ")))
    }
}
