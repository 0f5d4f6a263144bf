//! Part filters: "only this bead material", "not that foam".
//!
//! A filter reads `KIND[.ATTRIBUTE]=VALUE[,VALUE...]`: `bead.material=brass`, `bead.size=2.5mm..3.5mm`, `wire=none`,
//! `foam.cut=quarter,eighth`, `bead.colour=black`, `bead.mount=eye`, `hook.style=jig-60`. `only` keeps what matches, `not` drops it.

use super::{Choice, FilterError};
use crate::catalog::Catalog;
use crate::document::closest;
use crate::fly::{Fly, FrontMount};
use crate::part::{Bead, Cut, Foam, FoamForm, Hook, Kind, Pin, Wire};
use crate::quantity::{Interval, Length, fraction_name};
use crate::recipe::Seat;
use std::fmt;

/// What a filter looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Attribute {
    Id,
    Material,
    Size,
    Style,
    Mount,
    Cut,
    Seat,
    Colour,
}

impl Attribute {
    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Id => "id",
            Self::Material => "material",
            Self::Size => "size",
            Self::Style => "style",
            Self::Mount => "mount",
            Self::Cut => "cut",
            Self::Seat => "seat",
            Self::Colour => "colour",
        }
    }

    pub(super) fn of_kind(kind: Kind) -> &'static [Self] {
        match kind {
            Kind::Hook => &[Self::Id, Self::Material, Self::Size, Self::Style],
            Kind::Bead => &[Self::Id, Self::Material, Self::Size, Self::Mount, Self::Colour],
            Kind::Pin => &[Self::Id, Self::Material, Self::Size],
            Kind::Wire => &[Self::Id, Self::Material, Self::Size],
            Kind::Foam => &[Self::Id, Self::Material, Self::Size, Self::Cut, Self::Seat, Self::Colour],
            Kind::Dressing => &[Self::Id],
        }
    }
}

#[derive(Debug, Clone, PartialEq)]
enum Value {
    None,
    Word(String),
    Size(Interval<Length>),
    HookSize(u8),
}

/// One part filter.
#[derive(Debug, Clone, PartialEq)]
pub struct Filter {
    /// Keep what matches; otherwise drop it.
    pub keep: bool,
    /// The text that it was read from.
    pub text: String,
    kind: Kind,
    attribute: Attribute,
    values: Vec<Value>,
}

impl Filter {
    /// Reads a filter; `keep` for `only`, otherwise `not`.
    ///
    /// # Errors
    /// Says which word is wrong and what would be right.
    pub fn parse(text: &str, keep: bool) -> Result<Self, FilterError> {
        let (left, right) = text.split_once('=').ok_or_else(|| FilterError::NoEquals { text: text.to_owned() })?;
        let (kind, attribute) = subject(text, left.trim())?;
        let values = right.split(',').map(|v| value(text, kind, attribute, v.trim())).collect::<Result<_, _>>()?;
        Ok(Self { keep, text: text.to_owned(), kind, attribute, values })
    }

    /// Refuses ids, materials and sizes that no part of the kind has: a misspelled one would match nothing.
    ///
    /// # Errors
    /// The first such word, with the nearest that there is.
    pub fn check(&self, catalog: &Catalog) -> Result<(), FilterError> {
        let words = self.text.split_once('=').map_or("", |(_, right)| right).split(',');
        self.values.iter().zip(words).try_for_each(|(value, word)| match (self.attribute, value) {
            (Attribute::Id, Value::Word(word)) => {
                let ids = catalog.rows(self.kind).into_iter().map(|row| row.id.clone()).collect();
                self.known(self.kind.word(), word, ids)
            }
            (Attribute::Material, Value::Word(word)) => {
                self.known("material", word, part_materials(catalog, self.kind))
            }
            (Attribute::Colour, Value::Word(word)) => self.known("colour", word, part_colours(catalog, self.kind)),
            (Attribute::Size, Value::Size(size)) => self.some_size(word, *size, &part_sizes(catalog, self.kind)),
            (Attribute::Size, Value::HookSize(size)) => match near_hook_sizes(*size, catalog) {
                Some(near) => Err(self.no_size(&size.to_string(), near)),
                None => Ok(()),
            },
            _ => Ok(()),
        })
    }

