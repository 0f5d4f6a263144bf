//! Texts made to harm: refused by every reader, quickly.

use super::readers::READERS;
use counterpoise::catalog::Catalog;
use std::time::{Duration, Instant};

/// Nobody waits longer for a refusal; a debug build on a busy machine stays well below.
const PATIENCE: Duration = Duration::from_secs(10);

/// The texts, at a share of their full size.
fn texts(part: usize) -> Vec<(&'static str, String)> {
    let long = "x".repeat(1_000_000 / part);
    vec![
        ("open brackets", "[".repeat(100_000 / part)),
        ("open braces", "{a: ".repeat(100_000 / part)),
        ("dashes", "- ".repeat(200_000 / part)),
        ("questions", "? ".repeat(100_000 / part)),
        ("rows without a value", format!("beads:\n{}", "  -\n".repeat(40_000 / part))),
        ("rows of nothing known", format!("beads:\n{}", "  - {idd: 1}\n".repeat(20_000 / part))),
        ("keys without a value", (0..40_000 / part).map(|i| format!("a{i}: [~]\n")).collect()),
        ("values", format!("beads: [{}]", "a,".repeat(600_000 / part))),
        ("one key again and again", "a: 1\n".repeat(100_000 / part)),
        ("long id", format!("beads:\n  - {{id: {long}}}\n")),
        ("long key", format!("{}: 1\n? {long}\n: 2\n", &long[..900])),
        ("long word", format!("state: {long}\nsize: {long}\nhook: {long}\n")),
        ("aliases by bytes", format!("a: &a \"{}\"\nb: [{}]\n", &long[..51_000 / part], "*a,".repeat(16_000 / part))),
        ("aliases by values", format!("beads: [&a {{b: c}},{}]", "*a,".repeat(300_000 / part))),
        ("aliases of aliases", aliases_of_aliases()),
        (
            "letter of another length",
            "beads:\n  - {id: a, mass_\u{212a}g: 3}\nmass_\u{212a}g: 3\ndepth_\u{130}n: 1\n".to_owned(),
        ),
        ("byte order mark and nothing", "\u{feff}".to_owned()),
        ("nul", "size: \0\n".to_owned()),
        ("tabs", "\tsize: 8".to_owned()),
        ("quotes", format!("size: {}", "\"".repeat(100_001 / part))),
        ("tags", format!("beads: [{}]", "!a b,".repeat(100_000 / part))),
        ("anchors", format!("beads: [{}]", "&a a,".repeat(100_000 / part))),
        ("comment", format!("# {long}")),
        ("colons", ":".repeat(1_000_000 / part)),
        ("columns", format!("{}\n", "hang_deg,".repeat(100_000 / part))),
        ("cells", format!("hang_deg\n{}", "x\n".repeat(100_000 / part))),
    ]
}

fn aliases_of_aliases() -> String {
    let lists = (1..12).map(|i| format!("a{i}: &a{i} [{}]\n", format!("*a{},", i - 1).repeat(9)));
    "a0: &a0 [x]\n".to_owned() + &lists.collect::<String>()
}

/// Each reader refuses each text in time.
fn refused(part: usize, readers: &[&str]) {
    let catalog = Catalog::built_in().unwrap();
    for (what, text) in texts(part) {
        for (name, read) in READERS.into_iter().filter(|(name, _)| readers.contains(name)) {
            let started = Instant::now();
            assert!(!read(&text, &catalog), "{name} accepts {what}");
            assert!(started.elapsed() < PATIENCE, "{name} took {:?} over {what}", started.elapsed());
        }
    }
}

#[test]
fn a_large_text_is_refused_quickly() {
    refused(1, &["catalog", "csv"]);
}

#[test]
fn every_reader_refuses_all_of_them() {
    refused(100, &READERS.map(|(name, _)| name));
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
