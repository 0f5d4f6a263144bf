//! Kinds of recipes of which only the best is listed, and what the best of each costs so far.
//!
//! A recipe is not listed when one of its kind ([`Variety::alike`]) ranks better. So a node whose recipes are all of one
//! kind is out once its least price is more cents than the best of that kind that was found: the best of the kind is then
//! listed, or shut out by better ones, and shuts out the node with it.

use crate::fly::{Fly, FrontMount, FrontWeight, Idea, Lift};
use crate::part::{Cut, Row};
use crate::recipe::Seat;
use crate::search::rank::{Candidate, Cutoff, Ranking, Variety};
use crate::search::space::front::FrontSet;
use crate::search::space::node::Context;
use crate::search::space::node::{FoamSet, Node, WrapSet};
use std::collections::HashMap;

/// A row of the catalog, by where its id lies: a search looks at one catalog, and this is asked for at every node.
type Id = usize;

fn id(row: &Row) -> Id {
    row.id.as_ptr().addr()
}

/// What recipes of one kind have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Kind {
    Parts(Alike),
    Idea(Idea),
}

/// The parts that recipes of one kind have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Alike {
    hook: Id,
    /// Bead and pin.
    front: Option<(Id, Option<Id>)>,
    /// The other parts; `None` where they make no difference.
    rest: Option<Rest>,
}

/// Wire and foam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Rest {
    wire: Option<Id>,
    foam: Option<Foam>,
}

/// A foam stock, with cut and seat where they make a difference.
type Foam = (Id, Option<(Cut, Seat)>);

/// The best of each kind so far: what another of its kind must beat.
#[derive(Debug, Default)]
pub(in crate::search) struct Kinds {
    variety: Variety,
    best: HashMap<Kind, Cutoff>,
}

impl Kinds {
    /// The kinds of some candidates.
    pub(in crate::search) fn of(variety: Variety, ranking: &Ranking, list: &[Candidate]) -> Self {
        let mut best = HashMap::new();
        if variety != Variety::Every {
            best.extend(list.iter().map(|c| (of_fly(variety, &c.fly), ranking.bar(c))));
        }
        Self { variety, best }
    }

    /// What the best of a node, none of which lies in a lower price step than this, must beat to be the best of its kind:
    /// `None` where that is nothing, or not known. Where price alone decides, nothing of the node can.
    pub(in crate::search) fn bar(&self, context: &Context, node: &Node, least: i64) -> Option<Cutoff> {
        if self.best.is_empty() {
            return None;
        }
        if self.variety == Variety::FewestSupplies {
            let bars = fewer_supplies(context, node).filter_map(|kind| self.best.get(&Kind::Parts(kind)));
            return bars.into_iter().find(|bar| least >= bar.step).copied();
        }
        if self.variety == Variety::Idea {
            return self.bar_of_ideas(context, node);
        }
        of_node(self.variety, context, node).and_then(|kind| self.best.get(&kind)).copied()
    }

    /// The easiest of the bars of all ideas that a node may hold.
    fn bar_of_ideas(&self, context: &Context, node: &Node) -> Option<Cutoff> {
        let (front, places) = ideas_of_node(context, node);
        let mut easiest: Option<Cutoff> = None;
        for foam in places.into_iter().flatten() {
            let bar = *self.best.get(&Kind::Idea(Idea { front, foam }))?;
            easiest = Some(easiest.map_or(bar, |other| if other.harder(bar) == other { bar } else { other }));
        }
        easiest
    }
}

/// Sets of supplies of which each recipe of a node takes all.
fn fewer_supplies(context: &Context, node: &Node) -> impl Iterator<Item = Alike> {
    let hook = id(&context.tables.hook.row);
    let front = of_front(context, node.front).flatten();
    let wire = of_wraps(context, node.wraps).flatten();
    let foam = stock_of(context, node.foam).flatten().map(|stock| (stock, None));
    let fronts = [Some(None), front.map(|(bead, _)| Some((bead, None))), front.filter(|f| f.1.is_some()).map(Some)];
    let wires = [Some(None), wire.map(Some)];
    let foams = [Some(None), foam.map(Some)];
    fronts.into_iter().flatten().flat_map(move |front| {
        wires.into_iter().flatten().flat_map(move |wire| {
            foams.into_iter().flatten().map(move |foam| Alike { hook, front, rest: Some(Rest { wire, foam }) })
        })
    })
}

fn of_fly(variety: Variety, fly: &Fly) -> Kind {
    if variety == Variety::Idea { Kind::Idea(Idea::of(fly)) } else { Kind::Parts(parts_of_fly(variety, fly)) }
}

