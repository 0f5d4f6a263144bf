//! What a text may ask of the YAML reader, checked before it is read.
//!
//! The reader loads a whole document before anything can be refused, and its time grows with the square of the nesting. So
//! a text that could be deep, or is long, is first walked by a parser that hands out one event after the other and is
//! stopped as soon as a limit is passed.

use super::diagnostics::{Diagnostics, Problem};
use super::locate::Location;
use super::source::Source;
use saphyr_parser::{Event, Marker, Parser};

/// Deepest nesting that is read. The deepest file of this program has some six levels.
pub const MAX_DEPTH: usize = 64;

/// Most values that are read, keys included. A catalog row has some 40, so this is some ten thousand rows.
pub const MAX_VALUES: usize = 500_000;

/// A shorter text with few brackets cannot ask for much.
const SHORT: usize = 64 * 1024;

/// Refuses a text that is nested too deep or holds too many values, without reading more of it than that takes.
///
/// # Errors
/// The place where a limit is passed, or where the text is no YAML.
pub(super) fn check(source: &Source) -> Result<(), Diagnostics> {
    let text = source.text();
    let brackets = text.bytes().filter(|b| matches!(b, b'[' | b'{')).count();
    if text.len() <= SHORT && brackets <= MAX_DEPTH {
        return Ok(());
    }
    let (mut depth, mut values) = (0_usize, 0_usize);
    for event in Parser::new_from_str(text) {
        let (event, span) = event.map_err(|error| {
            let text = match error.info() {
                // The parser's own limit, met in a single line before the events come out.
                info if info.contains("recursion limit") => too_deep(),
                info => format!("this is not valid YAML here: {info}"),
            };
            Diagnostics::from(Problem::at_location(source, place(source, *error.marker()), text))
        })?;
        match event {
            Event::MappingStart(..) | Event::SequenceStart(..) => depth += 1,
            Event::MappingEnd | Event::SequenceEnd => depth = depth.saturating_sub(1),
            _ => {}
        }
        values += usize::from(!matches!(event, Event::MappingEnd | Event::SequenceEnd));
        let text = match (depth > MAX_DEPTH, values > MAX_VALUES) {
            (true, _) => too_deep(),
            (_, true) => too_many(),
            _ => continue,
        };
        return Err(Problem::at_location(source, place(source, span.start), text).into());
    }
    Ok(())
}

/// What is said about a document that is nested too deep.
pub(super) fn too_deep() -> String {
    format!("this is nested deeper than {MAX_DEPTH} levels")
}

/// What is said about a document with too many values.
pub(super) fn too_many() -> String {
    format!("this document holds more than {MAX_VALUES} values")
}

fn place(source: &Source, mark: Marker) -> Location {
    let text = source.text();
    let start = text.char_indices().nth(mark.index()).map_or(text.len(), |(byte, _)| byte);
    Location::at(source, mark.line(), mark.col() + 1, start)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::{Duration, Instant};

    fn refused(text: &str) -> String {
        let started = Instant::now();
        let problems = check(&Source::new("deep.yaml", text)).unwrap_err();
        assert!(started.elapsed() < Duration::from_secs(2), "{:?}", started.elapsed());
        problems.to_string()
    }

    #[test]
    fn depth_is_refused_wherever_the_closing_brackets_hide() {
        for text in [
            "[".repeat(100_000),
            format!("size: {}", "[".repeat(1_000_000)),
            "{a: ".repeat(100_000),
            "[ \"]\" ,".repeat(10_000),
            "[ # ]\n ".repeat(10_000),
            "[ ']', ".repeat(10_000),
            "a: x [ \"\nb: ".to_owned() + &"[".repeat(5_000),
            "a: |\n  [ \" '\nb: ".to_owned() + &"[".repeat(5_000),
            "a: y\n  [ \"\nb: ".to_owned() + &"[".repeat(5_000),
            "- ".repeat(100_000) + "a",
            "? ".repeat(100_000) + "a",
        ] {
            let message = refused(&text);
            assert!(message.contains("nested deeper than 64 levels"), "{message}");
            assert!(message.contains("--> deep.yaml:"), "{message}");
        }
    }

    #[test]
    fn values_are_counted_before_they_are_read() {
        let message = refused(&format!("beads: [{}]", "a,".repeat(600_000)));
        assert!(message.contains("more than 500000 values"), "{message}");
    }

    #[test]
    fn rows_in_brackets_are_not_deep() {
        let text = format!("beads:\n{}", "  - {id: \"a [\", cuts: [whole, half]} # {\n".repeat(1_000));
        assert!(check(&Source::new("flat.yaml", &text)).is_ok());
    }
}
