//! Part filters: "only this bead material", "not that foam".
//!
//! A filter reads `KIND[.ATTRIBUTE]=VALUE[,VALUE...]`: `bead.material=brass`, `bead.size=2.5mm..3.5mm`, `wire=none`,
//! `foam.cut=quarter,eighth`, `bead.mount=eye`, `hook.style=jig-60`. `only` keeps what matches, `not` drops it.

use crate::catalog::Catalog;
use crate::fly::{Fly, FrontMount};
use crate::part::{Bead, Cut, Foam, FoamForm, Hook, Kind, Pin, Wire};
use crate::quantity::{Interval, Length, QuantityError};
use crate::recipe::Seat;
use std::fmt;
use thiserror::Error;

/// What a filter looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Attribute {
    Id,
    Material,
    Size,
    Style,
    Mount,
    Cut,
    Seat,
}

impl Attribute {
    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Id => "id",
            Self::Material => "material",
            Self::Size => "size",
            Self::Style => "style",
            Self::Mount => "mount",
            Self::Cut => "cut",
            Self::Seat => "seat",
        }
    }

    pub(super) fn of_kind(kind: Kind) -> &'static [Self] {
        match kind {
            Kind::Hook => &[Self::Id, Self::Material, Self::Size, Self::Style],
            Kind::Bead => &[Self::Id, Self::Material, Self::Size, Self::Mount],
            Kind::Pin => &[Self::Id, Self::Material, Self::Size],
            Kind::Wire => &[Self::Id, Self::Material, Self::Size],
            Kind::Foam => &[Self::Id, Self::Material, Self::Size, Self::Cut, Self::Seat],
            Kind::Dressing => &[Self::Id],
        }
    }
}

#[derive(Debug, Clone, PartialEq)]
enum Value {
    None,
    Word(String),
    Size(Interval<Length>),
    HookSize(u8),
}

/// One part filter.
#[derive(Debug, Clone, PartialEq)]
pub struct Filter {
    /// Keep what matches; otherwise drop it.
    pub keep: bool,
    /// The text that it was read from.
    pub text: String,
    kind: Kind,
    attribute: Attribute,
    values: Vec<Value>,
}

/// Why a filter cannot be read.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FilterError {
    /// No `=`.
    #[error("filter `{text}` has no `=`; write KIND=ID or KIND.ATTRIBUTE=VALUE, like `bead.material=brass`")]
    NoEquals {
        /// The filter.
        text: String,
    },
    /// Unknown kind.
    #[error("filter `{text}`: `{kind}` is no kind of part; kinds are hook, bead, pin, wire, foam, dressing")]
    UnknownKind {
        /// The filter.
        text: String,
        /// The word.
        kind: String,
    },
    /// Unknown attribute.
    #[error("filter `{text}`: a {kind} has no `{attribute}`; it has {known}")]
    UnknownAttribute {
        /// The filter.
        text: String,
        /// Kind.
        kind: Kind,
        /// The word.
        attribute: String,
        /// What there is.
        known: String,
    },
    /// A value that means nothing there.
    #[error("filter `{text}`: `{value}` is not one of {known}")]
    UnknownValue {
        /// The filter.
        text: String,
        /// The word.
        value: String,
        /// What there is.
        known: String,
    },
    /// An id or a material that the catalog does not hold.
    #[error("filter `{text}`: the catalog has no {what} `{id}`")]
    UnknownId {
        /// The filter.
        text: String,
        /// Kind of part, or material.
        what: &'static str,
        /// The id.
        id: String,
        /// The nearest id, if one is near.
        suggestion: Option<String>,
    },
    /// A size that cannot be read.
    #[error("filter `{text}`: {source}")]
    Size {
        /// The filter.
        text: String,
        /// What is wrong.
        source: QuantityError,
    },
}

impl Filter {
    /// Reads a filter; `keep` for `only`, otherwise `not`.
    ///
    /// # Errors
    /// Says which word is wrong and what would be right.
    pub fn parse(text: &str, keep: bool) -> Result<Self, FilterError> {
        let (left, right) = text.split_once('=').ok_or_else(|| FilterError::NoEquals { text: text.to_owned() })?;
        let (kind, attribute) = subject(text, left.trim())?;
        let values = right.split(',').map(|v| value(text, kind, attribute, v.trim())).collect::<Result<_, _>>()?;
        Ok(Self { keep, text: text.to_owned(), kind, attribute, values })
    }

