//! The idea behind a fly: what weighs its front and what lifts its rear, in words of the trade.

use super::{Fly, FrontMount};
use crate::recipe::Seat;
use std::fmt;

/// What weighs the front.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FrontWeight {
    /// A head moulded on the hook.
    Head,
    /// A bead against the eye.
    EyeBead,
    /// A bead on a pin ahead of the eye.
    PinBead,
    /// No bead: wire wound on the shank, or the hook alone.
    NoBead,
}

/// Where foam lifts it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Lift {
    /// In the tail, where it can be trimmed when the fly is finished: over, along or under the line of the shank.
    Tail,
    /// Along the shank, over or under it.
    Body,
}

impl Lift {
    /// Of a seat.
    #[must_use]
    pub fn of(seat: Seat) -> Self {
        if seat.in_tail() { Self::Tail } else { Self::Body }
    }
}

/// How a fly is balanced. Wire, whether behind a bead or alone, and the side of the shank on which foam lies are matters of
/// degree, no ideas of their own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Idea {
    /// What weighs its front.
    pub front: FrontWeight,
    /// Where foam lifts it, if any does.
    pub foam: Option<Lift>,
}

impl Idea {
    /// The idea of a fly.
    #[must_use]
    pub fn of(fly: &Fly) -> Self {
        let front = match (&fly.hook.head, fly.bead) {
            (Some(_), _) => FrontWeight::Head,
            (None, Some((_, FrontMount::Eye))) => FrontWeight::EyeBead,
            (None, Some((_, FrontMount::Pin(..)))) => FrontWeight::PinBead,
            (None, None) => FrontWeight::NoBead,
        };
        Self { front, foam: fly.foam.map(|piece| Lift::of(piece.seat)) }
    }
}

impl fmt::Display for Idea {
    /// "bead at the eye with tail foam", "moulded head", "body foam without bead".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let front = match self.front {
            FrontWeight::Head => "moulded head",
            FrontWeight::EyeBead => "bead at the eye",
            FrontWeight::PinBead => "bead on a pin",
            FrontWeight::NoBead => "without bead",
        };
        match (self.front, self.foam) {
            (FrontWeight::NoBead, None) => f.write_str("neither bead nor foam"),
            (FrontWeight::NoBead, Some(Lift::Tail)) => write!(f, "tail foam {front}"),
            (FrontWeight::NoBead, Some(Lift::Body)) => write!(f, "body foam {front}"),
            (_, None) => f.write_str(front),
            (_, Some(Lift::Tail)) => write!(f, "{front} with tail foam"),
            (_, Some(Lift::Body)) => write!(f, "{front} with body foam"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_idea_has_its_own_words() {
        let mut said = Vec::new();
        for front in [FrontWeight::EyeBead, FrontWeight::Head, FrontWeight::PinBead, FrontWeight::NoBead] {
            for foam in [None, Some(Lift::Tail), Some(Lift::Body)] {
                said.push(Idea { front, foam }.to_string());
            }
        }
        assert_eq!(said[1], "bead at the eye with tail foam");
        assert_eq!((said[3].as_str(), said[10].as_str()), ("moulded head", "tail foam without bead"));
        said.sort();
        said.dedup();
        assert_eq!(said.len(), 12);
    }
}
