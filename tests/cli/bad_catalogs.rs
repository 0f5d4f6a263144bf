//! What is said about files that are wrong: one clear message each, with file, line, row id, key and remedy.

use counterpoise::catalog::Catalog;
use counterpoise::document::{MAX_BYTES, Source};
use std::fmt::Write;
use std::time::{Duration, Instant};

const SOUND: &str = "diameter_mm: 3.5\nbore_mm: 1.2\nmass_spread: 0.02";
const PACK: &str = "\npack: {length_m: 1, price: 2}";

fn indented(lines: &str) -> String {
    lines.lines().fold(String::new(), |text, line| text + "    " + line + "\n")
}

/// A bead row with these lines for its diameter, bore and spread.
fn bead(lines: &str) -> String {
    format!(
        "currency: EUR\nbeads:\n  - id: mine\n    name: Bead\n    material: brass\n    diameter_sd_mm: 0.02\n{}    \
         pack: {{pieces: 25, price: 2.50}}\n    provenance: {{source: ruler, how: measured}}\n",
        indented(lines)
    )
}

/// A hook row with these entries for its style and what goes with it.
fn hook(entries: &str) -> String {
    format!(
        "currency: EUR\nhooks:\n  - {{id: mine, name: Hook, size: 8, material: carbon-steel, wire_diameter_mm: 0.75,\n     \
         eye_inner_diameter_mm: 1.1, shank_length_mm: 12, gap_mm: 6.2, point_length_mm: 5, mass_spread: 0.03,\n     \
         pack: {{pieces: 25, price: 5}}, provenance: {{source: ruler, how: measured}},\n     {entries}}}\n"
    )
}

/// A foam row with these lines for its section, cell, cuts and pack.
fn foam(lines: &str) -> String {
    format!(
        "currency: EUR\nfoams:\n  - id: mine\n    name: Foam\n    density_kg_m3: 30\n    density_sd_kg_m3: 4\n    \
         solid: polyethylene-ld\n    surface: skin\n    collapse_pressure_kpa: 0\n    section_spread: 0.1\n    \
         provenance: {{source: ruler, how: measured}}\n{}",
        indented(&format!("{lines}{PACK}"))
    )
}

fn material(density: &str) -> String {
    format!(
        "materials:\n  - {{id: m, name: M, density_g_cm3: {density}, density_sd_g_cm3: 0.1,\n     \
         provenance: {{source: scale, how: measured}}}}\n"
    )
}

/// Every message about `text` laid over the built-in catalog.
fn refusal(text: &str) -> String {
    match Catalog::with_overlays(&[Source::new("mine.yaml", text)]) {
        Ok(_) => panic!("accepted:\n{text}"),
        Err(problems) => problems.render(false),
    }
}

fn snapshot(name: &str, shown: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!(name, shown));
}

fn show(group: &str, cases: &[(&str, String)]) {
    let mut shown = String::new();
    for (what, text) in cases {
        writeln!(shown, "## {what}\n{}\n", refusal(text)).unwrap();
    }
    snapshot(group, &shown);
}

#[test]
fn a_sound_row_is_accepted() {
    let texts = [
        bead(SOUND),
        bead(SOUND).replace('\n', "\r\n"),
        format!("\u{feff}{}", bead(SOUND)),
        "---\n".to_owned() + &bead(SOUND),
        bead(SOUND) + "...\n",
        hook("style: straight"),
        foam("diameter_mm: 6\ncell_mm: 0.5\ncuts: [whole]"),
    ];
    for text in texts {
        if let Err(problems) = Catalog::with_overlays(&[Source::new("mine.yaml", &text)]) {
            panic!("{problems}\n{text}");
        }
    }
}