    /// Refuses ids and materials that the catalog does not hold: a misspelled one would match nothing.
    ///
    /// # Errors
    /// The first such word, with the nearest that there is.
    pub fn check(&self, catalog: &Catalog) -> Result<(), FilterError> {
        let words = self.values.iter().filter_map(|v| match v {
            Value::Word(word) => Some(word),
            _ => None,
        });
        for word in words {
            let (what, known, near) = match self.attribute {
                Attribute::Id => (
                    self.kind.word(),
                    catalog.rows(self.kind).iter().any(|row| row.id == *word),
                    catalog.suggest(self.kind, word),
                ),
                Attribute::Material => ("material", catalog.material(word).is_some(), catalog.suggest_material(word)),
                _ => return Ok(()),
            };
            if !known {
                let suggestion = near.map(str::to_owned);
                return Err(FilterError::UnknownId { text: self.text.clone(), what, id: word.clone(), suggestion });
            }
        }
        Ok(())
    }

    /// Whether a hook, and nothing else, passes.
    #[must_use]
    pub fn passes_hook(&self, hook: &Hook) -> bool {
        self.kind != Kind::Hook || self.matches(|v| hook_is(hook, self.attribute, v)) == self.keep
    }

    /// Whether a bead on its mount, or no bead, passes.
    #[must_use]
    pub fn passes_front(&self, front: Option<(&Bead, FrontMount)>) -> bool {
        match front {
            None => self.passes_no_bead() && self.passes_pin(None),
            Some((bead, FrontMount::Eye)) => self.passes_bead(bead, "eye") && self.passes_pin(None),
            Some((bead, FrontMount::Pin(pin, _))) => self.passes_bead(bead, "pin") && self.passes_pin(Some(pin)),
        }
    }

    fn passes_no_bead(&self) -> bool {
        self.kind != Kind::Bead || self.matches(|v| *v == Value::None) == self.keep
    }

    /// Whether a bead passes on a mount, `eye` or `pin`; the pin is another matter.
    #[must_use]
    pub fn passes_bead(&self, bead: &Bead, mount: &str) -> bool {
        self.kind != Kind::Bead
            || self.matches(|v| match (self.attribute, v) {
                (Attribute::Mount, Value::Word(w)) => w == mount,
                (a, v) => part_is(&bead.row.id, &bead.material.id, bead.diameter, a, v),
            }) == self.keep
    }

    /// Whether a pin, or none, passes.
    #[must_use]
    pub fn passes_pin(&self, pin: Option<&Pin>) -> bool {
        self.kind != Kind::Pin
            || self.matches(|v| match (v, pin) {
                (Value::None, p) => p.is_none(),
                (v, Some(p)) => part_is(&p.row.id, &p.material.id, p.diameter, self.attribute, v),
                (_, None) => false,
            }) == self.keep
    }

    /// Whether a wire, or none, passes.
    #[must_use]
    pub fn passes_wire(&self, wire: Option<&Wire>) -> bool {
        self.kind != Kind::Wire
            || self.matches(|v| match (v, wire) {
                (Value::None, w) => w.is_none(),
                (v, Some(w)) => part_is(&w.row.id, &w.material.id, w.diameter, self.attribute, v),
                (_, None) => false,
            }) == self.keep
    }

    /// Whether a foam stock, cut and seat, or none, passes.
    #[must_use]
    pub fn passes_foam(&self, foam: Option<(&Foam, Cut, Seat)>) -> bool {
        self.kind != Kind::Foam
            || self.matches(|v| match (v, foam) {
                (Value::None, f) => f.is_none(),
                (v, Some((foam, cut, seat))) => match self.attribute {
                    Attribute::Cut => matches!(v, Value::Word(w) if w == cut.word()),
                    Attribute::Seat => matches!(v, Value::Word(w) if w == seat.word()),
                    a => part_is(&foam.row.id, &foam.solid.id, foam_size(foam), a, v),
                },
                (_, None) => false,
            }) == self.keep
    }

    /// Whether a whole fly passes.
    #[must_use]
    pub fn passes(&self, fly: &Fly) -> bool {
        self.passes_hook(fly.hook)
            && self.passes_front(fly.bead)
            && self.passes_wire(fly.wraps.map(|w| w.wire))
            && self.passes_foam(fly.foam.map(|f| (f.foam, f.cut, f.seat)))
            && (self.kind != Kind::Dressing
                || self.matches(|v| matches!(v, Value::Word(w) if *w == fly.dressing.row.id)) == self.keep)
    }

    fn matches(&self, test: impl Fn(&Value) -> bool) -> bool {
        self.values.iter().any(test)
    }
}

impl fmt::Display for Filter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", if self.keep { "only" } else { "not" }, self.text)
    }
}

