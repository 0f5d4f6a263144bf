//! `read-photo` with several pictures of one hang.

use super::{PhotoArgs, PhotoBody, attempt, degrees, vessel_not_told};
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use crate::output;
use counterpoise::photo::{Angle, Course, PhotoError, Setup, SideView, course};
use counterpoise::physics::statics::Rides;
use counterpoise::report::photo_drawings::{Frame, course_chart};
use counterpoise::report::sheet::Sheet;
use counterpoise::report::table::foot;
use counterpoise::report::words::hang_words;
use counterpoise::report::{Answer, Figure, Notice, ReportError, csv};
use serde::Serialize;
use std::io::Write;
use std::path::{Path, PathBuf};

/// What several pictures say together.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct CourseBody {
    /// Whether the fly has come to rest, and from which picture on (counted from 1).
    at_rest: bool,
    rest_from: Option<usize>,
    /// Mean over the pictures at rest; over the last three where the fly still turns.
    mean_deg: Figure,
    /// Standard error of it, and the part that no number of pictures makes smaller.
    error_deg: Figure,
    common_deg: Figure,
    /// Turned from the first to the last picture.
    turned_deg: Figure,
    /// Pictures in the mean.
    used: usize,
    pictures: Vec<PictureBody>,
}

/// One picture.
#[derive(Debug, Serialize, schemars::JsonSchema)]
struct PictureBody {
    file: String,
    hang_deg: Option<Figure>,
    error_deg: Option<Figure>,
    rides: Option<&'static str>,
    /// It stands off its neighbours and was left out.
    outlier: bool,
    /// Why it says nothing.
    refused: Option<String>,
}

/// What came of one picture: an angle, or why not.
type Told = Result<Angle, String>;

/// Reads several pictures.
pub(super) fn run(
    args: &PhotoArgs,
    files: &[PathBuf],
    setup: &Setup,
    known: Option<&SideView>,
    job: &Job,
) -> Result<Outcome, Failure> {
    let mut told: Vec<Told> = Vec::with_capacity(files.len());
    for file in files {
        let drawing = args.overlay.as_ref().map(|folder| drawing_in(folder, file));
        // A broken file among many is named and left out.
        told.push(match attempt(args, file, setup, known, drawing.as_deref(), job) {
            Ok(attempt) => {
                attempt.outcome.map_err(|e: PhotoError| e.to_string()).and_then(|reading| match reading.or {
                    None => Ok(reading.angle),
                    Some(or) => Err(format!(
                        "left open: {} or {}",
                        hang_words(reading.angle.hang.to_degrees()),
                        hang_words(or.hang.to_degrees())
                    )),
                })
            }
            Err(Failure::Input(_)) => Err("no picture that can be read".to_owned()),
            Err(other) => return Err(other),
        });
    }
    let angles: Vec<Angle> = told.iter().filter_map(|t| t.as_ref().ok()).copied().collect();
    let Some(course) = course(&angles) else {
        let help =
            Some("read one of them by itself to see why; --overlay FOLDER shows what was taken for what".to_owned());
        return Err(Failure::usage(
            format!("{} of {} pictures tell a hang; two are needed", angles.len(), told.len()),
            help,
        ));
    };
    let body = body(args, files, &told, &course);
    if let (Some(path), Some(course)) = (&args.chart, &body.course) {
        let frames: Vec<Frame> = course.pictures.iter().map(frame).collect();
        let rest = course.rest_from.map(|from| (from - 1, course.mean_deg.0, course.error_deg.0));
        output::save(path, args.force, &course_chart(&frames, rest))?;
        job.note(&format!("drew the course into {}", path.display()));
    }
    let mut answer = job.answer("read-photo", body);
    if course.rest_from.is_none() {
        let text = "the fly had not come to rest: wait until the bubbles are off, and take more pictures";
        answer.warnings.push(Notice::new("not-at-rest", text));
    }
    answer.warnings.extend(vessel_not_told(args, setup, course.hang));
    let unproven = "tried on rendered pictures only: check the overlay against your eye";
    answer.warnings.push(Notice::new("unproven", unproven));
    job.print(&answer, |out| table(out, &answer), |out| rows(out, &answer.body))?;
    Ok(Outcome::Met)
}

