//! The command line, with all values that are wrong in one run.

use crate::args::Cli;
use clap::Parser;
use clap::error::{ContextKind, ContextValue, Error, ErrorKind};
use std::ffi::OsString;

/// Parses the command line, or ends the program with what is wrong with it.
pub(crate) fn command_line() -> Cli {
    let mut words: Vec<OsString> = std::env::args_os().collect();
    let mut faults: Vec<Error> = Vec::new();
    // Each value that does not fit is left out, and the rest looked at again: as often as there are words at most.
    while let Err(fault) = Cli::try_parse_from(&words) {
        let of_value = matches!(fault.kind(), ErrorKind::ValueValidation | ErrorKind::InvalidValue);
        if !faults.is_empty() && !of_value {
            // It may only miss what was left out.
            break;
        }
        let place = if of_value { place(&fault, &words) } else { None };
        faults.push(fault);
        let Some(place) = place else { break };
        words.drain(place);
    }
    match faults.as_slice() {
        [] => Cli::parse_from(words),
        [only] => only.exit(),
        [front @ .., last] => {
            for fault in front {
                let text = fault.render().ansi().to_string();
                let own = text.split("\n\nFor more information").next().unwrap_or_default();
                // Nobody is left to tell when this fails.
                let _ = std::io::Write::write_fmt(&mut anstream::stderr(), format_args!("{own}\n\n"));
            }
            last.exit()
        }
    }
}

/// The words of an option whose value is at fault: the option with its value, if that stands in another word.
fn place(fault: &Error, words: &[OsString]) -> Option<std::ops::Range<usize>> {
    let text = |kind| match fault.get(kind) {
        Some(ContextValue::String(text)) => Some(text.as_str()),
        _ => None,
    };
    let option = text(ContextKind::InvalidArg)?.split([' ', '=']).next().filter(|option| option.starts_with("--"))?;
    let value = text(ContextKind::InvalidValue)?;
    let holds = |word: &str| word == value || word.split(',').any(|part| part == value);
    words.iter().enumerate().find_map(|(i, word)| {
        let rest = word.to_str()?.strip_prefix(option)?;
        match rest.strip_prefix('=') {
            Some(inside) => holds(inside).then_some(i..i + 1),
            None if rest.is_empty() => holds(words.get(i + 1)?.to_str()?).then_some(i..i + 2),
            None => None,
        }
    })
}
