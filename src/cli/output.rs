//! Writing answers and files.

use crate::failure::Failure;
use counterpoise::document::save::{SaveError, replace_bytes};
use counterpoise::report::ReportError;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// Files that this run has written.
static WRITTEN: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

/// Notes that a file was written: should the rest of the run fail, this is said.
pub(crate) fn wrote(path: &Path) {
    if let Ok(mut written) = WRITTEN.lock() {
        written.push(path.to_owned());
    }
}

/// The files that this run has written, in words.
pub(crate) fn written() -> Option<String> {
    let paths = WRITTEN.lock().ok()?.iter().map(|path| path.display().to_string()).collect::<Vec<_>>();
    (!paths.is_empty()).then(|| paths.join(" and "))
}

/// Writes an answer to standard output, all of it or none: it is put together first.
pub(crate) fn print(write: impl FnOnce(&mut dyn Write) -> Result<(), ReportError>) -> Result<(), Failure> {
    let mut bytes = Vec::new();
    write(&mut bytes)?;
    let mut out = io::stdout().lock();
    out.write_all(&bytes)?;
    out.flush()?;
    Ok(())
}

/// Writes a line to standard error, for a person.
pub(crate) fn note(text: &str) {
    // A lost note is no reason to lose the answer.
    let _ = writeln!(anstream::stderr().lock(), "{text}");
}

/// A file that is to be written. Its name is tested when it is made, before anything long is computed.
#[derive(Debug)]
pub(crate) struct Destination {
    path: PathBuf,
    force: bool,
}

impl Destination {
    /// Tests whether a file of one of these types can be written there; any type goes where none is named. One that
    /// exists already is written only with `force`.
    pub(crate) fn test(path: &Path, force: bool, types: &[&str]) -> Result<Self, Failure> {
        let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase());
        if !types.is_empty() && !ending.is_some_and(|e| types.contains(&e.as_str())) {
            let list: Vec<String> = types.iter().map(|t| format!(".{t}")).collect();
            let text = format!("`{}`: that type of file cannot be written here", path.display());
            return Err(Failure::usage(text, Some(format!("give a name that ends in {}", list.join(" or ")))));
        }
        if path.is_dir() {
            return Err(Failure::usage(format!("`{}` is a folder", path.display()), None));
        }
        writable(folder_of(path))?;
        if path.exists() && !force {
            return Err(SaveError::Exists { path: path.to_owned() }.into());
        }
        Ok(Self { path: path.to_owned(), force })
    }

    /// Where that is.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Writes the file whole, or not at all.
    pub(crate) fn write(&self, bytes: &[u8]) -> Result<(), Failure> {
        save_bytes(&self.path, self.force, bytes)
    }
}

/// Makes a folder for files that are to be written, before anything long is computed.
pub(crate) fn make_folder(path: &Path) -> Result<(), Failure> {
    fs::create_dir_all(path).map_err(|source| SaveError::Io { path: path.to_owned(), source })?;
    writable(path)
}

fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Tries a nameless file in a folder.
fn writable(folder: &Path) -> Result<(), Failure> {
    if !folder.is_dir() {
        let help = Some("make it first".to_owned());
        return Err(Failure::usage(format!("there is no folder `{}`", folder.display()), help));
    }
    let tried = tempfile::tempfile_in(folder);
    tried.map(drop).map_err(|source| SaveError::Io { path: folder.to_owned(), source }.into())
}

/// Writes a file whole, or not at all; one that exists already only with `force`.
pub(crate) fn save(path: &Path, force: bool, text: &str) -> Result<(), Failure> {
    save_bytes(path, force, text.as_bytes())
}

/// [`save`] for a file that is no text.
pub(crate) fn save_bytes(path: &Path, force: bool, bytes: &[u8]) -> Result<(), Failure> {
    let before = if force && path.exists() {
        Some(fs::read(path).map_err(|source| SaveError::Io { path: path.to_owned(), source })?)
    } else {
        None
    };
    replace_bytes(path, before.as_deref(), bytes)?;
    wrote(path);
    Ok(())
}

/// What was typed, for pages that say what they answer.
pub(crate) fn asked() -> String {
    /// Options that say nothing of what was asked, each with its value where it has one.
    const BESIDE: [(&str, bool); 7] = [
        ("-o", true),
        ("--output", true),
        ("--save", true),
        ("--chart", true),
        ("--quiet", false),
        ("-q", false),
        ("--force", false),
    ];
    let mut words: Vec<String> = std::env::args_os().skip(1).map(|word| word.to_string_lossy().into_owned()).collect();
    for (option, valued) in BESIDE {
        while let Some(at) = words.iter().position(|word| word == option) {
            words.drain(at..words.len().min(at + 1 + usize::from(valued)));
        }
        words.retain(|word| !word.starts_with(&format!("{option}=")));
    }
    let quoted =
        words.into_iter().map(|word| if word.contains([' ', '>', '<', '"']) { format!("'{word}'") } else { word });
    std::iter::once("counterpoise".to_owned()).chain(quoted).collect::<Vec<_>>().join(" ")
}