/// Where the drawing over a picture goes.
fn drawing_in(folder: &Path, file: &Path) -> PathBuf {
    let stem = file.file_stem().unwrap_or_default().to_string_lossy();
    folder.join(format!("{stem}-read.png"))
}

fn body(args: &PhotoArgs, files: &[PathBuf], told: &[Told], course: &Course) -> PhotoBody {
    let mut number = 0;
    // Pictures that told nothing have no place in the course.
    let mut place = Vec::new();
    let mut pictures = Vec::with_capacity(files.len());
    for (i, (file, told)) in files.iter().zip(told).enumerate() {
        let outlier = told.is_ok() && course.outlier[number];
        if told.is_ok() {
            place.push(i);
            number += 1;
        }
        pictures.push(PictureBody {
            file: file.display().to_string(),
            hang_deg: told.as_ref().ok().map(|a| degrees(a.hang)),
            error_deg: told.as_ref().ok().map(|a| degrees(a.error)),
            rides: told.as_ref().ok().and_then(|a| a.rides).map(Rides::word),
            outlier,
            refused: told.as_ref().err().cloned(),
        });
    }
    let at_rest = course.rest_from.is_some();
    let sides: Vec<&str> = pictures.iter().filter(|p| !p.outlier).filter_map(|p| p.rides).collect();
    let rides = sides.first().copied().filter(|first| sides.iter().all(|side| side == first));
    PhotoBody {
        hang_deg: at_rest.then(|| degrees(course.hang)),
        error_deg: at_rest.then(|| degrees(course.error)),
        rides: if at_rest { rides } else { None },
        medium: args.medium().word(),
        roll_deg: None,
        agrees_percent: None,
        angles: Vec::new(),
        course: Some(CourseBody {
            at_rest,
            rest_from: course.rest_from.map(|from| place[from] + 1),
            mean_deg: degrees(course.hang),
            error_deg: degrees(course.error),
            common_deg: degrees(course.common),
            turned_deg: degrees(course.turned),
            used: course.used,
            pictures,
        }),
    }
}

fn frame(picture: &PictureBody) -> Frame {
    Frame {
        hang_deg: picture.hang_deg.map(|f| f.0),
        error_deg: picture.error_deg.map_or(0.0, |f| f.0),
        outlier: picture.outlier,
    }
}

fn table(out: &mut Sheet, answer: &Answer<PhotoBody>) -> Result<(), ReportError> {
    let Some(course) = &answer.body.course else { return Ok(()) };
    let mean = format!("{} +-{:.1}°", hang_words(course.mean_deg.0), course.error_deg.0);
    match course.rest_from {
        Some(from) => writeln!(out, "hangs    {mean}, at rest from picture {from} on: mean of {}", course.used)?,
        None => writeln!(out, "hangs    still turning; the last {} at {mean}", course.used)?,
    }
    writeln!(out, "common   +-{:.1}° of it is common to all pictures", course.common_deg.0)?;
    writeln!(out, "course   turned by {:+.1}° from the first to the last", course.turned_deg.0)?;
    writeln!(out)?;
    for (i, picture) in course.pictures.iter().enumerate() {
        let said = match (picture.hang_deg, picture.error_deg) {
            (Some(hang), Some(error)) => format!("{} +-{:.1}°", hang_words(hang.0), error.0),
            _ => picture.refused.clone().unwrap_or_default(),
        };
        let off = if picture.outlier { ", stands off its neighbours: left out" } else { "" };
        writeln!(out, "{:<4} {}  {said}{off}", i + 1, picture.file)?;
    }
    foot(out, answer)
}

fn rows(out: &mut dyn Write, body: &PhotoBody) -> Result<(), ReportError> {
    let Some(course) = &body.course else { return Ok(()) };
    let text = |f: Option<Figure>| f.map_or_else(String::new, |f| f.rounded().to_string());
    let row = |p: &PictureBody| {
        vec![
            p.file.clone(),
            text(p.hang_deg),
            text(p.error_deg),
            p.rides.unwrap_or_default().to_owned(),
            p.outlier.to_string(),
            p.refused.clone().unwrap_or_default(),
        ]
    };
    csv::lines(out, &["file", "hang_deg", "error_deg", "rides", "outlier", "refused"], course.pictures.iter().map(row))
}
