//! `card`: the words, and a drawing that is true to size.

use super::session::{json, run_with_input, shown, snapshot};
use std::fs;

const FLIES: [&str; 2] = ["examples/recipes/jig-12-foam-tail.yaml", "examples/recipes/straight-8-pin.yaml"];

fn drawn(fly: &str, more: &[&str]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("card.svg");
    let args = [&["card", fly, "--draw", path.to_str().unwrap()], more].concat();
    assert_eq!(run_with_input(&args, "").status.code(), Some(0));
    let svg = fs::read_to_string(&path).unwrap();
    // Not drawn over without being told.
    assert_eq!(run_with_input(&args, "").status.code(), Some(2));
    svg
}

#[test]
fn words() {
    snapshot("card_jig", &shown(&["card", FLIES[0]]));
    snapshot("card_pin", &shown(&["card", FLIES[1], "--hang", "5deg", "--quiet"]));
    snapshot("card_floats", &shown(&["card", "examples/recipes/floats.yaml", "--quiet"]));
}

/// Numbers of an attribute of all elements of one kind with a fill or stroke.
fn attributes(svg: &str, element: &str, mark: &str, attribute: &str) -> Vec<f64> {
    svg.lines()
        .filter(|line| line.starts_with(&format!("<{element} ")) && line.contains(mark))
        .filter_map(|line| line.split(&format!("{attribute}=\"")).nth(1)?.split('"').next()?.parse().ok())
        .collect()
}

#[test]
fn a_drawing_is_true_to_size() {
    let svg = drawn(FLIES[0], &[]);
    snapshot("card_jig_drawn", &svg);
    assert!(svg.contains("width=\"210mm\" height=\"148mm\" viewBox=\"0 0 210 148\""));
    // The bar, the foam (11 mm of a quarter of a 6.35 mm rod) and the bead (3.5 mm), each drawn twice.
    assert!(svg.contains("<path d=\"M8.000 140.000L58.000 140.000\""));
    assert_eq!(attributes(&svg, "rect", "#f2c14e", "width"), [11.0, 11.0]);
    assert_eq!(attributes(&svg, "rect", "#f2c14e", "height"), [3.175, 3.175]);
    assert_eq!(attributes(&svg, "circle", "#b08d57", "r"), [1.75, 1.75]);
    assert!(svg.contains("rotate(0.000) scale(1.000 1.000)"));
    // The second is turned by the hang and lies on its back, since the jig rides point-up.
    assert!(svg.contains("rotate(35."), "{svg}");
    // Every tag is closed and nothing is not a number.
    assert_eq!(svg.matches("<g ").count(), svg.matches("</g>").count());
    assert!(!svg.contains("NaN") && !svg.contains("inf"));
}

/// Files of recipes with long cards: saved by `find` for jigs, pins, a slack line, a range of depths, a dive.
pub(crate) fn long_cards() -> Vec<String> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cli/cards");
    let mut files: Vec<String> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path().to_str().unwrap().to_owned()).collect();
    files.sort();
    assert!(files.len() > 4);
    files
}

/// What stands on a drawing, and the room that it takes, each letter six tenths of its height wide: left, top, right, bottom.
fn words_of(svg: &str) -> Vec<(String, [f64; 4])> {
    let words = svg.lines().filter(|line| line.starts_with("<text ")).map(|line| {
        let number = |name: &str| -> f64 {
            line.split(&format!("{name}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
        };
        let words = line.split('>').nth(1).unwrap().trim_end_matches("</text").to_owned();
        let (x, y, size) = (number(" x"), number(" y"), number("font-size"));
        let right = x + 0.6 * size * words.chars().count() as f64;
        (words, [x, y - 0.93 * size, right, y + 0.24 * size])
    });
    words.collect()
}

/// No words leave the page or stand over others, and what the trim calls its chart is there.
#[test]
fn words_stay_on_the_page_and_apart() {
    let examples = FLIES.iter().chain(["examples/recipes/floats.yaml"].iter()).map(|fly| (*fly).to_owned());
    let mut charts = 0;
    for fly in examples.chain(long_cards()) {
        for units in ["metric", "us"] {
            let svg = drawn(&fly, &["--units", units]);
            let all = words_of(&svg);
            for (i, (words, a)) in all.iter().enumerate() {
                assert!(a[0] >= 7.9 && a[1] >= 7.0 && a[2] <= 202.1 && a[3] <= 141.0, "{fly}: {a:?}: {words}");
                for (other, b) in &all[i + 1..] {
                    let apart = a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
                    assert!(apart, "{fly}, {units}: {words} / {other}");
                }
            }
            let rows = all.iter().filter(|(words, _)| words.ends_with("° and on")).count();
            assert_eq!(rows, usize::from(svg.contains("trim: ")), "{fly}");
            charts += rows;
        }
    }
    assert!(charts > 8);
}

/// Each row of the chart of trimming is on the sheet.
#[test]
fn the_whole_chart_is_drawn() {
    for fly in long_cards() {
        let svg = drawn(&fly, &[]);
        let card = json(&["card", &fly], 0);
        let chart = card["card"]["trim"]["chart"].as_array().cloned().unwrap_or_default();
        for row in chart {
            let from = row["from"]["angle_deg"].as_f64().unwrap();
            let cut = format!(">{} mm</text>", row["cut_mm"].as_f64().unwrap());
            let to = row["to"]["angle_deg"].as_f64().map_or("and on".to_owned(), |to| format!("to {to:+.1}°"));
            assert!(svg.contains(&format!(">{from:+.1}° {to}</text>")) && svg.contains(&cut), "{fly}: {row}");
        }
    }
}

#[test]
fn a_calibration_is_named_on_the_card() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("mine.yaml");
    let file = file.to_str().unwrap();
    let fit = run_with_input(&["fit", "examples/logs/jar.yaml", "--write", file, "--quiet"], "");
    assert_eq!(fit.status.code(), Some(0));
    assert!(!drawn(FLIES[0], &[]).contains("corrections fitted to"));
    assert!(drawn(FLIES[0], &["--calibration", file]).contains(" corrections fitted to examples/logs/jar.yaml"));
}
