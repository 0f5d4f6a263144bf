//! How sure a sink rate is: scatter of the drag model against what was measured and computed, and what is judged by eye.
//!
//! At the sink rate v drag equals weight, D(v) = W, and D grows with a power n of v near it. So a share of the drag that is off
//! by e, or a weight, moves v by e / n. The contributions below are taken to have nothing to do with each other: the
//! relative variance of v is the sum of (share x standard deviation)^2 over n^2. What differs from fly to fly (cuts, turns,
//! masses) is not in here: that is spread, and the share of flies that come out right counts both, wherever a sink rate or a time
//! to a depth is asked.
//!
//! | contribution | standard deviation | from |
//! |---|---|---|
//! | beads and heads | 5 % of their drag | fits differ by 8 %; measured glass spheres sink 0 to 8 % slower |
//! | round rods across | 7 % | 4.5 % rms off computed flows, themselves +-5 % |
//! | cut foam across | 9 % | 7.5 % rms off computed flows, themselves +-5 % |
//! | solid rods along, and their ends | 10 % | 6 % rms off computed flows, themselves +-8 % |
//! | force of a slant | 15 % | 3 % rms off computed flows at L/d 5; other L/d not computed |
//! | dressing across | 20 % | solidity +-30 % and diameter +-20 %, by eye: half of each, and 7 % |
//! | dressing along, and its ends | 30 % | a brush is rough: judgement, no source |
//! | foam hidden in a dressing | 30 % of its drag | none to all of it, taken as even |
//! | junctions, shelter | 5 % of all | one bead fused to a rod, computed: 1.05 times the sum of the parts |
//! | dressing, weight in water | 10 % | catalog figures are representative: weigh yours |
//! | foam, lift | 8 % | cells flooded at cuts, thread, stiffness of the walls: `--explain` |

use crate::physics::body::{Body, DragElement, DragShape, Label};
use crate::physics::build_up::{Kind, Ready};
use crate::physics::water::Water;

/// Standard deviations of the table above, as shares of the drag of each kind.
pub mod sd {
    /// Beads and heads.
    pub const SPHERE: f64 = 0.05;
    /// Round rods across.
    pub const ROUND: f64 = 0.07;
    /// Cut foam across.
    pub const SHARP: f64 = 0.09;
    /// Solid rods along, and their ends.
    pub const ALONG: f64 = 0.10;
    /// Force of a slant.
    pub const SLANT: f64 = 0.15;
    /// Dressing across.
    pub const BRUSH: f64 = 0.20;
    /// Dressing along.
    pub const ROUGH: f64 = 0.30;
    /// Foam hidden in a dressing.
    pub const HIDDEN: f64 = 0.30;
    /// Junctions and shelter, of all drag.
    pub const JUNCTIONS: f64 = 0.05;
    /// Weight in water of the dressing.
    pub const DRESSING_WEIGHT: f64 = 0.10;
    /// Lift of foam.
    pub const FOAM_LIFT: f64 = 0.08;
}

/// Half the width of the band shown, in standard deviations: nineteen in twenty if errors are normal.
pub const BAND: f64 = 2.0;

/// Drag against the motion by kind, N.
#[derive(Default)]
struct Shares {
    sphere: f64,
    round: f64,
    sharp: f64,
    along: f64,
    slant: f64,
    brush: f64,
    rough: f64,
    hidden: f64,
}

impl Shares {
    fn of(elements: &[KnownElement], velocity: [f64; 2], water: &Water) -> Self {
        let speed = velocity[0].hypot(velocity[1]);
        let mut sum = Self::default();
        for KnownElement { ready, cover, hidden } in elements {
            let (force, across) = ready.force_and_parts(velocity, water);
            let all = -(force[0] * velocity[0] + force[1] * velocity[1]) / speed;
            sum.hidden += hidden * all;
            let Some(across) = across else {
                *(if matches!(ready.kind, Kind::Sphere(_)) { &mut sum.sphere } else { &mut sum.round }) += all;
                continue;
            };
            let [normal, slant] = [across.normal, across.slant].map(|force| force * across.speed / speed);
            let (own, friction) = match cover {
                Cover::Brush => (&mut sum.brush, &mut sum.rough),
                Cover::Sharp => (&mut sum.sharp, &mut sum.along),
                Cover::Round => (&mut sum.round, &mut sum.along),
            };
            *own += normal;
            *friction += all - normal - slant;
            sum.slant += slant;
        }
        sum
    }

