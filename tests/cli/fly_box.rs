//! `box`: plans, with what to buy and which fly is for which depth.

use super::session::{json, program, run_with_input, shown, snapshot, transcript};
use serde_json::Value;
use std::io::Write;
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

#[test]
fn boxes() {
    snapshot("box_two_days", &shown(&["box", "examples/boxes/two-days.yaml", "--quiet"]));
    snapshot("box_conflicting_waters", &shown(&["box", "examples/boxes/conflicting-waters.yaml", "--quiet"]));
    snapshot("box_cannot_be_met", &shown(&["box", "examples/boxes/cannot-be-met.yaml", "--quiet"]));
    snapshot("box_shopping_csv", &shown(&["box", "examples/boxes/two-days.yaml", "--format", "csv"]));
}

#[test]
fn a_chart_is_drawn_once() {
    let folder = tempfile::tempdir().unwrap();
    let chart = folder.path().join("depths.svg");
    let args = ["box", "examples/boxes/two-days.yaml", "--chart", chart.to_str().unwrap(), "--quiet"];
    assert_eq!(run_with_input(&args, "").status.code(), Some(0));
    let drawn = std::fs::read_to_string(&chart).unwrap();
    assert!(drawn.starts_with("<svg") && drawn.trim_end().ends_with("</svg>") && drawn.contains("circle"));
    // Not drawn over without being told.
    assert_eq!(run_with_input(&args, "").status.code(), Some(2));
}

/// The page of a box, and its answer.
fn page_and_answer(file: &str, code: i32) -> (String, Value) {
    let folder = tempfile::tempdir().unwrap();
    let page = folder.path().join("box.html");
    let answer = json(&["box", file, "--quiet", "-o", page.to_str().unwrap()], code);
    (std::fs::read_to_string(page).unwrap(), answer)
}

/// "9.3° tail down" of an entry of the depths.
fn hang_there(entry: &Value) -> String {
    let degrees = entry["hang_deg"].as_f64().unwrap();
    format!("{:.1}° {}", degrees.abs(), if degrees > 0.0 { "tail down" } else { "head down" })
}

/// A recipe that serves two depths hangs otherwise at each: what stands at a dot of the chart is the hang at that depth.
#[test]
fn a_page_tells_the_hang_at_each_depth() {
    let (page, answer) = page_and_answer("tests/page/one-fly-two-depths.yaml", 0);
    let entries = answer["box"]["depths"][0]["at"].as_array().unwrap();
    let hangs: Vec<String> = entries.iter().map(hang_there).collect();
    assert!(entries.iter().all(|entry| entry["used"] == true) && hangs.len() == 2 && hangs[0] != hangs[1], "{hangs:?}");
    let chart = page.split("<svg ").find(|svg| svg.contains("Depth against time")).unwrap();
    // Dots and words in the order of their depths.
    let numbers = |start: &str, name: &str| -> Vec<f64> {
        let lines = chart.lines().filter(|line| line.starts_with(start) && !line.contains("<g"));
        lines.filter_map(|line| line.split(&format!(" {name}=\"")).nth(1)?.split('"').next()?.parse().ok()).collect()
    };
    let dots = numbers("<circle", "cy");
    let words: Vec<&str> = chart.lines().filter(|line| line.contains(">1: ")).collect();
    assert_eq!((dots.len(), words.len()), (2, 2), "{words:?}");
    for ((dot, line), (entry, hang)) in dots.iter().zip(&words).zip(entries.iter().zip(&hangs)) {
        let y: f64 = line.split(" y=\"").nth(1).unwrap().split('"').next().unwrap().parse().unwrap();
        assert!((y - dot).abs() < 6.0 && line.contains(&format!(">1: {hang}</text>")), "{dot}: {line}, {entry}");
        // And in the table below.
        assert!(page.contains(&format!(">{hang}</td>")), "{hang}");
    }
    assert!(page.contains("How many come out right"));
}

/// What would help stands on the page of an incomplete box, and each need beside the band of its own depth.
#[test]
fn a_page_says_what_is_missing() {
    let (page, answer) = page_and_answer("tests/page/one-need-not-met.yaml", 1);
    let change = answer["box"]["needs"][1]["impossible"]["relaxations"][0]["text"].as_str().unwrap();
    assert!(page.contains("would help: ") && page.contains(change), "{change}");
    let page = page.split("<svg ").find(|svg| svg.contains("Depth against time")).unwrap();
    let places = [">easy</text>", ">fast and light"].map(|name| page.find(name).unwrap());
    // Needs of one depth stand together, in their order, above the name of the fly below the plot.
    let y = |place: usize| -> f64 {
        let line = page[..place].rsplit("<text ").next().unwrap();
        line.split("y=\"").nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
    };
    let fly = y(page.find(">fly 1</text>").unwrap());
    assert!(y(places[0]) < y(places[1]) && y(places[1]) < fly - 3.0, "{places:?}");
}

