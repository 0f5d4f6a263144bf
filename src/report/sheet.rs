//! What a person reads on: so many characters across, and how much is told.

use crate::quantity::is_unit;
use std::io::{self, Write};

/// How wide lines may be, and how much is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Paper {
    /// Characters across; tables fit from [`Paper::NARROWEST`] up.
    pub columns: u16,
    /// All that was assumed, searched and warned of; otherwise a line each.
    pub whole: bool,
}

impl Paper {
    /// Fewest characters across that tables are made for.
    pub const NARROWEST: u16 = 60;
    /// Most characters across that are used: longer lines are hard to follow.
    pub const WIDEST: u16 = 140;

    /// For a screen of so many characters.
    #[must_use]
    pub fn across(columns: u16, whole: bool) -> Self {
        Self { columns: columns.clamp(Self::NARROWEST, Self::WIDEST), whole }
    }
}

/// A stream with its paper.
pub struct Sheet<'w> {
    out: &'w mut dyn Write,
    /// Its paper.
    pub paper: Paper,
}

impl<'w> Sheet<'w> {
    /// Writes to a stream.
    pub fn new(out: &'w mut dyn Write, paper: Paper) -> Self {
        Self { out, paper }
    }

    /// Writes a text behind a word or a mark, broken at blanks to fit; further lines stand below its beginning.
    ///
    /// # Errors
    /// The stream refuses.
    pub fn told(&mut self, head: &str, text: &str) -> io::Result<()> {
        let width = head.chars().count();
        let lines = broken(text, usize::from(self.paper.columns).saturating_sub(width));
        writeln!(self, "{head}{}", lines.join(&format!("\n{}", " ".repeat(width))))
    }

    /// Writes a heading below a blank line.
    ///
    /// # Errors
    /// The stream refuses.
    pub fn heading(&mut self, text: &str) -> io::Result<()> {
        writeln!(self)?;
        self.told("", text)
    }

    /// For `write!`, without the trait in scope.
    ///
    /// # Errors
    /// The stream refuses.
    pub fn write_fmt(&mut self, words: std::fmt::Arguments<'_>) -> io::Result<()> {
        self.out.write_fmt(words)
    }
}

impl Write for Sheet<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.out.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// A text in lines of at most so many characters, broken at blanks, though not between a figure and its unit; a longer
/// word has a line of its own.
#[must_use]
pub fn broken(text: &str, columns: usize) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split(' ') {
        let unit = is_unit(word.trim_end_matches([',', ';', '.', ':', ')']));
        match words.last_mut() {
            Some(figure) if unit && figure.ends_with(|c: char| c.is_ascii_digit()) => {
                figure.push(' ');
                figure.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    let mut lines: Vec<String> = Vec::new();
    for word in words {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= columns => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_breaks_at_blanks_only() {
        assert_eq!(broken("one two three", 7), ["one two", "three"]);
        assert_eq!(broken("incompressible it is", 4), ["incompressible", "it", "is"]);
        assert_eq!(broken("water at 46 F; and", 13), ["water at", "46 F; and"]);
        assert_eq!(Paper::across(12, false).columns, 60);
    }
}
