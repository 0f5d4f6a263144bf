//! The whole reading: fly, tippet, axis, roll, lens, and how far off the angle may be.

use super::axis::{self, Axis};
use super::find::{self, Mask};
use super::lens::RoundJar;
use super::picture::Picture;
use super::tippet::{self, Tippet};
use super::{Pixel, tippet::eye};
use crate::physics::statics::Rides;
use thiserror::Error;

/// What the user points out.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Hints {
    /// The eye of the hook.
    pub eye: Option<Pixel>,
    /// The start of the bend: the rear of the straight shank.
    pub bend: Option<Pixel>,
}

/// How the picture was taken.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Setup {
    /// A round jar; `None` for a flat tank.
    pub jar: Option<RoundJar>,
    /// Left and right edge of the water in the picture, pixels. Without them the fly is taken to be small and in the
    /// middle of the jar.
    pub edges: Option<[f64; 2]>,
}

/// Why nothing could be read.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum PhotoError {
    /// Nothing dark enough.
    #[error("no fly found: nothing in the picture is clearly darker than a light background")]
    NoFly,
    /// The fly has no straight middle.
    #[error("the fly's axis cannot be told")]
    NoAxis,
    /// Which end is the eye cannot be told.
    #[error("no tippet found above the fly, so its eye cannot be told")]
    NoTippet,
    /// The two points are one.
    #[error("eye and bend are {distance:.1} pixels apart; at least 8 are needed")]
    SamePoint {
        /// Distance, pixels.
        distance: f64,
    },
    /// A point outside the picture.
    #[error("the point {x},{y} is outside the picture of {width} x {height} pixels")]
    Outside {
        /// Column.
        x: f64,
        /// Row.
        y: f64,
        /// Width, pixels.
        width: usize,
        /// Height, pixels.
        height: usize,
    },
    /// What was taken for the tippet leans too far.
    #[error(
        "what looks like the tippet leans {lean_deg:.0} degrees: either it is none, or the camera was held askew; more than \
         {} degrees is not taken",
        MOST_ROLL.to_degrees().round()
    )]
    Askew {
        /// Lean, degrees.
        lean_deg: f64,
    },
    /// The fly is outside the jar's water.
    #[error("the fly lies outside the edges of the water that were given")]
    OutsideJar,
}

/// What was read off a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Hang angle, rad: positive tail down. Roll and lens taken out.
    pub hang: f64,
    /// Standard error of it, rad.
    pub error: f64,
    /// The angle as it stands in the picture, rad.
    pub raw: f64,
    /// Camera roll from the tippet, rad: the tippet leans so much to the right on the way down. `None` if no tippet was
    /// seen; the camera is then taken to be level.
    pub roll: Option<f64>,
    /// Turned back by the jar's lens, rad: corrected less seen.
    pub lens: f64,
    /// The side of the hook point, where it stands out of the body. A guess: check it.
    pub rides: Option<Rides>,
    /// Eye.
    pub eye: Pixel,
    /// Rear end of the axis.
    pub rear: Pixel,
    /// Two points of the tippet, if it was seen.
    pub tippet: Option<[Pixel; 2]>,
    /// Shares of the error, rad.
    pub parts: ErrorParts,
}

/// Where the error of a reading comes from, standard deviations, rad.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ErrorParts {
    /// The axis of the fly: ragged dressing, pixels.
    pub axis: f64,
    /// The roll of the camera.
    pub roll: f64,
    /// Jar, camera and place of the fly, as well as they can be measured by eye.
    pub lens: f64,
}

/// Largest roll that is believed, rad (12 degrees): a camera held by hand against a table is straighter (estimate, no source).
const MOST_ROLL: f64 = 0.2094;
/// Camera roll of a phone held by hand against a mark, where no tippet is seen, rad (2 degrees; estimate, no source).
const UNKNOWN_ROLL: f64 = 0.035;
/// The axis of a dressed fly is not quite its shank, rad (1 degree; estimate, no source).
const BODY_IS_NOT_SHANK: f64 = 0.0175;
/// How well a point is put on the eye or the bend, pixels of a picture 1200 wide.
const POINT_SD: f64 = 2.0;
/// How well jar diameter, camera distance and offset are known, m (estimates, no source).
const JAR_SD: [f64; 3] = [0.001, 0.010, 0.005];
/// Longest side of the picture that is worked on, pixels.
const WORKED_ON: usize = 1200;

