//! Figures in the words of someone at a vice.

use crate::quantity::shown::RATE;
pub use crate::quantity::shown::{fixed, short};

/// Degrees to one decimal with the way it tips: "3.2° tail down", "1.0° head down", "level" within a twentieth of a
/// degree.
///
/// ```
/// use counterpoise::report::words::hang_words;
/// assert_eq!(hang_words(3.24), "3.2° tail down");
/// assert_eq!(hang_words(-1.0), "1.0° head down");
/// assert_eq!(hang_words(-0.04), "level");
/// ```
#[must_use]
pub fn hang_words(angle_deg: f64) -> String {
    if angle_deg.abs() < 0.05 {
        return "level".to_owned();
    }
    format!("{:.1}° {}", angle_deg.abs(), if angle_deg > 0.0 { "tail down" } else { "head down" })
}

/// "40.1° to 23.4° head down", or "3.6° head down to 6.4° tail down".
#[must_use]
pub fn between(a: f64, b: f64) -> String {
    let words = (hang_words(a), hang_words(b));
    let ends = ["tail down", "head down"];
    match ends.into_iter().find(|end| words.0.ends_with(end) && words.1.ends_with(end)) {
        Some(end) => format!("{}to {}", words.0.trim_end_matches(end), words.1),
        None => format!("{} to {}", words.0, words.1),
    }
}

/// A count with its thousands apart: "1 234 567".
///
/// ```
/// use counterpoise::report::words::grouped;
/// assert_eq!((grouped(999), grouped(1_234_567)), ("999".to_owned(), "1 234 567".to_owned()));
/// ```
#[must_use]
pub fn grouped(count: u64) -> String {
    let digits = count.to_string();
    let first = digits.len() % 3;
    let mut text = digits[..first].to_owned();
    for chunk in digits.as_bytes()[first..].chunks(3) {
        if !text.is_empty() {
            text.push(' ');
        }
        text.extend(chunk.iter().map(|b| char::from(*b)));
    }
    text
}

/// "0.13 (0.11 to 0.15) m/s": a sink rate and its band, without the sign of a fly that rises.
#[must_use]
pub fn rate_words(rate: f64, low: f64, high: f64) -> String {
    format!("{} {} {}", RATE.fixed(rate.abs(), 2), band_words(low, high), RATE.unit())
}

/// "(0.11 to 0.15)": the band of a sink rate.
#[must_use]
pub fn band_words(low: f64, high: f64) -> String {
    let (a, b) = (low.abs().min(high.abs()), low.abs().max(high.abs()));
    format!("({} to {})", RATE.fixed(a, 2), RATE.fixed(b, 2))
}
