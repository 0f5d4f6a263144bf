//! Looking up a recipe's ids.

use super::{Fly, FoamPiece, FrontMount, Wraps};
use crate::catalog::Catalog;
use crate::part::Kind;
use crate::recipe::{Mount, Recipe};
use thiserror::Error;

/// A recipe names a part that the catalog does not hold.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("the catalog has no {kind} `{id}`")]
pub struct UnknownPart {
    /// Kind of part.
    pub kind: Kind,
    /// The id that was not found.
    pub id: String,
    /// The nearest id of that kind, if one is near.
    pub suggestion: Option<String>,
}

/// Looks up a recipe's ids in a catalog.
///
/// # Errors
/// The first id that the catalog does not hold.
pub fn resolve<'a>(recipe: &Recipe, catalog: &'a Catalog) -> Result<Fly<'a>, UnknownPart> {
    let unknown = |kind: Kind, id: &str| UnknownPart {
        kind,
        id: id.to_owned(),
        suggestion: catalog.suggest(kind, id).map(str::to_owned),
    };
    let hook = catalog.hook(&recipe.hook).ok_or_else(|| unknown(Kind::Hook, &recipe.hook))?;
    let dressing = catalog.dressing(&recipe.dressing).ok_or_else(|| unknown(Kind::Dressing, &recipe.dressing))?;
    let bead = match &recipe.bead {
        None => None,
        Some(used) => {
            let bead = catalog.bead(&used.id).ok_or_else(|| unknown(Kind::Bead, &used.id))?;
            let mount = match &used.mount {
                Mount::Eye => FrontMount::Eye,
                Mount::Pin { pin, projection } => {
                    FrontMount::Pin(catalog.pin(pin).ok_or_else(|| unknown(Kind::Pin, pin))?, *projection)
                }
            };
            Some((bead, mount))
        }
    };
    let wraps = match &recipe.wire {
        None => None,
        Some(used) => Some(Wraps {
            wire: catalog.wire(&used.id).ok_or_else(|| unknown(Kind::Wire, &used.id))?,
            turns: used.turns,
            start: used.start,
        }),
    };
    let foam = match &recipe.foam {
        None => None,
        Some(used) => Some(FoamPiece {
            foam: catalog.foam(&used.id).ok_or_else(|| unknown(Kind::Foam, &used.id))?,
            cut: used.cut,
            length: used.length,
            seat: used.seat,
        }),
    };
    Ok(Fly { hook, dressing, bead, wraps, foam })
}