/// Reads the hang off a picture.
///
/// # Errors
/// [`PhotoError`]; where no fly, axis or tippet is found, points given by hand still give an answer.
pub fn read(picture: &Picture, hints: &Hints, setup: &Setup) -> Result<Reading, PhotoError> {
    inside(picture, hints)?;
    let by = picture.width().max(picture.height()).div_ceil(WORKED_ON);
    let small = picture.reduced(by);
    let darkness = find::darkness(&small);
    let fly = find::fly(&darkness);
    let tippet = fly.as_ref().and_then(|fly| tippet::find(&darkness, fly));
    let back = 0.5 * (by as f64 - 1.0);
    let full = |p: Pixel| [p[0] * by as f64 + back, p[1] * by as f64 + back];
    let reduced = |p: Pixel| [(p[0] - back) / by as f64, (p[1] - back) / by as f64];
    let hints = Hints { eye: hints.eye.map(reduced), bend: hints.bend.map(reduced) };
    if let Some(lean) = tippet.map(|t| t.slope.atan()).filter(|lean| lean.abs() > MOST_ROLL) {
        return Err(PhotoError::Askew { lean_deg: lean.to_degrees() });
    }
    let line = line(&hints, fly, tippet)?;
    let middle = [0.5 * (small.width() as f64 - 1.0), 0.5 * (small.height() as f64 - 1.0)];
    let view = View {
        middle,
        jar: setup.jar,
        edges: setup.edges.map(|e| e.map(|x| (x - back) / by as f64)),
        roll: tippet.map_or(0.0, |t| t.slope.atan()),
    };
    let hang = view.hang(line.eye, line.rear).ok_or(PhotoError::OutsideJar)?;
    let level = View { jar: None, ..view };
    let raw = View { roll: 0.0, ..level }.hang(line.eye, line.rear).ok_or(PhotoError::OutsideJar)?;
    let unstretched = level.hang(line.eye, line.rear).ok_or(PhotoError::OutsideJar)?;
    let parts = ErrorParts {
        axis: view.turned(&line, line.error)?,
        roll: view.rolled(&line, tippet.map_or(UNKNOWN_ROLL, |t| t.slope_error))?,
        lens: view.lens_error(&line, hang),
    };
    Ok(Reading {
        hang,
        error: parts.axis.hypot(parts.roll).hypot(parts.lens),
        raw,
        roll: tippet.map(|t| t.slope.atan()),
        lens: hang - unstretched,
        rides: line.rides,
        eye: full(line.eye),
        rear: full(line.rear),
        tippet: tippet.map(|t| [full([t.x_at(t.top), t.top]), full([t.x_at(line.eye[1]), line.eye[1]])]),
        parts,
    })
}

fn inside(picture: &Picture, hints: &Hints) -> Result<(), PhotoError> {
    let (width, height) = (picture.width(), picture.height());
    for [x, y] in [hints.eye, hints.bend].into_iter().flatten() {
        let in_range = |v: f64, size: usize| v >= 0.0 && v <= size as f64 - 1.0;
        if !(in_range(x, width) && in_range(y, height)) {
            return Err(PhotoError::Outside { x, y, width, height });
        }
    }
    Ok(())
}

/// The line from eye to rear in the picture.
struct Line {
    eye: Pixel,
    rear: Pixel,
    error: f64,
    rides: Option<Rides>,
}

fn line(hints: &Hints, fly: Option<Mask>, tippet: Option<Tippet>) -> Result<Line, PhotoError> {
    if let (Some(eye), Some(rear)) = (hints.eye, hints.bend) {
        let distance = (rear[0] - eye[0]).hypot(rear[1] - eye[1]);
        if distance < 8.0 {
            return Err(PhotoError::SamePoint { distance });
        }
        return Ok(Line { eye, rear, error: POINT_SD * std::f64::consts::SQRT_2 / distance, rides: None });
    }
    let mut fly = fly.ok_or(PhotoError::NoFly)?;
    let seen = tippet.and_then(|t| eye(&t, &fly).map(|e| (t, e)));
    if let Some((tippet, eye)) = seen {
        cut_off(&mut fly, &tippet, eye);
    }
    let axis = axis::find(&fly, hints.eye.or(seen.map(|(_, eye)| eye))).ok_or(PhotoError::NoAxis)?;
    let front = match (hints.eye, hints.bend) {
        (Some(eye), _) => eye,
        // The end that is farther from the bend.
        (None, Some(bend)) => {
            let ends = axis.ends.map(|t| axis.point(t));
            let far = |p: &Pixel| (p[0] - bend[0]).hypot(p[1] - bend[1]);
            if far(&ends[0]) > far(&ends[1]) { ends[0] } else { ends[1] }
        }
        (None, None) => seen.ok_or(PhotoError::NoTippet)?.1,
    };
    let at_eye = axis.coordinates(front)[0];
    let rear_t = if at_eye < 0.5 * (axis.ends[0] + axis.ends[1]) { axis.ends[1] } else { axis.ends[0] };
    let (eye_on_axis, rear) = (axis.point(at_eye), axis.point(rear_t));
    let rides = rides(&fly, &axis, at_eye, rear_t);
    Ok(Line { eye: eye_on_axis, rear, error: axis.error.hypot(BODY_IS_NOT_SHANK), rides })
}

