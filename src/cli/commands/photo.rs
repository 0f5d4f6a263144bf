//! `read-photo`: the hang off a photograph of a fly in a jar.

use crate::args::TEMPLATE;
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use crate::output;
use clap::Args;
use counterpoise::document::{Diagnostics, Problem};
use counterpoise::photo::card::{SIDE_MM, SQUARES};
use counterpoise::photo::file::{encode_png, load};
use counterpoise::photo::overlay::overlay;
use counterpoise::photo::{Angle, Attempt, CardMap, Hints, LensError, Reading, RoundJar, Setup, SideView, read};
use counterpoise::physics::statics::Rides;
use counterpoise::quantity::Length;
use counterpoise::recipe_file::RecipeDocument;
use counterpoise::report::photo_drawings::square_card;
use counterpoise::report::sheet::Sheet;
use counterpoise::report::table::foot;
use counterpoise::report::words::hang_words;
use counterpoise::report::{Answer, Figure, Notice, ReportError, csv};
use counterpoise::vice::Medium;
use serde::Serialize;
use std::io::Write;
use std::path::{Path, PathBuf};

mod series;

use series::CourseBody;

const EXAMPLES: &str = "Examples:
  counterpoise read-photo jar.jpg --recipe fly.yaml --overlay read.png
  counterpoise read-photo jar.jpg --jar-diameter 80mm --camera 30cm --offset 0mm
  counterpoise read-photo jar.jpg --shank 512,300,700,355
  counterpoise read-photo --write-card card.svg
  counterpoise read-photo vase.jpg --card card-in-the-vase.jpg
  counterpoise read-photo frames/ --recipe fly.yaml --chart course.svg

";

/// Options of `read-photo`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct PhotoArgs {
    /// Pictures, PNG or JPEG, of the fly on its tippet, clear of everything else, sharp, and broadside; several, or a
    /// folder, of one hang in the order in which they were taken
    #[arg(value_name = "PICTURE", required_unless_present = "write_card")]
    pictures: Vec<PathBuf>,
    /// The recipe of the fly in the picture: tells head from tail, the side of the point, and foam and jig necks from the shank
    #[arg(long, value_name = "RECIPE.yaml")]
    recipe: Option<PathBuf>,
    /// Two points on the straight shank, the front one first, pixels from the left and the top
    #[arg(long, value_name = "X,Y,X,Y", value_parser = points, conflicts_with_all = ["eye", "bend"])]
    shank: Option<[[f64; 2]; 2]>,
    /// The eye of the hook, pixels from the left and the top
    #[arg(long, value_name = "X,Y", value_parser = point)]
    eye: Option<[f64; 2]>,
    /// The start of the bend
    #[arg(long, value_name = "X,Y", value_parser = point)]
    bend: Option<[f64; 2]>,
    /// Where it hangs: water, or air (in the hand, dry: no vessel turns what is seen)
    #[arg(long, value_name = "water|air", default_value = "water", value_parser = ["water", "air"],
          hide_possible_values = true)]
    medium: String,
    /// Inside diameter of a round jar of water; a flat tank unless given
    #[arg(long, value_name = "LENGTH", requires = "camera")]
    jar_diameter: Option<Length>,
    /// From the camera's lens to the middle of the jar
    #[arg(long, value_name = "LENGTH", requires = "jar_diameter")]
    camera: Option<Length>,
    /// How far the fly hangs from the middle of the jar, towards the camera
    #[arg(long, value_name = "LENGTH", requires = "jar_diameter", allow_hyphen_values = true)]
    offset: Option<Length>,
    /// Radius of the upright curve of the wall at the height of fly and camera, for a vase with a waist; negative for a belly
    #[arg(long, value_name = "LENGTH", requires = "jar_diameter", allow_hyphen_values = true)]
    waist: Option<Length>,
    /// Picture of the card of squares, hung in the fly's place before the same camera: takes out whatever vessel and lens do
    #[arg(long, value_name = "PICTURE", conflicts_with = "jar_diameter")]
    card: Option<PathBuf>,
    /// Write the card of squares, to print
    #[arg(long, value_name = "FILE.svg", conflicts_with_all = ["pictures", "overlay", "chart"])]
    write_card: Option<PathBuf>,
    /// Draw the course of the hang over several pictures
    #[arg(long, value_name = "FILE.svg")]
    chart: Option<PathBuf>,
    /// Left and right edge of the water in the picture, pixels
    #[arg(long, value_name = "LEFT,RIGHT", requires = "jar_diameter", value_parser = point)]
    edges: Option<[f64; 2]>,
    /// Draw what was taken for what into this PNG file, also where nothing could be read; a folder for several pictures
    #[arg(long, value_name = "FILE.png")]
    overlay: Option<PathBuf>,
    /// Overwrite files
    #[arg(long)]
    force: bool,
}