/// The row that the catalogs' README shows.
#[test]
fn the_row_in_the_readme_is_accepted() {
    let readme = include_str!("../../catalogs/README.md");
    let yaml = readme.split("```yaml\n").nth(1).and_then(|rest| rest.split("```").next()).unwrap();
    let mine = Catalog::with_overlays(&[Source::new("mine.yaml", yaml)]).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(mine.hook("jig60-12").unwrap().mass(), 61e-6);
    assert_eq!(mine.bead("tungsten-3.5").unwrap().mass(), 318e-6);
}

/// Slots, coats and hollows make a bead lighter or heavier than its drawing, and are no fault.
#[test]
fn masses_that_a_bead_may_have() {
    let computed = bead_mass("");
    for share in [0.3, 0.8, 1.2, 1.45] {
        let text = format!("\nmeasured_mass_mg: {}", share * computed * 1e6);
        assert!((bead_mass(&text) - share * computed).abs() < 1e-12);
    }
}

fn bead_mass(more: &str) -> f64 {
    let text = bead(&format!("{SOUND}{more}"));
    let catalog = Catalog::with_overlays(&[Source::new("mine.yaml", &text)]).unwrap_or_else(|e| panic!("{e}"));
    catalog.bead("mine").unwrap().mass()
}

#[test]
fn figures() {
    let with = |old: &str, new: &str| bead(&SOUND.replace(old, new));
    show(
        "bad_figures",
        &[
            ("negative", with("3.5", "-3.5")),
            ("zero", with("3.5", "0")),
            ("inches", with("3.5", "0.138")),
            ("too large", with("3.5", "350")),
            ("below zero, with its unit", bead("diameter: -3.5 mm\nbore_mm: 1.2\nmass_spread: 0.02")),
            ("not a number", with("3.5", ".nan")),
            ("infinite", with("3.5", ".inf")),
            ("decimal comma", with("3.5", "3,5")),
            ("another kind of unit", with("3.5", "3.5 s")),
            ("list", with("3.5", "[3.5]")),
            ("percent for a share", with("0.02", "2")),
            ("bore above diameter", with("1.2", "4")),
            ("negative price", bead(SOUND).replace("2.50", "-2.50")),
            ("price with a currency", bead(SOUND).replace("2.50", "2.50 EUR")),
            ("pieces not whole", bead(SOUND).replace("25,", "2.5,")),
        ],
    );
}

#[test]
fn keys() {
    show(
        "bad_keys",
        &[
            ("wrong unit", bead(&SOUND.replace("diameter_mm: 3.5", "diameter_cm: 0.35"))),
            ("no unit", bead(&SOUND.replace("diameter_mm", "diameter"))),
            ("misspelled", bead(&SOUND.replace("bore_mm", "boer_mm"))),
            ("unknown", bead(SOUND) + "    colour: red\n"),
            ("unknown kind", "currency: EUR\nflies: []\n".to_owned()),
            ("missing", bead("diameter_mm: 3.5\nmass_spread: 0.02")),
            ("twice", bead(&format!("{SOUND}\nbore_mm: 1.3"))),
            ("without a value", bead(&SOUND.replace(" 1.2", ""))),
            ("decimal comma in braces", hook("style: jig-60, neck_angle_deg: 60, neck_length_mm: 3,5")),
            ("unknown word", hook("style: jig-70")),
            ("two cross sections", foam("diameter_mm: 6\nwidth_mm: 3\ncell_mm: 0.5\ncuts: [whole]")),
        ],
    );
}

#[test]
fn rows() {
    let row = bead(SOUND);
    let again = row.replace("currency: EUR\nbeads:\n", "");
    show(
        "bad_rows",
        &[
            ("id twice", row.clone() + &again),
            ("id with a blank", row.replace("id: mine", "id: my bead")),
            ("no id", row.replace("id: mine\n    name", "name")),
            ("unknown material", row.replace("brass", "bras")),
            ("negative density", material("-7.8")),
            ("density in kg/m3", material("7850")),
            ("currency in small letters", row.replace("EUR", "usd")),
            ("sold by the wrong measure", row.replace("pieces: 25", "length_m: 2")),
            ("row is a text", "currency: EUR\nbeads: [brass]\n".to_owned()),
            ("list is a text", "currency: EUR\nbeads: brass\n".to_owned()),
        ],
    );
}

