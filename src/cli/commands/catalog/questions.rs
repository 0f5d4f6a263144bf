//! The questions of `catalog add`: asked on a terminal until each answer can be used; answers that are piped in are taken line
//! by line, and the first that cannot be used ends the run.

use crate::failure::Failure;
use clap::ValueEnum;
use counterpoise::catalog::Catalog;
use counterpoise::document::closest;
use counterpoise::part::{Cut, Kind};
use counterpoise::quantity::{Angle, Density, Length, Mass, Money};
use std::cell::RefCell;
use std::io::{self, BufRead, IsTerminal, Write};

/// What can be added.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Part {
    /// A bead
    Bead,
    /// A hook
    Hook,
    /// Foam, as a rod or a strip
    Foam,
    /// Wire to wrap
    Wire,
    /// A dressing, component by component
    Dressing,
}

impl Part {
    /// Its kind.
    pub(crate) fn kind(self) -> Kind {
        match self {
            Self::Bead => Kind::Bead,
            Self::Hook => Kind::Hook,
            Self::Foam => Kind::Foam,
            Self::Wire => Kind::Wire,
            Self::Dressing => Kind::Dressing,
        }
    }

    /// The list of a catalog file that it stands in.
    pub(crate) fn list(self) -> &'static str {
        match self {
            Self::Bead => "beads",
            Self::Hook => "hooks",
            Self::Foam => "foams",
            Self::Wire => "wires",
            Self::Dressing => "dressings",
        }
    }
}

/// What was answered.
pub(crate) struct Answers {
    /// Currency of a new file.
    pub(crate) currency: String,
    /// Id of the row.
    pub(crate) id: String,
    /// The row, as an item in YAML.
    pub(crate) row: String,
}

/// How an answer is read.
#[derive(Clone, Copy)]
enum Form<'f> {
    /// Letters, digits, `-`, `.` and `_`.
    Id,
    /// Any words.
    Text,
    /// One of these words, or several of them with commas between.
    Words(&'f [&'f str], Many),
    /// A material of the catalog.
    Material,
    Length,
    Mass,
    Density,
    Angle,
    Money,
    /// A whole number above 0.
    Count,
    /// A number from 0 up.
    Number,
}

#[derive(Clone, Copy, PartialEq)]
enum Many {
    One,
    Several,
}

/// A conversation.
pub(crate) struct Asking<'c> {
    catalog: &'c Catalog,
    /// Whether the file is there already, with a currency of its own.
    adds: bool,
    terminal: bool,
    input: RefCell<Box<dyn BufRead>>,
}

