//! `predict`: one recipe, part by part.

use super::session::{json, run, run_with_input, shown, snapshot, transcript};

#[test]
fn tables() {
    let fly = "examples/recipes/jig-12-foam-tail.yaml";
    snapshot("predict_jig", &shown(&["predict", fly]));
    snapshot("predict_csv", &shown(&["predict", fly, "--format", "csv"]));
    snapshot("predict_snug", &shown(&["predict", "examples/recipes/straight-8-pin.yaml", "--knot", "snug"]));
}

#[test]
fn what_does_not_fit_is_said_and_predicted_all_the_same() {
    let text = "recipe: 1\nhook: jig60-12\npattern: bare\nbead: {id: tungsten-3.5}\n";
    let output = run_with_input(&["predict", "-"], text);
    snapshot("predict_misfit", &transcript(&["predict", "-"], &output));
}

/// Deeper water squeezes foam, so the tail that it lifts hangs lower.
#[test]
fn flags_win_over_the_conditions_of_the_file() {
    let angle = |more: &[&str]| {
        let mut args = vec!["predict", "examples/recipes/jig-12-foam-tail.yaml"];
        args.extend(more);
        let answer = json(&args, 0);
        (answer["recipes"][0]["hang"]["angle_deg"].as_f64().unwrap(), answer["recipes"][0]["id"].clone())
    };
    let (at_one, id) = angle(&[]);
    let (at_five, same) = angle(&["--depth", "5m"]);
    assert!(at_five > at_one + 1.0, "{at_one} {at_five}");
    assert_eq!(id, same);
}

/// On a loop the line pulls through the eye whatever its stiffness: a tippet that is named for nothing is told so.
#[test]
fn a_tippet_on_a_loop_is_said_to_do_nothing() {
    let fly = "examples/recipes/jig-12-foam-tail.yaml";
    let told = |more: &[&'static str]| {
        json(&[&["predict", fly, "--tippet", "0.2mm"], more].concat(), 0)["assumptions"].to_string()
    };
    assert!(told(&[]).contains("on a loop knot the tippet turns no fly"), "{}", told(&[]));
    assert!(!told(&["--knot", "snug"]).contains("turns no fly"));
}

/// A spreadsheet has of the whole fly what a person is told.
#[test]
fn parts_as_csv_end_with_the_whole_fly() {
    let fly = "examples/recipes/jig-12-foam-tail.yaml";
    let told = &json(&["predict", fly], 0)["recipes"][0];
    let output = run(&["predict", fly, "--format", "csv"]);
    let mut reader = csv::Reader::from_reader(&output.stdout[..]);
    let heads = reader.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = reader.records().collect::<Result<_, _>>().unwrap();
    let cell = |row: &csv::StringRecord, head: &str| {
        row.get(heads.iter().position(|h| h == head).unwrap()).unwrap().to_owned()
    };
    let (total, parts) = rows.split_last().unwrap();
    for (head, figure) in [("hang_deg", &told["hang"]["angle_deg"]), ("sink_rate_m_s", &told["fall"]["sink_rate_m_s"])]
    {
        assert_eq!(cell(total, head).parse::<f64>().ok(), figure.as_f64(), "{head}");
        assert!(parts.iter().all(|part| cell(part, head).is_empty()));
    }
}
