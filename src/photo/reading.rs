//! The whole reading: fly, tippet, axis, roll, lens, and how far off the angle may be.

use super::background::{Difference, difference};
use super::error::{MOST_ROLL, PhotoError};
use super::find::{self, Piece};
use super::known::SideView;
use super::mask::Mask;
use super::picture::Picture;
use super::setup::Setup;
use super::tippet::{self, Found, Tippet};
use super::view::View;
use super::{Pixel, shank};
use crate::physics::statics::Rides;
use image::RgbImage;

/// What the user points out, pixels of the file.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Hints {
    /// The eye of the hook.
    pub eye: Option<Pixel>,
    /// The start of the bend: the rear of the straight shank.
    pub bend: Option<Pixel>,
    /// Two points on the straight shank, the front one first.
    pub shank: Option<[Pixel; 2]>,
}

/// One angle that the picture may show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Angle {
    /// Hang angle, rad: positive tail down. Roll and lens taken out.
    pub hang: f64,
    /// Standard error of it, rad.
    pub error: f64,
    /// The angle as it stands in the picture, rad.
    pub raw: f64,
    /// Turned back by the vessel's lens, rad: corrected less seen.
    pub lens: f64,
    /// The side of the hook point, where it could be told.
    pub rides: Option<Rides>,
    /// The eye of the hook, pixels of the file; `None` where only the shank was pointed out. On a jig hook it stands off the
    /// line of the shank.
    pub eye: Option<Pixel>,
    /// Front of the line along the shank, pixels of the file.
    pub front: Pixel,
    /// Rear, pixels of the file.
    pub rear: Pixel,
    /// Shares of the error, rad.
    pub parts: ErrorParts,
}

impl Angle {
    fn with_eye(self, eye: Option<Pixel>) -> Self {
        Self { eye, ..self }
    }
}

/// Where the error of a reading comes from, standard deviations, rad.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ErrorParts {
    /// The axis of the fly: ragged dressing, pixels.
    pub axis: f64,
    /// The roll of the camera.
    pub roll: f64,
    /// Jar, camera and place of the fly, as well as they can be measured by eye; a fly not hung broadside.
    pub lens: f64,
}

/// What was read off a picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What the picture shows.
    pub angle: Angle,
    /// What it may show as well: then nothing is told.
    pub or: Option<Angle>,
    /// Camera roll from the tippet, rad: the tippet leans so much to the right on the way down. `None` if no tippet was
    /// seen; the camera is then taken to be level.
    pub roll: Option<f64>,
    /// Share of the recipe's fly that agrees with the picture, if there was one.
    pub agrees: Option<f64>,
}

/// What was taken for what, pixels of the file, whether or not it came to a reading.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Seen {
    /// Outline of the piece taken for the fly.
    pub outline: Vec<Pixel>,
    /// Lines taken for the tippet, from top to end.
    pub lines: Vec<[Pixel; 2]>,
    /// Where the eye may be: from, to.
    pub eye: Option<[Pixel; 2]>,
}

/// A picture looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct Attempt {
    /// What was taken for what.
    pub seen: Seen,
    /// What came of it.
    pub outcome: Result<Reading, PhotoError>,
}

/// Camera roll of a phone held by hand against a mark, where no tippet is seen, rad (2 degrees; estimate, no source).
const UNKNOWN_ROLL: f64 = 0.035;
/// How well a point is put on the shank, pixels of a picture 1200 wide.
const POINT_SD: f64 = 2.0;
/// Eye to bend is not quite the shank: on a straight hook the eye may be turned up or down (2 degrees), on a jig hook the
/// neck adds several (common practice, no source). rad.
const EYE_TO_BEND: f64 = 0.06;
/// A tippet belongs to a point given by hand when it passes so near, pixels.
const NEAR_POINT: f64 = 12.0;
/// Largest error of an axis that is still worth telling, rad (3.3 degrees).
const WORTH_TELLING: f64 = 0.0576;

/// The fly and its line, in the pixels worked on.
struct Sight {
    piece: Piece,
    found: Found,
}

/// Reads the hang off a picture; `fly` is what hangs in it, if that is known.
#[must_use]
pub fn read(image: &RgbImage, hints: &Hints, setup: &Setup, fly: Option<&SideView>) -> Attempt {
    let mut seen = Seen::default();
    let outcome = inside(image, hints).and_then(|()| {
        let picture = Picture::from_rgb(image);
        attempt(&picture, hints, setup, fly, &mut seen)
    });
    Attempt { seen, outcome }
}

