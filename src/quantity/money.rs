//! Exact money.

use super::{QuantityError, parse};
use serde::de::{Deserializer, Visitor};
use serde::ser::Serializer;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, Mul, Sub};
use std::str::FromStr;

const MICRO: i64 = 1_000_000;
/// Amounts read must be below this many units, so that they have at most 15 digits and a JSON number holds them exactly.
const READ_LIMIT: i64 = 1_000_000_000;

/// An amount of money in millionths of the currency unit; which currency is stated once, elsewhere.
///
/// Sums, multiples and shares are integer arithmetic, so a total never depends on the order of adding and two recipes
/// cost the same only when they do. Arithmetic stops at the ends of the range (about ±9.2e12 units) instead of wrapping.
///
/// ```
/// use counterpoise::quantity::Money;
/// let pack: Money = "4.50".parse()?;
/// let one_of_25 = pack.share(1, 25);
/// assert_eq!(one_of_25, "0.18".parse()?);
/// assert_eq!(pack.share(1, 7).fine(), "0.6429");
/// # Ok::<(), counterpoise::quantity::QuantityError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(i64);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// From millionths of the currency unit.
    pub const fn from_micros(micros: i64) -> Self {
        Self(micros)
    }

    /// Millionths of the currency unit.
    pub const fn micros(self) -> i64 {
        self.0
    }

    /// Whole hundredths of the currency, rounded half up: the price as lists show it.
    #[must_use]
    pub const fn cents(self) -> i64 {
        (self.0 + 5_000).div_euclid(10_000)
    }

    /// What `numerator` out of `denominator` equal shares of this amount cost: self * numerator / denominator, exact,
    /// rounded half up to a millionth. Stops at the ends of the range; a share of nothing (`denominator` 0) costs the
    /// largest amount there is, so that it never looks cheap.
    #[must_use]
    pub fn share(self, numerator: u64, denominator: u64) -> Self {
        if denominator == 0 {
            return Self(i64::MAX);
        }
        // |i64| * u64 stays within i128.
        let product = i128::from(self.0) * i128::from(numerator);
        let divisor = i128::from(denominator);
        let up = i128::from(2 * product.rem_euclid(divisor) >= divisor);
        let share = product.div_euclid(divisor) + up;
        Self(share.clamp(i128::from(i64::MIN), i128::from(i64::MAX)) as i64)
    }

    /// At least two and at most four decimals, for what one fly takes of a pack: "0.0375", "0.18", "1.20".
    pub fn fine(self) -> String {
        let text = self.decimal(4);
        let spare = text.len() - text.trim_end_matches('0').len();
        text[..text.len() - spare.min(2)].to_owned()
    }

    /// Every digit there is, at least two decimals: "4.50", "0.192857".
    pub fn exact(self) -> String {
        let text = self.decimal(6);
        let spare = text.len() - text.trim_end_matches('0').len();
        text[..text.len() - spare.min(4)].to_owned()
    }

    /// Rounded to 1 to 6 decimals, halves away from zero.
    fn decimal(self, decimals: u32) -> String {
        let step = 10_u64.pow(6 - decimals);
        let steps = (self.0.unsigned_abs() + step / 2) / step;
        let per_unit = 10_u64.pow(decimals);
        let sign = if self.0 < 0 && steps > 0 { "-" } else { "" };
        format!("{sign}{}.{:0width$}", steps / per_unit, steps % per_unit, width = decimals as usize)
    }
}

impl FromStr for Money {
    type Err = QuantityError;

    /// Reads a plain decimal, digit by digit: nothing passes through binary.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let text = text.trim();
        let not_money = || QuantityError::NotMoney { text: text.to_owned() };
        let unsigned = text.strip_prefix(['-', '+']).unwrap_or(text);
        if unsigned.contains(',') {
            return Err(parse::comma(text, text.len() - unsigned.len()));
        }
        let (whole, part) = unsigned.split_once('.').unwrap_or((unsigned, ""));
        let all_digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        if whole.len() + part.len() == 0 || !all_digits(whole) || !all_digits(part) {
            return Err(not_money());
        }
        let part = part.trim_end_matches('0');
        if part.len() > 6 {
            return Err(QuantityError::MoneyTooFine { text: text.to_owned() });
        }
        let out_of_range = || QuantityError::MoneyOutOfRange { text: text.to_owned() };
        let units: i64 = format!("0{whole}").parse().map_err(|_| out_of_range())?;
        if units >= READ_LIMIT {
            return Err(out_of_range());
        }
        let micros: i64 = format!("{part:0<6}").parse().map_err(|_| not_money())?;
        let amount = units * MICRO + micros;
        Ok(Self(if text.starts_with('-') { -amount } else { amount }))
    }
}

impl fmt::Display for Money {
    /// Two decimals, halves away from zero; see [`Money::fine`] for more.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.decimal(2))
    }
}

impl Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl Sub for Money {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl Mul<u32> for Money {
    type Output = Self;
    fn mul(self, count: u32) -> Self {
        Self(self.0.saturating_mul(i64::from(count)))
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Self>>(amounts: I) -> Self {
        amounts.fold(Self::ZERO, Add::add)
    }
}

impl serde::Serialize for Money {
    /// A number, whose shortest decimal form is the exact amount for anything below 1e9 units.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(self.0 as f64 / MICRO as f64)
    }
}

impl<'de> serde::Deserialize<'de> for Money {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(MoneyVisitor)
    }
}

struct MoneyVisitor;