    fn drag(&self) -> f64 {
        self.sphere + self.round + self.sharp + self.along + self.slant + self.brush + self.rough
    }

    /// Variance, N2.
    fn variance(&self) -> f64 {
        [
            self.sphere * sd::SPHERE,
            self.round * sd::ROUND,
            self.sharp * sd::SHARP,
            self.along * sd::ALONG,
            self.slant * sd::SLANT,
            self.brush * sd::BRUSH,
            self.rough * sd::ROUGH,
            self.hidden * sd::HIDDEN,
            self.drag() * sd::JUNCTIONS,
        ]
        .iter()
        .map(|part| part * part)
        .sum()
    }
}

/// What a rod shows the stream.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Cover {
    /// Fibres.
    Brush,
    /// Sharp edges.
    Sharp,
    /// A smooth round.
    Round,
}

impl Cover {
    fn of(shape: &DragShape) -> Self {
        match shape {
            DragShape::Slender(rod) if rod.solidity < 1.0 => Self::Brush,
            DragShape::Slender(rod) if rod.sharp => Self::Sharp,
            _ => Self::Round,
        }
    }
}

/// An element with what decides how well its drag is known.
#[derive(Debug)]
struct KnownElement {
    ready: Ready,
    cover: Cover,
    /// See [`hidden_share`].
    hidden: f64,
}

/// Drag of a body and how well it is known, for many velocities: what depends on its shape alone is worked out once.
#[derive(Debug)]
pub struct KnownDrag<'w> {
    elements: Vec<KnownElement>,
    /// Of the submerged weight, N2.
    weight_variance: f64,
    water: &'w Water,
}

impl<'w> KnownDrag<'w> {
    /// Of a body in some water.
    #[must_use]
    pub fn of(body: &Body, water: &'w Water) -> Self {
        let known = |element: &DragElement| KnownElement {
            ready: Ready::new(element),
            cover: Cover::of(&element.shape),
            hidden: hidden_share(element, &body.elements),
        };
        let elements = body.elements.iter().map(known).collect();
        Self { elements, weight_variance: weight_variance(body, water), water }
    }

    fn shares(&self, velocity: [f64; 2]) -> Shares {
        Shares::of(&self.elements, velocity, self.water)
    }

    fn force_sd(&self, shares: &Shares) -> f64 {
        (shares.variance() + self.weight_variance).sqrt()
    }

    /// Drag against the motion, N, and [`force_sd`].
    #[must_use]
    pub fn drag_and_sd(&self, velocity: [f64; 2]) -> (f64, f64) {
        let shares = self.shares(velocity);
        (shares.drag(), self.force_sd(&shares))
    }
}

/// Share of the length of a piece of foam that lies inside a dressing thicker than itself; 0 for anything else.
#[must_use]
pub fn hidden_share(element: &DragElement, elements: &[DragElement]) -> f64 {
    let (Label::Foam, DragShape::Slender(foam)) = (element.label, element.shape) else { return 0.0 };
    let hidden: f64 = hidden_lengths(element, elements).map(|(from, to)| to - from).sum();
    (hidden / foam.length).min(1.0)
}

