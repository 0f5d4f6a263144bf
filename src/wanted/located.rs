//! A wrong target, shown where it stands in a file.

use super::{Known, TargetError};
use crate::document::{Document, Path, Problem, closest};

impl TargetError {
    /// What would be right, if that is known.
    #[must_use]
    pub fn remedy(&self) -> Option<String> {
        match self {
            Self::Filter(error) => error.remedy(),
            Self::UnknownPart { suggestion: Some(near), .. } => Some(format!("did you mean `{near}`?")),
            Self::Word { value, known: Known::Words(words), .. } => {
                closest(value, words.iter().copied()).map(|near| format!("did you mean `{near}`?"))
            }
            Self::Several { ids, .. } => {
                Some(format!("one base that does it under each of them is asked for with `each-pattern`: {ids}"))
            }
            Self::OneDressing => {
                Some("name one with `pattern`; `find` and needs of a box take several for one base".to_owned())
            }
            Self::HookSize { near, .. } => Some(format!("the nearest are {}", near.join(" and "))),
            Self::UnknownPart { kind, .. } => Some(format!("`counterpoise catalog list {kind}` shows what there is")),
            _ => None,
        }
    }

    /// As a problem at its key below `path`; about the file as a whole if it names no key.
    #[must_use]
    pub fn problem(&self, document: &Document, path: &Path) -> Problem {
        let problem = match self.key() {
            Some(key) => document.problem(&path.key(&key.replace('-', "_")), self.to_string()),
            None => Problem::of_file(document.source().name(), self.to_string()),
        };
        match self.remedy() {
            Some(help) => problem.help(help),
            None => problem,
        }
    }
}
