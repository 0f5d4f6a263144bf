//! Why a quantity was refused, in words that say what would be right.

use super::Kind;
use thiserror::Error;

/// A text or number that is not the quantity expected. The message names the text, the trouble and the remedy.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum QuantityError {
    /// Nothing was written.
    #[error("{} is missing: write it like `{}`", .kind.with_article(), .kind.example())]
    Empty {
        /// What was expected.
        kind: Kind,
    },
    /// The text does not start with a number.
    #[error("`{text}` is not {}: write it like `{}`", .kind.with_article(), .kind.example())]
    NotANumber {
        /// The text as written.
        text: String,
        /// What was expected.
        kind: Kind,
    },
    /// A number alone.
    #[error("{} needs a unit: did you mean {}?", .kind.with_article(), with_units(.number, *.kind))]
    MissingUnit {
        /// The number as written.
        number: String,
        /// What was expected.
        kind: Kind,
    },
    /// A decimal comma or a thousands comma.
    #[error("`{text}` has a comma: write {instead}, not {written}")]
    Comma {
        /// The text as written.
        text: String,
        /// The number with its comma.
        written: String,
        /// The number as it should be written.
        instead: String,
    },
    /// A unit of another kind.
    #[error("`{text}` is {}, {} was expected", .found.with_article(), .expected.with_article())]
    WrongKind {
        /// The text as written.
        text: String,
        /// The kind its unit belongs to.
        found: Kind,
        /// What was expected.
        expected: Kind,
    },
    /// A unit that is in no table.
    #[error("`{unit}` in `{text}` is not a unit of {}: use {}", .kind.name(), .kind.unit_list())]
    UnknownUnit {
        /// The text as written.
        text: String,
        /// The unit part.
        unit: String,
        /// What was expected.
        kind: Kind,
    },
    /// A unit that means two things.
    #[error("`gr` in `{text}` may be grains or grams: write `grain` or `g`")]
    GrainOrGram {
        /// The text as written.
        text: String,
    },
    /// A fraction over zero.
    #[error("`{text}` divides by zero")]
    ZeroDenominator {
        /// The text as written.
        text: String,
    },
    /// NaN, infinity, or a number beyond what can be held.
    #[error("`{text}` is not a finite {}", .kind.name())]
    NotFinite {
        /// The text as written.
        text: String,
        /// What was expected.
        kind: Kind,
    },
    /// Below the smallest value the kind can have.
    #[error("`{text}` is impossible: {} cannot be below {} {}", .kind.with_article(), .kind.least(), .kind.base_unit())]
    TooLow {
        /// The text as written.
        text: String,
        /// What was expected.
        kind: Kind,
    },
    /// A range whose ends are the wrong way round.
    #[error("`{text}` runs backwards: write the smaller end first")]
    Backwards {
        /// The text as written.
        text: String,
    },
    /// `<` or `>` without `=`.
    #[error("`{text}`: write `>=` or `<=`, the limit itself is allowed")]
    StrictLimit {
        /// The text as written.
        text: String,
    },
    /// A cut or position that micrometres in 32 bits cannot hold.
    #[error("{mm} mm is outside the range of a cut or position, 2147 m either way")]
    CutOutOfRange {
        /// The number of millimetres asked for.
        mm: f64,
    },
    /// Text that is not a plain decimal amount.
    #[error("`{text}` is not an amount of money: write the number alone, like `4.50`; the currency is stated once")]
    NotMoney {
        /// The text as written.
        text: String,
    },
    /// More decimals than are kept.
    #[error("`{text}` has more than six decimals: the smallest amount kept is 0.000001")]
    MoneyTooFine {
        /// The text as written.
        text: String,
    },
    /// An amount of a thousand million or more.
    #[error("`{text}` is outside the range of an amount, below 1000000000 either way")]
    MoneyOutOfRange {
        /// The text as written.
        text: String,
    },
}

/// "`3 mm` or `3 m`".
fn with_units(number: &str, kind: Kind) -> String {
    kind.usual_units().iter().map(|unit| format!("`{number} {unit}`")).collect::<Vec<_>>().join(" or ")
}
