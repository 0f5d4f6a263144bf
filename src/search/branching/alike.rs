//! Kinds of recipes of which only the best is listed, and what the best of each costs so far.
//!
//! A recipe is not listed when one of its kind ([`Variety::alike`]) ranks better. So a node whose recipes are all of one
//! kind is out once its least price is more cents than the best of that kind that was found: the best of the kind is then
//! listed, or shut out by better ones, and shuts out the node with it.

use crate::fly::{Fly, FrontMount, FrontWeight, Idea};
use crate::part::Cut;
use crate::recipe::Seat;
use crate::search::rank::{Candidate, Variety, cents};
use crate::search::space::front_set::FrontSet;
use crate::search::space::node::Context;
use crate::search::space::node::{FoamSet, Node, WrapSet};
use std::collections::HashMap;

/// What recipes of one kind have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Kind<'a> {
    Parts(Alike<'a>),
    Idea(Idea),
}

/// The parts that recipes of one kind have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Alike<'a> {
    hook: &'a str,
    /// Bead and pin.
    front: Option<(&'a str, Option<&'a str>)>,
    /// The other parts; `None` where they make no difference.
    rest: Option<Rest<'a>>,
}

/// Wire and foam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Rest<'a> {
    wire: Option<&'a str>,
    foam: Option<(&'a str, Cut, Seat)>,
}

/// The best of each kind so far, in cents.
#[derive(Debug, Default)]
pub(in crate::search) struct Kinds<'a> {
    variety: Variety,
    best: HashMap<Kind<'a>, i64>,
}

impl<'a> Kinds<'a> {
    /// The kinds of some candidates.
    pub(in crate::search) fn of(variety: Variety, list: &[Candidate<'a>]) -> Self {
        let mut best = HashMap::new();
        if variety != Variety::Every {
            best.extend(list.iter().map(|c| (of_fly(variety, &c.fly), cents(c.price))));
        }
        Self { variety, best }
    }

    /// Whether all recipes of a node, none of which costs less cents than this, are shut out by a better one of their kind.
    pub(in crate::search) fn shut_out(&self, context: &Context<'_, 'a>, node: &Node, least: i64) -> bool {
        if self.best.is_empty() {
            return false;
        }
        let best = of_node(self.variety, context, node).and_then(|kind| self.best.get(&kind));
        best.is_some_and(|best| least > *best)
    }
}

fn of_fly<'a>(variety: Variety, fly: &Fly<'a>) -> Kind<'a> {
    if variety == Variety::Idea { Kind::Idea(Idea::of(fly)) } else { Kind::Parts(parts_of_fly(variety, fly)) }
}

fn parts_of_fly<'a>(variety: Variety, fly: &Fly<'a>) -> Alike<'a> {
    let front = fly.bead.map(|(bead, mount)| {
        let pin = match mount {
            FrontMount::Eye => None,
            FrontMount::Pin(pin, _) => Some(pin.row.id.as_str()),
        };
        (bead.row.id.as_str(), pin)
    });
    let rest = (variety == Variety::Parts).then(|| {
        let foam = fly.foam.map(|f| (f.foam.row.id.as_str(), f.cut, f.seat));
        Rest { wire: fly.wraps.map(|w| w.wire.row.id.as_str()), foam }
    });
    Alike { hook: &fly.hook.row.id, front, rest }
}

/// The kind of a node; `None` where it may hold several.
fn of_node<'a>(variety: Variety, context: &Context<'_, 'a>, node: &Node) -> Option<Kind<'a>> {
    if variety == Variety::Idea {
        idea_of_node(context, node).map(Kind::Idea)
    } else {
        parts_of_node(variety, context, node).map(Kind::Parts)
    }
}

fn idea_of_node(context: &Context, node: &Node) -> Option<Idea> {
    let front = match (node.front, context.tables.hook.head.is_some(), node.wraps) {
        (_, true, _) => FrontWeight::Head,
        (FrontSet::Eye(_), ..) => FrontWeight::EyeBead,
        (FrontSet::Pin(..), ..) => FrontWeight::PinBead,
        (FrontSet::None, _, WrapSet::None) => FrontWeight::Hook,
        (FrontSet::None, ..) => FrontWeight::Wire,
    };
    let seat = |index: u32| context.shelf.foams[context.tables.counts.foams[index as usize].family as usize].seat;
    let foam = match node.foam {
        FoamSet::None => None,
        FoamSet::Family { index, .. } => Some(seat(index)),
        FoamSet::Families(_) if context.tables.foam_tree.is_empty() => return None,
        FoamSet::Families(index) => {
            let run = context.tables.foam_tree.node(index);
            let first = seat(run.from);
            if !(run.from..run.to).all(|i| seat(i) == first) {
                return None;
            }
            Some(first)
        }
    };
    Some(Idea { front, foam })
}

fn parts_of_node<'a>(variety: Variety, context: &Context<'_, 'a>, node: &Node) -> Option<Alike<'a>> {
    let shelf = context.shelf;
    let hook = context.tables.hook;
    let front = match node.front {
        FrontSet::None => None,
        FrontSet::Eye(bead) => {
            let beads = shelf.eye_beads(hook);
            let bead = beads.tree.node(bead);
            if bead.len() > 1 {
                return None;
            }
            Some((beads.list[bead.from as usize].row.id.as_str(), None))
        }
        FrontSet::Pin(bead, pin) => {
            let (bead, pins) = (shelf.pin_beads.tree.node(bead), shelf.pin_tree.node(pin));
            let pin = &shelf.pins[pins.from as usize].0.row.id;
            let same = shelf.pins[pins.from as usize..pins.to as usize].iter().all(|(p, _)| p.row.id == *pin);
            if bead.len() > 1 || !same {
                return None;
            }
            Some((shelf.pin_beads.list[bead.from as usize].row.id.as_str(), Some(pin.as_str())))
        }
    };
    if variety == Variety::Bead {
        return Some(Alike { hook: &hook.row.id, front, rest: None });
    }
    let wire = match node.wraps {
        WrapSet::None => None,
        WrapSet::Wires(_) => return None,
        WrapSet::Wire { wire, .. } => Some(shelf.wires[wire as usize].row.id.as_str()),
    };
    let foam = match node.foam {
        FoamSet::None => None,
        FoamSet::Families(_) => return None,
        FoamSet::Family { index, .. } => {
            let family = &shelf.foams[context.tables.counts.foams[index as usize].family as usize];
            Some((family.foam.row.id.as_str(), family.cut, family.seat))
        }
    };
    Some(Alike { hook: &hook.row.id, front, rest: Some(Rest { wire, foam }) })
}
