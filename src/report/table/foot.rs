//! Below the table: assumptions, what was searched, warnings, cautions.

use crate::report::answer::{Answer, SearchReport};
use crate::report::sheet::{Sheet, broken};
use crate::report::words::grouped;
use crate::report::{Notice, ReportError};
use crate::wanted::Assumption;

/// Writes what stands below any answer.
///
/// # Errors
/// The stream refuses.
pub fn foot<B>(out: &mut Sheet, answer: &Answer<B>) -> Result<(), ReportError> {
    apart(out, answer)?;
    assumed(out, answer, "option", |key| format!("--{key}"))?;
    rest(out, answer)
}

/// Writes what stands below an answer whose targets come from a file: assumptions name keys of that file.
///
/// # Errors
/// The stream refuses.
pub fn foot_of_file<B>(out: &mut Sheet, answer: &Answer<B>) -> Result<(), ReportError> {
    apart(out, answer)?;
    assumed(out, answer, "key of `target`", |key| key.replace('-', "_"))?;
    rest(out, answer)
}

/// A blank line before short notes, if there are any.
fn apart<B>(out: &mut Sheet, answer: &Answer<B>) -> Result<(), ReportError> {
    let none = answer.assumptions.is_empty()
        && answer.search.is_none()
        && answer.warnings.is_empty()
        && answer.cautions.is_empty();
    if none || out.paper.whole { Ok(()) } else { Ok(writeln!(out)?) }
}

fn assumed<B>(
    out: &mut Sheet,
    answer: &Answer<B>,
    by: &str,
    written: impl Fn(&str) -> String,
) -> Result<(), ReportError> {
    if answer.assumptions.is_empty() {
        return Ok(());
    }
    if !out.paper.whole {
        // What the parts were corrected by moves every figure, so it is never cut off.
        let (whole, list): (Vec<_>, Vec<_>) = answer
            .assumptions
            .iter()
            .partition(|a| NEVER_SHORT.contains(&a.key) || (a.key == "unsure" && cheaper_after_dearer(answer)));
        if !list.is_empty() {
            let texts: Vec<&str> = list.iter().map(|a| a.text.as_str()).collect();
            in_short(out, "assumed", &texts.join("; "))?;
        }
        return whole.iter().try_for_each(|a| in_full(out, a.key, &a.text));
    }
    writeln!(out, "\nassumed (say otherwise with the {by} in brackets)")?;
    let said = |a: &Assumption| match a.key {
        WORKED_OUT => a.text.clone(),
        key => format!("{} [{}]", a.text, written(key)),
    };
    let list: Vec<String> = answer.assumptions.iter().map(said).collect();
    bullets(out, std::iter::once(list.join("; ")))
}

/// Key of what is worked out and told, which nothing says otherwise.
pub const WORKED_OUT: &str = "chance";

/// Whether a row costs less than one before it, by what the list goes by, and by what nobody would call equal: then the order
/// wants telling.
fn cheaper_after_dearer<B>(answer: &Answer<B>) -> bool {
    const APART: i64 = 5;
    let cents = |i: usize| {
        let cost = &answer.recipes[i].cost;
        cost.outlay.unwrap_or(cost.per_fly).cents()
    };
    (1..answer.recipes.len()).any(|i| cents(i) + APART <= cents(i - 1))
}

fn rest<B>(out: &mut Sheet, answer: &Answer<B>) -> Result<(), ReportError> {
    if !out.paper.whole {
        return rest_in_short(out, answer);
    }
    if let Some(search) = &answer.search {
        writeln!(out, "\nsearched")?;
        bullets(out, search_lines(search, answer.recipes.is_empty()).into_iter())?;
    }
    notices(out, "warnings", &answer.warnings)?;
    notices(out, "take care", &answer.cautions)
}

