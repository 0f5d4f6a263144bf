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
    /// Wraps of wire and no bead.
    Wire,
    /// The bare hook.
    Hook,
}

/// How a fly is balanced.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Idea {
    /// What weighs its front.
    pub front: FrontWeight,
    /// Where foam lifts it, if any does.
    pub foam: Option<Seat>,
}

impl Idea {
    /// The idea of a fly. Wire behind a bead or a head is no idea of its own.
    #[must_use]
    pub fn of(fly: &Fly) -> Self {
        let front = match (&fly.hook.head, fly.bead, fly.wraps) {
            (Some(_), _, _) => FrontWeight::Head,
            (None, Some((_, FrontMount::Eye)), _) => FrontWeight::EyeBead,
            (None, Some((_, FrontMount::Pin(..))), _) => FrontWeight::PinBead,
            (None, None, Some(_)) => FrontWeight::Wire,
            (None, None, None) => FrontWeight::Hook,
        };
        Self { front, foam: fly.foam.map(|piece| piece.seat) }
    }
}

impl fmt::Display for Idea {
    /// "bead at the eye with tail foam", "moulded head", "wire and back foam without bead".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let front = match self.front {
            FrontWeight::Head => "moulded head",
            FrontWeight::EyeBead => "bead at the eye",
            FrontWeight::PinBead => "bead on a pin",
            FrontWeight::Wire => "wire",
            FrontWeight::Hook => "hook",
        };
        match (self.front, self.foam) {
            (FrontWeight::Wire | FrontWeight::Hook, None) => write!(f, "{front} alone"),
            (FrontWeight::Wire | FrontWeight::Hook, Some(seat)) => write!(f, "{front} and {seat} foam without bead"),
            (_, None) => f.write_str(front),
            (_, Some(seat)) => write!(f, "{front} with {seat} foam"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_idea_has_its_own_words() {
        let mut said = Vec::new();
        use FrontWeight::{EyeBead, Head, Hook, PinBead, Wire};
        for front in [Head, EyeBead, PinBead, Wire, Hook] {
            for foam in [None, Some(Seat::Tail), Some(Seat::Back), Some(Seat::Belly)] {
                said.push(Idea { front, foam }.to_string());
            }
        }
        assert_eq!(said[5], "bead at the eye with tail foam");
        assert_eq!((said[0].as_str(), said[14].as_str()), ("moulded head", "wire and back foam without bead"));
        said.sort();
        said.dedup();
        assert_eq!(said.len(), 20);
    }
}