#[test]
fn shapes_that_cannot_be() {
    let head =
        "head: {material: lead, mass_mg: 3544, mass_spread: 0.03, mass_name: 1/8 oz, centre_aft_of_corner_mm: 0}";
    show(
        "bad_shapes",
        &[
            ("neck on a straight hook", hook("style: streamer, neck_length_mm: 3")),
            ("jig without a neck", hook("style: jig-60")),
            ("neck shorter than the eye", hook("style: jig-90, neck_angle_deg: 90, neck_length_mm: 1.2")),
            (
                "ball over the eye",
                hook(&format!("style: ball-jig, neck_angle_deg: 90, neck_length_mm: 3,\n     {head}")),
            ),
            (
                "countersink wider than the bead",
                bead(&format!("{SOUND}\ncountersink: {{diameter_mm: 4, depth_mm: 3}}")),
            ),
            ("bead too heavy for its size", bead(&format!("{SOUND}\nmeasured_mass: 2.1 g"))),
            ("bead too light for its size", bead(&format!("{SOUND}\nmeasured_mass: 20 mg"))),
            ("hook too heavy for its wire", hook("style: straight, measured_mass: 0.95 g")),
            // The mass is another matter where the size is wrong already.
            (
                "bead without a unit and weighed",
                bead("diameter: 3\nbore_mm: 1.2\nmass_spread: 0.02\nmeasured_mass: 2 g"),
            ),
            ("slot wider than the bore", bead(&format!("{SOUND}\nslot: {{width_mm: 2, length_share: 0.6}}"))),
            ("cut that leaves no closed cells", foam("diameter_mm: 3\ncell_mm: 1.5\ncuts: [whole, eighth]")),
            (
                "foam denser than its solid",
                foam("diameter_mm: 3\ncell_mm: 0.1\ncuts: [whole]").replace("_m3: 30", "_m3: 3000"),
            ),
        ],
    );
}

#[test]
fn rows_that_no_hook_can_carry() {
    let pin = "currency: EUR\npins:\n  - {id: mine, name: Pin, material: carbon-steel, diameter_mm: 2.5, length_mm: 30,\n     \
               head_diameter_mm: 3, head_length_mm: 1, projections_mm: [5], mass_spread: 0.02,\n     \
               pack: {pieces: 5, price: 1}, provenance: {source: ruler, how: measured}}\n";
    let lone_hook = hook("style: straight").replace("gap_mm: 6.2", "gap_mm: 1");
    let materials = include_str!("../../catalogs/materials.yaml");
    let wire = "wires:\n  - {id: mine, name: Wire, material: lead, diameter_mm: 0.9, diameter_spread: 0.02,\n     \
                pack: {length_m: 5, price: 3}, provenance: {source: ruler, how: measured}}\n";
    show(
        "stranded_rows",
        &[
            ("bore too small", bead(&SOUND.replace("1.2", "0.3"))),
            ("bead too big", bead("diameter_mm: 25\nbore_mm: 2.5\nmass_spread: 0.02")),
            ("foam too thick", foam("diameter_mm: 40\ncell_mm: 0.5\ncuts: [whole, half]")),
            ("pin for no bead", pin.to_owned()),
        ],
    );
    let files = [Source::new("materials.yaml", materials), Source::new("mine.yaml", &(lone_hook + wire))];
    snapshot("stranded_wire", &Catalog::from_files(&files).unwrap_err().render(false));
}