    fn known(&self, what: &'static str, word: &str, there: Vec<String>) -> Result<(), FilterError> {
        if there.iter().any(|id| id == word) {
            return Ok(());
        }
        let suggestion = closest(word, there.iter().map(String::as_str)).map(str::to_owned);
        Err(FilterError::UnknownId { text: self.text.clone(), what, id: word.to_owned(), suggestion })
    }

    /// Whether the catalog has a size in it; else the nearest below and above.
    fn some_size(&self, word: &str, wanted: Interval<Length>, sizes: &[f64]) -> Result<(), FilterError> {
        if sizes.is_empty() || sizes.iter().any(|size| size_is(*size, wanted)) {
            return Ok(());
        }
        let below = sizes.iter().copied().filter(|size| wanted.low().is_some_and(|low| *size < low.m()));
        let above = sizes.iter().copied().filter(|size| wanted.high().is_some_and(|high| *size > high.m()));
        let near = [below.max_by(f64::total_cmp), above.min_by(f64::total_cmp)].into_iter().flatten();
        Err(self.no_size(word.trim(), near.map(size_words).collect()))
    }

    fn no_size(&self, size: &str, near: Vec<String>) -> FilterError {
        FilterError::NoSize { text: self.text.clone(), kind: self.kind, size: size.to_owned(), near }
    }

    /// Whether a hook, and nothing else, passes.
    #[must_use]
    pub fn passes_hook(&self, hook: &Hook) -> bool {
        self.kind != Kind::Hook || self.matches(|v| hook_is(hook, self.attribute, v)) == self.keep
    }

    /// Whether a bead on its mount, or no bead, passes.
    #[must_use]
    pub fn passes_front(&self, front: Option<(&Bead, FrontMount)>) -> bool {
        match front {
            None => self.passes_no_bead() && self.passes_pin(None),
            Some((bead, FrontMount::Eye)) => self.passes_bead(bead, "eye") && self.passes_pin(None),
            Some((bead, FrontMount::Pin(pin, _))) => self.passes_bead(bead, "pin") && self.passes_pin(Some(pin)),
        }
    }

    fn passes_no_bead(&self) -> bool {
        self.kind != Kind::Bead || self.matches(|v| *v == Value::None) == self.keep
    }

    /// Whether a bead passes on a mount, `eye` or `pin`; the pin is another matter.
    #[must_use]
    pub fn passes_bead(&self, bead: &Bead, mount: &str) -> bool {
        self.kind != Kind::Bead
            || self.matches(|v| match (self.attribute, v) {
                (Attribute::Mount, Value::Word(w)) => w == mount,
                (Attribute::Colour, Value::Word(w)) => bead.colours.contains(w),
                (a, v) => part_is(&bead.row.id, &bead.material.id, bead.diameter, a, v),
            }) == self.keep
    }

    /// Whether a pin, or none, passes.
    #[must_use]
    pub fn passes_pin(&self, pin: Option<&Pin>) -> bool {
        self.kind != Kind::Pin
            || self.matches(|v| match (v, pin) {
                (Value::None, p) => p.is_none(),
                (v, Some(p)) => part_is(&p.row.id, &p.material.id, p.diameter, self.attribute, v),
                (_, None) => false,
            }) == self.keep
    }

    /// Whether a wire, or none, passes.
    #[must_use]
    pub fn passes_wire(&self, wire: Option<&Wire>) -> bool {
        self.kind != Kind::Wire
            || self.matches(|v| match (v, wire) {
                (Value::None, w) => w.is_none(),
                (v, Some(w)) => part_is(&w.row.id, &w.material.id, w.diameter, self.attribute, v),
                (_, None) => false,
            }) == self.keep
    }

    /// Whether a foam stock, cut and seat, or none, passes.
    #[must_use]
    pub fn passes_foam(&self, foam: Option<(&Foam, Cut, Seat)>) -> bool {
        self.kind != Kind::Foam
            || self.matches(|v| match (v, foam) {
                (Value::None, f) => f.is_none(),
                (v, Some((foam, cut, seat))) => match self.attribute {
                    Attribute::Cut => matches!(v, Value::Word(w) if w == cut.word()),
                    Attribute::Seat => matches!(v, Value::Word(w) if w == seat.word()),
                    Attribute::Colour => matches!(v, Value::Word(w) if foam.colours.contains(w)),
                    a => part_is(&foam.row.id, &foam.solid.id, foam_size(foam), a, v),
                },
                (_, None) => false,
            }) == self.keep
    }