fn parts_of_fly(variety: Variety, fly: &Fly) -> Alike {
    let front = fly.bead.map(|(bead, mount)| {
        let pin = match mount {
            FrontMount::Eye => None,
            FrontMount::Pin(pin, _) => Some(id(&pin.row)),
        };
        (id(&bead.row), pin)
    });
    let rest = (variety != Variety::Bead).then(|| {
        let cut = |cut, seat| (!variety.by_price_alone()).then_some((cut, seat));
        let foam = fly.foam.map(|f| (id(&f.foam.row), cut(f.cut, f.seat)));
        Rest { wire: fly.wraps.map(|w| id(&w.wire.row)), foam }
    });
    Alike { hook: id(&fly.hook.row), front, rest }
}

/// The kind of a node; `None` where it may hold several.
fn of_node(variety: Variety, context: &Context, node: &Node) -> Option<Kind> {
    parts_of_node(variety, context, node).map(Kind::Parts)
}

/// What weighs the front of all flies of a node, and where foam may lift them.
fn ideas_of_node(context: &Context, node: &Node) -> (FrontWeight, [Option<Option<Lift>>; 3]) {
    let front = match (node.front, context.tables.hook.head.is_some(), node.wraps) {
        (_, true, _) => FrontWeight::Head,
        (FrontSet::Eye(_), ..) => FrontWeight::EyeBead,
        (FrontSet::Pin(..), ..) => FrontWeight::PinBead,
        (FrontSet::None, ..) => FrontWeight::NoBead,
    };
    let lift =
        |index: u32| Lift::of(context.shelf.foams[context.tables.counts.foams[index as usize].family as usize].seat);
    let run = match node.foam {
        FoamSet::None => return (front, [Some(None), None, None]),
        FoamSet::Family { index, .. } => index..index + 1,
        FoamSet::Families(_) if context.tables.foam_tree.is_empty() => 0..0,
        FoamSet::Families(index) => {
            let run = context.tables.foam_tree.node(index);
            run.from..run.to
        }
    };
    let holds = |wanted: Lift| run.clone().any(|index| lift(index) == wanted).then_some(Some(wanted));
    (front, [None, holds(Lift::Tail), holds(Lift::Body)])
}

fn parts_of_node(variety: Variety, context: &Context, node: &Node) -> Option<Alike> {
    let hook = id(&context.tables.hook.row);
    let front = of_front(context, node.front)?;
    if variety == Variety::Bead {
        return Some(Alike { hook, front, rest: None });
    }
    let wire = of_wraps(context, node.wraps)?;
    let foam = match node.foam {
        _ if variety.by_price_alone() => stock_of(context, node.foam)?.map(|stock| (stock, None)),
        FoamSet::None => None,
        FoamSet::Families(_) => return None,
        FoamSet::Family { index, .. } => {
            let family = &context.shelf.foams[context.tables.counts.foams[index as usize].family as usize];
            Some((id(&family.foam.row), Some((family.cut, family.seat))))
        }
    };
    Some(Alike { hook, front, rest: Some(Rest { wire, foam }) })
}

/// Bead and pin that all recipes of a set have; `None` where they differ.
fn of_front(context: &Context, front: FrontSet) -> Option<Option<(Id, Option<Id>)>> {
    let shelf = context.shelf;
    match front {
        FrontSet::None => Some(None),
        FrontSet::Eye(bead) => {
            let beads = shelf.eye_beads(context.tables.hook);
            let bead = beads.tree.node(bead);
            (bead.len() == 1).then(|| Some((id(&beads.list[bead.from as usize].row), None)))
        }
        FrontSet::Pin(bead, pin) => {
            let (bead, pins) = (shelf.pin_beads.tree.node(bead), shelf.pin_tree.node(pin));
            let pin = id(&shelf.pins[pins.from as usize].0.row);
            let same = shelf.pins[pins.from as usize..pins.to as usize].iter().all(|(p, _)| id(&p.row) == pin);
            let bead_id = id(&shelf.pin_beads.list[bead.from as usize].row);
            (bead.len() == 1 && same).then_some(Some((bead_id, Some(pin))))
        }
    }
}

fn of_wraps(context: &Context, wraps: WrapSet) -> Option<Option<Id>> {
    match wraps {
        WrapSet::None => Some(None),
        WrapSet::Wires(_) => None,
        WrapSet::Wire { wire, .. } => Some(Some(id(&context.shelf.wires[wire as usize].row))),
    }
}

/// The foam stock of all recipes of a set, however they cut and seat it.
fn stock_of(context: &Context, foam: FoamSet) -> Option<Option<Id>> {
    let stock = |index: u32| {
        let family = context.tables.counts.foams[index as usize].family as usize;
        id(&context.shelf.foams[family].foam.row)
    };
    match foam {
        FoamSet::None => Some(None),
        FoamSet::Family { index, .. } => Some(Some(stock(index))),
        FoamSet::Families(_) if context.tables.foam_tree.is_empty() => None,
        FoamSet::Families(index) => {
            let node = context.tables.foam_tree.node(index);
            let first = stock(node.from);
            (node.from..node.to).all(|i| stock(i) == first).then_some(Some(first))
        }
    }
}