/// What was read.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct PhotoBody {
    /// Shank from horizontal, degrees, positive tail down; roll and lens taken out. `None`: the picture leaves two
    /// angles open.
    hang_deg: Option<Figure>,
    /// Standard error of it.
    error_deg: Option<Figure>,
    /// Which side the point is on, where it could be told.
    rides: Option<&'static str>,
    /// `water` or `air`.
    medium: &'static str,
    /// Camera roll from the tippet, positive when the tippet leans to the right on the way down; `None`: no tippet seen.
    roll_deg: Option<Figure>,
    /// Share of the recipe's fly that agrees with the picture.
    agrees_percent: Option<Figure>,
    /// The angle that was told, or the two that it may be; none for several pictures.
    angles: Vec<AngleBody>,
    /// What several pictures say together.
    #[serde(skip_serializing_if = "Option::is_none")]
    course: Option<CourseBody>,
}

/// One angle.
#[derive(Debug, Serialize, schemars::JsonSchema)]
struct AngleBody {
    hang_deg: Figure,
    error_deg: Figure,
    /// As it stands in the picture.
    in_picture_deg: Figure,
    /// Turned back by the vessel's lens.
    lens_deg: Figure,
    rides: Option<&'static str>,
    /// The eye of the hook, pixels, as `--eye` takes it; `None` where two points on the shank were given.
    eye: Option<[Figure; 2]>,
    /// Front of the line along the shank, pixels: beside the eye of a jig hook.
    front: [Figure; 2],
    /// Rear of the shank, pixels.
    rear: [Figure; 2],
}

/// Reads a photograph, or several.
pub(crate) fn run(args: &PhotoArgs, job: &Job) -> Result<Outcome, Failure> {
    if let Some(path) = &args.write_card {
        output::save(path, args.force, &square_card(SQUARES, SIDE_MM))?;
        job.note(&format!("wrote the card of squares to {}: print it at full size", path.display()));
        return Ok(Outcome::Met);
    }
    let known = args.recipe.as_ref().map(|path| side_view(path, job)).transpose()?;
    let setup = setup(args)?;
    let files = files(&args.pictures)?;
    if let ([file], None) = (&files[..], &args.chart) {
        let attempt = attempt(args, file, &setup, known.as_ref(), args.overlay.as_deref(), job)?;
        let reading = match attempt.outcome {
            Ok(reading) => reading,
            Err(ref error) => return Err(Failure::usage(error.to_string(), Some(help(args, &attempt)))),
        };
        let answer = answer(args, &setup, &reading, job);
        job.print(&answer, |out| table(out, &answer), |out| rows(out, &answer.body))?;
        return Ok(Outcome::Met);
    }
    series::run(args, &files, &setup, known.as_ref(), job)
}

/// Reads one picture and draws what was seen.
fn attempt(
    args: &PhotoArgs,
    file: &Path,
    setup: &Setup,
    known: Option<&SideView>,
    drawing: Option<&Path>,
    job: &Job,
) -> Result<Attempt, Failure> {
    let image = load(file).map_err(|error| unreadable(file, &error.to_string()))?;
    let hints = Hints { eye: args.eye, bend: args.bend, shank: args.shank };
    let attempt = read(&image, &hints, setup, known);
    if let Some(path) = drawing {
        let png = encode_png(&overlay(&image, &attempt)).map_err(|error| unreadable(file, &error.to_string()))?;
        save(path, args.force, &png, job)?;
    }
    Ok(attempt)
}

fn unreadable(file: &Path, text: &str) -> Failure {
    let mut problems = Diagnostics::new();
    problems.push(Problem::of_file(&file.display().to_string(), text.to_owned()));
    problems.into()
}

/// The pictures that were named, folders opened, those in a folder by name.
fn files(named: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut files = Vec::new();
    for path in named {
        if !path.is_dir() {
            files.push(path.clone());
            continue;
        }
        let entries = std::fs::read_dir(path).map_err(|error| unreadable(path, &format!("cannot read it: {error}")))?;
        let is_picture = |p: &PathBuf| {
            let kind = p.extension().and_then(|e| e.to_str()).unwrap_or_default().to_lowercase();
            matches!(kind.as_str(), "png" | "jpg" | "jpeg")
        };
        let mut inside: Vec<PathBuf> = entries.filter_map(|e| e.ok().map(|e| e.path())).filter(is_picture).collect();
        inside.sort();
        if inside.is_empty() {
            return Err(unreadable(path, "no PNG or JPEG picture is in this folder"));
        }
        files.extend(inside);
    }
    Ok(files)
}

