//! Points in the tying at which a fly can be hung by its eye.

use crate::fly::Fly;
use crate::part::{Component, ComponentRole};
use crate::physics::body::Label;

/// A point in the tying at which the fly can be hung by its eye. Common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Bead (and pin) on the hook; a bare hook where there is none.
    Bead,
    /// Wire wound.
    Wire,
    /// Thread base laid. All the thread is counted here, though some of it comes later.
    Thread,
    /// Foam bound in.
    Foam,
    /// Fibres tied in at the bend.
    Tail,
    /// Fibres along the shank.
    Body,
    /// Fibres tied in along the shank that reach far behind it.
    Wing,
    /// Varnish or other adhesive: the finished fly.
    Finish,
}

impl Stage {
    /// All of them, in order.
    pub const ALL: [Self; 8] =
        [Self::Bead, Self::Wire, Self::Thread, Self::Foam, Self::Tail, Self::Body, Self::Wing, Self::Finish];

    /// The word used on the command line and in reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Bead => "bead",
            Self::Wire => "wire",
            Self::Thread => "thread",
            Self::Foam => "foam",
            Self::Tail => "tail",
            Self::Body => "body",
            Self::Wing => "wing",
            Self::Finish => "finish",
        }
    }

    /// The stage with this word, if there is one.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.word() == word)
    }

    /// The stage at which a part goes on.
    #[must_use]
    pub fn of(label: Label, fly: &Fly) -> Self {
        match label {
            Label::Hook | Label::Head | Label::Bead | Label::Pin => Self::Bead,
            Label::Wraps => Self::Wire,
            Label::Foam => Self::Foam,
            Label::Dressing(i) => fly.dressing.components.get(usize::from(i)).map_or(Self::Finish, Self::of_component),
        }
    }

    /// From shank length 0.9 on a fibre counts as tied in at the bend; past 1.3 it reaches behind the hook.
    fn of_component(component: &Component) -> Self {
        match component.role {
            ComponentRole::Thread => Self::Thread,
            ComponentRole::Adhesive => Self::Finish,
            ComponentRole::Fibre if component.from >= 0.9 => Self::Tail,
            ComponentRole::Fibre if component.to > 1.3 => Self::Wing,
            ComponentRole::Fibre => Self::Body,
        }
    }

    /// The stages of a fly: those at which something goes on.
    #[must_use]
    pub fn of_fly(fly: &Fly) -> Vec<Self> {
        let on = |stage: Self| match stage {
            Self::Bead => true,
            Self::Wire => fly.wraps.is_some(),
            Self::Foam => fly.foam.is_some(),
            other => fly.dressing.components.iter().any(|c| Self::of_component(c) == other),
        };
        Self::ALL.into_iter().filter(|s| on(*s)).collect()
    }
}
