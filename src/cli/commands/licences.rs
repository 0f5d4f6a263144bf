//! `licences`: what may be done with the program, and with the libraries in it.

use crate::failure::Failure;
use crate::outcome::Outcome;
use crate::output;

/// The texts that travel with every copy.
const TEXTS: [&str; 3] = [
    include_str!("../../../LICENSE"),
    include_str!("../../../LICENSE-THIRD-PARTY"),
    include_str!("../../../LICENSE-APACHE"),
];

/// Writes all licences to standard output.
pub(crate) fn run() -> Result<Outcome, Failure> {
    output::print(|out| Ok(write!(out, "{}", TEXTS.join("\n\n"))?))?;
    Ok(Outcome::Met)
}