impl Visitor<'_> for MoneyVisitor {
    type Value = Money;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an amount of money, like `4.50`")
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Money, E> {
        text.parse().map_err(E::custom)
    }

    fn visit_f64<E: serde::de::Error>(self, number: f64) -> Result<Money, E> {
        // The shortest decimal that reads as this number is what the person wrote.
        self.visit_str(&number.to_string())
    }

    fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<Money, E> {
        self.visit_str(&number.to_string())
    }

    fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<Money, E> {
        self.visit_str(&number.to_string())
    }
}

impl schemars::JsonSchema for Money {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Money".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "number", "description": "an amount of money, without its currency" })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn money(text: &str) -> Money {
        text.parse().unwrap_or_else(|e| panic!("{text}: {e}"))
    }

    #[test]
    fn reads_decimals_exactly() {
        for (text, micros) in [
            ("4.50", 4_500_000),
            ("4.5", 4_500_000),
            ("12", 12_000_000),
            (".35", 350_000),
            ("-0.1", -100_000),
            ("0.000001", 1),
            ("007.10", 7_100_000),
            ("0.1000000000", 100_000),
            ("999999999.999999", 999_999_999_999_999),
        ] {
            assert_eq!(money(text).micros(), micros, "{text}");
        }
        let yaml = |text: &str| crate::yaml::from_str::<Money>(text).unwrap();
        assert_eq!(yaml("4.50"), money("4.5"));
        assert_eq!(yaml("'4.50'"), money("4.5"));
        assert_eq!(yaml("4"), money("4"));
        assert_eq!(yaml("0.1"), money("0.1"));
        assert_eq!(yaml("1e-6"), money("0.000001"));
    }

    #[test]
    fn refuses_the_rest() {
        let refusal = |text: &str| text.parse::<Money>().unwrap_err().to_string();
        assert_eq!(refusal("4,50"), "`4,50` has a comma: write 4.50, not 4,50");
        assert_eq!(
            refusal("0.1234567"),
            "`0.1234567` has more than six decimals: the smallest amount kept is 0.000001"
        );
        assert_eq!(
            refusal("1000000000"),
            "`1000000000` is outside the range of an amount, below 1000000000 either way"
        );
        let plain = "is not an amount of money: write the number alone, like `4.50`; the currency is stated once";
        for text in ["$4.50", "4.50 EUR", "", ".", "-", "4.5.0", "1e3", "NaN", "--4", "4-"] {
            assert_eq!(refusal(text), format!("`{text}` {plain}"));
        }
        assert!(crate::yaml::from_str::<Money>(".inf").is_err());
        assert!(crate::yaml::from_str::<Money>("1e30").is_err());
    }

    #[test]
    fn shares_round_half_up() {
        let share = |micros, top, bottom| Money::from_micros(micros).share(top, bottom).micros();
        assert_eq!(share(3, 1, 2), 2);
        assert_eq!(share(-3, 1, 2), -1);
        assert_eq!(share(10, 1, 3), 3);
        assert_eq!(share(11, 1, 3), 4);
        assert_eq!(share(1, 1, 0), i64::MAX);
        assert_eq!(share(i64::MAX, 2, 1), i64::MAX);
        assert_eq!(share(i64::MIN, u64::MAX, u64::MAX), i64::MIN);
    }

    #[test]
    fn shown_with_two_to_four_decimals() {
        for (text, two, fine) in [
            ("4.5", "4.50", "4.50"),
            ("0.0375", "0.04", "0.0375"),
            ("0.038", "0.04", "0.038"),
            ("0.005", "0.01", "0.005"),
            ("-0.005", "-0.01", "-0.005"),
            ("-0.001", "0.00", "-0.001"),
            ("1.99999", "2.00", "2.00"),
            ("0", "0.00", "0.00"),
        ] {
            assert_eq!((money(text).to_string().as_str(), money(text).fine().as_str()), (two, fine), "{text}");
        }
        assert_eq!(format!("{:>7}", money("4.5")), "   4.50");
        let exact = |text| money(text).exact();
        assert_eq!([exact("4.5"), exact("0.192857"), exact("-3")], ["4.50", "0.192857", "-3.00"]);
    }

    #[test]
    fn adds_and_multiplies_and_stops_at_the_ends() {
        let total: Money = [money("0.1"), money("0.2")].into_iter().sum();
        assert_eq!(total, money("0.3"));
        assert_eq!(money("0.3") - money("0.4"), money("-0.1"));
        assert_eq!(money("1.25") * 3, money("3.75"));
        assert_eq!(Money::from_micros(i64::MAX) + money("1"), Money::from_micros(i64::MAX));
        assert_eq!(Money::from_micros(i64::MIN) - money("1"), Money::from_micros(i64::MIN));
        assert_eq!(Money::from_micros(i64::MAX) * 2, Money::from_micros(i64::MAX));
    }

    proptest! {
        #[test]
        fn reads_back_exactly(micros in -999_999_999_999_999..=999_999_999_999_999_i64) {
            let amount = Money::from_micros(micros);
            prop_assert_eq!(money(&amount.decimal(6)), amount);
            prop_assert_eq!(money(&amount.exact()), amount);
            let yaml = crate::yaml::to_string(&amount).unwrap();
            prop_assert_eq!(crate::yaml::from_str::<Money>(&yaml).unwrap(), amount);
            let json = serde_json::to_string(&amount).unwrap();
            prop_assert_eq!(serde_json::from_str::<Money>(&json).unwrap(), amount);
        }

        #[test]
        fn shares_of_a_pack_sum_to_the_pack(micros in 0..1_000_000_000_i64, parts in 1..500_u64) {
            let pack = Money::from_micros(micros);
            let one = pack.share(1, parts);
            let back = i128::from(one.micros()) * i128::from(parts) - i128::from(micros);
            prop_assert!(2 * back.unsigned_abs() <= u128::from(parts));
            prop_assert_eq!(pack.share(parts, parts), pack);
        }
    }
}
