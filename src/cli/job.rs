//! What every command starts from: catalog, format, threads.

use crate::args::{Format, GlobalArgs};
use crate::failure::Failure;
use crate::output;
use crate::progress::SearchLine;
use crate::settings::Settings;
use counterpoise::calibrate::Calibration;
use counterpoise::catalog::Catalog;
use counterpoise::document::{Diagnostics, Source};
use counterpoise::jar_log::Date;
use counterpoise::quantity::Units;
use counterpoise::report::sheet::{Paper, Sheet};
use counterpoise::report::{Answer, ReportError, json, yaml};
use counterpoise::wanted::Assumption;
use serde::Serialize;
use std::cell::{Cell, RefCell};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// What every command starts from.
pub(crate) struct Job {
    /// Format of the answer.
    pub(crate) format: Format,
    paper: Paper,
    quiet: bool,
    catalogs: Vec<PathBuf>,
    calibration: Option<Calibration>,
    /// What is remembered between runs.
    pub(crate) settings: Settings,
    /// Whether the corrected catalog was handed out.
    looked_into: Cell<bool>,
    /// Digest of the catalog that was handed out, before any correction.
    digest: RefCell<Option<String>>,
}

impl Job {
    /// Starts the threads and takes the options over.
    pub(crate) fn start(global: &GlobalArgs) -> Result<Self, Failure> {
        if let Some(threads) = global.threads {
            rayon::ThreadPoolBuilder::new().num_threads(usize::from(threads)).build_global()?;
        }
        let read = |path: &PathBuf| Calibration::read(&open(path)?);
        let settings = Settings::read(global.settings.as_deref())?;
        let calibration = global.calibration.as_ref().or(settings.calibration.as_ref()).map(read).transpose()?;
        let catalogs = settings.catalogs.iter().chain(&global.catalog).cloned().collect();
        let (format, quiet, looked_into) = (global.format, global.quiet, Cell::new(false));
        if let (Format::Table, Some(units)) = (format, global.units.or(settings.units)) {
            Units::from(units).show();
        }
        let paper = Paper::across(global.columns(), global.why);
        let digest = RefCell::default();
        Ok(Self { format, paper, quiet, catalogs, calibration, settings, looked_into, digest })
    }

    /// The built-in catalog with the files of `--catalog` on top, corrected by `--calibration`.
    pub(crate) fn catalog(&self) -> Result<Catalog, Failure> {
        let catalog = self.plain_catalog()?;
        self.looked_into.set(true);
        match &self.calibration {
            Some(calibration) => Ok(calibration.apply(&catalog)?),
            None => Ok(catalog),
        }
    }

    /// The catalog without any calibration.
    pub(crate) fn plain_catalog(&self) -> Result<Catalog, Failure> {
        let mut catalog = Catalog::with_overlays(&self.overlays()?)?;
        if let Some(code) = &self.settings.currency {
            catalog = catalog.priced_in(code).map_err(|own| {
                let text = format!("the settings name prices in {code}, but your own catalog files give them in {own}");
                Failure::usage(text, Some("amounts are not converted: let both say the same".to_owned()))
            })?;
        }
        *self.digest.borrow_mut() = Some(catalog.digest());
        Ok(catalog)
    }

    /// Refuses a calibration where it would be counted twice.
    pub(crate) fn refuse_calibration(&self, why: &str) -> Result<(), Failure> {
        match &self.calibration {
            Some(_) => Err(Failure::usage(why, Some("leave --calibration out".to_owned()))),
            None => Ok(()),
        }
    }

    /// The beginning of an answer: its body, what it was worked out from, and what the catalog was corrected by if it was
    /// looked into.
    pub(crate) fn answer<B>(&self, command: &'static str, body: B) -> Answer<B> {
        self.with_origin(Answer::with_body(command, body))
    }

    /// An answer that says what it was worked out from, and what the catalog was corrected by if it was looked into.
    pub(crate) fn with_origin<B>(&self, answer: Answer<B>) -> Answer<B> {
        let corrects = self.calibration.as_ref().filter(|_| self.looked_into.get());
        let answer = answer.from_parts(self.digest.borrow().clone(), corrects.map(Calibration::digest));
        let said = corrects.map(Calibration::words);
        let answer = answer.assuming(said.map(|text| Assumption { key: "calibration", text }));
        answer.assuming(self.settings.words().map(|text| Assumption { key: "settings", text }))
    }

    /// What the catalog is corrected by, in words.
    pub(crate) fn corrected(&self) -> Option<String> {
        self.calibration.as_ref().map(Calibration::words)
    }

    /// The files of `--catalog`.
    pub(crate) fn overlays(&self) -> Result<Vec<Source>, Diagnostics> {
        open_all(&self.catalogs)
    }

    /// A progress line for a search, which ends with the best so far after some time where a limit is given.
    pub(crate) fn search_line(&self, limit: Option<Duration>) -> SearchLine {
        SearchLine::new(self.quiet, limit)
    }

    /// Tells a person something beside the answer.
    pub(crate) fn note(&self, text: &str) {
        if !self.quiet {
            output::note(text);
        }
    }

    /// Writes an answer in the format asked for. `table` and `csv` write what differs from command to command.
    pub(crate) fn print<B: Serialize>(
        &self,
        answer: &Answer<B>,
        table: impl FnOnce(&mut Sheet) -> Result<(), ReportError>,
        csv: impl FnOnce(&mut dyn Write) -> Result<(), ReportError>,
    ) -> Result<(), Failure> {
        output::print(|out| match self.format {
            Format::Table => table(&mut Sheet::new(out, self.paper)),
            Format::Json => json::write(out, answer),
            Format::Yaml => yaml::write(out, answer),
            Format::Csv => csv(out),
        })
    }
}

/// The last day that has come anywhere on Earth; `None` where the clock is not set.
pub(crate) fn today() -> Option<Date> {
    let now = SystemTime::now().duration_since(UNIX_EPOCH).ok()?;
    Date::of_unix_day(i64::try_from(now.as_secs() / 86_400).ok()? + 1)
}

/// Opens a file; `-` is standard input.
pub(crate) fn open(path: &Path) -> Result<Source, Diagnostics> {
    if path.as_os_str() == "-" { Source::from_reader("standard input", io::stdin().lock()) } else { Source::open(path) }
}

/// Opens files and reports all that cannot be read.
pub(crate) fn open_all(paths: &[PathBuf]) -> Result<Vec<Source>, Diagnostics> {
    let mut problems = Diagnostics::new();
    let mut sources = Vec::with_capacity(paths.len());
    for path in paths {
        match open(path) {
            Ok(source) => sources.push(source),
            Err(found) => problems.extend(found),
        }
    }
    problems.or(sources)
}
