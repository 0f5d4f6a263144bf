//! What a tyer should be told once: lead, hooks, vapours, blades, the rules of the water.

use super::notice::Notice;
use crate::fly::Fly;

/// The cautions that apply to any of these flies, each once.
#[must_use]
pub fn cautions<'a>(flies: impl Iterator<Item = &'a Fly<'a>>) -> Vec<Notice> {
    let (mut any, mut lead, mut bound, mut foam) = (false, false, false, false);
    for fly in flies {
        any = true;
        lead |= fly.contains_lead();
        bound |= fly.wraps.is_some() || fly.foam.is_some();
        foam |= fly.foam.is_some();
    }
    let mut list = Vec::new();
    if lead {
        list.push(Notice::new(
            "lead",
            "lead is toxic: wash your hands, keep it from your mouth and from children; some waters ban it by law \
             (--lead-free leaves it out)",
        ));
    }
    if any {
        list.push(Notice::new("hooks", "hooks and heavy flies injure eyes: wear glasses when you cast and test"));
    }
    if bound {
        list.push(Notice::new(
            "vapour",
            "vapours of cyanoacrylate glue, varnish and solvents are harmful: air the room, keep them off skin and eyes",
        ));
    }
    if foam {
        list.push(Notice::new("blades", "cut foam with a sharp blade, away from your fingers, on a mat"));
    }
    if any {
        list.push(Notice::new(
            "rules",
            "follow the local fishing rules and the terms of your licence: some limit weight, hooks or materials",
        ));
    }
    list
}
