//! One depth in place of a range, for what is worked out at one.

use crate::assess::predict;
use crate::fly::{Conditions, Fly};
use crate::numeric::bracketed_root;
use crate::wanted::Target;

/// Narrowest tolerance that is left, rad: none at all would divide by nothing.
const LEAST_TOLERANCE: f64 = 1e-3;

/// A target over a range of depths as one at the depth at which the fly hangs midway between the ends, its tolerance narrowed by as
/// far as the ends are off that: where that is met, so are both. The target itself where it asks for one depth, or the fly floats at
/// an end, or rolls over between.
#[must_use]
pub fn midway(fly: &Fly, target: &Target) -> Target {
    at_one_depth(fly, target).unwrap_or_else(|| target.clone())
}

fn at_one_depth(fly: &Fly, target: &Target) -> Option<Target> {
    let (shallow, deep) = (target.fall.shallow?, target.conditions.depth);
    let rest_at = |depth: f64| {
        let prediction = predict(fly, &Conditions { depth, ..target.conditions });
        prediction.hang.rest().copied()
    };
    let (top, bottom) = (rest_at(shallow)?, rest_at(deep)?);
    if top.rides != bottom.rides {
        return None;
    }
    let (middle, half) = (0.5 * (top.angle + bottom.angle), 0.5 * (top.angle - bottom.angle).abs());
    let off = |depth: f64| rest_at(depth).map_or(f64::NAN, |rest| rest.angle - middle);
    let depth = bracketed_root(off, shallow, deep, 1e-6).unwrap_or(deep);
    let mut one = target.clone();
    one.conditions.depth = depth;
    one.fall.shallow = None;
    one.tolerance = (target.tolerance - half).max(LEAST_TOLERANCE);
    Some(one)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::fly::resolve;
    use crate::part::Cut;
    use crate::quantity::{Interval, Length, Microns};
    use crate::recipe::{FoamUse, Recipe, Seat};
    use crate::wanted::TargetSpec;

    #[test]
    fn both_ends_are_within_where_the_middle_is() {
        let catalog = Catalog::built_in().unwrap();
        let recipe = Recipe {
            hook: "ball-jig-10-1-32oz-lead".into(),
            dressing: "fur-leech".into(),
            bead: None,
            wire: None,
            foam: Some(FoamUse {
                id: "xpe-strip-2x5mm".into(),
                cut: Cut::Whole,
                length: Microns::new(13_500),
                seat: Seat::TailUnder,
            }),
        };
        let fly = resolve(&recipe, &catalog).unwrap();
        let range = Interval::Between { low: Length::from_m(0.5), high: Length::from_m(6.0) };
        let spec = TargetSpec { size: vec![10], depth: Some(range), ..TargetSpec::default() };
        let target = spec.resolve(&catalog).unwrap().0;
        let one = midway(&fly, &target);
        assert_eq!(one.fall.shallow, None);
        assert!(0.5 < one.conditions.depth && one.conditions.depth < 6.0, "{}", one.conditions.depth);
        let angle = |depth: f64| predict(&fly, &Conditions { depth, ..target.conditions }).hang.rest().unwrap().angle;
        let [top, middle, bottom] = [0.5, one.conditions.depth, 6.0].map(angle);
        assert!((2.0 * middle - top - bottom).abs() < 1e-5);
        assert!((target.tolerance - one.tolerance - (top - middle).abs()).abs() < 1e-5);
        // One depth is left as it is.
        assert_eq!(midway(&fly, &one), one);
    }
}