/// A line each; warnings are never shortened, since each of them changes what the figures mean.
fn rest_in_short<B>(out: &mut Sheet, answer: &Answer<B>) -> Result<(), ReportError> {
    if let Some(search) = &answer.search {
        in_short(out, "searched", &searched(search, answer.recipes.is_empty()))?;
    }
    for warning in &answer.warnings {
        in_short(out, "warning", &warning.text)?;
    }
    if !answer.cautions.is_empty() {
        let words: Vec<&str> = answer.cautions.iter().map(|caution| caution_word(caution.code)).collect();
        in_short(out, "take care", &words.join(", "))?;
    }
    Ok(())
}

/// A caution in a word or two; `--why` and `help care` tell it whole.
fn caution_word(code: &str) -> &str {
    match code {
        "lead" => "lead is toxic and banned on some waters",
        "hooks" => "hooks injure eyes",
        "vapour" => "glue vapours",
        "blades" => "blades",
        "rules" => "local rules",
        other => other,
    }
}

/// Width of the word before a short line.
const WORD: usize = 11;
/// Lines that a short note may take before it is cut off.
const SHORT: usize = 2;

/// "assumed    water at 12 C; ...": what does not fit in two lines is left to `--why`.
const NEVER_SHORT: [&str; 3] = ["calibration", "settings", "stock"];

/// A word and a text of as many lines as it takes.
fn in_full(out: &mut Sheet, word: &str, text: &str) -> Result<(), ReportError> {
    let width = WORD.max(word.len() + 1);
    let lines = broken(text, usize::from(out.paper.columns) - width);
    Ok(writeln!(out, "{word:<width$}{}", lines.join(&format!("\n{}", " ".repeat(width))))?)
}

fn in_short(out: &mut Sheet, word: &str, text: &str) -> Result<(), ReportError> {
    let room = usize::from(out.paper.columns) - WORD;
    let lines = broken(text, room);
    let pad = " ".repeat(WORD);
    if word == "warning" {
        return in_full(out, word, text);
    }
    if lines.len() <= SHORT {
        return Ok(writeln!(out, "{word:<WORD$}{}", lines.join(&format!("\n{pad}")))?);
    }
    let more = " ... (--why)";
    let mut kept = broken(text, room - more.len());
    kept.truncate(SHORT);
    Ok(writeln!(out, "{word:<WORD$}{}{more}", kept.join(&format!("\n{pad}")))?)
}

fn notices(out: &mut Sheet, title: &str, list: &[Notice]) -> Result<(), ReportError> {
    if list.is_empty() {
        return Ok(());
    }
    writeln!(out, "\n{title}")?;
    bullets(out, list.iter().map(|n| n.text.clone()))
}

/// How much was searched and what is proven; `none` where nothing was found.
#[must_use]
pub fn searched(search: &SearchReport, none: bool) -> String {
    format!("{} recipes; {}", grouped(search.space), verdict(search, none))
}

/// What is proven.
fn verdict(search: &SearchReport, none: bool) -> String {
    match (search.proven, none, search.cost_bound) {
        (true, false, _) => "proven optimal: every other recipe was ruled out".to_owned(),
        (true, true, _) => "proven: every recipe was ruled out".to_owned(),
        (false, _, Some(bound)) => {
            format!("stopped early: what was not looked at may do better, but none of it costs less than {bound}")
        }
        (false, _, None) => "stopped early: what was not looked at may do better".to_owned(),
    }
}

fn search_lines(search: &SearchReport, none: bool) -> Vec<String> {
    let verdict = verdict(search, none);
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

const MARK: &str = "  - ";

/// Writes a list, one entry a mark, broken at blanks.
///
/// # Errors
/// The stream refuses.
pub fn bullets(out: &mut Sheet, lines: impl Iterator<Item = String>) -> Result<(), ReportError> {
    let room = usize::from(out.paper.columns) - MARK.len();
    for line in lines {
        writeln!(out, "{MARK}{}", broken(&line, room).join("\n    "))?;
    }
    Ok(())
}
