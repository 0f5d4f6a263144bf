//! What the program is and what it was built with.

use counterpoise::catalog::Catalog;
use std::sync::LazyLock;

/// The versions that were built in.
const LOCK: &str = include_str!("../../Cargo.lock");

/// Libraries whose figures or texts show in answers.
const LIBRARIES: [&str; 11] = [
    "argmin",
    "csv",
    "differential-equations",
    "image",
    "libm",
    "microlp",
    "nalgebra",
    "rand_distr",
    "rand_xoshiro",
    "serde_json",
    "serde_yaml",
];

/// Version, digest of the built-in catalog, system, and libraries.
pub(crate) fn long() -> &'static str {
    // Options are set up in every run; the catalog is read for this only when it is asked for.
    if !std::env::args_os().any(|word| word == "--version") {
        return env!("CARGO_PKG_VERSION");
    }
    static TEXT: LazyLock<String> = LazyLock::new(|| {
        let catalog = Catalog::built_in().map(|catalog| catalog.digest()).unwrap_or_default();
        let build = if cfg!(debug_assertions) { "with checks for development" } else { "for release" };
        let libraries: Vec<String> =
            LIBRARIES.iter().filter_map(|name| Some(format!("{name} {}", locked(name)?))).collect();
        format!(
            "{}\nbuilt-in catalog: {catalog}\nbuilt {build}, for {} on {}\nlibraries: {}",
            env!("CARGO_PKG_VERSION"),
            std::env::consts::OS,
            std::env::consts::ARCH,
            libraries.join(", "),
        )
    });
    &TEXT
}

/// The version of a library in the lock file.
fn locked(name: &str) -> Option<&'static str> {
    let after = LOCK.split(&format!("name = \"{name}\"\nversion = \"")).nth(1)?;
    after.split('"').next()
}
