//! A recipe as a tyer would tell it: "3.8 mm slotted tungsten bead at the eye, 6 mm of 1/4 in foam rod split in 4, over the
//! tail".

use crate::fly::{Fly, FoamPiece, FrontMount, Wraps};
use crate::part::{Bead, BeadShape, Cut, FoamForm, Hook, HookStyle, Kind};
use crate::quantity::shown::SIZE;
use crate::quantity::{Length, Units, fraction_name, thousandths_name};
use crate::recipe::Seat;
use crate::wanted::Choice;

/// What the fly is tied on: "size 12 jig hook, 60-degree neck".
#[must_use]
pub fn hook_story(hook: &Hook) -> String {
    let kind = match hook.style {
        HookStyle::Straight => "straight-eye hook",
        HookStyle::Streamer => "streamer hook",
        HookStyle::WideGap => "wide-gap hook",
        HookStyle::Jig60 => "jig hook, 60-degree neck",
        HookStyle::Jig90 => "jig hook, 90-degree neck",
        HookStyle::BallJig => "jig hook",
    };
    match &hook.head {
        Some(head) => {
            format!("size {} jig hook with a {} {} head", hook.size, head.mass_name, material_word(&head.material.id))
        }
        None => format!("size {} {kind}", hook.size),
    }
}

/// What balances it, part by part; "nothing but hook and dressing" where there is none.
#[must_use]
pub fn story(fly: &Fly) -> String {
    story_asked(fly, &Choice::default())
}

/// The same with the colours that a target asks for.
#[must_use]
pub fn story_asked(fly: &Fly, choice: &Choice) -> String {
    let coloured = |kind, sold: &[String]| match choice.colours_asked(kind, sold).as_slice() {
        [] => String::new(),
        asked => format!("{} ", asked.join(" or ")),
    };
    let parts = [
        fly.bead.map(|(bead, mount)| bead_story(bead, mount, &coloured(Kind::Bead, &bead.colours))),
        fly.wraps.as_ref().map(|wraps| wire_story(fly, wraps)),
        fly.foam.as_ref().map(|piece| foam_story(piece, &coloured(Kind::Foam, &piece.foam.colours))),
    ];
    let told: Vec<String> = parts.into_iter().flatten().collect();
    if told.is_empty() { "nothing but hook and dressing".to_owned() } else { told.join(", ") }
}

/// The colours that a target asks of a fly's parts: "black bead", "black bead, white foam"; nothing where it asks for none.
#[must_use]
pub fn colours_story(fly: &Fly, choice: &Choice) -> String {
    let asked = |kind: Kind, sold: Option<&Vec<String>>| {
        let colours = choice.colours_asked(kind, sold.map_or(&[][..], Vec::as_slice));
        (!colours.is_empty()).then(|| format!("{} {kind}", colours.join(" or ")))
    };
    let bead = asked(Kind::Bead, fly.bead.map(|(bead, _)| &bead.colours));
    let foam = asked(Kind::Foam, fly.foam.map(|piece| &piece.foam.colours));
    bead.into_iter().chain(foam).collect::<Vec<_>>().join(", ")
}

fn bead_story(bead: &Bead, mount: FrontMount, colour: &str) -> String {
    let slotted = if matches!(bead.shape, BeadShape::Slotted { .. }) { "slotted " } else { "" };
    let place = match mount {
        FrontMount::Eye => "at the eye".to_owned(),
        FrontMount::Pin(_, projection) => format!("on a pin, {} ahead of the eye", SIZE.text(projection.mm(), 3)),
    };
    // A colour before the material would read like one.
    let colour = if colour.is_empty() { String::new() } else { format!(" in {}", colour.trim_end()) };
    let size = named(bead.diameter, fraction_name);
    format!("{size} {slotted}{} bead{colour} {place}", material_word(&bead.material.id))
}

fn wire_story(fly: &Fly, wraps: &Wraps) -> String {
    let turns = if wraps.turns == 1 { "turn" } else { "turns" };
    let wire =
        format!("{} {} wire", named(wraps.wire.diameter, thousandths_name), material_word(&wraps.wire.material.id));
    let what_is_ahead = match (fly.bead, &fly.hook.head) {
        (_, Some(_)) => "the head",
        (Some((_, FrontMount::Eye)), None) => "the bead",
        _ => "the front of the shank",
    };
    let place = match wraps.start.mm() {
        gap if gap <= 0.0 && what_is_ahead == "the front of the shank" => "from the front of the shank".to_owned(),
        gap if gap <= 0.0 => format!("right behind {what_is_ahead}"),
        gap => format!("{} behind {what_is_ahead}", SIZE.text(gap, 1)),
    };
    format!("{} {turns} of {wire} {place}", wraps.turns)
}

