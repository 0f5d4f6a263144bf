//! `help`: a command's options, or a topic told at length.

use crate::args::Cli;
use crate::failure::Failure;
use crate::outcome::Outcome;
use crate::output;
use clap::{Args, CommandFactory};
use counterpoise::document::closest;

/// Topics by name, in the order of a list.
const TOPICS: [(&str, &str, &str); 9] = [
    ("words", "words, signs and units", include_str!("../topics/words.md")),
    ("jar", "what the jar should show, correcting, learning from jar tests", include_str!("../topics/jar.md")),
    ("fall", "on the way down: countdown, slack line, jig stroke", include_str!("../topics/fall.md")),
    ("compare", "materials side by side", include_str!("../topics/compare.md")),
    ("box", "a box for the days, packs and stock", include_str!("../topics/box.md")),
    ("search", "choosing from the list; what is proven, and how fast", include_str!("../topics/search.md")),
    ("catalog", "your own hooks, beads, foam and dressings", include_str!("../topics/catalog.md")),
    ("limits", "what the model leaves out", include_str!("../topics/limits.md")),
    ("care", "lead, hooks, blades, vapours", include_str!("../topics/care.md")),
];

/// Options of `help`.
#[derive(Debug, Args)]
pub(crate) struct HelpArgs {
    /// A command or a topic
    name: Option<String>,
}

/// Shows it.
pub(crate) fn run(args: &HelpArgs) -> Result<Outcome, Failure> {
    let mut cli = Cli::command();
    cli.build();
    let text = match &args.name {
        None => format!("{}\n{}", cli.render_long_help(), topic_list()),
        Some(name) => match TOPICS.iter().find(|(topic, ..)| topic == name) {
            // A command of the same name is met by its options first, then the topic.
            Some((_, _, topic)) => match cli.find_subcommand_mut(name) {
                Some(command) => format!("{}\n{topic}", command.render_help()),
                None => (*topic).to_owned(),
            },
            None => match cli.find_subcommand_mut(name) {
                Some(command) => command.render_long_help().to_string(),
                None => return Err(unknown(name, &cli)),
            },
        },
    };
    output::print(|out| Ok(out.write_all(text.as_bytes())?))?;
    Ok(Outcome::Met)
}

fn topic_list() -> String {
    let lines = TOPICS.iter().map(|(name, what, _)| format!("  {name:<10}{what}\n"));
    format!("Topics, with `counterpoise help TOPIC`:\n{}", lines.collect::<String>())
}

fn unknown(name: &str, cli: &clap::Command) -> Failure {
    let commands = cli.get_subcommands().map(clap::Command::get_name);
    let near = closest(name, commands.chain(TOPICS.iter().map(|(topic, ..)| *topic)));
    let help = match near {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("topics are {}", TOPICS.map(|(topic, ..)| topic).join(", ")),
    };
    Failure::usage(format!("there is no command or topic `{name}`"), Some(help))
}
