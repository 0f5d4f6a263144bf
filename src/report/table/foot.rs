//! Below the table: assumptions, what was searched, warnings, cautions.

use crate::report::answer::{Answer, SearchReport};
use crate::report::words::grouped;
use crate::report::{Notice, ReportError};
use std::io::Write;

/// Writes what stands below any answer.
///
/// # Errors
/// The stream refuses.
pub fn foot<B>(out: &mut dyn Write, answer: &Answer<B>) -> Result<(), ReportError> {
    assumed(out, answer, "option", |key| format!("--{key}"))?;
    rest(out, answer)
}

/// Writes what stands below an answer whose targets come from a file: assumptions name keys of that file.
///
/// # Errors
/// The stream refuses.
pub fn foot_of_file<B>(out: &mut dyn Write, answer: &Answer<B>) -> Result<(), ReportError> {
    assumed(out, answer, "key of `target`", |key| key.replace('-', "_"))?;
    rest(out, answer)
}

fn assumed<B>(
    out: &mut dyn Write,
    answer: &Answer<B>,
    by: &str,
    written: impl Fn(&str) -> String,
) -> Result<(), ReportError> {
    if answer.assumptions.is_empty() {
        return Ok(());
    }
    writeln!(out, "\nassumed (say otherwise with the {by} in brackets)")?;
    let list: Vec<String> = answer.assumptions.iter().map(|a| format!("{} [{}]", a.text, written(a.key))).collect();
    bullets(out, std::iter::once(list.join("; ")))
}

fn rest<B>(out: &mut dyn Write, answer: &Answer<B>) -> Result<(), ReportError> {
    if let Some(search) = &answer.search {
        writeln!(out, "\nsearched")?;
        bullets(out, search_lines(search, answer.recipes.is_empty()).into_iter())?;
    }
    notices(out, "warnings", &answer.warnings)?;
    notices(out, "take care", &answer.cautions)
}

fn notices(out: &mut dyn Write, title: &str, list: &[Notice]) -> Result<(), ReportError> {
    if list.is_empty() {
        return Ok(());
    }
    writeln!(out, "\n{title}")?;
    bullets(out, list.iter().map(|n| n.text.clone()))
}

fn search_lines(search: &SearchReport, none: bool) -> Vec<String> {
    let verdict = match (search.proven, none, search.cost_bound) {
        (true, false, _) => "proven optimal: every other recipe was ruled out".to_owned(),
        (true, true, _) => "proven: every recipe was ruled out".to_owned(),
        (false, _, Some(bound)) => {
            format!("stopped early: cheaper recipes may exist, but none that was not looked at costs less than {bound}")
        }
        (false, _, None) => "stopped early: cheaper recipes may exist".to_owned(),
    };
    let dropped: Vec<String> = search
        .pruned
        .iter()
        .filter(|(bound, count)| **count > 0 && **bound != "unexplored")
        .map(|(bound, count)| format!("{} {}", bound.replace('_', " "), grouped(*count)))
        .collect();
    let unexplored = search.pruned.get("unexplored").filter(|count| **count > 0);
    let mut lines = vec![
        format!("{} recipes in the space, {} evaluated", grouped(search.space), grouped(search.evaluated)),
        verdict,
    ];
    if !dropped.is_empty() {
        lines.insert(1, format!("ruled out by {}", dropped.join(", ")));
    }
    lines.extend(unexplored.map(|count| format!("not looked at {}", grouped(*count))));
    lines
}

/// Lines of at most this many characters.
const LINE: usize = super::WIDTH as usize;
const MARK: &str = "  - ";

/// Writes a list, one entry a mark, broken at blanks.
///
/// # Errors
/// The stream refuses.
pub fn bullets(out: &mut dyn Write, lines: impl Iterator<Item = String>) -> Result<(), ReportError> {
    for line in lines {
        let mut text = String::new();
        let mut at = MARK.len();
        for (i, word) in line.split(' ').enumerate() {
            let length = word.chars().count();
            if i > 0 && at + 1 + length > LINE {
                text.push_str("\n    ");
                at = MARK.len();
            } else if i > 0 {
                text.push(' ');
                at += 1;
            }
            text.push_str(word);
            at += length;
        }
        writeln!(out, "{MARK}{text}")?;
    }
    Ok(())
}