/// What to do where nothing could be read.
fn help(args: &PhotoArgs, attempt: &Attempt) -> String {
    let mut ways = Vec::new();
    if args.overlay.is_none() {
        ways.push("--overlay FILE.png shows what was taken for what");
    }
    if args.recipe.is_none() && !attempt.seen.lines.is_empty() {
        ways.push("--recipe tells what the fly looks like");
    }
    ways.push("--shank X,Y,X,Y takes two points on the shank from you");
    ways.join("; ")
}

fn side_view(path: &Path, job: &Job) -> Result<SideView, Failure> {
    let catalog = job.catalog()?;
    let document = RecipeDocument::read(&job::open(path)?)?;
    Ok(SideView::of(&document.resolve(&catalog)?))
}

fn setup(args: &PhotoArgs) -> Result<Setup, Failure> {
    if let Some(path) = &args.card {
        let image = load(path).map_err(|error| unreadable(path, &error.to_string()))?;
        let card = CardMap::read(&image).map_err(|error| unreadable(path, &error.to_string()))?;
        return Ok(Setup { card: Some(card), ..Setup::default() });
    }
    let (Some(diameter), Some(camera)) = (args.jar_diameter, args.camera) else { return Ok(Setup::default()) };
    if args.medium() == Medium::Air {
        let help = "leave --jar-diameter out, or --medium air".to_owned();
        return Err(Failure::usage("in air there is no jar that the fly is seen through", Some(help)));
    }
    let wrong = |error: LensError| Failure::usage(error.to_string(), None);
    let round = RoundJar::new(diameter, camera, args.offset.unwrap_or(Length::from_mm(0.0))).map_err(wrong)?;
    let jar = args.waist.map_or(Ok(round), |waist| round.with_waist(waist)).map_err(wrong)?;
    Ok(Setup { jar: Some(jar), edges: args.edges, card: None })
}

/// Says what a wall or lens that nothing was said of would do to a hang.
fn vessel_not_told(args: &PhotoArgs, setup: &Setup, hang: f64) -> Option<Notice> {
    if args.medium() == Medium::Air || setup.jar.is_some() || setup.card.is_some() {
        return None;
    }
    let mm = Length::from_mm;
    // An ordinary jar at an ordinary distance.
    let stretch = RoundJar::new(mm(80.0), mm(300.0), mm(0.0)).ok()?.stretch();
    let round = (stretch * hang.tan()).atan().to_degrees();
    Some(Notice::new(
        "flat-wall",
        format!(
            "taken as seen through a flat wall: through a round jar of 80 mm from 30 cm it would be {} (--jar-diameter, \
             --camera, --waist); a wide lens turns lines near its edges (--card takes out both)",
            hang_words(round)
        ),
    ))
}

impl PhotoArgs {
    fn medium(&self) -> Medium {
        Medium::from_word(&self.medium).unwrap_or(Medium::Water)
    }
}

fn answer(args: &PhotoArgs, setup: &Setup, reading: &Reading, job: &Job) -> Answer<PhotoBody> {
    let told = reading.or.is_none().then_some(&reading.angle);
    let body = PhotoBody {
        hang_deg: told.map(|a| degrees(a.hang)),
        error_deg: told.map(|a| degrees(a.error)),
        rides: told.and_then(|a| a.rides).map(Rides::word),
        medium: args.medium().word(),
        roll_deg: reading.roll.map(degrees),
        agrees_percent: reading.agrees.map(|share| Figure(100.0 * share)),
        angles: std::iter::once(&reading.angle).chain(&reading.or).map(angle_body).collect(),
        course: None,
    };
    let mut answer = job.answer("read-photo", body);
    let mut warn = |code, text| answer.warnings.push(Notice::new(code, text));
    if reading.or.is_some() {
        let more = if args.recipe.is_none() { " or give --recipe" } else { "" };
        warn("open", format!("head and tail cannot be told apart: look which it is, and say so with --eye X,Y{more}"));
    }
    if reading.roll.is_none() {
        warn("no-tippet", "no tippet was seen: the camera is taken to be level".to_owned());
    }
    if args.eye.is_some() && args.bend.is_some() {
        let text =
            "eye to bend is the shank of a straight hook only: on a jig hook give two points on the shank with --shank";
        warn("eye-to-bend", text.to_owned());
    }
    if args.recipe.is_none() && args.shank.is_none() && !(args.eye.is_some() && args.bend.is_some()) {
        warn(
            "outline-only",
            "without --recipe the middle of the outline is taken for the shank, and no side is told".to_owned(),
        );
    }
    answer.warnings.extend(vessel_not_told(args, setup, reading.angle.hang));
    let mut warn = |code, text| answer.warnings.push(Notice::new(code, text));
    warn("unproven", "tried on rendered pictures only: check the overlay against your eye".to_owned());
    answer
}

