//! Why a target, or a filter in it, makes no sense.

use crate::document::closest;
use crate::part::Kind;
use crate::physics::water::WaterError;
use crate::quantity::QuantityError;
use std::fmt;
use thiserror::Error;

/// What a key takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// One of some words.
    Words(&'static [&'static str]),
    /// Something like this.
    Like(&'static str),
}

impl fmt::Display for Known {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Words([front @ .., last]) if !front.is_empty() => {
                let front: Vec<String> = front.iter().map(|word| format!("`{word}`")).collect();
                write!(f, "{} or `{last}`", front.join(", "))
            }
            Self::Words(words) => f.write_str(&words.concat()),
            Self::Like(text) => f.write_str(text),
        }
    }
}

/// Why a stated target makes no sense.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum TargetError {
    /// A word that is none of those that the key takes.
    #[error("`{key}` is `{value}`; it takes {known}")]
    Word {
        /// Key.
        key: &'static str,
        /// Word.
        value: String,
        /// What it takes.
        known: Known,
    },
    /// A hook size that no hook of the catalog has.
    #[error("`size` is {size}; the catalog has no hook of that size")]
    HookSize {
        /// The size.
        size: u8,
        /// The nearest sizes that there are.
        near: Vec<String>,
    },
    /// A figure outside what makes sense.
    #[error("`{key}` is {value}; {range}")]
    Range {
        /// Key.
        key: &'static str,
        /// The figure, with its unit.
        value: String,
        /// What makes sense.
        range: &'static str,
    },
    /// An id that the catalog does not hold.
    #[error("`{key}`: the catalog has no {kind} `{id}`")]
    UnknownPart {
        /// Key.
        key: &'static str,
        /// Kind.
        kind: Kind,
        /// Id.
        id: String,
        /// The nearest id, if one is near.
        suggestion: Option<String>,
    },
    /// A key that says nothing without another.
    #[error("`{key}` needs `{needs}` beside it, like {like}")]
    Together {
        /// Key.
        key: &'static str,
        /// The other key.
        needs: &'static str,
        /// What the other might say.
        like: &'static str,
    },
    /// Two keys that say the same thing.
    #[error("`{key}` and `{other}` both name dressings; keep one of them")]
    NotBoth {
        /// Key.
        key: &'static str,
        /// The other key.
        other: &'static str,
    },
    /// An id that is listed twice.
    #[error("`{key}` names `{id}` twice")]
    Twice {
        /// Key.
        key: &'static str,
        /// Id.
        id: String,
    },
    /// A list that is too long.
    #[error("`{key}` names {count}; at most {most} make sense")]
    TooMany {
        /// Key.
        key: &'static str,
        /// How many it has.
        count: usize,
        /// How many it may have.
        most: usize,
    },
    /// Several dressings where one is named.
    #[error("`{key}` takes one dressing, and `{ids}` are several")]
    Several {
        /// Key.
        key: &'static str,
        /// The ids, as a list takes them.
        ids: String,
    },
    /// Several dressings where one is needed.
    #[error("`each-pattern` names several dressings; one is needed here")]
    OneDressing,
    /// A range of depths where one is needed.
    #[error("`depth` is a range; one depth is needed here")]
    OneDepth,
    /// Water out of range.
    #[error(transparent)]
    Water(#[from] WaterError),
    /// A filter that cannot be read.
    #[error(transparent)]
    Filter(#[from] FilterError),
    /// A length that is no cut.
    #[error(transparent)]
    Quantity(#[from] QuantityError),
}

impl TargetError {
    /// The key that is wrong, where one is known.
    #[must_use]
    pub fn key(&self) -> Option<&'static str> {
        match self {
            Self::Word { key, .. }
            | Self::Range { key, .. }
            | Self::UnknownPart { key, .. }
            | Self::NotBoth { key, .. }
            | Self::Twice { key, .. }
            | Self::TooMany { key, .. }
            | Self::Several { key, .. }
            | Self::Together { key, .. } => Some(key),
            Self::HookSize { .. } => Some("size"),
            Self::OneDepth => Some("depth"),
            Self::OneDressing => Some("each-pattern"),
            Self::Water(WaterError::Temperature { .. }) => Some("water"),
            Self::Water(WaterError::Salinity { .. }) => Some("salinity"),
            Self::Water(WaterError::AirPressure { .. }) => Some("air-pressure"),
            Self::Filter(_) | Self::Quantity(_) => None,
        }
    }
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
    /// An id or a material that no part of the kind has.
    #[error("filter `{text}`: the catalog has no {what} `{id}`")]
    UnknownId {
        /// The filter.
        text: String,
        /// Kind of part, or its material.
        what: &'static str,
        /// The id.
        id: String,
        /// The nearest id, if one is near.
        suggestion: Option<String>,
    },
    /// A size that no part of the kind has.
    #[error("filter `{text}`: the catalog has no {kind} of size {size}")]
    NoSize {
        /// The filter.
        text: String,
        /// Kind.
        kind: Kind,
        /// The size, as it was written.
        size: String,
        /// The nearest sizes that there are, each as a filter takes it.
        near: Vec<String>,
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

impl FilterError {
    /// What would be right, if that is known.
    #[must_use]
    pub fn remedy(&self) -> Option<String> {
        let meant = |near: &str| format!("did you mean `{near}`?");
        let among = |word: &str, known: &str| closest(word, known.split(", ")).map(meant);
        match self {
            Self::UnknownId { suggestion: Some(near), .. } => Some(meant(near)),
            Self::UnknownId { what: "colour", .. } => Some(
                "`counterpoise catalog list bead` and `catalog list foam` show the colours that there are".to_owned(),
            ),
            Self::UnknownId { what, .. } => Some(format!("`counterpoise catalog list {what}` shows what there is")),
            Self::UnknownKind { kind, .. } => closest(kind, Kind::ALL.map(Kind::word)).map(meant),
            Self::UnknownAttribute { attribute, known, .. } => among(attribute, known),
            Self::UnknownValue { value, known, .. } => among(value, known),
            Self::NoSize { near, .. } => Some(format!("the nearest are {}", near.join(" and "))),
            Self::NoEquals { .. } | Self::Size { .. } => None,
        }
    }
}
