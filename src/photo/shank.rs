//! Where the shank lies: by the outline alone, or by the known fly.

use super::Pixel;
use super::axis;
use super::background::Difference;
use super::error::PhotoError;
use super::known::SideView;
use super::mask::Mask;
use super::matching::{self, Local, Pose};
use super::tippet::{LineEnd, Tippet};
use super::view::View;
use crate::physics::statics::Rides;

/// An end of the fly at which its eye may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct EyeEnd {
    /// Place of the eye.
    pub(super) eye: Pixel,
}

/// The eye is so near the end of the fly, share of its length.
const AT_END: f64 = 0.22;

/// Rows below its end in which the line would be seen, for each row of the fly, that leave no doubt that it ended.
const CLEAR_BELOW: f64 = 0.15;
/// A steep fly lies so near its line everywhere that the line may go on behind it: width for each height.
const STEEP: f64 = 0.6;
/// The line ends so near the fly, pixels.
const NEAR: usize = 10;
/// The dark ring of an eye may be taken for the end of its line, pixels.
const SHADE: f64 = 8.0;

/// Where on its line the eye may be: where the line ends, and beside a steep fly anywhere below, unless the line would be
/// seen there.
pub(super) fn eye_places(fly: &Mask, line: &Tippet, end: &LineEnd) -> Result<Vec<Pixel>, PhotoError> {
    let [left, top, right, bottom] = fly.bounds().ok_or(PhotoError::NoFly)?;
    let (wide, high) = ((right - left) as f64, (bottom - top) as f64);
    let sure = end.clear as f64 > CLEAR_BELOW * high;
    let last = if wide < STEEP * high && !sure { bottom as f64 } else { end.hidden };
    let places: Vec<Pixel> =
        ((end.seen - SHADE).floor() as i64..=last.ceil() as i64).map(|y| [line.x_at(y as f64), y as f64]).collect();
    let near = fly.grown(NEAR);
    if places.iter().any(|p| near.holds(*p)) { Ok(places) } else { Err(PhotoError::Unattached) }
}

/// The ends of the fly that the tippet may end at: one, or both for a steep fly whose line is hidden by its body.
pub(super) fn eye_ends(fly: &Mask, eyes: &[Pixel], bend: Option<Pixel>) -> Result<Vec<EyeEnd>, PhotoError> {
    let axis = axis::find(fly, None, 1.0).ok_or(PhotoError::NoAxis)?;
    let length = axis.ends[1] - axis.ends[0];
    let ends = axis.ends.iter().filter_map(|end| {
        let off = |p: &&Pixel| (axis.coordinates(**p)[0] - end).abs();
        let nearest = eyes.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
        (off(&nearest) < AT_END * length).then_some(EyeEnd { eye: *nearest })
    });
    let mut ends: Vec<EyeEnd> = ends.collect();
    if let (Some(bend), true) = (bend, ends.len() == 2) {
        let far = |e: &EyeEnd| (e.eye[0] - bend[0]).hypot(e.eye[1] - bend[1]);
        ends.sort_by(|a, b| far(b).total_cmp(&far(a)));
        ends.truncate(1);
    }
    Ok(ends)
}

/// The shank by the outline.
#[derive(Debug, Clone)]
pub(super) struct OutlineShank {
    /// Front and rear.
    pub(super) line: [Pixel; 2],
    /// Standard error of its direction in the picture, rad.
    pub(super) error: f64,
}

/// The axis of a dressed fly is not quite its shank, rad (1.5 degrees; estimate, no source).
const BODY_IS_NOT_SHANK: f64 = 0.026;
/// So much of what different ways of finding the axis disagree by is taken as an error of the axis.
const DISAGREEMENT: f64 = 0.5;

/// The line along the body, by several ways that would disagree if foam, a wing or a tail stood out to one side.
pub(super) fn by_outline(fly: &Mask, difference: &Difference, eye: Pixel) -> Option<OutlineShank> {
    let front = axis::find(fly, Some(eye), 0.5)?;
    let most = axis::find(fly, Some(eye), 0.85);
    let core = core(fly, difference, 0.6).and_then(|core| axis::find(&core, Some(eye), 0.6));
    let darkest = core_of_dark(fly, difference).and_then(|core| axis::find(&core, Some(eye), 0.6));
    let others = [most, core, darkest].into_iter().flatten();
    let disagreement = others.map(|other| front.turn_from(&other)).fold(0.0, f64::max);
    let at_eye = front.coordinates(eye)[0];
    let rear = if at_eye < 0.5 * (front.ends[0] + front.ends[1]) { front.ends[1] } else { front.ends[0] };
    Some(OutlineShank {
        line: [front.point(at_eye), front.point(rear)],
        error: front.error.hypot(BODY_IS_NOT_SHANK).hypot(DISAGREEMENT * disagreement),
    })
}