/// Takes the tippet above the eye off the fly, in case it is thick enough to have been kept.
fn cut_off(fly: &mut Mask, tippet: &Tippet, eye: Pixel) {
    for y in 0..eye[1].max(0.0) as isize {
        let x = tippet.x_at(y as f64).round() as isize;
        (-4..=4).for_each(|d| fly.clear(x + d, y));
    }
}

/// The side on which more stands out of the body in the rear half: bend and point.
fn rides(fly: &Mask, axis: &Axis, eye: f64, rear: f64) -> Option<Rides> {
    let middle = 0.5 * (eye + rear);
    let limit = 1.4 * axis.half_thickness;
    let (mut above, mut below) = (0.0, 0.0);
    for p in fly.points() {
        let [t, n] = axis.coordinates(p);
        let in_rear_half = (t - middle) * (rear - middle) > 0.0;
        if in_rear_half && n.abs() > limit {
            // On which side of the axis is up in the picture?
            let up = -n * axis.along[0];
            if up > 0.0 { above += 1.0 } else { below += 1.0 }
        }
    }
    let enough = 0.3 * axis.half_thickness * axis.half_thickness;
    let (most, least) = if above > below { (above, below) } else { (below, above) };
    (most > enough && most > 3.0 * least).then_some(if above > below { Rides::PointUp } else { Rides::PointDown })
}

/// From picture points to the hang.
#[derive(Clone, Copy)]
struct View {
    middle: Pixel,
    jar: Option<RoundJar>,
    edges: Option<[f64; 2]>,
    roll: f64,
}

impl View {
    /// A picture point with the roll taken out, right and up from the middle, pixels.
    fn upright(&self, p: Pixel) -> [f64; 2] {
        let (x, y) = (p[0] - self.middle[0], p[1] - self.middle[1]);
        let (sin, cos) = self.roll.sin_cos();
        // A tippet that leans right on the way down is turned back to vertical.
        [x * cos - y * sin, -(x * sin + y * cos)]
    }

    fn place(&self, p: Pixel) -> Option<[f64; 2]> {
        let [right, up] = self.upright(p);
        let Some(jar) = &self.jar else { return Some([right, up]) };
        match self.edges {
            None => Some([right, up * jar.stretch()]),
            Some([a, b]) => {
                let focal = jar.focal_from_width((b - a).abs());
                let centre = self.upright([0.5 * (a + b), self.middle[1]])[0];
                jar.place((right - centre) / focal, up / focal)
            }
        }
    }

    fn hang(&self, eye: Pixel, rear: Pixel) -> Option<f64> {
        let (a, b) = (self.place(eye)?, self.place(rear)?);
        Some((a[1] - b[1]).atan2((b[0] - a[0]).abs()))
    }

    /// Change of the hang when the line in the picture is turned by `by`.
    fn turned(&self, line: &Line, by: f64) -> Result<f64, PhotoError> {
        let at = |angle: f64| {
            let (sin, cos) = angle.sin_cos();
            let d = [line.rear[0] - line.eye[0], line.rear[1] - line.eye[1]];
            let rear = [line.eye[0] + d[0] * cos - d[1] * sin, line.eye[1] + d[0] * sin + d[1] * cos];
            self.hang(line.eye, rear).ok_or(PhotoError::OutsideJar)
        };
        // Past the vertical the hang turns back, so the larger of the two sides is taken.
        let (here, plus, minus) = (at(0.0)?, at(by)?, at(-by)?);
        Ok((plus - here).abs().max((minus - here).abs()))
    }

    fn rolled(&self, line: &Line, by: f64) -> Result<f64, PhotoError> {
        let at = |roll: f64| Self { roll, ..*self }.hang(line.eye, line.rear).ok_or(PhotoError::OutsideJar);
        let here = at(self.roll)?;
        Ok((at(self.roll + by)? - here).abs().max((at(self.roll - by)? - here).abs()))
    }

    fn lens_error(&self, line: &Line, hang: f64) -> f64 {
        let Some(jar) = self.jar else { return 0.0 };
        let moved = |by: [f64; 3]| {
            let jar = Some(jar.shifted(by[0], by[1], by[2]));
            Self { jar, ..*self }.hang(line.eye, line.rear).map_or(0.0, |h| h - hang)
        };
        let [radius, camera, offset] = JAR_SD;
        moved([0.5 * radius, 0.0, 0.0]).hypot(moved([0.0, camera, 0.0])).hypot(moved([0.0, 0.0, offset]))
    }
}