fn degrees(rad: f64) -> Figure {
    Figure(rad.to_degrees())
}

fn angle_body(angle: &Angle) -> AngleBody {
    AngleBody {
        hang_deg: degrees(angle.hang),
        error_deg: degrees(angle.error),
        in_picture_deg: degrees(angle.raw),
        lens_deg: degrees(angle.lens),
        rides: angle.rides.map(Rides::word),
        eye: angle.eye.map(|eye| eye.map(Figure)),
        front: angle.front.map(Figure),
        rear: angle.rear.map(Figure),
    }
}

fn save(path: &Path, force: bool, png: &[u8], job: &Job) -> Result<(), Failure> {
    output::save_bytes(path, force, png)?;
    job.note(&format!("drew what was seen into {}", path.display()));
    Ok(())
}

fn table(out: &mut Sheet, answer: &Answer<PhotoBody>) -> Result<(), ReportError> {
    let body = &answer.body;
    let hang = |a: &AngleBody| format!("{} +-{:.1}°", hang_words(a.hang_deg.0), a.error_deg.0);
    let hangs: Vec<String> = body.angles.iter().map(hang).collect();
    let open = if hangs.len() > 1 { " (which, the picture leaves open)" } else { "" };
    writeln!(out, "hangs       {}{open}", hangs.join(" or "))?;
    for angle in &body.angles {
        writeln!(out, "point       {}", angle.rides.unwrap_or("side not told"))?;
        writeln!(out, "in picture  {}", hang_words(angle.in_picture_deg.0))?;
        writeln!(out, "lens        {:+.1}° by the vessel, taken out", angle.lens_deg.0)?;
        if let Some([x, y]) = angle.eye {
            writeln!(out, "eye         {:.0},{:.0}", x.0, y.0)?;
        }
        let [front, rear] = [angle.front, angle.rear].map(|[x, y]| format!("{:.0},{:.0}", x.0, y.0));
        writeln!(out, "shank       {front},{rear}")?;
    }
    if let Some(roll) = body.roll_deg {
        writeln!(out, "roll        {:.1}° from the tippet, taken out", roll.0)?;
    }
    if let Some(share) = body.agrees_percent {
        writeln!(out, "recipe      {:.0} % of it agrees with what is seen", share.0)?;
    }
    foot(out, answer)
}

fn rows(out: &mut dyn Write, body: &PhotoBody) -> Result<(), ReportError> {
    let text = |f: Figure| f.rounded().to_string();
    let told = body.angles.len() == 1;
    let row = |angle: &AngleBody| {
        vec![
            text(angle.hang_deg),
            text(angle.error_deg),
            text(angle.in_picture_deg),
            body.roll_deg.map_or_else(String::new, text),
            text(angle.lens_deg),
            angle.rides.unwrap_or_default().to_owned(),
            told.to_string(),
        ]
    };
    let heads = ["hang_deg", "error_deg", "in_picture_deg", "roll_deg", "lens_deg", "rides", "told"];
    csv::lines(out, &heads, body.angles.iter().map(row))
}

/// Reads "512,300,700,355".
fn points(text: &str) -> Result<[[f64; 2]; 2], String> {
    let parsed = text.split(',').map(|n| n.trim().parse::<f64>().ok().filter(|n| n.is_finite()));
    match parsed.collect::<Option<Vec<f64>>>().as_deref() {
        Some([a, b, c, d]) => Ok([[*a, *b], [*c, *d]]),
        _ => Err(format!("`{text}` is no two points; write 512,300,700,355")),
    }
}

/// Reads "512,300".
fn point(text: &str) -> Result<[f64; 2], String> {
    let number = |part: &str| part.trim().parse::<f64>().ok().filter(|n| n.is_finite());
    text.split_once(',')
        .and_then(|(x, y)| Some([number(x)?, number(y)?]))
        .ok_or_else(|| format!("`{text}` is no pair of pixels; write 512,300"))
}