#[test]
fn a_budget_just_below_the_cheapest_box_is_not_enough() {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/examples/boxes/two-days.yaml")).unwrap();
    let whole = json(&["box", "examples/boxes/two-days.yaml", "--quiet"], 0);
    let outlay = whole["box"]["shopping"]["outlay"].as_f64().unwrap();
    let at = |budget: f64| {
        let output = run_with_input(&["box", "-", "--quiet"], &format!("{text}budget: {budget:.2}\n"));
        (output.status.code(), transcript(&["box", "-"], &output))
    };
    assert_eq!(at(outlay).0, Some(0));
    let (code, said) = at(outlay - 0.01);
    assert_eq!(code, Some(1));
    assert!(said.contains("the budget of"), "{said}");
}

#[test]
fn wrong_boxes_are_said() {
    for (name, text) in [
        ("box_empty", "needs: []\n"),
        ("box_unknown_key", "needs:\n  - {name: a, flies: 2, target: {size: [8]}, deepth: 1 m}\n"),
        ("box_no_flies", "needs:\n  - {name: a, flies: 0, target: {size: [8]}}\n"),
    ] {
        snapshot(name, &transcript(&["box", "-"], &run_with_input(&["box", "-"], text)));
    }
}

const TWO_WATERS: &str = "
target: {pattern: slim-nymph}
needs:
  - {name: near, flies: 30, target: {size: 12}}
  - {name: far, flies: 30, target: {size: 8, style: [jig]}}
";

/// A budget for some flies: what is proven is that no more can be tied, and what the next ones cost is said.
#[test]
fn a_budget_is_spent_on_the_most_flies() {
    const FEW_PARTS: &str = "
target: {pattern: slim-nymph, only: [foam=eva-strip-2x2mm, wire=none, bead.material=brass]}
needs:
  - {name: near, flies: 12, target: {size: 12}}
  - {name: far, flies: 12, target: {size: 8, style: [jig]}}
";
    let at = |budget: &str, least: &str| {
        let text = FEW_PARTS.replace("name: far, ", &format!("name: far, {least}")) + &format!("budget: {budget}\n");
        let output = run_with_input(&["box", "-", "--quiet", "--format", "json"], &text);
        (output.status.code(), serde_json::from_slice::<serde_json::Value>(&output.stdout).unwrap())
    };
    let (code, half) = at("18.00", "");
    let right = |answer: &serde_json::Value, need: usize| answer["box"]["needs"][need]["reached"].as_u64().unwrap();
    assert_eq!(code, Some(1));
    let all = right(&half, 0) + right(&half, 1);
    assert!(all > 0 && all < 24 && half["box"]["shopping"]["outlay"].as_f64().unwrap() <= 18.0);
    assert_eq!(half["box"]["proof"]["best"], true, "{}", half["box"]["proof"]);
    let more = half["box"]["more"].as_array().unwrap();
    assert!(
        more.iter().all(|m| m["flies"].as_u64().unwrap() > all && m["outlay"].as_f64().unwrap() > 18.0),
        "{more:?}"
    );
    let (_, both) = at("22.00", "least: 2, ");
    assert!(right(&both, 1) >= 2, "{}", both["box"]["needs"]);
}

/// Stopped before anything was found: no word of a need that cannot be met, and an exit code of its own.
#[test]
fn a_box_that_is_stopped_says_so() {
    let stopped = ["box", "-", "--quiet", "--time-limit", "0s"];
    let output = run_with_input(&stopped, TWO_WATERS);
    let said = transcript(&["box", "-"], &output);
    assert_eq!(output.status.code(), Some(3), "{said}");
    assert!(said.contains("stopped") && !said.contains("no recipe meets"), "{said}");
}

/// The folder of `--save` is made, or refused, before anything is computed.
#[test]
fn the_folder_of_saved_recipes_is_made_first() {
    let folder = tempfile::tempdir().unwrap();
    let (inside, file) = (folder.path().join("a/b"), folder.path().join("file"));
    std::fs::write(&file, "").unwrap();
    let save = |path: &std::path::Path| {
        run_with_input(&["box", "-", "--time-limit", "0s", "--save", path.to_str().unwrap()], TWO_WATERS)
    };
    // Stopped at once: with something found or not.
    assert!(matches!(save(&inside).status.code(), Some(0 | 1 | 3)));
    assert!(inside.is_dir());
    assert_eq!(save(&file.join("c")).status.code(), Some(2));
}

