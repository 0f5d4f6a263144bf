//! The one table of units: every name a person may write, with its exact factor to the base unit.

/// What kind of quantity a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Base unit m.
    Length,
    /// Base unit kg.
    Mass,
    /// Base unit kg/m3.
    Density,
    /// Base unit rad.
    Angle,
    /// Base unit m/s.
    Speed,
    /// Base unit s.
    Time,
    /// Base unit °C.
    Temperature,
    /// Base unit g/kg.
    Salinity,
    /// Base unit Pa.
    Pressure,
}

impl Kind {
    /// "length", "mass", ...
    pub const fn name(self) -> &'static str {
        self.words().0
    }

    /// "a length", "an angle", ...
    pub fn with_article(self) -> String {
        let article = if self == Self::Angle { "an" } else { "a" };
        format!("{article} {}", self.name())
    }

    /// A well-formed example, for messages: "3.5 mm".
    pub const fn example(self) -> &'static str {
        self.words().1
    }

    /// The units people most often mean when they leave one out.
    pub const fn usual_units(self) -> &'static [&'static str] {
        self.words().2
    }

    const fn words(self) -> (&'static str, &'static str, &'static [&'static str]) {
        match self {
            Self::Length => ("length", "3.5 mm", &["mm", "m"]),
            Self::Mass => ("mass", "0.5 g", &["mg", "g"]),
            Self::Density => ("density", "17.5 g/cm3", &["g/cm3"]),
            Self::Angle => ("angle", "20 deg", &["deg"]),
            Self::Speed => ("speed", "0.2 m/s", &["m/s", "in/s"]),
            Self::Time => ("time", "15 s", &["s"]),
            Self::Temperature => ("temperature", "8 C", &["C", "F"]),
            Self::Salinity => ("salinity", "35 g/kg", &["g/kg"]),
            Self::Pressure => ("pressure", "79.5 kPa", &["kPa", "hPa"]),
        }
    }

    /// Symbol of the unit in which the value is held.
    pub fn base_unit(self) -> &'static str {
        self.base().symbol
    }

    /// The smallest value that can exist, in the base unit. Lengths, angles and speeds run both ways.
    pub const fn least(self) -> f64 {
        match self {
            Self::Length | Self::Angle | Self::Speed => f64::NEG_INFINITY,
            Self::Mass | Self::Density | Self::Time | Self::Salinity | Self::Pressure => 0.0,
            Self::Temperature => -273.15,
        }
    }

    /// The symbols a person may choose from: "mm, cm, m, in, ft".
    pub fn unit_list(self) -> String {
        let symbols: Vec<&str> = UNITS.iter().filter(|u| u.kind == self).map(|u| u.symbol).collect();
        symbols.join(", ")
    }

    /// Units beside the metric ones in which figures are often typed.
    pub(super) const fn typed_units(self) -> &'static [&'static Unit] {
        match self {
            Self::Length => &[&INCH, &FOOT],
            Self::Mass => &[&GRAIN, &OUNCE],
            Self::Speed => &[&IN_S, &FT_S],
            Self::Temperature => &[&FAHRENHEIT],
            _ => &[],
        }
    }

    pub(super) const fn base(self) -> &'static Unit {
        match self {
            Self::Length => &METRE,
            Self::Mass => &KILOGRAM,
            Self::Density => &KG_M3,
            Self::Angle => &RADIAN,
            Self::Speed => &M_S,
            Self::Time => &SECOND,
            Self::Temperature => &CELSIUS,
            Self::Salinity => &G_KG,
            Self::Pressure => &PASCAL,
        }
    }
}

/// One unit: base value = (x - zero) * multiply / divide. Two factors keep decimal scales exact: 3.5 mm is 3.5/1000,
/// correctly rounded, where 3.5 * 0.001 need not be.
#[derive(Debug)]
pub(super) struct Unit {
    pub(super) kind: Kind,
    pub(super) symbol: &'static str,
    aliases: &'static [&'static str],
    zero: f64,
    multiply: f64,
    divide: f64,
}