type Pairs = Vec<(&'static str, String)>;

impl<'c> Asking<'c> {
    /// Begins one on standard input.
    pub(crate) fn begin(catalog: &'c Catalog, adds: bool) -> Self {
        let terminal = io::stdin().is_terminal();
        Self { catalog, adds, terminal, input: RefCell::new(Box::new(io::BufReader::new(io::stdin()))) }
    }

    /// Asks all about a part.
    pub(crate) fn about(&self, part: Part) -> Result<Answers, Failure> {
        let currency = match self.adds {
            true => self.catalog.currency.clone(),
            false => self.ask("currency of your prices", Form::Text, Some(&self.catalog.currency))?,
        };
        let id = self.ask("id, like my-bead-3.5", Form::Id, None)?;
        let name = self.ask("name, in words", Form::Text, Some(&id))?;
        let mut pairs: Pairs = vec![("id", id.clone())];
        // A row without a name is called by its id.
        pairs.extend((name != id).then(|| ("name", quoted(&name))));
        match part {
            Part::Bead => self.bead(&mut pairs)?,
            Part::Hook => self.hook(&mut pairs)?,
            Part::Foam => self.foam(&mut pairs)?,
            Part::Wire => self.wire(&mut pairs)?,
            Part::Dressing => return Ok(Answers { currency, row: self.dressing(&pairs)?, id }),
        }
        Ok(Answers { currency, id, row: format!("- {}", flow(&pairs)) })
    }

    fn bead(&self, pairs: &mut Pairs) -> Result<(), Failure> {
        self.add(pairs, "material", "material", Form::Material, None)?;
        self.add(pairs, "diameter", "outside diameter", Form::Length, None)?;
        self.add(pairs, "bore", "bore: the largest drill that passes", Form::Length, None)?;
        match self
            .ask("shape", Form::Words(&["drilled", "countersunk", "slotted"], Many::One), Some("countersunk"))?
            .as_str()
        {
            "countersunk" => {
                let diameter = self.ask("width of the countersink at the face", Form::Length, None)?;
                let depth = self.ask("its depth", Form::Length, None)?;
                pairs.push(("countersink", flow(&[("diameter", diameter), ("depth", depth)])));
            }
            "slotted" => {
                let width = self.ask("width of the slot", Form::Length, None)?;
                let share = self.ask("share of the bead's length that it takes", Form::Number, Some("0.5"))?;
                pairs.push(("slot", flow(&[("width", width), ("length_share", share)])));
            }
            _ => {}
        }
        self.mass(pairs)?;
        self.pieces(pairs)
    }

    fn hook(&self, pairs: &mut Pairs) -> Result<(), Failure> {
        let styles = ["straight", "streamer", "wide-gap", "jig-60", "jig-90"];
        let style = self.ask("style", Form::Words(&styles, Many::One), Some("straight"))?;
        pairs.push(("style", style.clone()));
        self.add(pairs, "size", "size, a number like 12", Form::Count, None)?;
        self.add(pairs, "material", "material", Form::Material, Some("carbon-steel"))?;
        self.add(pairs, "wire_diameter", "thickness of its wire, on the shank", Form::Length, None)?;
        self.add(pairs, "eye_inner_diameter", "inside of the eye", Form::Length, None)?;
        if style.starts_with("jig") {
            self.add(pairs, "neck_length", "neck: middle of the eye to the corner", Form::Length, None)?;
            let usual = style.strip_prefix("jig-").map(|angle| format!("{angle} deg"));
            self.add(
                pairs,
                "neck_angle",
                "angle between neck and shank, 0 straight on",
                Form::Angle,
                usual.as_deref(),
            )?;
        }
        self.add(pairs, "shank_length", "shank: from the eye or corner to where the bend starts", Form::Length, None)?;
        self.add(pairs, "gap", "gap: shank to point, middle to middle", Form::Length, None)?;
        self.add(pairs, "point_length", "point: its tip to the end of the bend", Form::Length, None)?;
        self.mass(pairs)?;
        self.pieces(pairs)
    }

    fn foam(&self, pairs: &mut Pairs) -> Result<(), Failure> {
        match self.ask("form", Form::Words(&["rod", "strip"], Many::One), Some("rod"))?.as_str() {
            "rod" => self.add(pairs, "diameter", "diameter of the rod", Form::Length, None)?,
            _ => {
                self.add(pairs, "width", "width of the strip", Form::Length, None)?;
                self.add(pairs, "thickness", "its thickness", Form::Length, None)?;
            }
        }
        let density = "density: cut 300 mm, weigh it, divide by its volume; like 33 kg/m3";
        self.add(pairs, "density", density, Form::Density, None)?;
        self.add(pairs, "solid", "what it is made of", Form::Material, Some("polyethylene-ld"))?;
        self.add(pairs, "cell", "size of a cell: count those along 10 mm under a lens", Form::Length, Some("0.6 mm"))?;
        let surface = "its own surface: skin, or cut through the cells";
        self.add(pairs, "surface", surface, Form::Words(&["skin", "cut"], Many::One), Some("skin"))?;
        let cuts =
            self.ask("how it may be split", Form::Words(&Cut::ALL.map(Cut::word), Many::Several), Some("whole"))?;
        pairs.push(("cuts", format!("[{cuts}]")));
        self.length(pairs)
    }

    fn wire(&self, pairs: &mut Pairs) -> Result<(), Failure> {
        self.add(pairs, "material", "material", Form::Material, None)?;
        self.add(pairs, "diameter", "diameter: wind 20 turns side by side, divide", Form::Length, None)?;
        self.length(pairs)
    }

    /// A row of several lines: one for each component.
    fn dressing(&self, head: &Pairs) -> Result<String, Failure> {
        let mut pairs = head.clone();
        self.add(&mut pairs, "reference_shank", "shank on which you take the figures that follow", Form::Length, None)?;
        let hides = "shank lengths behind the bend in which the tail hides foam";
        self.add(&mut pairs, "hides_tail", hides, Form::Number, Some("1"))?;
        self.pieces(&mut pairs)?;
        let lines: Vec<String> = pairs.iter().map(|(key, value)| format!("{key}: {value}")).collect();
        let mut row = format!("- {}\n  components:", lines.join("\n  "));
        for number in 1.. {
            let end = (number > 1).then_some("");
            let ask =
                if number == 1 { "first component (tail, body, thread ...)" } else { "next component, or nothing" };
            let name = self.ask(ask, Form::Text, end)?;
            if name.is_empty() {
                break;
            }
            row.push_str(&format!("\n    - {}", flow(&self.component(&name)?)));
        }
        Ok(row)
    }

    fn component(&self, name: &str) -> Result<Pairs, Failure> {
        let role = self.ask("  role", Form::Words(&["fibre", "thread", "adhesive"], Many::One), Some("fibre"))?;
        let mut pairs: Pairs = vec![("name", quoted(name)), ("role", role.clone())];
        let usual = match role.as_str() {
            "thread" => "polyester",
            "adhesive" => "head-varnish",
            _ => "fur-keratin",
        };
        self.add(&mut pairs, "material", "  material", Form::Material, Some(usual))?;
        self.add(&mut pairs, "dry_mass", "  what a fly has of it, dry", Form::Mass, None)?;
        self.add(
            &mut pairs,
            "from",
            "  from, in shank lengths (0 front of the shank, 1 bend)",
            Form::Number,
            Some("0"),
        )?;
        self.add(&mut pairs, "to", "  to (2 is one shank behind the bend)", Form::Number, Some("1"))?;
        if role == "fibre" {
            self.add(&mut pairs, "wet_diameter", "  how thick it is in the water, across", Form::Length, None)?;
            self.add(
                &mut pairs,
                "solidity",
                "  share of that outline that stops water, 0 to 1",
                Form::Number,
                Some("0.4"),
            )?;
            let air = "  air in it when it first goes in, as a share of the fibre";
            self.add(&mut pairs, "fresh_air_share", air, Form::Number, Some("1"))?;
        }
        Ok(pairs)
    }

    fn mass(&self, pairs: &mut Pairs) -> Result<(), Failure> {
        let mass = self.ask("mass of one: weigh ten, divide; nothing has it computed", Form::Mass, Some(""))?;
        pairs.extend((!mass.is_empty()).then_some(("measured_mass", mass)));
        Ok(())
    }

    fn pieces(&self, pairs: &mut Pairs) -> Result<(), Failure> {
        let pieces = self.ask("pieces in a pack (of a dressing: flies' worth)", Form::Count, None)?;
        let price = self.ask("price of the pack", Form::Money, None)?;
        pairs.push(("pack", flow(&[("pieces", pieces), ("price", price)])));
        Ok(())
    }

    fn length(&self, pairs: &mut Pairs) -> Result<(), Failure> {
        let length = self.ask("length in a pack, like 5 m or 10 ft", Form::Length, None)?;
        let price = self.ask("price of the pack", Form::Money, None)?;
        pairs.push(("pack", flow(&[("length", length), ("price", price)])));
        Ok(())
    }

    fn add(
        &self,
        pairs: &mut Pairs,
        key: &'static str,
        ask: &str,
        form: Form,
        usual: Option<&str>,
    ) -> Result<(), Failure> {
        pairs.push((key, self.ask(ask, form, usual)?));
        Ok(())
    }

    /// Asks until an answer can be used; nothing stands for the usual answer where there is one.
    fn ask(&self, question: &str, form: Form, usual: Option<&str>) -> Result<String, Failure> {
        loop {
            if self.terminal {
                self.prompt(question, form, usual)?;
            }
            let mut line = String::new();
            if self.input.borrow_mut().read_line(&mut line)? == 0 {
                let help = "answers are read line by line; an empty line takes what is usual, where something is";
                return Err(Failure::usage(format!("no answer to: {}", question.trim()), Some(help.to_owned())));
            }
            let answer = match (line.trim(), usual) {
                ("", Some(usual)) => return Ok(usual.to_owned()),
                (answer, _) => answer,
            };
            match self.usable(answer, form) {
                Ok(answer) => return Ok(answer),
                Err(why) if self.terminal => crate::output::note(&format!("  {why}")),
                Err(why) => return Err(Failure::usage(format!("{}: {why}", question.trim()), None)),
            }
        }
    }

    /// The question, on standard error.
    fn prompt(&self, question: &str, form: Form, usual: Option<&str>) -> Result<(), Failure> {
        let words = match form {
            Form::Words(words, Many::One) => format!(" ({})", words.join(", ")),
            Form::Words(words, Many::Several) => format!(" (any of {}, with commas)", words.join(", ")),
            _ => String::new(),
        };
        let usual = usual.filter(|usual| !usual.is_empty()).map_or_else(String::new, |usual| format!(" [{usual}]"));
        let mut out = anstream::stderr().lock();
        write!(out, "{question}{words}{usual}: ")?;
        Ok(out.flush()?)
    }

    /// The answer as it will be written, or why it cannot be used.
    fn usable(&self, answer: &str, form: Form) -> Result<String, String> {
        let quantity = |read: Result<(), String>| read.map(|()| answer.to_owned());
        let text = |error: counterpoise::quantity::QuantityError| error.to_string();
        match form {
            Form::Id => {
                let allowed = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '.' | '_');
                let sound = !answer.is_empty() && !answer.starts_with('-') && answer.chars().all(allowed);
                if sound {
                    Ok(answer.to_owned())
                } else {
                    Err("an id has letters, digits, `-`, `.` and `_`".to_owned())
                }
            }
            Form::Text if answer.is_empty() => Err("a word is needed".to_owned()),
            Form::Text => Ok(answer.to_owned()),
            Form::Words(words, many) => {
                let given: Vec<&str> = answer.split(',').map(str::trim).collect();
                if many == Many::One && given.len() > 1 {
                    return Err("one of them is needed".to_owned());
                }
                match given.iter().find(|word| !words.contains(word)) {
                    None => Ok(given.join(", ")),
                    Some(word) => Err(not_among(word, words)),
                }
            }
            Form::Material => match self.catalog.material(answer) {
                Some(_) => Ok(answer.to_owned()),
                None => {
                    let help = self.catalog.suggest_material(answer).map_or_else(
                        || "`counterpoise catalog list material` shows what there is".to_owned(),
                        |near| format!("did you mean `{near}`?"),
                    );
                    Err(format!("the catalog has no material `{answer}`: {help}"))
                }
            },
            Form::Length => quantity(answer.parse::<Length>().map(drop).map_err(text)),
            Form::Mass => quantity(answer.parse::<Mass>().map(drop).map_err(text)),
            Form::Density => quantity(answer.parse::<Density>().map(drop).map_err(text)),
            Form::Angle => quantity(answer.parse::<Angle>().map(drop).map_err(text)),
            Form::Money => quantity(answer.parse::<Money>().map(drop).map_err(text)),
            Form::Count => match answer.parse::<u32>() {
                Ok(count) if count > 0 => Ok(answer.to_owned()),
                _ => Err("a whole number above 0 is needed".to_owned()),
            },
            Form::Number => match answer.parse::<f64>() {
                Ok(number) if number.is_finite() && number >= 0.0 => Ok(answer.to_owned()),
                _ => Err("a number from 0 up is needed".to_owned()),
            },
        }
    }
}

fn not_among(word: &str, words: &[&str]) -> String {
    match closest(word, words.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("it is one of {}", words.join(", ")),
    }
}

/// A text as YAML takes any.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// A mapping on one line.
fn flow(pairs: &[(&'static str, String)]) -> String {
    let inside: Vec<String> = pairs.iter().map(|(key, value)| format!("{key}: {}", plain(value))).collect();
    format!("{{{}}}", inside.join(", "))
}

/// A value as it can stand within a mapping on one line: an inch mark, say, would begin a text.
fn plain(value: &str) -> String {
    let nested = value.starts_with(['{', '[', '"']);
    if !nested && value.contains(['"', '\'', '{', '}', '[', ']', ',', '#', ':']) {
        quoted(value)
    } else {
        value.to_owned()
    }
}
