//! In what a half-tied fly is hung: in air, in the hand over the vice; or in the water of a jar.

use super::Stage;

/// In what a fly is hung.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Medium {
    /// In the hand, dry: masses alone.
    Air,
    /// In a jar: masses and volumes.
    Water,
}

impl Medium {
    /// Both, the quicker one first.
    pub const ALL: [Self; 2] = [Self::Air, Self::Water];

    /// The word used in files, on the command line and in reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Air => "air",
            Self::Water => "water",
        }
    }

    /// The medium with this word, if there is one.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|m| m.word() == word)
    }

    /// Where that is, for a person.
    #[must_use]
    pub fn place(self) -> &'static str {
        match self {
            Self::Air => "in the hand",
            Self::Water => "in the jar",
        }
    }
}

/// A test at the vice: the half-tied fly hung by its eye after a stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct HangTest {
    /// After which stage.
    pub stage: Stage,
    /// In what.
    pub medium: Medium,
}

impl HangTest {
    /// In the jar after a stage.
    #[must_use]
    pub fn in_jar(stage: Stage) -> Self {
        Self { stage, medium: Medium::Water }
    }

    /// In the hand after a stage.
    #[must_use]
    pub fn in_hand(stage: Stage) -> Self {
        Self { stage, medium: Medium::Air }
    }
}
