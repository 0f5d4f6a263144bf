//! Adding entries to a log without touching what is there: earlier bytes, comments and order stay as they are.

use super::JarLog;
use super::schema::{EntryFile, JarLogFile, VERSION};
use crate::catalog::Catalog;
use crate::document::save::{PATIENCE, SaveError, Turn};
use crate::document::{Diagnostics, Document, Source};
use std::path::Path;
use thiserror::Error;

/// Why nothing was added. The log is as it was.
#[derive(Debug, Error)]
pub enum AppendError {
    /// What is there is no sound log.
    #[error("{0}")]
    Log(Diagnostics),
    /// What was to be added makes no sense. Places are those in the log as it would have become.
    #[error("nothing was added: {}", .0.iter().map(crate::document::Problem::message).collect::<Vec<_>>().join("; "))]
    Refused(Diagnostics),
    /// What was to be added can hardly be true.
    #[error("nothing was added: {0}")]
    Unlikely(String),
    /// The list of entries is written in a way that text cannot be added to.
    #[error("{name}: `entries` must be the kind of list in which each entry begins with `- ` on a line of its own")]
    Layout {
        /// The log.
        name: String,
    },
    /// The entry cannot be written.
    #[error("the entry cannot be written: {0}")]
    Entry(#[from] crate::yaml::Error),
    /// The file cannot be read.
    #[error("{name} cannot be read: {source}")]
    Read {
        /// The log.
        name: String,
        /// What the system says.
        source: std::io::Error,
    },
    /// The file cannot be replaced.
    #[error(transparent)]
    Save(#[from] SaveError),
}

/// What was added.
#[derive(Debug)]
pub struct Appended {
    /// The log as it is now.
    pub log: JarLog,
    /// Entries added.
    pub added: usize,
    /// Entries left out, since the log had them already.
    pub left_out: usize,
}

/// How to add.
#[derive(Clone, Copy)]
pub struct Manner<'a> {
    /// Whether entries are added that the log has already, key by key.
    pub again: bool,
    /// Looks at the log as it would become, and at how many entries are new; a text says why it cannot be.
    pub accept: &'a dyn Fn(&JarLog, usize) -> Result<(), String>,
}

/// Tries when others write to the same log without waiting for their turn.
const TRIES: usize = 50;

/// Adds entries to the end of a log; makes the log where there is none. The old log and the new one must both be sound, with
/// parts that the catalog holds. The file is replaced in one step, after its new text was read back: a crash leaves the
/// old log or the new one.
///
/// # Errors
/// [`AppendError`]; the log is then as it was.
pub fn append(path: &Path, catalog: &Catalog, entries: &[EntryFile]) -> Result<JarLog, AppendError> {
    let anything = Manner { again: true, accept: &|_, _| Ok(()) };
    append_in(path, catalog, entries, anything).map(|done| done.log)
}

/// [`append`] with a say in what is added. Where all of it is there already, the log stays as it is.
///
/// # Errors
/// [`AppendError`]; the log is then as it was.
pub fn append_in(
    path: &Path,
    catalog: &Catalog,
    entries: &[EntryFile],
    manner: Manner,
) -> Result<Appended, AppendError> {
    let name = path.display().to_string();
    let sound = |text: &str| {
        let log = JarLog::read(&Source::new(&name, text), super::folder_of(path))?;
        log.check_parts(catalog).map(|()| log)
    };
    let turn = Turn::wait(path, PATIENCE)?;
    let mut last = None;
    for _ in 0..TRIES {
        let before = match std::fs::read_to_string(path) {
            Ok(text) => Some(text),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => None,
            Err(source) => return Err(AppendError::Read { name, source }),
        };
        let mut known = Vec::new();
        let mut old = None;
        if let Some(before) = &before {
            old = Some(sound(before).map_err(AppendError::Log)?);
            known = parsed(&name, before).map_err(AppendError::Log)?.entries;
        }
        let new: Vec<EntryFile> =
            entries.iter().filter(|entry| manner.again || !known.contains(entry)).cloned().collect();
        let left_out = entries.len() - new.len();
        if let (true, Some(log)) = (new.is_empty(), old) {
            return Ok(Appended { log, added: 0, left_out });
        }
        let after = with_entries(&name, before.as_deref(), &new)?;
        let log = sound(&after).map_err(AppendError::Refused)?;
        (manner.accept)(&log, new.len()).map_err(AppendError::Unlikely)?;
        match turn.replace(before.as_ref().map(String::as_bytes), after.as_bytes()) {
            Ok(()) => return Ok(Appended { log, added: new.len(), left_out }),
            // Somebody else added something meanwhile: add to that.
            Err(error @ (SaveError::Changed { .. } | SaveError::Exists { .. })) => last = Some(error),
            Err(error) => return Err(error.into()),
        }
        std::thread::yield_now();
    }
    Err(last.map_or(AppendError::Layout { name }, AppendError::Save))
}

/// The text of a log with entries added; of a new log where there is none.
///
/// # Errors
/// [`AppendError`]; in particular where the entries would not be read back as they are.
pub fn with_entries(name: &str, before: Option<&str>, entries: &[EntryFile]) -> Result<String, AppendError> {
    let before = before.map_or_else(|| format!("jar_log: {VERSION}\n"), str::to_owned);
    let old = parsed(name, &before).map_err(AppendError::Log)?;
    let after = inserted(name, &before, &old, entries)?;
    let new = parsed(name, &after).map_err(|_| AppendError::Layout { name: name.to_owned() })?;
    let kept = new.entries.len() == old.entries.len() + entries.len()
        && new.entries[..old.entries.len()] == old.entries[..]
        && new.entries[old.entries.len()..] == *entries
        && (&new.recipes, &new.jar, &new.note) == (&old.recipes, &old.jar, &old.note);
    if kept { Ok(after) } else { Err(AppendError::Layout { name: name.to_owned() }) }
}

fn parsed(name: &str, text: &str) -> Result<JarLogFile, Diagnostics> {
    let (file, problems) = Document::open(&Source::new(name, text))?.decode::<JarLogFile>();
    match file {
        Some(file) => problems.or(file),
        None => Err(problems),
    }
}

fn inserted(name: &str, before: &str, old: &JarLogFile, entries: &[EntryFile]) -> Result<String, AppendError> {
    let end = if before.contains("\r\n") { "\r\n" } else { "\n" };
    let layout = || AppendError::Layout { name: name.to_owned() };
    let lines: Vec<&str> = before.split_inclusive('\n').collect();
    let is_key = |line: &str| !line.trim().is_empty() && !line.starts_with([' ', '#', '-', '\t', '\r', '\n', '%']);
    let list = lines.iter().position(|line| line.starts_with("entries:"));
    let (at, indent) = match list {
        None => (lines.len(), 2),
        Some(list) => {
            let first = lines[list + 1..].iter().find(|l| !l.trim().is_empty() && !l.trim_start().starts_with('#'));
            let indent = first.map(|l| l.len() - l.trim_start().len()).filter(|_| !old.entries.is_empty());
            let next_key = lines[list + 1..].iter().position(|l| is_key(l)).map(|i| list + 1 + i);
            let at = match next_key {
                None => lines.len(),
                // Comments right above a key belong to it.
                Some(key) => {
                    let own = |l: &&str| l.trim().is_empty() || l.starts_with('#');
                    key - lines[list + 1..key].iter().rev().take_while(|l| own(l)).count()
                }
            };
            (at, indent.ok_or_else(layout)?)
        }
    };
    let mut text: String = lines[..at].concat();
    if !text.is_empty() && !text.ends_with('\n') {
        text.push_str(end);
    }
    if list.is_none() {
        text.push_str("entries:");
        text.push_str(end);
    }
    for entry in entries {
        for (i, line) in crate::yaml::to_string(entry)?.lines().enumerate() {
            let lead = if i == 0 { "- " } else { "  " };
            text.push_str(&format!("{:indent$}{lead}{line}{end}", ""));
        }
    }
    text.push_str(&lines[at..].concat());
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jar_log::RecipeRef;
    use crate::quantity::Angle;

    fn entry(deg: f64) -> EntryFile {
        EntryFile {
            date: Some("2026-03-05".parse().unwrap()),
            recipe: Some(RecipeRef::Named("leech".to_owned())),
            hang: Some(Angle::from_deg(deg)),
            note: Some("two lines:\n- of # text".to_owned()),
            ..EntryFile::default()
        }
    }

    const KEPT: &str = "# my log\njar_log: 1\nrecipes:\n  leech: fly.yaml\nentries:\n  # the first\n  - recipe: leech   # here\n    hang: 3 deg\n  - {recipe: leech, hang: 4 deg}\n# the end, so far\n";

    #[test]
    fn earlier_bytes_stay_as_they_are() {
        let text = with_entries("jar.yaml", Some(KEPT), &[entry(5.0)]).unwrap();
        assert!(text.starts_with(KEPT), "{text}");
        let twice = with_entries("jar.yaml", Some(&text), &[entry(6.0), entry(7.0)]).unwrap();
        assert!(twice.starts_with(&text));
        assert_eq!(parsed("x", &twice).unwrap().entries.len(), 5);
        for variant in [
            KEPT.trim_end().to_owned(),
            KEPT.replace('\n', "\r\n"),
            KEPT.replace("  -", "-").replace("    hang", "  hang"),
        ] {
            let text = with_entries("jar.yaml", Some(&variant), &[entry(5.0)]).unwrap();
            assert!(text.starts_with(&variant), "{text}");
        }
    }

    #[test]
    fn a_list_that_is_not_last_is_added_to_in_place() {
        let text =
            "jar_log: 1\nentries:\n  - {recipe: leech, hang: 4 deg}\n\n# the recipes\nrecipes:\n  leech: fly.yaml\n";
        let after = with_entries("jar.yaml", Some(text), &[entry(5.0)]).unwrap();
        let (front, back) = text.split_at(text.find("\n# the recipes").unwrap());
        assert!(after.starts_with(front) && after.ends_with(back), "{after}");
    }

    #[test]
    fn a_log_is_begun() {
        let text = with_entries("jar.yaml", None, &[entry(5.0)]).unwrap();
        assert!(text.starts_with("jar_log: 1\nentries:\n  - date: 2026-03-05\n"), "{text}");
        let bare = with_entries("jar.yaml", Some("jar_log: 1\n# nothing yet\n"), &[entry(5.0)]).unwrap();
        assert!(bare.starts_with("jar_log: 1\n# nothing yet\nentries:\n"));
    }

    #[test]
    fn refuses_what_it_cannot_add_to() {
        let add = |text: &str| with_entries("jar.yaml", Some(text), &[entry(5.0)]);
        assert!(matches!(
            add("jar_log: 1\nentries: [{recipe: leech, hang: 4 deg}]\n"),
            Err(AppendError::Layout { .. })
        ));
        assert!(matches!(add("jar_log: 1\nentrees: []\n"), Err(AppendError::Log(_))));
        assert!(matches!(add("jar_log: 1\nentries:\n  - hang: 4\n"), Err(AppendError::Log(_))));
    }

    #[test]
    fn what_makes_no_sense_is_not_added() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("jar.yaml");
        let catalog = Catalog::built_in().unwrap();
        let fly = include_str!("../../examples/recipes/jig-12-foam-tail.yaml");
        std::fs::write(folder.path().join("fly.yaml"), fly).unwrap();
        let mut steep = entry(95.0);
        steep.recipe = Some(RecipeRef::Named("fly.yaml".to_owned()));
        assert!(matches!(append(&path, &catalog, &[steep.clone()]), Err(AppendError::Refused(_))));
        assert!(!path.exists());
        steep.hang = Some(Angle::from_deg(85.0));
        assert_eq!(append(&path, &catalog, &[steep]).unwrap().entries().len(), 1);
        // A log that went bad by hand is left alone.
        let bad = std::fs::read_to_string(&path).unwrap().replace("85 deg", "85");
        std::fs::write(&path, &bad).unwrap();
        assert!(matches!(append(&path, &catalog, &[entry(5.0)]), Err(AppendError::Log(_))));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), bad);
    }

    /// Many writers at once: every entry is there in the end.
    #[test]
    fn writers_at_the_same_time_lose_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("jar.yaml");
        let fly = include_str!("../../examples/recipes/jig-12-foam-tail.yaml");
        std::fs::write(folder.path().join("fly.yaml"), fly).unwrap();
        std::fs::write(&path, KEPT).unwrap();
        let catalog = Catalog::built_in().unwrap();
        std::thread::scope(|scope| {
            for writer in 0..4 {
                let (path, catalog) = (&path, &catalog);
                scope.spawn(move || {
                    for i in 0..3 {
                        append(path, catalog, &[entry(f64::from(10 * writer + i))]).unwrap();
                    }
                });
            }
        });
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.starts_with(KEPT));
        let mut seen: Vec<f64> =
            parsed("x", &text).unwrap().entries[2..].iter().map(|e| e.hang.unwrap().deg().round()).collect();
        seen.sort_by(f64::total_cmp);
        assert_eq!(seen, [0.0, 1.0, 2.0, 10.0, 11.0, 12.0, 20.0, 21.0, 22.0, 30.0, 31.0, 32.0]);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2, "no stray files");
    }
}
