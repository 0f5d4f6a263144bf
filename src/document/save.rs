//! Replacing a file as a whole: a reader, or a crash, sees the old text or the new one, never half of one.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use thiserror::Error;

/// Why a file was not replaced. It is as it was before.
#[derive(Debug, Error)]
pub enum SaveError {
    /// Somebody else wrote to it since it was read.
    #[error("{} was changed by someone else since it was read; nothing was written", path.display())]
    Changed {
        /// The file.
        path: PathBuf,
    },
    /// It is there already, and was to be made.
    #[error("{} exists already; nothing was written", path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// The system refused.
    #[error("{} cannot be written: {source}", path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
}

/// Replaces a file whose text was `before`, or makes a new one where there was none.
///
/// The text goes to a new file in the same folder, is flushed to the disk, and takes the place of the old file in one
/// step; permissions stay, and a link stays a link. The folder is locked while the old text is compared and replaced, so
/// of two writers at once (on systems that can lock a folder) the second is told [`SaveError::Changed`].
///
/// # Errors
/// The file no longer holds `before`, or exists although none was expected, or the system refuses. Nothing has changed then.
pub fn replace(path: &Path, before: Option<&str>, text: &str) -> Result<(), SaveError> {
    replace_bytes(path, before.map(str::as_bytes), text.as_bytes())
}

/// [`replace`] for a file that is no text.
///
/// # Errors
/// As [`replace`].
pub fn replace_bytes(path: &Path, before: Option<&[u8]>, bytes: &[u8]) -> Result<(), SaveError> {
    let io = |source| SaveError::Io { path: path.to_owned(), source };
    let real = match before {
        Some(_) => fs::canonicalize(path).map_err(io)?,
        None => path.to_owned(),
    };
    let folder = match real.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    };
    let mut fresh = tempfile::NamedTempFile::new_in(&folder).map_err(io)?;
    fresh.write_all(bytes).map_err(io)?;
    match before {
        Some(_) => fs::set_permissions(fresh.path(), fs::metadata(&real).map_err(io)?.permissions()).map_err(io)?,
        None => open_to_all(fresh.path()).map_err(io)?,
    }
    fresh.as_file().sync_all().map_err(io)?;
    // Let go when it goes out of scope, or with the process.
    let lock = File::open(&folder).ok().filter(|folder| folder.lock().is_ok());
    match before {
        Some(before) => {
            if fs::read(&real).map_err(io)? != before {
                return Err(SaveError::Changed { path: path.to_owned() });
            }
            fresh.persist(&real).map_err(|e| io(e.error))?;
        }
        None => {
            fresh.persist_noclobber(&real).map_err(|e| match e.error.kind() {
                io::ErrorKind::AlreadyExists => SaveError::Exists { path: path.to_owned() },
                _ => io(e.error),
            })?;
        }
    }
    // The new name is safe only once the folder is on the disk; where a system cannot flush folders, it is as safe as it gets.
    if let Some(folder) = lock {
        let _ = folder.sync_all();
    }
    Ok(())
}

/// A new file may be read by all, as files that a shell makes; temporary files are for their owner alone.
#[cfg(unix)]
fn open_to_all(path: &Path) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn open_to_all(_: &Path) -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn replaces_makes_and_refuses() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bench.yaml");
        replace(&path, None, "one").unwrap();
        assert!(matches!(replace(&path, None, "two"), Err(SaveError::Exists { .. })));
        replace(&path, Some("one"), "two").unwrap();
        assert!(matches!(replace(&path, Some("one"), "three"), Err(SaveError::Changed { .. })));
        assert_eq!(fs::read_to_string(&path).unwrap(), "two");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "nothing is left lying about");
        let gone = folder.path().join("no such folder").join("bench.yaml");
        assert!(matches!(replace(&gone, None, "one"), Err(SaveError::Io { .. })));
    }

    #[cfg(unix)]
    #[test]
    fn permissions_and_links_stay() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (path, link) = (folder.path().join("bench.yaml"), folder.path().join("link.yaml"));
        fs::write(&path, "one").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        symlink(&path, &link).unwrap();
        replace(&link, Some("one"), "two").unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "two");
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
        assert!(fs::symlink_metadata(&link).unwrap().file_type().is_symlink());
    }
}
