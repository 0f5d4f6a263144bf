//! A need's target left with certain parts alone.

use crate::fly::{Fly, FrontMount};
use crate::part::Kind;
use crate::wanted::{Filter, Target};

/// A target that leaves only the supplies of a fly.
pub(super) fn same_supplies(target: &Target, fly: &Fly) -> Option<Target> {
    let pin = fly.bead.and_then(|(_, mount)| match mount {
        FrontMount::Pin(pin, _) => Some(pin.row.id.as_str()),
        FrontMount::Eye => None,
    });
    let parts = [
        (Kind::Hook, fly.hook.row.id.as_str()),
        (Kind::Bead, fly.bead.map_or("none", |(bead, _)| bead.row.id.as_str())),
        (Kind::Pin, pin.unwrap_or("none")),
        (Kind::Wire, fly.wraps.map_or("none", |w| w.wire.row.id.as_str())),
        (Kind::Foam, fly.foam.map_or("none", |f| f.foam.row.id.as_str())),
    ];
    only(target, &parts)
}

/// A target that leaves only these parts; `None` where the ids make no filter.
pub(super) fn only(target: &Target, parts: &[(Kind, &str)]) -> Option<Target> {
    let mut narrow = target.clone();
    for (kind, id) in parts {
        narrow.choice.filters.push(Filter::parse(&format!("{kind}={id}"), true).ok()?);
    }
    Some(narrow)
}
