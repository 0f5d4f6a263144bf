//! `card`: the words, and a drawing that is true to size.

use super::session::{run_with_input, shown, snapshot};
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

/// The words stay on the page, taking six tenths of their height for each letter.
#[test]
fn words_stay_on_the_page() {
    for fly in FLIES.iter().chain(["examples/recipes/floats.yaml"].iter()) {
        for line in drawn(fly, &[]).lines().filter(|line| line.starts_with("<text ")) {
            let number = |name: &str| -> f64 {
                line.split(&format!("{name}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
            };
            let words = line.split('>').nth(1).unwrap().trim_end_matches("</text");
            let right = number(" x") + 0.6 * number("font-size") * words.chars().count() as f64;
            assert!(right < 210.0 && number(" y") < 148.0, "{right}: {words}");
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