/// Reads `KIND` or `KIND.ATTRIBUTE` within `text`.
pub(super) fn subject(text: &str, left: &str) -> Result<(Kind, Attribute), FilterError> {
    let (kind_word, attribute_word) = left.split_once('.').unwrap_or((left, "id"));
    let kind = Kind::ALL
        .into_iter()
        .find(|k| k.word() == kind_word)
        .ok_or_else(|| FilterError::UnknownKind { text: text.to_owned(), kind: kind_word.to_owned() })?;
    let known = Attribute::of_kind(kind);
    let attribute =
        known.iter().copied().find(|a| a.word() == attribute_word).ok_or_else(|| FilterError::UnknownAttribute {
            text: text.to_owned(),
            kind,
            attribute: attribute_word.to_owned(),
            known: words(known.iter().map(|a| a.word())),
        })?;
    Ok((kind, attribute))
}

fn words<'a>(list: impl Iterator<Item = &'a str>) -> String {
    list.collect::<Vec<_>>().join(", ")
}

/// Size of a foam stock: diameter of a rod, thickness of a strip.
pub(super) fn foam_size(foam: &Foam) -> f64 {
    match foam.form {
        FoamForm::Rod { diameter } => diameter,
        FoamForm::Strip { thickness, .. } => thickness,
    }
}

/// Sizes match within a hundredth of a millimetre, so that "3.5mm" and "9/64 in" mean the sizes they name.
const SIZE_SLACK: f64 = 1e-5;

fn part_is(id: &str, material: &str, size: f64, attribute: Attribute, value: &Value) -> bool {
    match (attribute, value) {
        (Attribute::Id, Value::Word(w)) => w == id,
        (Attribute::Material, Value::Word(w)) => w == material,
        (Attribute::Size, Value::Size(interval)) => {
            interval.low().is_none_or(|low| size >= low.m() - SIZE_SLACK)
                && interval.high().is_none_or(|high| size <= high.m() + SIZE_SLACK)
        }
        _ => false,
    }
}

fn hook_is(hook: &Hook, attribute: Attribute, value: &Value) -> bool {
    match (attribute, value) {
        (Attribute::Style, Value::Word(w)) => w == hook.style.word(),
        (Attribute::Size, Value::HookSize(size)) => *size == hook.size,
        (a, v) => part_is(&hook.row.id, &hook.material.id, hook.wire_diameter, a, v),
    }
}

fn value(text: &str, kind: Kind, attribute: Attribute, word: &str) -> Result<Value, FilterError> {
    let unknown = |known: String| FilterError::UnknownValue { text: text.to_owned(), value: word.to_owned(), known };
    let listed = |known: Vec<&'static str>| {
        if known.contains(&word) { Ok(Value::Word(word.to_owned())) } else { Err(unknown(words(known.into_iter()))) }
    };
    if word == "none" && !matches!(kind, Kind::Hook | Kind::Dressing) {
        return Ok(Value::None);
    }
    match attribute {
        Attribute::Id | Attribute::Material => Ok(Value::Word(word.to_owned())),
        Attribute::Style => listed(crate::part::HookStyle::ALL.iter().map(|s| s.word()).collect()),
        Attribute::Mount => listed(vec!["eye", "pin"]),
        Attribute::Cut => listed(Cut::ALL.iter().map(|c| c.word()).collect()),
        Attribute::Seat => listed(Seat::ALL.iter().map(|s| s.word()).collect()),
        Attribute::Size if kind == Kind::Hook => {
            word.parse().map(Value::HookSize).map_err(|_| unknown("the hook sizes, like 8".to_owned()))
        }
        Attribute::Size => {
            word.parse().map(Value::Size).map_err(|source| FilterError::Size { text: text.to_owned(), source })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_must_be_in_the_catalog() {
        let catalog = Catalog::built_in().unwrap();
        let said = |text: &str| Filter::parse(text, true).unwrap().check(&catalog);
        assert_eq!(said("bead=tungsten-3.5,none"), Ok(()));
        assert_eq!(said("bead.material=brass"), Ok(()));
        let Err(FilterError::UnknownId { what: "bead", suggestion, .. }) = said("bead=tungten-3.5") else {
            panic!("refused")
        };
        assert_eq!(suggestion.as_deref(), Some("tungsten-3.5"));
        assert_eq!(
            said("wire.material=gold").unwrap_err().to_string(),
            "filter `wire.material=gold`: the catalog has no material `gold`"
        );
    }

    #[test]
    fn wrong_words_say_what_would_be_right() {
        for (text, expected) in [
            ("bead", "has no `=`"),
            ("beed=x", "kinds are hook, bead"),
            ("bead.colour=red", "it has id, material, size, mount"),
            ("foam.cut=third", "whole, half, quarter, eighth"),
            ("bead.size=3.5", "unit"),
        ] {
            let message = Filter::parse(text, true).unwrap_err().to_string();
            assert!(message.contains(expected), "{text}: {message}");
        }
    }
}