#[test]
fn documents() {
    show(
        "bad_documents",
        &[
            ("empty", String::new()),
            ("comment only", "# nothing yet\n".to_owned()),
            ("not a mapping", "- brass\n- lead\n".to_owned()),
            ("a text", "brass".to_owned()),
            ("two documents", bead(SOUND) + "---\n" + &bead(SOUND)),
            ("tab", "currency: EUR\nbeads:\n\t- id: mine\n".to_owned()),
            ("open bracket", "currency: EUR\nbeads: [{id: mine\n".to_owned()),
            ("bad indent", "currency: EUR\nbeads:\n  - id: mine\n   name: x\n".to_owned()),
            ("tag", "currency: !money EUR\n".to_owned()),
        ],
    );
}

#[test]
fn all_problems_come_in_one_run() {
    let other =
        "  - {id: other, name: '', material: lead, diameter_mm: 3, bore_mm: 5, mass_spread: 0.02, diameter_sd_mm: 0}\n";
    let text = bead("diameter_mm: -3.5\nbore_cm: 0.1\nmass_spread: two")
        + "    slots: 1\n"
        + other
        + "wires: [{id: w, diameter_mm: 900}]\n";
    let problems = Catalog::with_overlays(&[Source::new("mine.yaml", &text)]).unwrap_err();
    let lines: Vec<String> = problems
        .iter()
        .map(|p| {
            let at = p.location().unwrap();
            format!("{}:{}:{} [{}] {}", p.file(), at.line, at.column, p.path().unwrap(), p.message())
        })
        .collect();
    snapshot("all_problems", &lines.join("\n"));
}

#[test]
fn files_that_cannot_be_read() {
    let folder = tempfile::tempdir().unwrap();
    let name = folder.path().display().to_string();
    let message = |path: &std::path::Path| Source::open(path).unwrap_err().to_string().replace(&name, "<folder>");
    assert_eq!(
        message(&folder.path().join("none.yaml")),
        "error: cannot read `<folder>/none.yaml`: no such file or directory\n--> <folder>/none.yaml\n = help: check the \
         path; it is taken from the current folder"
    );
    let binary = folder.path().join("binary.yaml");
    std::fs::write(&binary, b"beads: \xff\xfe").unwrap();
    assert!(message(&binary).starts_with("error: the file is not UTF-8 text (byte 7)\n"));
    let huge = folder.path().join("huge.yaml");
    std::fs::File::create(&huge).unwrap().set_len(MAX_BYTES + 1).unwrap();
    assert!(message(&huge).starts_with("error: the file is longer than 4 MiB\n"));
    assert!(message(folder.path()).starts_with("error: cannot read `<folder>`: is a directory\n"));
}

#[test]
fn no_document_takes_long_or_overflows() {
    let list = format!("[{}]", "1,".repeat(20_000));
    let quadratic = format!("a: &a {list}\nb: [{}]", "*a,".repeat(20_000));
    let laughs = (1..40).fold("a0: &a0 [x]\n".to_owned(), |text, i| {
        text + &format!("a{i}: &a{i} [*a{0}, *a{0}, *a{0}, *a{0}]\n", i - 1)
    });
    let deep = "[".repeat(100_000);
    let many = format!("currency: EUR\nbeads:\n{}", "  - {id: x, colour: red}\n".repeat(3000));
    let row = bead(SOUND);
    let (head, twin) = row.split_once("beads:\n").unwrap();
    let twins = format!("{head}beads:\n{}", twin.repeat(3000));
    let cases = [("quadratic", quadratic), ("laughs", laughs), ("deep", deep), ("many faults", many), ("twins", twins)];
    for (what, text) in cases {
        let start = Instant::now();
        let message = refusal(&text);
        assert!(message.starts_with("error: "), "{what}: {message}");
        assert!(start.elapsed() < Duration::from_secs(5), "{what} took {:?}", start.elapsed());
    }
}

#[test]
fn colour_is_only_given_when_asked_for() {
    let problems = Catalog::with_overlays(&[Source::new("mine.yaml", "beads: 3")]).unwrap_err();
    assert!(!problems.render(false).contains('\u{1b}'));
    assert!(problems.render(true).contains('\u{1b}'));
    assert_eq!(problems.to_string(), problems.render(false));
}
