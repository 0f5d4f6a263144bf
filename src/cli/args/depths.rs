//! A list of depths, like `0.5,1,2,3,5m`: the unit of the last serves those that have none.

use counterpoise::quantity::{Length, QuantityError};
use std::str::FromStr;

/// Depths in the order given.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Depths(pub(crate) Vec<Length>);

impl FromStr for Depths {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let last = text.rsplit(',').next().unwrap_or(text).trim();
        let unit = last.trim_start_matches(|c: char| !c.is_alphabetic());
        text.split(',')
            .map(|item| {
                let bare = !item.contains(char::is_alphabetic);
                if bare { format!("{} {unit}", item.trim()).parse() } else { item.parse() }
            })
            .collect::<Result<_, _>>()
            .map(Self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_unit_serves_all() {
        let read = |text: &str| text.parse::<Depths>().map(|d| d.0.iter().map(|l| l.m()).collect::<Vec<_>>());
        assert_eq!(read("0.5,1, 2m").ok(), Some(vec![0.5, 1.0, 2.0]));
        assert_eq!(read("50cm,1 m").ok(), Some(vec![0.5, 1.0]));
        assert!(read("1,2").is_err() && read("1,,2m").is_err() && read("").is_err());
    }
}
