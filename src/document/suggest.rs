//! What was probably meant.

/// Longest text that is compared, bytes: the work grows with its length, and no key or id is that long.
const LONGEST: usize = 200;

/// The candidate nearest to what was written: same after lower-casing, or at most a third of its letters away (never
/// more than three edits, a swap of neighbours counting as one); else the shortest that holds all of its words, since
/// people leave words out. Suggested, never assumed.
///
/// ```
/// use counterpoise::document::closest;
/// assert_eq!(closest("tungten-3.5", ["brass-3.5", "tungsten-3.5"]), Some("tungsten-3.5"));
/// assert_eq!(closest("tungsten", ["brass", "tungsten-alloy-95", "tungsten-alloy"]), Some("tungsten-alloy"));
/// assert_eq!(closest("feather", ["brass-3.5", "tungsten-3.5"]), None);
/// ```
#[must_use]
pub fn closest<'a>(written: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if written.len() > LONGEST {
        return None;
    }
    let written = written.to_lowercase();
    let limit = (written.chars().count() / 3).clamp(1, 3);
    let candidates: Vec<&str> = candidates.into_iter().collect();
    let near = candidates
        .iter()
        .map(|c| (strsim::damerau_levenshtein(&written, &c.to_lowercase()), *c))
        .filter(|(edits, _)| *edits <= limit)
        .min();
    let holding = || candidates.iter().filter(|c| holds(c, &written)).min_by_key(|c| c.len()).copied();
    near.map(|(_, candidate)| candidate).or_else(holding)
}

/// Whether every word of `written`, which is in lower case, is a word of `candidate`; a lone letter or digit is none.
fn holds(candidate: &str, written: &str) -> bool {
    let candidate = candidate.to_lowercase();
    let words: Vec<&str> = candidate.split(['-', '_', ' ']).collect();
    written.chars().nth(2).is_some() && written.split(['-', '_', ' ']).all(|word| words.contains(&word))
}

/// Units that end a key.
const UNITS: [&str; 21] = [
    "mm", "cm", "m", "um", "in", "inch", "mg", "g", "kg", "oz", "grain", "deg", "rad", "c", "s", "pa", "kpa", "mn",
    "m_s", "g_cm3", "kg_m3",
];

/// A key without the unit at its end.
fn stem(key: &str) -> &str {
    let suffix = UNITS
        .iter()
        .filter(|unit| {
            // By bytes, and ASCII alone: other letters may change their length with their case.
            let (front, end) = key.as_bytes().split_at(key.len().saturating_sub(unit.len()));
            front.len() > 1 && front.ends_with(b"_") && end.eq_ignore_ascii_case(unit.as_bytes())
        })
        .map(|unit| unit.len() + 1)
        .max();
    &key[..key.len() - suffix.unwrap_or(0)]
}

/// The known key that is the written one and a unit.
pub(super) fn with_unit(written: &str, known: &[&'static str]) -> Option<&'static str> {
    known.iter().copied().find(|key| stem(key) == written && *key != written)
}

/// The known key that differs only in the unit, or that is spelled nearly alike.
pub(super) fn intended_key(written: &str, known: &[&'static str]) -> Option<&'static str> {
    let other_unit = known.iter().copied().find(|k| stem(k) == stem(written) && stem(k) != *k);
    other_unit.or_else(|| closest(written, known.iter().copied()))
}

/// Help for an unknown key, from those that are known there.
pub(super) fn key_help(written: &str, known: &[&'static str]) -> String {
    match intended_key(written, known) {
        Some(key) if stem(key) == stem(written) && stem(key) != key => {
            return format!("did you mean `{key}`? the number is in the unit that the key names");
        }
        Some(key) => return format!("did you mean `{key}`?"),
        None => {}
    }
    let list = known.iter().map(|k| format!("`{k}`")).collect::<Vec<_>>().join(", ");
    if known.is_empty() { "no keys are read here".to_owned() } else { format!("the keys read here are {list}") }
}

/// Help for an unknown word, from those that are known there.
pub(super) fn word_help(written: &str, known: &[&str]) -> String {
    match closest(written, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("it is one of {}", known.iter().map(|k| format!("`{k}`")).collect::<Vec<_>>().join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_that_change_length_with_their_case_are_no_trap() {
        // The Kelvin sign is three bytes long, and one when it is lower-cased; the dotted capital I grows.
        for key in ["mass_\u{212a}g", "\u{212a}_g", "mass_\u{130}n", "_g", "g", "", "\u{e9}_mm", "m\u{e9}_\u{e9}"] {
            let help = key_help(key, &["mass_mg", "diameter_mm"]);
            assert!(!help.is_empty(), "{key}");
        }
        assert_eq!(intended_key("mass_KG", &["mass_mg"]), Some("mass_mg"));
        assert_eq!(stem("diameter_MM"), "diameter");
        assert_eq!(stem("_mm"), "_mm");
    }

    #[test]
    fn what_is_far_too_long_is_like_nothing() {
        assert_eq!(closest(&"x".repeat(4_000_000), ["x"]), None);
    }
}
