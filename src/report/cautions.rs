//! What a tyer should be told once: lead, hooks, vapours, blades, the rules of the water.

use super::notice::Notice;
use super::recipe::RecipeReport;

/// The cautions that apply to any of these recipes, each once.
#[must_use]
pub fn cautions(recipes: &[RecipeReport]) -> Vec<Notice> {
    let any = !recipes.is_empty();
    let lead = recipes.iter().any(|r| r.contains_lead);
    let foam = recipes.iter().any(|r| r.recipe.foam.is_some());
    let bound = foam || recipes.iter().any(|r| r.recipe.wire.is_some());
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
