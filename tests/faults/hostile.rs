//! Texts made to harm: refused by every reader, quickly.

use super::readers::READERS;
use counterpoise::catalog::Catalog;
use std::time::{Duration, Instant};

/// Nobody waits longer for a refusal; a debug build on a busy machine stays well below.
const PATIENCE: Duration = Duration::from_secs(10);

fn texts() -> Vec<(&'static str, String)> {
    let long = "x".repeat(1_000_000);
    vec![
        ("open brackets", "[".repeat(100_000)),
        ("open braces", "{a: ".repeat(100_000)),
        ("dashes", "- ".repeat(200_000)),
        ("questions", "? ".repeat(100_000)),
        ("rows without a value", format!("beads:\n{}", "  -\n".repeat(40_000))),
        ("rows of nothing known", format!("beads:\n{}", "  - {idd: 1}\n".repeat(20_000))),
        ("keys without a value", (0..40_000).map(|i| format!("a{i}: [~]\n")).collect()),
        ("values", format!("beads: [{}]", "a,".repeat(600_000))),
        ("one key again and again", "a: 1\n".repeat(100_000)),
        ("long id", format!("beads:\n  - {{id: {long}}}\n")),
        ("long key", format!("{}: 1\n? {long}\n: 2\n", &long[..900])),
        ("long word", format!("state: {long}\nsize: {long}\nhook: {long}\n")),
        ("aliases by bytes", format!("a: &a \"{}\"\nb: [{}]\n", &long[..51_000], "*a,".repeat(16_000))),
        ("aliases by values", format!("beads: [&a {{b: c}},{}]", "*a,".repeat(300_000))),
        ("aliases of aliases", aliases_of_aliases()),
        (
            "letter of another length",
            "beads:\n  - {id: a, mass_\u{212a}g: 3}\nmass_\u{212a}g: 3\ndepth_\u{130}n: 1\n".to_owned(),
        ),
        ("byte order mark and nothing", "\u{feff}".to_owned()),
        ("nul", "size: \0\n".to_owned()),
        ("tabs", "\tsize: 8".to_owned()),
        ("quotes", format!("size: {}", "\"".repeat(100_001))),
        ("tags", format!("beads: [{}]", "!a b,".repeat(100_000))),
        ("anchors", format!("beads: [{}]", "&a a,".repeat(100_000))),
        ("comment", format!("# {long}")),
        ("colons", ":".repeat(1_000_000)),
        ("columns", format!("{}\n", "hang_deg,".repeat(100_000))),
        ("cells", format!("hang_deg\n{}", "x\n".repeat(100_000))),
    ]
}

fn aliases_of_aliases() -> String {
    let lists = (1..12).map(|i| format!("a{i}: &a{i} [{}]\n", format!("*a{},", i - 1).repeat(9)));
    "a0: &a0 [x]\n".to_owned() + &lists.collect::<String>()
}

#[test]
fn every_reader_refuses_them_quickly() {
    let catalog = Catalog::built_in().unwrap();
    for (what, text) in texts() {
        for (name, read) in READERS {
            let started = Instant::now();
            // A log may be no more than words to some readers; none of these texts is a sound file.
            assert!(!read(&text, &catalog), "{name} accepts {what}");
            assert!(started.elapsed() < PATIENCE, "{name} took {:?} over {what}", started.elapsed());
        }
    }
}

#[test]
fn the_same_letters_of_another_length_are_only_a_misspelt_key() {
    let problems = Catalog::with_overlays(&[counterpoise::document::Source::new(
        "mine.yaml",
        "beads:\n  - {id: a, mass_\u{212a}g: 3}\n",
    )]);
    let message = problems.unwrap_err().to_string();
    assert!(message.contains("unknown key `mass_\u{212a}g`") && message.contains("mine.yaml:2:13"), "{message}");
}
