//! A day of the calendar.

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

/// A day, year first; ordered by time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

/// Text that is no day.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("`{text}` is no day; write it like 2026-03-01")]
pub struct DateError {
    text: String,
}

impl Date {
    /// The day so many days after 1970-01-01; `None` beyond the years 0 to 9999.
    ///
    /// ```
    /// use counterpoise::jar_log::Date;
    /// assert_eq!(Date::of_unix_day(20_513).unwrap().to_string(), "2026-03-01");
    /// ```
    #[must_use]
    pub fn of_unix_day(days: i64) -> Option<Self> {
        // Years begin in March here, so that the leap day comes last.
        let days = days + 719_468;
        let era = days.div_euclid(146_097);
        let of_era = days.rem_euclid(146_097);
        let year_of_era = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let from_march = (5 * of_year + 2) / 153;
        let day = of_year - (153 * from_march + 2) / 5 + 1;
        let month = if from_march < 10 { from_march + 3 } else { from_march - 9 };
        let year = year_of_era + era * 400 + i64::from(month <= 2);
        Some(Self {
            year: u16::try_from(year).ok().filter(|y| *y <= 9_999)?,
            month: u8::try_from(month).ok()?,
            day: u8::try_from(day).ok()?,
        })
    }

    /// The year.
    #[must_use]
    pub fn year(self) -> u16 {
        self.year
    }
}

fn days_in(year: u16, month: u8) -> u8 {
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        2 => 28 + u8::from(leap),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

impl FromStr for Date {
    type Err = DateError;

    fn from_str(text: &str) -> Result<Self, DateError> {
        let refuse = || DateError { text: text.to_owned() };
        let parts: Vec<&str> = text.trim().split('-').collect();
        let [year, month, day] = parts.as_slice() else { return Err(refuse()) };
        let digits = |s: &str, n: usize| s.len() == n && s.bytes().all(|b| b.is_ascii_digit());
        if !(digits(year, 4) && digits(month, 2) && digits(day, 2)) {
            return Err(refuse());
        }
        let date = Self {
            year: year.parse().map_err(|_| refuse())?,
            month: month.parse().map_err(|_| refuse())?,
            day: day.parse().map_err(|_| refuse())?,
        };
        let sound = (1..=12).contains(&date.month) && (1..=days_in(date.year, date.month)).contains(&date.day);
        if sound { Ok(date) } else { Err(refuse()) }
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl Serialize for Date {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Date {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(de::Error::custom)
    }
}

impl schemars::JsonSchema for Date {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Date".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "string", "format": "date", "examples": ["2026-03-01"] })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_of_the_calendar_only() {
        for text in ["2026-03-01", "2024-02-29", "2000-02-29"] {
            assert_eq!(text.parse::<Date>().unwrap().to_string(), text);
        }
        for text in ["2026-02-29", "1900-02-29", "2026-13-01", "2026-04-31", "26-03-01", "2026/03/01", "2026-3-1", ""] {
            assert!(text.parse::<Date>().is_err(), "{text}");
        }
        for (day, text) in [(0, "1970-01-01"), (-1, "1969-12-31"), (11_016, "2000-02-29"), (19_782, "2024-02-29")] {
            assert_eq!(Date::of_unix_day(day).unwrap().to_string(), text);
        }
        assert!("2026-03-02".parse::<Date>().unwrap() > "2026-02-28".parse::<Date>().unwrap());
    }
}