    /// Whether a whole fly passes.
    #[must_use]
    pub fn passes(&self, fly: &Fly) -> bool {
        self.passes_hook(fly.hook)
            && self.passes_front(fly.bead)
            && self.passes_wire(fly.wraps.map(|w| w.wire))
            && self.passes_foam(fly.foam.map(|f| (f.foam, f.cut, f.seat)))
            && (self.kind != Kind::Dressing
                || self.matches(|v| matches!(v, Value::Word(w) if *w == fly.dressing.row.id)) == self.keep)
    }

    fn matches(&self, test: impl Fn(&Value) -> bool) -> bool {
        self.values.iter().any(test)
    }
}

impl Choice {
    /// Of the colours that a part is sold in, those that are asked of its kind; none where none is asked.
    #[must_use]
    pub fn colours_asked<'p>(&self, kind: Kind, sold: &'p [String]) -> Vec<&'p str> {
        let asked: Vec<&Filter> =
            self.filters.iter().filter(|f| f.keep && f.kind == kind && f.attribute == Attribute::Colour).collect();
        let every = |colour: &String| asked.iter().all(|f| f.matches(|v| matches!(v, Value::Word(w) if w == colour)));
        sold.iter().filter(|colour| !asked.is_empty() && every(colour)).map(String::as_str).collect()
    }
}

impl fmt::Display for Filter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", if self.keep { "only" } else { "not" }, self.text)
    }
}

/// Reads `KIND` or `KIND.ATTRIBUTE` within `text`.
pub(super) fn subject(text: &str, left: &str) -> Result<(Kind, Attribute), FilterError> {
    let (kind_word, attribute_word) = left.split_once('.').unwrap_or((left, "id"));
    let kind = Kind::ALL
        .into_iter()
        .find(|k| k.word() == kind_word)
        .ok_or_else(|| FilterError::UnknownKind { text: text.to_owned(), kind: kind_word.to_owned() })?;
    let known = Attribute::of_kind(kind);
    let attribute =
        known.iter().copied().find(|a| a.word() == attribute_word).ok_or_else(|| FilterError::UnknownAttribute {
            text: text.to_owned(),
            kind,
            attribute: attribute_word.to_owned(),
            known: words(known.iter().map(|a| a.word())),
        })?;
    Ok((kind, attribute))
}

fn words<'a>(list: impl Iterator<Item = &'a str>) -> String {
    list.collect::<Vec<_>>().join(", ")
}

/// Size of a foam stock: diameter of a rod, thickness of a strip.
pub(super) fn foam_size(foam: &Foam) -> f64 {
    match foam.form {
        FoamForm::Rod { diameter } => diameter,
        FoamForm::Strip { thickness, .. } => thickness,
    }
}

/// Sizes match within a hundredth of a millimetre, so that "3.5mm" and "9/64 in" mean the sizes they name.
const SIZE_SLACK: f64 = 1e-5;

fn size_is(size: f64, wanted: Interval<Length>) -> bool {
    wanted.low().is_none_or(|low| size >= low.m() - SIZE_SLACK)
        && wanted.high().is_none_or(|high| size <= high.m() + SIZE_SLACK)
}

/// "3.3 mm (0.130 in)".
fn size_words(size: f64) -> String {
    let length = Length::from_m(size);
    format!("{length} ({})", fraction_name(length))
}

/// Sizes of all parts of a kind, m, as filters take them; none of hooks and dressings.
pub(super) fn part_sizes(catalog: &Catalog, kind: Kind) -> Vec<f64> {
    match kind {
        Kind::Bead => catalog.beads.iter().map(|b| b.diameter).collect(),
        Kind::Pin => catalog.pins.iter().map(|p| p.diameter).collect(),
        Kind::Wire => catalog.wires.iter().map(|w| w.diameter).collect(),
        Kind::Foam => catalog.foams.iter().map(foam_size).collect(),
        Kind::Hook | Kind::Dressing => Vec::new(),
    }
}

