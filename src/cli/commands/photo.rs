//! `read-photo`: the hang off a photograph of a fly in a jar.

use crate::args::TEMPLATE;
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use crate::output;
use clap::Args;
use counterpoise::document::{Diagnostics, Problem};
use counterpoise::photo::file::{encode_png, load};
use counterpoise::photo::overlay::overlay;
use counterpoise::photo::{Hints, Picture, Reading, RoundJar, Setup, read};
use counterpoise::physics::statics::Rides;
use counterpoise::quantity::Length;
use counterpoise::report::sheet::Sheet;
use counterpoise::report::table::foot;
use counterpoise::report::words::hang_words;
use counterpoise::report::{Answer, Figure, Notice, ReportError, csv};
use serde::Serialize;
use std::io::Write;
use std::path::{Path, PathBuf};

const EXAMPLES: &str = "Examples:
  counterpoise read-photo jar.jpg --overlay read.png
  counterpoise read-photo jar.jpg --jar-diameter 80mm --camera 30cm --offset 0mm
  counterpoise read-photo jar.jpg --eye 512,300 --bend 700,355

";

/// Options of `read-photo`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct PhotoArgs {
    /// Picture, PNG or JPEG: the fly hung against a plain light background
    #[arg(value_name = "PICTURE")]
    file: PathBuf,
    /// The eye of the hook, pixels from the left and the top
    #[arg(long, value_name = "X,Y", value_parser = point)]
    eye: Option<[f64; 2]>,
    /// The start of the bend
    #[arg(long, value_name = "X,Y", value_parser = point)]
    bend: Option<[f64; 2]>,
    /// Inside diameter of a round jar of water; a flat tank unless given
    #[arg(long, value_name = "LENGTH", requires = "camera")]
    jar_diameter: Option<Length>,
    /// From the camera's lens to the middle of the jar
    #[arg(long, value_name = "LENGTH", requires = "jar_diameter")]
    camera: Option<Length>,
    /// How far the fly hangs from the middle of the jar, towards the camera
    #[arg(long, value_name = "LENGTH", requires = "jar_diameter", allow_hyphen_values = true)]
    offset: Option<Length>,
    /// Left and right edge of the water in the picture, pixels
    #[arg(long, value_name = "LEFT,RIGHT", requires = "jar_diameter", value_parser = point)]
    edges: Option<[f64; 2]>,
    /// Draw what was read into this PNG file
    #[arg(long, value_name = "FILE.png")]
    overlay: Option<PathBuf>,
    /// Overwrite the file
    #[arg(long, requires = "overlay")]
    force: bool,
}

/// What was read.
#[derive(Debug, Serialize)]
struct PhotoBody {
    /// Shank from horizontal, degrees, positive tail down; roll and lens taken out.
    hang_deg: Figure,
    /// Standard error of it.
    error_deg: Figure,
    /// As it stands in the picture.
    in_picture_deg: Figure,
    /// Camera roll from the tippet, positive when the tippet leans to the right on the way down; `None`: no tippet seen.
    roll_deg: Option<Figure>,
    /// Turned back by the jar's lens.
    lens_deg: Figure,
    /// Which side the point seems to be on.
    rides: Option<&'static str>,
    /// Eye, pixels.
    eye: [Figure; 2],
    /// Rear of the axis, pixels.
    rear: [Figure; 2],
}