fn inside(image: &RgbImage, hints: &Hints) -> Result<(), PhotoError> {
    let (width, height) = image.dimensions();
    let [front, rear] = hints.shank.map_or([None; 2], |s| s.map(Some));
    for [x, y] in [hints.eye, hints.bend, front, rear].into_iter().flatten() {
        let in_range = |v: f64, size: u32| v >= 0.0 && v <= f64::from(size) - 1.0;
        if !(in_range(x, width) && in_range(y, height)) {
            return Err(PhotoError::Outside { x, y, width, height });
        }
    }
    Ok(())
}

fn attempt(
    picture: &Picture,
    hints: &Hints,
    setup: &Setup,
    fly: Option<&SideView>,
    seen: &mut Seen,
) -> Result<Reading, PhotoError> {
    let reduced = |p: Pixel| picture.reduced(p);
    let hints = Hints {
        eye: hints.eye.map(reduced),
        bend: hints.bend.map(reduced),
        shank: hints.shank.map(|s| s.map(reduced)),
    };
    let difference = difference(picture);
    let sights: Vec<Sight> = find::pieces(&difference)
        .into_iter()
        .map(|piece| Sight { found: tippet::find(picture, &piece), piece })
        .collect();
    let view = View::new(picture, setup);
    let by_hand = hints.shank.or_else(|| Some([hints.eye?, hints.bend?]));
    if let Some(points) = by_hand {
        return pointed_out(picture, points, hints.shank.is_some(), &view, &sights, seen);
    }
    let sight = chosen(&sights, &hints).ok_or(PhotoError::NoFly)?;
    *seen = what_was_seen(picture, sight);
    let line = match (sight.found, hints.eye) {
        (Found::One(line), _) => line,
        (Found::Rivals(..), _) => return Err(PhotoError::TwoTippets),
        (Found::None, _) => return Err(PhotoError::NoTippet),
    };
    if line.slope.atan().abs() > MOST_ROLL {
        return Err(PhotoError::Askew { lean_deg: line.slope.atan().to_degrees() });
    }
    let end = tippet::end(picture, &difference, &line, &sight.piece.thick).ok_or(PhotoError::Unattached)?;
    let fly_mask = tippet::cut_off(&sight.piece, &line, end.hidden);
    let eyes: Vec<Pixel> = match hints.eye {
        Some(eye) => vec![eye],
        None => shank::eye_places(&fly_mask, &line, &end)?,
    };
    if let (Some(first), Some(last)) = (eyes.first(), eyes.last()) {
        seen.eye = Some([picture.full(*first), picture.full(*last)]);
    }
    let view = view.with_upright(&line);
    let hung = Hung { picture, difference: &difference, fly: &fly_mask, eyes, line, view, bend: hints.bend };
    match fly {
        Some(known) => hung.matched(known),
        None => hung.by_outline(),
    }
}

/// The piece that is the fly: the heaviest that a tippet ends at, or that the points lie on; else the heaviest, to say why not.
fn chosen<'s>(sights: &'s [Sight], hints: &Hints) -> Option<&'s Sight> {
    if let Some(point) = hints.eye.or(hints.bend) {
        let near = |s: &&Sight| s.piece.whole.grown(NEAR_POINT as usize).holds(point);
        return sights.iter().find(near);
    }
    sights.iter().find(|s| matches!(s.found, Found::One(_))).or(sights.first())
}

fn what_was_seen(picture: &Picture, sight: &Sight) -> Seen {
    let mask = &sight.piece.whole;
    let inner = |[x, y]: Pixel| {
        let (x, y) = (x as isize, y as isize);
        mask.has(x - 1, y) && mask.has(x + 1, y) && mask.has(x, y - 1) && mask.has(x, y + 1)
    };
    let outline = mask.points().filter(|p| !inner(*p)).map(|p| picture.full(p)).collect();
    let drawn = |line: &Tippet| {
        let end = line.y0;
        [[line.x_at(line.top), line.top], [line.x_at(end), end]].map(|p| picture.full(p))
    };
    let lines = match &sight.found {
        Found::None => Vec::new(),
        Found::One(line) => vec![drawn(line)],
        Found::Rivals(a, b) => vec![drawn(a), drawn(b)],
    };
    Seen { outline, lines, eye: None }
}

