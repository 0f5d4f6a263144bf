//! Foam at the depths that a target asks about: what each family does per length, and its drag.

use crate::fly::{self, Conditions};
use crate::part::{Cut, Foam, Hook};
use crate::quantity::Microns;
use crate::search::bounds::descent::Descent;
use crate::search::bounds::foam_law::FoamLaw;
use crate::search::bounds::rod_drag::{Growth, RodDrag, RodGrowth};
use crate::search::bounds::{Bounds, DragRange, LEASTS};
use crate::search::space::FoamFamily;
use crate::wanted::Target;
use std::collections::HashMap;

/// The foam families at one depth.
pub(in crate::search) struct FoamAtDepth {
    /// Laws of the families with their seat at the origin.
    pub(in crate::search) laws: Vec<FoamLaw>,
    drags: Vec<(RodDrag, RodGrowth)>,
    /// Which drag each family has: that of its stock and cut.
    drag_of: Vec<u32>,
}

impl FoamAtDepth {
    pub(super) fn new(families: &[FoamFamily], hook: &Hook, target: &Target, bounds: &Bounds, depth: f64) -> Self {
        let conditions = Conditions { depth, ..target.conditions };
        let (drags, drag_of) = foam_drags(families, hook, &conditions, bounds);
        Self { laws: foam_laws(families, hook, target, &conditions), drags, drag_of }
    }

    /// Drag of a family over lengths in metres.
    pub(in crate::search) fn drag(&self, family: u32, from: f64, to: f64) -> DragRange {
        self.drag_of(family).map_or(DragRange::default(), |(drag, _)| drag.range(from, to))
    }

    /// How its drag grows with its length.
    pub(in crate::search) fn growth(&self, family: u32, from: f64, to: f64) -> Growth {
        self.drag_of(family).map_or(Growth::default(), |(_, growth)| growth.over(from, to))
    }

    /// The same, and lines below its least drags: N at no length, and N per m.
    pub(in crate::search) fn drag_by_lines(
        &self,
        family: u32,
        from: f64,
        to: f64,
    ) -> (DragRange, [(f64, f64); LEASTS]) {
        self.drag_of(family).map_or((DragRange::default(), [(0.0, 0.0); LEASTS]), |(drag, _)| {
            let lines = drag.lines(from, to);
            (drag.range_by(&lines, from, to), lines)
        })
    }

    fn drag_of(&self, family: u32) -> Option<&(RodDrag, RodGrowth)> {
        self.drag_of.get(family as usize).and_then(|at| self.drags.get(*at as usize))
    }
}

/// Laws of the families with their seat at the origin.
pub(super) fn foam_laws(
    families: &[FoamFamily],
    hook: &Hook,
    target: &Target,
    conditions: &Conditions,
) -> Vec<FoamLaw> {
    let law = |family: &FoamFamily| {
        FoamLaw::new(hook, family.piece(target.grid.foam), conditions).without_hook(hook, family.seat)
    };
    families.iter().map(law).collect()
}

/// The foam families on the way down to a depth: laws at the surface, at a depth at which none weighs less than in the mean over the
/// way, and at the deepest point.
pub(in crate::search) struct FoamOnTheWay {
    pub(in crate::search) surface: Vec<FoamLaw>,
    pub(in crate::search) mean: Vec<FoamLaw>,
    pub(in crate::search) deepest: Vec<FoamLaw>,
    /// See [`Descent::stiffer`].
    pub(in crate::search) stiffer: Vec<f64>,
}

impl FoamOnTheWay {
    pub(super) fn new(families: &[FoamFamily], hook: &Hook, target: &Target, way: &Descent) -> Self {
        let deepest = way.depth;
        let at = |depth: f64| Conditions { depth, ..target.conditions };
        let laws = |depth: f64| foam_laws(families, hook, target, &at(depth));
        let of_mean = |family: &FoamFamily| {
            let ratio = |share: f64| foam_ratio(family.foam, &at(share * deepest));
            // No more than the mean: each stretch as at its deep end.
            let mean =
                (1..=MEAN_OF).map(|i| ratio(f64::from(i) / f64::from(MEAN_OF))).sum::<f64>() / f64::from(MEAN_OF);
            let share = DEPTHS.into_iter().find(|share| ratio(*share) <= mean).unwrap_or(1.0);
            foam_laws(std::slice::from_ref(family), hook, target, &at(share * deepest))
        };
        let stiffer =
            |f: &FoamFamily| way.stiffer(&target.conditions, f.foam.collapse_pressure, f.foam.relative_density());
        Self {
            surface: laws(0.0),
            mean: families.iter().flat_map(of_mean).collect(),
            deepest: laws(deepest),
            stiffer: families.iter().map(stiffer).collect(),
        }
    }
}

/// Stretches of a way over which the mean is taken.
const MEAN_OF: u32 = 64;

/// Depths at which foam may weigh as much as in the mean, as shares of the way. The volume of gas falls ever slower with depth, so a
/// little less than half way is enough, but stiff walls give way at once.
const DEPTHS: [f64; 6] = [0.45, 0.48, 0.52, 0.6, 0.7, 0.85];

/// Volume over that measured.
pub(super) fn foam_ratio(foam: &Foam, conditions: &Conditions) -> f64 {
    conditions.water.gas().volume_ratio(conditions.gauge_pressure(), foam.collapse_pressure, foam.relative_density())
}

/// Drag of one stock and cut. On the way to a depth it is thinnest at the deepest point, and drag grows with the diameter.
fn foam_rod(family: &FoamFamily, hook: &Hook, conditions: &Conditions, bounds: &Bounds) -> (RodDrag, RodGrowth) {
    let element = |length: f64, depth: f64| {
        let piece = family.piece(Microns::new((length * 1e6).round() as i32));
        fly::foam_part(hook, &piece, &Conditions { depth, ..*conditions }).elements.first().copied()
    };
    let parts = |length: f64| {
        let mut parts = bounds.drag_parts(&element(length, conditions.depth)?);
        if let Some(way) = bounds.descent() {
            let thinnest = bounds.drag_parts(&element(length, way.depth)?);
            for (part, least) in parts.iter_mut().zip(thinnest) {
                part.least[3..].copy_from_slice(&least.least[3..]);
            }
        }
        Some(parts)
    };
    let drag = RodDrag::of_parts(|length| parts(length).unwrap_or_default());
    (drag, RodGrowth::new(bounds, |length| element(length, conditions.depth)))
}

/// Drag of each stock and cut, and which of them each family has; nothing where no sink rate asks for it.
fn foam_drags(
    families: &[FoamFamily],
    hook: &Hook,
    conditions: &Conditions,
    bounds: &Bounds,
) -> (Vec<(RodDrag, RodGrowth)>, Vec<u32>) {
    let (mut drags, mut of) = (Vec::new(), Vec::new());
    if !bounds.has_sink() {
        return (drags, of);
    }
    let mut known: HashMap<(&str, Cut), u32> = HashMap::new();
    for family in families {
        let next = u32::try_from(drags.len()).unwrap_or(u32::MAX);
        let at = *known.entry((&family.foam.row.id, family.cut)).or_insert_with(|| {
            drags.push(foam_rod(family, hook, conditions, bounds));
            next
        });
        of.push(at);
    }
    (drags, of)
}