/// Reads a photograph.
pub(crate) fn run(args: &PhotoArgs, job: &Job) -> Result<Outcome, Failure> {
    let unreadable = |text: String| -> Failure {
        let mut problems = Diagnostics::new();
        problems.push(Problem::of_file(&args.file.display().to_string(), text));
        problems.into()
    };
    let image = load(&args.file).map_err(|error| unreadable(error.to_string()))?;
    let hints = Hints { eye: args.eye, bend: args.bend };
    let reading = read(&Picture::from_rgb(&image), &hints, &setup(args)?).map_err(|error| {
        Failure::usage(error.to_string(), Some("point at eye and bend with --eye X,Y --bend X,Y".to_owned()))
    })?;
    if let Some(path) = &args.overlay {
        let png = encode_png(&overlay(&image, &reading)).map_err(|error| unreadable(error.to_string()))?;
        save(path, args.force, &png, job)?;
    }
    let mut answer = job.answer("read-photo", body(&reading));
    if reading.roll.is_none() {
        answer.warnings.push(Notice::new("no-tippet", "no tippet was seen: the camera is taken to be level"));
    }
    answer
        .warnings
        .push(Notice::new("unproven", "tried on rendered pictures only: check the overlay against your eye"));
    job.print(&answer, |out| table(out, &answer), |out| rows(out, &answer.body))?;
    Ok(Outcome::Met)
}

fn setup(args: &PhotoArgs) -> Result<Setup, Failure> {
    let (Some(diameter), Some(camera)) = (args.jar_diameter, args.camera) else { return Ok(Setup::default()) };
    let jar = RoundJar::new(diameter, camera, args.offset.unwrap_or(Length::from_mm(0.0)))
        .map_err(|error| Failure::usage(error.to_string(), None))?;
    Ok(Setup { jar: Some(jar), edges: args.edges })
}

fn body(reading: &Reading) -> PhotoBody {
    let deg = |rad: f64| Figure(rad.to_degrees());
    PhotoBody {
        hang_deg: deg(reading.hang),
        error_deg: deg(reading.error),
        in_picture_deg: deg(reading.raw),
        roll_deg: reading.roll.map(deg),
        lens_deg: deg(reading.lens),
        rides: reading.rides.map(Rides::word),
        eye: reading.eye.map(Figure),
        rear: reading.rear.map(Figure),
    }
}

fn save(path: &Path, force: bool, png: &[u8], job: &Job) -> Result<(), Failure> {
    output::save_bytes(path, force, png)?;
    job.note(&format!("drew the reading into {}", path.display()));
    Ok(())
}

fn table(out: &mut Sheet, answer: &Answer<PhotoBody>) -> Result<(), ReportError> {
    let body = &answer.body;
    writeln!(out, "hangs       {} +-{:.1}°", hang_words(body.hang_deg.0), body.error_deg.0)?;
    writeln!(out, "point       {}", body.rides.map_or("side not told".to_owned(), |r| format!("seems {r}: check it")))?;
    writeln!(out, "in picture  {}", hang_words(body.in_picture_deg.0))?;
    if let Some(roll) = body.roll_deg {
        writeln!(out, "roll        {:.1}° from the tippet, taken out", roll.0)?;
    }
    writeln!(out, "lens        {:+.1}° by the round jar, taken out", body.lens_deg.0)?;
    writeln!(out, "eye         {:.0},{:.0}", body.eye[0].0, body.eye[1].0)?;
    writeln!(out, "rear        {:.0},{:.0}", body.rear[0].0, body.rear[1].0)?;
    foot(out, answer)
}

fn rows(out: &mut dyn Write, body: &PhotoBody) -> Result<(), ReportError> {
    let text = |f: Figure| f.rounded().to_string();
    let row = vec![
        text(body.hang_deg),
        text(body.error_deg),
        text(body.in_picture_deg),
        body.roll_deg.map_or_else(String::new, text),
        text(body.lens_deg),
        body.rides.unwrap_or_default().to_owned(),
    ];
    csv::lines(out, &["hang_deg", "error_deg", "in_picture_deg", "roll_deg", "lens_deg", "rides"], std::iter::once(row))
}

/// Reads "512,300".
fn point(text: &str) -> Result<[f64; 2], String> {
    let number = |part: &str| part.trim().parse::<f64>().ok().filter(|n| n.is_finite());
    text.split_once(',')
        .and_then(|(x, y)| Some([number(x)?, number(y)?]))
        .ok_or_else(|| format!("`{text}` is no pair of pixels; write 512,300"))
}