/// Materials of all parts of a kind, in the order of the catalog; none of dressings.
pub(super) fn part_materials(catalog: &Catalog, kind: Kind) -> Vec<String> {
    match kind {
        Kind::Hook => catalog.hooks.iter().map(|h| h.material.id.clone()).collect(),
        Kind::Bead => catalog.beads.iter().map(|b| b.material.id.clone()).collect(),
        Kind::Pin => catalog.pins.iter().map(|p| p.material.id.clone()).collect(),
        Kind::Wire => catalog.wires.iter().map(|w| w.material.id.clone()).collect(),
        Kind::Foam => catalog.foams.iter().map(|f| f.solid.id.clone()).collect(),
        Kind::Dressing => Vec::new(),
    }
}

/// Colours that parts of a kind are sold in, in the order of the catalog.
pub(super) fn part_colours(catalog: &Catalog, kind: Kind) -> Vec<String> {
    match kind {
        Kind::Bead => catalog.beads.iter().flat_map(|b| b.colours.clone()).collect(),
        Kind::Foam => catalog.foams.iter().flat_map(|f| f.colours.clone()).collect(),
        Kind::Hook | Kind::Pin | Kind::Wire | Kind::Dressing => Vec::new(),
    }
}

/// How many near sizes are named.
const NEAR_SIZES: usize = 2;

/// The nearest hook sizes, where no hook of the catalog has this one.
pub(super) fn near_hook_sizes(size: u8, catalog: &Catalog) -> Option<Vec<String>> {
    let mut sizes: Vec<u8> = catalog.hooks.iter().map(|hook| hook.size).collect();
    sizes.sort_by_key(|other| (other.abs_diff(size), *other));
    sizes.dedup();
    (sizes.first() != Some(&size)).then(|| sizes.iter().take(NEAR_SIZES).map(u8::to_string).collect())
}

fn part_is(id: &str, material: &str, size: f64, attribute: Attribute, value: &Value) -> bool {
    match (attribute, value) {
        (Attribute::Id, Value::Word(w)) => w == id,
        (Attribute::Material, Value::Word(w)) => w == material,
        (Attribute::Size, Value::Size(interval)) => size_is(size, *interval),
        _ => false,
    }
}

fn hook_is(hook: &Hook, attribute: Attribute, value: &Value) -> bool {
    match (attribute, value) {
        (Attribute::Style, Value::Word(w)) => w == hook.style.word(),
        (Attribute::Size, Value::HookSize(size)) => *size == hook.size,
        (a, v) => part_is(&hook.row.id, &hook.material.id, hook.wire_diameter, a, v),
    }
}

