//! Every reader of text, as one table.

use counterpoise::calibrate::Calibration;
use counterpoise::catalog::Catalog;
use counterpoise::document::{Document, Source};
use counterpoise::fly_box::spec::BoxOrder;
use counterpoise::jar_log::{JarLog, entries_from_csv};
use counterpoise::quantity::{Angle, Interval, Length, Mass, Microns, Money, Speed, Temperature, Time};
use counterpoise::recipe_file::RecipeDocument;
use counterpoise::stock::StockFile;
use counterpoise::wanted::TargetSpec;
use std::path::Path;

/// Reads a text against the built-in catalog, and says whether it was accepted.
pub(crate) type Reader = fn(&str, &Catalog) -> bool;

/// Every reader of text with its name.
pub(crate) const READERS: [(&str, Reader); 9] = [
    ("units", units),
    ("target", target),
    ("recipe", recipe),
    ("catalog", catalog),
    ("box", fly_box),
    ("stock", stock),
    ("log", log),
    ("calibration", calibration),
    ("csv", csv),
];

fn source(text: &str) -> Source {
    Source::new("file.yaml", text)
}

/// Messages are made, too: they quote and locate what is wrong.
fn accepted<T>(read: Result<T, counterpoise::document::Diagnostics>) -> bool {
    match read {
        Ok(_) => true,
        Err(problems) => {
            assert!(!problems.is_empty() && problems.to_string().len() < 200_000);
            false
        }
    }
}

fn units(text: &str, _: &Catalog) -> bool {
    text.parse::<Length>().is_ok()
        | text.parse::<Mass>().is_ok()
        | text.parse::<Angle>().is_ok()
        | text.parse::<Time>().is_ok()
        | text.parse::<Temperature>().is_ok()
        | text.parse::<Money>().is_ok()
        | text.parse::<Interval<Speed>>().is_ok()
        | text.parse::<Length>().is_ok_and(|length| Microns::from_length(length).is_ok())
}

fn target(text: &str, built_in: &Catalog) -> bool {
    let Ok(document) = Document::open(&source(text)).map_err(|problems| problems.to_string()) else { return false };
    let (spec, problems) = document.decode::<TargetSpec>();
    accepted(problems.or(())) && spec.is_some_and(|spec| spec.resolve(built_in).is_ok())
}

fn recipe(text: &str, built_in: &Catalog) -> bool {
    accepted(RecipeDocument::read(&source(text)).and_then(|recipe| recipe.resolve(built_in).map(|_| ())))
}

fn catalog(text: &str, _: &Catalog) -> bool {
    accepted(Catalog::with_overlays(&[source(text)]))
}

fn fly_box(text: &str, built_in: &Catalog) -> bool {
    accepted(BoxOrder::read(&source(text), built_in))
}

fn stock(text: &str, built_in: &Catalog) -> bool {
    accepted(StockFile::read(&source(text), built_in))
}

fn log(text: &str, built_in: &Catalog) -> bool {
    accepted(JarLog::read(&source(text), Path::new("examples/logs")).and_then(|log| log.check_parts(built_in)))
}

fn calibration(text: &str, _: &Catalog) -> bool {
    accepted(Calibration::read(&source(text)))
}

fn csv(text: &str, _: &Catalog) -> bool {
    entries_from_csv(text).map_err(|faults| accepted::<()>(Err(faults.problems("table.csv")))).is_ok()
}