fn foam_story(piece: &FoamPiece, colour: &str) -> String {
    let stock = match piece.foam.form {
        // Rods are sold by the fraction of an inch or by the millimetre.
        FoamForm::Rod { diameter } if (diameter * 2e3 - (diameter * 2e3).round()).abs() < 1e-6 => {
            format!("{} {colour}foam rod", named(diameter, fraction_name))
        }
        FoamForm::Rod { diameter } => format!("{} {colour}foam rod", fraction_name(Length::from_m(diameter))),
        FoamForm::Strip { width, thickness } => {
            format!("{} x {} {colour}foam strip", SIZE.short(thickness * 1e3, 1), SIZE.text(width * 1e3, 1))
        }
    };
    let cut = match piece.cut {
        Cut::Whole => String::new(),
        cut => format!(" split in {}", cut.pieces()),
    };
    let place = match piece.seat {
        Seat::Tail => "over the tail",
        Seat::TailAlong => "in line with the tail",
        Seat::TailUnder => "under the tail",
        Seat::Back => "on the back",
        Seat::Belly => "on the belly",
    };
    format!("{} of {stock}{cut}, {place}", SIZE.text(piece.length.mm(), 3))
}

/// A size as its buyer knows it: in mm, or by the name that the trade gives it in inches.
fn named(metres: f64, trade_name: fn(Length) -> String) -> String {
    match Units::shown() {
        Units::Metric => SIZE.text(metres * 1e3, 2),
        Units::Us => trade_name(Length::from_m(metres)),
    }
}

/// A material in a word of the bench: "tungsten" for tungsten-alloy-95, "tin" for tin-alloy.
fn material_word(id: &str) -> String {
    match id {
        "soda-lime-glass" => "glass".to_owned(),
        "carbon-steel" | "stainless-steel" => "steel".to_owned(),
        "hard-lead" => "lead".to_owned(),
        id => id.split("-alloy").next().unwrap_or(id).replace('-', " "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::document::Source;
    use crate::recipe_file::RecipeDocument;
    use crate::wanted::Filter;

    fn told(text: &str) -> String {
        let catalog = Catalog::built_in().unwrap();
        let document = RecipeDocument::read(&Source::new("fly.yaml", text)).unwrap();
        let fly = document.resolve(&catalog).unwrap();
        format!("{}: {}", hook_story(fly.hook), story(&fly))
    }

    #[test]
    fn colours_are_told_where_they_are_asked_for() {
        let catalog = Catalog::built_in().unwrap();
        let text = include_str!("../../examples/recipes/jig-12-foam-tail.yaml");
        let document = RecipeDocument::read(&Source::new("fly.yaml", text)).unwrap();
        let fly = document.resolve(&catalog).unwrap();
        let asked = |texts: &[&str]| {
            let filters = texts.iter().map(|text| Filter::parse(text, true).unwrap()).collect();
            story_asked(&fly, &Choice { filters, ..Choice::default() })
        };
        let black = asked(&["bead.colour=black", "foam.colour=white"]);
        assert!(black.starts_with("3.5 mm slotted tungsten bead in black at the eye"), "{black}");
        assert!(black.contains("1/4 in white foam rod split in 4"), "{black}");
        let either = asked(&["bead.colour=black,copper"]);
        assert!(either.starts_with("3.5 mm slotted tungsten bead in black or copper"), "{either}");
        assert_eq!(asked(&["bead.material=tungsten-alloy"]), story(&fly));
        let filters = ["bead.colour=black", "foam.colour=white"].map(|text| Filter::parse(text, true).unwrap()).into();
        assert_eq!(colours_story(&fly, &Choice { filters, ..Choice::default() }), "black bead, white foam");
        assert_eq!(colours_story(&fly, &Choice::default()), "");
    }

    #[test]
    fn told_as_a_tyer_tells_it() {
        assert_eq!(
            told(include_str!("../../examples/recipes/jig-12-foam-tail.yaml")),
            "size 12 jig hook, 60-degree neck: 3.5 mm slotted tungsten bead at the eye, 12 turns of 0.25 mm lead wire right \
             behind the bead, 11 mm of 1/4 in foam rod split in 4, over the tail"
        );
        assert_eq!(
            told("recipe: 1\nhook: ball-jig-8-1-32oz-lead\npattern: fur-leech\n"),
            "size 8 jig hook with a 1/32 oz lead head: nothing but hook and dressing"
        );
    }
}
