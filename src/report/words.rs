//! Figures in the words of someone at a vice.

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

/// A number with so many decimals, and no sign on a zero.
///
/// ```
/// use counterpoise::report::words::fixed;
/// assert_eq!((fixed(-1.25, 2), fixed(-0.004, 2)), ("-1.25".to_owned(), "0.00".to_owned()));
/// ```
#[must_use]
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|c| matches!(c, '0' | '.')) => digits.to_owned(),
        _ => text,
    }
}

/// A number with so many decimals and no spare zeros: "3.5", "12", "0.38".
///
/// ```
/// use counterpoise::report::words::short;
/// assert_eq!((short(3.5, 2), short(12.0, 2), short(-0.001, 2)), ("3.5".to_owned(), "12".to_owned(), "0".to_owned()));
/// ```
#[must_use]
pub fn short(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
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
/// "0.13 (0.11 to 0.15)": a sink rate and its band, m/s, without the sign of a fly that rises.
#[must_use]
pub fn rate_words(rate: f64, low: f64, high: f64) -> String {
    let (a, b) = (low.abs().min(high.abs()), low.abs().max(high.abs()));
    format!("{:.2} ({a:.2} to {b:.2})", rate.abs())
}
