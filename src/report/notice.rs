//! Warnings and cautions: a stable code and a sentence.

use crate::physics::warning::Warning;
use serde::Serialize;

/// A warning or a caution.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Notice {
    /// Short and stable, for programs.
    pub code: &'static str,
    /// For people.
    pub text: String,
}

impl Notice {
    /// A notice.
    #[must_use]
    pub fn new(code: &'static str, text: impl Into<String>) -> Self {
        Self { code, text: text.into() }
    }
}

impl From<&Warning> for Notice {
    fn from(warning: &Warning) -> Self {
        Self::new(warning.code(), warning.to_string())
    }
}

/// The warnings of many recipes in few lines: one for each correlation and quantity outside its range, the others once each.
#[must_use]
pub fn merged_warnings<'a>(recipes: impl Iterator<Item = &'a [Warning]>) -> Vec<Notice> {
    let mut notices: Vec<Notice> = Vec::new();
    let mut outside: Vec<Outside> = Vec::new();
    let mut count = 0;
    for warnings in recipes {
        count += 1;
        for warning in warnings {
            match warning {
                Warning::OutsideRange { correlation, quantity, value, range } => {
                    match outside.iter_mut().find(|o| o.correlation == *correlation && o.quantity == *quantity) {
                        Some(known) => known.add(*value),
                        None => outside.push(Outside {
                            correlation,
                            quantity,
                            values: (*value, *value),
                            range: *range,
                            recipes: 1,
                        }),
                    }
                }
                Warning::SecondRest { .. } | Warning::Floats | Warning::NotFollowed => {
                    let notice = Notice::from(warning);
                    if !notices.contains(&notice) {
                        notices.push(notice);
                    }
                }
            }
        }
    }
    notices.extend(outside.iter().map(|o| o.notice(count)));
    notices
}

struct Outside {
    correlation: &'static str,
    quantity: &'static str,
    values: (f64, f64),
    range: (f64, f64),
    recipes: usize,
}

impl Outside {
    fn add(&mut self, value: f64) {
        self.values = (self.values.0.min(value), self.values.1.max(value));
        self.recipes += 1;
    }

    fn notice(&self, of: usize) -> Notice {
        let Self { correlation, quantity, values, range, .. } = self;
        let span = if values.0 == values.1 {
            format!("{quantity} {:.3}", values.0)
        } else {
            format!("{quantity} {:.3} to {:.3}", values.0, values.1)
        };
        let who = if of > 1 { format!(" (in {} of {of} recipes)", self.recipes) } else { String::new() };
        let text = format!("{correlation} is used at {span}, outside its range {} to {}{who}", range.0, range.1);
        Notice::new("outside-range", text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_line_for_a_correlation() {
        let quantity = "Reynolds number";
        let at = |value| [Warning::OutsideRange { correlation: "c", quantity, value, range: (1.0, 2.0) }];
        let (a, b) = (at(0.1), at(0.5));
        let merged = merged_warnings([a.as_slice(), b.as_slice(), &[]].into_iter());
        assert_eq!(merged.len(), 1);
        assert_eq!(
            merged[0].text,
            "c is used at Reynolds number 0.100 to 0.500, outside its range 1 to 2 (in 2 of 3 recipes)"
        );
        assert_eq!(
            merged_warnings(std::iter::once(a.as_slice()))[0].text,
            "c is used at Reynolds number 0.100, outside its range 1 to 2"
        );
    }
}