impl Unit {
    const fn new(
        kind: Kind,
        symbol: &'static str,
        aliases: &'static [&'static str],
        multiply: f64,
        divide: f64,
    ) -> Self {
        Self { kind, symbol, aliases, zero: 0.0, multiply, divide }
    }

    const fn zero_at(mut self, zero: f64) -> Self {
        self.zero = zero;
        self
    }

    pub(super) const fn to_base(&self, value: f64) -> f64 {
        (value - self.zero) * self.multiply / self.divide
    }

    pub(super) const fn of_base(&self, base: f64) -> f64 {
        base * self.divide / self.multiply + self.zero
    }
}

pub(super) const METRE: Unit = Unit::new(Kind::Length, "m", &["metre", "metres", "meter", "meters"], 1.0, 1.0);
pub(super) const CENTIMETRE: Unit = Unit::new(Kind::Length, "cm", &[], 1.0, 100.0);
pub(super) const MILLIMETRE: Unit = Unit::new(Kind::Length, "mm", &[], 1.0, 1e3);
const MICROMETRE: Unit = Unit::new(Kind::Length, "um", &["µm", "μm"], 1.0, 1e6);
/// The inch is 25.4 mm exactly.
pub(super) const INCH: Unit = Unit::new(Kind::Length, "in", &["inch", "inches", "\"", "″", "”"], 25.4, 1e3);
pub(super) const FOOT: Unit = Unit::new(Kind::Length, "ft", &["foot", "feet", "'", "′", "’"], 304.8, 1e3);

pub(super) const KILOGRAM: Unit = Unit::new(Kind::Mass, "kg", &[], 1.0, 1.0);
pub(super) const GRAM: Unit = Unit::new(Kind::Mass, "g", &["gram", "grams"], 1.0, 1e3);
pub(super) const MILLIGRAM: Unit = Unit::new(Kind::Mass, "mg", &[], 1.0, 1e6);
/// The avoirdupois pound is 0.45359237 kg exactly; 16 ounces or 7000 grains make one.
pub(super) const GRAIN: Unit = Unit::new(Kind::Mass, "grain", &["grains"], 0.453_592_37, 7000.0);
pub(super) const OUNCE: Unit = Unit::new(Kind::Mass, "oz", &["ounce", "ounces"], 0.453_592_37, 16.0);
const POUND: Unit = Unit::new(Kind::Mass, "lb", &["lbs", "pound", "pounds"], 0.453_592_37, 1.0);

pub(super) const KG_M3: Unit = Unit::new(Kind::Density, "kg/m3", &["g/l"], 1.0, 1.0);
pub(super) const G_CM3: Unit = Unit::new(Kind::Density, "g/cm3", &["g/cc", "g/ml", "mg/mm3", "kg/l"], 1e3, 1.0);
/// One pound in a cube of 0.3048 m.
const LB_FT3: Unit = Unit::new(Kind::Density, "lb/ft3", &["pcf"], 0.453_592_37, 0.3048 * 0.3048 * 0.3048);

pub(super) const RADIAN: Unit = Unit::new(Kind::Angle, "rad", &["radian", "radians"], 1.0, 1.0);
pub(super) const DEGREE: Unit = Unit::new(Kind::Angle, "deg", &["°", "degree", "degrees"], std::f64::consts::PI, 180.0);

pub(super) const M_S: Unit = Unit::new(Kind::Speed, "m/s", &["m/sec"], 1.0, 1.0);
pub(super) const CM_S: Unit = Unit::new(Kind::Speed, "cm/s", &["cm/sec"], 1.0, 100.0);
const MM_S: Unit = Unit::new(Kind::Speed, "mm/s", &["mm/sec"], 1.0, 1e3);
pub(super) const IN_S: Unit = Unit::new(Kind::Speed, "in/s", &["in/sec", "inch/s", "inches/s", "\"/s"], 25.4, 1e3);
const FT_S: Unit = Unit::new(Kind::Speed, "ft/s", &["ft/sec", "feet/s"], 304.8, 1e3);

pub(super) const SECOND: Unit = Unit::new(Kind::Time, "s", &["sec", "second", "seconds"], 1.0, 1.0);
pub(super) const MINUTE: Unit = Unit::new(Kind::Time, "min", &["minute", "minutes"], 60.0, 1.0);
const HOUR: Unit = Unit::new(Kind::Time, "h", &["hour", "hours"], 3600.0, 1.0);