/// What differs most from the background.
fn core(fly: &Mask, difference: &Difference, share: f32) -> Option<Mask> {
    let mut strength: Vec<f32> = fly.points().map(|[x, y]| difference.at(x as usize, y as usize)).collect();
    strength.sort_by(f32::total_cmp);
    let typical = *strength.get(strength.len() * 3 / 4)?;
    let bound = Mask::from_fn(fly.width, fly.height, |x, y| {
        fly.has(x as isize, y as isize) && difference.at(x, y) > share * typical
    });
    largest(&bound.opened(1))
}

/// The largest piece with the highest difference: metal and dark fur, without pale foam.
fn core_of_dark(fly: &Mask, difference: &Difference) -> Option<Mask> {
    core(fly, difference, 0.85)
}

fn largest(mask: &Mask) -> Option<Mask> {
    let pieces = mask.pieces();
    pieces.iter().max_by_key(|p| p.len()).map(|p| mask.only(p))
}

/// One way the known fly may hang.
#[derive(Debug, Clone)]
pub(super) struct Attitude {
    /// The shank's own line in the picture: from beside the tie point to the bend.
    pub(super) line: [Pixel; 2],
    /// The eye.
    pub(super) eye: Pixel,
    /// Standard error in the picture, rad.
    pub(super) error: f64,
    /// Side of the point, if told.
    pub(super) rides: Option<Rides>,
}

/// How the known fly fits.
#[derive(Debug, Clone)]
pub(super) struct Fit {
    pub(super) best: Attitude,
    pub(super) other: Option<Attitude>,
    pub(super) agrees: f64,
}

/// Least share of the area that must agree.
const AGREES: f64 = 0.6;
/// An attitude that agrees so well, for each 1 of the best, cannot be left out.
const AS_GOOD: f64 = 0.92;
/// The other side of the point, at the same angle, must agree less than this.
const SAME_SIDE: f64 = 0.97;
/// Attitudes that are one angle, rad (10 degrees).
const ONE_ANGLE: f64 = 0.1745;
/// The shank of the known fly laid over the picture, rad (1.2 degrees), where all of it agrees.
const LAID_OVER: f64 = 0.021;

/// Error for each share of the area that does not agree, rad (8 degrees where nothing would; by traced pictures).
const DOUBT: f64 = 0.14;

/// Lays the known fly over the picture.
pub(super) fn by_recipe(fly: &Mask, view: &View, known: &SideView, eyes: &[Pixel]) -> Result<Fit, PhotoError> {
    let poses = matching::poses(fly, view, known, &eyes.to_vec());
    let best = *poses.first().ok_or(PhotoError::NoAxis)?;
    if best.score < AGREES {
        return Err(PhotoError::NotThisFly { share_percent: 100.0 * best.score });
    }
    let as_good = |limit: f64| poses.iter().filter(move |p| p.score > limit * best.score);
    let mut groups: Vec<Vec<Pose>> = Vec::new();
    for pose in as_good(AS_GOOD) {
        match groups.iter_mut().find(|g| (g[0].hang - pose.hang).abs() < ONE_ANGLE) {
            Some(group) => group.push(*pose),
            None => groups.push(vec![*pose]),
        }
    }
    if groups.len() > 2 {
        return Err(PhotoError::ManyAttitudes);
    }
    let attitude = |group: &Vec<Pose>| -> Result<Attitude, PhotoError> {
        let first = group[0];
        let other_side = group.iter().any(|p| p.point_up != first.point_up && p.score > SAME_SIDE * first.score);
        let apart = group.iter().map(|p| (p.hang - first.hang).abs()).fold(0.0, f64::max);
        let rides = (!other_side).then_some(if first.point_up { Rides::PointUp } else { Rides::PointDown });
        let doubt = DOUBT * (1.0 - first.score);
        let error = LAID_OVER.hypot(doubt).hypot(if other_side { 0.5 * apart } else { 0.25 * apart });
        let [eye, front, rear] = places_of(&first, view, known, fly).ok_or(PhotoError::NoAxis)?;
        Ok(Attitude { line: [front, rear], eye, error, rides })
    };
    let mut told = groups.iter().map(attitude);
    let best_attitude = told.next().ok_or(PhotoError::NoAxis)??;
    let other = told.next().transpose()?;
    Ok(Fit { best: best_attitude, other, agrees: best.score })
}

/// In the picture: the tie point, and the line of the shank from beside it to the bend.
fn places_of(pose: &Pose, view: &View, known: &SideView, fly: &Mask) -> Option<[Pixel; 3]> {
    let [left, top, right, bottom] = fly.bounds()?;
    let local = Local::new(view, [0.5 * (left + right) as f64, 0.5 * (top + bottom) as f64])?;
    let at = |p: [f64; 2]| local.picture(pose.place(p));
    Some([at([0.0, 0.0]), at([0.0, known.bend[1]]), at(known.bend)])
}
