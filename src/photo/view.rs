//! From points of the picture to the hang: roll, then what the vessel does.

use super::Pixel;
use super::card::CardMap;
use super::lens::RoundJar;
use super::picture::Picture;
use super::setup::Setup;
use super::tippet::Tippet;

/// How well jar diameter, camera distance and offset are known, m (estimates, no source).
const JAR_SD: [f64; 3] = [0.001, 0.010, 0.005];
/// How far a fly that was hung broadside is turned towards the camera, rad (8 degrees; estimate, no source).
const TURNED_SD: f64 = 0.14;

/// How well the radius of a waist is known, share of it (estimate, no source).
const WAIST_SD: f64 = 0.1;
/// A card that hung 5 mm nearer or farther than the fly turns 45 degrees by so much, rad (1 degree; estimate from the same
/// shift in a round jar of 80 mm).
const CARD_PLACE_SD: f64 = 0.0175;

/// From picture points to the plane of the fly.
#[derive(Debug, Clone, Copy)]
pub(super) struct View<'s> {
    picture: &'s Picture,
    jar: Option<RoundJar>,
    card: Option<&'s CardMap>,
    /// Left and right edge of the water.
    edges: Option<[f64; 2]>,
    /// Upright things lean so far to the right on the way down, rad: where the roll is taken out, and in the picture.
    roll: f64,
    picture_roll: f64,
}

impl<'s> View<'s> {
    pub(super) fn new(picture: &'s Picture, setup: &'s Setup) -> Self {
        let edges = setup.edges.map(|e| e.map(|x| picture.reduced([x, x])[0]));
        let card = setup.card.as_ref();
        Self { picture, jar: setup.jar, card, edges, roll: 0.0, picture_roll: 0.0 }
    }

    /// With the roll that an upright line shows near its end.
    pub(super) fn with_upright(self, line: &Tippet) -> Self {
        /// Length of the line that is looked at, pixels.
        const NEAR: f64 = 40.0;
        let picture_roll = line.slope.atan();
        let roll = match self.card {
            None => picture_roll,
            Some(card) => {
                let at = |y: f64| card.place(self.picture.full([line.x_at(y), y]));
                let (above, below) = (at(line.y0 - NEAR), at(line.y0));
                (below[0] - above[0]).atan2(above[1] - below[1])
            }
        };
        Self { roll, picture_roll, ..self }
    }

    /// As the picture shows it, with the roll taken out or not.
    pub(super) fn unturned(self, rolled_back: bool) -> Self {
        let roll = if rolled_back { self.picture_roll } else { 0.0 };
        Self { jar: None, card: None, roll, ..self }
    }

    /// Whether a point lies where neither jar nor card tells where it is: beside the water, or off the card.
    pub(super) fn is_off_card(&self, p: Pixel) -> bool {
        self.card.is_some_and(|card| card.outside(card.place(self.picture.full(p))) > 1.5)
    }

    /// A picture point with the roll taken out, right and up from the middle, pixels.
    fn upright(&self, p: Pixel) -> [f64; 2] {
        let middle = self.middle();
        let (x, y) = (p[0] - middle[0], p[1] - middle[1]);
        let (sin, cos) = self.roll.sin_cos();
        // A tippet that leans right on the way down is turned back to vertical.
        [x * cos - y * sin, -(x * sin + y * cos)]
    }

    fn middle(&self) -> Pixel {
        [0.5 * (self.picture.width as f64 - 1.0), 0.5 * (self.picture.height as f64 - 1.0)]
    }

    /// Right and up in the plane of the fly; m where the edges of the jar are known, else pixels or squares of the card.
    pub(super) fn place(&self, p: Pixel) -> Option<[f64; 2]> {
        if let Some(card) = self.card {
            let [x, y] = card.place(self.picture.full(p));
            let (sin, cos) = self.roll.sin_cos();
            return Some([x * cos + y * sin, y * cos - x * sin]);
        }
        let [right, up] = self.upright(p);
        let Some(jar) = &self.jar else { return Some([right, up]) };
        match self.edges {
            None => Some([right, up * jar.stretch()]),
            Some([a, b]) => {
                let focal = jar.focal_from_width((b - a).abs());
                let centre = self.upright([0.5 * (a + b), self.middle()[1]])[0];
                jar.place((right - centre) / focal, up / focal)
            }
        }
    }

    /// Whether [`Self::place`] gives metres.
    pub(super) fn is_metric(&self) -> bool {
        self.jar.is_some() && self.edges.is_some() && self.card.is_none()
    }

    /// The hang of a line from front to rear, rad.
    pub(super) fn hang(&self, front: Pixel, rear: Pixel) -> Option<f64> {
        let (a, b) = (self.place(front)?, self.place(rear)?);
        Some((a[1] - b[1]).atan2((b[0] - a[0]).abs()))
    }

    /// Change of the hang when the line in the picture is turned by `by`.
    pub(super) fn turned(&self, front: Pixel, rear: Pixel, by: f64) -> Option<f64> {
        let at = |angle: f64| {
            let (sin, cos) = angle.sin_cos();
            let d = [rear[0] - front[0], rear[1] - front[1]];
            self.hang(front, [front[0] + d[0] * cos - d[1] * sin, front[1] + d[0] * sin + d[1] * cos])
        };
        // Past the vertical the hang turns back, so the larger of the two sides is taken.
        let (here, plus, minus) = (at(0.0)?, at(by)?, at(-by)?);
        Some((plus - here).abs().max((minus - here).abs()))
    }

    /// Change of the hang when the camera was rolled by `by` more.
    pub(super) fn rolled(&self, front: Pixel, rear: Pixel, by: f64) -> Option<f64> {
        let at = |roll: f64| Self { roll, ..*self }.hang(front, rear);
        let here = at(self.roll)?;
        Some((at(self.roll + by)? - here).abs().max((at(self.roll - by)? - here).abs()))
    }

    /// Error by what is not known of vessel, camera and the fly's place in it.
    pub(super) fn lens_error(&self, front: Pixel, rear: Pixel, hang: f64) -> f64 {
        // Turned about the upright line, the fly's level length looks shorter by the cosine.
        let turned = (hang.tan() / TURNED_SD.cos()).atan() - hang;
        if let Some(card) = self.card {
            let length = self.place(front).zip(self.place(rear)).map_or(1.0, |(a, b)| (a[0] - b[0]).hypot(a[1] - b[1]));
            let uneven = std::f64::consts::SQRT_2 * card.off / length.max(0.5);
            return turned.hypot(uneven).hypot(CARD_PLACE_SD * (2.0 * hang).sin());
        }
        let Some(jar) = self.jar else { return turned.abs() };
        let moved = |by: [f64; 3]| {
            let jar = Some(jar.shifted(by[0], by[1], by[2]));
            Self { jar, ..*self }.hang(front, rear).map_or(0.0, |h| h - hang)
        };
        let [radius, camera, offset] = JAR_SD;
        let jar = moved([0.5 * radius, 0.0, 0.0]).hypot(moved([0.0, camera, 0.0])).hypot(moved([0.0, 0.0, offset]));
        let waist = self.jar.filter(RoundJar::has_waist).map_or(0.0, |jar| {
            Self { jar: Some(jar.waist_off(WAIST_SD)), ..*self }.hang(front, rear).map_or(0.0, |h| h - hang)
        });
        jar.hypot(turned).hypot(waist)
    }
}