pub(super) const CELSIUS: Unit = Unit::new(Kind::Temperature, "C", &["°C", "degC"], 1.0, 1.0);
pub(super) const FAHRENHEIT: Unit = Unit::new(Kind::Temperature, "F", &["°F", "degF"], 5.0, 9.0).zero_at(32.0);
const KELVIN: Unit = Unit::new(Kind::Temperature, "K", &[], 1.0, 1.0).zero_at(273.15);

pub(super) const G_KG: Unit = Unit::new(Kind::Salinity, "g/kg", &["ppt", "‰"], 1.0, 1.0);

pub(super) const PASCAL: Unit = Unit::new(Kind::Pressure, "Pa", &["pascal"], 1.0, 1.0);
pub(super) const HECTOPASCAL: Unit = Unit::new(Kind::Pressure, "hPa", &["mbar", "millibar"], 100.0, 1.0);
pub(super) const KILOPASCAL: Unit = Unit::new(Kind::Pressure, "kPa", &[], 1e3, 1.0);
/// The conventional inch and millimetre of mercury, 13 595.1 kg/m3 under 9.80665 m/s2.
const INCH_HG: Unit = Unit::new(Kind::Pressure, "inHg", &[], 13_595.1 * 9.806_65 * 25.4, 1e3);
const MILLIMETRE_HG: Unit = Unit::new(Kind::Pressure, "mmHg", &["torr"], 13_595.1 * 9.806_65, 1e3);

static UNITS: &[Unit] = &[
    MILLIMETRE,
    CENTIMETRE,
    METRE,
    INCH,
    FOOT,
    MICROMETRE, //
    MILLIGRAM,
    GRAM,
    KILOGRAM,
    GRAIN,
    OUNCE,
    POUND, //
    G_CM3,
    KG_M3,
    LB_FT3,
    DEGREE,
    RADIAN, //
    M_S,
    CM_S,
    MM_S,
    IN_S,
    FT_S,
    SECOND,
    MINUTE,
    HOUR, //
    CELSIUS,
    FAHRENHEIT,
    KELVIN,
    G_KG,
    KILOPASCAL,
    HECTOPASCAL,
    PASCAL,
    INCH_HG,
    MILLIMETRE_HG,
];

/// A value written as a word instead of a number, in the base unit.
pub(super) const WORDS: &[(&str, Kind, f64)] = &[("level", Kind::Angle, 0.0)];

/// The unit with this name. Blanks, `^` and raised digits do not matter; capitals only where they would be ambiguous.
pub(super) fn find(name: &str) -> Option<&'static Unit> {
    let plain: String = name
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '^')
        .map(|c| match c {
            '³' => '3',
            'º' => '°', // the ordinal sign sits where many keyboards would have the degree sign
            other => other,
        })
        .collect();
    let named = |same: fn(&str, &str) -> bool| {
        UNITS.iter().find(|u| same(u.symbol, &plain) || u.aliases.iter().any(|a| same(a, &plain)))
    };
    named(|a, b| a == b).or_else(|| named(|a, b| a.eq_ignore_ascii_case(b)))
}

/// Whether this is the name of a unit: "mm", "ft", "m/s".
#[must_use]
pub fn is_unit(name: &str) -> bool {
    !name.is_empty() && find(name).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_belongs_to_one_unit() {
        let mut seen = std::collections::BTreeSet::new();
        for unit in UNITS {
            for name in unit.aliases.iter().chain([&unit.symbol]) {
                assert!(seen.insert(name.to_ascii_lowercase()), "{name} is listed twice");
                assert_eq!(find(name).map(|u| u.symbol), Some(unit.symbol));
            }
        }
    }

    #[test]
    fn base_units_change_nothing() {
        for unit in UNITS {
            let base = unit.kind.base();
            assert_eq!(base.kind, unit.kind);
            assert_eq!(base.to_base(0.1), 0.1);
            assert!((unit.of_base(unit.to_base(7.25)) - 7.25).abs() < 1e-12, "{}", unit.symbol);
        }
    }
}
