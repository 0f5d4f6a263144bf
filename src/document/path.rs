//! Where in a document a value stands.

use std::fmt;

/// One step into a document.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Segment {
    /// Into a mapping.
    Key(String),
    /// Into a list, counted from 0.
    Index(usize),
}

/// Steps from the top of a document to a value; shown like `beads[3].diameter_mm`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Path(Vec<Segment>);

impl Path {
    /// The whole document.
    #[must_use]
    pub fn root() -> Self {
        Self::default()
    }

    /// One step further, into a mapping.
    #[must_use]
    pub fn key(&self, key: &str) -> Self {
        self.step(Segment::Key(key.to_owned()))
    }

    /// One step further, into a list.
    #[must_use]
    pub fn index(&self, index: usize) -> Self {
        self.step(Segment::Index(index))
    }

    /// The steps of another path after these.
    #[must_use]
    pub fn joined(&self, further: &Self) -> Self {
        Self(self.0.iter().chain(&further.0).cloned().collect())
    }

    fn step(&self, segment: Segment) -> Self {
        let mut longer = self.clone();
        longer.0.push(segment);
        longer
    }

    /// The steps.
    #[must_use]
    pub fn segments(&self) -> &[Segment] {
        &self.0
    }

    /// The path one step up; `None` at the top.
    #[must_use]
    pub fn parent(&self) -> Option<Self> {
        let (_, front) = self.0.split_last()?;
        Some(Self(front.to_vec()))
    }

    /// Whether the way to this leads through `other`, or ends there.
    #[must_use]
    pub fn starts_with(&self, other: &Self) -> bool {
        self.0.starts_with(&other.0)
    }

    /// The last key on the way.
    #[must_use]
    pub fn last_key(&self) -> Option<&str> {
        self.0.iter().rev().find_map(|s| match s {
            Segment::Key(key) => Some(key.as_str()),
            Segment::Index(_) => None,
        })
    }
}

impl From<&serde_path_to_error::Path> for Path {
    fn from(path: &serde_path_to_error::Path) -> Self {
        use serde_path_to_error::Segment as Step;
        let steps = path.iter().filter_map(|step| match step {
            Step::Seq { index } => Some(Segment::Index(*index)),
            Step::Map { key } | Step::Enum { variant: key } => Some(Segment::Key(key.clone())),
            Step::Unknown => None,
        });
        Self(steps.collect())
    }
}

impl fmt::Display for Path {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, segment) in self.0.iter().enumerate() {
            match segment {
                Segment::Key(key) if i == 0 => f.write_str(key)?,
                Segment::Key(key) => write!(f, ".{key}")?,
                Segment::Index(index) => write!(f, "[{index}]")?,
            }
        }
        Ok(())
    }
}
