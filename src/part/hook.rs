//! Hooks: wire swept along eye ring, neck, shank, bend arc and point leg, with an optional moulded head.

use super::row::Row;
use crate::material::Material;
use crate::shape::wire_path::{Segment, WirePath};
use std::f64::consts::{FRAC_PI_2, PI};
use std::fmt;
use std::sync::Arc;

/// Families of hooks, by shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HookStyle {
    /// Straight eye, standard shank.
    Straight,
    /// Straight eye, long shank.
    Streamer,
    /// Straight eye, wide gap, short shank.
    WideGap,
    /// Neck at about 60 degrees to the shank.
    Jig60,
    /// Neck at about 90 degrees to the shank.
    Jig90,
    /// Jig hook with a ball moulded at the neck.
    BallJig,
}

impl HookStyle {
    /// All styles.
    pub const ALL: [Self; 6] = [Self::Straight, Self::Streamer, Self::WideGap, Self::Jig60, Self::Jig90, Self::BallJig];

    /// The word used in catalogs and on the command line.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Straight => "straight",
            Self::Streamer => "streamer",
            Self::WideGap => "wide-gap",
            Self::Jig60 => "jig-60",
            Self::Jig90 => "jig-90",
            Self::BallJig => "ball-jig",
        }
    }

    /// The style with this word, if there is one.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.word() == word)
    }
}

impl fmt::Display for HookStyle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A ball of metal moulded around the front of the shank.
#[derive(Debug, Clone, PartialEq)]
pub struct MouldedHead {
    /// What it is cast from.
    pub material: Arc<Material>,
    /// Mass, kg.
    pub mass: f64,
    /// Standard deviation of the mass, as a share of it.
    pub mass_spread: f64,
    /// Centre of the ball aft of the corner between neck and shank, m; negative is ahead of it.
    pub centre_aft_of_corner: f64,
    /// Trade name of the mass ("1/8 oz").
    pub mass_name: String,
}

impl MouldedHead {
    /// Volume of the ball, m3.
    #[must_use]
    pub fn volume(&self) -> f64 {
        self.mass / self.material.density_kg_m3
    }

    /// Diameter of the ball, m.
    #[must_use]
    pub fn diameter(&self) -> f64 {
        (6.0 * self.volume() / PI).cbrt()
    }
}

/// A hook. Hook frame: origin at the tie point, x aft along the shank, y towards the point side.
///
/// The tie point is the centre of the eye's opening. A loop slides round inside the ring until it bears on the ring's
/// highest place, so the line pulls through the centre of the opening in every attitude. A snug knot grips the ring itself,
/// up to half an opening and a wire off it.
#[derive(Debug, Clone, PartialEq)]
pub struct Hook {
    /// Identity, pack, provenance.
    pub row: Row,
    /// Family.
    pub style: HookStyle,
    /// Trade size; a larger number is a smaller hook. Sizes are not standardised between makers.
    pub size: u8,
    /// Wire material.
    pub material: Arc<Material>,
    /// Wire diameter, m.
    pub wire_diameter: f64,
    /// Inside diameter of the eye ring, m.
    pub eye_inner_diameter: f64,
    /// From the tie point (centre of the eye) to the corner where the shank begins, along the neck, m. A straight hook has none: its
    /// corner is the rear of the eye.
    pub neck_length: f64,
    /// Angle between neck and shank, rad; 0 for a straight hook.
    pub neck_angle: f64,
    /// From the corner (straight hook: the rear of the eye) to the start of the bend, m.
    pub shank_length: f64,
    /// Between shank and point leg, centre to centre, m: the diameter of the bend.
    pub gap: f64,
    /// Straight leg from the end of the bend to the point, m.
    pub point_length: f64,
    /// Mass of the bare hook on a scale, kg, without any head; replaces the computed one.
    pub measured_mass: Option<f64>,
    /// Standard deviation of the mass, as a share of it.
    pub mass_spread: f64,
    /// Moulded head, if it has one.
    pub head: Option<MouldedHead>,
}

impl Hook {
    /// Outside diameter of the eye ring, m.
    #[must_use]
    pub fn eye_outer_diameter(&self) -> f64 {
        self.eye_inner_diameter + 2.0 * self.wire_diameter
    }

    /// From the tie point to where the wire of the eye ring ends and neck or shank begins, m: to the outside of the ring.
    #[must_use]
    pub fn ring_rear(&self) -> f64 {
        0.5 * self.eye_outer_diameter()
    }

    /// Whether the eye stands on a neck.
    #[must_use]
    pub fn is_jig(&self) -> bool {
        self.neck_length > 0.0
    }

    /// Where the shank begins, m.
    #[must_use]
    pub fn corner(&self) -> [f64; 2] {
        if self.is_jig() {
            [self.neck_length * self.neck_angle.cos(), -self.neck_length * self.neck_angle.sin()]
        } else {
            [self.ring_rear(), 0.0]
        }
    }

    /// y of the shank, m: 0 for a straight hook, negative for a jig.
    #[must_use]
    pub fn shank_y(&self) -> f64 {
        self.corner()[1]
    }

    /// x of the start of the bend, m.
    #[must_use]
    pub fn bend_x(&self) -> f64 {
        self.corner()[0] + self.shank_length
    }

    /// Rearmost x of the hook, m: the outside of the bend.
    #[must_use]
    pub fn rear_x(&self) -> f64 {
        self.bend_x() + 0.5 * (self.gap + self.wire_diameter)
    }

    /// Length of the wire from eye to point, m.
    #[must_use]
    pub fn wire_span(&self) -> f64 {
        let corner = self.corner();
        corner[0].hypot(corner[1]) + self.shank_length + FRAC_PI_2 * self.gap + self.point_length
    }

    /// The centre line of the wire.
    #[must_use]
    pub fn path(&self) -> WirePath {
        let ring = 0.5 * (self.eye_inner_diameter + self.wire_diameter);
        let along = if self.is_jig() { [self.neck_angle.cos(), -self.neck_angle.sin()] } else { [1.0, 0.0] };
        let at = |s: f64| [along[0] * s, along[1] * s];
        let corner = self.corner();
        let bend = [self.bend_x(), corner[1]];
        let bend_centre = [bend[0], bend[1] + 0.5 * self.gap];
        let leg = [bend[0], bend[1] + self.gap];
        let mut segments = vec![Segment::ring([0.0, 0.0], ring, along)];
        if self.is_jig() {
            segments.push(Segment::line(at(self.ring_rear()), corner));
        }
        segments.push(Segment::line(corner, bend));
        segments.push(Segment::arc(bend_centre, 0.5 * self.gap, -FRAC_PI_2, PI));
        segments.push(Segment::line(leg, [leg[0] - self.point_length, leg[1]]));
        WirePath::new(segments, self.wire_diameter)
    }

    /// Mass of the bare hook, kg.
    #[must_use]
    pub fn mass(&self) -> f64 {
        self.measured_mass.unwrap_or_else(|| self.path().volume() * self.material.density_kg_m3)
    }
}