/// What is trimmed to goes with a recipe: one that serves two needs is saved for each of them.
#[test]
fn a_recipe_of_two_needs_is_saved_for_each() {
    let folder = tempfile::tempdir().unwrap();
    let flies = folder.path().join("flies");
    let text = "
target: {pattern: slim-nymph, hook: jig90-12, only: [bead.id=glass-3.0, foam.id=eva-strip-2x5mm]}
options: {recipes: 1}
needs:
  - {name: The margin, flies: 2, depth: 1 m}
  - {name: The ledge, flies: 2, depth: 3 m, target: {hang: 5 deg, tolerance: 9 deg}}
";
    let output = run_with_input(&["box", "-", "--save", flies.to_str().unwrap()], text);
    assert_eq!(output.status.code(), Some(0), "{}", transcript(&["box", "-"], &output));
    let mut saved: Vec<(String, String)> = std::fs::read_dir(&flies)
        .unwrap()
        .map(|file| file.unwrap().path())
        .map(|path| (path.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read_to_string(path).unwrap()))
        .collect();
    saved.sort();
    let [(ledge, of_ledge), (margin, of_margin)] = saved.as_slice() else { panic!("{saved:?}") };
    assert!(ledge.ends_with("-the-ledge.yaml") && margin.ends_with("-the-margin.yaml"), "{ledge} {margin}");
    assert!(of_ledge.contains("depth: 3 m") && of_ledge.contains("hang: 5 deg") && of_margin.contains("hang: 0 deg"));
}

/// Four waters: minutes of work, of which any moment may be the last.
const FOUR_WATERS: &str = "
target: {pattern: slim-nymph}
needs:
  - {name: near, flies: 9, depth: 1..2 m, target: {size: 12}}
  - {name: far, flies: 8, target: {size: 8, style: [jig]}}
  - {name: deep, flies: 12, depth: 3 m, target: {size: [8, 10], pattern: fur-leech}}
  - {name: none, flies: 2, target: {size: 10, sink: '>=0.9 m/s', max_mass: 150 mg}}
";

/// What is said of a box that was stopped must hold: no need that can be met is called impossible, nothing is called proven
/// that is not, and the exit code tells.
fn nothing_false(output: &Output, moment: Duration) {
    let answer: Value = serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|e| panic!("{moment:?}: {e}, {:?} {}", output.status, String::from_utf8_lossy(&output.stderr)));
    let needs = answer["box"]["needs"].as_array().unwrap();
    let standing = |need: usize| needs[need]["standing"].as_str().unwrap();
    assert!((0..3).all(|n| standing(n) != "impossible") && standing(3) != "met", "{moment:?}: {needs:?}");
    let proof = &answer["box"]["proof"];
    let all = |n: &Value| n["reached"].as_u64() == n["wanted"].as_u64();
    assert!(!answer["box"]["complete"].as_bool().unwrap() && !all(&needs[3]), "{moment:?}");
    assert!(proof["best"] == false || proof["stopped"] == false, "{moment:?}: {proof}");
    if let Some(bound) = proof["bound"].as_f64() {
        assert!(
            !needs[..3].iter().all(all) || bound <= answer["box"]["shopping"]["outlay"].as_f64().unwrap(),
            "{proof}"
        );
    }
    // The last need is known to be impossible, or was not looked at yet.
    let code = if standing(3) == "impossible" { 1 } else { 3 };
    assert_eq!(output.status.code(), Some(code), "{moment:?}: {proof} {}", standing(3));
}

fn started(args: &[&str]) -> Child {
    let mut command = program(args);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    child.stdin.take().unwrap().write_all(FOUR_WATERS.as_bytes()).unwrap();
    child
}

/// How late a program may answer: half a second, and what a machine with other work and a build without optimisation take.
const LATE: Duration = Duration::from_millis(if cfg!(debug_assertions) { 1500 } else { 500 });

/// Stopped at any moment, by a time limit or by Ctrl-C: soon back, with no false word. `BOX_STOPS=50` tries more moments.
#[test]
fn a_box_stops_at_any_moment() {
    let moments = std::env::var("BOX_STOPS").ok().and_then(|n| n.parse().ok()).unwrap_or(6_u32);
    let base = ["box", "-", "--quiet", "--format", "json"];
    for n in 0..moments {
        // 0.02 s to some 10 s, spread evenly in the logarithm.
        let moment = Duration::from_secs_f64(0.02 * 500_f64.powf((f64::from(n) + 0.5) / f64::from(moments)));
        let begun = Instant::now();
        let output = if n % 2 == 0 {
            let limit = format!("{}s", moment.as_secs_f64());
            let args: Vec<&str> = base.iter().copied().chain(["--time-limit", &limit]).collect();
            started(&args).wait_with_output().unwrap()
        } else {
            let child = started(&base);
            std::thread::sleep(moment);
            // Twice at once, as a job is told by its group, too: that is one word, not two.
            let id = child.id().to_string();
            assert!(Command::new("sh").args(["-c", "kill -INT $0; kill -INT $0", &id]).status().unwrap().success());
            child.wait_with_output().unwrap()
        };
        let late = begun.elapsed().saturating_sub(moment);
        // A signal before anyone listens ends the program as ever.
        if output.status.code().is_none() && moment < Duration::from_millis(200) {
            continue;
        }
        nothing_false(&output, moment);
        assert!(late < LATE, "{moment:?}: {late:?} late");
    }
}