fn value(text: &str, kind: Kind, attribute: Attribute, word: &str) -> Result<Value, FilterError> {
    let unknown = |known: String| FilterError::UnknownValue { text: text.to_owned(), value: word.to_owned(), known };
    let listed = |known: Vec<&'static str>| {
        if known.contains(&word) { Ok(Value::Word(word.to_owned())) } else { Err(unknown(words(known.into_iter()))) }
    };
    if word == "none" && !matches!(kind, Kind::Hook | Kind::Dressing) {
        return Ok(Value::None);
    }
    match attribute {
        Attribute::Id | Attribute::Material | Attribute::Colour => Ok(Value::Word(word.to_owned())),
        Attribute::Style => listed(crate::part::HookStyle::ALL.iter().map(|s| s.word()).collect()),
        Attribute::Mount => listed(vec!["eye", "pin"]),
        Attribute::Cut => listed(Cut::ALL.iter().map(|c| c.word()).collect()),
        Attribute::Seat => listed(Seat::ALL.iter().map(|s| s.word()).collect()),
        Attribute::Size if kind == Kind::Hook => {
            word.parse().map(Value::HookSize).map_err(|_| unknown("the hook sizes, like 8".to_owned()))
        }
        Attribute::Size => {
            word.parse().map(Value::Size).map_err(|source| FilterError::Size { text: text.to_owned(), source })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_must_be_in_the_catalog() {
        let catalog = Catalog::built_in().unwrap();
        let said = |text: &str| Filter::parse(text, true).unwrap().check(&catalog);
        assert_eq!(said("bead=tungsten-3.5,none"), Ok(()));
        assert_eq!(said("bead.material=brass"), Ok(()));
        let Err(FilterError::UnknownId { what: "bead", suggestion, .. }) = said("bead=tungten-3.5") else {
            panic!("refused")
        };
        assert_eq!(suggestion.as_deref(), Some("tungsten-3.5"));
        assert_eq!((said("bead.colour=black,copper"), said("foam.colour=white")), (Ok(()), Ok(())));
        let unknown = said("bead.colour=blak").unwrap_err();
        assert_eq!(unknown.to_string(), "filter `bead.colour=blak`: the catalog has no colour `blak`");
        assert_eq!(unknown.remedy().as_deref(), Some("did you mean `black`?"));
        assert!(said("foam.colour=mauve").unwrap_err().remedy().unwrap().contains("catalog list foam"));
        assert_eq!(
            said("wire.material=gold").unwrap_err().to_string(),
            "filter `wire.material=gold`: the catalog has no material `gold`"
        );
    }

    #[test]
    fn words_of_the_trade_and_sizes_that_no_part_has_name_the_nearest() {
        let catalog = Catalog::built_in().unwrap();
        let remedy = |text: &str| Filter::parse(text, true).unwrap().check(&catalog).unwrap_err().remedy().unwrap();
        assert_eq!(remedy("bead.material=tungsten"), "did you mean `tungsten-alloy`?");
        assert_eq!(remedy("bead.size=1/8in"), "the nearest are 3 mm (0.118 in) and 3.3 mm (0.130 in)");
        assert_eq!(remedy("bead.size=..1mm"), "the nearest are 2 mm (5/64 in)");
        assert_eq!(remedy("hook.size=7"), "the nearest are 6 and 8");
        let parsed = |text: &str| Filter::parse(text, true).unwrap_err().remedy().unwrap();
        assert_eq!(parsed("foam.cut=eigth"), "did you mean `eighth`?");
        assert_eq!(parsed("beed.size=3mm"), "did you mean `bead`?");
        assert_eq!(parsed("bead.siz=3mm"), "did you mean `size`?");
    }

    #[test]
    fn a_part_passes_in_any_colour_that_it_is_sold_in() {
        let catalog = Catalog::built_in().unwrap();
        let mut bead = catalog.bead("brass-3.3").unwrap().clone();
        bead.colours = vec!["gold".into(), "black".into()];
        let passes = |text: &str, keep| Filter::parse(text, keep).unwrap().passes_bead(&bead, "eye");
        assert!(passes("bead.colour=black", true) && passes("bead.colour=red,gold", true));
        assert!(!passes("bead.colour=red", true) && passes("bead.colour=red", false));
        assert!(!passes("bead.colour=black", false), "it comes in black, too");
        let asked = |texts: &[&str]| {
            let filters = texts.iter().map(|text| Filter::parse(text, true).unwrap()).collect();
            let choice = Choice { filters, ..Choice::default() };
            choice.colours_asked(Kind::Bead, &bead.colours).join(" ")
        };
        assert_eq!(asked(&["bead.colour=black"]), "black");
        assert_eq!(asked(&["bead.colour=gold,black", "bead.colour=black,red"]), "black");
        assert_eq!([asked(&[]), asked(&["foam.colour=black"]), asked(&["bead.material=brass"])], ["", "", ""]);
        bead.colours.clear();
        assert!(!Filter::parse("bead.colour=black", true).unwrap().passes_bead(&bead, "eye"));
    }

    #[test]
    fn wrong_words_say_what_would_be_right() {
        for (text, expected) in [
            ("bead", "has no `=`"),
            ("beed=x", "kinds are hook, bead"),
            ("bead.shine=dull", "it has id, material, size, mount, colour"),
            ("foam.cut=third", "whole, half, quarter, eighth, sixteenth"),
            ("bead.size=3.5", "unit"),
        ] {
            let message = Filter::parse(text, true).unwrap_err().to_string();
            assert!(message.contains(expected), "{text}: {message}");
        }
    }
}