/// Where along a piece of foam each dressing hides it, from its front, m; nothing of anything else.
pub fn hidden_lengths(element: &DragElement, elements: &[DragElement]) -> impl Iterator<Item = (f64, f64)> {
    let span = |e: &DragElement, length: f64| (e.centre[0] - 0.5 * length, e.centre[0] + 0.5 * length);
    let foam = match (element.label, element.shape) {
        (Label::Foam, DragShape::Slender(foam)) => Some((foam.diameter, span(element, foam.length))),
        _ => None,
    };
    elements.iter().filter_map(move |other| match (foam, other.label, other.shape) {
        (Some((diameter, (front, rear))), Label::Dressing(_), DragShape::Slender(brush))
            if brush.diameter >= diameter =>
        {
            let (a, b) = span(other, brush.length);
            Some((front.max(a) - front, rear.min(b) - front)).filter(|(from, to)| from < to)
        }
        _ => None,
    })
}

/// Variance of the submerged weight, N2.
fn weight_variance(body: &Body, water: &Water) -> f64 {
    let of = |wanted: fn(&Label) -> bool| -> f64 {
        body.loads.iter().filter(|l| wanted(&l.label)).map(|l| l.submerged_weight(water.density)).sum()
    };
    let dressing = of(|l| matches!(l, Label::Dressing(_))) * sd::DRESSING_WEIGHT;
    let foam = of(|l| *l == Label::Foam) * sd::FOAM_LIFT;
    dressing * dressing + foam * foam
}

/// Standard deviation, N, of what drives a body less what holds it back, were it to move at `velocity`, m/s, hook frame: how far
/// weight and drag may be off together. A body whose weight exceeds its drag by that is faster by one deviation of its speed.
#[must_use]
pub fn force_sd(body: &Body, velocity: [f64; 2], water: &Water) -> f64 {
    KnownDrag::of(body, water).drag_and_sd(velocity).1
}

/// Least share of the drag that [`force_sd`] can be, whatever a body is made of: that of each kind of drag apart is least where
/// they are shared out as one over their variances (Cauchy-Schwarz), and junctions come on top.
#[must_use]
pub fn least_force_share() -> f64 {
    let kinds = [sd::SPHERE, sd::ROUND, sd::SHARP, sd::ALONG, sd::SLANT, sd::BRUSH, sd::ROUGH];
    let apart = kinds.iter().map(|sd| sd.powi(-2)).sum::<f64>().powf(-0.5);
    apart.hypot(sd::JUNCTIONS)
}

/// The same of a rod of cut foam by itself, without junctions: it may lie any way.
#[must_use]
pub fn least_foam_share() -> f64 {
    [sd::SHARP, sd::ALONG, sd::SLANT].iter().map(|sd| sd.powi(-2)).sum::<f64>().powf(-0.5)
}

/// Relative standard deviation of the steady speed of a body that moves at `velocity`, m/s, hook frame: of its sink rate on a
/// tight line, and near enough on a slack one. 0 for a body without drag, weight or speed.
#[must_use]
pub fn relative_sd(body: &Body, velocity: [f64; 2], water: &Water) -> f64 {
    /// Step in speed over which the power of the drag is taken.
    const STEP: f64 = 1.02;
    let speed = velocity[0].hypot(velocity[1]);
    if speed == 0.0 {
        return 0.0;
    }
    let known = KnownDrag::of(body, water);
    let shares = known.shares(velocity);
    let faster = known.shares(velocity.map(|v| v * STEP)).drag();
    let drag = shares.drag();
    let power = (faster / drag).ln() / STEP.ln();
    if !(drag > 0.0 && power > 0.0) {
        return 0.0;
    }
    known.force_sd(&shares) / (drag * power)
}

