//! Warnings and cautions: a stable code and a sentence.

use crate::physics::warning::{Warning, note_worst};
use serde::Serialize;

/// A warning or a caution.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, schemars::JsonSchema)]
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

/// The warnings of many recipes in few lines, each kind and wording once.
#[must_use]
pub fn merged_warnings<'a>(recipes: impl Iterator<Item = &'a [Warning]>) -> Vec<Notice> {
    let mut merged: Vec<Warning> = Vec::new();
    let mut outside = 0;
    let mut count = 0;
    for warnings in recipes {
        count += 1;
        for warning in warnings {
            outside += usize::from(matches!(warning, Warning::OutsideRange { .. }));
            note_worst(&mut merged, warning.clone());
        }
    }
    let notice = |warning: &Warning| {
        let mut notice = Notice::from(warning);
        if count > 1 && matches!(warning, Warning::OutsideRange { .. }) {
            notice.text = format!("in {outside} of {count} recipes up to {}", notice.text);
        }
        notice
    };
    merged.iter().map(notice).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_line_for_all_that_are_outside() {
        let (a, b) = ([Warning::OutsideRange { share: 0.3 }], [Warning::OutsideRange { share: 0.5 }]);
        let merged = merged_warnings([a.as_slice(), b.as_slice(), &[]].into_iter());
        assert_eq!(merged.len(), 1);
        assert!(merged[0].text.starts_with("in 2 of 3 recipes up to 50 % of the drag"), "{}", merged[0].text);
        assert!(merged_warnings(std::iter::once(a.as_slice()))[0].text.starts_with("30 % of the drag"));
    }
}
