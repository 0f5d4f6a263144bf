//! Reading a number and its unit out of what a person wrote.

use super::QuantityError;
use super::unit::{self, Kind, Unit, WORDS};

/// A number and the text after it, blanks removed from both ends.
pub(super) struct Scanned<'a> {
    pub(super) value: f64,
    pub(super) number: &'a str,
    pub(super) unit: &'a str,
}

/// Reads `text` as a value of `kind`: in the base unit, and the unit it is written in, where it is no word.
pub(super) fn value(text: &str, kind: Kind) -> Result<(f64, Option<&'static Unit>), QuantityError> {
    let text = text.trim();
    if let Some((_, found, value)) = WORDS.iter().find(|(word, ..)| text.eq_ignore_ascii_case(word)) {
        return if *found == kind { Ok((*value, None)) } else { Err(wrong_kind(text, *found, kind)) };
    }
    let scanned = scan(text, kind)?;
    if scanned.unit.is_empty() {
        return Err(QuantityError::MissingUnit { number: scanned.number.to_owned(), kind });
    }
    let unit = unit_of(text, scanned.unit, kind)?;
    // Adding zero turns -0 into 0, so "-0 g" and "0 g" are the same mass.
    let base = unit.to_base(scanned.value) + 0.0;
    if !base.is_finite() {
        return Err(QuantityError::NotFinite { text: text.to_owned(), kind });
    }
    if base < kind.least() {
        return Err(QuantityError::TooLow { text: text.to_owned(), kind });
    }
    Ok((base, Some(unit)))
}

/// The unit of `kind` that has this name in `text`.
fn unit_of(text: &str, name: &str, kind: Kind) -> Result<&'static Unit, QuantityError> {
    let text = text.to_owned();
    if name.eq_ignore_ascii_case("gr") && kind == Kind::Mass {
        return Err(QuantityError::GrainOrGram { text });
    }
    match unit::find(name) {
        Some(unit) if unit.kind == kind => Ok(unit),
        Some(unit) => Err(wrong_kind(&text, unit.kind, kind)),
        None => Err(QuantityError::UnknownUnit { text, unit: name.to_owned(), kind }),
    }
}

fn wrong_kind(text: &str, found: Kind, expected: Kind) -> QuantityError {
    QuantityError::WrongKind { text: text.to_owned(), found, expected }
}

/// Splits `text` after its leading number: decimal ("-3.5", "1e-3"), fraction ("5/32") or mixed ("1 1/8").
pub(super) fn scan(text: &str, kind: Kind) -> Result<Scanned<'_>, QuantityError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(QuantityError::Empty { kind });
    }
    let owned = || text.to_owned();
    let (sign, start) = match text.chars().next() {
        Some(c @ ('-' | '−')) => (-1.0, c.len_utf8()),
        Some('+') => (1.0, 1),
        _ => (1.0, 0),
    };
    let body = &text[start..];
    let (size, used) = match ratio(body) {
        Some((whole, top, bottom, used)) => {
            if bottom == 0.0 {
                return Err(QuantityError::ZeroDenominator { text: owned() });
            }
            (whole + top / bottom, used)
        }
        None => match decimal(body) {
            Some(found) => found,
            None if not_finite_word(body) => {
                return Err(QuantityError::NotFinite { text: owned(), kind });
            }
            None if body.starts_with(',') => return Err(comma(text, start)),
            None => {
                return Err(QuantityError::NotANumber { text: owned(), kind });
            }
        },
    };
    let rest = &body[used..];
    if rest.starts_with(',') {
        return Err(comma(text, start));
    }
    if rest.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | '/')) {
        return Err(QuantityError::NotANumber { text: owned(), kind });
    }
    if !size.is_finite() {
        return Err(QuantityError::NotFinite { text: owned(), kind });
    }
    Ok(Scanned { value: sign * size, number: text[..start + used].trim(), unit: rest.trim() })
}

fn not_finite_word(body: &str) -> bool {
    let word: String = body.chars().take_while(|c| c.is_alphabetic()).collect();
    ["nan", "inf", "infinity"].iter().any(|w| word.eq_ignore_ascii_case(w))
}

fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// "3", "3.5", ".5", "3.", "1e-3": the value and how many bytes it took.
fn decimal(body: &str) -> Option<(f64, usize)> {
    let whole = digits(body);
    let mut end = whole;
    let mut any = whole > 0;
    if body[end..].starts_with('.') {
        let part = digits(&body[end + 1..]);
        any |= part > 0;
        end += 1 + part;
    }
    if !any {
        return None;
    }
    if let Some(tail) = body[end..].strip_prefix(['e', 'E']) {
        let signed = usize::from(tail.starts_with(['+', '-']));
        let part = digits(&tail[signed..]);
        if part > 0 {
            end += 1 + signed + part;
        }
    }
    body[..end].parse().ok().map(|value| (value, end))
}

/// "5/32", "1 1/8" or "1-1/8": whole, numerator, denominator, bytes taken.
fn ratio(body: &str) -> Option<(f64, f64, f64, usize)> {
    let first = digits(body);
    if first == 0 {
        return None;
    }
    let after = &body[first..];
    if let Some((bottom, used)) = denominator(after) {
        return Some((0.0, body[..first].parse().ok()?, bottom, first + used));
    }
    let gap = after.len() - after.trim_start_matches([' ', '-']).len();
    let second = digits(&after[gap..]);
    if gap == 0 || second == 0 {
        return None;
    }
    let (bottom, used) = denominator(&after[gap + second..])?;
    let top = after[gap..gap + second].parse().ok()?;
    Some((body[..first].parse().ok()?, top, bottom, first + gap + second + used))
}

fn denominator(text: &str) -> Option<(f64, usize)> {
    let tail = text.strip_prefix('/')?;
    let count = digits(tail);
    Some((tail[..count].parse().ok()?, 1 + count))
}

/// The refusal for a comma, with the number as it should be: 3.5 for 3,5, and both readings for 1,000.
pub(super) fn comma(text: &str, start: usize) -> QuantityError {
    let body = &text[start..];
    let end = body.find(|c: char| !(c.is_ascii_digit() || matches!(c, ',' | '.'))).unwrap_or(body.len());
    let written = &body[..end];
    let groups: Vec<&str> = written.split(',').collect();
    let instead = match groups.as_slice() {
        [whole, part] if part.len() == 3 && !written.contains('.') && digits(whole) > 0 => {
            format!("{whole}{part} or {whole}.{part}")
        }
        [whole, part] if !written.contains('.') && !part.is_empty() => {
            format!("{}.{part}", if whole.is_empty() { "0" } else { whole })
        }
        _ => "one decimal point and no commas".to_owned(),
    };
    QuantityError::Comma { text: text.to_owned(), written: written.to_owned(), instead }
}
