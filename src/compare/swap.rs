//! One recipe with one part swapped, all else as it was.

use crate::catalog::Catalog;
use crate::fly::{Fly, UnknownPart, resolve};
use crate::part::Kind;
use crate::recipe::{BeadUse, Mount, Recipe};
use thiserror::Error;

/// A part to swap in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Swap {
    /// Kind of part.
    pub kind: Kind,
    /// Its id; `None` takes the part away.
    pub id: Option<String>,
}

/// Why a part cannot be swapped.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum SwapError {
    /// Not of the form `KIND=ID`.
    #[error("`{0}` is no swap; write KIND=ID, like bead=brass-3.5, KIND=none or KIND=all")]
    Form(String),
    /// Not a kind of part.
    #[error("`{0}` is no kind of part; kinds are hook, bead, pin, wire, foam, dressing")]
    Kind(String),
    /// Hooks and dressings cannot be left out, nor can the pin that holds a bead.
    #[error("a fly cannot do without its {0}")]
    Needed(Kind),
    /// Nothing says where the new part would go or how much of it there is.
    #[error("the recipe has no {0} whose place the new one could take")]
    NoPlace(Kind),
    /// The catalog does not hold it.
    #[error(transparent)]
    Unknown(#[from] UnknownPart),
}

impl Swap {
    /// Reads `KIND=ID`, `KIND=none`, or `KIND=all`, which stands for every part of that kind but the one in use.
    ///
    /// # Errors
    /// [`SwapError::Form`], [`SwapError::Kind`].
    pub fn parse(text: &str, recipe: &Recipe, catalog: &Catalog) -> Result<Vec<Self>, SwapError> {
        let (kind, id) = text.split_once('=').ok_or_else(|| SwapError::Form(text.to_owned()))?;
        let (kind, id) = (kind.trim(), id.trim());
        let kind = Kind::ALL.into_iter().find(|k| k.word() == kind).ok_or_else(|| SwapError::Kind(kind.to_owned()))?;
        Ok(match id {
            "" => return Err(SwapError::Form(text.to_owned())),
            "none" => vec![Self { kind, id: None }],
            "all" => {
                let used = |id: &str| recipe.part_ids().contains(&(kind, id));
                let rows = catalog.rows(kind).into_iter().filter(|row| !used(&row.id));
                rows.map(|row| Self { kind, id: Some(row.id.clone()) }).collect()
            }
            id => vec![Self { kind, id: Some(id.to_owned()) }],
        })
    }

    /// The fly with the part swapped: the bead keeps its mount, the wire its turns and place, the foam its cut, length and
    /// seat. Whether it fits is another question.
    ///
    /// # Errors
    /// [`SwapError::Needed`], [`SwapError::NoPlace`], [`SwapError::Unknown`].
    pub fn apply<'a>(&self, recipe: &Recipe, catalog: &'a Catalog) -> Result<Fly<'a>, SwapError> {
        let mut new = recipe.clone();
        let no_place = || SwapError::NoPlace(self.kind);
        match (self.kind, self.id.clone()) {
            (Kind::Hook, Some(id)) => new.hook = id,
            (Kind::Dressing, Some(id)) => new.dressing = id,
            (Kind::Hook | Kind::Dressing | Kind::Pin, None) => return Err(SwapError::Needed(self.kind)),
            (Kind::Bead, None) => new.bead = None,
            (Kind::Wire, None) => new.wire = None,
            (Kind::Foam, None) => new.foam = None,
            (Kind::Bead, Some(id)) => match &mut new.bead {
                Some(bead) => bead.id = id,
                // A bead goes up against the eye: no other figure is needed.
                None => new.bead = Some(BeadUse { id, mount: Mount::Eye }),
            },
            (Kind::Pin, Some(id)) => match &mut new.bead {
                Some(BeadUse { mount: Mount::Pin { pin, .. }, .. }) => *pin = id,
                _ => return Err(no_place()),
            },
            (Kind::Wire, Some(id)) => new.wire.as_mut().ok_or_else(no_place)?.id = id,
            (Kind::Foam, Some(id)) => new.foam.as_mut().ok_or_else(no_place)?.id = id,
        }
        Ok(resolve(&new, catalog)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Microns;
    use crate::recipe::WireUse;

    fn recipe() -> Recipe {
        Recipe {
            hook: "jig60-12".into(),
            dressing: "light-body".into(),
            bead: Some(BeadUse { id: "tungsten-slotted-3.5".into(), mount: Mount::Eye }),
            wire: Some(WireUse { id: "lead-0.010in".into(), turns: 12, start: Microns::new(0) }),
            foam: None,
        }
    }

    #[test]
    fn one_part_changes_and_nothing_else() {
        let catalog = Catalog::built_in().unwrap();
        let swapped = |text: &str| {
            let swaps = Swap::parse(text, &recipe(), &catalog)?;
            swaps[0].apply(&recipe(), &catalog).map(|fly| fly.recipe())
        };
        let mut brass = recipe();
        brass.bead.as_mut().unwrap().id = "brass-slotted-3.3".into();
        assert_eq!(swapped("bead=brass-slotted-3.3"), Ok(brass));
        assert_eq!(swapped("wire=none").unwrap().wire, None);
        assert_eq!(swapped("foam=pe-rod-1-4in"), Err(SwapError::NoPlace(Kind::Foam)));
        assert_eq!(swapped("hook=none"), Err(SwapError::Needed(Kind::Hook)));
        assert_eq!(swapped("pin=pin-0.6x26"), Err(SwapError::NoPlace(Kind::Pin)));
        assert!(matches!(swapped("bead=brass-sloted-3.3"), Err(SwapError::Unknown(_))));
        assert!(
            matches!(swapped("bead"), Err(SwapError::Form(_))) && matches!(swapped("b=x"), Err(SwapError::Kind(_)))
        );
        let all = Swap::parse("bead=all", &recipe(), &catalog).unwrap();
        assert_eq!(all.len() + 1, catalog.beads.len());
    }
}
