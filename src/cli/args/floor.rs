//! The share of flies that must come out right.

use clap::Args;
use counterpoise::find::floor_of;
use counterpoise::quantity::Share;
use counterpoise::wanted::{Counted, ShareFloor, Target};

/// How many flies must come out right.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Share that comes out right")]
pub(crate) struct FloorArgs {
    /// Least share of flies that come out right, trimmed in the jar where they can be; 0% asks for none. When not given:
    /// 80%, or none on a slack line
    #[arg(long, value_name = "SHARE")]
    min_chance: Option<Share>,
    /// The share asked for is that of flies tied as written and left alone
    #[arg(hide_short_help = true, long)]
    as_tied: bool,
}

impl FloorArgs {
    /// The share asked for, `None` where none is.
    pub(crate) fn of(&self, target: &Target) -> Option<ShareFloor> {
        floor_of(target, self.min_chance, if self.as_tied { Counted::AsTied } else { Counted::Trimmed })
    }

    /// A target that asks for it.
    pub(crate) fn asked(&self, target: Target) -> Target {
        Target { share: self.of(&target), ..target }
    }
}
