//! A recipe: everything needed to tie one fly, by catalog ids, counts, positions and cuts.

use crate::part::{Cut, Kind};
use crate::quantity::Microns;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Where the bead sits.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mount {
    /// Pushed up against the eye.
    Eye,
    /// On a pin ahead of the eye, against the pin's head.
    Pin {
        /// Pin id.
        pin: String,
        /// From the tie point forward to the front of the pin's head.
        projection: Microns,
    },
}

/// A bead and its mount.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BeadUse {
    /// Bead id.
    pub id: String,
    /// Where it sits.
    pub mount: Mount,
}

/// Close-wound wraps in one layer.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WireUse {
    /// Wire id.
    pub id: String,
    /// Number of turns, at least 1.
    pub turns: u32,
    /// From the rear of what fills the front of the shank (bead, moulded head; else the corner) to the first turn.
    pub start: Microns,
}

/// Where a piece of foam is bound.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Seat {
    /// Bound by its front end on the rear of the shank, on the side away from the point; trails aft in the tail, over the
    /// line of the shank.
    Tail,
    /// The same in line with the shank: bound round it, its centre behind the bend on the line of the shank.
    TailAlong,
    /// The same on the point side: trails under the line of the shank.
    TailUnder,
    /// Lies along the shank on the side away from the point, its rear end at the bend.
    Back,
    /// Lies along the shank on the point side, its rear end at the bend.
    Belly,
}

impl Seat {
    /// All seats.
    pub const ALL: [Self; 5] = [Self::Tail, Self::TailAlong, Self::TailUnder, Self::Back, Self::Belly];

    /// Whether it is bound at its front end only and trails in the tail.
    #[must_use]
    pub fn in_tail(self) -> bool {
        matches!(self, Self::Tail | Self::TailAlong | Self::TailUnder)
    }

    /// On which side of the line of the shank it lies: 1 the point's, -1 the other, 0 in line.
    #[must_use]
    pub fn side(self) -> f64 {
        match self {
            Self::Tail | Self::Back => -1.0,
            Self::TailAlong => 0.0,
            Self::TailUnder | Self::Belly => 1.0,
        }
    }

    /// The word used in recipes and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Tail => "tail",
            Self::TailAlong => "tail-along",
            Self::TailUnder => "tail-under",
            Self::Back => "back",
            Self::Belly => "belly",
        }
    }

    /// The seat with this word, if there is one.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.word() == word)
    }
}

impl fmt::Display for Seat {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// One piece of foam.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FoamUse {
    /// Foam stock id.
    pub id: String,
    /// Lengthwise cut.
    pub cut: Cut,
    /// Length of the piece.
    pub length: Microns,
    /// Where it is bound.
    pub seat: Seat,
}

/// Everything needed to tie one fly.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Recipe {
    /// Hook id.
    pub hook: String,
    /// Dressing pattern id.
    pub dressing: String,
    /// Bead, if any.
    pub bead: Option<BeadUse>,
    /// Wraps, if any.
    pub wire: Option<WireUse>,
    /// Foam, if any.
    pub foam: Option<FoamUse>,
}

impl Recipe {
    /// Stable id: eight letters and digits that depend on the recipe alone (64-bit FNV-1a of its canonical text).
    #[must_use]
    pub fn id(&self) -> String {
        const LETTERS: &[u8; 32] = b"abcdefghijkmnpqrstuvwxyz23456789";
        let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
        for byte in self.to_string().bytes() {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
        (0..8).map(|i| char::from(LETTERS[(hash >> (5 * i + 24)) as usize & 31])).collect()
    }

    /// Ids of the parts used, with their kind.
    #[must_use]
    pub fn part_ids(&self) -> Vec<(Kind, &str)> {
        let mut ids = vec![(Kind::Hook, self.hook.as_str())];
        if let Some(bead) = &self.bead {
            ids.push((Kind::Bead, &bead.id));
            if let Mount::Pin { pin, .. } = &bead.mount {
                ids.push((Kind::Pin, pin));
            }
        }
        ids.extend(self.wire.as_ref().map(|w| (Kind::Wire, w.id.as_str())));
        ids.extend(self.foam.as_ref().map(|f| (Kind::Foam, f.id.as_str())));
        ids.push((Kind::Dressing, &self.dressing));
        ids
    }
}

impl fmt::Display for Recipe {
    /// Canonical text: the same recipe always gives the same text, and different recipes different ones.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "hook {}; dressing {}", self.hook, self.dressing)?;
        if let Some(bead) = &self.bead {
            write!(f, "; bead {}", bead.id)?;
            match &bead.mount {
                Mount::Eye => write!(f, " at the eye")?,
                Mount::Pin { pin, projection } => write!(f, " on pin {pin} {projection} mm ahead")?,
            }
        }
        if let Some(wire) = &self.wire {
            write!(f, "; wire {} x {} from {} mm", wire.id, wire.turns, wire.start)?;
        }
        if let Some(foam) = &self.foam {
            write!(f, "; foam {} {} {} mm {}", foam.id, foam.cut, foam.length, foam.seat)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain() -> Recipe {
        Recipe { hook: "h".into(), dressing: "d".into(), bead: None, wire: None, foam: None }
    }

    #[test]
    fn ids_are_stable_and_tell_recipes_apart() {
        let mut other = plain();
        other.bead = Some(BeadUse { id: "b".into(), mount: Mount::Eye });
        assert_eq!(plain().id(), plain().id());
        assert_ne!(plain().id(), other.id());
        assert_eq!(plain().id().len(), 8);
    }
}
