//! Replacing a file as a whole: a reader, or a crash, sees the old text or the new one, never half of one.
//!
//! Who wants to read a file, change it and write it back takes a [`Turn`] first: others that do so wait.

use std::ffi::OsString;
use std::fs::{self, File, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use thiserror::Error;

/// How long a turn is waited for. A writer takes a few milliseconds.
pub const PATIENCE: Duration = Duration::from_secs(20);

/// Time between two looks whether it is our turn.
const PAUSE: Duration = Duration::from_millis(5);

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
    /// It is marked as not to be written to.
    #[error("{} is read-only; nothing was written", path.display())]
    ReadOnly {
        /// The file.
        path: PathBuf,
    },
    /// Others wrote in its folder for as long as we waited.
    #[error("{} is in use: the folder was locked for {} s; nothing was written", path.display(), waited.as_secs())]
    Busy {
        /// The file.
        path: PathBuf,
        /// How long it was waited for.
        waited: Duration,
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
/// # Errors
/// As [`Turn::replace`].
pub fn replace(path: &Path, before: Option<&str>, text: &str) -> Result<(), SaveError> {
    replace_bytes(path, before.map(str::as_bytes), text.as_bytes())
}

/// [`replace`] for a file that is no text.
///
/// # Errors
/// As [`replace`].
pub fn replace_bytes(path: &Path, before: Option<&[u8]>, bytes: &[u8]) -> Result<(), SaveError> {
    Turn::wait(path, PATIENCE)?.replace(before, bytes)
}

/// The turn to write a file: until it is dropped, or the process ends, all other turns in its folder wait (on systems that
/// can lock a folder; elsewhere two writers at once are found out by what the file holds).
#[derive(Debug)]
pub struct Turn {
    path: PathBuf,
    real: PathBuf,
    lock: Option<File>,
}

impl Turn {
    /// Waits until nobody else has a turn in the folder of the file, `most` at the longest.
    ///
    /// # Errors
    /// [`SaveError::Busy`].
    pub fn wait(path: &Path, most: Duration) -> Result<Self, SaveError> {
        // A link stays a link: what it leads to is replaced.
        let real = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let mut turn = Self { path: path.to_owned(), real, lock: None };
        let Ok(folder) = File::open(turn.folder()) else { return Ok(turn) };
        let started = Instant::now();
        loop {
            match folder.try_lock() {
                Ok(()) => {
                    turn.lock = Some(folder);
                    return Ok(turn);
                }
                Err(TryLockError::Error(_)) => return Ok(turn),
                Err(TryLockError::WouldBlock) if started.elapsed() >= most => {
                    return Err(SaveError::Busy { path: turn.path, waited: most });
                }
                Err(TryLockError::WouldBlock) => std::thread::sleep(PAUSE),
            }
        }
    }

    /// Replaces the file, which held `before`, or makes it where there was none.
    ///
    /// The bytes go to a new file in the same folder, are flushed to the disk, and take the place of the old file in one
    /// step; permissions stay, and a link stays a link. What an earlier run left there when it was killed is removed.
    ///
    /// # Errors
    /// The file is read-only, no longer holds `before`, or exists although none was expected, or the system refuses.
    /// Nothing has changed then.
    pub fn replace(&self, before: Option<&[u8]>, bytes: &[u8]) -> Result<(), SaveError> {
        let io = |source| SaveError::Io { path: self.path.clone(), source: plain(source) };
        let mut fresh = self.fresh().map_err(io)?;
        fresh.as_file_mut().write_all(bytes).map_err(io)?;
        match before {
            Some(before) => {
                let permissions = fs::metadata(&self.real).map_err(io)?.permissions();
                if permissions.readonly() {
                    return Err(SaveError::ReadOnly { path: self.path.clone() });
                }
                fs::set_permissions(fresh.path(), permissions).map_err(io)?;
                fresh.as_file().sync_all().map_err(io)?;
                if fs::read(&self.real).map_err(io)? != before {
                    return Err(SaveError::Changed { path: self.path.clone() });
                }
                fresh.persist(&self.real).map_err(|e| io(e.error))?;
            }
            None => {
                open_to_all(fresh.path()).map_err(io)?;
                fresh.as_file().sync_all().map_err(io)?;
                fresh.persist_noclobber(&self.real).map_err(|e| match e.error.kind() {
                    io::ErrorKind::AlreadyExists => SaveError::Exists { path: self.path.clone() },
                    _ => io(e.error),
                })?;
            }
        }
        // The new name is safe only once the folder is on the disk; where a system cannot flush folders, it is as safe as
        // it gets.
        if let Some(folder) = &self.lock {
            let _ = folder.sync_all();
        }
        Ok(())
    }

    fn folder(&self) -> PathBuf {
        match self.real.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
            _ => PathBuf::from("."),
        }
    }

    /// The new file beside the old one. Its name is always the same while only one writer can be there, so that what a
    /// killed run left is found again.
    fn fresh(&self) -> io::Result<tempfile::NamedTempFile> {
        let mut name = OsString::from(".");
        match self.real.file_name() {
            Some(file) if file.len() <= LONGEST_NAME => name.push(file),
            _ => name.push("counterpoise"),
        }
        let digits = if self.lock.is_some() { 0 } else { 6 };
        let folder = self.folder();
        let make = || tempfile::Builder::new().prefix(&name).suffix(".part").rand_bytes(digits).tempfile_in(&folder);
        match make() {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists && self.lock.is_some() => {
                let mut left = name.clone();
                left.push(".part");
                fs::remove_file(folder.join(left))?;
                make()
            }
            other => other,
        }
    }
}

/// Longest name of a file that is found again in the name of its new version; systems allow 255 bytes.
const LONGEST_NAME: usize = 200;

/// What the system says, without the name of the file that was being made.
fn plain(error: io::Error) -> io::Error {
    if error.raw_os_error().is_some() { error } else { error.kind().into() }
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

    #[test]
    fn what_a_killed_run_left_is_cleared() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bench.yaml");
        fs::write(folder.path().join(".bench.yaml.part"), "half of").unwrap();
        replace(&path, None, "one").unwrap();
        fs::write(folder.path().join(".bench.yaml.part"), "half of").unwrap();
        replace(&path, Some("one"), "two").unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "two");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_read_only_file_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bench.yaml");
        replace(&path, None, "one").unwrap();
        let mut permissions = fs::metadata(&path).unwrap().permissions();
        permissions.set_readonly(true);
        fs::set_permissions(&path, permissions).unwrap();
        assert!(matches!(replace(&path, Some("one"), "two"), Err(SaveError::ReadOnly { .. })));
        assert_eq!(fs::read_to_string(&path).unwrap(), "one");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[cfg(unix)]
    #[test]
    fn turns_are_waited_for_but_not_for_ever() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bench.yaml");
        let turn = Turn::wait(&path, PATIENCE).unwrap();
        assert!(matches!(Turn::wait(&path, Duration::from_millis(30)), Err(SaveError::Busy { .. })));
        std::thread::scope(|scope| {
            let next = scope.spawn(|| Turn::wait(&path, PATIENCE).unwrap().replace(Some(b"one"), b"two"));
            turn.replace(None, b"one").unwrap();
            drop(turn);
            next.join().unwrap().unwrap();
        });
        assert_eq!(fs::read_to_string(&path).unwrap(), "two");
    }

    #[test]
    fn messages_do_not_show_the_new_file() {
        let gone = Path::new("no such folder").join("bench.yaml");
        let message = replace(&gone, None, "one").unwrap_err().to_string();
        assert!(!message.contains(".part") && message.contains("bench.yaml cannot be written: "), "{message}");
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