/// The band of a sink rate, m/s, of a relative standard deviation: speeds whose logarithms are [`BAND`] deviations off.
#[must_use]
pub fn band(sink_rate: f64, relative_sd: f64) -> (f64, f64) {
    let off = (BAND * relative_sd).exp();
    let (a, b) = (sink_rate / off, sink_rate * off);
    (a.min(b), a.max(b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::body::{Load, Rod};

    fn water() -> Water {
        Water::new(12.0, 0.0).unwrap()
    }

    fn element(label: Label, x: f64, rod: Rod) -> DragElement {
        DragElement { label, shape: DragShape::Slender(rod), centre: [x, 0.0] }
    }

    fn brush(x: f64) -> DragElement {
        element(Label::Dressing(0), x, Rod { solidity: 0.4, blunt_ends: 0.4, ..Rod::round(6e-3, 20e-3, [1.0, 0.0]) })
    }

    #[test]
    fn a_ball_is_surer_than_a_brush() {
        let ball = DragElement { label: Label::Bead, shape: DragShape::Sphere { diameter: 4e-3 }, centre: [0.0, 0.0] };
        let of = |elements: Vec<DragElement>| relative_sd(&Body { loads: Vec::new(), elements }, [0.0, 0.3], &water());
        let (ball_sd, brush_sd) = (of(vec![ball]), of(vec![brush(0.0)]));
        // 5 % of its drag and 5 % for junctions over a power a little below 2.
        assert!((0.036..0.042).contains(&ball_sd), "{ball_sd}");
        assert!(brush_sd > 2.5 * ball_sd && brush_sd < 0.13, "{brush_sd}");
        assert_eq!(of(Vec::new()), 0.0);
        let both = of(vec![ball, brush(0.0)]);
        assert!(ball_sd < both && both < brush_sd, "{both}");
    }

    #[test]
    fn no_body_is_surer_than_the_surest() {
        let least = least_force_share();
        assert!((0.055..0.065).contains(&least), "{least}");
        let foam = element(Label::Foam, 2e-3, Rod { sharp: true, ..Rod::round(4e-3, 10e-3, [1.0, 0.0]) });
        let wire = element(Label::Hook, 0.0, Rod::round(0.6e-3, 20e-3, [0.8, 0.6]));
        let ball = DragElement { label: Label::Bead, shape: DragShape::Sphere { diameter: 3e-3 }, centre: [0.0, 0.0] };
        for elements in [vec![foam], vec![wire], vec![ball], vec![foam, wire, ball, brush(0.0)], vec![ball, brush(0.0)]]
        {
            for velocity in [[0.0, 0.1], [0.2, 0.2], [0.3, -0.01], [-0.5, 0.7]] {
                let body = Body { loads: Vec::new(), elements: elements.clone() };
                let (drag, sd) = KnownDrag::of(&body, &water()).drag_and_sd(velocity);
                assert!(sd >= least * drag, "{elements:?}");
            }
        }
    }

    #[test]
    fn hidden_foam_and_a_light_dressing_add_doubt() {
        let foam = element(Label::Foam, 2e-3, Rod { sharp: true, ..Rod::round(4e-3, 10e-3, [1.0, 0.0]) });
        assert_eq!(hidden_share(&foam, &[brush(0.0), foam]), 1.0);
        assert!((hidden_share(&foam, &[brush(15e-3), foam]) - 0.2).abs() < 1e-12);
        assert_eq!(hidden_share(&brush(0.0), &[brush(0.0)]), 0.0);
        let with = |loads: Vec<Load>, x: f64| {
            relative_sd(&Body { loads, elements: vec![brush(x), foam] }, [0.0, 0.2], &water())
        };
        assert!(with(Vec::new(), 0.0) > with(Vec::new(), 40e-3));
        let load = Load { label: Label::Dressing(0), mass: 5e-3, volume: 0.0, centroid: [0.0; 2], gyration_sq: 0.0 };
        assert!(with(vec![load], 0.0) > with(Vec::new(), 0.0));
    }

    #[test]
    fn the_band_holds_the_rate_whichever_way_it_goes() {
        let (low, high) = band(0.3, 0.07);
        assert!(low < 0.3 && high > 0.3 && (low * high / 0.09 - 1.0).abs() < 1e-12);
        let (low, high) = band(-0.3, 0.07);
        assert!(low < -0.3 && high > -0.3);
        assert_eq!(band(0.3, 0.0), (0.3, 0.3));
    }
}
