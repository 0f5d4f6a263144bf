//! Adding to a log loses nothing, whatever the log looks like and whenever the power goes.

use counterpoise::catalog::Catalog;
use counterpoise::document::Source;
use counterpoise::jar_log::{EntryFile, JarLog, RecipeRef, append, with_entries};
use counterpoise::quantity::Angle;
use proptest::prelude::*;
use std::fs;

const RECIPES: &str = "recipes:\n  leech: {hook: jig60-12, pattern: light-body, bead: {id: tungsten-slotted-3.5}}\n";

fn entry(degrees: i32, note: &str) -> EntryFile {
    EntryFile {
        recipe: Some(RecipeRef::Named("leech".to_owned())),
        hang: Some(Angle::from_deg(f64::from(degrees))),
        note: (!note.trim_end().is_empty()).then(|| note.trim_end().to_owned()),
        ..EntryFile::default()
    }
}

/// An entry as a person might write it.
fn by_hand() -> impl Strategy<Value = String> {
    let comment = "[ -~]{0,20}";
    (-90..=90i32, 0..5u8, comment, 0..3usize).prop_map(|(degrees, form, comment, blank)| {
        let mut text = match form {
            0 => format!("  - {{recipe: leech, hang: {degrees} deg}}\n"),
            1 => format!("  - recipe: leech   # {comment}\n    hang: {degrees} deg\n"),
            2 => format!("  # {comment}\n  - hang: \"{degrees} deg\"\n    recipe: leech\n"),
            3 => {
                format!("  - recipe: leech\n    note: |\n      - {comment}x\n      entries:\n    hang: {degrees} deg\n")
            }
            _ => format!("  -\n    recipe: leech\n# {comment}\n    hang: {degrees} deg\n"),
        };
        text.push_str(&"\n".repeat(blank));
        text
    })
}

fn log() -> impl Strategy<Value = (String, usize)> {
    (prop::collection::vec(by_hand(), 0..6), any::<bool>(), any::<bool>(), any::<bool>()).prop_map(
        |(entries, recipes_last, crlf, cut_end)| {
            let list = if entries.is_empty() { String::new() } else { format!("entries:\n{}", entries.concat()) };
            let mut text = if recipes_last {
                format!("# mine\njar_log: 1\n{list}# below\n{RECIPES}")
            } else {
                format!("jar_log: 1\n{RECIPES}# above\n{list}")
            };
            if crlf {
                text = text.replace('\n', "\r\n");
            }
            let text = if cut_end { text.trim_end().to_owned() } else { text };
            (text, entries.len())
        },
    )
}

fn read(text: &str) -> JarLog {
    JarLog::read(&Source::new("jar.yaml", text), ".".as_ref()).unwrap_or_else(|e| panic!("{e}\n{text}"))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    /// Every earlier line is still there, in its order, with its comments; the new entries come last.
    #[test]
    fn lines_and_order_stay((before, count) in log(), added in prop::collection::vec((-90..=90i32, "[ -~\n]{0,30}"), 1..4)) {
        let old = read(&before);
        prop_assert_eq!(old.entries().len(), count);
        let entries: Vec<EntryFile> = added.iter().map(|(degrees, note)| entry(*degrees, note)).collect();
        let after = with_entries("jar.yaml", Some(&before), &entries).unwrap();
        let mut rest = after.lines();
        for line in before.lines() {
            prop_assert!(rest.any(|l| l == line), "{line:?} is gone from\n{after}");
        }
        let new = read(&after);
        let tests = |log: &JarLog| log.entries().iter().map(|e| e.test.clone()).collect::<Vec<_>>();
        prop_assert_eq!(&tests(&new)[..count], &tests(&old)[..]);
        prop_assert_eq!(new.entries().len(), count + added.len());
    }
}

const LOG: &str = "# my jar\njar_log: 1\nrecipes:\n  leech: {hook: jig60-12, pattern: light-body}   # plain\nentries:\n  \
                   # in March\n  - {recipe: leech, hang: 60 deg}\n  - recipe: leech\n    hang: 61 deg\n# so far\n";

/// The disk filled up, or another program was cut off while it wrote: the log ends anywhere. It is added to as it is, or
/// left as it is.
#[test]
fn a_log_cut_off_anywhere_is_added_to_or_left_alone() {
    let catalog = Catalog::built_in().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("jar.yaml");
    let (mut added, mut refused) = (0, 0);
    for end in (0..LOG.len()).filter(|end| LOG.is_char_boundary(*end)) {
        fs::write(&path, &LOG[..end]).unwrap();
        match append(&path, &catalog, &[entry(5, "")]) {
            Ok(log) => {
                let text = fs::read_to_string(&path).unwrap();
                assert!(text.starts_with(&LOG[..end]), "{text}");
                assert!(log.entries().len() <= 3);
                added += 1;
            }
            Err(_) => {
                assert_eq!(fs::read_to_string(&path).unwrap(), &LOG[..end]);
                refused += 1;
            }
        }
    }
    assert!(added > 20 && refused > 20, "{added} {refused}");
}

/// A crash between writing and putting in place leaves the half-written file beside the log, and the log whole.
#[test]
fn what_a_crash_leaves_lying_about_does_not_matter() {
    let catalog = Catalog::built_in().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("jar.yaml");
    fs::write(&path, LOG).unwrap();
    fs::write(folder.path().join(".tmpA1b2C3"), &LOG[..40]).unwrap();
    assert_eq!(append(&path, &catalog, &[entry(5, "after the crash")]).unwrap().entries().len(), 3);
    assert!(fs::read_to_string(&path).unwrap().starts_with(LOG));
}
