//! What has to be bought to tie so many flies: whole packs, less what is already owned.
//!
//! For each part, with n flies of a recipe:
//! - pieces (hooks, beads, pins, flies' worth of dressing): n;
//! - wire: n x (length in the wraps + the ends that are cut off);
//! - foam: blocks. A block is one length of stock with its saw cut; it gives one piece whole, or 2, 4 or 8 when it is
//!   split lengthwise. n pieces take ceil(n / pieces) blocks of (length + kerf): no stock can give them from less.
//!
//! Lengths are added up: what is left at the end of a pack and is shorter than a piece is not counted as lost.
//! All amounts are whole pieces or whole micrometres and all money is exact, so a total never depends on an order.

mod shopping;
mod usage;

pub use shopping::{Line, ShoppingList, packs_for};
pub use usage::{Allowance, Amounts, PartId, PartUse, uses};