/// Two points given by hand; the roll from a tippet that passes near the front one.
fn pointed_out(
    picture: &Picture,
    [front, rear]: [Pixel; 2],
    on_shank: bool,
    view: &View,
    sights: &[Sight],
    seen: &mut Seen,
) -> Result<Reading, PhotoError> {
    let distance = (rear[0] - front[0]).hypot(rear[1] - front[1]);
    if distance < 8.0 {
        return Err(PhotoError::SamePoint { distance });
    }
    let reach = if on_shank { NEAR_POINT + 0.4 * distance } else { NEAR_POINT };
    let near = |s: &&Sight| match s.found {
        Found::One(line) => (line.x_at(front[1]) - front[0]).abs() < reach && line.slope.atan().abs() < MOST_ROLL,
        _ => false,
    };
    let line = sights.iter().find(near).and_then(|sight| {
        *seen = what_was_seen(picture, sight);
        if let Found::One(line) = sight.found { Some(line) } else { None }
    });
    let view = line.map_or(*view, |l| view.with_upright(&l));
    let put = POINT_SD * std::f64::consts::SQRT_2 / distance;
    let error = if on_shank { put } else { put.hypot(EYE_TO_BEND) };
    let roll_error = line.map_or(UNKNOWN_ROLL, |l| l.slope_error);
    let angle =
        angle(picture, &view, [front, rear], error, roll_error)?.with_eye((!on_shank).then_some(picture.full(front)));
    Ok(Reading { angle, or: None, roll: line.map(|l| l.slope.atan()), agrees: None })
}

/// The angle of a line in the picture, with its errors.
fn angle(
    picture: &Picture,
    view: &View,
    [front, rear]: [Pixel; 2],
    axis_error: f64,
    roll_error: f64,
) -> Result<Angle, PhotoError> {
    if view.is_off_card(front) || view.is_off_card(rear) {
        return Err(PhotoError::OutsideCard);
    }
    let hang = view.hang(front, rear).ok_or(PhotoError::OutsideJar)?;
    let raw = view.unturned(false).hang(front, rear).ok_or(PhotoError::OutsideJar)?;
    let unstretched = view.unturned(true).hang(front, rear).ok_or(PhotoError::OutsideJar)?;
    let parts = ErrorParts {
        axis: view.turned(front, rear, axis_error).ok_or(PhotoError::OutsideJar)?,
        roll: view.rolled(front, rear, roll_error).ok_or(PhotoError::OutsideJar)?,
        lens: view.lens_error(front, rear, hang),
    };
    Ok(Angle {
        hang,
        error: parts.axis.hypot(parts.roll).hypot(parts.lens),
        raw,
        lens: hang - unstretched,
        rides: None,
        eye: None,
        front: picture.full(front),
        rear: picture.full(rear),
        parts,
    })
}

/// A fly on its line.
struct Hung<'p> {
    picture: &'p Picture,
    difference: &'p Difference,
    fly: &'p Mask,
    /// Where the eye may be.
    eyes: Vec<Pixel>,
    line: Tippet,
    view: View<'p>,
    bend: Option<Pixel>,
}

impl Hung<'_> {
    fn reading(&self, angle: Angle, or: Option<Angle>, agrees: Option<f64>) -> Reading {
        Reading { angle, or, roll: Some(self.line.slope.atan()), agrees }
    }

    /// By the outline alone.
    fn by_outline(&self) -> Result<Reading, PhotoError> {
        let ends = shank::eye_ends(self.fly, &self.eyes, self.bend)?;
        let at = |end: &shank::EyeEnd| {
            let axis = shank::by_outline(self.fly, self.difference, end.eye).ok_or(PhotoError::NoAxis)?;
            if axis.error > WORTH_TELLING {
                return Err(PhotoError::Ragged { error_deg: axis.error.to_degrees() });
            }
            // What stands out may be the point as well as foam or a wing, so the outline tells no side.
            let angle = angle(self.picture, &self.view, axis.line, axis.error, self.line.slope_error)?;
            Ok(angle.with_eye(Some(self.picture.full(end.eye))))
        };
        match &ends[..] {
            [only] => Ok(self.reading(at(only)?, None, None)),
            [one, other, ..] => Ok(self.reading(at(one)?, Some(at(other)?), None)),
            [] => Err(PhotoError::Unattached),
        }
    }

    /// By the known fly laid over the picture.
    fn matched(&self, known: &SideView) -> Result<Reading, PhotoError> {
        let fit = shank::by_recipe(self.fly, &self.view, known, &self.eyes)?;
        let at = |attitude: &shank::Attitude| {
            let angle = angle(self.picture, &self.view, attitude.line, attitude.error, self.line.slope_error)?;
            let eye = Some(self.picture.full(attitude.eye));
            Ok(Angle { rides: attitude.rides, ..angle.with_eye(eye) })
        };
        let or = fit.other.as_ref().map(at).transpose()?;
        Ok(self.reading(at(&fit.best)?, or, Some(fit.agrees)))
    }
}
